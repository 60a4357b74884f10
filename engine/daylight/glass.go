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
	// X and Y are the CIE 1931 chromaticity of clear-sky daylight behind it; 0:
	// daylight's own.
	X, Y     float64
	Measured bool // the transmittance was read in the room, leads and dirt in it
	Source   string
}

// tintNote says what stands behind the tints below.
const tintNote = "; tint a middle of its kind, own estimate"

// fromTints is where the ranges of coloured glass come from: no published table
// was found, so that they only hold the place of a reading.
const fromTints = "range from memory; leads and dirt common practice" + tintNote

// Glasses are the kinds of glass a survey names. A reading with a meter inside
// and outside replaces them.
var glasses = []Glass{
	{"clear", .70, .89, .85, false, .80, .85, 0, 0, false, "optical data of clear float, 4 mm 0.89 to double 0.80; frame and dirt common practice"},
	{"frosted", .60, .80, .70, true, .80, .85, 0, 0, false, "from memory; frame and dirt common practice"},
	{"stained_pale", .40, .70, .50, true, .80, .80, .355, .370, false, "pale cathedral tints, " + fromTints},
	{"stained_dense", .02, .08, .05, true, .80, .80, .310, .290, false, "whole dense schemes of ruby and pot blue, " + fromTints},
	{"stained_white", .30, .60, .45, true, .80, .80, .340, .365, false, "white antique and grisaille, " + fromTints},
	{"stained_amber", .30, .50, .40, true, .80, .80, .450, .430, false, "amber and gold, " + fromTints},
	{"stained_green", .10, .30, .20, true, .80, .80, .310, .450, false, fromTints},
	{"stained_blue", .02, .10, .06, true, .80, .80, .200, .190, false, "pot blue, " + fromTints},
	{"stained_red", .02, .10, .06, true, .80, .80, .600, .330, false, "ruby, " + fromTints},
	{"opalescent", .10, .35, .22, true, .80, .80, .360, .370, false, fromTints},
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

// read returns the glass with a meter's reading and a measured tint in place of
// its kind's values, where there are some. A reading holds leads and dirt.
func (g Glass) read(transmittance, tintX, tintY float64) Glass {
	if transmittance > 0 && transmittance <= 1 {
		g.Low, g.High, g.LeadsShare, g.DirtShare, g.Measured = transmittance, transmittance, 1, 1, true
		g.Normal = math.Min(1, transmittance/hemispherical) // the meter sees the whole half sphere
		g.Source = "read in the room"
	}
	if tintX > 0 && tintY > 0 && tintX+tintY <= 1 {
		g.X, g.Y = tintX, tintY
	}
	return g
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
