package scheme

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

// standingFace is assumed where a brief does not say how high the faces are:
// the nose of a standing adult. Source: common practice, 1.5 m to 1.6 m.
const standingFace si.Length = 1.6

// gridStepM is the widest step of a zone's grid of face points: half the
// diameter of one lit area.
const gridStepM = areaAcrossM / 2

// maxGridSide keeps an absurdly large zone from making an absurd grid.
const maxGridSide = 24

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
// it; nothing where neither places nor extents are known.
func zoneFaces(z brief.Zone, r room.Room) []facePoint {
	faceZ := levelHeight(z.Level, r) + float64(z.FaceHeight.Or(standingFace))
	var out []facePoint
	for i, f := range z.Faces {
		if !f.X.Set || !f.Y.Set {
			continue
		}
		p := facePoint{zone: z.Name, name: f.Name, facingDeg: f.FacingDeg, row: -1,
			at: geom.Vec{X: f.X.Value.Metres(), Y: f.Y.Value.Metres(), Z: f.Z.Or(si.Length(faceZ)).Metres()}}
		if p.name == "" {
			p.name = fmt.Sprintf("face %d", i+1)
		}
		if finite(p.at.X, p.at.Y, p.at.Z, p.facingDeg) {
			out = append(out, p)
		}
	}
	if len(out) > 0 {
		return out
	}
	return gridFaces(z, faceZ)
}

func gridFaces(z brief.Zone, faceZ float64) []facePoint {
	x0, x1, y0, y1, ok := extents(z)
	if !ok || !finite(x0, x1, y0, y1, faceZ) {
		return nil
	}
	nx, ny := cells(x1-x0), cells(y1-y0)
	var out []facePoint
	for j := 0; j < ny; j++ {
		for i := 0; i < nx; i++ {
			out = append(out, facePoint{zone: z.Name, name: fmt.Sprintf("row %d place %d", j+1, i+1), row: j,
				at: geom.Vec{X: x0 + (x1-x0)*(float64(i)+0.5)/float64(nx), Y: y0 + (y1-y0)*(float64(j)+0.5)/float64(ny), Z: faceZ}})
		}
	}
	return out
}

func cells(length float64) int {
	return max(1, min(maxGridSide, int(math.Ceil(length/gridStepM-1e-9))))
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
// floor; an unnamed or unknown level is the platform, "floor" the hall floor.
func levelHeight(name string, r room.Room) float64 {
	for _, l := range r.Levels {
		if l.Name == name && finite(float64(l.Height)) {
			return l.Height.Metres()
		}
	}
	if strings.EqualFold(name, "floor") || strings.EqualFold(name, "hall floor") {
		return 0
	}
	if h := r.Platform.Height.Metres(); finite(h) {
		return h
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
