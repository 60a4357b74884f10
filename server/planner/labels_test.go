package planner_test

import (
	"testing"

	"roodbeam/engine/drawing"
)

// paperTolerance is what the boxes of two texts may share, mm²: less than the
// white inside one letter.
const paperTolerance = 0.05

// TestNoTextCoversAnother: on every drawing of every church's packet the boxes of
// any two texts keep apart.
func TestNoTextCoversAnother(t *testing.T) {
	for name, p := range packets(t) {
		for _, s := range p.Sheets {
			for _, b := range s.Blocks {
				if b.Drawing == nil {
					continue
				}
				for _, pair := range drawing.Collisions(*b.Drawing, paperTolerance) {
					t.Errorf("%s, %s, %s: %q and %q share %.2f mm²", name, s.Code, b.Drawing.Title, pair.A, pair.B, pair.MM2)
				}
			}
		}
	}
}
