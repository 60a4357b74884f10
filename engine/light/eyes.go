package light

import (
	"fmt"
	"math"

	"roodbeam/engine/geom"
)

const (
	// veilNearDeg and veilFarDeg bound the angles at which the Stiles–Holladay
	// form holds. Source: Vos, CIE 146:2002/2003.
	veilNearDeg, veilFarDeg = 1, 30
	// eyeRoomM is the length before an eye in which rails and seat backs do not
	// count as blocking: people lean, and rails are not measured that finely
	// (common practice, on the cautious side).
	eyeRoomM = 1.5
)

// Veil returns the veiling luminance in cd/m² of a glare source that gives an
// illuminance in lux on the plane of the eye at an angle in degrees off the
// line of sight: 10·E/θ². Angles under 1° count as 1°, over 30° as no veil:
// the form's domain. Source: Stiles & Holladay, as in Vos 2003 and CIE 146.
func Veil(eyeLx, angleDeg float64) float64 {
	if angleDeg > veilFarDeg {
		return 0
	}
	t := math.Max(angleDeg, veilNearDeg)
	return 10 * eyeLx / (t * t)
}

// VeilAged returns the veiling luminance in cd/m² as Veil does, for eyes of an
// age in years: 10·E·[1 + (A/70)⁴]/θ².
// Source: CIE 146:2002 as in Vos 2003, age-adapted Stiles–Holladay equation.
func VeilAged(eyeLx, angleDeg, ageYears float64) float64 {
	a := math.Max(0, ageYears) / 70
	return Veil(eyeLx, angleDeg) * (1 + a*a*a*a)
}

// ContrastKept returns the share of contrast that is left of something of a
// luminance Lb under a veil Lv, both cd/m²: Lb/(Lb + Lv). NaN for Lb not
// positive. Source: definition of contrast, veil added to both.
func ContrastKept(background, veil float64) float64 {
	if !(background > 0) {
		return math.NaN()
	}
	return background / (background + math.Max(0, veil))
}

// watcher is an eye and where it looks.
type watcher struct {
	name string
	at   geom.Vec
	look geom.Vec // unit direction
}

// eyes fills the glare in the eyes of everyone on the platform looking along
// their facing, and of seats and cameras looking at the platform.
func (e *evaluator) eyes() {
	for _, z := range e.rep.Zones {
		for i, f := range z.Faces {
			if z.GridStepM == 0 || i == len(z.Faces)/2 {
				e.glare(watcher{f.Name, f.At, f.Facing})
			}
		}
	}
	for _, w := range e.audience() {
		e.glare(w)
	}
}

// glare adds the row of one eye. The worst unit is the one that veils most, or
// where none is within 30° the one nearest to the line of sight.
func (e *evaluator) glare(w watcher) {
	out := EyeGlare{Name: w.name, At: w.at, WorstDeg: math.NaN(), ElevationDeg: math.NaN()}
	worst, nearest := 0.0, math.Inf(1)
	for _, s := range e.in.Sources {
		c := e.inEye(s, w)
		if !(c.Lx > 0) {
			continue
		}
		angle := angleDeg(w.look, s.At.Sub(w.at))
		veil := Veil(c.Lx, angle)
		out.VeilCdM2 += veil
		if veil > worst || worst == 0 && angle < nearest {
			worst, nearest = veil, angle
			out.WorstUnit, out.WorstDeg = s.ID, angle
			out.ElevationDeg = geom.ElevationDeg(w.at, s.At)
		}
	}
	out.KeptPct = 100 * ContrastKept(e.faceLuminance(), out.VeilCdM2)
	e.rep.Eyes = append(e.rep.Eyes, out)
}

// inEye returns a source's light in an eye, people not counted as in its way.
func (e *evaluator) inEye(s Source, w watcher) Contribution {
	c := Direct(s, Point{At: w.at, Normal: w.look}, e.bare)
	c.Lx *= e.loss
	return c
}

// faceLuminance returns the mean luminance in cd/m² of the zones' faces, direct
// and reflected light.
func (e *evaluator) faceLuminance() float64 {
	var m mean
	for _, z := range e.rep.Zones {
		if len(z.Faces) > 0 {
			m.add(FaceLuminance(z.AverageLx + z.Shape.IndirectLx))
		}
	}
	return m.value()
}

// platformMiddle is what the seats look at: a standing face in the middle of
// the platform.
func (e *evaluator) platformMiddle() geom.Vec {
	p := e.in.Room.Platform
	return geom.Vec{Y: p.Depth.Metres() / 2, Z: p.Height.Metres() + standingM}
}

// audience returns the middle of each block's first row, the named eyes and the
// cameras, looking at the platform.
func (e *evaluator) audience() []watcher {
	var ws []watcher
	for _, row := range e.firstRows() {
		ws = append(ws, e.seated(row.name, row.a.Lerp(row.b, 0.5)))
	}
	for _, y := range e.in.Room.Eyes {
		ws = append(ws, e.seated(y.Name, y.At))
	}
	for _, c := range e.cameras() {
		ws = append(ws, e.seated(c.Name, c.At))
	}
	return ws
}

func (e *evaluator) seated(name string, at geom.Vec) watcher {
	return watcher{name, at, e.platformMiddle().Sub(at).Unit()}
}

// firstRow is the row of a block nearest to the platform.
type firstRow struct {
	name string
	a, b geom.Vec
}

func (e *evaluator) firstRows() []firstRow {
	var out []firstRow
	middle := e.platformMiddle()
	for _, s := range e.in.Room.Seating {
		best, least := firstRow{}, math.Inf(1)
		for _, r := range s.Rows {
			if d := r.Left.Lerp(r.Right, 0.5).Sub(middle).Norm(); d < least {
				best, least = firstRow{fmt.Sprintf("first row of %s", s.Name), r.Left, r.Right}, d
			}
		}
		if !math.IsInf(least, 1) {
			out = append(out, best)
		}
	}
	return out
}

// sees tells whether an eye can see a source's lens and the source shines
// toward it: in front of the eye, nothing between but what is close to the eye,
// and for front light within the field; back light points at the seats, so its
// lens glares off the beam too.
func (e *evaluator) sees(w watcher, s Source) bool {
	to := s.At.Sub(w.at)
	if w.look.Plan().Dot(to.Plan()) <= 0 {
		return false
	}
	reach := s.field() / 2
	if s.Purpose == backLight {
		reach = 90
	}
	return s.offAxisDeg(w.at) < reach && !e.bare.Occluded(s.At, shorten(s.At, w.at, eyeRoomM))
}

// shorten returns the point of a–b that is m before b, at most halfway.
func shorten(a, b geom.Vec, m float64) geom.Vec {
	d := b.Sub(a).Norm()
	if d == 0 {
		return b
	}
	return b.Lerp(a, math.Min(0.5, m/d))
}

// lowestEye fills the least angle above the horizontal at which the unit is
// seen: from each first row's seat nearest to it, and from every named eye.
// House lights are seen by everybody and left out.
func (e *evaluator) lowestEye(s Source, u *Unit) {
	u.FirstRowDeg, u.LowestEyeDeg = math.NaN(), math.NaN()
	if s.Purpose == house {
		return
	}
	look := func(w watcher) (float64, bool) {
		if !e.sees(w, s) {
			return 0, false
		}
		deg := geom.ElevationDeg(w.at, s.At)
		if !(deg >= u.LowestEyeDeg) {
			u.LowestEyeDeg, u.LowestEye = deg, w.name
		}
		return deg, true
	}
	nearest := math.Inf(1)
	for _, r := range e.firstRows() {
		seat, _ := nearestOnSegment(geom.Vec{X: s.At.X, Y: s.At.Y, Z: r.a.Z}, r.a, r.b)
		deg, ok := look(e.seated(r.name, seat))
		if d := s.At.Sub(seat).Norm(); ok && d < nearest {
			u.FirstRowDeg, nearest = deg, d
		}
	}
	for _, y := range e.in.Room.Eyes {
		look(e.seated(y.Name, y.At))
	}
}
