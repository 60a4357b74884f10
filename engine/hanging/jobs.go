package hanging

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/si"
)

// AccessJob is work at height on one line by one means in one install phase: where
// the machine or tower stands, what must be cleared, and for how long.
type AccessJob struct {
	Phase string // as written on the units; empty: the first
	Line  string
	By    string // as in ReachCheck
	Work  string // "pipe, hang and focus"
	Units []string
	// NeedPlatformM is the highest platform needed, m; WorkingHeightM that of the
	// hands, HangM the underside of the line above the floor below.
	NeedPlatformM, WorkingHeightM, HangM float64
	Below                                string // floor below
	// Rows are the fixed rows that must be moved, Seats how many, Fixed how they are
	// held.
	Rows  string
	Seats int
	Fixed string
	// Hours are crew hours at height, for which the floor below is closed, by the
	// norms of the estimate; HoursHigh the same with the upper factors of height and
	// of a room that stands. PersonHours are those of the whole crew, SeatHours
	// those of the seats' crew, out and back.
	Hours, HoursHigh, PersonHours, SeatHours float64
	Source                                   string
	// The plan of where it stands, and of the floor kept free of people.
	MinX, MaxX, MinY, MaxY                 si.Length
	ZoneMinX, ZoneMaxX, ZoneMinY, ZoneMaxY si.Length
	// LadderFootM is how far out a ladder up to that platform would stand; nobody
	// hangs or focuses from it.
	LadderFootM float64
}

// dropZone is kept free round a machine or tower at work, m, each side; the person
// in charge widens it.
//
// Source: common practice, 2 m.
const dropZone = 2.0

// handsAbovePlatform is the working height above a platform, m.
//
// Source: access-equipment lexicons: working height about platform height + 2 m;
// US practice is 6 ft (from memory). The smaller is taken.
const handsAbovePlatform = 6 * 0.3048

// WorkingHeight returns how high hands work above a floor, m, from a platform at a
// height in m.
//
// Source: access-equipment lexicons, platform + 2 m; US practice + 6 ft (from
// memory): the smaller.
func WorkingHeight(platform float64) float64 { return platform + handsAbovePlatform }

// LadderFoot returns how far from the wall the foot of a leaning ladder stands, m,
// for its working length in m: one to four. 0 for a length that is not positive or
// not known.
//
// Source: 29 CFR 1910.23(c).
func LadderFoot(length float64) float64 { return positive(length) / 4 }

const jobSource = "common practice: labour norms of lighting retrofits; upper figure: labour-unit charts' factors of height and remodelling"

// rowsOf is rows by the name of their block; a row is numbered from 1.
type rowsOf struct {
	rows  map[string]map[int]bool
	fixed string
}

// put adds the rows of another place.
func (r *rowsOf) put(o rowsOf) {
	if len(o.rows) == 0 {
		return
	}
	if r.rows == nil {
		*r = rowsOf{map[string]map[int]bool{}, "loose"}
	}
	for n, set := range o.rows {
		if r.rows[n] == nil {
			r.rows[n] = map[int]bool{}
		}
		for i := range set {
			r.rows[n][i] = true
		}
	}
	if o.fixed != "loose" {
		r.fixed = o.fixed
	}
}

func (r rowsOf) names() []string {
	var out []string
	for n := range r.rows {
		out = append(out, n)
	}
	sort.Strings(out)
	return out
}

// count is the number of rows.
func (r rowsOf) count() int {
	n := 0
	for _, set := range r.rows {
		n += len(set)
	}
	return n
}

// text names the rows: "rows 1 and 2 of benches".
func (r rowsOf) text() string {
	var parts []string
	for _, n := range r.names() {
		var at []int
		for i := range r.rows[n] {
			at = append(at, i)
		}
		sort.Ints(at)
		var words []string
		for _, i := range at {
			words = append(words, fmt.Sprint(i))
		}
		parts = append(parts, rowWords(words)+" of "+n)
	}
	return strings.Join(parts, ", ")
}

type jobKey struct{ phase, line, by string }

// jobs groups the places by install phase, line and means, and counts hours.
func (c *checker) jobs(places []ReachCheck) []AccessJob {
	phases := map[string]string{}
	for _, u := range c.Placed {
		phases[u.ID] = u.Phase
	}
	type stand struct {
		job  AccessJob
		rows rowsOf
	}
	byKey := map[jobKey]*stand{}
	var keys []jobKey
	at := map[string][]int{}
	for i, u := range c.Placed {
		at[u.ID] = append(at[u.ID], i)
	}
	for _, p := range places {
		k := jobKey{phases[p.Unit], p.Line, p.By}
		s := byKey[k]
		if s == nil {
			s = &stand{job: AccessJob{Phase: k.phase, Line: p.Line, By: p.By, Below: c.floorOf[p.Unit], Source: jobSource,
				MinX: si.Length(math.Inf(1)), MaxX: si.Length(math.Inf(-1)), MinY: si.Length(math.Inf(1)), MaxY: si.Length(math.Inf(-1))}}
			byKey[k] = s
			keys = append(keys, k)
		}
		j := &s.job
		j.Units = append(j.Units, p.Unit)
		j.NeedPlatformM, j.HangM = math.Max(j.NeedPlatformM, p.NeedPlatformM), math.Max(j.HangM, p.HangM)
		hx, hy := c.standHalfWidth(p.By), c.standHalf(p.By)
		for _, i := range at[p.Unit] {
			v := c.Placed[i].At
			if finite(v.X + v.Y) {
				j.MinX, j.MaxX = min(j.MinX, si.Length(v.X-hx)), max(j.MaxX, si.Length(v.X+hx))
				j.MinY, j.MaxY = min(j.MinY, si.Length(v.Y-hy)), max(j.MaxY, si.Length(v.Y+hy))
			}
		}
		s.rows.put(c.rows[p.Unit])
	}
	sort.Slice(keys, func(i, j int) bool {
		a, b := keys[i], keys[j]
		if a.phase != b.phase {
			return a.phase < b.phase
		}
		if a.line != b.line {
			return a.line < b.line
		}
		return a.by < b.by
	})
	pipe := c.pipeMeans(keys, func(k jobKey) int { return len(byKey[k].job.Units) })
	var out []AccessJob
	for _, k := range keys {
		s := byKey[k]
		j := s.job
		n := len(j.Units)
		j.Work = "hang and focus"
		hours, persons := Labour(n, HangHours+FocusHours), Labour(n, (HangHours+FocusHours)*HangCrew)
		if m := pipe[k]; m > 0 {
			j.Work = "pipe, hang and focus"
			hours += m * PipeHoursPerM
			persons += m * PipeHoursPerM * HangCrew
		}
		if kind := c.lines[k.line].Kind; kind == "pier" || kind == "wall" {
			j.Work = "arms, hang and focus"
			hours += Labour(n, ArmHours)
			persons += Labour(n, ArmHours)
		}
		j.Hours, j.PersonHours = hours, persons
		j.HoursHigh = Labour(1, hours, heightFactor(j.NeedPlatformM), remodelFactor)
		if s.rows.fixed != "loose" {
			j.Rows, j.Seats, j.Fixed = s.rows.text(), s.rows.count(), s.rows.fixed
			j.SeatHours = Labour(j.Seats, BenchHours, 2, BenchCrew)
		}
		j.WorkingHeightM = WorkingHeight(j.NeedPlatformM)
		j.LadderFootM = LadderFoot(j.NeedPlatformM)
		j.ZoneMinX, j.ZoneMaxX = j.MinX-dropZone, j.MaxX+dropZone
		j.ZoneMinY, j.ZoneMaxY = j.MinY-dropZone, j.MaxY+dropZone
		out = append(out, j)
	}
	return out
}

// pipeMeans gives the metres of each line's pipe to the job that puts it up: the
// lift's where one works on the line in the pipe's phase, else the one with most
// units.
func (c *checker) pipeMeans(keys []jobKey, units func(jobKey) int) map[jobKey]float64 {
	phase := map[string]string{}
	for _, p := range c.Scheme.Pipes {
		phase[p.Line] = p.Phase
	}
	out := map[jobKey]float64{}
	for _, l := range c.pipes {
		best, found := jobKey{}, false
		for _, k := range keys {
			if k.line != l.Name {
				continue
			}
			if want, listed := phase[l.Name]; listed && want != k.phase {
				continue
			}
			better := !found
			if found {
				lift, was := strings.Contains(strings.ToLower(k.by), "lift"), strings.Contains(strings.ToLower(best.by), "lift")
				better = lift && !was || lift == was && units(k) > units(best)
			}
			if better {
				best, found = k, true
			}
		}
		if found {
			out[best] = l.PipeKg / pipeKgPerM
		}
	}
	return out
}
