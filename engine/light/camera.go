package light

import (
	"math"
	"slices"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// Ambient is light on a zone's faces that comes from none of the units:
// daylight, most of all.
type Ambient struct {
	Zone string
	// Camera is the one toward which it was taken; empty: the same for all.
	Camera string
	Lx     float64 // on an upright plane toward the cameras
	// ChromaX and ChromaY are its CIE 1931 chromaticity; 0: not known.
	ChromaX, ChromaY float64
}

// Camera is what a camera meets: the light on the faces it frames, against its
// settings and between the zones.
type Camera struct {
	Name      string
	WantedLx  float64 // illuminance that ISO, aperture and shutter ask for; NaN: not stated
	WantedEV  float64 // the same as exposure value at ISO 100; NaN
	Zones     []CameraZone
	Brightest string
	Darkest   string
	// SpreadStops is brightest over darkest zone in stops; NaN with less than two
	// zones in light.
	SpreadStops float64
	// White is what of the zones is most and least warm: the colour stage fills
	// it in; NaN where less than two zones have a known white.
	SpreadMired, SpreadDuv float64
	Warmest, Coolest       string
}

// CameraZone is a zone as a camera sees it.
type CameraZone struct {
	Zone      string
	FaceLx    float64 // average over the faces, on upright planes toward the camera
	LeastLx   float64
	MostLx    float64
	EV        float64 // exposure value at ISO 100; NaN in the dark
	OffStops  float64 // over what the settings ask for, negative: dark; NaN
	AmbientLx float64 // the part that comes from no unit
	// LeftLx, RightLx and AboveLx are the units' direct light by where it comes from
	// as the camera sees the face: each side, and steeper than 60°, which is part of
	// the sides; averages.
	LeftLx, RightLx, AboveLx float64
	// ChromaX and ChromaY are the CIE 1931 chromaticity of that part of the light
	// whose white is known, KnownPct of it; 0 without one.
	ChromaX, ChromaY float64
	KnownPct         float64
	// CCTK, Mired and Duv are its correlated colour temperature and distance from
	// the Planckian locus; the colour stage fills them in. NaN: not known.
	CCTK, Mired, Duv float64
}

// camerasOf fills the rows of the cameras of the brief that have a place.
func (e *evaluator) camerasOf() {
	probes := map[geom.Vec]Probe{}
	if len(e.in.Brief.Cameras) > 0 && slices.ContainsFunc(e.in.Sources, func(s Source) bool { return !(s.ChromaY > 0) }) {
		e.limit("The white balance between zones counts only units whose fixture or scheme states a white.")
	}
	for _, c := range e.in.Brief.Cameras {
		if at, ok := CameraAt(c); ok {
			e.rep.Cameras = append(e.rep.Cameras, e.camera(c, at, probes))
		}
	}
}

// camera returns one camera's row. probes keeps what the faces see of the room,
// which several cameras share.
func (e *evaluator) camera(c brief.Camera, at geom.Vec, probes map[geom.Vec]Probe) Camera {
	out := Camera{Name: c.Name, WantedLx: ExposureLx(c.ISO, c.Aperture, c.ShutterS, CalibrationC)}
	out.WantedEV = EV100(out.WantedLx, CalibrationC)
	for i, z := range e.rep.Zones {
		if len(z.Faces) > 0 && e.filmed(c, e.in.Brief.Zones[i]) {
			out.Zones = append(out.Zones, e.cameraZone(z, at, probes))
		}
	}
	out.compare()
	return out
}

// filmed tells whether a camera frames a zone: those it names, else those that
// are to be filmed, else all.
func (e *evaluator) filmed(c brief.Camera, z brief.Zone) bool {
	if len(c.Frames) > 0 {
		return slices.Contains(c.Frames, z.Name)
	}
	some := slices.ContainsFunc(e.in.Brief.Zones, func(z brief.Zone) bool { return z.Camera })
	return z.Camera || !some
}

// cameraZone returns what a camera meets on a zone's faces: the direct light of
// all units and the light the room throws back, which is taken to have the
// white of the units.
func (e *evaluator) cameraZone(z Zone, at geom.Vec, probes map[geom.Vec]Probe) CameraZone {
	out := CameraZone{Zone: z.Name, LeastLx: math.Inf(1)}
	var mix Mixture
	for _, f := range z.Faces {
		p := Point{Name: f.Name, Zone: z.Name, At: f.At, Normal: at.Sub(f.At).Plan().Unit()}
		lx := e.reflectedTo(p, probes)
		for _, s := range e.in.Sources {
			c := e.direct(s, p).Lx
			out.sides(s, p, c/float64(len(z.Faces)))
			mix.Add(c, s.ChromaX, s.ChromaY)
			lx += c
		}
		out.FaceLx += lx / float64(len(z.Faces))
		out.LeastLx, out.MostLx = math.Min(out.LeastLx, lx), math.Max(out.MostLx, lx)
	}
	out.ChromaX, out.ChromaY, out.KnownPct = mix.Chromaticity()
	return out
}

// sides adds a unit's light on a face to the side of the camera it comes from.
func (z *CameraZone) sides(s Source, p Point, lx float64) {
	toward := s.At.Sub(p.At)
	across := geom.Vec{Z: 1}.Cross(p.Normal) // to the camera's right, as it looks against the normal
	switch side := math.Atan2(toward.Dot(across), toward.Dot(p.Normal)) * 180 / math.Pi; {
	case side > straightDeg:
		z.RightLx += lx
	case side < -straightDeg:
		z.LeftLx += lx
	default:
		z.LeftLx += lx / 2
		z.RightLx += lx / 2
	}
	if geom.ElevationDeg(p.At, s.At) > steepDeg {
		z.AboveLx += lx
	}
}

// reflectedTo returns the light in lux that the room throws back to a point.
func (e *evaluator) reflectedTo(p Point, probes map[geom.Vec]Probe) float64 {
	if e.field.t == nil {
		return 0
	}
	probe, seen := probes[p.At]
	if !seen {
		probe = e.probe(p.At)
		probes[p.At] = probe
	}
	return e.loss * probe.Plane(e.field, p.Normal)
}

// Mixture adds lights by their tristimulus values. Source: Grassmann's laws;
// CIE 15.
type Mixture struct{ x, y, sum, unknown float64 }

// Add adds a light of an illuminance in lux and a CIE 1931 chromaticity, 0 where
// it is not known.
func (m *Mixture) Add(lx, chromaX, chromaY float64) {
	if !(chromaX > 0) || !(chromaY > 0) || chromaX+chromaY > 1 {
		m.unknown += lx
		return
	}
	s := lx / chromaY
	m.x, m.y, m.sum = m.x+s*chromaX, m.y+lx, m.sum+s
}

// Chromaticity returns that of the known part and its share in percent.
func (m Mixture) Chromaticity() (x, y, knownPct float64) {
	if !(m.sum > 0) {
		return 0, 0, 0
	}
	return m.x / m.sum, m.y / m.sum, 100 * m.y / (m.y + m.unknown)
}

// compare fills in what follows from the zones' light: exposure against the
// settings and the zones against each other.
func (c *Camera) compare() {
	nan := math.NaN()
	c.SpreadStops, c.SpreadMired, c.SpreadDuv = nan, nan, nan
	most, least, lit := 0.0, math.Inf(1), 0
	for i := range c.Zones {
		z := &c.Zones[i]
		z.CCTK, z.Mired, z.Duv = nan, nan, nan
		z.OffStops, z.EV = Stops(z.FaceLx, c.WantedLx), nan
		if !(z.FaceLx > 0) {
			continue
		}
		z.EV = EV100(z.FaceLx, CalibrationC)
		lit++
		if z.FaceLx > most {
			most, c.Brightest = z.FaceLx, z.Zone
		}
		if z.FaceLx < least {
			least, c.Darkest = z.FaceLx, z.Zone
		}
	}
	if lit > 1 {
		c.SpreadStops = Stops(most, least)
	}
}

// WithAmbient returns the cameras' rows with light of no unit added to their
// zones, daylight most of all. The rows given stay as they are.
func WithAmbient(cams []Camera, ambient []Ambient) []Camera {
	out := make([]Camera, len(cams))
	for i, c := range cams {
		c.Zones = slices.Clone(c.Zones)
		for k := range c.Zones {
			for _, a := range ambient {
				if a.Camera == "" || a.Camera == c.Name {
					c.Zones[k].addAmbient(a)
				}
			}
		}
		c.compare()
		out[i] = c
	}
	return out
}

func (z *CameraZone) addAmbient(a Ambient) {
	if a.Zone != z.Zone || !(a.Lx > 0) || math.IsInf(a.Lx, 0) {
		return
	}
	var mix Mixture
	mix.Add(z.FaceLx*z.KnownPct/100, z.ChromaX, z.ChromaY)
	mix.unknown += z.FaceLx * (1 - z.KnownPct/100)
	mix.Add(a.Lx, a.ChromaX, a.ChromaY)
	z.ChromaX, z.ChromaY, z.KnownPct = mix.Chromaticity()
	z.FaceLx, z.LeastLx, z.MostLx = z.FaceLx+a.Lx, z.LeastLx+a.Lx, z.MostLx+a.Lx
	z.AmbientLx += a.Lx
}

// CheckCameras holds the cameras' light against their settings and the zones
// against each other, and returns the findings, sorted. when tells rows of one
// hour from others in the findings: "by day"; empty for the units alone.
func CheckCameras(cams []Camera, when string, book *finding.Book, region string) []finding.Finding {
	var fs []finding.Finding
	bound := func(code, subject string, value float64, args ...finding.Arg) {
		if f, bad := book.Check(code, region, subject, value, args...); bad {
			fs = append(fs, f)
		}
	}
	for _, c := range cams {
		subject := c.Subject(when)
		if c.SpreadStops > 0 {
			bound("LIGHT_CAMERA_SPREAD", subject, c.SpreadStops,
				finding.Text("bright", c.Brightest), finding.Text("dark", c.Darkest))
		}
		for _, z := range c.Zones {
			if math.IsNaN(z.OffStops) {
				continue
			}
			code := "LIGHT_CAMERA_DARK"
			if z.OffStops > 0 {
				code = "LIGHT_CAMERA_BRIGHT"
			}
			bound(code, subject+", zone "+z.Zone, math.Abs(z.OffStops),
				finding.Lux("faces", si.Illuminance(z.FaceLx)), finding.Lux("wanted", si.Illuminance(c.WantedLx)))
		}
	}
	finding.Sort(fs)
	return fs
}

// Subject returns the camera's name in findings, with the hour where that is
// said.
func (c Camera) Subject(when string) string {
	if when == "" {
		return called("camera", c.Name)
	}
	return called("camera", c.Name) + " " + when
}
