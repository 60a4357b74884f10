package survey

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/si"
)

// ExplainIn looks for the mistake that explains a suspect of a solved network:
// what Explain tries, and what shows only with the solved places: the reading
// belongs to another station, or was taken along the slope where the level
// distance was wanted or the other way round. n must be the network of sol.
func ExplainIn(n Network, sol Solution, s Suspicion, floors []NamedFloor) (Mistake, bool) {
	o := n.Observations[s.Observation]
	return explain(o, s.Expected, s.ExpectedSigma, floors, func(t *trial) {
		// A place as good as the reading is needed; what is loose tells nothing.
		if math.Abs(t.value-t.expected) < 4*t.spread || len(sol.Points) != len(n.Points) {
			return
		}
		t.slopes(sol)
		t.stations(n, sol)
	})
}

// fits tells whether what was typed is what another reading of the solved places
// would give, within its own scatter.
func (t *trial) fits(sol Solution, other Observation) bool {
	for i, p := range []int{other.From, other.At, other.To} {
		if need, _ := endsOf(other.Kind); need[i] && sol.Points[p].Loose != "" {
			return false
		}
	}
	other.Value, other.Sigma = t.value, t.o.Sigma
	f, sigma := sol.predict(other)
	return math.Abs(other.miss(f)) <= 2.5*math.Hypot(t.o.Sigma, sigma)
}

func (t *trial) explained(rank float64, kind, text string) {
	m := Mistake{Kind: kind, Text: text, Corrected: si.Length(t.expected)}
	if angular(t.o.Kind) {
		m.Corrected, m.CorrectedAngle = 0, si.Angle(t.expected)
	}
	t.try(rank, m)
}

// slopes: along the slope where the level distance or the height was wanted, or
// level where the slope was. What it would have been otherwise follows from what was
// typed and the other leg of the right-angled triangle, as solved.
func (t *trial) slopes(sol Solution) {
	if t.o.Kind != Horizontal && t.o.Kind != Rise && t.o.Kind != Distance {
		return
	}
	from, to := sol.Points[t.o.From], sol.Points[t.o.To]
	d := to.At.Sub(from.At)
	leg, axes := d.Z, "z"
	if t.o.Kind == Rise {
		leg, axes = d.Plan().Norm(), "xy"
	}
	if strings.ContainsAny(from.Loose+to.Loose, axes) {
		return
	}
	square := sq(t.value) - sq(leg)
	kind, text := "along_slope", "it was measured along the slope"
	if t.o.Kind == Distance {
		square = sq(t.value) + sq(leg)
		kind, text = "level_not_slope", "it was measured level, not along the slope"
	}
	if square <= 0 {
		return
	}
	is := math.Copysign(math.Sqrt(square), t.expected)
	if math.Abs(is-math.Abs(t.value)) < 4*t.o.Sigma {
		return // slope and level are as good as one here
	}
	t.try(rankSlope, Mistake{Kind: kind, Corrected: si.Length(is), Text: text + ": " + si.FormatLength(si.Length(is), DisplayOf(t.o.Typed.Text))})
}

// stations: the reading belongs to another station.
func (t *trial) stations(n Network, sol Solution) {
	need, _ := endsOf(t.o.Kind)
	var names []string
	for i, p := range sol.Points {
		for end, at := range []int{t.o.From, t.o.At, t.o.To} {
			if !need[end] || i == t.o.From || i == t.o.At || i == t.o.To {
				continue
			}
			other := t.o
			switch end {
			case 0:
				other.From = i
			case 1:
				other.At = i
			default:
				other.To = i
			}
			if fixedFor(n.Points[i], t.o.Kind) && t.fits(sol, other) {
				names = append(names, fmt.Sprintf("%s instead of %s", p.Name, n.Points[at].Name))
			}
		}
	}
	// Where many stations would do, none explains anything.
	if len(names) == 1 || (len(names) > 1 && len(names) <= 3) {
		text := "the reading fits " + names[0]
		for _, other := range names[1:] {
			text += ", or " + other
		}
		t.explained(rankStation+0.4*float64(len(names)-1), "wrong_station", text+": a wrong station")
	}
}

// fixedFor leaves out points of which a kind's coordinates mean nothing: those of
// heights alone for anything but heights.
func fixedFor(p Point, k Kind) bool {
	heightOnly := p.Fixed[0] && p.Fixed[1] && !p.Fixed[2] && p.FixedAt.X == 0 && p.FixedAt.Y == 0
	return !heightOnly || isHeight(k)
}
