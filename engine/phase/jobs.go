package phase

import (
	"fmt"
	"math"

	"roodbeam/engine/cost"
)

// never is on every card (common practice; insurers and church bodies say the
// same).
var never = []string{
	"no mains work, no covers opened",
	"no ladder, lift or tower, no drilling, nothing hung",
	"not under people who work above",
	"stop and call at anything crumbling, sparking, wet or unclear",
}

// jobs returns the volunteers' cards, one task each, from the design's
// quantities.
func jobs(in Input) []JobCard {
	q := in.quantities()
	var l cost.Labour
	lifts := false
	for _, p := range cost.PhaseNames(q) {
		x := cost.LabourOf(q, p)
		l.Units += x.Units
		l.Rows += x.Rows
		l.Drops += x.Drops
		l.UnpackHours += x.UnpackHours
		l.SeatingHours += x.SeatingHours
		l.BoardHours += x.BoardHours
		l.FloorHelpHours += x.FloorHelpHours
		lifts = lifts || cost.LiftDays(q, p) > 0
	}
	if l.Units == 0 && l.Drops == 0 {
		return nil
	}
	card := func(name string, people int, hours float64, do []string, dont ...string) JobCard {
		return JobCard{Name: name, People: people, Minutes: int(math.Ceil(hours/float64(people)*60/5) * 5), Do: do, Dont: append(dont, never...)}
	}
	var out []JobCard
	out = append(out, card("Clear and cover", 2, cost.CleanHours, []string{
		"take storage out of the electrical room and off the ways", "cover organ, books, glass and screens", "photograph the room before and after"},
		"leave every cable and switch as it is"))
	if l.Units > 0 {
		out = append(out, card("Unpack, check, label", 2, l.UnpackHours, []string{
			fmt.Sprintf("count: %s, and as many clamps and secondary suspensions", count(l.Units, "unit")), "read voltage and plug on each unit against the list",
			"stick the unit's name and address on it", "photograph the serial number"},
			"plug nothing in"))
	}
	if l.Rows > 0 {
		out = append(out, card("Seating up and back", cost.BenchCrew, l.SeatingHours, []string{
			fmt.Sprintf("mark the places of %s on the floor with tape", count(l.Rows, "seat row")), "four people to a bench; one gives the word", "screws of each bench into its own bag", "put back on the marks, every screw"},
			"lift with straight backs; no children here"))
	}
	if lifts {
		out = append(out, card("Floor boards and way in", cost.BenchCrew, math.Max(l.BoardHours, 1), []string{
			"lay the boards along the marked way, ends butted", "hold the doors and watch the street", "sweep up behind"},
			"do not ride, steer or push the lift"))
	}
	if l.FloorHelpHours > 0 {
		out = append(out, card("Help on the floor while units are hung", 2, l.FloorHelpHours, []string{
			"keep the tape of the drop zone closed and people out", "bring the next unit to the edge of the zone", "take the photo of each finished unit from the floor"},
			"do not step over the tape, not for a second"))
	}
	if l.Drops > 0 {
		out = append(out, card("Lay out and label data cables", 2, 0.25*float64(l.Drops), []string{
			"lay each cable out on the floor, no kinks", "label both ends with the branch's letter"},
			"no cable goes up by your hand"))
	}
	out = append(out, card("Ready for the service", 3, 1.5, ready, "do not move the lift; call the person with the keys"))
	return out
}
