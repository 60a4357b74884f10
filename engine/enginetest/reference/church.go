// Package reference holds the room that speed is measured on: a closed box of
// 24 × 12 × 8 m with 6 beams and 34 pews (492 triangles), and the scheme of 24
// units, 3 zones, 2 screens and 2 cameras in it. Imported by tests and
// benchmarks only.
package reference

import (
	"fmt"
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

// box returns the outward faces of an upright box between two corners.
func box(lo, hi geom.Vec) []geom.Polygon {
	v := func(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }
	a, b, c, d := v(lo.X, lo.Y, lo.Z), v(hi.X, lo.Y, lo.Z), v(hi.X, hi.Y, lo.Z), v(lo.X, hi.Y, lo.Z)
	up := geom.Vec{Z: hi.Z - lo.Z}
	e, f, g, h := a.Add(up), b.Add(up), c.Add(up), d.Add(up)
	return []geom.Polygon{{d, c, b, a}, {e, f, g, h}, {a, b, f, e}, {b, c, g, f}, {c, d, h, g}, {d, a, e, h}}
}

// Shell returns the inward surfaces of a box room with usual reflectances:
// floor 0.2, ceiling 0.7, walls 0.5.
func Shell(lo, hi geom.Vec) []room.Surface {
	names := []string{"floor", "ceiling", "wall_1", "wall_2", "wall_behind", "wall_3"}
	kinds := []string{"floor", "ceiling", "wall", "wall", "wall", "wall"}
	rho := []float64{0.2, 0.7, 0.5, 0.5, 0.5, 0.5}
	var out []room.Surface
	for i, f := range box(lo, hi) {
		in := make(geom.Polygon, len(f))
		for j := range f {
			in[len(f)-1-j] = f[j]
		}
		out = append(out, room.Surface{Name: names[i], Kind: kinds[i], Polygon: in, Reflectance: rho[i]})
	}
	return out
}

// Solids returns the room's shell, beams and pews: 492 triangles.
func Solids() room.Room {
	r := room.Room{Surfaces: Shell(geom.Vec{X: -6, Y: -20}, geom.Vec{X: 6, Y: 4, Z: 8})}
	for i := range 6 {
		y := 2 - 3.5*float64(i)
		r.Solids = append(r.Solids, room.Solid{Name: fmt.Sprint("beam ", i+1), Faces: box(geom.Vec{X: -6, Y: y, Z: 6}, geom.Vec{X: 6, Y: y + .3, Z: 6.4})})
	}
	for i := range 34 {
		x, y := -5+5.5*float64(i%2), -2-1.0*float64(i/2)
		r.Solids = append(r.Solids, room.Solid{Name: fmt.Sprint("pew ", i+1), Faces: box(geom.Vec{X: x, Y: y}, geom.Vec{X: x + 4.5, Y: y + .4, Z: .9})})
	}
	return r
}

// upright returns a rectangle standing on the middle of its bottom edge, facing
// the congregation.
func upright(x, y, z, w, h float64) geom.Polygon {
	return geom.Polygon{{X: x - w/2, Y: y, Z: z}, {X: x + w/2, Y: y, Z: z}, {X: x + w/2, Y: y, Z: z + h}, {X: x - w/2, Y: y, Z: z + h}}
}

// side returns a window in the left (−1) or right (+1) wall.
func side(s, y float64) geom.Polygon {
	p := geom.Polygon{{X: s * 6, Y: y + .75, Z: 2}, {X: s * 6, Y: y - .75, Z: 2}, {X: s * 6, Y: y - .75, Z: 5}, {X: s * 6, Y: y + .75, Z: 5}}
	if s > 0 {
		p[0], p[1], p[2], p[3] = p[1], p[0], p[3], p[2]
	}
	return p
}

// Room returns the furnished church: Solids with a platform, two screens, ten
// windows and the seats.
func Room() room.Room {
	r := Solids()
	r.Platform = room.Platform{Outline: geom.Polygon{{X: -4, Z: .4}, {X: 4, Z: .4}, {X: 4, Y: 3.9, Z: .4}, {X: -4, Y: 3.9, Z: .4}},
		Height: .4, Width: 8, Depth: 3.9}
	r.Surfaces = append(r.Surfaces,
		room.Surface{Name: "platform", Kind: "platform", Polygon: r.Platform.Outline, Reflectance: .25},
		room.Surface{Name: "platform_side_1", Kind: "platform", Reflectance: .25,
			Polygon: geom.Polygon{{X: -4}, {X: 4}, {X: 4, Z: .4}, {X: -4, Z: .4}}})
	for i, x := range []float64{-4, 4} {
		p := upright(x, 3.95, 3, 2.4, 1.35)
		name := fmt.Sprint("screen ", i+1)
		r.Screens = append(r.Screens, room.Screen{Name: name, Kind: "projected", Corners: p, Bottom: 3, White: si.Known(si.Illuminance(500))})
		r.Surfaces = append(r.Surfaces, room.Surface{Name: name, Kind: "screen", Polygon: p, Reflectance: .8})
	}
	for i := range 10 {
		p := side(float64(2*(i%2)-1), -2-3.5*float64(i/2))
		name := fmt.Sprint("window ", i+1)
		r.Windows = append(r.Windows, room.Window{Name: name, Polygon: p, Glass: "clear"})
		r.Surfaces = append(r.Surfaces, room.Surface{Name: name, Kind: "window", Polygon: p, Reflectance: .1})
	}
	block := room.Seating{Name: "pews"}
	for i := range 17 {
		y := -2.2 - float64(i)
		block.Rows = append(block.Rows, room.SeatRow{Left: geom.Vec{X: -5, Y: y, Z: 1.2}, Right: geom.Vec{X: 5, Y: y, Z: 1.2}})
	}
	r.Seating = []room.Seating{block}
	return r
}

// Brief returns three zones over the platform on grids and two cameras.
func Brief() brief.Brief {
	m := func(v float64) si.Typed[si.Length] { return si.Known(si.Length(v)) }
	b := brief.Brief{Region: "metric"}
	for i, name := range []string{"left", "middle", "right"} {
		x := -3.9 + 2.6*float64(i)
		b.Zones = append(b.Zones, brief.Zone{Name: name, Use: "speaking", Level: "platform", MinX: m(x), MaxX: m(x + 2.6), MinY: m(.3), MaxY: m(3.3),
			Target: si.Known(si.Illuminance(500)), Camera: true})
	}
	b.Cameras = []brief.Camera{
		{Name: "rear", X: m(0), Y: m(-18), Z: m(3), Frames: []string{"middle"}},
		{Name: "side", X: m(-5), Y: m(-6), Z: m(1.6)},
	}
	return b
}

// Sources returns the 24 units: per zone six front units on the beams and two
// back lights.
func Sources() []light.Source {
	var out []light.Source
	front, back := photometry.NewBeam(26, 18, 60000), photometry.NewBeam(40, 25, 12000)
	for i, zone := range []string{"left", "middle", "right"} {
		x := -2.6 + 2.6*float64(i)
		for k := range 8 {
			s := light.Source{ID: fmt.Sprintf("%s %d", zone, k+1), Zone: zone, Purpose: "front_wash", Level: .5, Dist: front, FieldDeg: 26,
				At: geom.Vec{X: x + 2.5*float64(2*(k%2)-1), Y: -4.8 - 3.5*float64(k/4), Z: 5.8}, Aim: geom.Vec{X: x + .6*float64(k%3-1), Y: 1 + .8*float64(k/2%2), Z: 2}}
			if k >= 6 {
				s.Purpose, s.Dist, s.FieldDeg = "back_light", back, 40
				s.At.Y = 3.6
			}
			out = append(out, s)
		}
	}
	return out
}

// Rays returns n segments from 1.2–1.7 m to 4–7.8 m height, spread evenly by a
// low-discrepancy sequence: the same every time.
// Source: additive recurrence with the irrational steps of Roberts, 2018 (from
// memory).
func Rays(n int) [][2]geom.Vec {
	u := func(i, k int) float64 {
		_, f := math.Modf(float64(i+1) * [...]float64{.7548776662, .5698402910, .3247179572, .8191725134, .6710436067, .5497004779}[k])
		return f
	}
	out := make([][2]geom.Vec, n)
	for i := range out {
		out[i] = [2]geom.Vec{
			{X: -5.9 + 11.8*u(i, 0), Y: -19.9 + 23.8*u(i, 1), Z: 1.2 + .5*u(i, 2)},
			{X: -5.9 + 11.8*u(i, 3), Y: -19.9 + 23.8*u(i, 4), Z: 4 + 3.8*u(i, 5)}}
	}
	return out
}
