package light

import (
	"math"
	"slices"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

const (
	// litWhiteCdM2 and litReflectance stand for a self-lit picture of which
	// nothing is known: white of a lit screen and the share of light its front
	// throws back. Source: common practice.
	litWhiteCdM2, litReflectance = 300, 0.05
	// litContrast is its own white:black in the dark. Source: common practice.
	litContrast = 1000
	// pictureSteps is the number of points along a side at which a picture's
	// reflected light is taken.
	pictureSteps = 3
)

// Viewing classes of a picture, by the contrast left.
const (
	ClassMotion  = "full-motion video"
	ClassDetail  = "analytical decisions"
	ClassBasic   = "basic decisions"
	ClassPassive = "passive viewing"
	ClassNone    = "none"
)

// ViewingClass returns the most demanding viewing for which a contrast is
// enough. Source: ANSI/INFOCOMM 3M-2011: 80, 50, 15 and 7 to 1 (the first and
// the last from memory).
func ViewingClass(contrast float64) string {
	switch {
	case math.IsNaN(contrast):
		return ""
	case contrast >= 80:
		return ClassMotion
	case contrast >= 50:
		return ClassDetail
	case contrast >= 15:
		return ClassBasic
	case contrast >= 7:
		return ClassPassive
	}
	return ClassNone
}

// AllowedAmbient returns the ambient illuminance in lux on a projected picture
// that leaves a contrast: Ew·(1 − CR/CR0)/(CR − 1). NaN for a contrast of 1 or
// less; 0 for more than the projector's own.
// Source: Contrast, solved for Ea.
func AllowedAmbient(whiteLx, contrast, cr0 float64) float64 {
	if !(contrast > 1) || !(cr0 > 0) {
		return math.NaN()
	}
	return math.Max(0, whiteLx*(1-contrast/cr0)/(contrast-1))
}

// SelfLitContrast returns the contrast white:black of a picture that shines by
// itself, with its white in cd/m², the ambient illuminance in lux, the share of
// it that the picture's front throws back and its own contrast in the dark:
// (Lw + ρE/π)/(Lw/cr0 + ρE/π). NaN without white.
// Source: Lambert's law and the definition of contrast.
func SelfLitContrast(whiteCdM2, ambientLx, reflectance, cr0 float64) float64 {
	return Contrast(whiteCdM2, reflectance*ambientLx/math.Pi, cr0)
}

// pictureAmbient adds the reflected light and the viewing class to a picture.
func (e *evaluator) pictureAmbient(sc room.Screen, out *Screen) {
	out.AmbientContrast = math.NaN()
	if e.field.t != nil {
		pts := samples(sc.Corners, pictureSteps)
		each := make([]float64, len(pts))
		parallel(len(pts), func(i int) { each[i] = e.probe(pts[i].At).Plane(e.field, pts[i].Normal) })
		for _, v := range each {
			out.IndirectLx += e.loss * v / float64(len(pts))
		}
	}
	all := out.AverageLx + out.IndirectLx
	switch sc.Kind {
	case "led", "tv":
		out.SelfLit = true
		out.AmbientContrast = SelfLitContrast(litWhiteCdM2, all, litReflectance, litContrast)
		e.limit("Self-lit pictures are taken at 300 cd/m² white with a front that throws back 5 %.")
	default:
		out.AmbientContrast = Contrast(out.WhiteLx, all, projectorContrast)
	}
	out.Class = ViewingClass(out.AmbientContrast)
}

// spill fills what falls on the surfaces that the brief wants kept dark, and on
// what the survey says nobody may light.
func (e *evaluator) spill() {
	dark := slices.Clone(e.in.Brief.DoNotLight)
	for _, v := range e.in.Room.Views {
		if v.MayLight == "no" && !slices.Contains(dark, v.Name) {
			dark = append(dark, v.Name)
		}
	}
	for _, name := range dark {
		poly, surface, ok := e.named(name)
		if !ok {
			continue
		}
		const steps = 8
		out := Spill{Name: name, FacePct: math.NaN()}
		out.AverageLx, out.MaxLx, out.Worst = e.onSurface("Surface "+name, poly, steps)
		if _, lx := e.field.OnSurface(surface); lx > 0 {
			out.IndirectLx = e.loss * lx
		}
		if e.rep.Balance.MeanLx > 0 {
			out.FacePct = out.AverageLx / e.rep.Balance.MeanLx * 100
		}
		e.rep.Spill = append(e.rep.Spill, out)
	}
}

// named returns the polygon of a picture, a window or a surface, and the
// surface's own name.
func (e *evaluator) named(name string) (poly geom.Polygon, surface string, ok bool) {
	for _, s := range e.in.Room.Screens {
		if s.Name == name {
			poly = s.Corners
		}
	}
	for _, w := range e.in.Room.Windows {
		if w.Name == name {
			poly = w.Polygon
		}
	}
	for _, v := range e.in.Room.Views {
		if v.Name == name && len(poly) == 0 {
			poly = v.Polygon
		}
	}
	for _, f := range e.in.Room.Surfaces {
		if f.Name == name || len(poly) > 0 && len(f.Polygon) == len(poly) && f.Polygon[0] == poly[0] {
			return f.Polygon, f.Name, len(f.Polygon) >= 3
		}
	}
	return poly, name, len(poly) >= 3
}
