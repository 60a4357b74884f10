// Package phase orders the works: tasks, dependencies, gates and dates round
// the church's calendar.
package phase

import "time"

// Plan is the order of works.
type Plan struct {
	Tasks    []Task
	Gates    []Gate
	Finish   time.Time // of the last hand-over; a snag review follows a month later
	Critical []string  // task ids of the chain that drives the finish
	Jobs     []JobCard
	// Undated says that no start was given: days and slack stand, dates are zero.
	Undated bool
	// Unplaced are the tasks for which the calendar has no room.
	Unplaced []string
	// Windows are the stretches in which each install phase has the room open.
	Windows []Window
	// Ready is the list to go through before each service inside the works.
	Ready []string
}

// Window is the stretch from the first day of work in the room to the test
// record of one install phase.
type Window struct {
	Phase    string
	From, To time.Time
	Services int // that fall inside
}

// Task is one piece of work.
type Task struct {
	ID, Name   string
	Phase      string
	Needs      []string // task or gate ids
	Days       float64  // working days
	Hours      float64  // person-hours
	By         string
	Start, End time.Time
	SlackDays  float64 // by which it may slip before the last hand-over moves
	Critical   bool    // a week's delay of it would move the last hand-over, and nothing it waits beside is later
	Cautions   []string
	Sunday     bool // a service falls inside: the "ready for Sunday" list applies
	Services   int  // how many
	Evening    bool // after dark
	Volunteers bool // by the church's own people
}

// Gate is a signature something waits for.
type Gate struct {
	ID, Name string
	Who      string
	Needs    []string
	Why      string
	Phase    string
	Earliest time.Time // day on which everything it waits for is done
	// Unnamed is true where the person of that trade is not named yet.
	Unnamed bool
}

// JobCard is one volunteers' job.
type JobCard struct {
	Name    string
	Do      []string
	Dont    []string
	People  int
	Minutes int
}
