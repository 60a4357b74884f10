package light

import (
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

// View is from where and in which direction a picture of the room is taken, and
// its size in pixels.
type View struct {
	Name, Title string
	Eye, Look   geom.Vec // a point in the middle of the picture
	WidthDeg    float64  // angle of view across
	Cols, Rows  int
}

// Shot is a picture, row by row from the top, sRGB.
type Shot struct {
	Name, Title string
	Cols, Rows  int
	RGB         []uint8
}

// Model is a room as pictures show it: its surfaces with a fine grid for light,
// benches, people at the key places, and the lights. Built once per room.
type Model struct {
	t     *Transport
	sc    Scene
	maps  []texture // one per sheet
	flats []flat    // bench parts, as props' own textures
	props []prop
	panes []geom.Polygon // windows: dark at night
	// paneNames are theirs.
	paneNames []string
	shows     []screenOf
}

// texture is a sheet's grid for light.
type texture struct {
	nx, ny int
	du, dv float64
}

type screenOf struct {
	poly geom.Polygon
	cd   float64 // mean luminance of its picture, cd/m²
}

// flat is a plane part of a prop with the light on both its sides.
type flat struct {
	origin, u, v, normal geom.Vec
	texture
}

// prop is a thing that only pictures show.
type prop struct {
	colour [3]float64 // reflectance in linear sRGB
	centre geom.Vec   // of a round thing, for its normals; inside any without flats
	round  bool
	probe  geom.Vec // where the light round it is taken
	flats  []int    // parts with textures; none: lit at the corners of its triangles
	tris   []int32  // its triangles, where it has no flats
}

const (
	// texelM is the spacing of the light on surfaces in pictures, maxTexels
	// their number along a side.
	texelM    = 0.25
	maxTexels = 160
	// pictureShare is the mean of a picture over its white.
	pictureShare = 0.3
	// headM and bodyM are the radii of the simple people.
	headM, bodyM = 0.11, 0.21
)

// colours of surfaces by kind, scaled to their reflectance: own choice, muted
// paint, plaster, timber and cloth.
var colours = map[string][3]float64{
	"floor": {1.25, .98, .74}, "platform": {1.3, .97, .68}, "gallery": {1.3, .97, .68}, "wall": {1.04, 1, .92},
	"ceiling": {1.02, 1, .96}, "screen": {1, 1, 1}, "": {1.2, .98, .78},
}

// NewModel returns the room for pictures: its benches from the seating, and
// people where the faces are.
func NewModel(t *Transport, r room.Room, zones []Zone) *Model {
	m := &Model{t: t}
	for i := range t.sheets {
		s := &t.sheets[i]
		m.sc.add(s.name, s.poly)
		x := texture{}
		if s.nu > 0 {
			w, h := s.du*float64(s.nu), s.dv*float64(s.nv)
			x.nx, x.ny = max(2, min(maxTexels, int(w/texelM)+1)), max(2, min(maxTexels, int(h/texelM)+1))
			x.du, x.dv = w/float64(x.nx), h/float64(x.ny)
		}
		m.maps = append(m.maps, x)
	}
	for _, sc := range r.Screens {
		m.sc.add(sc.Name, sc.Corners)
		cd := sc.White.Or(400).Lux() * 0.8 / math.Pi * pictureShare
		if sc.Kind == "led" || sc.Kind == "tv" {
			cd = litWhiteCdM2 * pictureShare
		}
		m.shows = append(m.shows, screenOf{sc.Corners, cd})
	}
	for _, w := range r.Windows {
		m.panes, m.paneNames = append(m.panes, w.Polygon), append(m.paneNames, w.Name)
	}
	for _, s := range r.Seating {
		for _, row := range s.Rows {
			m.bench(row)
		}
	}
	for _, z := range zones {
		if z.GridStepM != 0 && len(z.Faces) > 0 {
			m.person(z.Faces[len(z.Faces)/2], r)
			continue
		}
		for _, f := range z.Faces {
			m.person(f, r)
		}
	}
	m.sc.build()
	first := len(m.t.sheets) + len(m.shows)
	for i := range m.sc.tris {
		if k := int(m.sc.tris[i].owner) - first; k >= 0 && len(m.props[k].flats) == 0 {
			m.props[k].tris = append(m.props[k].tris, int32(i))
		}
	}
	return m
}

// addProp adds faces under the next prop's number.
func (m *Model) addProp(p prop, faces ...geom.Polygon) {
	m.props = append(m.props, p)
	m.sc.add("", faces...)
}

// bench adds a row's seat and back: upright 0.5 m below the eyes' height to the
// floor behind the sitters.
func (m *Model) bench(row room.SeatRow) {
	const below, seat, depth = 0.30, 0.75, 0.42
	a, b := row.Left, row.Right
	along := b.Sub(a)
	if !finite(along) || along.Norm() == 0 {
		return
	}
	back := geom.Vec{Z: 1}.Cross(along).Unit() // toward +y for a row from left to right
	if back.Y > 0 {
		back = back.Scale(-1)
	}
	at := func(v geom.Vec, behind, down float64) geom.Vec {
		return v.Add(back.Scale(behind)).Sub(geom.Vec{Z: down})
	}
	p := prop{colour: [3]float64{.30, .19, .11}, probe: a.Lerp(b, 0.5)}
	parts := []geom.Polygon{
		{at(a, .18, below), at(b, .18, below), at(b, .18, 1.2), at(a, .18, 1.2)},
		{at(a, .18, seat), at(b, .18, seat), at(b, .18-depth, seat), at(a, .18-depth, seat)}}
	for _, f := range parts {
		p.flats = append(p.flats, len(m.flats))
		w, h := f[1].Sub(f[0]), f[3].Sub(f[0])
		x := texture{nx: max(2, min(maxTexels, int(w.Norm()/texelM))), ny: max(2, int(h.Norm()/texelM))}
		x.du, x.dv = w.Norm()/float64(x.nx), h.Norm()/float64(x.ny)
		m.flats = append(m.flats, flat{f[0], w.Unit(), h.Unit(), f.Normal(), x})
	}
	m.addProp(p, parts...)
}

// person adds a head at a face and a body under it, down to the floor or
// platform.
func (m *Model) person(f Face, r room.Room) {
	floor := 0.0
	if r.Platform.Outline.ContainsPlan(f.At.X, f.At.Y) {
		floor = r.Platform.Height.Metres()
	}
	if !finite(f.At) || f.At.Z-floor < 0.5 {
		return
	}
	centre := f.At.Sub(f.Facing.Plan().Unit().Scale(headM))
	m.addProp(prop{colour: [3]float64{.45, .31, .24}, centre: centre, round: true, probe: f.At}, ball(centre, headM, headM*1.25)...)
	shoulder := centre.Sub(geom.Vec{Z: headM * 1.9})
	base := geom.Vec{X: centre.X, Y: centre.Y, Z: floor}
	const sides = 12
	const parts = 4 // of the body's height, so that shadows on it end where they should
	var rings [parts + 2]geom.Polygon
	for k := range sides {
		s, c := math.Sincos(2 * math.Pi * float64(k) / sides)
		out := geom.Vec{X: c, Y: s * .65}
		foot, chest := base.Add(out.Scale(bodyM*.8)), shoulder.Sub(geom.Vec{Z: .08}).Add(out.Scale(bodyM))
		for i := range parts + 1 {
			rings[i] = append(rings[i], foot.Lerp(chest, float64(i)/parts))
		}
		rings[parts+1] = append(rings[parts+1], shoulder.Add(geom.Vec{Z: .05}).Add(out.Scale(bodyM*.35)))
	}
	var faces []geom.Polygon
	for i := range parts + 1 {
		for k := range sides {
			n := (k + 1) % sides
			faces = append(faces, geom.Polygon{rings[i][k], rings[i][n], rings[i+1][n], rings[i+1][k]})
		}
	}
	m.addProp(prop{colour: [3]float64{.10, .13, .19}, centre: base.Lerp(shoulder, 0.5), probe: shoulder.Add(f.Facing.Scale(.5))}, faces...)
}

// ball returns the faces of a spheroid upright on a centre.
func ball(c geom.Vec, rx, rz float64) []geom.Polygon {
	const turns, rings = 14, 9
	at := func(i, k int) geom.Vec {
		st, ct := math.Sincos(math.Pi * float64(i) / rings)
		sp, cp := math.Sincos(2 * math.Pi * float64(k) / turns)
		return c.Add(geom.Vec{X: rx * st * cp, Y: rx * st * sp, Z: rz * ct})
	}
	var out []geom.Polygon
	for i := range rings {
		for k := range turns {
			out = append(out, geom.Polygon{at(i, k), at(i+1, k), at(i+1, k+1), at(i, k+1)})
		}
	}
	return out
}

// SeatView returns the view from a seat a third of the way back, on the inner
// end of its row, to the platform; CameraView that of the first camera with a
// place, as wide as the faces it frames ask for; false without one.
func SeatView(r room.Room) View {
	v := View{Name: "seat", Title: "From a seat", Eye: geom.Vec{Y: -9, Z: 1.2}, WidthDeg: 62}
	most := 0
	for _, s := range r.Seating {
		if len(s.Rows) <= most {
			continue
		}
		most = len(s.Rows)
		row := s.Rows[len(s.Rows)/3]
		inner, outer := row.Left, row.Right
		if math.Abs(outer.X) < math.Abs(inner.X) {
			inner, outer = outer, inner
		}
		v.Eye = inner.Lerp(outer, 0.1)
		v.Eye.Z += 0.06
	}
	v.Look = geom.Vec{X: v.Eye.X * 0.3, Y: r.Platform.Depth.Metres() / 2, Z: r.Platform.Height.Metres() + 1.5}
	return v
}

// CameraView: see SeatView.
func CameraView(b brief.Brief, zones []Zone) (View, bool) {
	for _, c := range b.Cameras {
		at, ok := CameraAt(c)
		if !ok {
			continue
		}
		lo, hi := emptyBox()
		for _, z := range zones {
			if frames(c, z.Name) {
				for _, f := range z.Faces {
					lo, hi = grow(lo, hi, f.At)
				}
			}
		}
		if !finite(lo) || !finite(hi) {
			continue
		}
		look := lo.Lerp(hi, 0.5)
		wide := 0.0
		for _, x := range []geom.Vec{{X: lo.X, Y: lo.Y, Z: look.Z}, {X: hi.X, Y: lo.Y, Z: look.Z}, {X: lo.X, Y: hi.Y, Z: look.Z}, {X: hi.X, Y: hi.Y, Z: look.Z}} {
			wide = math.Max(wide, angleDeg(look.Sub(at), x.Sub(at)))
		}
		return View{Name: "camera", Title: "From " + called("camera", c.Name), Eye: at, Look: look, WidthDeg: math.Max(16, math.Min(60, 2.5*wide+6))}, true
	}
	return View{}, false
}
