package scheme

import (
	"math"
	"slices"

	"roodbeam/engine/geom"
)

// seen fills in who sees a lens, and what it hangs before.
func (p *proposer) seen(at geom.Vec, r Reason) Reason {
	c := checker{in: CheckInput{Room: p.in.Room}}
	eyes := c.viewers()
	seeing := 0
	for _, e := range eyes {
		if !p.scene.Occluded(e, at) {
			seeing++
		}
	}
	if len(eyes) > 0 {
		r.SeatsPct = math.Round(100 * float64(seeing) / float64(len(eyes)))
	}
	for _, cam := range p.in.Brief.Cameras {
		if known(cam.X) && known(cam.Y) && known(cam.Z) {
			from := geom.Vec{X: float64(cam.X.Value), Y: float64(cam.Y.Value), Z: float64(cam.Z.Value)}
			if !p.scene.Occluded(from, at) {
				r.Cameras = append(r.Cameras, cam.Name)
			}
		}
	}
	hides := func(name string, poly geom.Polygon) {
		if len(poly) >= 3 && slices.ContainsFunc(eyes, func(e geom.Vec) bool { return crosses(e, at, poly) }) {
			r.Crosses = append(r.Crosses, name)
		}
	}
	for _, s := range p.in.Room.Screens {
		hides(s.Name, s.Corners)
	}
	for _, w := range p.in.Room.Windows {
		if slices.Contains(p.in.Brief.KeepInView, w.Name) {
			hides(w.Name, w.Polygon)
		}
	}
	for _, v := range p.in.Room.Views {
		if !keptWindow(p.in.Room, p.in.Brief.KeepInView, v.Name) {
			hides(v.Name, v.Polygon)
		}
	}
	for _, s := range p.in.Room.Surfaces {
		if slices.Contains(p.in.Brief.KeepInView, s.Name) {
			hides(s.Name, s.Polygon)
		}
	}
	return r
}
