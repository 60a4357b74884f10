// Package energy holds what energy codes take for the general light of rooms of
// worship, in watts per floor area.
package energy

import "roodbeam/engine/region"

// Limit is one row.
type Limit struct {
	Region string // profile id
	Space  string
	WM2    float64 // W/m²
	Source string
}

// PerFt2 is W/m² in one W/ft²: 1/0.3048². Source: definition of the foot.
const PerFt2 = 1 / (0.3048 * 0.3048)

// HeatBtuH is the heat of one watt in Btu/h. Source: 1 Btu(IT) = 1055.056 J.
const HeatBtuH = 3600 / 1055.05585262

// limits are by building area for the whole building and by space for the hall
// people sit in. Of light meant for performances, theatrical and video, a part
// is exempt in these codes when it is controlled apart (from memory).
var limits = []Limit{
	{"us", "religious building, whole", 0.67 * PerFt2, "ASHRAE/IES 90.1-2019 table 9.5.1: 0.67 W/ft²"},
	{"us", "audience seating of a religious building", 0.72 * PerFt2, "a state energy code of 2023 on the 2021 model code: 0.72 W/ft² (one transcription read)"},
	{"us", "worship, pulpit, choir", 0.85 * PerFt2, "same: 0.85 W/ft²"},
	{"metric", "religious building, whole", 14, "ASHRAE/IES 90.1-2007 SI edition: 14 W/m²; the metric profile names no national limit, so this one stands for orientation"},
}

// Whole returns the limit of a whole religious building in a region, as its
// profile has it; false where there is no such profile.
func Whole(id string) (Limit, bool) {
	p, ok := region.Get(id)
	return Limit{id, "religious building, whole", p.Conventions.HouseLightWM2, p.Conventions.HouseLightSource}, ok
}

// Limits returns every row.
func Limits() []Limit { return append([]Limit(nil), limits...) }

// Density returns W/m², 0 without an area.
func Density(watts, areaM2 float64) float64 {
	if !(areaM2 > 0) {
		return 0
	}
	return watts / areaM2
}
