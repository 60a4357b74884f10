package photometry

import (
	"math"
	"strings"

	"roodbeam/engine/geom"
)

// Items of EULUMDAT by their line, counted from 0.
// Source: A. Stockmar, EULUMDAT, 1990, and EULUMDAT/2, 1998, items 1 to 26.
const (
	ldtMaker = iota
	ldtKind
	ldtSymmetry
	ldtPlanes
	ldtPlaneStep
	ldtAngles
	ldtAngleStep
	ldtReport
	ldtName
	ldtNumber
	ldtFile
	ldtDate
	ldtLength
	ldtWidth
	ldtHeight
	ldtOpeningLength
	ldtOpeningWidth
	ldtOpeningC0
	ldtOpeningC90
	ldtOpeningC180
	ldtOpeningC270
	ldtDFF
	ldtLORL
	ldtFactor
	ldtTilt
	ldtSets
	ldtFirstSet
)

const (
	linesPerSet  = 6
	directRatios = 10
	mostSets     = 20
)

// ldtHead are the numbers of an EULUMDAT file before the angles.
type ldtHead struct {
	symmetry, planes, angles int
	planeStep, angleStep     float64
	factor                   float64
	sets                     int
}

// looksEULUMDAT tells whether lines 2 to 7 are the numbers that stand there.
func looksEULUMDAT(lines []string) bool {
	if len(lines) < ldtFirstSet {
		return false
	}
	for _, i := range []int{ldtKind, ldtSymmetry, ldtPlanes, ldtAngles} {
		if _, ok := decimal(lines[i]); !ok {
			return false
		}
	}
	return true
}

// decimal reads a number with a point or a comma before its decimals.
func decimal(s string) (float64, bool) {
	return parseFloat(strings.Replace(strings.TrimSpace(s), ",", ".", 1))
}

// readEULUMDAT reads the lines of an EULUMDAT file.
//
// Source: A. Stockmar, EULUMDAT, 1990, and EULUMDAT/2, 1998; the expansion of
// the symmetries and what stands behind item 26 from memory.
func readEULUMDAT(lines []string) (*File, error) {
	f := &File{Format: FormatEULUMDAT, Keywords: ldtKeywords(lines)}
	h, err := f.readLDTHead(lines)
	if err != nil {
		return nil, err
	}
	setFactor, err := f.readSets(lines, h)
	if err != nil {
		return nil, err
	}
	from := ldtFirstSet + linesPerSet*h.sets
	if from > len(lines) {
		return nil, refuse(len(lines), "the file ends within its lamp sets")
	}
	tail := make([]string, len(lines)-from)
	for i, l := range lines[from:] {
		tail[i] = strings.ReplaceAll(l, ",", ".")
	}
	g, err := f.readLDTGrid(split(tail, from+1, ";"), h)
	if err != nil {
		return nil, err
	}
	g.scale = h.factor * setFactor
	if err := f.build(g, "C"); err != nil {
		return nil, err
	}
	// The length of the luminaire lies along C90–C270 here and along X of the
	// fixture, so C0 becomes Y. (from memory)
	f.distribution = &turned{f.distribution.(*Table)}
	return f, nil
}

func ldtKeywords(lines []string) []Keyword {
	var out []Keyword
	for _, k := range []struct {
		key string
		at  int
	}{{"MANUFAC", ldtMaker}, {"TEST", ldtReport}, {"LUMINAIRE", ldtName}, {"LUMCAT", ldtNumber}, {"ISSUEDATE", ldtDate}} {
		if v := strings.TrimSpace(lines[k.at]); v != "" {
			out = append(out, Keyword{k.key, v})
		}
	}
	return out
}

// readLDTHead reads items 2 to 26.
func (f *File) readLDTHead(lines []string) (ldtHead, error) {
	var h ldtHead
	var err error
	whole := func(to *int, at int, what string, least, most int) {
		if err == nil {
			*to, err = wholeAt(lines, at, what, least, most)
		}
	}
	kind := 0
	whole(&kind, ldtKind, "type indicator", 0, 3)
	whole(&h.symmetry, ldtSymmetry, "symmetry", 0, 4)
	whole(&h.planes, ldtPlanes, "number of C planes", 1, mostAngles)
	whole(&h.angles, ldtAngles, "number of intensities per plane", 2, mostAngles)
	whole(&h.sets, ldtSets, "number of lamp sets", 1, mostSets)
	if err != nil {
		return h, err
	}
	for _, o := range []struct {
		to   *float64
		at   int
		what string
		unit float64
	}{
		{&h.planeStep, ldtPlaneStep, "distance between C planes", 1},
		{&h.angleStep, ldtAngleStep, "distance between intensities", 1},
		{&f.LengthM, ldtOpeningLength, "luminous length", 1e-3},
		{&f.WidthM, ldtOpeningWidth, "luminous width", 1e-3},
		{&f.HeightM, ldtOpeningC0, "luminous height", 1e-3},
		{&f.wantedDFFPct, ldtDFF, "downward flux fraction", 1},
		{&f.wantedLORLPct, ldtLORL, "light output ratio", 1},
		{&h.factor, ldtFactor, "conversion factor", 1},
	} {
		if *o.to, err = f.optional(lines, o.at, o.what); err != nil {
			return h, err
		}
		*o.to *= o.unit
	}
	if h.factor < 0 {
		return h, refuse(ldtFactor+1, "conversion factor %g is negative", h.factor)
	}
	if h.factor == 0 {
		h.factor = 1
		f.warn(ldtFactor+1, "conversion factor 0; taken as 1")
	}
	f.HorizontalN, f.VerticalN = h.planes, h.angles
	return h, nil
}

func wholeAt(lines []string, at int, what string, least, most int) (int, error) {
	v, ok := decimal(lines[at])
	if !ok {
		return 0, refuse(at+1, "%s: %.40q is not a number", what, strings.TrimSpace(lines[at]))
	}
	if v != math.Trunc(v) || v < float64(least) || v > float64(most) {
		return 0, refuse(at+1, "%s: %g is not a whole number from %d to %d", what, v, least, most)
	}
	return int(v), nil
}

// optional reads a number that may be left blank.
func (f *File) optional(lines []string, at int, what string) (float64, error) {
	text := strings.TrimSpace(lines[at])
	if text == "" {
		f.warn(at+1, "%s is blank; taken as 0", what)
		return 0, nil
	}
	v, ok := decimal(text)
	if !ok {
		return 0, refuse(at+1, "%s: %.40q is not a number", what, text)
	}
	return v, nil
}

// readSets reads the lamp sets and returns the factor from candela per kilolumen
// to candela: the lumens of the first set over 1000. A negative number of lamps
// marks absolute photometry; the lumens are then the luminaire's own.
func (f *File) readSets(lines []string, h ldtHead) (float64, error) {
	at := ldtFirstSet
	if at+linesPerSet > len(lines) {
		return 0, refuse(len(lines), "the file ends within its lamp sets")
	}
	lamps, err := wholeAt(lines, at, "number of lamps", -1000, 1000)
	if err != nil {
		return 0, err
	}
	lumens, ok := decimal(lines[at+2])
	if !ok || !(lumens > 0) {
		return 0, refuse(at+3, "total lumens of the lamp set: %.40q is not a positive number", strings.TrimSpace(lines[at+2]))
	}
	if f.InputW, err = f.optional(lines, at+5, "watts of the lamp set"); err != nil {
		return 0, err
	}
	if lamps == 0 {
		f.warn(at+1, "number of lamps 0")
	}
	if !(f.InputW > 0) {
		f.InputW = 0
		f.warn(at+6, "watts of the lamp set 0")
	}
	f.Lamps, f.Absolute = max(lamps, -lamps), lamps < 0
	if !f.Absolute {
		f.RatedLm = lumens
	}
	if h.sets > 1 {
		f.warn(ldtSets+1, "%d lamp sets; the first, of %g lm, is taken", h.sets, lumens)
	}
	return lumens / 1000, nil
}

// readLDTGrid reads direct ratios, angles and intensities, one number after the
// other.
func (f *File) readLDTGrid(n *numbers, h ldtHead) (*grid, error) {
	if _, _, err := n.list("direct ratios", directRatios); err != nil {
		return nil, err
	}
	c, cLine, err := n.list("C planes", h.planes)
	if err != nil {
		return nil, err
	}
	v, vLine, err := n.list("gamma angles", h.angles)
	if err != nil {
		return nil, err
	}
	f.checkSteps(c, h.planeStep, cLine, "C planes")
	f.checkSteps(v, h.angleStep, vLine, "gamma angles")
	g := &grid{v: v, vLine: vLine, hLine: cLine}
	if g.h, err = storedPlanes(c, h, cLine); err != nil {
		return nil, err
	}
	for range g.h {
		row, line, err := n.list("intensities", h.angles)
		if err != nil {
			return nil, err
		}
		g.cd, g.rowLine = append(g.cd, row), append(g.rowLine, line)
	}
	if n.left() > 0 {
		t := n.tokens[n.next]
		if _, number := parseFloat(t.text); number {
			return nil, refuse(t.line, "%d values are left over after %d planes of %d intensities: symmetry or counts do not agree with the data", n.left(), len(g.h), h.angles)
		}
		f.warn(t.line, "text after the last intensity is left out")
	}
	return g, nil
}

// checkSteps compares a list with the step stated for it; 0 means uneven.
func (f *File) checkSteps(v []float64, step float64, line int, what string) {
	if step == 0 || len(v) < 2 {
		return
	}
	for i := 1; i < len(v); i++ {
		if math.Abs(v[i]-v[i-1]-step) > 0.01*step {
			f.warn(line, "%s do not lie %g° apart as stated; the list is taken", what, step)
			return
		}
	}
}

// storedPlanes returns the plane angles whose intensities follow, out of the
// list of all planes, which is always complete.
//
//	symmetry 0: all      1: C0      2: C0..C180
//	symmetry 3: C270..C360..C90, given as 270..450
//	symmetry 4: C0..C90
func storedPlanes(c []float64, h ldtHead, line int) ([]float64, error) {
	n := len(c)
	var out []float64
	switch h.symmetry {
	case 0:
		return c, nil
	case 1:
		return []float64{0}, nil
	case 2:
		out = c[:min(n, n/2+1)]
		return out, planeEnds(out, 0, 180, n%2 == 0, line)
	case 4:
		out = c[:min(n, n/4+1)]
		return out, planeEnds(out, 0, 90, n%4 == 0, line)
	}
	for i := 3 * n / 4; i < n; i++ {
		out = append(out, c[i])
	}
	for i := 0; i <= n/4 && i < n; i++ {
		out = append(out, c[i]+360)
	}
	return out, planeEnds(out, 270, 450, n%4 == 0, line)
}

func planeEnds(c []float64, first, last float64, divides bool, line int) error {
	if !divides || len(c) < 2 || c[0] != first || c[len(c)-1] != last {
		return refuse(line, "the list of C planes does not hold the planes %g to %g of its symmetry at their places", first, last-360*math.Floor(last/361))
	}
	return nil
}

// turned is a table whose C0 is the fixture's Y: the direction of (C, γ) lies
// at C + 90° of the fixture.
type turned struct{ *Table }

// Intensity returns candela toward dir in the fixture's frame (aim −Z).
func (t *turned) Intensity(dir geom.Vec) float64 {
	return t.Table.Intensity(geom.Vec{X: dir.Y, Y: -dir.X, Z: dir.Z})
}

// statedSlackPct is how far a stated ratio of flux may lie from the integral of
// the intensities, in percentage points; the rounding of the intensities to
// whole candelas per kilolumen moves it by less than one.
const statedSlackPct = 2

// checkStated holds EULUMDAT's stated ratios against the intensities: the flux
// per lamp lumen is the light output ratio, and the downward part of it the
// downward flux fraction.
func (f *File) checkStated() {
	if f.Format != FormatEULUMDAT {
		return
	}
	t := f.distribution.(*turned).Table
	if f.RatedLm > 0 && f.wantedLORLPct > 0 {
		if got := f.FluxLm / f.RatedLm * 100; math.Abs(got-f.wantedLORLPct) > statedSlackPct {
			f.warn(ldtLORL+1, "light output ratio stated %.1f %%, integrated %.1f %%", f.wantedLORLPct, got)
		}
	}
	if f.wantedDFFPct > 0 && f.FluxLm > 0 {
		if got := t.downwardLm() / f.FluxLm * 100; math.Abs(got-f.wantedDFFPct) > statedSlackPct {
			f.warn(ldtDFF+1, "downward flux fraction stated %.1f %%, integrated %.1f %%", f.wantedDFFPct, got)
		}
	}
}

// downwardLm returns the flux in lumens into the half space round the aim.
func (t *Table) downwardLm() float64 {
	var deg, cd []float64
	mean := t.AzimuthMean()
	for j, g := range t.gammaDeg {
		if g > 90 {
			break
		}
		deg, cd = append(deg, g), append(cd, mean[j])
	}
	return ZonalFlux(deg, cd)
}
