package survey

import "roodbeam/engine/geom"

// Restarts of points that nobody guessed.
const (
	restartFrom  = 25  // mean weighted square of the residuals from which a start is doubted
	restartGain  = 0.5 // what a new start must leave of the sum at most
	restartTries = 120
	restartApart = 0.2 // metres from where the point is
)

// restart looks for a better start where the solution misses by far and some points
// were placed without a guess: a point may have come to rest on the wrong side of
// the others. Each is put where its distances and angles would also have it, and
// kept there when the network then fits clearly better.
func (a *adjuster) restart() {
	total, r := 0.0, 0
	for _, p := range a.parts {
		total += p.vpv
		r += len(p.active) - p.rank
	}
	if r < 1 || total < restartFrom*float64(r) {
		return
	}
	tries := 0
	for range 2 {
		better := false
		for i, p := range a.n.Points {
			if p.Fixed[0] || p.Near[0] || p.Fixed[1] || p.Near[1] {
				continue
			}
			for _, at := range a.elsewhere(i) {
				if tries++; tries > restartTries || a.work > workLimit {
					return
				}
				better = a.try(i, at) || better
			}
		}
		if !better {
			return
		}
	}
}

// elsewhere returns the two likeliest other places of a point, by the places of the
// others.
func (a *adjuster) elsewhere(i int) []geom.Vec {
	s := newStart(a.n)
	for k := range s.at {
		s.at[k] = a.at[k].Add(a.shift)
		s.known[k] = [3]bool{true, true, true}
	}
	s.known[i] = [3]bool{false, false, s.known[i][2]}
	rs, ys := s.rings(i), s.rays(i)
	if len(rs)+len(ys) < 3 {
		return nil
	}
	here := s.at[i].Plan()
	var out []geom.Vec
	for range 2 {
		var left []geom.Vec
		for _, c := range s.candidates(i, rs, ys) {
			apart := c.Sub(here).Norm() > restartApart
			for _, o := range out {
				apart = apart && c.Sub(o).Norm() > restartApart
			}
			if apart {
				left = append(left, c)
			}
		}
		if len(left) == 0 {
			break
		}
		out = append(out, closest(left, rs, ys))
	}
	return out
}

// try solves with one point elsewhere; it goes back unless that fits clearly better.
func (a *adjuster) try(i int, at geom.Vec) bool {
	p := a.partOf[a.unknown[i][0]]
	if q := a.partOf[a.unknown[i][1]]; q != p {
		return false
	}
	before, back := p.vpv, p.keep()
	a.at[i].X, a.at[i].Y = at.X-a.shift.X, at.Y-a.shift.Y
	p.settle(networkLimits)
	if p.vpv < restartGain*before {
		p.solve()
		return true
	}
	back()
	return false
}
