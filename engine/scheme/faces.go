package scheme

import (
	"fmt"
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

const (
	// standingFace and seatedFace are assumed where a brief does not say how high
	// the faces are. Source: EN 12464-1, planes for cylindrical illuminance at
	// 1.6 m for standing and 1.2 m for seated people.
	standingFace si.Length = 1.6
	seatedFace   si.Length = 1.2
	// gridStepM is the widest step of a zone's grid of face points, below half
	// the diameter of one lit area.
	gridStepM = 1.0
	// gridEdgeM is how near to a zone's edge the outermost faces stand.
	gridEdgeM = 0.15
	// maxGridSide keeps an absurdly large zone from making an absurd grid.
	maxGridSide = 24
)

// facePoint is one place at which a zone's faces are.
type facePoint struct {
	zone, name string
	at         geom.Vec
	facingDeg  float64
	row        int // of a grid, 0 nearest the seats; −1 for a key place
}

// normal returns the unit normal of the face in the room's axes.
func (f facePoint) normal() geom.Vec {
	a := f.facingDeg * math.Pi / 180
	return geom.Vec{X: math.Sin(a), Y: -math.Cos(a)}
}

// zoneFaces returns a zone's key places or, where it names none, a grid over
// it; nothing where neither places nor extents are known. A coordinate that a
// key place leaves open is the middle of the zone.
func zoneFaces(z brief.Zone, r room.Room) []facePoint {
	x0, x1, y0, y1, extent := extents(z)
	var out []facePoint
	for i, f := range z.Faces {
		if (!f.X.Set || !f.Y.Set) && !extent {
			continue
		}
		p := facePoint{zone: z.Name, name: f.Name, facingDeg: f.FacingDeg, row: -1}
		p.at.X, p.at.Y = f.X.Or(si.Length((x0+x1)/2)).Metres(), f.Y.Or(si.Length((y0+y1)/2)).Metres()
		p.at.Z = f.Z.Or(si.Length(faceHeight(z, r, p.at.X, p.at.Y))).Metres()
		if p.name == "" {
			p.name = fmt.Sprintf("%s %d", z.Name, i+1)
		}
		if finite(p.at.X, p.at.Y, p.at.Z, p.facingDeg) {
			out = append(out, p)
		}
	}
	if len(out) > 0 {
		return out
	}
	return gridFaces(z, r)
}

// faceHeight returns the height in metres of a zone's faces above the hall floor.
func faceHeight(z brief.Zone, r room.Room, x, y float64) float64 {
	up := standingFace
	if z.Use == "piano" {
		up = seatedFace
	}
	return levelHeight(z.Level, r, x, y) + z.FaceHeight.Or(up).Metres()
}

func gridFaces(z brief.Zone, r room.Room) []facePoint {
	x0, x1, y0, y1, ok := extents(z)
	if !ok || !finite(x0, x1, y0, y1) {
		return nil
	}
	xs, ys := gridAlong(x0, x1), gridAlong(y0, y1)
	var out []facePoint
	for j, y := range ys {
		for i, x := range xs {
			at := geom.Vec{X: x, Y: y, Z: faceHeight(z, r, x, y)}
			if finite(at.Z) {
				out = append(out, facePoint{zone: z.Name, name: fmt.Sprintf("%s %d.%d", z.Name, j+1, i+1), row: j, at: at})
			}
		}
	}
	return out
}

// gridAlong returns evenly spaced coordinates from one edge of a zone to the
// other; the middle of a zone that is narrower than a step.
func gridAlong(a, b float64) []float64 {
	n := max(1, min(maxGridSide, int(math.Min(maxGridSide, math.Ceil((b-a)/gridStepM-1e-9)))))
	if n == 1 {
		return []float64{(a + b) / 2}
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = a + gridEdgeM + (b-a-2*gridEdgeM)*float64(i)/float64(n-1)
	}
	return out
}

// extents returns a zone's plan rectangle in metres; false while a side is unknown.
func extents(z brief.Zone) (x0, x1, y0, y1 float64, ok bool) {
	if !z.MinX.Set || !z.MaxX.Set || !z.MinY.Set || !z.MaxY.Set {
		return 0, 0, 0, 0, false
	}
	x0, x1 = ordered(z.MinX.Value.Metres(), z.MaxX.Value.Metres())
	y0, y1 = ordered(z.MinY.Value.Metres(), z.MaxY.Value.Metres())
	return x0, x1, y0, y1, true
}

func ordered(a, b float64) (lo, hi float64) {
	if a > b {
		return b, a
	}
	return a, b
}

// levelHeight returns the height in metres of a named level above the hall
// floor; without a name, or with an unknown one, that of the platform over its
// outline and of the hall floor elsewhere.
func levelHeight(name string, r room.Room, x, y float64) float64 {
	for _, l := range r.Levels {
		if l.Name == name && name != "" {
			return l.Height.Metres()
		}
	}
	switch {
	case name == "floor":
		return 0
	case name == "platform" || r.Platform.Outline.ContainsPlan(x, y):
		return r.Platform.Height.Metres()
	}
	return 0
}

// zoneWidthM returns the usable width in metres of a zone for the count rules;
// from its key places where nothing else is known.
func zoneWidthM(z brief.Zone, faces []facePoint) float64 {
	if z.Width.Set && finite(float64(z.Width.Value)) {
		return math.Max(0, z.Width.Value.Metres())
	}
	if x0, x1, _, _, ok := extents(z); ok && finite(x0, x1) {
		return x1 - x0
	}
	if len(faces) == 0 {
		return 0
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, f := range faces {
		lo, hi = math.Min(lo, f.at.X), math.Max(hi, f.at.X)
	}
	return hi - lo
}

// nearestFace returns the index of the face nearest to a point, −1 without faces.
func nearestFace(faces []facePoint, to geom.Vec) int {
	best, at := math.Inf(1), -1
	for i, f := range faces {
		if d := f.at.Sub(to).Norm(); d < best {
			best, at = d, i
		}
	}
	return at
}
