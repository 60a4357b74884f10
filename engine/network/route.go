package network

import (
	"math"
	"sort"
	"strconv"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// splitterSizes are the usual counts of isolated outputs (common practice).
var splitterSizes = []int{4, 6, 8, 10}

// patchLeadM is the run that a lead out of the equipment's own box covers; a
// longer one between booth and splitter is a cable to be laid (common practice).
const patchLeadM = 5

// Route lays out the control data of a design: where the splitter stands, which
// units share a branch and in which cable order, how long each branch is
// (metres, with slack and a standard deviation), and every start address. The
// designer's branches, legs and addresses win; pinned addresses never move.
// No units give an empty plan.
func Route(in Input) (Plan, []finding.Finding) {
	var plan Plan
	ds := devices(in)
	at, sigma, how := splitter(in)
	gs, twice, unknown := groups(in, ds)
	plan.Splitter = Splitter{X: at.X, Y: at.Y, Z: at.Z, SigmaM: sigma, From: how}
	if len(ds) == 0 && len(gs) == 0 {
		return plan, nil
	}
	orders := make([][]int, len(gs))
	for i, g := range gs {
		housePlaces(in, g.devices)
		if g.labelled > 0 {
			g = g.inCableOrder(at)
			gs[i] = g
		}
		r := route(at, sigma, g, in.Room)
		orders[i] = r.order
		b := branch(in, g, r)
		b.Places = g.numbers(r.order)
		plan.Branches = append(plan.Branches, b)
	}
	ads := assign(gs, orders, in.Pins)
	plan.Addresses = ads.addresses
	plan.Universes = universes(ads.addresses)
	for i := range plan.Branches {
		b := &plan.Branches[i]
		b.Universe = ads.universe[b.Name]
		plan.TotalCableM += b.LengthM
	}
	plan.Splitter.Used = len(plan.Branches)
	plan.Splitter.Outputs = outputs(in.Scheme.Splitter.Outputs, plan.Splitter.Used)
	plan.Splitter.Spare = plan.Splitter.Outputs - plan.Splitter.Used
	if booth, sigmaBooth, ok := dataPlace(in, "booth"); ok {
		if m := Manhattan(booth, at); m > patchLeadM {
			plan.FeedM = m + in.slack().Metres()
			plan.FeedSigmaM = math.Hypot(sigma, sigmaBooth)
		}
	}
	if in.Book == nil {
		return plan, nil
	}
	return plan, findings(in, plan, gs, ads, twice, unknown)
}

// branch makes the branch of a group from its route.
func branch(in Input, g group, r run) Branch {
	b := Branch{Name: g.name, Legs: r.legs, SlackM: in.slack().Metres(), Line: lineNames(g.devices), UnitLoads: len(g.devices)}
	for _, i := range r.order {
		b.Units = append(b.Units, g.devices[i].id)
		b.Slots += g.devices[i].slots
	}
	if n := len(b.Units); n > 0 {
		b.Terminate = b.Units[n-1]
	}
	b.Phase = branchPhase(in, g)
	variance := r.sigmaM * r.sigmaM
	if c := g.choice; c != nil {
		if c.Slack.Set {
			b.SlackM = math.Max(finite(geom.Vec{X: c.Slack.Value.Metres()}).X, 0)
		}
		var legs []Leg
		for _, l := range c.Legs {
			if l.Set && math.Abs(l.Value.Metres()) <= farM {
				legs = append(legs, Leg{"leg", math.Abs(l.Value.Metres())})
			}
		}
		if len(legs) > 0 {
			b.Legs, b.Typed, variance = legs, true, 0
		}
	}
	b.LengthM = b.SlackM
	for _, l := range b.Legs {
		b.LengthM += l.LengthM
		if b.Typed {
			variance += math.Pow(l.LengthM*typedLegSigma, 2)
		}
	}
	b.SigmaM = math.Sqrt(variance)
	return b
}

// branchPhase is the designer's, else the first phase that hangs a unit on the
// branch; the house control's is the one in which the house lights are
// converted.
func branchPhase(in Input, g group) string {
	if g.choice != nil && g.choice.Phase != "" {
		return g.choice.Phase
	}
	phase := ""
	for _, d := range g.devices {
		p := d.unit.Phase
		if d.noPlace {
			p = in.Scheme.HouseStep
		}
		if p == "" {
			p = "A"
		}
		if phase == "" || p < phase {
			phase = p
		}
	}
	if phase == "" {
		return "A"
	}
	return phase
}

// housePlaces gives the house control a place: a panel that feeds a dimmer, else
// any panel, else the wall panel, else the splitter itself.
func housePlaces(in Input, ds []device) {
	for i := range ds {
		if !ds[i].noPlace {
			continue
		}
		at, _, _ := splitter(in)
		if p, _, ok := dataPlace(in, "wall_panel"); ok {
			at = p
		}
		for _, p := range in.Survey.Panels {
			if v, ok := resolve(in, p.At); ok {
				at = v
				break
			}
		}
		ds[i].unit.At = at
	}
}

// outputs returns the designer's count, else the smallest usual size that
// leaves an output spare; above the largest size, the count that would be
// needed over several splitters.
func outputs(chosen, used int) int {
	if chosen > 0 {
		return chosen
	}
	for _, n := range splitterSizes {
		if n > used {
			return n
		}
	}
	return used + 1
}

// findings says what the plan breaks or leaves open.
func findings(in Input, p Plan, gs []group, ads addressing, twice, unknown []string) []finding.Finding {
	var out []finding.Finding
	b := in.Book
	add := func(f finding.Finding) { out = append(out, f) }
	check := func(code, subject string, v float64, args ...finding.Arg) {
		if f, hit := b.Check(code, in.Region, subject, v, args...); hit {
			add(f)
		}
	}
	if p.Splitter.From == "assumed" {
		add(b.New("NETWORK_SPLITTER_ASSUMED", "splitter", finding.Len("x", si.Length(p.Splitter.X)),
			finding.Len("y", si.Length(p.Splitter.Y)), finding.Len("sigma", si.Length(p.Splitter.SigmaM))))
	}
	check("NETWORK_SPARE_OUTPUT", "splitter", float64(p.Splitter.Spare), finding.CountOf("outputs", p.Splitter.Outputs), finding.CountOf("used", p.Splitter.Used))
	check("NETWORK_OUTPUTS", "splitter", float64(p.Splitter.Outputs))
	for _, br := range p.Branches {
		s := "branch " + br.Name
		check("NETWORK_BRANCH_LENGTH", s, br.LengthM, finding.Len("sigma", si.Length(br.SigmaM)))
		check("NETWORK_BRANCH_DEVICES", s, float64(br.UnitLoads))
		check("NETWORK_BRANCH_UNIT_LOADS", s, float64(br.UnitLoads))
		check("NETWORK_BRANCH_SLOTS", s, float64(br.Slots))
		if br.Terminate == "" {
			add(b.New("NETWORK_TERMINATION", s))
		}
	}
	for _, u := range p.Universes {
		check("NETWORK_SPARE_SLOTS", subject("universe", u.Number), 100-u.UsedPct, finding.CountOf("used", u.Used), finding.CountOf("free", u.Free))
	}
	for _, c := range ads.overlaps {
		pair := []string{c.a, c.b}
		sort.Strings(pair)
		add(b.New("NETWORK_ADDRESS_OVERLAP", "units "+pair[0]+" and "+pair[1], finding.CountOf("universe", c.universe), finding.CountOf("slot", c.slot)))
	}
	for _, a := range ads.crossing {
		check("NETWORK_ADDRESS_CROSSES", "unit "+a.Unit, float64(crossingSlot(a)), finding.CountOf("start", a.Start), finding.CountOf("slots", a.Slots))
	}
	for _, u := range ads.pinDiffers {
		add(b.New("NETWORK_PIN_DIFFERS", "unit "+u))
	}
	for _, u := range ads.mixed {
		add(b.New("NETWORK_BRANCH_TWO_UNIVERSES", "branch "+u))
	}
	for _, u := range ads.none {
		add(b.New("NETWORK_NO_ADDRESS", "unit "+u))
	}
	for _, u := range twice {
		add(b.New("NETWORK_UNIT_TWICE", "unit "+u))
	}
	for _, u := range unknown {
		if u != HouseControl {
			add(b.New("NETWORK_UNIT_UNKNOWN", "unit "+u))
		}
	}
	for _, g := range gs {
		for _, d := range g.devices {
			if !d.known {
				add(b.New("NETWORK_FOOTPRINT_UNKNOWN", "unit "+d.id, finding.Text("fixture", d.unit.Fixture)))
			}
		}
	}
	if len(p.Addresses) > 0 {
		add(b.New("NETWORK_LOSS_OF_SIGNAL", "data network"))
	}
	finding.Sort(out)
	return dedupe(out)
}

// crossingSlot is the slot that lies outside 1…512; a start below 1 is shown as
// the slot behind the end, since both leave the universe.
func crossingSlot(a Address) int {
	if a.Start < 1 {
		return universeSlots + 1
	}
	return a.End
}

func subject(kind string, n int) string { return kind + " " + strconv.Itoa(n) }

func dedupe(fs []finding.Finding) []finding.Finding {
	seen := map[string]bool{}
	out := fs[:0]
	for _, f := range fs {
		if !seen[f.Key] {
			seen[f.Key] = true
			out = append(out, f)
		}
	}
	return out
}
