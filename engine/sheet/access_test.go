package sheet_test

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/enginetest/sample"
	"roodbeam/engine/hanging"
	"roodbeam/engine/sheet"
	"roodbeam/engine/si"
)

// Loads of a machine on the floor are read in the church's units, the others behind
// them: 8.7 kPa are 181.7 psf, 4.9 kN are 1 101.6 lbf. A way in that nobody measured
// is not known, and one too narrow does not pass.
func TestMachinesInTheReadersUnits(t *testing.T) {
	in := sample.MeetingHouse()
	in.Hanging.Lifts = []hanging.LiftCheck{
		{Lift: "A", Route: "side door", Fits: true, HaveWidthM: 1, NeedWidthM: .8, LongestM: math.NaN(), PressurePa: 8700, FloorPa: 2873, WheelN: 4900, BoardPa: 13600},
		{Lift: "A", Route: "rear door", NeedWidthM: .8, LongestM: math.NaN(), Why: "the door's clear width not known"},
		{Lift: "A", Route: "hatch", HaveWidthM: .5, NeedWidthM: .8, LongestM: math.NaN(), Why: "the door is too narrow; its stowed height not known"},
	}
	for show, want := range map[si.Display][2]string{
		si.US:     {"182 psf (8.7 kPa); 60 psf (2.9 kPa)", "1102 lbf (4.90 kN); 284 psf (13.6 kPa)"},
		si.Metric: {"8.7 kPa; 2.9 kPa", "4.90 kN; 13.6 kPa"},
	} {
		in.Display = show
		p := sheet.Build(in)
		row := strings.ReplaceAll(strings.Join(table(t, p, "machine_limits").Rows[0], " | "), "\u00a0", " ")
		for _, w := range want {
			if !strings.Contains(row, w) {
				t.Errorf("%v: %q lacks %q", show, row, w)
			}
		}
		for i, spare := range []string{"0.20", "unknown", "does not pass"} {
			got := strings.ReplaceAll(table(t, p, "lifts").Rows[i][2], "\u00a0", " ")
			if !strings.Contains(got, spare) {
				t.Errorf("way %d: %q, want %q", i, got, spare)
			}
		}
	}
}
