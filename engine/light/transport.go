package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

const (
	// farShare is the distance, in diameters of a patch, from which its view
	// factor from a point is taken as cos·cos·A/(π·d²): within 1 % by the
	// five-times rule.
	farShare = 5
	// deadShare is the share of its hemisphere a sample point must see to count:
	// below it the point lies under something, a platform or a cupboard.
	deadShare = 0.3
	// balanced is the relative error of a row's sum at which scaling stops; the
	// rest goes to the row's own patch.
	balanced = 1e-6
	// balanceTurns bounds the scaling; solveTurns the solution.
	balanceTurns, solveTurns = 100, 400
	// settled is the relative change of the largest illuminance at which the
	// solution stops. The energy balance then holds to 1e-9 (a test holds this).
	settled = 1e-12
)

// Transport is how diffuse light goes round in a room: its surfaces in patches,
// and the share of each patch's light that reaches every other. It is built
// once per room and serves every scheme, in many goroutines; all it changes of
// itself is the probes it keeps.
type Transport struct {
	sc      Scene // with one owner per sheet
	sheets  []sheetOf
	over    []overlay
	patches []patch
	f       []float64 // n·n, row i: view factors from patch i; every row sums to 1
	reach   float64   // length of a ray that leaves the room
	side    float64
	memo    memo
}

// NewTransport returns the transport of a room. Surfaces look into the room from
// their normals' side; pictures and windows that lie on a wall give its patches
// their reflectance by area. It takes about half a second for a church.
//
// View factors are those of the polygon form or, far away, of the differential
// form, from several points of a patch to every other patch, times what a
// shadow ray between their points finds free. They are made reciprocal by
// the mean of Ai·Fij and Aj·Fji and scaled so that the room is closed:
// Σj Fij = 1 with Ai·Fij = Aj·Fji.
// Source: Goral et al., Modeling the interaction of light between diffuse
// surfaces, SIGGRAPH 1984; the scaling is Sinkhorn's, 1967 (from memory).
func NewTransport(r room.Room) *Transport { return newTransport(r, patchesWanted) }

func newTransport(r room.Room, wanted float64) *Transport {
	t := &Transport{}
	t.sheets, t.over = sheets(r)
	area := 0.0
	lo, hi := emptyBox()
	for _, s := range t.sheets {
		if s.patches {
			area += s.poly.Area()
		}
		for _, v := range s.poly {
			lo, hi = grow(lo, hi, v)
		}
	}
	if len(t.sheets) == 0 || !finite(lo) || !finite(hi) {
		return &Transport{}
	}
	t.reach = 2*hi.Sub(lo).Norm() + 1
	t.side = math.Max(patchLeastM, math.Min(patchMostM, math.Sqrt(area/wanted)))
	if wanted > patchesWanted { // finer on purpose
		t.side = math.Sqrt(area / wanted)
	}
	for area/(t.side*t.side) > 4*math.Max(wanted, patchesWanted) {
		t.side *= 1.5 // a hall of unlikely size
	}
	for i := range t.sheets {
		s := &t.sheets[i]
		t.sc.add(s.name, s.poly)
		if s.patches {
			t.patches = append(t.patches, s.grid(i, t.side, t.over, len(t.patches))...)
		}
	}
	// Pictures on walls block too; what they catch is their wall's patch.
	for _, o := range t.over {
		if o.solid {
			t.sc.add(o.name, o.poly)
		}
	}
	t.sc.build()
	t.factors()
	return t
}

// Patches returns the number of patches.
func (t *Transport) Patches() int { return len(t.patches) }

// factors fills the matrix.
func (t *Transport) factors() {
	n := len(t.patches)
	t.f = make([]float64, n*n)
	parallel(n, t.row)
	t.dropCovered()
	t.balance()
}

// row fills the raw view factors from one patch and drops its covered points.
func (t *Transport) row(i int) {
	p := &t.patches[i]
	n := len(t.patches)
	row := t.f[i*n : (i+1)*n]
	one := make([]float64, n)
	pts, weights, alive := p.pts[:0:0], p.weights[:0:0], 0.0
	for k, at := range p.pts {
		seen := 0.0
		for j := range t.patches {
			one[j] = 0
			q := &t.patches[j]
			if q.sheet == p.sheet {
				continue
			}
			one[j] = t.factor(at, p.normal, q, k)
			seen += one[j]
		}
		if seen < deadShare {
			continue
		}
		pts, weights, alive = append(pts, at), append(weights, p.weights[k]), alive+p.weights[k]
		for j, f := range one {
			row[j] += p.weights[k] * f
		}
	}
	if alive == 0 {
		p.area, p.rho = 0, 0
		return
	}
	for j := range row {
		row[j] /= alive
	}
	p.pts, p.weights, p.area = pts, weights, p.area*alive
}

// factor returns the visible part of the view factor from a point to a patch,
// asking the patch's point of the same number.
func (t *Transport) factor(at, normal geom.Vec, q *patch, k int) float64 {
	d := q.centre.Sub(at)
	if d.Dot(q.normal) >= 0 {
		return 0
	}
	r2 := d.Dot(d)
	f := 0.0
	if r2 > farShare*farShare*q.size*q.size {
		f = -d.Dot(normal) * d.Dot(q.normal) * q.whole / (math.Pi * r2 * r2)
	} else {
		f = PointToPolygon(at, normal, q.poly)
	}
	if !(f > 0) || t.sc.Occluded(at, q.centre.Lerp(q.poly[k%len(q.poly)], 0.5).Add(q.normal.Scale(q.lift(k)))) {
		return 0
	}
	return f
}

// lift returns how far the patch's k-th corner point stands before its plane:
// those under a picture that lies on it start before the picture.
func (p *patch) lift(k int) float64 {
	if k = k % len(p.poly); k < len(p.lifts) {
		return p.lifts[k]
	}
	return 0
}

// dropCovered takes patches that lie wholly under something out of the exchange.
func (t *Transport) dropCovered() {
	n := len(t.patches)
	for i := range t.patches {
		if t.patches[i].area > 0 {
			continue
		}
		for j := range n {
			t.f[i*n+j], t.f[j*n+i] = 0, 0
		}
	}
}

// balance makes the matrix reciprocal and its rows sum to 1.
func (t *Transport) balance() {
	n := len(t.patches)
	s := t.f // Ai·Fij, made in place
	for i := range n {
		for j := range i {
			m := (t.patches[i].area*s[i*n+j] + t.patches[j].area*s[j*n+i]) / 2
			s[i*n+j], s[j*n+i] = m, m
		}
		s[i*n+i] = 0
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	sum := make([]float64, n)
	rows := func() (worst float64) {
		parallel(n, func(i int) { sum[i] = x[i] * dot(s[i*n:(i+1)*n], x) })
		for i, p := range t.patches {
			if p.area > 0 && sum[i] > 0 {
				worst = math.Max(worst, math.Abs(sum[i]/p.area-1))
			}
		}
		return worst
	}
	for turn := 0; rows() > balanced && turn < balanceTurns; turn++ {
		for i, p := range t.patches {
			if p.area > 0 && sum[i] > 0 {
				x[i] *= math.Sqrt(p.area / sum[i])
			}
		}
	}
	parallel(n, func(i int) {
		a := t.patches[i].area
		if a == 0 {
			return
		}
		row := s[i*n : (i+1)*n]
		for j := range row {
			row[j] *= x[i] * x[j] / a
		}
		row[i] = 1 - sum[i]/a // what is left of the scaling's error
	})
}

// dot returns the scalar product in four running sums, always in the same order.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}

// Interreflect returns the whole illuminance in lux of every patch from its
// first, direct one:
//
//	Ei = E0i + Σj Fij·ρj·Ej
//
// with row-wise view factors f of n patches and their reflectances, by
// Gauss–Seidel's method. Reflectances must stay below 1.
// Source: radiosity equation, Goral et al. 1984; Cohen & Wallace, Radiosity and
// Realistic Image Synthesis, 1993 (from memory).
func Interreflect(f, first, rho []float64) []float64 {
	n := len(first)
	e := append([]float64(nil), first...)
	m := make([]float64, n) // ρ·E
	for i := range m {
		m[i] = rho[i] * e[i]
	}
	for range solveTurns {
		change, most := 0.0, 0.0
		for i := range n {
			v := first[i] + dot(f[i*n:(i+1)*n], m)
			change, most = math.Max(change, math.Abs(v-e[i])), math.Max(most, math.Abs(v))
			e[i], m[i] = v, rho[i]*v
		}
		if !(change > settled*most) {
			break
		}
	}
	return e
}

// Field is the light on a room's patches under one scheme.
type Field struct {
	t *Transport
	// first and total are the direct and the whole illuminance of each patch,
	// lx; exitance what it gives off, lm/m².
	first, total, exitance []float64
	FluxLm                 float64 // that went out
	AbsorbedLm             float64 // Σ A·(1−ρ)·E: the same
}

// Spread returns the field of what first reaches every patch, in lumens.
func (t *Transport) Spread(fluxLm []float64) Field {
	n := len(t.patches)
	out := Field{t: t, first: make([]float64, n), exitance: make([]float64, n)}
	rho := make([]float64, n)
	for i, p := range t.patches {
		rho[i] = p.rho
		if p.area > 0 {
			out.first[i] = fluxLm[i] / p.area
			out.FluxLm += fluxLm[i]
		}
	}
	out.total = Interreflect(t.f, out.first, rho)
	for i, p := range t.patches {
		out.exitance[i] = p.rho * out.total[i]
		out.AbsorbedLm += p.area * (1 - p.rho) * out.total[i]
	}
	return out
}

// OnSurface returns the average direct and reflected illuminance in lux on the
// surface of a name, over its patches; NaN without any. A picture or window
// that lies on a wall takes its share of the wall's patches.
func (f Field) OnSurface(name string) (direct, indirect float64) {
	area := 0.0
	if f.t == nil {
		return math.NaN(), math.NaN()
	}
	for i, p := range f.t.patches {
		s := &f.t.sheets[p.sheet]
		w := 0.0
		if s.name == name {
			w = p.area
		}
		for k, o := range s.overlays {
			if f.t.over[o].name == name {
				w = p.area * p.over[k]
			}
		}
		area += w
		direct += w * f.first[i]
		indirect += w * (f.total[i] - f.first[i])
	}
	if area == 0 {
		return math.NaN(), math.NaN()
	}
	return direct / area, indirect / area
}

// MeanLx returns the mean reflected illuminance over all surfaces, lx.
func (f Field) MeanLx() float64 {
	sum, area := 0.0, 0.0
	if f.t == nil {
		return 0
	}
	for i, p := range f.t.patches {
		sum += p.area * (f.total[i] - f.first[i])
		area += p.area
	}
	if area == 0 {
		return 0
	}
	return sum / area
}
