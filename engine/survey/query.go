package survey

import "math"

// predict returns what the solved network says an observation would read and its
// standard deviation. Directions that nothing fixes count with looseSigma.
func (s Solution) predict(o Observation) (value, sigma float64) {
	f, v := s.state.influence(o)
	return f, math.Sqrt(math.Max(0, s.state.product(v, v)))
}

// vector is a linear function of the free coordinates with Q times it, by part.
type vector struct {
	parts []partVector
}

type partVector struct {
	p      *part
	cols   []int32
	coefs  []float64
	q      []float64 // Q·a, open directions taken out
	motion []float64 // a along each open direction
}

// influence returns an observation's value at the solved places and its
// derivatives with Q times them.
func (a *adjuster) influence(o Observation) (float64, vector) {
	f, ds := o.predict(a.at, a.shift, nil)
	return f, a.vector(ds)
}

// vector sorts partial derivatives by part.
func (a *adjuster) vector(ds []partial) vector {
	var out vector
	for _, d := range ds {
		u := a.unknown[d.point][d.axis]
		if u < 0 || d.d == 0 {
			continue
		}
		p, col := a.partOf[u], int32(a.column[u])
		at := -1
		for i := range out.parts {
			if out.parts[i].p == p {
				at = i
			}
		}
		if at < 0 {
			at = len(out.parts)
			out.parts = append(out.parts, partVector{p: p})
		}
		out.parts[at].cols = append(out.parts[at].cols, col)
		out.parts[at].coefs = append(out.parts[at].coefs, d.d)
	}
	for i := range out.parts {
		pv := &out.parts[i]
		b := make([]float64, len(pv.p.coords))
		for k, c := range pv.cols {
			b[c] += pv.coefs[k]
		}
		for _, u := range pv.p.null {
			d := dot(u, b)
			pv.motion = append(pv.motion, d)
			for c := range b {
				b[c] -= d * u[c]
			}
		}
		pv.q = pv.p.apply(b)
		for _, u := range pv.p.null {
			d := dot(u, pv.q)
			for c := range pv.q {
				pv.q[c] -= d * u[c]
			}
		}
	}
	return out
}

// product returns the covariance of two functions of the coordinates.
func (a *adjuster) product(v, w vector) float64 {
	sum := 0.0
	for _, x := range v.parts {
		for _, y := range w.parts {
			if x.p != y.p {
				continue
			}
			for k, c := range x.cols {
				sum += x.coefs[k] * y.q[c]
			}
			for i, m := range x.motion {
				// Coordinates along u count; Q·a has none of it.
				sum += m * y.motion[i] * looseSigma * looseSigma
			}
			if len(x.motion) == 0 {
				for k, c := range x.cols {
					if x.p.loose[c] {
						for l, e := range y.cols {
							if c == e {
								sum += looseSigma * looseSigma * x.coefs[k] * y.coefs[l]
							}
						}
					}
				}
			}
		}
	}
	return sum
}
