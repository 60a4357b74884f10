package survey

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// unguessed is a plan of seven points, three of them fixed and no guess of the rest.
func unguessed(seed uint64) *net {
	rnd := rand.New(rand.NewPCG(seed, 9))
	n := newNet()
	var at [7][2]float64
	for i := range at {
		at[i] = [2]float64{rnd.Float64() * 12, rnd.Float64() * 18}
		if i < 3 {
			n.fixed(fmt.Sprint(i), at[i][0], at[i][1], 0)
		} else {
			n.point(Point{Name: fmt.Sprint(i), Fixed: [3]bool{false, false, true}})
		}
	}
	for i := range at {
		for k := max(i+1, 3); k < len(at); k++ {
			if rnd.Float64() >= .2 {
				n.obs(Distance, fmt.Sprint(i), fmt.Sprint(k), math.Hypot(at[i][0]-at[k][0], at[i][1]-at[k][1])+.003*rnd.NormFloat64(), .003)
			}
		}
	}
	return n
}

// Nets without any guess are solved, and a slip of a metre in them is found.
func TestNetsWithoutGuesses(t *testing.T) {
	n, stuck, tried, found := runs(300, 3000), 0, 0, 0
	for seed := range uint64(n) {
		net := unguessed(seed)
		clean := mustAdjust(t, net.Network, Options{KeepAll: true})
		if clean.Redundancy > 0 && clean.Sigma0 > 3 {
			stuck++
		}
		i := int(seed) % len(net.Observations)
		if clean.Results[i].Redundancy < .3 || mostAlike(clean, i) > tieCorrelation {
			continue
		}
		net.Observations[i].Value++
		tried++
		if s := mustAdjust(t, net.Network, Options{}); len(s.Removed) > 0 && s.Removed[0].Observation == i {
			found++
		}
	}
	t.Logf("%d of %d stuck; slip found in %d of %d", stuck, n, found, tried)
	if float64(stuck) > .02*float64(n) || float64(found) < .95*float64(tried) {
		t.Errorf("%d of %d stuck; slip found in %d of %d", stuck, n, found, tried)
	}
}
