package survey

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"

	"roodbeam/engine/geom"
)

// Loose is a point that the observations leave free to move.
type Loose struct {
	Point      string
	Directions []geom.Vec // unit vectors, orthogonal to each other
	Fixes      []Fix      // single measurements that take freedom away, the strongest first
}

// Words names the directions for people.
func (l Loose) Words() []string {
	var out []string
	level := 0
	for _, d := range l.Directions {
		if math.Abs(d.Z) < levelShare {
			level++
		}
	}
	if level == 2 { // any direction in plan: which two they were found as says nothing
		out = []string{"x", "y"}
	}
	for _, d := range l.Directions {
		if level < 2 || math.Abs(d.Z) >= levelShare {
			out = append(out, directionWord(d))
		}
	}
	return out
}

// levelShare is the upward part of a direction under which it is called level.
const levelShare = 0.03

func directionWord(d geom.Vec) string {
	for axis, name := range []string{"x", "y", "z"} {
		if math.Abs(coord(d, axis)) > 0.999 {
			return name
		}
	}
	if math.Abs(d.Z) < levelShare {
		return fmt.Sprintf("level, %.0f° from x toward y", math.Mod(math.Atan2(d.Y, d.X)*180/math.Pi+360, 180))
	}
	return fmt.Sprintf("along (%.2f, %.2f, %.2f)", d.X, d.Y, d.Z)
}

// Fix is a measurement that would take freedom from a loose point.
type Fix struct {
	Kind      Kind
	From      string // empty for kinds that need none
	To        string
	Remaining int // directions in which the point stays free after it
}

const (
	fixesPerPoint = 5
	// fixShare is how much of a unit motion a measurement must see to hold it:
	// a sightline 87° off the motion sees a twentieth (common practice).
	fixShare = 0.05
	// fixNeighbours bounds how many other points are tried for a distance.
	fixNeighbours = 40
)

// Looseness lists the points that can move, with their free directions and the
// single measurements that would fix each, in the order of the network. Points
// beyond limit are left out.
func (s Solution) Looseness(limit int) []Loose {
	var out []Loose
	for i, p := range s.Points {
		if p.Loose == "" {
			continue
		}
		if len(out) == limit {
			break
		}
		out = append(out, s.looseAt(i))
	}
	return out
}

// freedom is how a point moves along the open directions of the parts that hold
// its coordinates: one row of three per open direction.
func (a *adjuster) freedom(point int) (parts []*part, rows [][3]float64) {
	for axis := range 3 {
		u := a.unknown[point][axis]
		if u < 0 {
			continue
		}
		p := a.partOf[u]
		known := false
		for _, q := range parts {
			known = known || q == p
		}
		if known {
			continue
		}
		parts = append(parts, p)
		for _, v := range p.null {
			var r [3]float64
			for ax := range 3 {
				if w := a.unknown[point][ax]; w >= 0 && a.partOf[w] == p {
					r[ax] = v[a.column[w]]
				}
			}
			rows = append(rows, r)
		}
	}
	return parts, rows
}

// spans returns the orthonormal directions that the rows span.
func spans(rows [][3]float64) []geom.Vec {
	m := mat.NewSymDense(3, nil)
	total := 0.0
	for _, r := range rows {
		for i := range 3 {
			for k := i; k < 3; k++ {
				m.SetSym(i, k, m.At(i, k)+r[i]*r[k])
			}
			total += r[i] * r[i]
		}
	}
	var eig mat.EigenSym
	if total == 0 || !eig.Factorize(m, true) {
		return nil
	}
	var vs mat.Dense
	eig.VectorsTo(&vs)
	var out []geom.Vec
	for c := 2; c >= 0; c-- {
		if eig.Values(nil)[c] > looseShare*looseShare {
			d := geom.Vec{X: vs.At(0, c), Y: vs.At(1, c), Z: vs.At(2, c)}
			if d.X+d.Y+d.Z < 0 {
				d = d.Scale(-1)
			}
			out = append(out, d)
		}
	}
	return out
}

func (s Solution) looseAt(point int) Loose {
	a := s.state
	parts, rows := a.freedom(point)
	out := Loose{Point: s.Points[point].Name, Directions: spans(rows)}
	if len(rows) == 0 { // too many open directions to tell them apart
		for axis := range 3 {
			if u := a.unknown[point][axis]; u >= 0 && a.partOf[u].loose[a.column[u]] {
				var d geom.Vec
				setCoord(&d, axis, 1)
				out.Directions = append(out.Directions, d)
			}
		}
		return out
	}
	type scored struct {
		Fix
		seen float64
	}
	var fixes []scored
	try := func(o Observation, from string) {
		_, ds := o.predict(a.at, a.shift, nil)
		// How the measurement sees each open direction of the point's parts.
		var sees []float64
		for _, p := range parts {
			for _, v := range p.null {
				m := 0.0
				for _, d := range ds {
					if u := a.unknown[d.point][d.axis]; u >= 0 && a.partOf[u] == p {
						m += d.d * v[a.column[u]]
					}
				}
				sees = append(sees, m)
			}
		}
		norm := 0.0
		for _, m := range sees {
			norm += m * m
		}
		// How far the point itself moves while the measurement sees most.
		own := 0.0
		for axis := range 3 {
			t := 0.0
			for k, r := range rows {
				t += r[axis] * sees[k]
			}
			own += t * t
		}
		if norm == 0 || math.Sqrt(own/norm) < looseShare || math.Sqrt(norm) < fixShare*math.Sqrt(own/norm) {
			return
		}
		after := make([][3]float64, len(rows))
		for k := range rows {
			for axis := range 3 {
				t := 0.0
				for l, r := range rows {
					t += r[axis] * sees[l]
				}
				after[k][axis] = rows[k][axis] - sees[k]*t/norm
			}
		}
		left := len(spans(after))
		if left >= len(out.Directions) {
			return
		}
		fixes = append(fixes, scored{Fix{o.Kind, from, out.Point, left}, math.Sqrt(norm)})
	}
	try(Observation{Kind: Height, From: -1, At: -1, To: point}, "")
	try(Observation{Kind: OffsetX, From: -1, At: -1, To: point}, "")
	try(Observation{Kind: OffsetY, From: -1, At: -1, To: point}, "")
	tried := 0
	for i, p := range s.Points {
		if i == point || p.Loose != "" || tried >= fixNeighbours || !fixedFor(a.n.Points[i], Distance) {
			continue
		}
		if d := a.at[i].Sub(a.at[point]).Norm(); d > 0.05 {
			tried++
			try(Observation{Kind: Distance, From: i, At: -1, To: point}, p.Name)
		}
	}
	sort.SliceStable(fixes, func(i, k int) bool {
		if fixes[i].Remaining != fixes[k].Remaining {
			return fixes[i].Remaining < fixes[k].Remaining
		}
		return fixes[i].seen > fixes[k].seen*(1+1e-9)
	})
	for i, f := range fixes {
		if i == fixesPerPoint {
			break
		}
		out.Fixes = append(out.Fixes, f.Fix)
	}
	return out
}
