package room

import (
	"fmt"
	"math"
	"sort"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// barrelFacets is how many planes a vault is made of; the sagitta of one on a
// half circle is 2 % of its radius.
const barrelFacets = 8

// facet is a plane of the ceiling, z = A·x + B·y + C. A roof's ceiling is the
// lowest of its planes at every point.
type facet struct{ a, b, c float64 }

func (f facet) at(x, y float64) float64 { return f.a*x + f.b*y + f.c }

// facets returns the planes of a hipped or barrel ceiling; none for the others.
func (c Ceiling) facets() []facet {
	hw := float64(c.HalfWidth)
	if hw <= 0 || c.Ridge <= c.Eaves {
		return nil
	}
	var out []facet
	// across adds the plane that falls from height z by slope per metre along u,
	// the distance from the ridge line, through u0.
	across := func(u0, z, slope float64) {
		if c.RidgeAlongY {
			out = append(out, facet{slope, 0, z - slope*(u0+float64(c.CentreX))})
		} else {
			out = append(out, facet{0, slope, z - slope*(u0+float64(c.CentreY))})
		}
	}
	rise := float64(c.Ridge - c.Eaves)
	switch c.Shape {
	case "hipped":
		across(0, float64(c.Ridge), -rise/hw)
		across(0, float64(c.Ridge), rise/hw)
		hl, run := float64(c.HalfLength), float64(c.HipRun)
		if run > 0 && hl > 0 {
			s := rise / math.Min(run, hl)
			for _, side := range []float64{-1, 1} {
				if c.RidgeAlongY {
					out = append(out, facet{0, side * s, float64(c.Eaves) + s*hl - side*s*float64(c.CentreY)})
				} else {
					out = append(out, facet{side * s, 0, float64(c.Eaves) + s*hl - side*s*float64(c.CentreX)})
				}
			}
		}
	case "barrel":
		us, zs := vault(hw, rise)
		for i := range us[:len(us)-1] {
			across(us[i], float64(c.Eaves)+zs[i], (zs[i+1]-zs[i])/(us[i+1]-us[i]))
		}
	}
	return out
}

// vault returns the corners of a vault of a half span and a rise, from −half to
// +half: on the circle through springing and crown, or where it rises by more
// than its half span on the half ellipse.
func vault(half, rise float64) (us, zs []float64) {
	radius := (half*half + rise*rise) / (2 * rise)
	open := math.Asin(math.Min(1, half/radius))
	for i := range barrelFacets + 1 {
		t := 2*float64(i)/barrelFacets - 1
		if rise <= half {
			a := t * open
			us, zs = append(us, radius*math.Sin(a)), append(zs, radius*math.Cos(a)-(radius-rise))
		} else {
			a := t * math.Pi / 2
			us, zs = append(us, half*math.Sin(a)), append(zs, rise*math.Cos(a))
		}
	}
	us[0], us[barrelFacets], zs[0], zs[barrelFacets] = -half, half, 0, 0
	return us, zs
}

// lowest returns the height of the lowest facet at a plan point, never under the
// eaves.
func lowest(fs []facet, x, y, eaves float64) float64 {
	z := math.Inf(1)
	for _, f := range fs {
		z = math.Min(z, f.at(x, y))
	}
	return math.Max(z, eaves)
}

// stepAt returns the height of a stepped ceiling at a distance from the
// platform's edge.
func (c Ceiling) stepAt(y float64) si.Length {
	h := c.Eaves
	for _, s := range c.Steps {
		if y >= float64(s.FromY) {
			h = s.Height
		}
	}
	return h
}

// Ground is the hall floor's own slope: it rises by Rise toward the rear wall
// between FromY and ToY, which lies farther from the platform. Heights count from
// the floor at the platform.
type Ground struct{ Rise, FromY, ToY si.Length }

// HeightAt returns the floor's height above the floor at the platform.
func (g Ground) HeightAt(y float64) si.Length {
	if g.Rise == 0 || g.FromY <= g.ToY {
		return 0
	}
	t := (float64(g.FromY) - y) / float64(g.FromY-g.ToY)
	return g.Rise * si.Length(math.Max(0, math.Min(1, t)))
}

// cuts returns where a floor's slope bends, by y.
func (g Ground) cuts() []float64 {
	if g.Rise == 0 || g.FromY <= g.ToY {
		return nil
	}
	return []float64{float64(g.ToY), float64(g.FromY)}
}

func (c Ceiling) stepCuts() []float64 {
	var out []float64
	if c.Shape == "stepped" {
		for _, s := range c.Steps {
			out = append(out, float64(s.FromY))
		}
	}
	return out
}

// slice cuts convex plan polygons along lines of constant y.
func slice(parts []geom.Polygon, ys []float64) []geom.Polygon {
	for _, y := range ys {
		var out []geom.Polygon
		for _, g := range parts {
			for _, side := range []float64{1, -1} {
				if piece := clip(g, false, y, side); piece != nil {
					out = append(out, piece)
				}
			}
		}
		parts = out
	}
	return parts
}

// clipBelow keeps the part of a convex polygon where an affine function is not
// above nought.
func clipBelow(p geom.Polygon, f func(geom.Vec) float64) geom.Polygon {
	var out geom.Polygon
	for i, v := range p {
		w := p[(i+1)%len(p)]
		a, b := f(v), f(w)
		if a <= 0 {
			out = append(out, v)
		}
		if (a < 0 && b > 0) || (a > 0 && b < 0) {
			out = append(out, v.Lerp(w, a/(a-b)))
		}
	}
	out = tidy(out)
	if len(out) < 3 || math.Abs(signedArea(out)) < areaTolerance {
		return nil
	}
	return out
}

// facetedCeiling returns the ceiling of a hipped or barrel roof over convex
// parts of the floor.
func facetedCeiling(parts []geom.Polygon, fs []facet) []Surface {
	var flat []geom.Polygon
	var over []facet
	for _, g := range parts {
		for i, f := range fs {
			piece := g
			for k, o := range fs {
				if k == i || piece == nil {
					continue
				}
				if f == o {
					if k < i {
						piece = nil
					}
					continue
				}
				piece = clipBelow(piece, func(v geom.Vec) float64 { return f.at(v.X, v.Y) - o.at(v.X, v.Y) })
			}
			if piece != nil {
				flat, over = append(flat, piece), append(over, f)
			}
		}
	}
	return numbered("ceiling", flat, func(i int, g geom.Polygon) geom.Polygon {
		up := make(geom.Polygon, len(g))
		for k, v := range g {
			up[len(g)-1-k] = geom.Vec{X: v.X, Y: v.Y, Z: over[i].at(v.X, v.Y)}
		}
		return up
	})
}

// steppedCeiling returns the flat parts of a stepped ceiling and the upright
// faces between them.
func steppedCeiling(parts []geom.Polygon, c Ceiling) []Surface {
	cuts := c.stepCuts()
	out := numbered("ceiling", slice(parts, cuts), func(_ int, g geom.Polygon) geom.Polygon {
		z := c.stepAt(g.Centroid().Y).Metres()
		up := make(geom.Polygon, len(g))
		for k, v := range g {
			up[len(g)-1-k] = geom.Vec{X: v.X, Y: v.Y, Z: z}
		}
		return up
	})
	n := 0
	before := c.Eaves
	for _, s := range c.Steps {
		lo, hi := before.Metres(), s.Height.Metres()
		before = s.Height
		if lo == hi {
			continue
		}
		for _, g := range parts {
			x0, x1, ok := crossing(g, float64(s.FromY))
			if !ok {
				continue
			}
			n++
			y := float64(s.FromY)
			// Seen from the higher side: from +y when the ceiling rises upstage.
			face := geom.Polygon{{X: x1, Y: y, Z: lo}, {X: x0, Y: y, Z: lo}, {X: x0, Y: y, Z: hi}, {X: x1, Y: y, Z: hi}}
			out = append(out, Surface{Name: fmt.Sprintf("ceiling_step_%d", n), Kind: "ceiling", Polygon: face})
		}
	}
	return out
}

// crossing returns where the line of constant y runs through the inside of a
// convex polygon.
func crossing(g geom.Polygon, y float64) (x0, x1 float64, ok bool) {
	x0, x1 = math.Inf(1), math.Inf(-1)
	above, below := false, false
	for i, v := range g {
		w := g[(i+1)%len(g)]
		above, below = above || v.Y > y, below || v.Y < y
		if v.Y == y {
			x0, x1 = math.Min(x0, v.X), math.Max(x1, v.X)
		}
		if (v.Y-y)*(w.Y-y) < 0 {
			x := v.Lerp(w, (y-v.Y)/(w.Y-v.Y)).X
			x0, x1 = math.Min(x0, x), math.Max(x1, x)
		}
	}
	return x0, x1, above && below && x1 > x0
}

// breaks returns where the ceiling bends between two plan points, as shares of
// the way, in order.
func (c Ceiling) breaks(a, b geom.Vec) []float64 {
	var out []float64
	add := func(da, db float64) {
		if da*db < 0 {
			out = append(out, da/(da-db))
		}
	}
	if at, ridged := c.ridged(); ridged {
		if c.RidgeAlongY {
			add(a.X-at, b.X-at)
		} else {
			add(a.Y-at, b.Y-at)
		}
		return out
	}
	fs := c.facets()
	for i, f := range fs {
		for _, o := range fs[i+1:] {
			da, db := f.at(a.X, a.Y)-o.at(a.X, a.Y), f.at(b.X, b.Y)-o.at(b.X, b.Y)
			if da*db >= 0 {
				continue
			}
			t := da / (da - db)
			p := a.Lerp(b, t)
			// Only where these two are the lowest does the ceiling bend.
			if f.at(p.X, p.Y) <= lowest(fs, p.X, p.Y, math.Inf(-1))+1e-9 {
				out = append(out, t)
			}
		}
	}
	sort.Float64s(out)
	return out
}

// segments splits an edge of the floor where the ceiling steps or the floor
// bends, so that each wall between them is convex.
func segments(a, b geom.Vec, ys []float64) [][2]geom.Vec {
	ts := []float64{0, 1}
	for _, y := range ys {
		if (a.Y-y)*(b.Y-y) < 0 {
			ts = append(ts, (y-a.Y)/(b.Y-a.Y))
		}
	}
	sort.Float64s(ts)
	var out [][2]geom.Vec
	at := func(t float64) geom.Vec {
		switch t {
		case 0:
			return a
		case 1:
			return b
		}
		return a.Lerp(b, t)
	}
	for i := range ts[:len(ts)-1] {
		if ts[i+1] > ts[i] {
			out = append(out, [2]geom.Vec{at(ts[i]), at(ts[i+1])})
		}
	}
	return out
}
