package planner

import (
	"crypto/sha256"
	"fmt"

	"roodbeam/engine/daylight"
	"roodbeam/engine/light"
)

// yearsKept bounds the years kept: one is some 50 kB, and a project's schemes
// share one while its places and today's date stay.
const yearsKept = 32

// years keeps the daylight of the settings used last.
type years struct{ kept[*daylight.Year] }

// seasons are those of the whole process, as rooms are.
var seasons years

// of returns the year of a setting.
func (y *years) of(s daylight.Setting, t *light.Transport) *daylight.Year {
	return y.kept.of(yearKey(s, t), yearsKept, func() *daylight.Year { return daylight.NewYear(s, t) })
}

// yearKey returns the hash of all of a setting. Nothing in it prints rounded; a
// test holds that the smallest change of it gives another key.
func yearKey(s daylight.Setting, t *light.Transport) key {
	where := ""
	if s.Location != nil {
		where = s.Location.String()
	}
	s.Location = nil
	h := sha256.New()
	fmt.Fprintf(h, "%v|%q|%v", s, where, t != nil)
	return key(h.Sum(nil))
}
