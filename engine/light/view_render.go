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
	parallel(len(m.props), func(i int) {
		p := m.t.look(m.props[i].probe)
		for k, n := range axes {
			l.around[i][k] = loss * p.Plane(l.field, n)
		}
		for _, f := range m.props[i].flats {
			l.fillFlat(f, i)
		}
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

// cast returns what is seen along a ray and what thing it is, for edges.
func (l *Lit) cast(eye, dir geom.Vec) (radiance, int) {
	m := l.m
	d := dir.Scale(m.t.reach)
	i, share := m.sc.trace(eye, d, true)
	hit := math.Inf(1)
	if i >= 0 {
		hit = share * m.t.reach
	}
	for k, lamp := range l.lamps {
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
	n := t.ab.Cross(t.ac).Unit()
	if p.round {
		n = at.Sub(p.centre).Unit()
	}
	if n.Dot(dir) > 0 {
		n = n.Scale(-1)
	}
	lx := -1.0
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

// Frame is a picture before tone mapping, cd/m² row by row from the top.
type Frame struct {
	View View
	cd   []radiance
}

// Render casts a ray through every pixel, and three more where neighbours show
// different things.
func (l *Lit) Render(v View) Frame {
	f := Frame{View: v, cd: make([]radiance, v.Cols*v.Rows)}
	ahead := v.Look.Sub(v.Eye).Unit()
	right := ahead.Cross(geom.Vec{Z: 1}).Unit()
	if right == (geom.Vec{}) {
		right = geom.Vec{X: 1}
	}
	up := right.Cross(ahead)
	half := math.Tan(v.WidthDeg / 2 * math.Pi / 180)
	ray := func(x, y float64) geom.Vec {
		a := (2*x/float64(v.Cols) - 1) * half
		b := (float64(v.Rows) - 2*y) / float64(v.Cols) * half
		return ahead.Add(right.Scale(a)).Add(up.Scale(b)).Unit()
	}
	what := make([]int32, v.Cols*v.Rows)
	parallel(v.Rows, func(y int) {
		for x := range v.Cols {
			c, id := l.cast(v.Eye, ray(float64(x)+.5, float64(y)+.5))
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
				c, _ := l.cast(v.Eye, ray(float64(x)+o[0], float64(y)+o[1]))
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
