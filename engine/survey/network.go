package survey

import (
	"fmt"
	"math"

	"roodbeam/engine/geom"
)

// Kinds of observation the engine adds as declared assumptions; people do not
// write them.
const (
	// CentredX says that the middle of From and To lies at x = value.
	CentredX Kind = "centred_x"
	// SameY says that To lies value farther upstage than From.
	SameY Kind = "same_y"
)

// Network is a set of points and the observations between them, in metres and
// radians.
type Network struct {
	Points       []Point
	Observations []Observation
}

// Point is a point of a network. Fixed coordinates are the datum; near ones
// start the iteration.
type Point struct {
	Name    string
	Fixed   [3]bool
	FixedAt geom.Vec
	Near    [3]bool
	NearAt  geom.Vec
}

// Observation is one measured or assumed value between points, given by their
// index; −1 where a kind needs none.
type Observation struct {
	ID           string
	Kind         Kind
	From, At, To int
	Value        float64 // m; Square: 0, the cosine of the corner's angle
	Sigma        float64 // m; Square: rad
	Assumed      bool    // a soft assumption, not a measurement
	// What a person typed, to explain mistakes by.
	Typed      L
	Instrument Instrument
	Reference  string
}

// InputError says what is wrong with one element of a network.
type InputError struct{ Element, Reason string }

// Error returns the refusal for people.
func (e *InputError) Error() string { return e.Element + ": " + e.Reason }

// check refuses what no adjustment can use.
func (n Network) check() error {
	for _, p := range n.Points {
		for _, v := range []geom.Vec{p.FixedAt, p.NearAt} {
			if !finiteVec(v) {
				return &InputError{"point " + p.Name, "a coordinate is not a finite number"}
			}
		}
	}
	for _, o := range n.Observations {
		name := "measurement " + o.ID
		if math.IsNaN(o.Value) || math.IsInf(o.Value, 0) {
			return &InputError{name, "the value is not a finite number"}
		}
		if !(o.Sigma > 0) || math.IsInf(o.Sigma, 0) {
			return &InputError{name, "the standard deviation must be greater than zero"}
		}
		need, ok := endsOf(o.Kind)
		if !ok {
			return &InputError{name, fmt.Sprintf("kind %q is not known", o.Kind)}
		}
		for i, idx := range []int{o.From, o.At, o.To} {
			if need[i] && (idx < 0 || idx >= len(n.Points)) {
				return &InputError{name, "a point it needs is not there"}
			}
		}
		if (o.Kind == Distance || o.Kind == Horizontal) && o.Value < 0 {
			return &InputError{name, "a distance cannot be negative"}
		}
		if (need[0] && need[2] && o.From == o.To) || (need[1] && (o.At == o.From || o.At == o.To)) {
			return &InputError{name, "it runs from a point to itself"}
		}
	}
	return nil
}

// endsOf tells which of From, At and To a kind needs.
func endsOf(k Kind) (need [3]bool, ok bool) {
	switch k {
	case Distance, Horizontal, Rise, SameHeight, CentredX, SameY:
		return [3]bool{true, false, true}, true
	case Height, OffsetX, OffsetY:
		return [3]bool{false, false, true}, true
	case Square:
		return [3]bool{true, true, true}, true
	}
	return need, false
}

func finiteVec(v geom.Vec) bool {
	s := v.X + v.Y + v.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// partial is the derivative of an observation by one coordinate.
type partial struct {
	point, axis int
	d           float64
}

// predict returns the value an observation would have at the given points and
// its derivatives. shift is what was subtracted from all coordinates. Coincident
// ends give a derivative along x, so that the iteration can leave the place.
func (o Observation) predict(at []geom.Vec, shift geom.Vec, out []partial) (float64, []partial) {
	add := func(point int, d geom.Vec) {
		out = append(out, partial{point, 0, d.X}, partial{point, 1, d.Y}, partial{point, 2, d.Z})
	}
	switch o.Kind {
	case Distance, Horizontal:
		d := at[o.To].Sub(at[o.From])
		if o.Kind == Horizontal {
			d = d.Plan()
		}
		n := d.Norm()
		u := geom.Vec{X: 1}
		if n > 0 {
			u = d.Scale(1 / n)
		}
		add(o.To, u)
		add(o.From, u.Scale(-1))
		if o.Kind == Horizontal {
			// Heights have no part in it.
			k := len(out) - 6
			out = append(out[:k], out[k], out[k+1], out[k+3], out[k+4])
		}
		return n, out
	case Height:
		return at[o.To].Z + shift.Z, append(out, partial{o.To, 2, 1})
	case OffsetX:
		return at[o.To].X + shift.X, append(out, partial{o.To, 0, 1})
	case OffsetY:
		return at[o.To].Y + shift.Y, append(out, partial{o.To, 1, 1})
	case Rise, SameHeight:
		return at[o.To].Z - at[o.From].Z, append(out, partial{o.To, 2, 1}, partial{o.From, 2, -1})
	case CentredX:
		return (at[o.To].X+at[o.From].X)/2 + shift.X, append(out, partial{o.To, 0, 0.5}, partial{o.From, 0, 0.5})
	case SameY:
		return at[o.To].Y - at[o.From].Y, append(out, partial{o.To, 1, 1}, partial{o.From, 1, -1})
	case Square:
		return o.square(at, out)
	}
	return 0, out
}

// coordinates lists what an observation can depend on, wherever its points lie.
func (o Observation) coordinates() []coordinate {
	switch o.Kind {
	case Distance:
		return []coordinate{{o.From, 0}, {o.From, 1}, {o.From, 2}, {o.To, 0}, {o.To, 1}, {o.To, 2}}
	case Horizontal:
		return []coordinate{{o.From, 0}, {o.From, 1}, {o.To, 0}, {o.To, 1}}
	case Height:
		return []coordinate{{o.To, 2}}
	case OffsetX:
		return []coordinate{{o.To, 0}}
	case OffsetY:
		return []coordinate{{o.To, 1}}
	case Rise, SameHeight:
		return []coordinate{{o.From, 2}, {o.To, 2}}
	case CentredX:
		return []coordinate{{o.From, 0}, {o.To, 0}}
	case SameY:
		return []coordinate{{o.From, 1}, {o.To, 1}}
	case Square:
		return []coordinate{{o.From, 0}, {o.From, 1}, {o.At, 0}, {o.At, 1}, {o.To, 0}, {o.To, 1}}
	}
	return nil
}

// square returns the cosine of the plan angle at At, 0 for a square corner and
// close to the deviation in radians, whichever way the corner turns.
func (o Observation) square(at []geom.Vec, out []partial) (float64, []partial) {
	a, b := at[o.From].Sub(at[o.At]).Plan(), at[o.To].Sub(at[o.At]).Plan()
	la, lb := a.Norm(), b.Norm()
	if la == 0 || lb == 0 {
		return 0, out
	}
	c := a.Dot(b) / (la * lb)
	da := b.Scale(1 / (la * lb)).Sub(a.Scale(c / (la * la)))
	db := a.Scale(1 / (la * lb)).Sub(b.Scale(c / (lb * lb)))
	out = append(out,
		partial{o.From, 0, da.X}, partial{o.From, 1, da.Y},
		partial{o.To, 0, db.X}, partial{o.To, 1, db.Y},
		partial{o.At, 0, -da.X - db.X}, partial{o.At, 1, -da.Y - db.Y})
	return c, out
}
