package convert

import (
	"testing"

	"buf.build/go/protovalidate"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/enginetest/sample"
	"roodbeam/engine/region"
)

// The engine's own data must pass the rules that are set for people's.

func TestGenericFixturesPassTheRules(t *testing.T) {
	for _, want := range catalogue.Generic() {
		want.Prices = nil // kept inside
		m := FixtureToAPI(want)
		if err := protovalidate.Validate(m); err != nil {
			t.Errorf("%s: %v", want.Code, err)
		}
		if diff := cmp.Diff(want, FixtureToEngine(m), cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s differs after a round trip (-want +got):\n%s", want.Code, diff)
		}
	}
}

func TestPriceBooksPassTheRules(t *testing.T) {
	for _, p := range region.Profiles() {
		book := cost.Generic(p.ID)
		prices := BookPrices(book)
		if len(prices) == 0 || len(prices) != len(book.Prices) {
			t.Errorf("%s: %d prices, want %d", p.ID, len(prices), len(book.Prices))
		}
		for i, m := range prices {
			if err := protovalidate.Validate(m); err != nil {
				t.Errorf("%s %s: %v", p.ID, m.GetCode(), err)
			}
			want := book.Prices[i]
			if m.GetCode() != want.Code || m.GetMinor() != want.Minor || m.GetCurrency() != book.Currency ||
				Word(m.GetKind()) != want.Kind || Word(m.GetBy()) != want.By {
				t.Errorf("%s: %v, want %+v", p.ID, m, want)
			}
		}
	}
}

func TestRegions(t *testing.T) {
	for _, p := range region.Profiles() {
		m := Region(p)
		if m.GetDisplay() == 0 || m.GetPaper() == "" || m.GetVoltageDropPct() == 0 || len(m.GetConductors()) == 0 ||
			len(m.GetBreakersA()) != len(p.Breakers) {
			t.Errorf("%s arrives as %v", p.ID, m)
		}
	}
}

func TestASampleChurchPassesTheRules(t *testing.T) {
	in := sample.MeetingHouse()
	f := &roodbeamv1.ChurchFile{
		Project: &roodbeamv1.ProjectSettings{Name: in.Name, Town: in.Town},
		Survey:  SurveyToAPI(in.Survey),
		Brief:   BriefToAPI(in.Brief),
		Schemes: []*roodbeamv1.Scheme{SchemeToAPI(in.Scheme)},
	}
	if err := protovalidate.Validate(f); err != nil {
		t.Error(err)
	}
	for _, v := range NormaliseFile(f) {
		t.Errorf("%s: %s", v.Field, v.Description())
	}
	d := Documents(f, "")
	if d.Name != in.Name || d.Scheme.Name != in.Scheme.Name || len(d.Survey.Lines) != len(in.Survey.Lines) {
		t.Errorf("documents of %q with scheme %q and %d lines, want %q, %q and %d",
			d.Name, d.Scheme.Name, len(d.Survey.Lines), in.Name, in.Scheme.Name, len(in.Survey.Lines))
	}
}

func TestChosenScheme(t *testing.T) {
	f := &roodbeamv1.ChurchFile{Project: &roodbeamv1.ProjectSettings{},
		Schemes: []*roodbeamv1.Scheme{{Name: "a"}, {Name: "b"}, {Name: "c"}}}
	for _, c := range []struct{ chosen, asked, want string }{
		{"", "", "c"}, {"b", "", "b"}, {"b", "a", "a"}, {"b", "x", ""}, {"x", "", ""},
	} {
		f.Project.ChosenScheme = c.chosen
		if got := ChosenScheme(f, c.asked).GetName(); got != c.want {
			t.Errorf("chosen %q, asked for %q: %q, want %q", c.chosen, c.asked, got, c.want)
		}
	}
}
