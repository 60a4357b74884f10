package room

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// platform solves the platform's outline: a rectangle centred on the axis from
// its front edge upstage, unless people drew another.
func (v *solver) platform() {
	p := v.s.Platform
	h := p.Height.Or(0.3)
	sigma := survey.SigmaOf("", p.Height)
	for _, l := range v.room.Levels {
		if strings.EqualFold(l.Name, "platform") {
			h, sigma = l.Height, l.Sigma
		}
	}
	var g geom.Polygon
	for _, pl := range p.Outline {
		if at, known := v.place(pl); known[0] && known[1] {
			g = append(g, at.Plan())
		}
	}
	g = tidy(g)
	if len(g) < 3 || math.Abs(signedArea(g)) < 0.1 {
		w, d := float64(p.Width.Or(5)), float64(p.Depth.Or(3))
		g = geom.Polygon{{X: -w / 2}, {X: w / 2}, {X: w / 2, Y: d}, {X: -w / 2, Y: d}}
	}
	g = counterClockwise(g)
	b := boundsOf(g)
	for i := range g {
		g[i].Z = float64(h)
	}
	v.room.Platform = Platform{Outline: g, Height: h, Width: si.Length(b.maxX - b.minX), Depth: si.Length(b.maxY), SigmaHeight: sigma}
	if len(p.Outline) == 0 {
		v.room.Platform.Width, v.room.Platform.Depth = p.Width.Or(5), p.Depth.Or(3)
	}
}

// surfaces builds the shell, the platform and the galleries.
func (v *solver) surfaces() {
	out := shell(v.floor, v.room.Ceiling, v.room.Ground, v.room.Platform)
	out = append(out, v.raised("platform", "platform", v.room.Platform.Outline, v.room.Platform.Height.Metres())...)
	for _, g := range v.s.Galleries {
		out = append(out, v.gallery(g)...)
	}
	v.room.Surfaces = out
}

// raised returns top and sides of a solid step on the floor; sides that stand at
// a wall are left out.
func (v *solver) raised(name, kind string, outline geom.Polygon, height float64) []Surface {
	if height <= 0 {
		return nil
	}
	var out []Surface
	for i, g := range convexParts(outline) {
		s := Surface{Name: name, Kind: kind, Polygon: g}
		if i > 0 {
			s.Name = fmt.Sprintf("%s_%d", name, i+1)
		}
		out = append(out, s)
	}
	n := 0
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		if v.atWall(a, b) {
			continue
		}
		n++
		out = append(out, Surface{Name: fmt.Sprintf("%s_side_%d", name, n), Kind: kind,
			Polygon: geom.Polygon{a.Plan(), b.Plan(), b, a}})
	}
	return out
}

// atWall tells whether an edge lies on or beyond the room's walls.
func (v *solver) atWall(a, b geom.Vec) bool {
	m := a.Lerp(b, 0.5)
	if outsideBy(v.floor, m.X, m.Y) > 0 {
		return true
	}
	for i, p := range v.floor {
		d := v.floor[(i+1)%len(v.floor)].Sub(p)
		if n := d.Norm(); n > 0 && math.Abs(d.Cross(m.Plan().Sub(p)).Z)/n < 0.02 {
			return true
		}
	}
	return false
}

// gallery returns floor, soffit and fronts of a gallery. Heights nobody measured
// follow from the others: a floor 0.25 m thick, a front 0.9 m above the floor.
func (v *solver) gallery(g survey.Gallery) []Surface {
	var plan geom.Polygon
	for _, pl := range g.Outline {
		if at, known := v.place(pl); known[0] && known[1] {
			plan = append(plan, at.Plan())
		}
	}
	plan = tidy(plan)
	if len(plan) < 3 || math.Abs(signedArea(plan)) < 0.1 || selfCrossing(plan) {
		v.assume(45, survey.GalleryWord(g.Name), "Draw its corners on the plan.", "it blocks light and seats look from it",
			"it is left out of the room", "a volunteer")
		return nil
	}
	plan = counterClockwise(plan)
	floor, soffit, top, ok := v.galleryHeights(g)
	if !ok {
		return nil
	}
	base := "gallery_" + slug(g.Name)
	at := func(p geom.Polygon, z si.Length) geom.Polygon {
		out := make(geom.Polygon, len(p))
		for i, q := range p {
			out[i] = geom.Vec{X: q.X, Y: q.Y, Z: z.Metres()}
		}
		return out
	}
	var out []Surface
	add := func(name string, p geom.Polygon) {
		out = append(out, Surface{Name: name, Kind: "gallery", Polygon: p})
	}
	for i, part := range convexParts(plan) {
		suffix := ""
		if i > 0 {
			suffix = fmt.Sprintf("_%d", i+1)
		}
		add(base+"_floor"+suffix, at(part, floor))
		add(base+"_soffit"+suffix, reversed(at(part, soffit)))
	}
	n := 0
	for i, a := range plan {
		b := plan[(i+1)%len(plan)]
		if v.atWall(a, b) {
			continue
		}
		n++
		suffix := ""
		if n > 1 {
			suffix = fmt.Sprintf("_%d", n)
		}
		e := geom.Polygon{a, b}
		lo, hi, deck := at(e, soffit), at(e, top), at(e, floor)
		add(base+"_front"+suffix, geom.Polygon{lo[0], lo[1], hi[1], hi[0]})
		if top > floor {
			add(base+"_front_inside"+suffix, geom.Polygon{deck[1], deck[0], hi[0], hi[1]})
		}
	}
	return out
}

// thickSigma is how much galleries differ in thickness, in metres (common practice).
const thickSigma = 0.1

func (v *solver) galleryHeights(g survey.Gallery) (floor, soffit, top si.Length, ok bool) {
	const thick, front = 0.25, 0.9
	switch {
	case g.Floor.Set:
		floor = g.Floor.Value
	case g.Soffit.Set:
		floor = g.Soffit.Value + thick
	case g.RailTop.Set:
		floor = g.RailTop.Value - front
	default:
		v.assume(75, survey.GalleryWord(g.Name), "Measure its underside and its rail top above the hall floor.", "it blocks light and seats look from it",
			"it is left out of the room", "a volunteer, with a laser")
		return 0, 0, 0, false
	}
	if !g.Soffit.Set || !g.Floor.Set && !g.RailTop.Set {
		v.assume(54, "thickness of "+survey.GalleryWord(g.Name), "Measure its underside from the hall floor and its floor from its stair.", "it blocks light",
			fmt.Sprintf("%s, give or take %s", si.FormatBoth(thick, si.Metric), si.FormatBoth(thickSigma, si.Metric)), "a volunteer, with a laser")
	}
	soffit = g.Soffit.Or(floor - thick)
	switch {
	case g.RailTop.Set:
		top = g.RailTop.Value
	case g.Front.Set:
		top = soffit + g.Front.Value
	default:
		top = floor + front
		v.assume(55, "rail top of "+survey.GalleryWord(g.Name), "Measure the height of its front from behind the rail.", "it blocks light and lamps may stand on it",
			fmt.Sprintf("%s above its floor, give or take %s", si.FormatBoth(front, si.Metric), si.FormatBoth(si.Length(survey.AssumedSigma("B10")), si.Metric)), "a volunteer")
	}
	return floor, soffit, max(top, soffit+0.05), true
}

func slug(name string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '_'
	}, name), "_")
}

// solids builds what blocks light: boxes, columns, and the members lines are.
func (v *solver) solids() {
	for _, o := range v.s.Solids {
		if o.State == survey.Removed {
			continue
		}
		at, known := v.place(o.Centre)
		if !known[0] || !known[1] {
			v.assume(42, o.Name, "Measure where it stands.", "it may block light",
				"it is left out", "a volunteer")
			continue
		}
		if !known[2] {
			at.Z = 0
			if v.room.Platform.Outline.ContainsPlan(at.X, at.Y) {
				at.Z = v.room.Platform.Height.Metres()
			}
		}
		w, d := float64(o.Width.Or(0.3)), float64(o.Depth.Or(o.Width.Or(0.3)))
		// A thing of unknown height reaches the ceiling: the darker assumption.
		h := float64(o.Height.Or(v.room.Ceiling.HeightAt(at.X, at.Y) - si.Length(at.Z)))
		s := Solid{Name: o.Name, Base: at, KeepClear: o.KeepClear.Or(0), Movable: o.Movable, Sigma: v.placeSigma(o.Centre)}
		if w <= 0 || d <= 0 || h <= 0 {
			continue
		}
		if !o.Width.Set || !o.Height.Set {
			v.guess(&v.guessedSolids, o.Name)
		}
		if o.Shape == "cylinder" {
			s.Faces = cylinderFaces(at, w, h)
		} else {
			s.Faces = boxFaces(at, w, d, h)
		}
		v.room.Solids = append(v.room.Solids, s)
	}
	if len(v.guessedSolids) > 0 {
		v.assume(41, "size of "+v.named(v.guessedSolids), "Tape the width of each, and photograph it with a stick of known length for its height.", "they block light",
			"0.3 m wide where that is not known, give or take a half; where the height is not known, up to the ceiling", "a volunteer, with a tape")
	}
	for _, l := range v.room.Lines {
		size, member := memberSize[l.Kind]
		if !member {
			continue
		}
		w, d := l.Survey.Width.Or(size.width), l.Survey.Depth.Or(size.depth)
		if !l.Survey.Width.Set && !l.Survey.Depth.Set {
			v.guessedSize = append(v.guessedSize, l.Name)
		} else if !l.Survey.Depth.Set && (l.Kind == "tension_rod" || l.Kind == "pipe") {
			d = w
		}
		if faces := memberFaces(l.From, l.To, float64(w), float64(d)); faces != nil {
			v.room.Solids = append(v.room.Solids, Solid{Name: l.Name, Faces: faces, Base: l.From.Lerp(l.To, 0.5), Sigma: l.SigmaAt(l.From.Lerp(l.To, 0.5))})
		}
	}
	if len(v.guessedSize) > 0 {
		sort.Strings(v.guessedSize)
		v.assume(35, "size of "+strings.Join(v.guessedSize, ", "), "Photograph each square-on with a stick of known length beside it.",
			"clamps and straps must fit, and members block light", "usual sizes of their kind, give or take a half", "a volunteer, from the floor")
	}
}

// pictures places screens and windows.
func (v *solver) pictures() {
	for _, sc := range v.s.Screens {
		if sc.State == survey.Removed {
			continue
		}
		at, known := v.place(sc.Centre)
		w, h := float64(sc.Width.Or(2.4)), float64(sc.Height.Or(sc.Width.Or(2.4)*9/16))
		if !known[0] {
			at.X = 0
		}
		if !known[1] {
			at.Y = boundsOf(v.floor).maxY
		}
		switch {
		case sc.Bottom.Set:
			at.Z = float64(sc.Bottom.Value)
		case known[2]:
			at.Z -= h / 2
		default:
			at.Z = v.room.Platform.Height.Metres() + 1.8
		}
		if !sc.Width.Set || !sc.Height.Set || !known[0] || (!sc.Bottom.Set && !known[2]) {
			v.assume(58, "screen "+sc.Name, "Measure its width, height, bottom edge and distance from the centre line.", "light must stay off it",
				fmt.Sprintf("%s by %s, bottom at %s", si.FormatBoth(si.Length(w), si.Metric), si.FormatBoth(si.Length(h), si.Metric), si.FormatBoth(si.Length(at.Z), si.Metric)), "a volunteer, with a tape")
		}
		if w <= 0 || h <= 0 {
			continue
		}
		g := upright(at, w, h, sc.FacingDeg)
		sigma := v.placeSigma(sc.Centre)
		if sc.Bottom.Set {
			sigma.Z = edgeSigma(sc.Bottom, sc.Height)
		}
		v.room.Screens = append(v.room.Screens, Screen{Name: sc.Name, Kind: sc.Kind, Corners: g, Bottom: si.Length(at.Z), White: sc.White, Sigma: sigma})
		v.room.Surfaces = append(v.room.Surfaces, Surface{Name: "screen_" + slug(sc.Name), Kind: "screen", Polygon: g})
	}
	for _, w := range v.s.Windows {
		at, known := v.place(w.Centre)
		wide, high := float64(w.Width.Or(1.2)), float64(w.Height.Or(2))
		if !known[0] && !known[1] {
			v.assume(38, "window "+w.Name, "Measure where it is.", "daylight comes through it",
				"it is left out", "a volunteer")
			continue
		}
		switch {
		case w.Sill.Set:
			at.Z = float64(w.Sill.Value)
		case known[2]:
			at.Z -= high / 2
		default:
			at.Z = 1
		}
		if wide <= 0 || high <= 0 {
			continue
		}
		if !w.Width.Set || !w.Height.Set || (!w.Sill.Set && !known[2]) || w.Glass == "" {
			v.guess(&v.guessedWindows, w.Name)
		}
		g := upright(at, wide, high, w.FacingDeg)
		sigma := v.placeSigma(w.Centre)
		if w.Sill.Set {
			sigma.Z = edgeSigma(w.Sill, w.Height)
		}
		v.room.Windows = append(v.room.Windows, Window{Name: w.Name, Polygon: g, Glass: w.Glass, Luminance: w.Luminance, Blind: w.Blind, Sigma: sigma,
			Transmittance: w.Transmittance, TintX: w.TintX, TintY: w.TintY})
		v.room.Surfaces = append(v.room.Surfaces, Surface{Name: "window_" + slug(w.Name), Kind: "window", Polygon: g})
	}
	if len(v.guessedWindows) > 0 {
		v.assume(37, "windows "+v.named(v.guessedWindows), "Measure each one's width, height and sill, and look whether its glass is clear.", "daylight and bright pictures come through them",
			fmt.Sprintf("what is not known of them: 1.2 m by 2 m with the sill at 1 m, clear, give or take %s", si.FormatBoth(si.Length(survey.AssumedSigma("W2")), si.Metric)), "a volunteer, with a tape")
	}
	for _, g := range v.s.Glosses {
		at, known := v.place(g.Centre)
		w, d := float64(g.Width.Or(0))/2, float64(g.Depth.Or(0))/2
		if !known[0] || !known[1] || w <= 0 || d <= 0 {
			continue
		}
		if !known[2] && v.room.Platform.Outline.ContainsPlan(at.X, at.Y) {
			at.Z = v.room.Platform.Height.Metres()
		}
		v.room.Glosses = append(v.room.Glosses, Gloss{Name: g.Name, Polygon: geom.Polygon{
			at.Add(geom.Vec{X: -w, Y: -d}), at.Add(geom.Vec{X: w, Y: -d}), at.Add(geom.Vec{X: w, Y: d}), at.Add(geom.Vec{X: -w, Y: d})}})
	}
}

// seatedEye is the height of a seated person's eyes above the floor (common practice).
const seatedEye si.Length = 1.2

// eyeSigma is how much seated people differ in the height of their eyes, in
// metres (from memory).
const eyeSigma = 0.06

// maxRows bounds what a slip in the number of rows can make.
const maxRows = 500

// people places seated eyes and the named places people look from.
func (v *solver) people() {
	b := boundsOf(v.floor)
	for _, st := range v.s.Seating {
		out := Seating{Name: st.Name, Fixed: st.Fixed, Survey: st}
		eye := v.level(st.Level) + st.EyeHeight.Or(seatedEye)
		first := float64(st.FirstY.Or(-1.5))
		out.Sigma = geom.Vec{X: typedSigma("", st.CentreX), Y: typedSigma("", st.FirstY), Z: eyeSigma}
		if st.LastY.Set {
			out.Sigma.Y = math.Max(out.Sigma.Y, typedSigma("", st.LastY))
		}
		onHall := v.level(st.Level) == 0
		rows := min(max(st.Rows, 0), maxRows)
		pitch := float64(st.Pitch.Or(0.9))
		if st.LastY.Set && rows > 1 {
			pitch = (first - float64(st.LastY.Value)) / float64(rows-1)
		}
		half := float64(st.Width.Or(si.Length(math.Max(1, b.maxX-b.minX-2)))) / 2
		if !st.FirstY.Set || st.Rows == 0 {
			v.assume(48, "seating "+st.Name, "Measure from the platform edge to the first row, and count the rows.", "glare and the lift's way depend on it",
				fmt.Sprintf("%d rows from %s", rows, si.FormatBoth(si.Length(-first), si.Metric)), "a volunteer, with a tape")
		}
		if rows > 1 && !st.Pitch.Set && !st.LastY.Set {
			v.guess(&v.guessedPitch, st.Name)
		}
		if !st.EyeHeight.Set && rows > 0 {
			v.guess(&v.guessedEyes, st.Name)
		}
		for i := range rows {
			y := first - float64(i)*pitch
			x := float64(st.CentreX.Or(0))
			z := float64(eye)
			if onHall {
				z += v.room.Ground.HeightAt(y).Metres()
			}
			out.Rows = append(out.Rows, SeatRow{geom.Vec{X: x - half, Y: y, Z: z}, geom.Vec{X: x + half, Y: y, Z: z}})
		}
		v.room.Seating = append(v.room.Seating, out)
	}
	if len(v.guessedPitch) > 0 {
		v.assume(47, "row to row of seating "+v.named(v.guessedPitch), "Measure from the first row's back to the last row's.", "glare is judged in every row, and a lift passes between them",
			fmt.Sprintf("0.9 m, give or take %s a row", si.FormatBoth(si.Length(survey.AssumedSigma("T1")), si.Metric)), "a volunteer, with a tape")
	}
	if len(v.guessedEyes) > 0 {
		v.assume(29, "eyes in seating "+v.named(v.guessedEyes), "Measure a seated person's eyes above the floor.", "glare is judged there",
			fmt.Sprintf("%s above the floor, give or take %s", si.FormatBoth(seatedEye, si.Metric), si.FormatBoth(eyeSigma, si.Metric)), "a volunteer, with a tape")
	}
	for _, e := range v.s.Eyes {
		at, known := v.place(e.At)
		if !known[0] || !known[1] {
			v.assume(30, "eye "+e.Name, "Measure where it is.", "glare is judged there",
				"it is left out", "a volunteer")
			continue
		}
		if !known[2] {
			at.Z = float64(seatedEye + v.room.Ground.HeightAt(at.Y))
		}
		sigma := v.placeSigma(e.At)
		if !known[2] {
			sigma.Z = eyeSigma
		}
		v.room.Eyes = append(v.room.Eyes, Eye{e.Name, at, sigma})
	}
}

// reflectances gives every surface its reflectance in the finished room.
func (v *solver) reflectances() {
	kinds := map[string]bool{}
	for i := range v.room.Surfaces {
		s := &v.room.Surfaces[i]
		r, known := v.finish.of(*s)
		s.Reflectance = r
		if !known && s.Kind != "screen" && s.Kind != "window" && s.Kind != "opening" {
			s.SigmaReflectance = survey.AssumedSigma("S7")
			name := s.Kind
			if strings.HasPrefix(s.Name, "wall_behind") {
				name = "wall behind the platform"
			}
			kinds[fmt.Sprintf("%s %.2f", name, r)] = true
		}
	}
	for i := range v.room.Solids {
		b := &v.room.Solids[i]
		b.Reflectance = v.finish[b.Name]
	}
	for k := range kinds {
		v.guessed = append(v.guessed, k)
	}
	if len(v.guessed) == 0 {
		return
	}
	sort.Strings(v.guessed)
	v.assume(36, "reflectances", "Photograph each surface with a sheet of white paper in the frame.", "light bounces off it",
		"usual values, "+strings.Join(v.guessed, ", ")+", give or take "+fmt.Sprintf("%.2g", survey.AssumedSigma("S7")), "a volunteer")
}
