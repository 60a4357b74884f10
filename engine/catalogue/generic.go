package catalogue

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"strings"

	"roodbeam/engine/si"
)

//go:embed generic.json
var genericFile string

// row is one fixture of the embedded data file.
type row struct {
	Code        string           `json:"code"`
	Name        string           `json:"name"`
	Class       Class            `json:"class"`
	PowerW      float64          `json:"power_w"`
	Beams       []rowBeam        `json:"beams"`
	FluxLm      float64          `json:"flux_lm"`
	PF          float64          `json:"pf"`
	InrushA     float64          `json:"inrush_a"`
	InrushUs    float64          `json:"inrush_us"`
	LeakageMA   float64          `json:"leakage_ma"`
	MassKg      float64          `json:"mass_kg"`
	Slots       int              `json:"slots"`
	ColourMix   bool             `json:"colour_mix"`
	White       bool             `json:"white"`
	CCTK        float64          `json:"cct_k"` // 0: can be set
	CRI         float64          `json:"cri"`
	Accessories []string         `json:"accessories"`
	Throws      bool             `json:"throws"`
	Prices      map[string]int64 `json:"prices"` // minor units by ISO 4217 code
	VoltageMinV float64          `json:"voltage_min_v"`
	VoltageMaxV float64          `json:"voltage_max_v"`
	Source      string           `json:"source"`
}

type rowBeam struct {
	FieldDeg float64 `json:"field_deg"`
	BeamDeg  float64 `json:"beam_deg"`
	PeakCd   float64 `json:"peak_cd"`
}

// genericCurrency is the currency in which a generic fixture's PriceMinor is
// given; PriceIn answers in the others.
const genericCurrency = "USD"

// Generic returns the built-in fixtures, sorted by code: types of our own
// invention, at least one of every class, for planning before anything real is
// chosen. Each call returns a fresh copy. A malformed data file is a
// programming error and panics; a test reads it.
func Generic() []Fixture {
	dec := json.NewDecoder(strings.NewReader(genericFile))
	dec.DisallowUnknownFields()
	var rows []row
	if err := dec.Decode(&rows); err != nil {
		panic(fmt.Sprintf("catalogue: generic.json: %v", err))
	}
	out := make([]Fixture, len(rows))
	for i, r := range rows {
		out[i] = r.fixture()
	}
	return out
}

func (r row) fixture() Fixture {
	f := Fixture{
		Code: r.Code, Name: r.Name, Class: r.Class, Generic: true,
		Flux: si.LuminousFlux(r.FluxLm), Power: si.Power(r.PowerW), PF: r.PF,
		InrushA: r.InrushA, InrushUs: r.InrushUs, LeakageMA: r.LeakageMA,
		VoltageMin: si.Voltage(r.VoltageMinV), VoltageMax: si.Voltage(r.VoltageMaxV),
		Mass: si.Mass(r.MassKg), Slots: r.Slots, ColourMix: r.ColourMix, White: r.White,
		CCTK: r.CCTK, CRI: r.CRI, Accessories: r.Accessories, Throws: r.Throws,
		PriceMinor: r.Prices[genericCurrency], Currency: genericCurrency,
		Prices: r.Prices, Source: r.Source,
	}
	for _, b := range r.Beams {
		f.Beams = append(f.Beams, Beam{FieldDeg: b.FieldDeg, BeamDeg: b.BeamDeg, PeakCd: b.PeakCd})
	}
	return f
}
