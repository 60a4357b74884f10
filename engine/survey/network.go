package survey

import (
	"fmt"
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// Kinds of observation the engine adds as declared assumptions; people do not
// write them.
const (
	// CentredX says that the middle of From and To lies at x = value.
	CentredX Kind = "centred_x"
	// SameY says that To lies value farther upstage than From.
	SameY Kind = "same_y"
	// Incline is the angle of the line of sight From-To above the horizontal, in
	// radians: the second number of a Slope.
	Incline Kind = "incline"
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
	With         int     // Parallel only: the second wall's other point
	Value        float64 // m or rad; Square: 0, the cosine of the corner's angle
	Sigma        float64 // m or rad
	Assumed      bool    // a soft assumption, not a measurement
	// What a person typed, to explain mistakes by.
	Typed      L
	TypedAngle si.Typed[si.Angle]
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
		if !ok || o.Kind == Slope || o.Kind == Drawn {
			return &InputError{name, fmt.Sprintf("kind %q is not known", o.Kind)}
		}
		for i, idx := range []int{o.From, o.At, o.To} {
			if need[i] && (idx < 0 || idx >= len(n.Points)) {
				return &InputError{name, "a point it needs is not there"}
			}
		}
		if unsigned(o.Kind) && o.Value < 0 {
			return &InputError{name, "a distance cannot be negative"}
		}
		if o.Kind == Parallel && (o.With < 0 || o.With >= len(n.Points)) {
			return &InputError{name, "a point it needs is not there"}
		}
		if o.Kind == Parallel && (o.From == o.At || o.To == o.With) ||
			o.Kind != Parallel && ((need[0] && need[2] && o.From == o.To) || (need[1] && (o.At == o.From || o.At == o.To))) {
			return &InputError{name, "it runs from a point to itself"}
		}
	}
	return nil
}

// endsOf tells which of From, At and To a kind needs.
func endsOf(k Kind) (need [3]bool, ok bool) {
	switch k {
	case Distance, Horizontal, Rise, SameHeight, CentredX, SameY, Incline, Slope, Drawn:
		return [3]bool{true, false, true}, true
	case Height, OffsetX, OffsetY:
		return [3]bool{false, false, true}, true
	case Square, Angle, Offset, Parallel:
		return [3]bool{true, true, true}, true
	}
	return need, false
}

// unsigned tells whether a kind's value is a length without direction.
func unsigned(k Kind) bool {
	switch k {
	case Distance, Horizontal, Offset, Slope, Drawn:
		return true
	}
	return false
}

// Angular tells whether the observation is an angle, in radians; else it is a
// length in metres.
func (o Observation) Angular() bool { return angular(o.Kind) }

// angular tells whether a kind's value is an angle, in radians.
func angular(k Kind) bool { return k == Angle || k == Incline }

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
	case Angle:
		return o.angle(at, out)
	case Incline:
		return o.incline(at, out)
	case Offset:
		return o.offset(at, out)
	case Parallel:
		return o.parallel(at, out)
	}
	return 0, out
}

// miss returns computed − observed; of an angle the shorter way round.
func (o Observation) miss(computed float64) float64 {
	d := computed - o.Value
	if o.Kind == Angle {
		d = math.Remainder(d, 2*math.Pi)
	}
	return d
}

// turn is the direction of b seen from a in plan, counter-clockwise from x, and
// its derivatives by b (those by a are opposite). Coincident points give zeros.
func turn(a, b geom.Vec) (az float64, d geom.Vec) {
	v := b.Sub(a).Plan()
	r2 := v.Dot(v)
	if r2 == 0 {
		return 0, geom.Vec{}
	}
	return math.Atan2(v.Y, v.X), geom.Vec{X: -v.Y / r2, Y: v.X / r2}
}

// angle returns the plan angle at At from From clockwise to To, seen from above,
// from 0 to 2π.
func (o Observation) angle(at []geom.Vec, out []partial) (float64, []partial) {
	from, df := turn(at[o.At], at[o.From])
	to, dt := turn(at[o.At], at[o.To])
	v := math.Mod(from-to, 2*math.Pi)
	if v < 0 {
		v += 2 * math.Pi
	}
	return v, append(out,
		partial{o.From, 0, df.X}, partial{o.From, 1, df.Y},
		partial{o.To, 0, -dt.X}, partial{o.To, 1, -dt.Y},
		partial{o.At, 0, dt.X - df.X}, partial{o.At, 1, dt.Y - df.Y})
}

// incline returns the angle of From-To above the horizontal.
func (o Observation) incline(at []geom.Vec, out []partial) (float64, []partial) {
	d := at[o.To].Sub(at[o.From])
	plan := d.Plan().Norm()
	r2 := d.Dot(d)
	if r2 == 0 {
		return 0, append(out, partial{o.To, 2, 1}, partial{o.From, 2, -1})
	}
	var u geom.Vec
	if plan > 0 {
		u = d.Plan().Scale(-d.Z / (plan * r2))
	}
	u.Z = plan / r2
	return math.Atan2(d.Z, plan), append(out,
		partial{o.To, 0, u.X}, partial{o.To, 1, u.Y}, partial{o.To, 2, u.Z},
		partial{o.From, 0, -u.X}, partial{o.From, 1, -u.Y}, partial{o.From, 2, -u.Z})
}

// offset returns the plan distance of To from the line through From and At,
// whichever side it lies on.
func (o Observation) offset(at []geom.Vec, out []partial) (float64, []partial) {
	a, b, p := at[o.From].Plan(), at[o.At].Plan(), at[o.To].Plan()
	l := b.Sub(a).Norm()
	if l == 0 {
		return 0, out
	}
	u := b.Sub(a).Scale(1 / l)
	n := geom.Vec{X: -u.Y, Y: u.X}
	d := p.Sub(a).Dot(n)
	if d < 0 {
		n, d = n.Scale(-1), -d
	}
	// Moving an end of the line turns it about the other: the share of its
	// motion that the foot of the perpendicular sees.
	t := p.Sub(a).Dot(u) / l
	return d, append(out,
		partial{o.To, 0, n.X}, partial{o.To, 1, n.Y},
		partial{o.From, 0, -n.X * (1 - t)}, partial{o.From, 1, -n.Y * (1 - t)},
		partial{o.At, 0, -n.X * t}, partial{o.At, 1, -n.Y * t})
}

// parallel returns the sine of the plan angle between the walls From-At and
// To-With, 0 when they run parallel or opposite.
func (o Observation) parallel(at []geom.Vec, out []partial) (float64, []partial) {
	a, b := at[o.At].Sub(at[o.From]).Plan(), at[o.With].Sub(at[o.To]).Plan()
	la, lb := a.Norm(), b.Norm()
	if la == 0 || lb == 0 {
		return 0, out
	}
	s := (a.X*b.Y - a.Y*b.X) / (la * lb)
	da := geom.Vec{X: b.Y, Y: -b.X}.Scale(1 / (la * lb)).Sub(a.Scale(s / (la * la)))
	db := geom.Vec{X: -a.Y, Y: a.X}.Scale(1 / (la * lb)).Sub(b.Scale(s / (lb * lb)))
	return s, append(out,
		partial{o.At, 0, da.X}, partial{o.At, 1, da.Y}, partial{o.From, 0, -da.X}, partial{o.From, 1, -da.Y},
		partial{o.With, 0, db.X}, partial{o.With, 1, db.Y}, partial{o.To, 0, -db.X}, partial{o.To, 1, -db.Y})
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
	case Square, Angle, Offset:
		return []coordinate{{o.From, 0}, {o.From, 1}, {o.At, 0}, {o.At, 1}, {o.To, 0}, {o.To, 1}}
	case Incline:
		return []coordinate{{o.From, 0}, {o.From, 1}, {o.From, 2}, {o.To, 0}, {o.To, 1}, {o.To, 2}}
	case Parallel:
		return []coordinate{{o.From, 0}, {o.From, 1}, {o.At, 0}, {o.At, 1}, {o.To, 0}, {o.To, 1}, {o.With, 0}, {o.With, 1}}
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
