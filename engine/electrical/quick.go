package electrical

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/region"
)

// BadInput says which figure of a quick sum cannot be used and why.
type BadInput struct{ Field, Reason, Allowed string }

func (e *BadInput) Error() string {
	if e.Allowed == "" {
		return e.Field + " " + e.Reason
	}
	return e.Field + " " + e.Reason + "; allowed: " + e.Allowed
}

func positiveField(field string, v float64) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return &BadInput{field, fmt.Sprintf("is %v; it must be above zero", v), ""}
	}
	return nil
}

// ConductorNamed returns a conductor by the name people write: "12 awg", "#12",
// "2.5mm2", "2,5 mm²".
func ConductorNamed(p region.Profile, name string) (region.Conductor, error) {
	var names []string
	for _, c := range p.Conductors {
		if plainGauge(c.Name) == plainGauge(name) {
			return c, nil
		}
		names = append(names, c.Name)
	}
	return region.Conductor{}, &BadInput{"conductor", fmt.Sprintf("%q is not in the region's table", name), strings.Join(names, ", ")}
}

func plainGauge(s string) string {
	s = strings.ToLower(s)
	s = strings.NewReplacer("²", "", "mm2", "", "sqmm", "", "mm", "", "awg", "", "#", "", "no.", "", ",", ".", " ", "").Replace(s)
	return s
}

// RunDrop returns the voltage drop, V, of a run with the whole current, A, at its
// end, m away: two-wire, or between the lines of three.
//
// Source: region.Conductor.Loop.
func RunDrop(c region.Conductor, threePhase bool, pf, currentA, lengthM float64) float64 {
	return c.Loop(threePhase, pf) * currentA * lengthM
}

// QuickCircuit is one circuit to size without a project.
type QuickCircuit struct {
	ThreePhase bool
	VoltageV   float64 // across the load: between lines for three-phase
	PowerW     float64 // or CurrentA
	CurrentA   float64
	PF         float64 // 0: 0.9
	LengthM    float64
	SparePct   float64 // kept free for growth; below 0: 25
	AmbientC   float64
	Together   int // circuits that run together, itself among them
}

// QuickSizes is the proposal.
type QuickSizes struct {
	LoadVA, CurrentA, DesignA float64
	BreakerA, UsePct          float64
	Conductor, Ground         string
	AmpacityA                 float64
	DropV, DropPct            float64
	Raceway                   string
	RacewayFillPct            float64
	Connector                 string
	LongestM                  float64 // at which this conductor keeps the drop
}

// SizeCircuit proposes breaker, conductor, ground, raceway and connector for a
// circuit, the whole load at its end.
//
// Source: the region profile's tables.
func SizeCircuit(p region.Profile, in QuickCircuit) (QuickSizes, error) {
	var out QuickSizes
	if err := positiveField("voltage", in.VoltageV); err != nil {
		return out, err
	}
	if in.LengthM < 0 || !finite(in.LengthM) {
		return out, &BadInput{"length", fmt.Sprintf("is %v; it must not be negative", in.LengthM), ""}
	}
	if !finite(in.AmbientC) {
		return out, &BadInput{"ambient", "is not a temperature", ""}
	}
	pf := in.PF
	if pf == 0 {
		pf = assumedPF
	}
	if !(pf > 0 && pf <= 1) {
		return out, &BadInput{"pf", fmt.Sprintf("is %v", in.PF), "above 0 up to 1"}
	}
	root := 1.0
	if in.ThreePhase {
		root = math.Sqrt(3)
	}
	switch {
	case in.PowerW != 0 && in.CurrentA != 0:
		return out, &BadInput{"load", "is given as power and as current; one of them is wanted", ""}
	case in.CurrentA != 0:
		if err := positiveField("current", in.CurrentA); err != nil {
			return out, err
		}
		out.CurrentA, out.LoadVA = in.CurrentA, in.CurrentA*in.VoltageV*root
	default:
		if err := positiveField("load", in.PowerW); err != nil {
			return out, err
		}
		out.LoadVA = ApparentPower(in.PowerW, pf)
		out.CurrentA = out.LoadVA / (root * in.VoltageV)
	}
	spare := in.SparePct
	if spare < 0 {
		spare = defaultSparePct
	}
	if !(spare < 100) {
		return out, &BadInput{"spare", fmt.Sprintf("is %v %%", in.SparePct), "0 up to 100"}
	}
	out.DesignA = out.CurrentA * p.ContinuousFactor
	out.BreakerA = breakerWithSpare(p, out.CurrentA, 100-spare)
	if out.BreakerA == 0 {
		return out, &BadInput{"load", fmt.Sprintf("draws %.0f A, more than any breaker of the table carries with the spare", out.CurrentA), fmt.Sprintf("up to %.0f A", p.Breakers[len(p.Breakers)-1])}
	}
	out.UsePct = out.CurrentA / out.BreakerA * 100
	conductors := 2
	if in.ThreePhase {
		conductors = 3
	}
	n := max(1, in.Together)
	if p.GroupingPer == "conductors" {
		n *= conductors
	}
	var heat, used region.Conductor
	started := p.SmallestConductor == ""
	for _, c := range p.Conductors {
		started = started || c.Name == p.SmallestConductor
		if !started || p.MaxBreaker(c) < out.BreakerA || p.Ampacity(c, in.AmbientC, n, in.ThreePhase) < out.BreakerA {
			continue
		}
		if heat.Name == "" {
			heat = c
		}
		if RunDrop(c, in.ThreePhase, pf, out.CurrentA, in.LengthM)/in.VoltageV*100 <= p.VoltageDropPct {
			used = c
			break
		}
	}
	if used.Name == "" {
		return out, &BadInput{"length", "or ambient or grouping: no conductor of the table carries the breaker and keeps the voltage drop", ""}
	}
	out.Conductor, out.AmpacityA = used.Name, p.Ampacity(used, in.AmbientC, n, in.ThreePhase)
	out.DropV = RunDrop(used, in.ThreePhase, pf, out.CurrentA, in.LengthM)
	out.DropPct = out.DropV / in.VoltageV * 100
	out.LongestM = LongestRun(p.VoltageDropPct/100*in.VoltageV, out.CurrentA, used.Loop(in.ThreePhase, pf))
	if g, ok := p.Ground(out.BreakerA, heat, used); ok {
		out.Ground = g.Name
	}
	if p.Raceways.Kind != "" {
		var wires []string
		for range conductors * max(1, in.Together) {
			wires = append(wires, used.Name)
		}
		if out.Ground != "" {
			wires = append(wires, out.Ground)
		}
		if f, ok := p.Raceways.Fill(wires); ok {
			out.Raceway, out.RacewayFillPct = p.Raceways.Kind+" "+f.Size+" in", f.Pct
		}
	}
	if c, ok := p.ConnectorFor(out.BreakerA, in.VoltageV, conductors); ok {
		out.Connector = c.Name
	}
	return out, nil
}
