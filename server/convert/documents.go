package convert

import (
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/plan"
	"roodbeam/engine/region"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// SurveyToAPI returns the message of a survey.
func SurveyToAPI(s survey.Survey) *roodbeamv1.Survey { return toAPI(s, &roodbeamv1.Survey{}) }

// SurveyToEngine returns the engine's survey; nil gives an empty one.
func SurveyToEngine(m *roodbeamv1.Survey) survey.Survey { return toEngine[survey.Survey](m) }

// BriefToAPI returns the message of a brief.
func BriefToAPI(b brief.Brief) *roodbeamv1.Brief { return toAPI(b, &roodbeamv1.Brief{}) }

// BriefToEngine returns the engine's brief; nil gives an empty one.
func BriefToEngine(m *roodbeamv1.Brief) brief.Brief { return toEngine[brief.Brief](m) }

// SchemeToAPI returns the message of a scheme.
func SchemeToAPI(s scheme.Scheme) *roodbeamv1.Scheme { return toAPI(s, &roodbeamv1.Scheme{}) }

// SchemeToEngine returns the engine's scheme; nil gives an empty one.
func SchemeToEngine(m *roodbeamv1.Scheme) scheme.Scheme { return toEngine[scheme.Scheme](m) }

// FixtureToAPI returns the message of a fixture type.
func FixtureToAPI(f catalogue.Fixture) *roodbeamv1.Fixture { return toAPI(f, &roodbeamv1.Fixture{}) }

// FixtureToEngine returns the engine's fixture type.
func FixtureToEngine(m *roodbeamv1.Fixture) catalogue.Fixture { return toEngine[catalogue.Fixture](m) }

// PriceToAPI returns the message of a price.
func PriceToAPI(p cost.Price) *roodbeamv1.Price { return toAPI(p, &roodbeamv1.Price{}) }

// PriceToEngine returns the engine's price.
func PriceToEngine(m *roodbeamv1.Price) cost.Price { return toEngine[cost.Price](m) }

// DisplayOf returns the units in which the project's people read and type: the settings', else the region's
// else metric.
func DisplayOf(p *roodbeamv1.ProjectSettings, b *roodbeamv1.Brief) si.Display {
	switch p.GetUnits() {
	case roodbeamv1.DisplayUnits_DISPLAY_UNITS_US:
		return si.US
	case roodbeamv1.DisplayUnits_DISPLAY_UNITS_METRIC:
		return si.Metric
	}
	return region.DisplayOf(b.GetRegion())
}

// ChosenScheme returns the scheme of that name; with an empty name the one the settings choose, else the last;
// nil when there is none.
func ChosenScheme(f *roodbeamv1.ChurchFile, name string) *roodbeamv1.Scheme {
	if name == "" {
		name = f.GetProject().GetChosenScheme()
	}
	var last *roodbeamv1.Scheme
	for _, s := range f.GetSchemes() {
		if s.GetName() == name {
			return s
		}
		last = s
	}
	if name != "" {
		return nil
	}
	return last
}

// Documents returns the engine's documents of a normalised file with the scheme of that name (see
// ChosenScheme). Profile and Today are the caller's to fill.
func Documents(f *roodbeamv1.ChurchFile, schemeName string) plan.Documents {
	return plan.Documents{
		Name:     f.GetProject().GetName(),
		Town:     f.GetProject().GetTown(),
		Zone:     f.GetProject().GetTimeZone(),
		Survey:   SurveyToEngine(f.GetSurvey()),
		Brief:    BriefToEngine(f.GetBrief()),
		Scheme:   SchemeToEngine(ChosenScheme(f, schemeName)),
		Fixtures: each(f.GetFixtures(), FixtureToEngine),
		Prices:   each(f.GetPrices(), PriceToEngine),
	}
}
