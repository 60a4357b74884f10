package light

import (
	"math"
	"reflect"
	"sync"

	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
)

const (
	// bundleRings × bundleTurns rays carry a source's flux to the patches.
	bundleRings = 16
	bundleTurns = 24
	// fineRings is how finely the flux over the angle off the aim is known when
	// the rings are chosen.
	fineRings = 360
)

// bundle is a distribution's flux as rays in the fixture's frame, each with its
// share of the whole.
type bundle struct {
	fluxLm float64
	dirs   []geom.Vec
	share  []float64
}

// newBundle returns rays in rings of equal flux round the aim, each turned by
// half a step against the last; a ray's share is by the intensity along it, so
// that uneven beams stay uneven.
func newBundle(d photometry.Distribution) bundle { return bundleOf(d, bundleRings, bundleTurns) }

// bundleOf is newBundle of any number of rings and rays in each.
func bundleOf(d photometry.Distribution, rings, turns int) bundle {
	b := bundle{fluxLm: d.FluxLm()}
	toward := func(theta, phi float64) geom.Vec {
		st, ct := math.Sincos(theta)
		sp, cp := math.Sincos(phi)
		return geom.Vec{X: st * cp, Y: st * sp, Z: -ct}
	}
	// Flux up to each of the fine rings' outer edges.
	var upTo [fineRings + 1]float64
	for k := range fineRings {
		inner, outer := math.Pi*float64(k)/fineRings, math.Pi*float64(k+1)/fineRings
		mean := 0.0
		for _, phi := range [...]float64{.3, .3 + math.Pi/2, .3 + math.Pi, .3 + 3*math.Pi/2} {
			mean += d.Intensity(toward((inner+outer)/2, phi)) / 4
		}
		upTo[k+1] = upTo[k] + mean*2*math.Pi*(math.Cos(inner)-math.Cos(outer))
	}
	whole := upTo[fineRings]
	if !(whole > 0) || !(b.fluxLm > 0) {
		return bundle{}
	}
	at := func(share float64) float64 { // the angle within which that share goes
		k := 0
		for k < fineRings-1 && upTo[k+1] < share*whole {
			k++
		}
		t := 0.5
		if upTo[k+1] > upTo[k] {
			t = (share*whole - upTo[k]) / (upTo[k+1] - upTo[k])
		}
		return math.Pi * (float64(k) + t) / fineRings
	}
	for ring := range rings {
		theta := at((float64(ring) + 0.5) / float64(rings))
		sum := 0.0
		from := len(b.share)
		for turn := range turns {
			phi := 2 * math.Pi * (float64(turn) + 0.5*float64(ring%2)) / float64(turns)
			dir := toward(theta, phi)
			cd := math.Max(0, d.Intensity(dir))
			b.dirs, b.share = append(b.dirs, dir), append(b.share, cd)
			sum += cd
		}
		for i := from; i < len(b.share) && sum > 0; i++ {
			b.share[i] /= sum * float64(rings)
		}
	}
	return b
}

// bundles keeps the bundle of each distribution seen, while one scheme is
// evaluated: units of one type share theirs.
type bundles struct {
	mu   sync.Mutex
	kept map[photometry.Distribution]bundle
}

func (b *bundles) of(d photometry.Distribution) bundle {
	if !reflect.TypeOf(d).Comparable() {
		return newBundle(d)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if got, ok := b.kept[d]; ok {
		return got
	}
	if b.kept == nil {
		b.kept = map[photometry.Distribution]bundle{}
	}
	got := newBundle(d)
	b.kept[d] = got
	return got
}

// Shoot returns what a source at its level first brings to every patch, in
// lumens. All its flux arrives: what meets something that takes no part in the
// exchange is shared out over what does. Nothing from a lens that sees none.
func (t *Transport) Shoot(s Source) []float64 {
	var b bundles
	return t.shoot(s, &b)
}

func (t *Transport) shoot(s Source, kept *bundles) []float64 {
	out := make([]float64, len(t.patches))
	if s.Dist == nil || !(s.Level > 0) || len(t.patches) == 0 || !finite(s.At) {
		return out
	}
	b := kept.of(s.Dist)
	f := newFrame(s.Aim.Sub(s.At))
	landed := 0.0
	for i, dir := range b.dirs {
		d := f.x.Scale(dir.X).Add(f.y.Scale(dir.Y)).Add(f.z.Scale(dir.Z))
		if j := t.hit(s.At, d); j >= 0 {
			out[j] += b.share[i]
			landed += b.share[i]
		}
	}
	if landed == 0 {
		return out
	}
	scale := b.fluxLm * s.Level / landed
	for j := range out {
		out[j] *= scale
	}
	return out
}

// hit returns the patch that a ray from a point along a unit direction meets
// first with its front, −1 none.
func (t *Transport) hit(at, dir geom.Vec) int32 {
	d := dir.Scale(t.reach)
	i, share := t.sc.trace(at, d, true)
	if i < 0 {
		return -1
	}
	p := at.Add(d.Scale(share))
	owner := int(t.sc.tris[i].owner)
	if owner >= len(t.sheets) {
		return t.behindOverlay(p, d)
	}
	s := &t.sheets[owner]
	if s.normal.Dot(d) < 0 {
		return t.alive(s.patchAt(p))
	}
	for _, k := range s.twins {
		if o := &t.sheets[k]; insidePolygon(p, o.poly) {
			return t.alive(o.patchAt(p))
		}
	}
	return -1
}

// behindOverlay returns the wall's patch behind a point of a picture on it.
func (t *Transport) behindOverlay(p, d geom.Vec) int32 {
	for i := range t.sheets {
		s := &t.sheets[i]
		if len(s.overlays) == 0 || s.normal.Dot(d) >= 0 {
			continue
		}
		h := p.Sub(s.poly[0]).Dot(s.normal)
		if foot := p.Sub(s.normal.Scale(h)); h > -0.05 && h < overlayM && insidePolygon(foot, s.poly) {
			return t.alive(s.patchAt(foot))
		}
	}
	return -1
}

// alive returns the patch unless it is covered.
func (t *Transport) alive(j int32) int32 {
	if j >= 0 && t.patches[j].area == 0 {
		return -1
	}
	return j
}

// DiffuseShares returns the shares of an even emitter's light, its front along a
// unit normal, that first reach every patch: a window, taken in as many points
// as it has corners. They sum to 1 where anything is seen.
func (t *Transport) DiffuseShares(poly geom.Polygon, normal geom.Vec) []float64 {
	centre := poly.Centroid()
	probes := make([]Probe, len(poly))
	parallel(len(poly), func(k int) { probes[k] = t.look(centre.Lerp(poly[k], 0.5).Add(normal.Scale(liftM))) })
	out := make([]float64, len(t.patches))
	sum := 0.0
	for _, p := range probes {
		for _, g := range p.seen {
			if c := g.dir.Dot(normal); c > 0 {
				out[g.patch] += c * g.omega
				sum += c * g.omega
			}
		}
	}
	for i := range out {
		if sum > 0 {
			out[i] /= sum
		}
	}
	return out
}

// Beam adds to first what a thin beam of parallel light of a flux in lumens,
// from a point along a unit direction, first brings to a patch; what meets none
// is left out.
func (t *Transport) Beam(at, dir geom.Vec, fluxLm float64, first []float64) {
	if j := t.hit(at, dir); j >= 0 {
		first[j] += fluxLm
	}
}
