package scheme

import "roodbeam/engine/room"

// ceilingAt returns the clear height in metres at a plan point; false where the
// ceiling is unknown.
func ceilingAt(r room.Room, x, y float64) (float64, bool) {
	c := r.Ceiling
	if !finite(float64(c.Eaves), float64(c.Ridge), float64(c.HalfWidth)) {
		return 0, false
	}
	if c.Shape != "flat" && (c.HalfWidth <= 0 || c.Ridge <= 0) {
		return 0, false
	}
	h := c.HeightAt(x, y).Metres()
	return h, c.Shape != "flat" || h > 0
}
