package electrical

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Assumed where nothing was surveyed.
//
// Source: life of a tungsten lamp from memory, 1000 h (IEC 60064); utilisation of
// a mixed direct and indirect installation in a high room, common practice 0.3 to
// 0.5; maintenance of house lights, common practice 0.75 to 0.85.
const (
	tungstenLifeH    = 1000
	houseUtilisation = 0.4
	houseMaintenance = 0.8
)

// ledShare is the part of an incandescent rating that a dimmer without a marked
// LED rating may carry of LED lamps.
//
// Source: two dimmer makers' pages, 25 % to 42 %; the stricter stands here.
const ledShare = 0.25

// AverageIlluminance returns the mean illuminance of an area, lx, by the lumen
// method: flux, lm, times utilisation and maintenance over the area, m². NaN
// without an area.
//
// Source: lumen method, E = Φ·UF·MF/A (CIBSE Code for Lighting; IES Lighting
// Handbook).
func AverageIlluminance(fluxLm, utilisation, maintenance, areaM2 float64) float64 {
	if !(areaM2 > 0) {
		return math.NaN()
	}
	return fluxLm * utilisation * maintenance / areaM2
}

// houseJob derives the conversion from the surveyed controls, dimmers and lights.
func (d *designer) houseJob() HouseJob {
	if len(d.today.lights) == 0 && len(d.Survey.Dimmers) == 0 && len(d.Survey.OldControls) == 0 {
		return HouseJob{}
	}
	return HouseJob{Traces: d.traces(), Groups: d.houseGroups(), Control: d.houseControl(), Saving: d.houseSaving(), Light: d.houseLight()}
}

func (d *designer) traces() []Trace {
	var out []Trace
	onChannel := map[string][]string{}
	for _, l := range d.today.lights {
		if l.Dimmer != "" {
			onChannel[l.Dimmer] = append(onChannel[l.Dimmer], named(l.Name, l.Kind))
		}
	}
	traced := map[string]bool{}
	worked := map[string]bool{}
	for _, c := range d.Survey.OldControls {
		t := Trace{Control: c.Name, Kind: c.Kind, Where: c.Where, Channel: c.Channel, Lights: append([]string(nil), c.Lights...), Panel: c.Panel,
			Breaker: c.Breaker, Decision: c.Decision, DecidedBy: c.DecidedBy}
		if len(t.Lights) == 0 {
			t.Lights = append(t.Lights, onChannel[c.Channel]...)
		}
		worked[c.Channel] = true
		for _, name := range t.Lights {
			traced[name] = true
			d.emergencyBehind(name, c)
		}
		out = append(out, t)
	}
	for _, dm := range d.Survey.Dimmers {
		if worked[dm.Channel] {
			continue
		}
		t := Trace{Kind: "channel", Where: dm.Cabinet, Channel: dm.Channel, Lights: onChannel[dm.Channel], Panel: d.fedFrom(dm.Cabinet)}
		for _, name := range t.Lights {
			traced[name] = true
		}
		out = append(out, t)
	}
	for _, l := range d.today.lights {
		if name := named(l.Name, l.Kind); !traced[name] {
			t := Trace{Kind: "lights", Channel: l.Dimmer, Lights: []string{name}}
			t.Panel, t.Breaker = d.wayOf(name)
			out = append(out, t)
		}
	}
	var open, undecided []string
	for i := range out {
		t := &out[i]
		for _, m := range []struct {
			gone bool
			what string
		}{{t.Control == "" && !d.escape(t.Lights), "which control works it"}, {len(t.Lights) == 0, "which lights"}, {t.Panel == "", "panel"}, {t.Breaker == "", "breaker"}} {
			if m.gone {
				t.Missing = append(t.Missing, m.what)
			}
		}
		name := t.name()
		if len(t.Missing) > 0 {
			open = append(open, name)
		}
		if t.Decision == "" && t.Control != "" {
			undecided = append(undecided, name)
		}
	}
	if d.touchesDimmers() {
		if len(open) > 0 {
			d.add(d.Book.New("ELECTRICAL_HOUSE_UNTRACED", list(open), finding.Text("missing", "control, lights, panel or breaker, as the tracing sheet shows")))
		}
		if len(undecided) > 0 {
			d.add(d.Book.New("ELECTRICAL_HOUSE_DECISION", list(undecided)))
		}
	}
	return out
}

// touchesDimmers tells whether old lights are to be changed at all.
func (d *designer) touchesDimmers() bool {
	for _, l := range d.today.lights {
		if l.converts || l.removed {
			return true
		}
	}
	return false
}

func (t Trace) name() string {
	switch {
	case t.Control != "":
		return t.Control
	case t.Channel != "":
		return "channel " + t.Channel
	}
	return list(t.Lights)
}

func list(names []string) string { return strings.Join(names, ", ") }

// wayOf returns the panel and space of the breaker whose directory names the lights,
// empty where none does.
func (d *designer) wayOf(lights string) (panel, breaker string) {
	for _, p := range d.Survey.Panels {
		for _, w := range p.Ways {
			if lights != "" && strings.EqualFold(strings.TrimSpace(w.Feeds), lights) && w.Space > 0 {
				return p.Name, fmt.Sprint(w.Space)
			}
		}
	}
	return "", ""
}

// escape tells whether all of the lights are emergency or exit lights, which no
// control works.
func (d *designer) escape(lights []string) bool {
	n := 0
	for _, name := range lights {
		for _, l := range d.today.lights {
			if named(l.Name, l.Kind) == name && (l.Kind == "emergency" || l.Kind == "exit") {
				n++
				break
			}
		}
	}
	return n > 0 && n == len(lights)
}

// fedFrom returns the panel that says it feeds the cabinet.
func (d *designer) fedFrom(cabinet string) string {
	for _, p := range d.Survey.Panels {
		if cabinet != "" && p.Name != cabinet && strings.Contains(strings.ToLower(p.Feeds), strings.ToLower(cabinet)) {
			return p.Name
		}
	}
	return ""
}

// emergencyBehind reports an emergency or exit light that a control of the house
// lights works.
func (d *designer) emergencyBehind(light string, c survey.OldControl) {
	for _, l := range d.today.lights {
		if l.Name != light || (l.Kind != "emergency" && l.Kind != "exit") || l.Dimmer != "" {
			continue // on a dimmer: reported with the channel
		}
		d.add(d.Book.New("ELECTRICAL_EMERGENCY_ON_DIMMER", named(l.Name, l.Kind), finding.Text("channel", named(c.Channel, "none, but on control "+c.Name))))
	}
}

func (d *designer) houseGroups() []HouseGroup {
	var out []HouseGroup
	for _, l := range d.today.lights {
		g := HouseGroup{Name: named(l.Name, l.Kind), Kind: l.Kind, Count: l.count, Channel: l.Dimmer, Leg: l.way, Fate: named(l.Fate, "keep"), Base: l.Base,
			BeforeW: l.watts, AfterW: l.afterW, AfterVA: l.afterVA, BeforeLm: l.oneLm(), AfterLm: math.NaN(), ClearanceM: math.NaN(), ClearanceMarkedM: math.NaN()}
		if l.converts {
			g.Lamp = l.LampCode
			if l.lampFlux > 0 {
				g.AfterLm = l.lampFlux
			}
		}
		g.NeedLm = g.BeforeLm
		g.Proposed, g.Keeps = d.proposedFor(l, g)
		d.clearance(l, &g)
		out = append(out, g)
	}
	return out
}

// oneLm returns the flux of one old lamp, lm, from its watts where none was surveyed.
func (l oldLight) oneLm() float64 {
	lm, _ := light.OldLampLm(l.ExistingLight)
	return lm
}

func (d *designer) proposedFor(l oldLight, g HouseGroup) (proposed, keeps string) {
	base := named(l.Base, "base to be read off the old lamp")
	if l.Kind == "emergency" || l.Kind == "exit" {
		return "stays as it is, out of every dimmer and scene", "everything"
	}
	switch g.Fate {
	case "remove":
		return "isolate, test dead, take out; the circuit is freed", "nothing"
	case "relamp":
		if !l.converts {
			return fmt.Sprintf("lamp of at least %.0f lm for %s, dimmable on what feeds it", g.NeedLm, base), "luminaire and wiring"
		}
		fx, _ := d.Catalogue.Get(l.LampCode)
		return fmt.Sprintf("%d × %s (%.3g W, %.0f lm, %s) for %.0f W each", l.count, l.LampCode, float64(fx.Power), float64(fx.Flux), base, l.watts/math.Max(1, float64(l.count))),
			"luminaire and wiring, after inspection"
	case "replace":
		if !l.converts {
			return fmt.Sprintf("luminaire or module of at least %.0f lm on the old outlet", g.NeedLm), "wiring, after an insulation test"
		}
		return fmt.Sprintf("%d × %s on the old outlets", l.count, l.LampCode), "wiring, after an insulation test"
	}
	return "stays", "everything"
}

func (d *designer) clearance(l oldLight, g *HouseGroup) {
	have, marked := l.Clearance, l.ClearanceMarked
	if have.Set && finite(float64(have.Value)) {
		g.ClearanceM = float64(have.Value)
	}
	if marked.Set && finite(float64(marked.Value)) {
		g.ClearanceMarkedM = float64(marked.Value)
	}
	switch {
	case g.ClearanceM < g.ClearanceMarkedM:
		d.add(measured(d.Book.New("ELECTRICAL_CLEARANCE", g.Name), g.ClearanceM, g.ClearanceMarkedM))
	case have.Set && !marked.Set:
		d.ask("What distance to wood or drapes does the label of "+g.Name+" ask for?", "It hangs "+si.FormatBoth(have.Value, d.Profile.Display)+" from it.")
	}
}

func (d *designer) houseControl() HouseControl {
	h := d.Brief.House
	c := HouseControl{To: h.ControlPlace, By: h.DimBy, Slots: h.Slots, WallPanels: max(0, h.WallPanels)}
	var from []string
	for _, o := range d.Survey.OldControls {
		if o.Where != "" && !slices.Contains(from, o.Where) {
			from = append(from, o.Where)
		}
	}
	if len(from) == 0 {
		for _, dm := range d.Survey.Dimmers {
			if dm.Cabinet != "" && !slices.Contains(from, dm.Cabinet) {
				from = append(from, dm.Cabinet)
			}
		}
	}
	c.From = list(from)
	kept := map[string]bool{}
	phaseCut := 0
	for _, l := range d.today.lights {
		if l.Kind == "emergency" || l.Kind == "exit" {
			c.Emergency = append(c.Emergency, named(l.Name, l.Kind))
			continue
		}
		if !l.removed && l.watts > 0 {
			key := l.Dimmer
			if key == "" {
				key = "switched " + l.Name
			} else if !kept[key] {
				phaseCut++
			}
			kept[key] = true
		}
	}
	c.Circuits = len(kept)
	if d.Brief.Control.WallPanel && c.WallPanels == 0 {
		c.WallPanels = 1
	}
	if c.By == "dmx" && c.Slots == 0 {
		c.Slots = c.Circuits
	}
	var parts []string
	switch c.By {
	case "dmx":
		parts = append(parts, fmt.Sprintf("%s drivers or dimmers worked over DMX512 (ANSI E1.11), %d slots; each circuit keeps its own neutral", counted(c.Circuits, "old circuit gets", "old circuits get"), c.Slots),
			"on loss of signal they go to a set level that leaves the way out lit")
	case "phase_cut":
		parts = append(parts, fmt.Sprintf("%d circuits stay on the old dimmers: minimum load, edge and LED rating of each decide", phaseCut))
	case "none":
		parts = append(parts, "switched only; the old dimmers are bypassed")
	default:
		parts = append(parts, "how they are dimmed is not decided")
	}
	if c.To != "" {
		parts = append(parts, "worked from "+c.To+named(ifSo(c.From != "", ", today from "+c.From), ""))
	} else if c.Circuits > 0 {
		parts = append(parts, "where people are to work them from is not said")
		d.ask("From where are the house lights to be worked?", "Today: "+named(c.From, "not surveyed")+". The control goes where people are.")
	}
	if c.WallPanels > 0 {
		parts = append(parts, wallPanels(c.WallPanels)+" the house lights up without the desk")
	}
	if len(c.Emergency) > 0 {
		parts = append(parts, "emergency and exit lights ("+list(c.Emergency)+") stay on their own supply")
	} else if d.touchesDimmers() {
		d.ask("Which lights are emergency and exit lights, and how are they fed and tested?", "None was surveyed; they must not depend on anything changed here.")
	}
	c.Text = strings.Join(parts, "; ")
	return c
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprint(n, " ", many)
}

func ifSo(yes bool, text string) string {
	if yes {
		return text
	}
	return ""
}

func (d *designer) houseSaving() HouseSaving {
	m := d.Brief.Money
	nan := math.NaN()
	s := HouseSaving{HoursPerWeek: positive(m.HoursPerWeek), EnergyKWh: nan, EnergyMinor: nan, Lamps: nan, LampMinor: nan, CostMinor: nan,
		SimpleYears: nan, DiscountedYears: nan, DiscountPct: positive(m.DiscountPct), EnergyRisePct: m.EnergyRisePct, Net15Minor: nan, Net20Minor: nan}
	if !finite(s.EnergyRisePct) {
		s.EnergyRisePct = 0
	}
	assumedLife := false
	lamps := 0.0
	for _, l := range d.today.lights {
		if l.Kind == "stage" {
			continue // its work is done by the new lighting, which draws current too
		}
		if l.converts || l.removed {
			s.BeforeW += l.watts
			s.AfterW += l.afterW
			life := positive(l.LampLifeH)
			if life == 0 {
				life, assumedLife = tungstenLifeH, true
			}
			lamps += LampsPerYear(l.count, s.HoursPerWeek, life)
		}
	}
	if s.BeforeW == 0 {
		return s
	}
	if s.HoursPerWeek == 0 {
		s.Text = "the hours of use a week are not known"
		return s
	}
	s.EnergyKWh = YearlyEnergy(s.BeforeW, s.AfterW, s.HoursPerWeek)
	s.Lamps = lamps
	var parts []string
	if m.EnergyMinorPerKWh > 0 {
		s.EnergyMinor = s.EnergyKWh * float64(m.EnergyMinorPerKWh)
	} else {
		parts = append(parts, "the price of energy is not known")
	}
	if d.Brief.House.LampMinor > 0 {
		s.LampMinor = s.Lamps * float64(d.Brief.House.LampMinor)
	} else {
		parts = append(parts, "the price of an old lamp is not known and counts as nothing")
	}
	if assumedLife {
		parts = append(parts, fmt.Sprintf("old lamps taken to last %d h", tungstenLifeH))
	}
	s.Text = strings.Join(parts, "; ")
	return s
}

// PaidBy returns the job with its cost, minor units, and the payback that follows;
// cost not positive leaves it as it is.
func (j HouseJob) PaidBy(costMinor float64) HouseJob {
	s := &j.Saving
	if !(costMinor > 0) || math.IsNaN(s.EnergyMinor) {
		return j
	}
	s.CostMinor = costMinor
	sv := Saving{EnergyPerYear: s.EnergyMinor, OtherPerYear: positive(s.LampMinor), Cost: costMinor, DiscountPct: s.DiscountPct, EscalationPct: s.EnergyRisePct}
	s.SimpleYears, s.DiscountedYears = sv.Simple(), sv.Discounted()
	if math.IsInf(s.SimpleYears, 0) {
		s.SimpleYears = math.NaN()
	}
	if math.IsInf(s.DiscountedYears, 0) {
		s.DiscountedYears = math.NaN()
	}
	s.Net15Minor, _ = sv.Net(15)
	s.Net20Minor, _ = sv.Net(20)
	return j
}

// longPayback is from when a payback is pointed out, years.
//
// Source: common practice, about the life of a driver.
const longPayback = 10

// PaybackFinding says when energy alone takes long to pay the house job back.
func (j HouseJob) PaybackFinding(book *finding.Book, currency string) []finding.Finding {
	s := j.Saving
	if !(s.SimpleYears > longPayback) {
		return nil
	}
	f := book.New("ELECTRICAL_PAYBACK_LONG", "house lights", finding.Num("kwh", s.EnergyKWh, "kWh"),
		finding.Money("money", int64(math.Round(s.EnergyMinor+positive(s.LampMinor))), currency))
	return []finding.Finding{measured(f, s.SimpleYears, longPayback)}
}

// houseLight compares the seats and the way out before and after: point by point
// where that was worked out, with the lumen method as a second figure beside it.
func (d *designer) houseLight() []HouseLight {
	area := d.Room.Footprint.Area()
	if !(area > 0) || !finite(area) {
		return nil
	}
	target := math.NaN()
	if t := d.Brief.House.TargetLx; t.Set && float64(t.Value) > 0 {
		target = float64(t.Value)
	}
	var out []HouseLight
	for _, p := range []struct {
		place    string
		kinds    []string
		target   float64
		from     string
		isTarget bool
	}{
		{light.InSeats, []string{"house", "under_gallery"}, target, "the brief", true},
		{light.WayOut, []string{"house", "under_gallery"}, footCandle, "NFPA 101 7.8.1.3, 1 fc on the walking surface; the authority decides", false},
		{light.WayOutDark, []string{"emergency", "exit"}, footCandle, "NFPA 101 7.9.2.1, 1 fc at first, average; EN 1838 1 lx on the centre line; the authority decides", false},
	} {
		h, any := d.byLumens(p.kinds, area)
		if !any {
			continue
		}
		h.Place, h.TargetLx, h.TargetSource = p.place, p.target, p.from
		method := fmt.Sprintf("the lumen method with a utilisation of %.1f", houseUtilisation)
		for _, l := range d.Light {
			if l.Place != p.place {
				continue
			}
			beside := fmt.Sprintf("; %s gives %s today and %s afterwards over the whole floor", method, luxWords(h.BeforeLx), luxWords(h.AfterLx))
			h.BeforeLx, h.AfterLx, h.Points, h.Utilisation, h.Maintenance = l.BeforeLx, l.AfterLx, l.Points, math.NaN(), l.Loss
			h.BeforeMinLx, h.AfterMinLx, h.BeforeReflectedLx, h.AfterReflectedLx = l.BeforeMinLx, l.AfterMinLx, l.BeforeReflectedLx, l.AfterReflectedLx
			h.BeforeSigmaPct, h.AfterSigmaPct = l.BeforeSigmaPct, l.AfterSigmaPct
			h.Basis = l.Basis + beside
			method = fmt.Sprintf("points in the place, %s of it reflected", luxWords(l.AfterReflectedLx))
		}
		if p.isTarget && h.AfterLx < target {
			f := d.Book.New("ELECTRICAL_HOUSE_LIGHT_LOW", p.place, finding.Text("method", method))
			d.add(measured(f, h.AfterLx, target))
		}
		out = append(out, h)
	}
	return out
}

func luxWords(v float64) string {
	if !finite(v) {
		return "an unknown light"
	}
	return fmt.Sprintf("%.0f lx", v)
}

// byLumens is the light of the old lights of some kinds before and after by the
// lumen method over an area, m²; false without any.
func (d *designer) byLumens(kinds []string, area float64) (HouseLight, bool) {
	var f0, f1 float64
	any := false
	for _, l := range d.today.lights {
		if !slices.Contains(kinds, l.Kind) {
			continue
		}
		any = true
		f0 += float64(l.count) * l.oneLm()
		switch {
		case l.removed:
		case l.converts && l.lampFlux > 0:
			f1 += float64(l.count) * l.lampFlux
		case l.converts:
			f1 = math.NaN()
		default:
			f1 += float64(l.count) * l.oneLm()
		}
	}
	nan := math.NaN()
	return HouseLight{BeforeLx: AverageIlluminance(f0, houseUtilisation, houseMaintenance, area), AfterLx: AverageIlluminance(f1, houseUtilisation, houseMaintenance, area),
		AreaM2: area, Utilisation: houseUtilisation, Maintenance: houseMaintenance, BeforeMinLx: nan, AfterMinLx: nan, BeforeReflectedLx: nan, AfterReflectedLx: nan, BeforeSigmaPct: nan, AfterSigmaPct: nan,
		Basis: fmt.Sprintf("lumen method over the whole floor, utilisation %.1f and maintenance %.1f assumed; the light of an old lamp from its watts where it was not surveyed; measure in the seats",
			houseUtilisation, houseMaintenance)}, any
}

// footCandle is one lumen per square foot in lx.
const footCandle = 1 / (0.3048 * 0.3048)

func wallPanels(n int) string {
	if n == 1 {
		return "1 wall panel brings"
	}
	return fmt.Sprintf("%d wall panels bring", n)
}
