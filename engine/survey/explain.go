package survey

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/si"
)

// NamedFloor is a level heights may have been taken from.
type NamedFloor struct {
	Name   string
	Height si.Length // above the hall floor
}

// HallFloor is the name of the level all heights are kept from.
const HallFloor = "hall floor"

// Mistake is something people do that explains a wrong number.
type Mistake struct {
	Kind      string // wrong_level, foot_slip, metre_slip, unit, transposed, six_nine, laser_end
	Text      string // for people
	Corrected si.Length
	// Height is the height above the hall floor that the reading means when a
	// wrong level explains it; 0 otherwise.
	Level string
	miss  float64 // distance from the expected value in tolerances, and rank
}

// Explain looks for the mistake that turns the expected value, of standard
// deviation expectedSigma, into the one typed; false when none fits. Height
// readings are tried against every floor.
func Explain(o Observation, expected, expectedSigma float64, floors []NamedFloor) (Mistake, bool) {
	if !o.Typed.Set || o.Assumed {
		return Mistake{}, false
	}
	value := float64(o.Typed.Value)
	// 2.5 σ of reading and expectation, at least the inch people round to.
	tol := math.Max(2.5*math.Hypot(o.Sigma, expectedSigma), 0.0254)
	// Nothing is explained by an expectation looser than the mistake itself.
	if math.Abs(value-expected) < 1.5*tol {
		return Mistake{}, false
	}
	d := DisplayOf(o.Typed.Text)
	best, found := Mistake{}, false
	try := func(rank float64, m Mistake) {
		gap := math.Abs(float64(m.Corrected) - expected)
		if gap > tol {
			return
		}
		if m.miss = rank + gap/tol; !found || m.miss < best.miss {
			best, found = m, true
		}
	}
	if isHeight(o.Kind) {
		for _, m := range wrongLevels(o, floors, d) {
			try(0, m)
		}
	}
	for _, m := range slips(value, d) {
		try(1, m)
	}
	for _, m := range unitMixes(value, o.Typed.Text) {
		try(1, m)
	}
	for _, m := range digitMistakes(o.Typed.Text, d) {
		try(1.2, m)
	}
	if diff := expected - value; o.Instrument == Laser && math.Abs(diff) > 0.06 && math.Abs(diff) < 0.16 {
		try(3, Mistake{Kind: "laser_end", Corrected: si.Length(expected),
			Text: "the difference is about a laser meter's body: it may have been read from the wrong end"})
	}
	return best, found
}

func isHeight(k Kind) bool { return k == Height || k == Rise }

// wrongLevels reads a height as taken from another floor than the one said.
func wrongLevels(o Observation, floors []NamedFloor, d si.Display) []Mistake {
	own := si.Length(0)
	said := HallFloor
	for _, f := range floors {
		if o.Reference != "" && sameLevel(f.Name, o.Reference) {
			own, said = f.Height, f.Name
		}
	}
	var out []Mistake
	for _, f := range append([]NamedFloor{{HallFloor, 0}}, floors...) {
		shift := f.Height - own
		if math.Abs(float64(shift)) < 0.05 {
			continue
		}
		sign := " + "
		if shift < 0 {
			sign = " − "
		}
		c := o.Typed.Value + shift
		out = append(out, Mistake{Kind: "wrong_level", Corrected: c, Level: f.Name,
			Text: fmt.Sprintf("taken from the %s, not from the %s: %s%s%s = %s", floorName(f.Name), floorName(said),
				si.FormatLength(o.Typed.Value, d), sign, si.FormatLength(si.Length(math.Abs(float64(shift))), d), si.FormatLength(c, d))})
	}
	return out
}

// floorName says "gallery floor" for a level named "gallery".
func floorName(n string) string {
	if strings.Contains(strings.ToLower(n), "floor") || strings.EqualFold(n, "platform") {
		return n
	}
	return n + " floor"
}

// slips are readings off by a whole unit of the tape.
func slips(v float64, d si.Display) []Mistake {
	type step struct {
		kind, name string
		size       float64
	}
	steps := []step{{"metre_slip", "metre", 1}, {"metre_slip", "ten centimetres", 0.1}}
	if d == si.US {
		steps = []step{{"foot_slip", "foot", 0.3048}}
	}
	var out []Mistake
	for _, s := range steps {
		for _, sign := range []float64{-1, 1} {
			out = append(out, Mistake{Kind: s.kind, Corrected: si.Length(v + sign*s.size),
				Text: fmt.Sprintf("read one %s off: the tape's next mark gives %s", s.name, si.FormatLength(si.Length(v+sign*s.size), d))})
		}
	}
	return out
}

// unitMixes are numbers read in one unit and written down in another.
func unitMixes(v float64, text string) []Mistake {
	type mix struct {
		name   string
		factor float64
	}
	mixes := []mix{{"centimetres, not metres", 0.01}, {"millimetres, not centimetres", 0.1}, {"feet, not metres", 0.3048},
		{"metres, not centimetres", 100}, {"centimetres, not millimetres", 10}, {"inches, not centimetres", 2.54}}
	if DisplayOf(text) == si.US {
		mixes = []mix{{"inches, not feet", 1. / 12}, {"feet, not inches", 12}, {"metres, not feet", 1 / 0.3048}, {"centimetres, not inches", 1 / 2.54}}
	}
	var out []Mistake
	for _, m := range mixes {
		c := si.Length(v * m.factor)
		out = append(out, Mistake{Kind: "unit", Corrected: c,
			Text: fmt.Sprintf("the number fits as %s: %s", m.name, si.FormatBoth(c, DisplayOf(text)))})
	}
	return out
}

// digitMistakes are two neighbouring digits in the wrong order, or a 6 and a 9
// taken for each other.
func digitMistakes(text string, d si.Display) []Mistake {
	var places []int
	for i := range len(text) {
		if text[i] >= '0' && text[i] <= '9' {
			places = append(places, i)
		}
	}
	var out []Mistake
	try := func(kind, how string, b []byte) {
		if c, err := si.ParseLength(string(b), d); err == nil {
			out = append(out, Mistake{Kind: kind, Corrected: c,
				Text: fmt.Sprintf("%s: %s instead of %s", how, string(b), text)})
		}
	}
	for k, i := range places {
		b := []byte(text)
		if k+1 < len(places) {
			if j := places[k+1]; b[i] != b[j] {
				b[i], b[j] = b[j], b[i]
				try("transposed", "two digits changed places", b)
			}
		}
		b = []byte(text)
		switch b[i] {
		case '6':
			b[i] = '9'
			try("six_nine", "6 read for 9", b)
		case '9':
			b[i] = '6'
			try("six_nine", "9 read for 6", b)
		}
	}
	return out
}

// DisplayOf tells in which units a person writes, from what was typed.
func DisplayOf(text string) si.Display {
	t := strings.ToLower(text)
	for _, mark := range []string{"ft", "in", "'", "\"", "′", "″", "’", "”", "feet", "foot"} {
		if strings.Contains(t, mark) {
			return si.US
		}
	}
	return si.Metric
}

// BreakTie returns the choice for suspects that cannot be told apart: the one
// that a usual mistake explains when it is the only one, else assumptions before
// measurements, else the one of the worst instrument when it is the only such
// one, else none. The better grade is used and both stay on record.
//
// Source: keep both, use the better grade: common practice.
func BreakTie(n Network, floors []NamedFloor) func([]Suspicion) int {
	return func(tied []Suspicion) int {
		explained, only := 0, -1
		for i, s := range tied {
			if _, ok := Explain(n.Observations[s.Observation], s.Expected, s.ExpectedSigma, floors); ok {
				explained++
				only = i
			}
		}
		if explained == 1 {
			return only
		}
		worst, at, alone := -1, -1, false
		for i, s := range tied {
			o := n.Observations[s.Observation]
			g := precisionOf(o.Instrument).grade
			if o.Assumed {
				g = 9
			}
			switch {
			case g > worst:
				worst, at, alone = g, i, true
			case g == worst:
				alone = false
			}
		}
		if alone {
			return at
		}
		return -1
	}
}
