package hanging

import (
	"fmt"
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// oldJobs is the work at height on the lights that hang today: those that are taken
// down, replaced or given new lamps, one job a group, with the machine that reaches
// them and for how many hours. A height that was not surveyed counts with the upper
// factor and is said to be unknown.
func (c *checker) oldJobs(lifts []LiftCheck) []AccessJob {
	in := map[string]bool{}
	for _, l := range lifts {
		if l.Fits && math.IsNaN(l.SweptM) {
			in[l.Lift] = true
		}
	}
	galleries := c.galleries()
	var out []AccessJob
	for _, e := range c.Survey.ExistingUnit {
		n := min(e.Count, 10_000)
		if n <= 0 {
			continue
		}
		var work string
		var each float64
		crew := 1.0
		phase := c.Scheme.HouseStep
		switch e.Fate {
		case "remove":
			// Down and out before new circuits come on: in the first stage, or its own.
			work, each, crew, phase = "take down", StrikeHours, HangCrew, named(e.Phase, c.firstPhase())
		case "replace":
			work, each, crew = "take down and fit the new ones", FitHours, HangCrew
		case "relamp":
			work, each = "change the lamps", LampHours
		default:
			continue
		}
		j := AccessJob{Phase: phase, Units: []string{named(e.Name, e.Kind)}, Source: jobSource, NeedPlatformM: math.NaN(), HangM: math.NaN()}
		j.Work = fmt.Sprintf("%s: %d × %s", work, n, named(e.Name, e.Kind))
		at := c.oldPlaces(e)
		c.oldReach(&j, e, at, galleries, in)
		j.Hours = Labour(n, each)
		j.PersonHours = j.Hours * crew
		height := j.NeedPlatformM
		if math.IsNaN(height) {
			height = math.Inf(1)
		}
		j.HoursHigh = Labour(1, j.Hours, heightFactor(height), remodelFactor)
		j.WorkingHeightM, j.LadderFootM = WorkingHeight(j.NeedPlatformM), LadderFoot(j.NeedPlatformM)
		c.oldZone(&j, at)
		out = append(out, j)
	}
	return out
}

// firstPhase is the earliest install phase of the units, empty where none is named.
func (c *checker) firstPhase() string {
	first := ""
	for i, u := range c.Placed {
		if i == 0 || u.Phase < first {
			first = u.Phase
		}
	}
	return first
}

// oldPlaces returns the surveyed places of a group; a place without a height of its
// own takes the group's, NaN where that is not known either.
func (c *checker) oldPlaces(e survey.ExistingLight) []geom.Vec {
	stations := map[string]geom.Vec{}
	for _, s := range c.Room.Stations {
		stations[s.Name] = s.At
	}
	height := math.NaN()
	if h := length(e.Height); h > 0 {
		height = h
	}
	var out []geom.Vec
	for _, p := range e.Places {
		if v, ok := stations[p.Station]; ok && p.Station != "" {
			out = append(out, v)
			continue
		}
		if !p.X.Set || !p.Y.Set || !finite(float64(p.X.Value)+float64(p.Y.Value)) {
			continue
		}
		v := geom.Vec{X: float64(p.X.Value), Y: float64(p.Y.Value), Z: height}
		if p.Z.Set && finite(float64(p.Z.Value)) {
			v.Z = float64(p.Z.Value)
		}
		out = append(out, v)
	}
	return out
}

// oldReach finds what the highest of the lights is reached by.
func (c *checker) oldReach(j *AccessJob, e survey.ExistingLight, at []geom.Vec, galleries []gallery, in map[string]bool) {
	b := below{"the hall floor", 0, "hall"}
	top := math.NaN()
	if h := length(e.Height); h > 0 {
		top = h
	}
	for _, v := range at {
		if math.IsNaN(v.Z) {
			continue
		}
		under := c.floorBelow(v, v.Z, galleries)
		if math.IsNaN(j.HangM) || v.Z-under.height > j.HangM {
			j.HangM, top, b = v.Z-under.height, v.Z, under
		}
	}
	j.Below = b.name
	if math.IsNaN(top) {
		j.By, j.Below = "lift or tower, to be chosen", "not known"
		j.Work += "; their height was not surveyed"
		return
	}
	j.HangM = top - b.height
	j.NeedPlatformM = math.Max(0, j.HangM-reachAbovePlatform)
	r := ReachCheck{Unit: j.Units[0], HangM: j.HangM, NeedPlatformM: j.NeedPlatformM}
	c.chooseReach(&r, b, room.Line{}, in, "old lights "+j.Units[0])
	j.By = r.By
}

// oldZone is the floor the lights hang over, the whole floor where their places
// were not surveyed.
func (c *checker) oldZone(j *AccessJob, at []geom.Vec) {
	if len(at) == 0 {
		at = c.Room.Footprint
	}
	if len(at) == 0 {
		return
	}
	j.MinX, j.MinY, j.MaxX, j.MaxY = si.Length(math.Inf(1)), si.Length(math.Inf(1)), si.Length(math.Inf(-1)), si.Length(math.Inf(-1))
	hx, hy := c.standHalfWidth(j.By), c.standHalf(j.By)
	for _, v := range at {
		j.MinX, j.MaxX = min(j.MinX, si.Length(v.X-hx)), max(j.MaxX, si.Length(v.X+hx))
		j.MinY, j.MaxY = min(j.MinY, si.Length(v.Y-hy)), max(j.MaxY, si.Length(v.Y+hy))
	}
	j.ZoneMinX, j.ZoneMaxX, j.ZoneMinY, j.ZoneMaxY = j.MinX-dropZone, j.MaxX+dropZone, j.MinY-dropZone, j.MaxY+dropZone
}
