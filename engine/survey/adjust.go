package survey

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"roodbeam/engine/geom"
)

// CriticalW is the largest |w| of a standardized residual that chance is taken
// to explain: two-sided 0.1 % of the normal distribution.
//
// Source: W. Baarda, A testing procedure for use in geodetic networks, 1968
// (α₀ = 0.1 %; from memory); value from standard tables.
const CriticalW = 3.290527

// Adjustment and search constants.
const (
	// looseSigma is the standard deviation given to a direction nothing fixes,
	// in metres: half a small room.
	looseSigma = 5.0
	// tieCorrelation is how alike two standardized residuals must react before
	// their observations can be mistaken for each other (common practice).
	tieCorrelation = 0.8
	// minRedundancy is below what an observation cannot be checked at all.
	minRedundancy = 1e-6
)

// Options of an adjustment.
type Options struct {
	// KeepAll leaves suspects in the network.
	KeepAll bool
	// Critical is the largest |w| kept; 0: CriticalW.
	Critical float64
	// Break chooses which of several indistinguishable suspects goes, by its
	// place in the list, or −1 for none; nil: none.
	Break func(tied []Suspicion) int
}

// Suspicion is an observation the others contradict.
type Suspicion struct {
	Observation   int     // index in the network
	W             float64 // |w| when it was found
	Expected      float64 // what the other observations say, in its unit
	ExpectedSigma float64
}

// Solution is an adjusted network.
type Solution struct {
	Points  []SolvedPoint
	Results []Result // one per observation, in their order
	Removed []Suspicion
	// Tied are groups of suspects of which any may be the wrong one; they stay in.
	Tied       [][]Suspicion
	Unknowns   int
	Rank       int
	Redundancy int
	// VPV is the weighted sum of squared residuals, Sigma0 = √(VPV/r).
	VPV, Sigma0 float64
	// ChiLow and ChiHigh bound VPV two-sided at 95 %; 0 when r = 0.
	ChiLow, ChiHigh float64
	Pass            bool
}

// SolvedPoint is an adjusted point with its covariance in m², from the stated
// standard deviations.
type SolvedPoint struct {
	Name  string
	At    geom.Vec
	Cov   [3][3]float64
	Loose string // axes the observations do not fix
}

// Sigma returns the standard deviations of the coordinates in metres.
func (p SolvedPoint) Sigma() geom.Vec {
	return geom.Vec{X: math.Sqrt(p.Cov[0][0]), Y: math.Sqrt(p.Cov[1][1]), Z: math.Sqrt(p.Cov[2][2])}
}

// Result is one observation after adjustment.
type Result struct {
	Residual   float64 // v, adjusted − observed
	Sigma      float64 // of the observation
	Redundancy float64 // r_i, 0..1
	W          float64 // v/(σ√r); 0 when it cannot be checked
	Used       bool    // false: removed as a suspect
}

// Adjust returns the weighted least-squares solution of a network in three
// dimensions by Gauss-Newton steps with Levenberg damping, its covariance, the
// global test and the suspects found by data snooping: the observation with the
// largest standardized residual above the critical value is taken out and the
// rest solved again until none is left; what then agrees after all is taken
// back. Where several observations cannot be
// told apart as the cause (always so with redundancy 1), none is removed unless
// Options.Break says which; they are named together and that part of the
// network is left as it is.
//
// Coordinates that nothing fixes keep their starting value, are named in Loose
// and carry a large standard deviation. The error is an *InputError.
//
// Source: W. Baarda 1968 (w-test); A. Pope 1976; Ghilani, Adjustment
// Computations, 5th ed. 2010, chapters 12, 14, 21.
func Adjust(n Network, opt Options) (Solution, error) {
	if err := n.check(); err != nil {
		return Solution{}, err
	}
	if opt.Critical == 0 {
		opt.Critical = CriticalW
	}
	a := newAdjuster(n)
	for _, p := range a.parts {
		p.solve(a)
	}
	s := Solution{}
	if !opt.KeepAll {
		a.snoop(opt, &s)
		a.readmit(opt, &s)
	}
	a.finish(&s)
	return s, nil
}

// adjuster is the state of one adjustment.
type adjuster struct {
	n     Network
	at    []geom.Vec
	shift geom.Vec
	used  []bool
	parts []*part
	// unknown numbers the free coordinates; −1 where fixed.
	unknown [][3]int
	total   int
}

func newAdjuster(n Network) *adjuster {
	a := &adjuster{n: n, at: startingGuess(n), used: make([]bool, len(n.Observations))}
	for i := range a.used {
		a.used[i] = true
	}
	// Large offsets would eat the digits of the small differences.
	for _, p := range a.at {
		a.shift = a.shift.Add(p.Scale(1 / float64(len(a.at))))
	}
	a.shift = geom.Vec{X: math.Round(a.shift.X), Y: math.Round(a.shift.Y), Z: math.Round(a.shift.Z)}
	for i := range a.at {
		a.at[i] = a.at[i].Sub(a.shift)
	}
	a.unknown = make([][3]int, len(n.Points))
	for i, p := range n.Points {
		for axis := range 3 {
			a.unknown[i][axis] = -1
			if !p.Fixed[axis] {
				a.unknown[i][axis] = a.total
				a.total++
			}
		}
	}
	a.split()
	return a
}

// split parts the network into groups of unknowns that no observation joins:
// each is solved, tested and searched by itself.
func (a *adjuster) split() {
	root := make([]int, a.total)
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	first := make([]int, len(a.n.Observations))
	for i, o := range a.n.Observations {
		first[i] = -1
		for _, p := range o.coordinates() {
			u := a.unknown[p.point][p.axis]
			if u < 0 {
				continue
			}
			if first[i] < 0 {
				first[i] = u
			} else {
				root[find(u)] = find(first[i])
			}
		}
	}
	byRoot := map[int]*part{}
	for pt := range a.n.Points {
		for axis := range 3 {
			u := a.unknown[pt][axis]
			if u < 0 {
				continue
			}
			r := find(u)
			if byRoot[r] == nil {
				byRoot[r] = &part{local: map[int]int{}}
				a.parts = append(a.parts, byRoot[r])
			}
			p := byRoot[r]
			p.local[u] = len(p.coords)
			p.coords = append(p.coords, coordinate{pt, axis})
		}
	}
	var constant *part
	for i := range a.n.Observations {
		if first[i] >= 0 {
			p := byRoot[find(first[i])]
			p.obs = append(p.obs, i)
			continue
		}
		// Between fixed points only: checked, nothing to solve.
		if constant == nil {
			constant = &part{local: map[int]int{}}
			a.parts = append(a.parts, constant)
		}
		constant.obs = append(constant.obs, i)
	}
}

// snoop removes suspects one after the other.
func (a *adjuster) snoop(opt Options, s *Solution) {
	for range a.n.Observations {
		var worst *part
		row, w := -1, opt.Critical
		for _, p := range a.parts {
			if p.closed {
				continue
			}
			if i := p.largest(); i >= 0 && math.Abs(p.w[i]) > w {
				worst, row, w = p, i, math.Abs(p.w[i])
			}
		}
		if worst == nil {
			return
		}
		group := worst.tied(row)
		tied := make([]Suspicion, len(group))
		for k, i := range group {
			tied[k] = worst.suspicion(a, i)
		}
		pick := 0
		if len(group) > 1 {
			pick = -1
			if opt.Break != nil {
				pick = opt.Break(tied)
			}
		}
		if pick < 0 || pick >= len(tied) {
			s.Tied = append(s.Tied, tied)
			worst.closed = true
			continue
		}
		a.used[tied[pick].Observation] = false
		s.Removed = append(s.Removed, tied[pick])
		worst.solve(a)
	}
}

// readmit takes back what was removed before the real culprit was found: what
// agrees with the cleaned network within the critical value. What stays out is
// described by the final network.
func (a *adjuster) readmit(opt Options, s *Solution) {
	home := map[int]*part{}
	for _, p := range a.parts {
		for _, i := range p.obs {
			home[i] = p
		}
	}
	var out []Suspicion
	for _, r := range s.Removed {
		p, o := home[r.Observation], a.n.Observations[r.Observation]
		expected, sigma := p.predicted(a, r.Observation)
		if math.Abs(expected-o.Value) <= opt.Critical*math.Hypot(o.Sigma, sigma) {
			a.used[r.Observation] = true
			p.solve(a)
			continue
		}
		out = append(out, r)
	}
	for k, r := range out {
		out[k].Expected, out[k].ExpectedSigma = home[r.Observation].predicted(a, r.Observation)
	}
	s.Removed = out
}

// finish collects the parts into one solution.
func (a *adjuster) finish(s *Solution) {
	s.Points = make([]SolvedPoint, len(a.n.Points))
	loose := make([][3]bool, len(a.n.Points))
	for i, p := range a.n.Points {
		s.Points[i] = SolvedPoint{Name: p.Name, At: a.at[i].Add(a.shift)}
	}
	s.Results = make([]Result, len(a.n.Observations))
	used := 0
	for _, p := range a.parts {
		p.covariance(s.Points, loose)
		s.Unknowns += len(p.coords)
		s.Rank += p.rank
		s.VPV += p.vpv
		for k, i := range p.active {
			s.Results[i] = Result{p.v[k] * a.n.Observations[i].Sigma, a.n.Observations[i].Sigma, p.r[k], p.w[k], true}
			used++
		}
	}
	var buf []partial
	for i, o := range a.n.Observations {
		if !a.used[i] {
			var f float64
			f, buf = o.predict(a.at, a.shift, buf[:0])
			s.Results[i] = Result{Residual: f - o.Value, Sigma: o.Sigma}
		}
	}
	for i := range s.Points {
		for axis, name := range []string{"x", "y", "z"} {
			if loose[i][axis] {
				s.Points[i].Loose += name
			}
		}
	}
	s.Redundancy = used - s.Rank
	s.Pass = true
	if s.Redundancy > 0 {
		s.Sigma0 = math.Sqrt(s.VPV / float64(s.Redundancy))
		s.ChiLow, s.ChiHigh = ChiSquareBounds(s.Redundancy)
		s.Pass = s.VPV >= s.ChiLow && s.VPV <= s.ChiHigh
	}
	sort.SliceStable(s.Tied, func(i, j int) bool { return s.Tied[i][0].Observation < s.Tied[j][0].Observation })
}

// ChiSquareBounds returns the two-sided 95 % bounds of a χ² variable with r
// degrees of freedom; zeros for r < 1.
func ChiSquareBounds(r int) (low, high float64) {
	if r < 1 {
		return 0, 0
	}
	d := distuv.ChiSquared{K: float64(r)}
	return d.Quantile(0.025), d.Quantile(0.975)
}
