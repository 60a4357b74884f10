package light

import (
	"math"

	"roodbeam/engine/finding"
	"roodbeam/engine/light/energy"
)

// HousePower is the power of the light that is kept or made new for the whole
// room, against what energy codes take.
type HousePower struct {
	Watts     float64 // after the works, full on
	OldWatts  float64 // today
	AreaM2    float64 // of the hall floor
	DensityW  float64 // W/m² after the works; NaN without an area
	LimitW    float64 // W/m²; NaN: no limit known for the region
	LimitFrom string  // table and edition
	HeatBtuH  float64 // all of it ends as heat in the room
}

// house fills the power of the house lights: existing ones by their fate, each
// replaced by the catalogue's lamp of its code where one is named, and units of
// the scheme for the house.
func (e *evaluator) house() {
	h := HousePower{DensityW: math.NaN(), LimitW: math.NaN()}
	for _, x := range e.in.Survey.ExistingUnit {
		if x.Kind != "house" && x.Kind != "under_gallery" {
			continue
		}
		each := x.Watts.Or(0).Watts()
		h.OldWatts += float64(x.Count) * each
		switch x.Fate {
		case "remove":
			continue
		case "relamp", "replace":
			if f, ok := e.in.Catalogue.Get(x.LampCode); ok && f.Power > 0 {
				each = f.Power.Watts()
			}
		}
		h.Watts += float64(x.Count) * each
	}
	for _, s := range e.in.Sources {
		if s.Purpose == house {
			h.Watts += s.PowerW
		}
	}
	h.AreaM2 = e.in.Room.Footprint.Area()
	h.HeatBtuH = h.Watts * energy.HeatBtuH
	limit, ok := energy.Whole(e.in.Region)
	if ok {
		h.LimitW, h.LimitFrom = limit.WM2, limit.Source
	}
	if h.AreaM2 > 0 && !math.IsInf(h.AreaM2, 0) {
		h.DensityW = energy.Density(h.Watts, h.AreaM2)
	}
	e.rep.House = h
}

func (e *evaluator) checkHouse() {
	h := e.rep.House
	if h.LimitW > 0 && h.DensityW > h.LimitW {
		e.against("LIGHT_HOUSE_DENSITY", "house lights", h.DensityW, h.LimitW, h.LimitFrom,
			finding.Num("watts", h.Watts, "W"), finding.Num("area", h.AreaM2, "m²"), finding.Text("table", h.LimitFrom))
	}
}

// checkSpill holds what the brief wants dark against the key; pictures have
// their own limit.
func (e *evaluator) checkSpill() {
	for _, s := range e.rep.Spill {
		if e.isScreen(s.Name) || math.IsNaN(s.FacePct) {
			continue
		}
		e.bound("LIGHT_SPILL_NAMED", s.Name, s.FacePct, luxArg("average", s.AverageLx), luxArg("most", s.MaxLx),
			luxArg("key", e.rep.Balance.MeanLx), finding.Text("worst", s.Worst))
	}
}

func (e *evaluator) isScreen(name string) bool {
	for _, s := range e.in.Room.Screens {
		if s.Name == name {
			return true
		}
	}
	return false
}

// checkFlares reports per camera the light nearest to its axis.
func (e *evaluator) checkFlares() {
	for i := 0; i < len(e.rep.Flares); {
		first, n := e.rep.Flares[i], 0
		nearest := first
		for ; i < len(e.rep.Flares) && e.rep.Flares[i].Camera == first.Camera; i++ {
			n++
			if e.rep.Flares[i].Deg < nearest.Deg {
				nearest = e.rep.Flares[i]
			}
		}
		e.bound("LIGHT_CAMERA_FLARE", called("camera", first.Camera), nearest.Deg,
			finding.Text("unit", nearest.Unit), finding.CountOf("count", n))
	}
}
