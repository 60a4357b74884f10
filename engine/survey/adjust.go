package survey

import (
	"fmt"
	"math"
	"sort"

	"roodbeam/engine/geom"
)

// CriticalW is the largest |w| of a standardized residual that chance is taken
// to explain: two-sided 0.1 % of the normal distribution.
//
// Source: W. Baarda, A testing procedure for use in geodetic networks, 1968
// (α₀ = 0.1 %; from memory); value from standard tables.
const CriticalW = 3.290527

// DefaultAlpha is Baarda's α₀.
const DefaultAlpha = 0.001

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
	// Critical is the largest statistic kept; 0: by Alpha.
	Critical float64
	// Alpha is the risk of taking a clean reading for a suspect, two-sided;
	// 0: DefaultAlpha.
	Alpha float64
	// Estimated takes the standard deviations for right up to a common factor,
	// which the residuals give: τ = w/s0 is held against Pope's distribution.
	Estimated bool
	// Bonferroni divides Alpha by the number of readings tested.
	Bonferroni bool
	// Break chooses which of several indistinguishable suspects goes, by its
	// place in the list, or −1 for none; nil: none.
	Break func(tied []Suspicion) int
}

// Suspicion is an observation the others contradict.
type Suspicion struct {
	Observation   int     // index in the network
	W             float64 // |w| when it was found
	Statistic     float64 // what was tested: |w|, or |τ| where the variance is estimated
	Critical      float64 // what it was held against
	Rivals        []int   // observations that it could not be told apart from
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
	// Unfinished tells that the search was given up: too much contradicts.
	Unfinished bool
	// Unit is what |w| is divided by for the last test (s0 where the variance is
	// estimated, else 1), Critical what the result is held against.
	Unit, Critical float64

	state *adjuster
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
	if opt.Alpha < 0 || opt.Alpha >= 1 || math.IsNaN(opt.Alpha) {
		return Solution{}, &InputError{"alpha", "the risk of the test must lie between 0 and 1"}
	}
	a := newAdjuster(n)
	for _, p := range a.parts {
		if p.normal != nil && p.normal.cost > factorLimit {
			return Solution{}, &InputError{"the network", fmt.Sprintf("%d unknowns are measured across each other in a way that is too much to solve at once; part it", len(p.coords))}
		}
	}
	for _, p := range a.parts {
		p.solve()
	}
	a.restart()
	s := Solution{state: a}
	if !opt.KeepAll {
		a.snoop(opt, &s)
		a.readmit(opt, &s)
	}
	a.finish(opt, &s)
	return s, nil
}

// adjuster is the state of one adjustment.
type adjuster struct {
	n     Network
	at    []geom.Vec
	shift geom.Vec
	used  []bool
	parts []*part
	// unknown numbers the free coordinates, −1 where fixed; column is where each
	// stands in its part.
	unknown [][3]int
	column  []int
	partOf  []*part // of each free coordinate
	total   int
	buf     []partial
	work    float64 // multiplications spent on factorizations
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
				byRoot[r] = &part{}
				a.parts = append(a.parts, byRoot[r])
			}
			p := byRoot[r]
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
			constant = &part{}
			a.parts = append(a.parts, constant)
		}
		constant.obs = append(constant.obs, i)
	}
	a.column, a.partOf = make([]int, a.total), make([]*part, a.total)
	for _, p := range a.parts {
		for _, c := range p.coords {
			a.partOf[a.unknown[c.point][c.axis]] = p
		}
		p.lay(a)
	}
}

// snoop removes suspects one after the other.
func (a *adjuster) snoop(opt Options, s *Solution) {
	for range a.n.Observations {
		unit, critical := a.test(opt)
		var worst *part
		row, w := -1, critical*unit
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
		if a.work > workLimit || len(s.Removed) >= mostRemoved(len(a.n.Observations)) {
			s.Unfinished = true
			return
		}
		row = worst.unbent(row)
		group := worst.tied(row, unit)
		tied := make([]Suspicion, len(group))
		for k, i := range group {
			tied[k] = worst.suspicion(i)
			tied[k].Statistic, tied[k].Critical = tied[k].W/unit, critical
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
		for k, r := range tied {
			if k != pick {
				tied[pick].Rivals = append(tied[pick].Rivals, r.Observation)
			}
		}
		a.used[tied[pick].Observation] = false
		s.Removed = append(s.Removed, tied[pick])
		worst.solve()
	}
}

// mostRemoved is how many suspects are taken out at most: where a third of the
// readings is wrong, nothing tells which third.
func mostRemoved(observations int) int { return 10 + observations/3 }

// test returns what the |w| of the present network are divided by (1, or s0 where
// the variance is estimated) and the critical value of the result.
func (a *adjuster) test(opt Options) (unit, critical float64) {
	alpha := opt.Alpha
	if alpha == 0 {
		alpha = DefaultAlpha
	}
	vpv, r, tested := 0.0, 0, 0
	for _, p := range a.parts {
		vpv += p.vpv
		r += len(p.active) - p.rank
		for _, ri := range p.r {
			if ri > minRedundancy {
				tested++
			}
		}
	}
	if opt.Bonferroni && tested > 0 {
		alpha /= float64(tested)
	}
	if !opt.Estimated {
		if opt.Critical > 0 {
			return 1, opt.Critical
		}
		return 1, NormalCritical(alpha)
	}
	if r < 2 || vpv == 0 {
		return 1, math.Inf(1) // with one redundant reading all are equally suspect
	}
	critical = TauCritical(r, alpha)
	if opt.Critical > 0 {
		critical = opt.Critical
	}
	return math.Sqrt(vpv / float64(r)), critical
}

// outside is the bound for a reading that has no part in s0: Student's t.
func (a *adjuster) outside(opt Options) float64 {
	r, tested := 0, 0
	for _, p := range a.parts {
		r += len(p.active) - p.rank
		tested += len(p.active)
	}
	alpha := opt.Alpha
	if alpha == 0 {
		alpha = DefaultAlpha
	}
	if opt.Bonferroni {
		alpha /= float64(tested + 1)
	}
	return StudentCritical(r, alpha)
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
		unit, critical := a.test(opt)
		if opt.Estimated {
			critical = a.outside(opt)
		}
		expected, sigma := p.predicted(r.Observation)
		if math.Abs(o.miss(expected)) <= critical*unit*math.Hypot(o.Sigma, sigma) {
			a.used[r.Observation] = true
			p.solve()
			continue
		}
		out = append(out, r)
	}
	for k, r := range out {
		out[k].Expected, out[k].ExpectedSigma = home[r.Observation].predicted(r.Observation)
	}
	s.Removed = out
}

// finish collects the parts into one solution.
func (a *adjuster) finish(opt Options, s *Solution) {
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
	for i, o := range a.n.Observations {
		if !a.used[i] {
			var f float64
			f, a.buf = o.predict(a.at, a.shift, a.buf[:0])
			s.Results[i] = Result{Residual: o.miss(f), Sigma: o.Sigma}
		}
	}
	s.Unit, s.Critical = a.test(opt)
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
