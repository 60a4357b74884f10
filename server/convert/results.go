package convert

import (
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/cost"
	"roodbeam/engine/daylight"
	"roodbeam/engine/electrical"
	"roodbeam/engine/hanging"
	"roodbeam/engine/light"
	"roodbeam/engine/network"
	"roodbeam/engine/phase"
	"roodbeam/engine/photometry"
	"roodbeam/engine/preset"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
)

// Room returns the message of a solved room.
func Room(r room.Room) *roodbeamv1.Room { return toAPI(r, &roodbeamv1.Room{}) }

// Question returns the message of a question.
func Question(q room.Question) *roodbeamv1.Question { return toAPI(q, &roodbeamv1.Question{}) }

// Placed returns the message of a placed unit.
func Placed(p scheme.Placed) *roodbeamv1.Placed { return toAPI(p, &roodbeamv1.Placed{}) }

// LineRow returns the message of a hanging line's row.
func LineRow(r scheme.LineRow) *roodbeamv1.LineRow { return toAPI(r, &roodbeamv1.LineRow{}) }

// Light returns the message of a light report.
func Light(r light.Report) *roodbeamv1.LightReport { return toAPI(r, &roodbeamv1.LightReport{}) }

// LookLight returns the message of what one look gives.
func LookLight(r light.LookReport) *roodbeamv1.LookLight { return toAPI(r, &roodbeamv1.LookLight{}) }

// Daylight returns the message of a year's daylight.
func Daylight(r daylight.Report) *roodbeamv1.DaylightReport {
	return toAPI(r, &roodbeamv1.DaylightReport{})
}

// Load returns the message of the electrical load.
func Load(p electrical.Plan) *roodbeamv1.LoadPlan { return toAPI(p, &roodbeamv1.LoadPlan{}) }

// Hanging returns the message of the hanging load.
func Hanging(p hanging.Plan) *roodbeamv1.HangingPlan { return toAPI(p, &roodbeamv1.HangingPlan{}) }

// Network returns the message of the data network.
func Network(p network.Plan) *roodbeamv1.NetworkPlan { return toAPI(p, &roodbeamv1.NetworkPlan{}) }

// Presets returns the message of the wall panel's looks.
func Presets(s preset.Set) *roodbeamv1.PresetSet { return toAPI(s, &roodbeamv1.PresetSet{}) }

// Estimate returns the message of the estimate.
func Estimate(e cost.Estimate) *roodbeamv1.Estimate { return toAPI(e, &roodbeamv1.Estimate{}) }

// Phases returns the message of the order of works.
func Phases(p phase.Plan) *roodbeamv1.PhasePlan { return toAPI(p, &roodbeamv1.PhasePlan{}) }

// Photometry returns the message of a photometric file as read.
func Photometry(f *photometry.File) *roodbeamv1.Photometry {
	return toAPI(*f, &roodbeamv1.Photometry{})
}

// Region returns the message of a region profile.
func Region(p region.Profile) *roodbeamv1.RegionProfile {
	return toAPI(p, &roodbeamv1.RegionProfile{})
}

// BookPrices returns the entries of a generic price book in their order, each with the book's currency, the
// range of its kind and the book's source.
func BookPrices(b cost.PriceBook) []*roodbeamv1.Price {
	return each(b.Prices, func(p cost.BookPrice) *roodbeamv1.Price {
		r := b.Ranges[p.Kind]
		return PriceToAPI(cost.Price{Code: p.Code, Text: p.Text, Kind: p.Kind, Unit: p.Unit, Minor: p.Minor,
			LowPct: r.LowPct, HighPct: r.HighPct, Currency: b.Currency, By: p.By, Source: b.Source})
	})
}
