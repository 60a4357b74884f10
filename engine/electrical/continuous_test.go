package electrical

import (
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Light burns for three hours or more at a service, so it counts as continuous.
// Source: NFPA 70-2023, 210.19(A)(1) and 210.20(A): 125 % of the continuous load.
// IEC 60364-4-43, 433.1 knows no such factor: the design current is the load's.
func TestContinuousLoads(t *testing.T) {
	for _, c := range []struct {
		profile       string
		loadA, design float64
		share         float64 // of a breaker, at most
	}{
		{"us", 16, 20, .8},
		{"us", 12, 15, .8},
		{"metric", 16, 16, 1},
	} {
		p := profile(t, c.profile)
		near(t, c.profile+" share used", usable(p, 100), c.share, 1e-12)
		near(t, c.profile+" planned use asked to be all", planPct(brief.Limits{PlanLoadPct: 100, SpareCircuitPct: 1e-9}, p), 100*c.share, 1e-6)
		va, breaker := capacityVA(p, 120, 100)
		near(t, c.profile+" capacity", va, breaker*120*c.share, 1e-9)

		q, err := SizeCircuit(p, QuickCircuit{VoltageV: 120, CurrentA: c.loadA, LengthM: 10, SparePct: 0, AmbientC: 30})
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.profile+" design current alone", q.DesignA, c.design, 1e-9)

		in := Input{Catalogue: set{"X": {Code: "X", Class: catalogue.Wash, Power: si.Power(120 * c.loadA), PF: 1}}, Profile: p, Book: book}
		in.Room.Lines = []room.Line{{Name: "beam", From: at(-5, -4, 5), To: at(5, -4, 5)}}
		in.Placed = []scheme.Placed{{Unit: scheme.Unit{ID: "A", Fixture: "X", Line: "beam", Zone: "desk"}, At: at(0, -4, 5)}}
		in.Survey.Supply = survey.Supply{System: "single_phase_2w", Earthing: "tn_c_s", Voltage: volts(120), Frequency: 60, Main: amps(100)}
		in.Survey.Panels = []survey.Panel{{Name: "DB", Rating: amps(100), Spaces: 24, At: survey.Place{X: si.Known(si.Length(0)), Y: si.Known(si.Length(0))}}}
		plan, _ := Design(in)
		if len(plan.Circuits) != 1 {
			t.Fatalf("%s: %d circuits", c.profile, len(plan.Circuits))
		}
		near(t, c.profile+" current", plan.Circuits[0].CurrentA, c.loadA, 1e-9)
		near(t, c.profile+" design current of a circuit", plan.Circuits[0].DesignA, c.design, 1e-9)

		if len(plan.Panels) != 1 {
			t.Fatalf("%s: %d panels", c.profile, len(plan.Panels))
		}
		near(t, c.profile+" panel's limit", plan.Panels[0].LimitA, 100*c.share, 1e-9)
	}
}
