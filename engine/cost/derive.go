package cost

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"roodbeam/engine/network"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// part is a quantity of something before it has a price.
type part struct {
	code, text, kind string
	qty              float64
	length           bool // qty is metres
	phase, by        string
	ahead            bool
	hours            float64
	needs            string
	own              bool // volunteers' own work: no price is looked for
}

// derive lists what the design needs, phase by phase.
func derive(in Input) []part {
	var out []part
	phases := PhaseNames(in)
	if len(in.Placed) == 0 && len(in.Load.Circuits) == 0 && in.Scheme.HouseStep == "" {
		return nil
	}
	out = append(out, fixtureParts(in)...)
	out = append(out, hangingParts(in)...)
	out = append(out, electricalParts(in)...)
	out = append(out, controlParts(in)...)
	out = append(out, houseParts(in)...)
	out = append(out, accessParts(in, phases)...)
	out = append(out, feeParts(in)...)
	out = append(out, labourParts(in, phases)...)
	return out
}

// fixtureParts counts units by fixture and phase; what the church owns already
// is used first, in the order of the phases.
func fixtureParts(in Input) []part {
	type key struct{ phase, code string }
	count := map[key]int{}
	var keys []key
	for _, u := range in.Placed {
		k := key{PhaseOf(u.Phase), u.Fixture}
		if count[k] == 0 {
			keys = append(keys, k)
		}
		count[k]++
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i].phase != keys[j].phase {
			return keys[i].phase < keys[j].phase
		}
		return keys[i].code < keys[j].code
	})
	owned := map[string]int{}
	var out []part
	for _, k := range keys {
		name, n := k.code, count[k]
		if f, ok := in.fixture(k.code); ok {
			if f.Name != "" {
				name = k.code + ", " + f.Name
			}
			if _, seen := owned[k.code]; !seen {
				owned[k.code] = f.Owned
			}
		}
		if use := min(owned[k.code], n); use > 0 {
			owned[k.code] -= use
			n -= use
			name += fmt.Sprintf(" (%d more are in the church)", use)
		}
		if n > 0 {
			out = append(out, part{code: k.code, text: name, kind: "fixtures", qty: float64(n), phase: k.phase})
		}
	}
	return out
}

func hangingParts(in Input) []part {
	clamps, arms := map[string]int{}, map[string]int{}
	for _, u := range in.Placed {
		f, _ := in.fixture(u.Fixture)
		if byHouse(u, f) {
			continue
		}
		p := PhaseOf(u.Phase)
		clamps[p]++
		switch in.lineKind(u.Line) {
		case "pier", "wall":
			arms[p]++
		}
	}
	var out []part
	for _, p := range sortedKeys(clamps) {
		out = append(out, part{code: CodeClamp, text: "Clamp and secondary suspension", qty: float64(clamps[p]), phase: p})
	}
	for _, pipe := range pipes(in) {
		out = append(out, part{code: CodePipe, text: "Pipe under " + pipe.line, qty: pipe.lengthM, length: true, phase: pipe.phase, ahead: true})
	}
	for _, p := range sortedKeys(arms) {
		out = append(out, part{code: CodePierArm, text: "Arm on pier or wall", qty: float64(arms[p]), phase: p, ahead: true})
	}
	return out
}

// metres returns a length for a bill: unknown or negative counts as none, and
// nothing is longer than a kilometre.
func metres(m float64) float64 {
	if math.IsNaN(m) {
		return 0
	}
	return math.Max(0, math.Min(1000, m))
}

type pipe struct {
	line, phase string
	lengthM     float64
}

// pipeEndsM is what a pipe reaches beyond its outermost units, both ends
// together (common practice: about a foot each).
const pipeEndsM = 0.6

// pipes returns the pipes to hang: as the scheme lists them, else one under
// each beam, chord, slab or frame that carries units, as long as surveyed for
// this scheme or as its units need. Pipes, rails, piers, walls and stands need
// none; nor does a line on which the hanging plan carries none.
func pipes(in Input) []pipe {
	var out []pipe
	listed := map[string]bool{}
	for _, p := range in.Scheme.Pipes {
		listed[p.Line] = true
		l := p.Length.Or(si.Length(unitsSpan(in, p.Line)))
		out = append(out, pipe{p.Line, PhaseOf(p.Phase), metres(l.Metres())})
	}
	bare := map[string]bool{}
	for _, l := range in.Hanging.Lines {
		bare[l.Name] = l.PipeKg == 0
	}
	for _, l := range in.Survey.Lines {
		if listed[l.Name] || bare[l.Name] {
			continue
		}
		listed[l.Name] = true
		switch l.Kind {
		case "pipe", "rail", "pier", "wall", "stand", "tension_rod":
			continue
		}
		first, any := "", false
		for _, u := range in.Placed {
			f, _ := in.fixture(u.Fixture)
			if u.Line == l.Name && !byHouse(u, f) {
				if p := PhaseOf(u.Phase); !any || p < first {
					first, any = p, true
				}
			}
		}
		if any {
			out = append(out, pipe{l.Name, first, metres(l.PipeLength.Or(si.Length(unitsSpan(in, l.Name))).Metres())})
		}
	}
	return out
}

func unitsSpan(in Input, line string) float64 {
	span := 0.0
	for i, a := range in.Placed {
		for _, b := range in.Placed[:i] {
			if a.Line == line && b.Line == line {
				span = math.Max(span, a.At.Sub(b.At).Norm())
			}
		}
	}
	return span + pipeEndsM
}

// circuitIncludedM is the run inside the generic price of a circuit.
const circuitIncludedM = 30

func electricalParts(in Input) []part {
	var out []part
	for _, c := range in.Load.Circuits {
		out = append(out, part{code: CodeCircuit, text: "Circuit " + c.Name, qty: 1, phase: CircuitPhase(in, c), ahead: true})
		// A quoted circuit is all in; only the generic figure has a length in it.
		if extra := metres(c.LengthM) - circuitIncludedM; extra > 0 && !in.owns(CodeCircuit) {
			out = append(out, part{code: CodeCircuitExtra, text: "Longer run of circuit " + c.Name, qty: extra, length: true, phase: CircuitPhase(in, c), ahead: true})
		}
	}
	return out
}

func (in Input) owns(code string) bool {
	for _, p := range in.Own {
		if p.Code == code {
			return true
		}
	}
	for _, w := range in.Brief.Works {
		if w.Code == code {
			return true
		}
	}
	return false
}

func controlParts(in Input) []part {
	var out []part
	first := firstPhase(in)
	if len(in.Network.Branches) > 0 {
		out = append(out, part{code: CodeSplitter, text: fmt.Sprintf("Data splitter, %d outputs", in.Network.Splitter.Outputs), qty: 1, phase: first})
	}
	for _, b := range in.Network.Branches {
		text := "Data cable " + b.Name
		if b.Line != "" {
			text += " (" + b.Line + ")"
		}
		out = append(out, part{code: CodeDataCable, text: text, qty: metres(b.LengthM), length: true, phase: PhaseOf(b.Phase), ahead: !houseBranch(b)})
	}
	if in.Network.FeedM > 0 {
		out = append(out, part{code: CodeDataCable, text: "Data cable, control place to splitter", qty: in.Network.FeedM, length: true, phase: first})
	}
	if in.Brief.Control.WallPanel {
		out = append(out, part{code: CodeWallPanel, text: "Wall panel by the entrance", qty: 1, phase: first})
	}
	if in.Brief.Control.Console {
		out = append(out, part{code: CodeConsole, text: "Control surface", qty: 1, phase: first})
	}
	return out
}

func houseBranch(b network.Branch) bool {
	if b.Line == "house" {
		return true
	}
	for _, u := range b.Units {
		if u == network.HouseControl {
			return true
		}
	}
	return false
}

// houseParts are the lamps or fixtures that replace old house lights, their
// control, and the old dimmers that must be got out of the way.
func houseParts(in Input) []part {
	step := in.Scheme.HouseStep
	if step == "" {
		return nil
	}
	var out []part
	lamps := map[string]int{}
	dimmed := false
	for _, e := range in.Survey.ExistingUnit {
		if e.Fate != "relamp" && e.Fate != "replace" || e.Count <= 0 {
			continue
		}
		dimmed = dimmed || e.Dimmer != ""
		if e.LampCode != "" {
			lamps[e.LampCode] += e.Count
		}
	}
	for _, code := range sortedKeys(lamps) {
		name := code
		if f, ok := in.fixture(code); ok && f.Name != "" {
			name = code + ", " + f.Name
		}
		out = append(out, part{code: code, text: name, kind: "house", qty: float64(lamps[code]), phase: step})
	}
	if in.Brief.House.Slots > 0 || in.Brief.House.DimBy == "dmx" || in.Brief.House.DimBy == "phase_cut" {
		out = append(out, part{code: CodeHouseControl, text: "Control of the house lights", qty: 1, phase: step})
	}
	if dimmed && len(in.Survey.Dimmers) > 0 {
		out = append(out, part{code: CodeDimmerBypass, text: "Old dimmer cabinet taken out of the way", qty: 1, phase: step, needs: "electrician_visit"})
	}
	return out
}

// LiftDays is for how many days a lift is hired in a phase: pipes, hanging and
// focus of the places it serves at six hours a day, and one day in and out.
func LiftDays(in Input, phase string) int {
	reach := ReachOf(in)
	lines := map[string]bool{}
	hours := 0.0
	for _, u := range in.Placed {
		if reach[u.ID] == ByLift && PhaseOf(u.Phase) == phase {
			hours += HangHours + FocusHours
			lines[u.Line] = true
		}
	}
	if hours == 0 {
		return 0
	}
	for _, p := range pipes(in) {
		if p.phase == phase && lines[p.line] {
			hours += p.lengthM * PipeHoursPerM
		}
	}
	return int(math.Ceil(math.Min(hours, 1e4)/DayHours)) + 1
}

func accessParts(in Input, phases []string) []part {
	var out []part
	reach := ReachOf(in)
	boards := false
	for _, p := range phases {
		if days := LiftDays(in, p); days > 0 {
			out = append(out,
				part{code: CodeLiftDay, text: "Lift hire", qty: float64(days), phase: p},
				part{code: CodeLiftDelivery, text: "Lift delivery and return", qty: 1, phase: p})
			if !boards && in.Survey.Floor.Kind != "slab_on_ground" {
				boards = true
				out = append(out, part{code: CodeBoards, text: "Floor boards for the lift", qty: 1, phase: p})
			}
			if rows := RowsUnder(in, p); rows > 0 {
				out = append(out, part{code: CodeSeatingHardware, text: fmt.Sprintf("Hardware to take %d seat rows up and back", rows), qty: 1, phase: p})
			}
		}
		for _, u := range in.Placed {
			if reach[u.ID] == ByTower && PhaseOf(u.Phase) == p {
				out = append(out, part{code: CodeTower, text: "Tower hire", qty: 1, phase: p})
				break
			}
		}
	}
	return out
}

// NeedsAsbestos tells whether an inspection comes before any drilling: the year
// of building or of alterations, or a hazard somebody reported.
func NeedsAsbestos(in Input) bool {
	for _, h := range in.Survey.Hazards {
		if h.Kind == "asbestos" {
			return true
		}
	}
	y := in.Survey.Site.YearBuilt
	return y > 0 && y <= in.Profile.Conventions.OrOf(in.regionID()).AsbestosTo
}

// NeedsEngineer tells whether anything new hangs from the building.
func NeedsEngineer(in Input) bool {
	for _, u := range in.Placed {
		f, _ := in.fixture(u.Fixture)
		if k := in.lineKind(u.Line); u.Line != "" && k != "stand" && !byHouse(u, f) {
			return true
		}
	}
	return false
}

func feeParts(in Input) []part {
	var out []part
	first := firstPhase(in)
	if NeedsEngineer(in) {
		out = append(out, part{code: CodeEngineer, text: "Structural engineer's visit and letter", qty: 1, phase: first})
	}
	if len(in.Load.Circuits) > 0 {
		out = append(out, part{code: CodePermit, text: "Electrical permit and inspection", qty: 1, phase: first})
	}
	if NeedsAsbestos(in) {
		out = append(out, part{code: CodeAsbestos, text: "Asbestos inspection", qty: 1, phase: first})
	}
	return out
}

// Labour is the hours of one install phase, by who does them.
type Labour struct {
	PipeHours, HangHours, DataHours, StrikeHours, LampHours float64 // hired hands, person-hours
	ElectricalHours                                         float64 // the electrician's, inside the price of a circuit
	FocusHours                                              float64 // evenings
	Units, Rows, Lamps, Drops                               int
	UnpackHours, SeatingHours, BoardHours, FloorHelpHours   float64 // volunteers
}

// LabourOf adds up a phase's hours from its quantities and the norms.
func LabourOf(in Input, phase string) Labour {
	var l Labour
	for _, u := range in.Placed {
		if PhaseOf(u.Phase) != phase {
			continue
		}
		l.Units++
		l.HangHours += HangHours * HangCrew
		l.FocusHours += FocusHours
		l.UnpackHours += UnpackHours
		switch in.lineKind(u.Line) {
		case "pier", "wall":
			l.PipeHours += ArmHours
		}
	}
	for _, p := range pipes(in) {
		if p.phase == phase {
			l.PipeHours += p.lengthM * PipeHoursPerM * HangCrew
		}
	}
	for _, b := range in.Network.Branches {
		if PhaseOf(b.Phase) == phase {
			l.Drops++
			l.DataHours += DataDropHours
		}
	}
	for _, c := range in.Load.Circuits {
		if CircuitPhase(in, c) == phase {
			l.ElectricalHours += BreakerHours + OutletHours*float64(max(len(c.Places), 1)) + CableHoursPerM*metres(c.LengthM)
		}
	}
	if phase == in.Scheme.HouseStep {
		for _, e := range in.Survey.ExistingUnit {
			each := LampHours
			switch e.Fate {
			case "replace":
				each = FitHours
			case "relamp":
			default:
				continue
			}
			l.Lamps += max(e.Count, 0)
			l.LampHours += each * float64(max(e.Count, 0))
		}
	}
	for _, e := range in.Survey.ExistingUnit {
		if e.Fate == "remove" && phase == strikePhase(in, e) {
			l.StrikeHours += StrikeHours * HangCrew * float64(max(e.Count, 0))
		}
	}
	l.Rows = RowsUnder(in, phase)
	l.SeatingHours = 2 * BenchHours * BenchCrew * float64(l.Rows) // out and back
	if LiftDays(in, phase) > 0 && in.Survey.Floor.Kind != "slab_on_ground" {
		l.BoardHours = BoardsHours
	}
	l.FloorHelpHours = l.HangHours / HangCrew
	return l
}

func labourParts(in Input, phases []string) []part {
	var out []part
	for _, p := range phases {
		l := LabourOf(in, p)
		if l.Units == 0 && l.Lamps == 0 && l.ElectricalHours == 0 {
			continue
		}
		if h := quarterHours(l.PipeHours + l.HangHours + l.DataHours + l.StrikeHours + l.LampHours + l.FocusHours*HangCrew); h > 0 {
			out = append(out, part{code: CodeInstall, text: "Hanging, data runs, focus: hired hand", qty: h, phase: p, hours: h})
		}
		for _, w := range []struct {
			code, text string
			hours      float64
		}{
			{CodeOwnUnpack, "Unpack, check, label and photograph units", l.UnpackHours},
			{CodeOwnSeating, "Seating and floor boards out and back", l.SeatingHours + l.BoardHours},
			{CodeOwnFloor, "Help on the floor while units are hung", l.FloorHelpHours},
			{CodeOwnClean, "Clear, clean and make ready for services", CleanHours},
		} {
			if h := quarterHours(w.hours); h > 0 {
				out = append(out, part{code: w.code, text: w.text, kind: "labour", qty: h, phase: p, by: "volunteers", hours: h, own: true})
			}
		}
	}
	return out
}

func firstPhase(in Input) string {
	if names := PhaseNames(in); len(names) > 0 {
		return names[0]
	}
	return FirstPhase
}

// strikePhase is the install phase in which an old light is taken out: its own
// where that is one of the design's, else the first.
func strikePhase(in Input, e survey.ExistingLight) string {
	if slices.Contains(PhaseNames(in), e.Phase) {
		return e.Phase
	}
	return firstPhase(in)
}

func sortedKeys[V any](m map[string]V) []string {
	ks := make([]string, 0, len(m))
	for k := range m {
		ks = append(ks, k)
	}
	sort.Strings(ks)
	return ks
}

// unitsOf lists a phase's units.
func unitsOf(placed []scheme.Placed, phase string) []string {
	var ids []string
	for _, u := range placed {
		if PhaseOf(u.Phase) == phase {
			ids = append(ids, u.ID)
		}
	}
	return ids
}

func joinPhases(ps []string) string { return strings.Join(ps, " + ") }
