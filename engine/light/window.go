package light

import (
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

const (
	// faceReflectance turns a face's illuminance into its luminance.
	// Source: common practice: skin 0.2 to 0.5, 0.35 taken.
	faceReflectance = 0.35
	// besideDeg is how near to a face in a picture a window must be to be seen
	// with it: half the width of a close shot (common practice).
	besideDeg = 10
	// sunPathM is how far before the glass the path of a sun ray is checked:
	// reveals and mullions are not surveyed.
	sunPathM = 0.05
)

// SunDirection returns the unit direction toward the sun in the room's axes:
// azimuth in degrees from north clockwise, elevation in degrees above the
// horizon, and the compass bearing toward which the congregation looks, which
// is +y. Source: plane geometry; x is to the right of +y.
func SunDirection(azimuthDeg, elevationDeg, congregationFacingDeg float64) geom.Vec {
	sinA, cosA := math.Sincos((azimuthDeg - congregationFacingDeg) * math.Pi / 180)
	sinH, cosH := math.Sincos(elevationDeg * math.Pi / 180)
	return geom.Vec{X: sinA * cosH, Y: cosA * cosH, Z: sinH}
}

// sun finds the sun positions that reach a face through a window.
func (e *evaluator) sun() {
	site := e.in.Survey.Site
	if len(e.in.Survey.Sun) == 0 {
		return
	}
	if !site.Orientation {
		e.limit("The sun was not checked: the compass bearing in which the congregation looks is not surveyed.")
		return
	}
	for _, c := range e.in.Survey.Sun {
		dir := SunDirection(c.AzimuthDeg, c.ElevationDeg, site.CongregationFacingDeg)
		if !(c.ElevationDeg > 0) || !finite(dir) {
			continue
		}
		for _, z := range e.rep.Zones {
			for i, f := range z.Faces {
				if z.GridStepM == 0 || i == len(z.Faces)/2 {
					e.sunOnFace(c, dir, z, f)
				}
			}
		}
	}
}

// sunOnFace adds a hit when the ray from a face toward the sun leaves through a
// window.
func (e *evaluator) sunOnFace(c survey.SunCheck, dir geom.Vec, z Zone, f Face) {
	for _, w := range e.in.Room.Windows {
		at, ok := e.sunThrough(f, dir, w.Polygon)
		if !ok {
			continue
		}
		h := SunHit{
			Check: c.Name, Zone: z.Name, Face: f.Name, Window: w.Name, At: at, Blind: w.Blind,
			OffAxisDeg: turnDeg(geom.BearingDeg(geom.Vec{}, f.Facing), geom.BearingDeg(geom.Vec{}, dir)),
			KeyLx:      f.OwnLx, FillPct: math.NaN(),
		}
		h.FillLx = e.fillOpposite(z, f, dir)
		if h.KeyLx > 0 {
			h.FillPct = h.FillLx / h.KeyLx * 100
		}
		e.rep.Sun = append(e.rep.Sun, h)
		return
	}
}

// headMoveM is how far a head moves to either side while its owner stays in
// place. Source: common practice.
const headMoveM = 0.3

// sunThrough returns where the ray from a face toward the sun leaves through a
// window, with the head in its place or moved a little: a beam or mullion
// shades a strip that nobody keeps to.
func (e *evaluator) sunThrough(f Face, dir geom.Vec, window geom.Polygon) (geom.Vec, bool) {
	side := f.Facing.Cross(geom.Vec{Z: 1}).Scale(headMoveM)
	ahead := f.Facing.Scale(headMoveM)
	centre, _, through := planeHit(f.At, dir, window)
	for _, move := range []geom.Vec{{}, side, side.Scale(-1), ahead, ahead.Scale(-1)} {
		from := f.At.Add(move)
		at, _, ok := planeHit(from, dir, window)
		if !ok || e.bare.Occluded(from, shorten(from, at, sunPathM)) {
			continue
		}
		if through {
			at = centre
		}
		return at, true
	}
	return geom.Vec{}, false
}

// fillOpposite returns what the zone's fill units on the other side of the sun
// give a face, in lux on its plane.
func (e *evaluator) fillOpposite(z Zone, f Face, sun geom.Vec) float64 {
	side := f.Facing.Cross(geom.Vec{Z: 1})
	sum := 0.0
	for _, s := range e.in.Sources {
		if s.Purpose != fill || s.Zone != z.Name || side.Dot(sun)*side.Dot(s.At.Sub(f.At)) >= 0 {
			continue
		}
		sum += e.direct(s, Point{At: f.At, Normal: f.Facing}).Lx
	}
	return sum
}

// windows compares bright windows with the faces seen beside them, from the
// cameras or, without any, from the seats.
func (e *evaluator) windows() {
	for _, w := range e.in.Room.Windows {
		if !w.Luminance.Set || len(w.Polygon) < 3 {
			continue
		}
		for _, z := range e.rep.Zones {
			if c, ok := e.worstContrast(w, z); ok {
				e.rep.Windows = append(e.rep.Windows, c)
			}
		}
	}
}

// FaceLuminance returns the luminance in cd/m² of a face lit by an illuminance
// in lux: E·ρ/π with ρ = 0.35. Source: Lambert's law; ρ common practice.
func FaceLuminance(lx float64) float64 { return lx * faceReflectance / math.Pi }

// worstContrast returns the highest ratio of window to face luminance in a zone.
func (e *evaluator) worstContrast(w room.Window, z Zone) (WindowContrast, bool) {
	out, found := WindowContrast{Window: w.Name, Zone: z.Name, WindowCdM2: float64(w.Luminance.Value)}, false
	for _, from := range e.viewpoints(z.Name) {
		for _, f := range z.Faces {
			if !e.beside(from.At, f.At, w) {
				continue
			}
			face := FaceLuminance(f.VerticalLx)
			ratio := math.Inf(1)
			if face > 0 {
				ratio = out.WindowCdM2 / face
			}
			if !found || ratio > out.Ratio {
				out.From, out.FaceCdM2, out.Ratio, found = from.Name, face, ratio, true
			}
		}
	}
	return out, found
}

// viewpoints returns the cameras that frame a zone, else the first rows.
func (e *evaluator) viewpoints(zone string) []room.Eye {
	var out []room.Eye
	for _, c := range e.in.Brief.Cameras {
		if at, ok := CameraAt(c); ok && frames(c, zone) {
			out = append(out, room.Eye{Name: called("camera", c.Name), At: at})
		}
	}
	if len(e.in.Brief.Cameras) > 0 {
		return out
	}
	for _, r := range e.firstRows() {
		out = append(out, room.Eye{Name: r.name, At: r.a.Lerp(r.b, 0.5)})
	}
	return out
}

func frames(c brief.Camera, zone string) bool {
	for _, f := range c.Frames {
		if f == zone {
			return true
		}
	}
	return len(c.Frames) == 0
}

// beside tells whether a viewpoint sees some of a window within besideDeg of a
// face.
func (e *evaluator) beside(from, face geom.Vec, w room.Window) bool {
	look := face.Sub(from)
	seen := func(p geom.Vec) bool {
		return !e.bare.Occluded(from, shorten(from, p, sunPathM))
	}
	if p, t, ok := planeHit(from, look, w.Polygon); ok && t > 1 && seen(p) {
		return true
	}
	const steps = 6
	for _, p := range samples(w.Polygon, steps) {
		if angleDeg(look, p.At.Sub(from)) <= besideDeg && seen(p.At) {
			return true
		}
	}
	return false
}
