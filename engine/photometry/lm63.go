package photometry

import (
	"math"
	"regexp"
	"slices"
	"strings"
)

// Editions of IES LM-63.
const (
	edition1986 = "1986"
	edition1991 = "1991"
	edition1995 = "1995"
	edition2002 = "2002"
	edition2019 = "2019"
)

// metresPerFoot is exact by definition (1959 agreement).
const metresPerFoot = 0.3048

// mostAngles bounds the counts of angles and planes: a tenth of a degree all
// round.
const mostAngles = 3601

// lm63Head are the numbers before the angles.
type lm63Head struct {
	lamps                   float64
	lumens, multiplier      float64
	nV, nH                  int
	kind, units             int
	width, length, height   float64
	ballast, field12, watts float64
	line                    int // of the first number
	scaleLine               int // of the ballast factor
}

// readLM63 reads the lines of an LM-63 file whose TILT line is known.
//
// Source: IES LM-63-2002 (layout, delimiters, angles); its predecessors of
// 1986, 1991 and 1995 and LM-63-2019 from memory and as noted at each rule.
func readLM63(lines []string, tilt int) (*File, error) {
	f := &File{Format: FormatLM63}
	f.readLabels(lines[:tilt])
	n := split(lines[tilt+1:], tilt+2, ",;")
	if err := f.readTilt(lines[tilt], tilt+1, n); err != nil {
		return nil, err
	}
	h, err := f.readHead(n)
	if err != nil {
		return nil, err
	}
	scale, err := f.scale(h)
	if err != nil {
		return nil, err
	}
	v, vLine, err := n.list("vertical angles", h.nV)
	if err != nil {
		return nil, err
	}
	hor, hLine, err := n.list("horizontal angles", h.nH)
	if err != nil {
		return nil, err
	}
	cd := make([][]float64, h.nH)
	rowLine := make([]int, h.nH)
	for i := range cd {
		if cd[i], rowLine[i], err = n.list("candelas", h.nV); err != nil {
			return nil, err
		}
	}
	if err := f.checkTail(n, h); err != nil {
		return nil, err
	}
	g := &grid{h: hor, v: v, cd: cd, hLine: hLine, vLine: vLine, rowLine: rowLine, scale: scale}
	return f, f.build(g, []string{"", "C", "B", "A"}[h.kind])
}

var tiltPattern = regexp.MustCompile(`(?i)^\s*TILT\s*=\s*(.*?)\s*$`)

// tiltLine returns the index of the TILT line, −1 without one.
func tiltLine(lines []string) int {
	for i, l := range lines {
		if tiltPattern.MatchString(l) {
			return i
		}
	}
	return -1
}

// readLabels reads the edition and the labelled lines before TILT.
func (f *File) readLabels(lines []string) {
	first := slices.IndexFunc(lines, func(l string) bool { return strings.TrimSpace(l) != "" })
	if first < 0 {
		f.Edition = edition1986
		f.warn(1, "no label lines; read as the 1986 edition, which has no first line of its own")
		return
	}
	if f.readEdition(lines[first], first+1) {
		first++
	}
	for _, l := range lines[first:] {
		k := labelled(l)
		if k.Key == "MORE" && len(f.Keywords) > 0 {
			last := &f.Keywords[len(f.Keywords)-1]
			last.Value = strings.TrimSpace(last.Value + " " + k.Value)
			continue
		}
		if k != (Keyword{}) {
			f.Keywords = append(f.Keywords, k)
		}
	}
}

var (
	editionPattern = regexp.MustCompile(`(?i)^\s*IES(?:NA)?(?:\s*:|\s*LM|\s*\d|\s*$)`)
	editionYear    = regexp.MustCompile(`(?:19|20)?(86|91|95|02|19)\b`)
)

// readEdition tells the edition from the first line; false when that line is a
// label of the 1986 edition, which has no first line of its own. Sources: IES
// LM-63-2002; the spellings of 1991, 1995 and 2019 as exporters write them,
// also with blanks.
func (f *File) readEdition(line string, at int) bool {
	line = strings.TrimSpace(line)
	if !editionPattern.MatchString(line) {
		f.Edition = edition1986
		return false
	}
	years := map[string]string{"86": edition1986, "91": edition1991, "95": edition1995, "02": edition2002, "19": edition2019}
	if m := editionYear.FindStringSubmatch(line); m != nil {
		f.Edition = years[m[1]]
	}
	if f.Edition == "" {
		f.warn(at, "edition %q is not known", line)
	} else if want := editionLine[f.Edition]; line != want {
		f.warn(at, "first line %q; read as %s", line, want)
	}
	return true
}

// editionLine is the first line as each edition writes it.
var editionLine = map[string]string{
	edition1991: "IESNA91", edition1995: "IESNA:LM-63-1995",
	edition2002: "IESNA:LM-63-2002", edition2019: "IES:LM-63-2019",
}

// labelled splits "[KEY] value"; a line without a label has no key.
func labelled(line string) Keyword {
	line = strings.TrimSpace(line)
	if rest, ok := strings.CutPrefix(line, "["); ok {
		if key, value, ok := strings.Cut(rest, "]"); ok {
			return Keyword{strings.ToUpper(strings.TrimSpace(key)), strings.TrimSpace(value)}
		}
	}
	return Keyword{Value: line}
}

// readTilt reads the TILT line and, for INCLUDE, the table after it.
func (f *File) readTilt(line string, at int, n *numbers) error {
	word := tiltPattern.FindStringSubmatch(line)[1]
	switch strings.ToUpper(word) {
	case "NONE":
		return nil
	case "INCLUDE":
		return f.readTiltTable(n)
	case "":
		return refuse(at, "TILT= without NONE, INCLUDE or a file name")
	}
	f.warn(at, "factors by tilt stand in another file, %.60q, and are not applied", word)
	return nil
}

func (f *File) readTiltTable(n *numbers) error {
	geometry, err := n.count("lamp-to-luminaire geometry", 1, 3)
	if err != nil {
		return err
	}
	pairs, err := n.count("number of tilt angles", 1, mostAngles)
	if err != nil {
		return err
	}
	angles, line, err := n.list("tilt angles", pairs)
	if err != nil {
		return err
	}
	factors, factorLine, err := n.list("tilt factors", pairs)
	if err != nil {
		return err
	}
	if !ascending(angles) {
		return refuse(line, "tilt angles do not ascend")
	}
	for _, v := range factors {
		if v < 0 {
			return refuse(factorLine, "tilt factor %g is negative", v)
		}
	}
	f.Tilt = Tilt{LampGeometry: geometry, AngleDeg: angles, Factor: factors}
	if at := f.Tilt.At(0); at != 1 {
		f.warn(factorLine, "the factor at no tilt is %g, not 1; it is applied to a unit that points straight down too", at)
	}
	return nil
}

// readHead reads the thirteen numbers before the angles.
func (f *File) readHead(n *numbers) (lm63Head, error) {
	h := lm63Head{line: n.line()}
	var err error
	float := func(to *float64, what string) {
		if err == nil {
			*to, err = n.float(what)
		}
	}
	count := func(to *int, what string, least, most int) {
		if err == nil {
			*to, err = n.count(what, least, most)
		}
	}
	float(&h.lamps, "number of lamps")
	float(&h.lumens, "lumens per lamp")
	float(&h.multiplier, "candela multiplier")
	count(&h.nV, "number of vertical angles", 2, mostAngles)
	count(&h.nH, "number of horizontal angles", 1, mostAngles)
	count(&h.kind, "photometric type", 1, 3)
	count(&h.units, "units type", 1, 2)
	float(&h.width, "luminous width")
	float(&h.length, "luminous length")
	float(&h.height, "luminous height")
	h.scaleLine = n.line()
	float(&h.ballast, "ballast factor")
	float(&h.field12, "the number after the ballast factor")
	float(&h.watts, "input watts")
	if err != nil {
		return h, err
	}
	f.keepHead(h)
	return h, nil
}

// keepHead keeps what the head says of lamps, power and size.
func (f *File) keepHead(h lm63Head) {
	f.VerticalN, f.HorizontalN = h.nV, h.nH
	f.Absolute = h.lumens < 0
	if h.lumens < 0 && h.lumens != -1 {
		f.warn(h.line, "lumens per lamp %g; absolute photometry is written −1", h.lumens)
	}
	if h.lumens == 0 {
		f.Absolute = true
		f.warn(h.line, "lumens per lamp 0; taken as absolute photometry")
	}
	f.Lamps = int(math.Max(0, math.Min(h.lamps, math.MaxInt32)))
	if h.lamps < 1 || h.lamps != math.Trunc(h.lamps) {
		f.warn(h.line, "number of lamps %g", h.lamps)
	}
	if !f.Absolute {
		f.RatedLm = math.Max(0, h.lamps) * h.lumens
	}
	unit := metresPerFoot
	if h.units == 2 {
		unit = 1
	}
	f.WidthM, f.LengthM, f.HeightM = h.width*unit, h.length*unit, h.height*unit
	if m := math.Max(math.Abs(f.WidthM), math.Abs(f.LengthM)); m > longestM {
		f.warn(h.line, "luminous opening of %.3g m: feet and metres may be mixed up", m)
	}
	f.InputW = h.watts
	if !(h.watts > 0) {
		f.warn(h.scaleLine, "input watts %g", h.watts)
		f.InputW = 0
	}
}

// longestM is a luminous opening that no fixture for a room has; common practice.
const longestM = 6

// scale returns the factor on the stored candelas: multiplier × ballast factor
// × (field 12, up to the 1995 edition only).
//
// Field 12 was the ballast-lamp photometric factor up to 1995, "future use" in
// 2002 and in 2019 a code of how the file came about (1.10000 an accredited
// laboratory …), which must not be multiplied in. Sources: IES LM-63-1995,
// -2002 and -2019.
func (f *File) scale(h lm63Head) (float64, error) {
	if !(h.multiplier > 0) {
		return 0, refuse(h.line, "candela multiplier %g leaves no light", h.multiplier)
	}
	if h.ballast < 0 {
		return 0, refuse(h.scaleLine, "ballast factor %g is negative", h.ballast)
	}
	if h.ballast == 0 {
		f.warn(h.scaleLine, "ballast factor 0; taken as 1")
		h.ballast = 1
	}
	scale := h.multiplier * h.ballast
	switch f.Edition {
	case edition1986, edition1991, edition1995:
		switch {
		case h.field12 < 0:
			return 0, refuse(h.scaleLine, "ballast-lamp photometric factor %g is negative", h.field12)
		case h.field12 == 0:
			f.warn(h.scaleLine, "ballast-lamp photometric factor 0; taken as 1")
		default:
			scale *= h.field12
		}
	case edition2002:
		if h.field12 != 1 {
			f.warn(h.scaleLine, "field 12 is %g; the 2002 edition keeps it for future use, so it is not applied", h.field12)
		}
	case "":
		if h.field12 != 1 {
			return 0, refuse(h.scaleLine, "field 12 is %g: a factor up to 1995, none later, and the edition is not known", h.field12)
		}
	}
	return scale, nil
}

// checkTail looks at what is left after the last candela.
func (f *File) checkTail(n *numbers, h lm63Head) error {
	if n.left() == 0 {
		return nil
	}
	t := n.tokens[n.next]
	if _, number := parseFloat(t.text); number {
		return refuse(t.line, "%d values are left over after %d × %d candelas: the counts of angles do not agree with the data", n.left(), h.nH, h.nV)
	}
	f.warn(t.line, "text after the last candela is left out")
	return nil
}
