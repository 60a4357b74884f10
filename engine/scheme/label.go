package scheme

// Label is what is glued to a unit, and written at its outlet and cable, since a
// packet was issued for construction. Later changes only add: a label holds as
// long as its unit stays on its line and what it names can still carry it.
type Label struct {
	Unit    string
	Fixture string // type at the issue
	Line    string // hanging line at the issue
	Circuit string
	Leg     string // of the circuit
	Panel   string // of the circuit
	Branch  string
	Place   int // on the data branch, 1 first; 0: none
	// Universe, Start and Slots are its address; Slots 0: none.
	Universe, Start, Slots int
	// Retired: the unit was gone at a later issue; its number is not used again.
	Retired bool
}

// Known tells whether the issue recorded what the unit was and where it hung.
func (l Label) Known() bool { return l.Fixture != "" }

// Moved tells whether a unit hangs on another line than its label says: what is
// written at the old line's outlets and cables is then no longer its own.
func (l Label) Moved(u Unit) bool { return l.Known() && l.Line != u.Line }

// Changed tells whether a unit is of another type than it was labelled as.
func (l Label) Changed(u Unit) bool { return l.Known() && l.Fixture != u.Fixture }

// Holds returns the label that still is a unit's own, false where there is none,
// where the unit was moved to another line, or where a unit of that number was
// taken out at an earlier issue.
func Holds(labels map[string]Label, u Unit) (Label, bool) {
	l, ok := labels[u.ID]
	return l, ok && !l.Retired && !l.Moved(u)
}
