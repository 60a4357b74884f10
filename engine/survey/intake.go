package survey

// Intake is what is asked before anybody measures: eight questions. Whatever is
// empty is unknown.
type Intake struct {
	Country   string // and town: power system, code
	Owner     string // who owns the building
	Uses      string // what the room is used for in a week
	Trouble   string // what is wrong with the light today
	Seats     int
	Streaming string // yes, no, planned
	Money     string // a number or range
	Deadline  string // a date, or why it matters
	Answers   []ChecklistAnswer
}

// ChecklistAnswer is an answer to one item of the checklist that has no field of
// its own, or why it cannot be answered.
type ChecklistAnswer struct {
	Item   string // R1, B8 …
	Answer string // empty: looked for and not known
	By     string // who said so
	Grade  string // a direct, b computed, c counted or inclined, d from a photograph, e estimate; empty: not stated
}
