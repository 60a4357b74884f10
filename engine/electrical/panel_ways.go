package electrical

import (
	"fmt"
	"math"

	"roodbeam/engine/finding"
	"roodbeam/engine/survey"
)

// recorded tells whether a reading is one that an existing service may be
// reckoned with; a spot reading never is.
func recorded(reading string) bool { return reading == "twelve_months" || reading == "thirty_days" }

// demand holds the recorded demand and the new load against the rating.
//
// Source: NFPA 70 220.87; the factor is the region's for continuous loads.
func (d *designer) demand(pc *PanelCheck, subject string, cs []Circuit) {
	s := d.Survey.Supply
	watts := positive(float64(s.Demand.Or(0)))
	if watts == 0 {
		if recorded(s.Reading) {
			d.ask("How many kW was the highest demand of the recorded time, and at what power factor?",
				"The reading is said to be recorded, but its figure is missing; kilowatt-hours say nothing of it.")
		}
		return
	}
	if !recorded(s.Reading) {
		pc.DemandNote = "a demand was written down that was not recorded over twelve months or 30 days: not used"
		return
	}
	newVA := 0.0
	for _, c := range cs {
		if !c.Existing {
			newVA += c.ConnectedVA
		}
	}
	factor := d.Profile.ContinuousFactor
	total := ExistingDemand(watts, s.DemandPF, newVA*factor, factor)
	pc.DemandA = d.sys.evenly(total)
	pc.DemandNote = fmt.Sprintf("%.0f W highest demand at power factor %.2f, times %.2f, and %.0f VA new, times %.2f, spread evenly", watts, pfOr(s.DemandPF), factor, newVA, factor)
	if rating := d.rating(); rating > 0 && pc.DemandA > rating*fits {
		f := d.Book.New("ELECTRICAL_DEMAND_OVER", subject, finding.Num("demand", watts, "W"))
		d.add(measured(f, pc.DemandA, rating))
	}
	if !(s.DemandPF > 0) {
		d.ask("At what power factor was the highest demand drawn?", fmt.Sprintf("%.1f was taken to make kW into kVA.", assumedPF))
	}
	d.ask("Does solar power or peak shaving feed this service?", "Recorded demand may not be used where they hide what the building draws.")
}

func pfOr(pf float64) float64 {
	if pf > 0 && pf <= 1 {
		return pf
	}
	return assumedPF
}

// ways lists the breakers in place and checks them.
func (d *designer) ways(p *survey.Panel, subject string) []Way {
	var out []Way
	taken := 0
	for i, w := range p.Ways {
		way := Way{Space: w.Space, RatingA: positive(float64(w.Rating.Or(0))), LoadA: math.NaN(), UsePct: math.NaN(), Poles: max(1, w.Poles), Leg: w.Leg, Feeds: w.Feeds, SharedNeutral: w.SharedNeutral}
		if k := PanelSpaceLine(w.Space, len(d.sys.Lines)); way.Leg == "" && k >= 0 {
			way.Leg = d.sys.wayLines(k, way.Poles)
		}
		taken += way.Poles
		name := fmt.Sprintf("%s, breaker %d", named(p.Name, "panel"), i+1)
		if w.Space > 0 {
			name = fmt.Sprintf("%s, space %d", named(p.Name, "panel"), w.Space)
		}
		if w.Load.Set && finite(float64(w.Load.Value)) && w.Load.Value >= 0 {
			way.LoadA = float64(w.Load.Value)
			if way.RatingA > 0 {
				way.UsePct = way.LoadA / way.RatingA * 100
			}
		}
		if limit := way.RatingA / d.Profile.ContinuousFactor; way.RatingA > 0 && way.LoadA > limit*fits {
			f := d.Book.New("ELECTRICAL_WAY_OVERLOADED", name, finding.Text("feeds", named(w.Feeds, "what it feeds")), finding.Num("breaker", way.RatingA, "A"))
			d.add(measured(f, way.LoadA, limit))
		}
		out = append(out, way)
	}
	if len(out) > 0 && p.SpacesUsed > 0 && taken != p.SpacesUsed {
		d.add(measured(d.Book.New("ELECTRICAL_WAYS_DIFFER", subject), float64(taken), float64(p.SpacesUsed)))
	}
	return out
}
