package survey

import (
	"fmt"
	"math"
	"sort"
	"strings"
)

// raisedSigmas is by how many of its standard deviations a point must lie off the
// common height before it counts as raised.
const raisedSigmas = 5

// Adjust returns the adjusted network of a list. Where the list was taken to be level
// and its numbers contradict that, the points with more slope distances than a place
// in space needs are solved in space, if the numbers then agree; the network and its
// notes say so.
func (l *List) Adjust(opt Options) (Solution, error) {
	sol, err := Adjust(l.Network, opt)
	if err != nil || len(l.level) == 0 || sol.Redundancy == 0 {
		return sol, err
	}
	flat := sol
	if len(sol.Removed)+len(sol.Tied) > 0 {
		if flat, err = Adjust(l.Network, Options{KeepAll: true}); err != nil {
			return sol, nil
		}
	}
	if flat.VPV <= flat.ChiHigh {
		return sol, nil
	}
	n := Network{append([]Point(nil), l.Points...), l.Observations}
	lines := make([]int, len(n.Points))
	for _, o := range n.Observations {
		if o.Kind == Distance {
			lines[o.From]++
			lines[o.To]++
		}
	}
	freed := 0
	for _, i := range l.level {
		if p := &n.Points[i]; lines[i] > 3 && !(p.Fixed[0] && p.Fixed[1]) {
			p.Fixed[2] = false
			freed++
		}
	}
	if freed == 0 {
		return sol, nil
	}
	space, err := Adjust(n, Options{KeepAll: true})
	if err != nil || space.Redundancy == 0 || space.VPV > space.ChiHigh {
		return sol, nil
	}
	var raised []string
	for _, i := range l.level {
		p := space.Points[i]
		if strings.Contains(p.Loose, "z") {
			return sol, nil
		}
		if up := math.Abs(p.At.Z - l.Points[i].FixedAt.Z); !n.Points[i].Fixed[2] && up > raisedSigmas*p.Sigma().Z {
			raised = append(raised, p.Name)
		}
	}
	if len(raised) == 0 {
		return sol, nil
	}
	if sol, err = Adjust(n, opt); err != nil {
		return sol, err
	}
	l.Network = n
	sort.Strings(raised)
	l.Notes = append(l.Notes, fmt.Sprintf("At one height the distances to %s contradict each other; in space they agree, so they were solved in space. Tell one height to be sure.", strings.Join(raised, ", ")))
	return sol, nil
}
