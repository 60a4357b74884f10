package survey

import (
	"math"
	"slices"
	"strings"

	"roodbeam/engine/finding"
)

// standing: what runs against the main breaker, per leg.
func (c *checker) standing() {
	main := float64(c.s.Supply.Main.Or(0))
	if main <= 0 {
		return
	}
	var legs []string
	for _, l := range c.s.Supply.Standing {
		if l.Current.Set {
			legs = append(legs, legsOf(l)...)
		}
	}
	slices.Sort(legs)
	legs = slices.Compact(legs)
	if len(legs) == 0 {
		legs = []string{"every leg"}
	}
	for _, leg := range legs {
		if sum := runsOn(c.s.Supply.Standing, leg); sum > main {
			c.new("SURVEY_STANDING_OVER", "standing load on "+leg, finding.Num("sum", sum, "A"), finding.Num("main", main, "A"),
				remeasure("let a licensed electrician clamp the legs while all of it runs, and read the main breaker's mark"))
		}
	}
}

// legsOf names the legs a load is on: none for one on all, two for a pair such as
// L1-L2.
func legsOf(l StandingLoad) []string {
	if l.Leg == "" {
		return nil
	}
	if a, b, pair := strings.Cut(l.Leg, "-"); pair && isLine(a) && isLine(b) {
		return []string{a, b}
	}
	return []string{l.Leg}
}

func isLine(leg string) bool { return leg == "L1" || leg == "L2" || leg == "L3" }

// runsOn returns the amperes that run on a leg at once: of loads that run in some
// scenarios alone those of the worst one, and of an interlocked group the largest.
func runsOn(loads []StandingLoad, leg string) float64 {
	scenarios := []string{""} // what runs in all of them
	for _, l := range loads {
		scenarios = append(scenarios, l.Scenarios...)
	}
	worst := 0.0
	for _, scenario := range scenarios {
		sum, group := 0.0, map[string]float64{}
		for _, l := range loads {
			on := legsOf(l)
			if !l.Current.Set || len(on) > 0 && !slices.Contains(on, leg) || len(l.Scenarios) > 0 && !slices.Contains(l.Scenarios, scenario) {
				continue
			}
			a := float64(l.Current.Value)
			if l.Interlock != "" {
				was := group[l.Interlock]
				group[l.Interlock] = math.Max(was, a)
				a = math.Max(0, a-was)
			}
			sum += a
		}
		worst = math.Max(worst, sum)
	}
	return worst
}
