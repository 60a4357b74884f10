package hanging

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

// HardwareNeed is what to look for on the mark of a piece of hardware: a need,
// not a choice. The rigger chooses and confirms.
type HardwareNeed struct {
	Line  string
	What  string // "clamp", "secondary suspension", "hanger of the pipe", "anchor of the arm"
	Units []string
	Count int
	LoadN float64 // the heaviest of them, at rest
	// Factor is between breaking load and load over people.
	Factor float64
	// RatedKg is the least marked working load, for marks at the general factor;
	// BreakingN the least breaking load where only that is known.
	RatedKg, BreakingN float64
	// FallN is the pull after a fall of the longest drop allowed into the thinnest
	// rope below, by the energy method; NaN where nothing falls.
	FallN float64
	// Listed names pieces of the tables that bear the load at the factor.
	Listed string
	Source string
	Note   string
	// DropM is the longest fall of its units, m, as the scheme states it, else the
	// longest allowed; NaN where nothing falls. Rank is what that fall calls for:
	// FallNote, FallWarn or FallStop; empty where nothing falls.
	DropM float64
	Rank  string
}

// hangerSpacing is the longest distance between hangers of a pipe under a beam, m.
//
// Source: common practice, 2.4 m (8 ft).
const hangerSpacing = 8 * 0.3048

// need fills ratings and sources of a load over people.
func need(line, what string, units []string, count int, load float64) HardwareNeed {
	over, _ := DesignFactor("over people")
	general, _ := DesignFactor("hardware overhead")
	h := HardwareNeed{Line: line, What: what, Units: units, Count: count, LoadN: load, Factor: over, FallN: math.NaN(), BreakingN: load * over, DropM: math.NaN()}
	// A mark made at the general factor is used at half over people.
	h.RatedKg = load * over / general / si.StandardGravity
	h.Source = fmt.Sprintf("breaking load over load %g over people (DGUV Information 215-320 4.3.1; common practice), marks made at %g (ASME B30.26; 2006/42/EC Annex I 4.1.2.5): the stricter stands", over, general)
	return h
}

// hardware lists what a line's units, pipe and arms need.
func (c *checker) hardware(l *Line, rl room.Line) {
	if forbidden(rl) != "" {
		return
	}
	heavy, names := 0.0, []string{}
	for _, p := range l.Loads {
		heavy = math.Max(heavy, float64(p.Mass))
		names = append(names, p.Unit)
	}
	if n := len(l.Loads); n > 0 && heavy > 0 {
		w := heavy * si.StandardGravity
		clamp := need(l.Name, "clamp", names, n, w)
		clamp.Note = "marked for the pipe's diameter, with a locking bolt"
		if rl.Kind == "pier" || rl.Kind == "wall" {
			clamp.Note = "at the end of the arm; marked, with a locking bolt"
		}
		c.needs = append(c.needs, clamp)
		second := need(l.Name, "secondary suspension", names, n, w)
		stated := "the longest allowed; the scheme states none"
		if c.falls(l, &second) {
			stated = "as the scheme states it"
		}
		// What is chosen by its breaking load must outlast the pull after the fall, not
		// the load at rest alone; a marked assembly is tested with its fall.
		second.BreakingN = math.Max(second.BreakingN, second.FallN)
		second.Listed = ropeForFall(heavy, second.DropM, second.Factor, second.BreakingN, c.Profile.ID)
		second.Note = fmt.Sprintf("independent of the clamp, around structure or pipe, no slack, never more than %.2f m; the pull is after a fall of %.2f m (%s) on a %.1f m rope of 3 mm on an anchor that does not give, an upper figure; its breaking load is not below that pull; a rated assembly, confirmed by a qualified rigger",
			MaxDrop, second.DropM, stated, secondLength)
		c.needs = append(c.needs, second)
	}
	if l.PipeKg > 0 {
		c.needs = append(c.needs, pipeHangers(l, c.Profile.ID))
	}
	if l.OtherKg > 0 {
		n := len(l.Loads)
		arm := need(l.Name, "anchor of the arm", names, n, (heavy+l.OtherKg/float64(max(n, 1)))*si.StandardGravity)
		arm.Note = "the arm also turns at the wall: the engineer designs the anchor and sets the pull test"
		c.needs = append(c.needs, arm)
	}
}

// falls fills the fall of a line's units into their secondary suspensions, as the
// scheme states it, with the pull of the worst, and ranks them by energy; the
// longest fall allowed stands for a unit that states none. It tells whether all
// state one.
func (c *checker) falls(l *Line, h *HardwareNeed) (stated bool) {
	type fall struct {
		unit               string
		mass, drop, energy float64
	}
	fallOf := map[string]float64{}
	for _, u := range c.Placed {
		if d := float64(u.Fall.Value); u.Line == l.Name && u.Fall.Set && d >= 0 && finite(d) {
			fallOf[u.ID] = d
		}
	}
	pull := func(f fall) float64 {
		return ArrestForce(f.mass, f.drop, RopeMetal(.003, "7x19"), RopeModulus, secondLength)
	}
	var given []fall
	stated = true
	h.DropM, h.FallN, h.Rank = 0, 0, FallNote
	for _, p := range l.Loads {
		d, ok := fallOf[p.Unit]
		f := fall{p.Unit, float64(p.Mass), d, float64(p.Mass) * si.StandardGravity * d}
		switch {
		case !ok:
			stated = false
			f.drop = MaxDrop
		case d > 0:
			given = append(given, f)
		}
		h.DropM, h.FallN = math.Max(h.DropM, f.drop), math.Max(h.FallN, pull(f))
		if ok {
			if long, bad := c.Book.Check("HANGING_FALL_LONG", c.Profile.ID, "unit "+p.Unit, d, finding.Mass("mass", p.Mass),
				finding.Num("energy", f.energy, "J"), finding.Num("pull", pull(f), "N")); bad {
				c.add(long)
			}
		}
	}
	h.Rank = Fall(h.DropM)
	if len(given) == 0 {
		return stated
	}
	sort.SliceStable(given, func(i, j int) bool { return given[i].energy > given[j].energy })
	var ranked []string
	worst := 0.0
	for _, f := range given {
		ranked = append(ranked, fmt.Sprintf("%s %.1f J over %s", f.unit, f.energy, si.FormatBoth(si.Length(f.drop), c.Profile.Display)))
		worst = math.Max(worst, pull(f))
	}
	w := c.Book.New("HANGING_FALL", "line "+l.Name, finding.Text("ranked", strings.Join(ranked, "; ")), finding.Num("pull", worst, "N"))
	w.Value, w.HasValue = given[0].energy, true
	c.add(w)
	return stated
}

// secondLength is the length of a secondary suspension in the energy method, m
// (common practice: 0.6 m to 1 m, the shorter pulls harder).
const secondLength = 0.6

// pipeHangers is the heaviest of the hangers between a pipe and its beam: hangers
// at the ends' overhang and evenly between, as a pipe that runs through or is
// jointed at each, whichever pulls more.
func pipeHangers(l *Line, regionID string) HardwareNeed {
	size := float64(l.PipeTo - l.PipeFrom)
	end := math.Min(pipeOverhang, size/4)
	spans := max(1, int(math.Ceil((size-2*end)/hangerSpacing-1e-9)))
	m := Member{LengthM: size, Spread: []Even{{0, size, l.SpreadKgPerM * si.StandardGravity}}}
	for i := range min(spans, 1000) + 1 {
		m.SupportsM = append(m.SupportsM, end+(size-2*end)*float64(i)/float64(spans))
	}
	for _, p := range l.Loads {
		at := math.Min(math.Max(float64(p.Along-l.PipeFrom), 0), size)
		m.Points = append(m.Points, Force{at, float64(p.Mass) * si.StandardGravity})
	}
	top := 0.0
	if s, ok := m.Solve(); ok {
		for _, r := range s.ReactionsN {
			top = math.Max(top, r)
		}
	}
	alone := make([]float64, len(m.SupportsM))
	for i, p := range m.cut() {
		if s, ok := p.Solve(); ok && i+1 < len(alone) {
			alone[i] += s.ReactionsN[0]
			alone[i+1] += s.ReactionsN[1]
		}
	}
	for _, r := range alone {
		top = math.Max(top, r)
	}
	h := need(l.Name, "hanger of the pipe", l.Units, spans+1, top)
	rods := rodsFor(top)
	if regionID != "us" && regionID != "" {
		rods = boltsFor(top, h.Factor)
	}
	h.Listed = joined(ropesFor(top, h.Factor, regionID), rods)
	h.Note = fmt.Sprintf("strap, beam clamp, wire rope or rod with its links, each; at most %.1f m apart; the weakest link counts, the load bears on top of the beam", hangerSpacing)
	return h
}

func joined(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, "; ")
}

// ropesFor names the thinnest listed rope with ferrules that bears a load at rest.
func ropesFor(load, factor float64, regionID string) string {
	share, _, _ := Efficiency("ferrule")
	for _, r := range ropesOf(regionID) {
		if n := WorkingLoad(r.breakingN, factor, share); n >= load {
			return fmt.Sprintf("from %s with ferrules, %.2f kN at rest (%s)", r.name, n/1000, r.source)
		}
	}
	return ""
}

// ropeForFall names the thinnest listed rope that bears a mass, kg, at rest over
// people and outlasts the pull after its fall, m, into a secondary suspension of that
// rope, and least, N, which is asked of any; it says so where none does.
//
// Source: D. Hall, Understanding Shock Loads, TD&T 49(2), 2013, on an anchor that does
// not give, so an upper figure.
func ropeForFall(mass, drop, factor, least float64, regionID string) string {
	share, _, _ := Efficiency("ferrule")
	for _, r := range ropesOf(regionID) {
		pull := ArrestForce(mass, drop, RopeMetal(r.diameterM, r.construction), RopeModulus, secondLength)
		if at := WorkingLoad(r.breakingN, factor, share); at >= mass*si.StandardGravity && r.breakingN*share >= math.Max(pull, least) {
			return fmt.Sprintf("from %s with ferrules: %.2f kN at rest, breaks at %.1f kN against a pull of %.1f kN into it (%s)", r.name, at/1000, r.breakingN*share/1000, pull/1000, r.source)
		}
	}
	return "no listed rope outlasts that fall: less slack, or a rated assembly that takes up the energy"
}

// rodsFor names the thinnest listed threaded rod that bears a load at rest over
// people; the rods' ratings are made at five to one and are halved.
func rodsFor(load float64) string {
	over, _ := DesignFactor("over people")
	general, _ := DesignFactor("hardware overhead")
	for _, r := range readHardware().Rods {
		if n := r.LoadLb * poundForce * general / over; n >= load {
			return fmt.Sprintf("from %s, %.2f kN at rest, not for swing or bending (%s)", r.Name, n/1000, r.Source)
		}
	}
	return ""
}
