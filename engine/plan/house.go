package plan

import "roodbeam/engine/cost"

// houseCost returns what the estimate holds for the house lights, minor units:
// lamps, their control, and the old dimmers got out of the way.
func houseCost(e cost.Estimate) float64 {
	sum := int64(0)
	for _, l := range e.Lines {
		if l.Kind == "house" || l.Code == cost.CodeDimmerBypass || l.Code == cost.CodeHouseControl {
			sum += l.Total.Likely
		}
	}
	return float64(sum)
}
