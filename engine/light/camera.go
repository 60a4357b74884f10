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
	Lx   float64 // on an upright plane toward the cameras
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
	// ChromaX and ChromaY are the mixture's CIE 1931 chromaticity; 0: a part of
	// more than a tenth of the light has none that is known.
	ChromaX, ChromaY float64
	// CCTK, Mired and Duv are its correlated colour temperature and distance from
	// the Planckian locus; the colour stage fills them in. NaN: not known.
	CCTK, Mired, Duv float64
}

// knownShare is the share of a zone's light whose chromaticity must be known
// for the mixture to be told. A tenth of unknown white moves a mixture of two
// lamp whites by less than the smallest conversion filter (common practice).
const knownShare = 0.9

// camerasOf fills the row of every camera of the brief that has a place.
func (e *evaluator) camerasOf() {
	for _, c := range e.in.Brief.Cameras {
		at, ok := cameraAt(c)
		if !ok {
			continue
		}
		e.rep.Cameras = append(e.rep.Cameras, e.camera(c, at))
	}
}

// camera returns one camera's row.
func (e *evaluator) camera(c brief.Camera, at geom.Vec) Camera {
	nan := math.NaN()
	out := Camera{Name: c.Name, SpreadStops: nan, SpreadMired: nan, SpreadDuv: nan,
		WantedLx: ExposureLx(c.ISO, c.Aperture, c.ShutterS, CalibrationC)}
	out.WantedEV = EV100(out.WantedLx, CalibrationC)
	for i, z := range e.rep.Zones {
		if len(z.Faces) > 0 && e.frames(c, e.in.Brief.Zones[i]) {
			out.Zones = append(out.Zones, e.cameraZone(z, at, out.WantedLx))
		}
	}
	out.spread()
	return out
}

// frames tells whether a camera frames a zone: those it names, else those that
// are to be filmed, else all.
func (e *evaluator) frames(c brief.Camera, z brief.Zone) bool {
	if len(c.Frames) > 0 {
		return slices.Contains(c.Frames, z.Name)
	}
	filmed := slices.ContainsFunc(e.in.Brief.Zones, func(z brief.Zone) bool { return z.Camera })
	return z.Camera || !filmed
}

// cameraZone returns what a camera meets on a zone's faces.
func (e *evaluator) cameraZone(z Zone, at geom.Vec, wantedLx float64) CameraZone {
	nan := math.NaN()
	out := CameraZone{Zone: z.Name, LeastLx: math.Inf(1), CCTK: nan, Mired: nan, Duv: nan}
	var mix mixture
	ambient := e.ambient(z.Name, &mix, len(z.Faces))
	for _, f := range z.Faces {
		p := Point{Name: f.Name, Zone: z.Name, At: f.At, Normal: at.Sub(f.At).Plan().Unit()}
		lx := ambient
		for _, s := range e.in.Sources {
			c := e.direct(s, p).Lx
			mix.add(c, s.ChromaX, s.ChromaY)
			lx += c
		}
		out.FaceLx += lx / float64(len(z.Faces))
		out.LeastLx, out.MostLx = math.Min(out.LeastLx, lx), math.Max(out.MostLx, lx)
	}
	out.AmbientLx = ambient
	out.ChromaX, out.ChromaY = mix.chromaticity()
	out.OffStops = Stops(out.FaceLx, wantedLx)
	if out.EV = EV100(out.FaceLx, CalibrationC); math.IsInf(out.EV, 0) {
		out.EV = nan
	}
	return out
}

// ambient returns the light of no unit on a zone in lux and adds it to the
// mixture once for each face.
func (e *evaluator) ambient(zone string, mix *mixture, faces int) float64 {
	sum := 0.0
	for _, a := range e.in.Ambient {
		if a.Zone == zone && a.Lx > 0 && !math.IsInf(a.Lx, 0) {
			sum += a.Lx
			mix.add(a.Lx*float64(faces), a.ChromaX, a.ChromaY)
		}
	}
	return sum
}

// mixture adds lights by their tristimulus values. Source: Grassmann's laws;
// CIE 15.
type mixture struct{ x, y, sum, unknown float64 }

func (m *mixture) add(lx, chromaX, chromaY float64) {
	if !(chromaX > 0) || !(chromaY > 0) || chromaX+chromaY > 1 {
		m.unknown += lx
		return
	}
	s := lx / chromaY
	m.x, m.y, m.sum = m.x+s*chromaX, m.y+lx, m.sum+s
}

func (m *mixture) chromaticity() (x, y float64) {
	if !(m.sum > 0) || m.y < knownShare*(m.y+m.unknown) {
		return 0, 0
	}
	return m.x / m.sum, m.y / m.sum
}

// spread compares the zones' light.
func (c *Camera) spread() {
	most, least, lit := 0.0, math.Inf(1), 0
	for _, z := range c.Zones {
		if !(z.FaceLx > 0) {
			continue
		}
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

// checkCameras holds the cameras' light against their settings and the zones
// against each other.
func (e *evaluator) checkCameras() {
	for _, c := range e.rep.Cameras {
		subject := called("camera", c.Name)
		if c.SpreadStops > 0 {
			e.bound("LIGHT_CAMERA_SPREAD", subject, c.SpreadStops,
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
			e.bound(code, subject+", zone "+z.Zone, math.Abs(z.OffStops),
				finding.Lux("faces", si.Illuminance(z.FaceLx)), finding.Lux("wanted", si.Illuminance(c.WantedLx)))
		}
	}
}
