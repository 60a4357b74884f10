package light

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

const (
	// defaultTolerancePct is the tolerance round a target that states none.
	// Source: common practice, key of all zones within ±20 %.
	defaultTolerancePct = 20
	// defaultEvenness is the min/average wanted where the brief states none.
	// Source: common practice, 0.7 for zones where faces are watched.
	defaultEvenness = 0.7
	// defaultSpillPct is the room light on a picture, in percent of its white,
	// taken where the brief states none. 5 % leaves a contrast of about 20:1, over
	// the 15:1 of basic decision making in ANSI/INFOCOMM 3M-2011.
	defaultSpillPct = 5
	// underScreenM is how far under a picture's bottom the upper edge of a field
	// must stay. Source: common practice.
	underScreenM = 0.15
	// glareSideDeg is the plan angle each side of a speaker's line of sight in
	// which a low unit is in the way. Source: common practice.
	glareSideDeg = 30
	// leastGlareLx leaves out units that hardly reach the speaker's eye.
	leastGlareLx = 1
	// nearKeepClearM is how much farther than the distance to keep clear a lens
	// is still worth a note: about an arm's length and a half, the reach of
	// somebody who services it.
	nearKeepClearM = 1.0
	// nearAxisM is the distance from a forbidden line under which a beam's axis
	// is worth a note: hands reach that far when focusing.
	nearAxisM = 1.0
)

// check turns the report into findings.
func (e *evaluator) check() {
	for i, z := range e.in.Brief.Zones {
		e.checkZone(z, e.rep.Zones[i])
	}
	e.checkBalance()
	for i, u := range e.rep.Units {
		e.checkUnit(e.in.Sources[i], u)
	}
	e.checkScreens()
	e.checkMirrors()
	e.checkSun()
	e.checkWindows()
	e.checkKeepClear()
	e.findings = append(e.findings, CheckCameras(e.rep.Cameras, "", e.in.Book, e.in.Region)...)
	e.checkHouse()
	e.checkSpill()
	e.checkFlares()
	e.checkRods()
	for _, w := range e.rep.Walls {
		if !math.IsNaN(w.FacePct) {
			e.bound("LIGHT_WALL_BRIGHT", called("wall", w.Name), w.FacePct,
				finding.Lux("average", si.Illuminance(w.AverageLx)), finding.Lux("key", si.Illuminance(e.rep.Balance.MeanLx)))
		}
	}
}

// add keeps a finding without a limit.
func (e *evaluator) add(code, subject string, args ...finding.Arg) {
	e.findings = append(e.findings, e.in.Book.New(code, subject, args...))
}

// bound holds a value against the code's own limits.
func (e *evaluator) bound(code, subject string, value float64, args ...finding.Arg) {
	if f, bad := e.in.Book.Check(code, e.in.Region, subject, value, args...); bad {
		e.findings = append(e.findings, f)
	}
}

// against keeps a finding about a limit that the brief or the survey states.
// Value and limit ride along as arguments so that the fingerprint rests on them.
func (e *evaluator) against(code, subject string, value, limit float64, source string, args ...finding.Arg) {
	args = append(args, finding.Num("value_held", value, ""), finding.Num("limit_held", limit, ""))
	f := e.in.Book.New(code, subject, args...)
	f.Value, f.HasValue, f.Limit, f.HasLimit, f.Source = value, true, limit, true, source
	e.findings = append(e.findings, f)
}

func luxArg(name string, lx float64) finding.Arg { return finding.Lux(name, si.Illuminance(lx)) }

// called returns a thing's name with its kind before it, unless the name says
// what it is.
func called(kind, name string) string {
	if strings.Contains(strings.ToLower(name), kind) {
		return name
	}
	return kind + " " + name
}

// checkZone holds a zone's level and evenness against its brief.
func (e *evaluator) checkZone(b brief.Zone, z Zone) {
	subject := "zone " + z.Name
	if len(z.Faces) == 0 {
		e.add("LIGHT_ZONE_NO_PLACE", subject)
		return
	}
	if b.Target.Set && z.TargetLx > 0 {
		e.checkTarget(b, z)
	}
	wanted, source := b.Evenness, "the brief"
	if !(wanted > 0) {
		wanted, source = defaultEvenness, "common practice: min/average 0.7 where faces are watched"
	}
	if z.AverageLx > 0 && z.Evenness < wanted {
		e.against("LIGHT_EVENNESS", subject, z.Evenness, wanted, source,
			finding.Lux("min", si.Illuminance(z.MinLx)), finding.Lux("average", si.Illuminance(z.AverageLx)))
	}
	if !math.IsNaN(z.BackRatio) {
		e.bound("LIGHT_BACK_OVER_KEY", subject, z.BackRatio,
			finding.Lux("back", si.Illuminance(z.OwnBackLx)), finding.Lux("key", si.Illuminance(z.KeyLx)),
			finding.Percent("run_at", 100/z.BackRatio))
	}
	if z.KeyLx > 0 && z.FillLx > 0 {
		e.bound("LIGHT_FILL_OVER_KEY", subject, z.FillLx/z.KeyLx*100,
			finding.Lux("fill", si.Illuminance(z.FillLx)), finding.Lux("key", si.Illuminance(z.KeyLx)))
	}
}

// checkTarget compares a zone with its target: the darkest key place (the
// average of a grid) must not fall short, the average not pass it.
func (e *evaluator) checkTarget(b brief.Zone, z Zone) {
	tol, source := b.TolerancePct, "the brief"
	if !(tol > 0) {
		tol, source = defaultTolerancePct, "the brief's target; tolerance ±20 %, common practice"
	}
	least, what := z.AverageLx, "average"
	if z.GridStepM == 0 {
		least, what = z.MinLx, "least at a key place"
	}
	args := []finding.Arg{
		finding.Lux("target", si.Illuminance(z.TargetLx)), finding.Percent("tolerance", tol),
		finding.Lux("average", si.Illuminance(z.AverageLx)),
	}
	if low := z.TargetLx * (1 - tol/100); least < low {
		e.against("LIGHT_TARGET_LOW", "zone "+z.Name, least, low, source, append(args, finding.Text("what", what))...)
	}
	if high := z.TargetLx * (1 + tol/100); z.AverageLx > high {
		args = append(args, finding.Percent("run_at", z.TargetLx/z.AverageLx*100))
		e.against("LIGHT_TARGET_HIGH", "zone "+z.Name, z.AverageLx, high, source, args...)
	}
}

func (e *evaluator) checkBalance() {
	b := e.rep.Balance
	if b.Zones < 2 {
		return
	}
	e.bound("LIGHT_KEY_BALANCE", "key light", math.Max(-b.LowPct, b.HighPct),
		finding.Lux("mean", si.Illuminance(b.MeanLx)), finding.Percent("low", b.LowPct), finding.Percent("high", b.HighPct),
		finding.Text("darkest", b.Darkest), finding.Text("brightest", b.Bright))
	e.bound("LIGHT_KEY_STEP", "key light", b.Step,
		finding.Text("darkest", b.Darkest), finding.Text("brightest", b.Bright))
}

// checkUnit holds a unit's own geometry against the rules of sight and shadow.
func (e *evaluator) checkUnit(s Source, u Unit) {
	subject := "unit " + u.ID
	e.checkShadow(s, u)
	if s.isFront() {
		e.checkSpeakerGlare(s, subject)
	}
	if !math.IsNaN(u.LowestEyeDeg) {
		e.bound("LIGHT_EYE_GLARE", subject, u.LowestEyeDeg, finding.Text("eye", u.LowestEye),
			finding.Text("cut", cutter(s, "half hat or barn doors", "barn_doors", "half_hat", "top_hat", "shutters")))
	}
}

// cutter says with what a unit's light is cut: what it carries, else what it needs.
func cutter(s Source, needed string, fits ...string) string {
	for _, a := range s.Accessories {
		for _, f := range fits {
			if a == f {
				return "its " + strings.ReplaceAll(f, "_", " ")
			}
		}
	}
	return needed + " (none listed with the unit)"
}

// checkShadow names what stands between a unit and its aim or its own places.
func (e *evaluator) checkShadow(s Source, u Unit) {
	by, places := "", []string{}
	if u.Shadowed != "" {
		by, places = u.Shadowed, append(places, "its aim")
	}
	for _, z := range e.rep.Zones {
		if z.Name != s.Zone || z.GridStepM != 0 {
			continue
		}
		for _, f := range z.Faces {
			for _, c := range f.Contributions {
				if c.Unit == s.ID && c.Shadowed != "" && s.offAxisDeg(f.At) < s.field()/2 {
					by, places = c.Shadowed, append(places, f.Name)
				}
			}
		}
	}
	if len(places) > 0 {
		e.add("LIGHT_SHADOWED", "unit "+s.ID, finding.Text("by", by), finding.Text("places", list(places)))
	}
}

// checkSpeakerGlare reports a front unit low in the view of somebody on the
// platform who looks along their facing: the lowest such case.
func (e *evaluator) checkSpeakerGlare(s Source, subject string) {
	low, who := math.NaN(), ""
	for _, z := range e.rep.Zones {
		for _, f := range z.Faces {
			d := s.At.Sub(f.At)
			side := angleDeg(f.Facing.Plan(), d.Plan())
			if side > glareSideDeg || !(e.inEye(s, watcher{at: f.At, look: f.Facing}).Lx >= leastGlareLx) {
				continue
			}
			if el := math.Atan2(d.Z, d.Plan().Norm()) * 180 / math.Pi; !(el >= low) {
				low, who = el, f.Name
			}
		}
	}
	if who != "" {
		e.bound("LIGHT_SPEAKER_GLARE", subject, low, finding.Text("face", who))
	}
}

func (e *evaluator) checkScreens() {
	limit, source := e.in.Brief.Limits.ScreenSpillPct, "the brief"
	if !(limit > 0) {
		limit, source = defaultSpillPct, "5 % of white leaves about 20:1; ANSI/INFOCOMM 3M-2011 asks 15:1 for basic decision making"
	}
	for i, sc := range e.rep.Screens {
		if sc.SpillPct > limit {
			e.against("LIGHT_SCREEN_SPILL", called("screen", sc.Name), sc.SpillPct, limit, source,
				finding.Lux("average", si.Illuminance(sc.AverageLx)), finding.Lux("white", si.Illuminance(sc.WhiteLx)),
				finding.Num("contrast", sc.Contrast, ""), finding.Text("worst", sc.Worst))
		}
		for _, s := range e.in.Sources {
			if s.isFront() {
				e.checkScreenEdge(s, e.in.Room.Screens[i])
			}
		}
	}
}

// checkScreenEdge asks for a cut where a unit's field reaches a picture.
func (e *evaluator) checkScreenEdge(s Source, sc room.Screen) {
	bottom := math.Inf(1)
	for _, c := range sc.Corners {
		bottom = math.Min(bottom, c.Z)
	}
	limit := bottom - underScreenM
	edge, reaches := edgeOnScreen(s, sc)
	if cut, ok := s.Dist.(photometry.Cut); ok && reaches {
		edge, reaches = e.cutOnScreen(s, cut, sc)
	}
	if !reaches || edge <= limit {
		return
	}
	e.against("LIGHT_SCREEN_EDGE", fmt.Sprintf("unit %s on %s", s.ID, called("screen", sc.Name)), edge, limit,
		"common practice: the upper edge of the field stays 0.15 m below the picture",
		finding.Text("unit", s.ID), finding.Text("screen", called("screen", sc.Name)), finding.Len("bottom", si.Length(bottom)),
		finding.Text("cut", cutter(s, "a top barn door or shutter", "barn_doors", "shutters")))
}

// checkMirrors reports each light once per glossy surface, with the eyes it meets.
func (e *evaluator) checkMirrors() {
	type key struct{ source, gloss string }
	eyes := map[key][]string{}
	for _, m := range e.rep.Mirrors {
		k := key{m.Source, m.Gloss}
		eyes[k] = append(eyes[k], m.Eye)
	}
	for _, m := range e.rep.Mirrors {
		k := key{m.Source, m.Gloss}
		if eyes[k] == nil {
			continue
		}
		code := "LIGHT_MIRROR_GLARE"
		if m.Existing && (m.Fate == "remove" || m.Fate == "replace") {
			code = "LIGHT_MIRROR_OLD"
		}
		e.add(code, fmt.Sprintf("light %s in %s", m.Source, m.Gloss),
			finding.Text("source", m.Source), finding.Text("gloss", m.Gloss), finding.Text("eyes", list(eyes[k])),
			finding.Len("x", si.Length(m.At.X)), finding.Len("y", si.Length(m.At.Y)))
		eyes[k] = nil
	}
}

func (e *evaluator) checkSun() {
	for _, h := range e.rep.Sun {
		if h.Blind {
			continue
		}
		fill := "no fill from the other side"
		if h.FillLx > 0 && h.KeyLx > 0 {
			fill = fmt.Sprintf("the fill from the other side gives %.0f %% of the key (up to a third is usual)", h.FillPct)
		}
		e.add("LIGHT_SUN_ON_FACE", fmt.Sprintf("face %s, %s", h.Face, h.Check),
			finding.Text("face", h.Face), finding.Text("window", h.Window), finding.Text("when", h.Check),
			finding.Deg("off_axis", math.Abs(h.OffAxisDeg)), finding.Len("height", si.Length(h.At.Z)),
			finding.Len("y", si.Length(h.At.Y)), finding.Text("fill", fill))
	}
}

func (e *evaluator) checkWindows() {
	limit, ok := e.in.Book.Limit("LIGHT_WINDOW_CONTRAST", e.in.Region)
	for i, w := range e.rep.Windows {
		if ok && limit > 0 {
			e.rep.Windows[i].NeededLx = w.WindowCdM2 / limit * math.Pi / faceReflectance
		}
		e.bound("LIGHT_WINDOW_CONTRAST", fmt.Sprintf("%s behind zone %s", called("window", w.Window), w.Zone), w.Ratio,
			finding.Text("window", called("window", w.Window)), finding.Text("zone", w.Zone), finding.Text("from", w.From),
			finding.Num("luminance", w.WindowCdM2, "cd/m²"), finding.Num("face", w.FaceCdM2, "cd/m²"),
			finding.Lux("needed", si.Illuminance(e.rep.Windows[i].NeededLx)),
			finding.Num("even_1000", w.WindowCdM2/FaceLuminance(1000), ""))
	}
}

// checkKeepClear notes the lenses near a thing to keep clear, inside the
// distance or not; that none may stand inside is the scheme's own check.
func (e *evaluator) checkKeepClear() {
	for _, k := range e.rep.KeepClear {
		if k.NearestM < k.NeedM+nearKeepClearM {
			e.add("LIGHT_NEAR_KEEP_CLEAR", k.Name, finding.Text("units", k.UnitsText),
				finding.Len("need", si.Length(k.NeedM)), finding.Len("distance", si.Length(k.NearestM)))
		}
	}
}

// checkRods reports per forbidden line the beam that passes it nearest.
func (e *evaluator) checkRods() {
	for _, l := range e.in.Room.Lines {
		if !avoided(l) {
			continue
		}
		nearest, below, unit, count := math.Inf(1), math.NaN(), "", 0
		for _, s := range e.in.Sources {
			d := segmentDistance(s.At, s.Aim, l.From, l.To)
			if d < nearAxisM {
				count++
			}
			if d < nearest {
				nearest, below, unit = d, crossingAbove(s.At, s.Aim, l.From, l.To), s.ID
			}
		}
		if count == 0 {
			continue
		}
		how := "below it"
		switch {
		case math.IsNaN(below):
			below, how = nearest, "beside it"
		case below < 0:
			how = "over it"
		}
		e.add("LIGHT_NEAR_ROD", "line "+l.Name, finding.Text("line", l.Name), finding.Text("unit", unit),
			finding.Len("distance", si.Length(nearest)), finding.Len("height", si.Length(math.Abs(below))),
			finding.Text("how", how), finding.CountOf("count", count))
	}
}
