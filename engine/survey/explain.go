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
	// Kind: wrong_level, foot_slip, metre_slip, unit, inch_foot, transposed, six_nine,
	// laser_end, wrong_station, along_slope, level_not_slope, finish, other_way_round,
	// degree_slip.
	Kind      string
	Text      string // for people
	Corrected si.Length
	// CorrectedAngle is the value of an angle read right.
	CorrectedAngle si.Angle
	// Level is the floor a height was taken from when a wrong one explains it.
	Level string
	// Gain is by how much the weighted sum of squares falls when the corrected
	// value takes the typed one's place.
	Gain float64
	miss float64 // rank, and distance from the expected value in tolerances
}

// Ranks of mistakes: what people do most comes first where several fit.
const (
	rankLevel   = 0.0
	rankSlip    = 1.0
	rankUnit    = 1.0
	rankDigits  = 1.2
	rankStation = 1.6
	rankSlope   = 1.6
	rankShown   = 2.8
	rankEnd     = 2.0
	rankFinish  = 3.5
)

// coarse is the least tolerance of an explanation: the inch people round to.
const coarse = 0.0254

// trial collects the mistakes that fit and keeps the likeliest.
type trial struct {
	o                       Observation
	value, expected, spread float64 // spread: standard deviation of value − expected
	tol                     float64
	best                    Mistake
	found                   bool
}

func (t *trial) try(rank float64, m Mistake) {
	c := float64(m.Corrected)
	if angular(t.o.Kind) {
		c = float64(m.CorrectedAngle)
	}
	gap := math.Abs(c - t.expected)
	if gap > t.tol {
		return
	}
	m.Gain = (sq(t.value-t.expected) - sq(gap)) / sq(t.spread)
	off := gap
	if m.Kind == "inch_foot" {
		off = math.Max(0, gap-coarse/2) // it was read to the inch
	}
	if m.miss = rank + off/(2.5*t.spread); !t.found || m.miss < t.best.miss {
		t.best, t.found = m, true
	}
}

// Explain looks for the mistake that turns the expected value, of standard
// deviation expectedSigma, into the one typed; false when none fits. Height
// readings are tried against every floor.
func Explain(o Observation, expected, expectedSigma float64, floors []NamedFloor) (Mistake, bool) {
	return explain(o, expected, expectedSigma, floors, nil)
}

// explain tries what the text allows, and what others adds.
func explain(o Observation, expected, expectedSigma float64, floors []NamedFloor, others func(*trial)) (Mistake, bool) {
	if o.Assumed || (!o.Typed.Set && !o.TypedAngle.Set) {
		return Mistake{}, false
	}
	t := &trial{o: o, expected: expected, spread: math.Hypot(o.Sigma, expectedSigma)}
	if angular(o.Kind) {
		t.value, t.tol = float64(o.TypedAngle.Value), 3*t.spread
		t.angles()
	} else {
		t.value, t.tol = float64(o.Typed.Value), math.Max(2.5*t.spread, coarse)
		t.lengths(floors)
	}
	if others != nil {
		others(t)
	}
	return t.best, t.found
}

func (t *trial) lengths(floors []NamedFloor) {
	o, d := t.o, DisplayOf(t.o.Typed.Text)
	diff := t.expected - t.value
	// Whoever writes 12.5 ft for 12 ft 5 in reads to the inch: what is nearer by half,
	// and within that, explains a difference that other slips are too large for.
	for _, m := range inchFoot(o.Typed.Text) {
		if gap := math.Abs(float64(m.Corrected) - t.expected); math.Abs(diff) >= 4*t.spread && math.Abs(diff) > 2*gap && gap <= coarse/2+2.5*t.spread {
			t.try(rankUnit, m)
		}
	}
	// Nothing is explained by an expectation looser than the mistake itself.
	if math.Abs(diff) >= 1.5*t.tol {
		if isHeight(o.Kind) {
			for _, m := range wrongLevels(o, floors, d) {
				t.try(rankLevel, m)
			}
		}
		for _, m := range slips(t.value, d) {
			rank := rankSlip
			if laser(o.Instrument) && math.Abs(float64(m.Corrected)-t.value) < 0.2 {
				rank = rankShown // a laser meter shows its decimetres in digits
			}
			t.try(rank, m)
		}
		for _, m := range unitMixes(t.value, o.Typed.Text) {
			t.try(rankUnit, m)
		}
		for _, m := range digitMistakes(o.Typed.Text, d) {
			t.try(rankDigits, m)
		}
	}
	if math.Abs(diff) < 4*t.spread {
		return
	}
	if laser(o.Instrument) && math.Abs(diff) > 0.06 && math.Abs(diff) < 0.16 {
		t.try(rankEnd, Mistake{Kind: "laser_end", Corrected: si.Length(t.expected),
			Text: "the difference is about a laser meter's body: it may have been read from the wrong end"})
	}
	step, _ := si.LengthStep(o.Typed.Text)
	if unsigned(o.Kind) && math.Abs(diff) > math.Max(finishThin, 1.01*float64(step)) && math.Abs(diff) < finishThick {
		t.try(rankFinish, Mistake{Kind: "finish", Corrected: si.Length(t.expected),
			Text: fmt.Sprintf("the difference, %.0f mm, is about the thickness of plaster or panelling: one reading may go to the finish, the other to the structure", math.Abs(diff)*1000)})
	}
}

func laser(i Instrument) bool { return i == Laser || i == LaserEitherEnd }

// Thickness of plaster, board or panelling on one or both faces, in metres (common
// practice).
const (
	finishThin  = 0.01
	finishThick = 0.06
)

// angles tries what people do with angles.
func (t *trial) angles() {
	o := t.o
	deg := func(a float64) string { return fmt.Sprintf("%.4g°", a*180/math.Pi) }
	if math.Abs(t.value-t.expected) < 4*t.spread {
		return
	}
	set := func(rank float64, kind, text string, v float64) {
		// A mistake smaller than the reading's own scatter explains nothing.
		if math.Abs(math.Remainder(v-t.value, 2*math.Pi)) < 4*t.o.Sigma {
			return
		}
		t.try(rank, Mistake{Kind: kind, CorrectedAngle: si.Angle(v), Text: text})
	}
	if o.Kind == Angle {
		set(rankSlip, "other_way_round", "it was turned the other way round: "+deg(2*math.Pi-t.value), 2*math.Pi-t.value)
	} else {
		set(rankSlip, "other_way_round", "it goes down, not up: "+deg(-t.value), -t.value)
		set(rankSlip, "other_way_round", "it was read from the vertical: "+deg(math.Pi/2-t.value), math.Pi/2-t.value)
	}
	for _, step := range []struct {
		name string
		deg  float64
	}{{"one degree", 1}, {"ten degrees", 10}, {"one minute", 1. / 60}, {"ten minutes", 10. / 60}} {
		for _, sign := range []float64{-1, 1} {
			v := t.value + sign*step.deg*math.Pi/180
			set(rankSlip+0.1, "degree_slip", fmt.Sprintf("read %s off: %s", step.name, deg(v)), v)
		}
	}
	swapDigits(o.TypedAngle.Text, func(kind, how, text string) {
		if v, err := si.ParseAngle(text, si.Metric); err == nil {
			set(rankDigits, kind, fmt.Sprintf("%s: %s instead of %s", how, text, o.TypedAngle.Text), float64(v))
		}
	})
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
	out := inchFoot(text)
	for _, m := range mixes {
		c := si.Length(v * m.factor)
		out = append(out, Mistake{Kind: "unit", Corrected: c,
			Text: fmt.Sprintf("the number fits as %s: %s", m.name, si.FormatBoth(c, DisplayOf(text)))})
	}
	return out
}

// inchFoot reads 12.5 ft as 12 ft 5 in, and 12 ft 5 in as 12.5 ft.
func inchFoot(text string) []Mistake {
	say := func(other string) []Mistake {
		c, err := si.ParseLength(other, si.US)
		if err != nil {
			return nil
		}
		return []Mistake{{Kind: "inch_foot", Corrected: c, Text: fmt.Sprintf("feet and inches and feet with a decimal point were mixed up: %s instead of %s", other, text)}}
	}
	var feet, inches int
	t := strings.ToLower(strings.NewReplacer("'", " ft ", "′", " ft ", "’", " ft ", "\"", " in ", "″", " in ", "”", " in ", "feet", " ft ", "-", " ").Replace(text))
	f := strings.Fields(t)
	if len(f) == 2 && strings.HasPrefix(f[1], "f") {
		whole, part, ok := strings.Cut(f[0], ".")
		if ok {
			return say(fmt.Sprintf("%s ft %s in", whole, part))
		}
	}
	if len(f) >= 3 && len(f) <= 4 && strings.HasPrefix(f[1], "f") {
		if n, _ := fmt.Sscanf(f[0]+" "+f[2], "%d %d", &feet, &inches); n == 2 && fmt.Sprint(inches) == f[2] {
			return say(fmt.Sprintf("%d.%d ft", feet, inches))
		}
	}
	return nil
}

// digitMistakes are two neighbouring digits in the wrong order, or a 6 and a 9
// taken for each other.
func digitMistakes(text string, d si.Display) []Mistake {
	var out []Mistake
	swapDigits(text, func(kind, how, b string) {
		if c, err := si.ParseLength(b, d); err == nil {
			out = append(out, Mistake{Kind: kind, Corrected: c, Text: fmt.Sprintf("%s: %s instead of %s", how, b, text)})
		}
	})
	return out
}

// swapDigits hands over the texts that one digit mistake makes of a text.
func swapDigits(text string, try func(kind, how, text string)) {
	var places []int
	for i := range len(text) {
		if text[i] >= '0' && text[i] <= '9' {
			places = append(places, i)
		}
	}
	for k, i := range places {
		b := []byte(text)
		if k+1 < len(places) {
			if j := places[k+1]; b[i] != b[j] {
				b[i], b[j] = b[j], b[i]
				try("transposed", "two digits changed places", string(b))
			}
		}
		b = []byte(text)
		switch b[i] {
		case '6':
			b[i] = '9'
			try("six_nine", "6 read for 9", string(b))
		case '9':
			b[i] = '6'
			try("six_nine", "9 read for 6", string(b))
		}
	}
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

// Leading chooses the largest of several suspects that cannot be told apart, where
// one is larger at all: the published procedure of removing one after the other.
// The others stay on record as its rivals.
func Leading(tied []Suspicion) int {
	for _, s := range tied[1:] {
		if s.W >= tied[0].W*(1-evenShare) {
			return -1
		}
	}
	return 0
}

// evenShare is by how little two statistics may differ and still be even: what the
// bend of the network makes of equal ones.
const evenShare = 1e-3

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
