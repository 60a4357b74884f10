package scheme

import (
	"math"

	"roodbeam/engine/room"
)

// ceilingAt returns the clear height in metres at a plan point; false where the
// ceiling is unknown.
func ceilingAt(r room.Room, x, y float64) (float64, bool) {
	c := r.Ceiling
	eaves, ridge, half := c.Eaves.Metres(), c.Ridge.Metres(), c.HalfWidth.Metres()
	if !finite(eaves, ridge, half) {
		return 0, false
	}
	if c.Shape == "flat" || c.Shape == "" {
		h := math.Max(eaves, ridge)
		return h, h > 0
	}
	if half <= 0 || ridge <= 0 {
		return 0, false
	}
	off := math.Abs(y - c.CentreY.Metres())
	if c.RidgeAlongY {
		off = math.Abs(x - c.CentreX.Metres())
	}
	return ridge - (ridge-eaves)*math.Min(1, off/half), true
}
