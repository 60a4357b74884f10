package light

import (
	"math"

	"roodbeam/engine/geom"
)

// Lit is a model under one set of lights.
type Lit struct {
	m       *Model
	sources []Source
	loss    float64
	field   Field
	mean    float64     // reflected light, mean over the room, lx
	lx      [][]float32 // per sheet and texel, direct and reflected
	flats   [][2][]float32
	corners [][3]float32 // per triangle of the things without flats
	around  [][6]float64
	lamps   []lampShown
	peers   []peer
	day     *Day // nil at night
}

// lampShown is a light as the picture shows it.
type lampShown struct {
	peer
	radius float64
}

// peer is a source made ready for many points.
type peer struct {
	s Source
	f frame
}

// housingReflectance of a lamp's housing, dark grey. Own choice.
const housingReflectance = 0.3

// leastShownLx is the direct light below which a source's shadow is not asked
// for in pictures.
const leastShownLx = 0.3

// Light returns the model under sources at their levels, times a loss factor;
// lamps are the lights that are shown.
func (m *Model) Light(sources, lamps []Source, loss float64) *Lit {
	return m.light(sources, lamps, loss, nil)
}

// LightByDay is Light with daylight through the windows.
func (m *Model) LightByDay(sources, lamps []Source, loss float64, day Day) *Lit {
	for _, p := range day.Panes {
		sources = append(sources[:len(sources):len(sources)], p.sources(loss)...)
	}
	return m.light(sources, lamps, loss, &day)
}

func (m *Model) light(sources, lamps []Source, loss float64, day *Day) *Lit {
	l := &Lit{m: m, loss: loss, day: day}
	for _, p := range peers(sources) {
		l.sources = append(l.sources, p.s)
		l.peers = append(l.peers, p)
	}
	for _, p := range peers(lamps) {
		l.lamps = append(l.lamps, lampShown{p, 0.09})
	}
	var kept bundles
	each := make([][]float64, len(l.sources))
	parallel(len(each), func(i int) { each[i] = m.t.shoot(l.sources[i], &kept) })
	flux := make([]float64, m.t.Patches())
	for _, one := range each {
		for j, v := range one {
			flux[j] += v
		}
	}
	if day != nil {
		day.sunFirst(m.t, flux, loss)
	}
	l.field = m.t.Spread(flux)
	l.mean = loss * l.field.MeanLx()
	l.lx = make([][]float32, len(m.maps))
	for i := range m.maps {
		l.lx[i] = make([]float32, m.maps[i].nx*m.maps[i].ny)
	}
	parallel(len(m.maps), l.fill)
	l.flats = make([][2][]float32, len(m.flats))
	l.around = make([][6]float64, len(m.props))
	l.corners = make([][3]float32, len(m.sc.tris))
	parallel(len(m.props), func(i int) {
		p := m.t.look(m.props[i].probe)
		for k, n := range axes {
			l.around[i][k] = loss * p.Plane(l.field, n)
		}
		for _, f := range m.props[i].flats {
			l.fillFlat(f, i)
		}
		l.fillCorners(i)
	})
	return l
}

// peers makes the sources that give light ready.
func peers(sources []Source) []peer {
	var out []peer
	for _, s := range sources {
		if s.Dist != nil && s.Level > 0 && finite(s.At) {
			out = append(out, peer{s, newFrame(s.Aim.Sub(s.At))})
		}
	}
	return out
}

// fillFlat computes the light on both sides of a prop's plane part.
func (l *Lit) fillFlat(i, prop int) {
	f := &l.m.flats[i]
	for side := range 2 {
		n := f.normal.Scale(1 - 2*float64(side))
		lx := make([]float32, f.nx*f.ny)
		reflected := l.reflectedRound(prop, n)
		for b := range f.ny {
			for a := range f.nx {
				at := f.origin.Add(f.u.Scale((float64(a) + 0.5) * f.du)).Add(f.v.Scale((float64(b) + 0.5) * f.dv))
				lx[b*f.nx+a] = float32(l.direct(at, n) + reflected)
			}
		}
		l.flats[i][side] = lx
	}
}

// fillCorners computes the light at the corners of a thing without flats, such
// as a person. Between them it changes little: they are a few centimetres apart,
// and a few tens from foot to shoulder.
func (l *Lit) fillCorners(prop int) {
	p := &l.m.props[prop]
	type corner struct{ at, normal geom.Vec }
	done := map[corner]float32{} // neighbours on a round thing share theirs
	for _, i := range p.tris {
		t := &l.m.sc.tris[i]
		for k, at := range [3]geom.Vec{t.a, t.a.Add(t.ab), t.a.Add(t.ac)} {
			c := corner{at, p.outward(t, at)}
			lx, ok := done[c]
			if !ok {
				lx = float32(l.direct(at, c.normal) + l.reflectedRound(prop, c.normal))
				done[c] = lx
			}
			l.corners[i][k] = lx
		}
	}
}

// outward returns the normal of a thing without flats at a point of one of its
// triangles.
func (p *prop) outward(t *tri, at geom.Vec) geom.Vec {
	if p.round {
		return at.Sub(p.centre).Unit()
	}
	n := t.ab.Cross(t.ac).Unit()
	if n.Dot(t.a.Sub(p.centre)) < 0 {
		n = n.Scale(-1)
	}
	return n
}

// between returns what holds at a point of a triangle, of the values at its corners.
func (t *tri) between(v [3]float32, at geom.Vec) float64 {
	d := at.Sub(t.a)
	bb, bc, cc := t.ab.Dot(t.ab), t.ab.Dot(t.ac), t.ac.Dot(t.ac)
	db, dc := d.Dot(t.ab), d.Dot(t.ac)
	area := bb*cc - bc*bc
	if !(area > 0) {
		return float64(v[0])
	}
	b, c := (cc*db-bc*dc)/area, (bb*dc-bc*db)/area
	return math.Max(0, float64(v[0])*(1-b-c)+float64(v[1])*b+float64(v[2])*c)
}

// reflectedRound returns the reflected light on a prop's side.
func (l *Lit) reflectedRound(prop int, n geom.Vec) float64 {
	sum := 0.0
	for a, axis := range axes {
		if c := n.Dot(axis); c > 0 {
			sum += c * c * l.around[prop][a]
		}
	}
	return sum
}

// sample returns a value between texels, of those that are inside; u and v in
// texels from the corner.
func (x texture) sample(lx []float32, u, v float64) float64 {
	u, v = u-0.5, v-0.5
	iu, iv := int(math.Floor(u)), int(math.Floor(v))
	fu, fv := u-float64(iu), v-float64(iv)
	sum, weight := 0.0, 0.0
	add := func(a, b int, w float64) {
		if t := float64(lx[max(0, min(x.ny-1, b))*x.nx+max(0, min(x.nx-1, a))]); t == t {
			sum, weight = sum+w*t, weight+w
		}
	}
	add(iu, iv, (1-fu)*(1-fv))
	add(iu+1, iv, fu*(1-fv))
	add(iu, iv+1, (1-fu)*fv)
	add(iu+1, iv+1, fu*fv)
	if weight < 1e-9 {
		return 0
	}
	return sum / weight
}

var axes = [6]geom.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}

// fill computes the light on one sheet's texels.
func (l *Lit) fill(i int) {
	s, x := &l.m.t.sheets[i], l.m.maps[i]
	for b := range x.ny {
		for a := range x.nx {
			at := s.origin.Add(s.u.Scale((float64(a) + 0.5) * x.du)).Add(s.v.Scale((float64(b) + 0.5) * x.dv))
			if !insidePolygon(at, s.poly) {
				l.lx[i][b*x.nx+a] = float32(math.NaN()) // sample leaves it out
				continue
			}
			l.lx[i][b*x.nx+a] = float32(l.direct(at, s.normal) + l.reflectedOn(s, at))
		}
	}
}

// direct returns the sources' light on the side of a point to which the normal looks.
func (l *Lit) direct(at, normal geom.Vec) float64 {
	sum := 0.0
	from := at.Add(normal.Scale(2 * endMarginM))
	for i := range l.peers {
		p := &l.peers[i]
		path := at.Sub(p.s.At)
		cos := -path.Dot(normal)
		if cos <= 0 {
			continue
		}
		r2 := path.Dot(path)
		r := math.Sqrt(r2)
		if r < nearestM {
			continue
		}
		lx := l.loss * p.s.Level * p.s.Dist.Intensity(p.f.toLocal(path.Scale(1/r))) * cos / (r2 * r)
		if lx < leastShownLx {
			sum += lx
			continue
		}
		if !l.m.sc.Occluded(p.s.At, from) {
			sum += lx
		}
	}
	return sum
}

// reflectedOn returns the reflected light at a point of a sheet, between the
// middles of its patches.
func (l *Lit) reflectedOn(s *sheetOf, at geom.Vec) float64 {
	d := at.Sub(s.origin)
	u, v := d.Dot(s.u)/s.du-0.5, d.Dot(s.v)/s.dv-0.5
	iu, iv := math.Floor(u), math.Floor(v)
	sum, w := 0.0, 0.0
	for _, c := range [4][2]float64{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
		i, j := int(iu+c[0]), int(iv+c[1])
		if i < 0 || j < 0 || i >= s.nu || j >= s.nv {
			continue
		}
		k := s.at[j*s.nu+i]
		if k < 0 || l.m.t.patches[k].area == 0 {
			continue
		}
		weight := (1 - math.Abs(u-iu-c[0])) * (1 - math.Abs(v-iv-c[1]))
		sum += weight * (l.field.total[k] - l.field.first[k])
		w += weight
	}
	if w < 1e-6 {
		return 0
	}
	return l.loss * sum / w
}

// onSheet returns the light at a point of a sheet between its texels.
func (l *Lit) onSheet(i int, at geom.Vec) float64 {
	s, x := &l.m.t.sheets[i], l.m.maps[i]
	if x.nx == 0 {
		return -1
	}
	d := at.Sub(s.origin)
	return x.sample(l.lx[i], d.Dot(s.u)/x.du, d.Dot(s.v)/x.dv)
}

// radiance is linear sRGB in cd/m².
type radiance [3]float64

func (c radiance) scale(s float64) radiance { return radiance{c[0] * s, c[1] * s, c[2] * s} }

// met is where a ray ends: a triangle, −1 for none, and the share of the room's
// reach until there.
type met struct {
	tri   int32
	share float64
}

// meets follows a ray through the room.
func (m *Model) meets(eye, dir geom.Vec) met {
	i, share := m.sc.trace(eye, dir.Scale(m.t.reach), true)
	return met{i, share}
}

// cast returns what is seen along a ray that ends at a place, and what thing it
// is, for edges. lamps are the lights that may be in its way.
func (l *Lit) cast(eye, dir geom.Vec, end met, lamps []int) (radiance, int) {
	m, i, share := l.m, end.tri, end.share
	d := dir.Scale(m.t.reach)
	hit := math.Inf(1)
	if i >= 0 {
		hit = share * m.t.reach
	}
	for _, k := range lamps {
		lamp := &l.lamps[k]
		to := lamp.s.At.Sub(eye)
		along := to.Dot(dir)
		if along <= 0.3 || along >= hit || to.Dot(to)-along*along > lamp.radius*lamp.radius {
			continue
		}
		cd := lamp.s.Level * lamp.s.Dist.Intensity(lamp.f.toLocal(to.Unit().Scale(-1)))
		if cd < 20 {
			return radiance{1, 1, 1.05}.scale(.4 + housingReflectance*l.mean/math.Pi), -100 - k // the housing
		}
		return radiance{1, .96, .88}.scale(cd / (math.Pi * lamp.radius * lamp.radius)), -100 - k
	}
	if i < 0 {
		return radiance{}, -1
	}
	at := eye.Add(d.Scale(share))
	owner := int(m.sc.tris[i].owner)
	switch n := len(m.t.sheets); {
	case owner < n:
		return l.sheetSeen(owner, at, dir), owner
	case owner < n+len(m.shows):
		sc := m.shows[owner-n]
		c := radiance{.75, .95, 1.25}.scale(sc.cd)
		if sc.poly.Normal().Dot(dir) > 0 {
			c = radiance{.5, .5, .5}
		}
		return c, owner
	default:
		return l.propSeen(owner-n-len(m.shows), i, at, dir), owner
	}
}

// sheetSeen returns a surface's radiance.
func (l *Lit) sheetSeen(i int, at, dir geom.Vec) radiance {
	s := &l.m.t.sheets[i]
	if s.normal.Dot(dir) > 0 {
		for _, k := range s.twins {
			if insidePolygon(at, l.m.t.sheets[k].poly) {
				i, s = k, &l.m.t.sheets[k]
				break
			}
		}
	}
	for k, p := range l.m.panes {
		if len(p) >= 3 && math.Abs(at.Sub(p[0]).Dot(s.normal)) < overlayM && math.Abs(p.Normal().Dot(s.normal)) > 0.999 && insidePolygon(at, p) {
			return l.pane(k)
		}
	}
	lx := l.onSheet(i, at)
	if lx < 0 || s.normal.Dot(dir) > 0 {
		n := s.normal
		if n.Dot(dir) > 0 {
			n = n.Scale(-1)
		}
		lx = l.direct(at, n) + l.mean
	}
	if n := s.normal; n.Dot(dir) > 0 {
		lx += l.sunOn(at, n.Scale(-1))
	} else {
		lx += l.sunOn(at, n)
	}
	c := colours[s.kind]
	return radiance(c).scale(s.rho * lx / math.Pi)
}

// propSeen returns the radiance of a bench or a person.
func (l *Lit) propSeen(k int, tri int32, at, dir geom.Vec) radiance {
	p := &l.m.props[k]
	t := &l.m.sc.tris[tri]
	n, lx := t.ab.Cross(t.ac).Unit(), -1.0
	if len(p.flats) == 0 {
		n = p.outward(t, at)
		if p.round || n.Dot(dir) <= 0 {
			lx = t.between(l.corners[tri], at)
		}
	}
	if n.Dot(dir) > 0 {
		n = n.Scale(-1)
	}
	for _, i := range p.flats {
		f := &l.m.flats[i]
		if d := at.Sub(f.origin); math.Abs(d.Dot(f.normal)) < 1e-3 {
			side := 0
			if n.Dot(f.normal) < 0 {
				side = 1
			}
			lx = f.sample(l.flats[i][side], d.Dot(f.u)/f.du, d.Dot(f.v)/f.dv)
			break
		}
	}
	if lx < 0 {
		lx = l.direct(at, n) + l.reflectedRound(k, n)
	}
	lx += l.sunOn(at, n)
	return radiance(p.colour).scale(lx / math.Pi)
}

// lampsBetween returns the lights that a row of pixels can show: those not wholly
// under the plane through its lower edge or over that through its upper one, by
// the upward normals of both.
func (l *Lit) lampsBetween(eye, low, high geom.Vec) []int {
	var out []int
	for k := range l.lamps {
		to, r := l.lamps[k].s.At.Sub(eye), l.lamps[k].radius
		if to.Dot(low) >= -r && to.Dot(high) <= r {
			out = append(out, k)
		}
	}
	return out
}

// Frame is a picture before tone mapping, cd/m² row by row from the top.
type Frame struct {
	View View
	cd   []radiance
}

// seen is a view of a model with the places where the rays through the middles
// of its pixels end. It holds under any light.
type seen struct {
	View
	ahead, right, up geom.Vec
	half             float64 // tangent of half the angle of view across
	ends             []met
}

// see casts a ray through every pixel of a view.
func (m *Model) see(v View) seen {
	s := seen{View: v, ends: make([]met, v.Cols*v.Rows)}
	s.ahead = v.Look.Sub(v.Eye).Unit()
	s.right = s.ahead.Cross(geom.Vec{Z: 1}).Unit()
	if s.right == (geom.Vec{}) {
		s.right = geom.Vec{X: 1}
	}
	s.up = s.right.Cross(s.ahead)
	s.half = math.Tan(v.WidthDeg / 2 * math.Pi / 180)
	parallel(v.Rows, func(y int) {
		for x := range v.Cols {
			s.ends[y*v.Cols+x] = m.meets(v.Eye, s.ray(float64(x)+.5, float64(y)+.5))
		}
	})
	return s
}

// ray returns the direction through a place of the picture, in pixels from its
// upper left corner.
func (s *seen) ray(x, y float64) geom.Vec {
	a := (2*x/float64(s.Cols) - 1) * s.half
	b := (float64(s.Rows) - 2*y) / float64(s.Cols) * s.half
	return s.ahead.Add(s.right.Scale(a)).Add(s.up.Scale(b)).Unit()
}

// Render returns the picture of a view.
func (l *Lit) Render(v View) Frame { return l.render(l.m.see(v)) }

// render shows a view under the lights, with four rays more where neighbours
// show different things.
func (l *Lit) render(v seen) Frame {
	f := Frame{View: v.View, cd: make([]radiance, v.Cols*v.Rows)}
	lamps := make([][]int, v.Rows)
	for y := range lamps {
		low, high := v.ray(float64(v.Cols)/2, float64(y+1)), v.ray(float64(v.Cols)/2, float64(y))
		lamps[y] = l.lampsBetween(v.Eye, v.right.Cross(low), v.right.Cross(high))
	}
	what := make([]int32, v.Cols*v.Rows)
	parallel(v.Rows, func(y int) {
		for x := range v.Cols {
			c, id := l.cast(v.Eye, v.ray(float64(x)+.5, float64(y)+.5), v.ends[y*v.Cols+x], lamps[y])
			f.cd[y*v.Cols+x], what[y*v.Cols+x] = c, int32(id)
		}
	})
	out := append([]radiance(nil), f.cd...)
	parallel(v.Rows, func(y int) {
		for x := range v.Cols {
			me := what[y*v.Cols+x]
			edge := x > 0 && what[y*v.Cols+x-1] != me || x+1 < v.Cols && what[y*v.Cols+x+1] != me ||
				y > 0 && what[(y-1)*v.Cols+x] != me || y+1 < v.Rows && what[(y+1)*v.Cols+x] != me
			if !edge {
				continue
			}
			sum := radiance{}
			for _, o := range [4][2]float64{{.25, .375}, {.625, .125}, {.875, .625}, {.375, .875}} {
				dir := v.ray(float64(x)+o[0], float64(y)+o[1])
				c, _ := l.cast(v.Eye, dir, l.m.meets(v.Eye, dir), lamps[y])
				for k := range sum {
					sum[k] += math.Min(c[k], 4000) / 4 // a lamp must not bleed over its edge
				}
			}
			out[y*v.Cols+x] = sum
		}
	})
	f.cd = out
	return f
}
