package convert

import (
	"reflect"
	"slices"
	"strings"
	"unicode"

	"roodbeam/engine/region"
	"roodbeam/engine/si"
)

// suffixes are the units that a plain typed quantity of the engine gets in its API name; an si.Typed gets none,
// since a Quantity carries its unit in its option.
var suffixes = map[reflect.Type]string{
	reflect.TypeFor[si.Length]():            "_m",
	reflect.TypeFor[si.Mass]():              "_kg",
	reflect.TypeFor[si.Power]():             "_w",
	reflect.TypeFor[si.Current]():           "_a",
	reflect.TypeFor[si.Voltage]():           "_v",
	reflect.TypeFor[si.Illuminance]():       "_lx",
	reflect.TypeFor[si.Luminance]():         "_cd_m2",
	reflect.TypeFor[si.LuminousFlux]():      "_lm",
	reflect.TypeFor[si.LuminousIntensity](): "_cd",
}

// renamed are the fields whose API name does not follow from the engine's.
var renamed = map[string]string{
	"geom.Vec.X":                       "x_m",
	"geom.Vec.Y":                       "y_m",
	"geom.Vec.Z":                       "z_m",
	"survey.Survey.ExistingUnit":       "existing_lights",
	"survey.Supply.Frequency":          "frequency_hz",
	"brief.Money.EnergyMinorPerKWh":    "energy_minor_per_kwh",
	"catalogue.Fixture.CCTK":           "cct_k",
	"room.Line.Cov":                    "cov_m2",
	"room.Line.PlatformCov":            "platform_cov_m2",
	"room.Station.Cov":                 "cov_m2",
	"electrical.Plan.HeatBTUh":         "heat_btu_h",
	"electrical.HouseSaving.EnergyKWh": "energy_kwh",
	"electrical.Outlet.X":              "x_m",
	"electrical.Outlet.Y":              "y_m",
	"electrical.Outlet.Z":              "z_m",
	"electrical.Plan.TotalALL":         "total_a_ll",
	"electrical.System.Voltage":        "voltage_v",
	"electrical.System.VoltageLL":      "voltage_ll_v",
	"light.CameraZone.CCTK":            "cct_k",
	"light.Report.Map":                 "light_map",
	"daylight.Corner.XM":               "x_m",
	"daylight.Corner.YM":               "y_m",
	"light.Map.MinX":                   "min_x_m",
	"light.Map.MinY":                   "min_y_m",
	"hanging.Line.ReferenceMPa":        "reference_mpa",
	"hanging.Line.StressMPa":           "stress_mpa",
	"network.Splitter.X":               "x_m",
	"network.Splitter.Y":               "y_m",
	"network.Splitter.Z":               "z_m",
	"cost.Amount.Low":                  "low_minor",
	"cost.Amount.Likely":               "likely_minor",
	"cost.Amount.High":                 "high_minor",
	"cost.Offer.IntoWithContingency":   "into_with_contingency_minor",
	"cost.Offer.FromWithContingency":   "from_with_contingency_minor",
	"region.Profile.Breakers":          "breakers_a",
}

// kept are the engine fields that stay inside, with the reason.
var kept = map[string]string{
	"room.Line.Survey":         "the survey is read with GetSurvey",
	"room.Seating.Survey":      "the survey is read with GetSurvey",
	"catalogue.Fixture.Prices": "the price in the project's currency is the API's price",
}

// profileKept are the tables of a region profile that only the electrical stage reads.
var profileKept = []string{
	"Ambient", "AmbientSource", "AmbientColumns", "Grouping", "GroupingSource", "GroupingPer",
	"SmallConductor", "SmallConductorSource", "SmallestConductor", "EquipmentGround", "EquipmentGroundSource",
	"GroundAsLine", "BranchBreakers", "BranchBreakersSource", "TerminalC", "InsulationC",
	"DefaultSupply", "Raceways", "Protection", "Installations", "Harmonics", "HarmonicsSource", "Tables", "Conventions",
}

// conductorKept are the columns behind a conductor's ampacity.
var conductorKept = []string{"Columns", "Ampacity3A", "MVAM3"}

// apiName returns the API's name of an engine field, and false for a field that stays inside.
func apiName(owner reflect.Type, f reflect.StructField) (string, bool) {
	full := owner.String() + "." + f.Name
	if _, stays := kept[full]; stays {
		return "", false
	}
	switch owner {
	case reflect.TypeFor[region.Profile]():
		if slices.Contains(profileKept, f.Name) {
			return "", false
		}
	case reflect.TypeFor[region.Conductor]():
		if slices.Contains(conductorKept, f.Name) {
			return "", false
		}
	}
	if name, ok := renamed[full]; ok {
		return name, true
	}
	t := f.Type
	if t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	return snake(f.Name) + suffixes[t], true
}

// snake returns a Go name in lower snake case: FaceHeight → face_height, VoltageLL → voltage_ll.
func snake(name string) string {
	var b strings.Builder
	rs := []rune(name)
	for i, r := range rs {
		if i > 0 && unicode.IsUpper(r) &&
			(!unicode.IsUpper(rs[i-1]) || (i+1 < len(rs) && unicode.IsLower(rs[i+1]))) {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	return b.String()
}
