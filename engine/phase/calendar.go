package phase

import (
	"time"

	"roodbeam/engine/brief"
)

// A day has three slots: morning, afternoon, evening.
const (
	morning = iota
	afternoon
	evening
	slotsPerDay
)

// Hours of the slots on the clock: services inside them close them (common
// practice for working hours; half an hour is kept free before and after a
// service).
var slotHours = [slotsPerDay][2]int{{8 * 60, 12 * 60}, {12 * 60, 17 * 60}, {17 * 60, 22 * 60}}

const serviceMarginMinutes = 30

// kind of calendar a task is worked on.
type kind int

const (
	office     kind = iota // Monday to Friday, whatever happens in the room
	trades                 // Monday to Friday in daytime, not in a service, not in a closed span
	volunteers             // Monday to Saturday in daytime, the same
	dark                   // Monday to Saturday in the evening, the same
	service                // the first slot of a day with a service
)

// calendar answers which slots are open, counted from day zero.
type calendar struct {
	zero     time.Time // midnight UTC of the first day
	services []brief.Service
	closed   [][2]time.Time // first and last day, midnight UTC
	firstDay int            // no work in the room before it
}

func day(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC)
}

func newCalendar(zero time.Time, c brief.Calendar) calendar {
	cal := calendar{zero: day(zero)}
	for _, s := range c.Services {
		if s.Weekday >= time.Sunday && s.Weekday <= time.Saturday {
			cal.services = append(cal.services, s)
		}
	}
	for _, sp := range c.Closed {
		if sp.From.IsZero() {
			continue
		}
		to := sp.To
		if to.IsZero() || to.Before(sp.From) {
			to = sp.From
		}
		cal.closed = append(cal.closed, [2]time.Time{day(sp.From), day(to)})
	}
	return cal
}

// date returns the day of a slot.
func (c calendar) date(slot int) time.Time { return c.zero.AddDate(0, 0, floorDiv(slot, slotsPerDay)) }

func floorDiv(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// weekday of a day number, without building a date.
func (c calendar) weekday(d int) time.Weekday {
	return time.Weekday(((int(c.zero.Weekday())+d)%7 + 7) % 7)
}

func (c calendar) isClosed(d int) bool {
	if len(c.closed) == 0 {
		return false
	}
	at := c.zero.AddDate(0, 0, d)
	for _, s := range c.closed {
		if !at.Before(s[0]) && !at.After(s[1]) {
			return true
		}
	}
	return false
}

// inService tells whether a service, with its margins, takes any of a slot.
func (c calendar) inService(d, part int) bool {
	for _, s := range c.services {
		if s.Weekday != c.weekday(d) {
			continue
		}
		start := s.Hour*60 + s.Minute - serviceMarginMinutes
		end := s.Hour*60 + s.Minute + max(s.Minutes, 0) + serviceMarginMinutes
		if start < slotHours[part][1] && end > slotHours[part][0] {
			return true
		}
	}
	return false
}

// open returns the calendar of a kind.
func (c calendar) open(k kind) func(int) bool {
	return func(slot int) bool {
		d := floorDiv(slot, slotsPerDay)
		part := slot - d*slotsPerDay
		w := c.weekday(d)
		if k == office {
			return part != evening && w != time.Sunday && w != time.Saturday
		}
		if d < c.firstDay {
			return false
		}
		switch k {
		case service:
			return part == morning && c.hasService(w) && !c.isClosed(d)
		case trades:
			return part != evening && w != time.Sunday && w != time.Saturday && !c.inService(d, part) && !c.isClosed(d)
		case volunteers:
			return part != evening && w != time.Sunday && !c.inService(d, part) && !c.isClosed(d)
		}
		return part == evening && w != time.Sunday && !c.inService(d, part) && !c.isClosed(d)
	}
}

// hasService tells whether the week has a service that day; a church that named
// none has one on Sunday.
func (c calendar) hasService(w time.Weekday) bool {
	if len(c.services) == 0 {
		return w == time.Sunday
	}
	for _, s := range c.services {
		if s.Weekday == w {
			return true
		}
	}
	return false
}

// servicesBetween counts services that begin after one slot was begun and
// before another is.
func (c calendar) servicesBetween(from, to int) int {
	n := 0
	for d := floorDiv(from, slotsPerDay); d <= floorDiv(to-1, slotsPerDay); d++ {
		list := c.services
		if len(list) == 0 {
			list = []brief.Service{{Weekday: time.Sunday, Hour: 10}}
		}
		for _, s := range list {
			if s.Weekday != c.weekday(d) {
				continue
			}
			part := morning
			for p := range slotsPerDay {
				if s.Hour*60+s.Minute >= slotHours[p][0] {
					part = p
				}
			}
			if at := d*slotsPerDay + part; at >= from && at < to {
				n++
			}
		}
	}
	return n
}
