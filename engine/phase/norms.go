package phase

import (
	"math"

	"roodbeam/engine/cost"
)

// Waiting times in working days (common practice for jobs of 10 to 20 units).
const (
	electricianVisitDays = 10 // 1 to 3 weeks
	engineerDays         = 15
	heritageDays         = 80 // 2 to 6 months
	asbestosDays         = 10
	fireOfficerDays      = 5
	quoteDays            = 12 // 2 to 3 weeks
	approvalDays         = 20 // 2 to 6 weeks: boards meet on their own dates
	orderDays            = 25 // 3 to 8 weeks
	permitDays           = 15
	trialDays            = 5  // one channel of new lamps on the old dimmer, a week
	snagDays             = 20 // a month of use
)

// eveningHours is what a crew gets done on one evening in the dark.
const eveningHours = 3.0

// bypassHours is an electrician's day on an old dimmer cabinet (common
// practice).
const bypassHours = 8.0

// halfDays turns person-hours of a crew into half working days, at least one.
func halfDays(hours float64, crew int) int {
	if math.IsNaN(hours) || hours < 0 {
		hours = 0
	}
	return max(1, int(math.Ceil(math.Min(hours, 1e5)/float64(max(crew, 1))/(cost.DayHours/2))))
}

func evenings(hours float64) int {
	return max(1, int(math.Ceil(math.Min(math.Max(hours, 0), 1e4)/eveningHours)))
}
