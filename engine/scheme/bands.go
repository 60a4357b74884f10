package scheme

import "math"

// Bands of the elevation at the face, in degrees above the horizontal, of light
// from the seats' side. Source: common practice (ideal 45°, good 40° to 50°,
// usable 35° to 55°); below 25° the light is in the speaker's eyes and on the
// wall behind, above 60° it leaves dark eye sockets.
const (
	idealFrontDeg      = 45.0
	idealHalfWidthDeg  = 2.5 // what a beam's place cannot be chosen finer than
	goodFrontMinDeg    = 40.0
	goodFrontMaxDeg    = 50.0
	usableFrontMinDeg  = 35.0
	usableFrontMaxDeg  = 55.0
	refuseFrontMinDeg  = 25.0
	refuseFrontMaxDeg  = 60.0
	sideOneSidedDeg    = 60.0 // sideways angle above which one unit lights one cheek only
	sideFlatDeg        = 15.0 // below which light looks flat
	partnersApartDeg   = 60.0 // least plan angle between cross-aimed partners
	glareHalfWidthDeg  = 30.0 // of the line of sight to the seats
	backMinDeg         = 45.0
	backMaxDeg         = 70.0
	backGlareDeg       = 40.0 // below: in the first rows' eyes
	backTopDeg         = 75.0 // above: top light
	backSpacingShare   = 0.8  // of the field diameter
	areaAcrossM        = 2.4  // typical diameter of one lit area, 8 ft
	leastAreasAcross   = 3    // left, centre, right
	lensApartM         = 0.3  // two housings do not fit nearer
	screenMarginM      = 0.15 // the field's upper edge stays this far below a screen
	sharedShareOfBest  = 0.5  // a direction counts when it gives this share of the strongest
	defaultTolerance   = 20.0 // percent of the target
	defaultEvenness    = 0.7
	defaultScreenSpill = 5.0 // percent of screen white
)

// The band names of light from the seats' side and, after them, from behind.
const (
	BandIdeal  = "ideal"
	BandGood   = "good"
	BandUsable = "usable"
	BandAsk    = "ask"
	BandRefuse = "refuse"

	BandBack    = "back"
	BandBackAsk = "back_ask"
	BandTop     = "top"
	BandGlare   = "glare"
)

// FrontBand returns the band of an elevation at the face, in degrees, of light
// from the seats' side; NaN is refused.
func FrontBand(elevationDeg float64) string {
	switch e := elevationDeg; {
	case math.Abs(e-idealFrontDeg) <= idealHalfWidthDeg:
		return BandIdeal
	case e >= goodFrontMinDeg && e <= goodFrontMaxDeg:
		return BandGood
	case e >= usableFrontMinDeg && e <= usableFrontMaxDeg:
		return BandUsable
	case e >= refuseFrontMinDeg && e <= refuseFrontMaxDeg:
		return BandAsk
	}
	return BandRefuse
}

// BackBand returns the band of an elevation, in degrees, of light from behind
// the face; NaN counts as glare.
func BackBand(elevationDeg float64) string {
	switch e := elevationDeg; {
	case e >= backMinDeg && e <= backMaxDeg:
		return BandBack
	case e >= backGlareDeg && e <= backTopDeg:
		return BandBackAsk
	case e > backTopDeg:
		return BandTop
	}
	return BandGlare
}

// wrapDeg brings an angle in degrees into (−180, 180].
func wrapDeg(a float64) float64 {
	a = math.Mod(a, 360)
	switch {
	case a > 180:
		return a - 360
	case a <= -180:
		return a + 360
	}
	return a
}

// fieldDiameterM returns the width in metres of a field of full angle fieldDeg
// on a plane square to the beam at a throw in metres.
func fieldDiameterM(throwM, fieldDeg float64) float64 {
	return 2 * throwM * math.Tan(fieldDeg/2*math.Pi/180)
}

func finite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
