package si

// Typed is a quantity together with the text a person typed for it. The zero
// value is an unknown quantity.
type Typed[T ~float64] struct {
	// Text is what was typed, unchanged; empty for a value that was computed.
	Text string
	// Value is the SI value; meaningless unless Set.
	Value T
	// Set is false while the value is unknown, or typed so that it can be read
	// in more than one way.
	Set bool
	// Readings are the values an ambiguous Text could have; empty otherwise.
	// They are kept so that the checks can say which reading fits the room.
	Readings []Reading[T]
}

// Reading is one way to read an ambiguous text.
type Reading[T ~float64] struct {
	Value T
	// As names the unit that was assumed: "in", "ft", "cm", "m", "ft-in".
	As string
}

// Known returns a quantity that was computed or is certain, without text.
func Known[T ~float64](v T) Typed[T] { return Typed[T]{Value: v, Set: true} }

// Or returns the value, or fallback while it is unknown.
func (t Typed[T]) Or(fallback T) T {
	if t.Set {
		return t.Value
	}
	return fallback
}
