package daylight

import "math"

// Rivero returns the share of light that a clear pane passes at an angle of
// incidence in radians over what it passes straight: 1.018·cos θ·(1 + sin³ θ),
// which is 1.018 straight on. 0 beyond the plane.
// Source: Mitalas & Arseneault/Rivero, as in CIE 171:2006 case 5.5.
func Rivero(incidence float64) float64 {
	c := math.Cos(incidence)
	if c <= 0 {
		return 0
	}
	s := math.Sin(incidence)
	return 1.018 * c * (1 + s*s*s)
}

// FresnelPane returns the share of light that a pane without loss passes at an
// angle of incidence in radians, with all inner reflections: the mean over both
// polarisations of (1 − r)/(1 + r). n is the glass's index, 1.52 for float.
// Source: Fresnel's equations; Born & Wolf, Principles of Optics.
func FresnelPane(n, incidence float64) float64 {
	c := math.Cos(incidence)
	if c <= 0 || !(n >= 1) {
		return 0
	}
	s := math.Sin(incidence) / n
	ct := math.Sqrt(1 - s*s)
	square := func(v float64) float64 { return v * v }
	rs := square((c - n*ct) / (c + n*ct))
	rp := square((n*c - ct) / (n*c + ct))
	return ((1-rs)/(1+rs) + (1-rp)/(1+rp)) / 2
}

// Glass is what a window of a kind lets through.
type Glass struct {
	Kind       string
	Low, High  float64 // range of the normal transmittance to expect
	Normal     float64 // taken
	Diffusing  bool    // light leaves it in all directions: no view, no sun patch with an edge
	LeadsShare float64 // what frames, leads and tracery leave
	DirtShare  float64
	Source     string
}

// Glasses are the kinds of glass a survey names. A reading with a meter inside
// and outside replaces them.
var glasses = []Glass{
	{"clear", .70, .89, .85, false, .80, .85, "optical data of clear float, 4 mm 0.89 to double 0.80; frame and dirt common practice"},
	{"frosted", .60, .80, .70, true, .80, .85, "from memory; frame and dirt common practice"},
	{"stained_pale", .40, .70, .50, true, .80, .80, "pale cathedral tints, from memory; leads and dirt common practice"},
	{"stained_dense", .02, .08, .05, true, .80, .80, "whole dense schemes of ruby and pot blue, from memory; leads and dirt common practice"},
}

// GlassOf returns the glass of a kind; clear for an unknown one, and false.
func GlassOf(kind string) (Glass, bool) {
	for _, g := range glasses {
		if g.Kind == kind {
			return g, true
		}
	}
	return glasses[0], false
}

// Transmittance returns what the window passes of light at an angle of
// incidence in radians, frame and dirt included.
//
// Source: Rivero's formula for the angle, as named there; the shares of frame and dirt
// as the glass states.
func (g Glass) Transmittance(incidence float64) float64 {
	return g.Normal * g.LeadsShare * g.DirtShare * math.Min(1, Rivero(incidence))
}

// hemispherical is what a pane passes of light from all directions over what it
// passes straight. Source: integral of Rivero's formula over the half sphere,
// 0.8786; value computed here.
const hemispherical = 0.8786

// DiffuseTransmittance returns the same for light from the whole sky.
//
// Source: Rivero's formula over the half sphere; the shares as the glass states.
func (g Glass) DiffuseTransmittance() float64 {
	return g.Normal * g.LeadsShare * g.DirtShare * hemispherical
}

// WindowFluxLm returns what comes into the room through a window: area in m²,
// illuminance on its outside in lux, transmittance with frame and dirt.
//
// Source: definition of illuminance, flux over area.
func WindowFluxLm(areaM2, outsideLx, transmittance float64) float64 {
	return areaM2 * outsideLx * transmittance
}

// AverageDaylightFactorPct returns the room's average daylight factor in
// percent: T·Aw·θ·M/[A·(1 − R²)] with the diffuse transmittance, glass area,
// angle of visible sky in degrees, maintenance factor, area of all surfaces and
// their mean reflectance. NaN without surfaces or with R of 1.
// Source: Lynes; BRE; BS 8206-2 (from memory).
func AverageDaylightFactorPct(transmittance, glassM2, skyDeg, maintenance, surfacesM2, reflectance float64) float64 {
	den := surfacesM2 * (1 - reflectance*reflectance)
	if !(den > 0) {
		return math.NaN()
	}
	return transmittance * glassM2 * skyDeg * maintenance / den
}
