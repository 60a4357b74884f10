package light

import (
	"math"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
)

// flareDeg is the angle off a camera's axis within which a light that shines
// into the lens is worth naming: a lens hood keeps off what comes from farther
// aside. Source: common practice.
const flareDeg = 30

// flares lists the lights that shine into cameras near their axis, nearest
// first per camera. The axis goes to the middle of the faces a camera frames,
// else to the platform.
func (e *evaluator) flares() {
	for _, c := range e.in.Brief.Cameras {
		at, ok := CameraAt(c)
		if !ok {
			continue
		}
		var aim geom.Vec
		n := 0.0
		for _, z := range e.rep.Zones {
			if frames(c, z.Name) {
				for _, f := range z.Faces {
					aim, n = aim.Add(f.At), n+1
				}
			}
		}
		axis := e.platformMiddle().Sub(at)
		if n > 0 {
			axis = aim.Scale(1 / n).Sub(at)
		}
		w := watcher{called("camera", c.Name), at, axis.Unit()}
		for _, s := range e.in.Sources {
			if !(s.Level > 0) || !e.sees(w, s) {
				continue
			}
			if deg := angleDeg(axis, s.At.Sub(at)); deg <= flareDeg {
				e.rep.Flares = append(e.rep.Flares, Flare{Camera: c.Name, Unit: s.ID, Deg: deg})
			}
		}
	}
}

// Group is units that go dark together.
type Group struct {
	What  string // "unit R1", "circuit W1a"
	Units []string
}

// Failed returns the report with every zone's worst failure of one group, and
// the findings about it, sorted. A nil book means no findings.
func Failed(rep Report, groups []Group, book *finding.Book, region string) (Report, []finding.Finding) {
	var fs []finding.Finding
	zones := append([]Zone(nil), rep.Zones...)
	for i, f := range Failures(rep, groups) {
		zones[i].Failure = f
		if book == nil || math.IsNaN(f.LeftPct) {
			continue
		}
		if x, bad := book.Check("LIGHT_ONE_DARK", region, "zone "+zones[i].Name, f.LeftPct,
			finding.Text("what", f.What), luxArg("left", f.LeftLx), luxArg("least", f.LeastLx)); bad {
			fs = append(fs, x)
		}
	}
	rep.Zones = zones
	finding.Sort(fs)
	return rep, fs
}

// Failures returns for every zone the worst that one dark group does to it, in
// the report's order: the least average of direct front light that is left.
// Reflected light is left as it was. Source: own rule; superposition.
func Failures(rep Report, groups []Group) []Failure {
	out := make([]Failure, len(rep.Zones))
	for i, z := range rep.Zones {
		out[i] = worstFailure(z, groups)
	}
	return out
}

func worstFailure(z Zone, groups []Group) Failure {
	out := Failure{LeftPct: math.NaN()}
	if len(z.Faces) == 0 || !(z.AverageLx > 0) {
		return out
	}
	out.LeftLx = math.Inf(1)
	for _, g := range groups {
		dark := map[string]bool{}
		for _, u := range g.Units {
			dark[u] = true
		}
		left, least := 0.0, math.Inf(1)
		for _, f := range z.Faces {
			lx := f.VerticalLx
			for _, c := range f.Contributions {
				if dark[c.Unit] && c.front {
					lx -= c.Lx
				}
			}
			left += lx / float64(len(z.Faces))
			least = math.Min(least, lx)
		}
		if left < out.LeftLx-1e-9*z.AverageLx {
			out.What, out.LeftLx, out.LeastLx = g.What, math.Max(0, left), math.Max(0, least)
		}
	}
	if out.What == "" {
		return Failure{LeftPct: math.NaN()}
	}
	out.LeftPct = out.LeftLx / z.AverageLx * 100
	return out
}
