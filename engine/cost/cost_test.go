package cost_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/cost"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/network"
	"roodbeam/engine/region"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func byCode(fs []finding.Finding, code string) (finding.Finding, bool) {
	for _, f := range fs {
		if f.Code == code {
			return f, true
		}
	}
	return finding.Finding{}, false
}

func arg(f finding.Finding, name string) finding.Arg {
	for _, a := range f.Args {
		if a.Name == name {
			return a
		}
	}
	return finding.Arg{}
}

// The meeting house's budget is exact to the minor unit.
func TestBudgetOfTheMeetingHouse(t *testing.T) {
	e, _ := cost.Make(meetingHouse())
	if e.Total.Likely != 2126390 || e.WithContingency.Likely != 2339029 {
		t.Errorf("total %d with contingency %d, want 2126390 and 2339029", e.Total.Likely, e.WithContingency.Likely)
		for _, l := range e.Lines {
			t.Logf("%s %-40s %8.3f %-4s %8d = %8d %s", l.Phase, l.Text, l.Quantity, l.Unit, l.UnitMinor, l.Total.Likely, l.Source)
		}
	}
	want := []struct {
		name      string
		sum, cont int64
	}{{"A", 1298640, 1428504}, {"B", 380050, 418055}, {"C", 447700, 492470}}
	if len(e.Phases) != len(want) {
		t.Fatalf("phases %+v", e.Phases)
	}
	for i, w := range want {
		if p := e.Phases[i]; p.Name != w.name || p.Subtotal.Likely != w.sum || p.WithContingency.Likely != w.cont {
			t.Errorf("phase %s: %d, %d, want %s: %d, %d", p.Name, p.Subtotal.Likely, p.WithContingency.Likely, w.name, w.sum, w.cont)
		}
	}
}

func TestPullForwardOfTheMeetingHouse(t *testing.T) {
	e, fs := cost.Make(meetingHouse())
	want := &cost.Offer{Into: "A", From: "B", MovedMinor: 135050, IntoWithContingency: 1577059, FromWithContingency: 269500, LeftMinor: 22941,
		Lines: []string{"Pipe under W2", "Arm on pier or wall", "Circuit GB", "Data cable B (W2)", "Data cable C (right pier)", "Data cable D (left pier)"}}
	if e.Offer == nil {
		t.Fatal("no offer")
	}
	if !strings.Contains(e.Offer.Note, "tower already hired in phase A; phase B keeps one") {
		t.Errorf("note %q", e.Offer.Note)
	}
	got := *e.Offer
	got.Note = ""
	if d := cmp.Diff(want, &got); d != "" {
		t.Error(d)
	}
	if sum := got.IntoWithContingency + got.FromWithContingency + e.Phases[2].WithContingency.Likely; sum != e.WithContingency.Likely {
		t.Errorf("check sum %d, want %d", sum, e.WithContingency.Likely)
	}
	f, ok := byCode(fs, "COST_PULL_FORWARD_RISK")
	if !ok || arg(f, "with").Num != 1720428 || arg(f, "alone").Num != 1558368 || arg(f, "rule").Num != 20 || arg(f, "verdict").Text != "fits" {
		t.Errorf("risk %+v", f)
	}
	if until := arg(f, "until").Text; !strings.Contains(until, "engineer's letter and the electrician's visit") || !strings.Contains(until, "1911") {
		t.Errorf("until %q", until)
	}
	f, ok = byCode(fs, "COST_SPLIT")
	if !ok || arg(f, "together").Num != 1846559 || arg(f, "fits").Text != "A" || f.Subject != "phases A + B" {
		t.Errorf("split %+v", f)
	}
	if f, ok = byCode(fs, "COST_OVER_CAP"); !ok || arg(f, "total").Num != 2339029 {
		t.Errorf("over cap %+v", f)
	}
	if _, ok = byCode(fs, "COST_CONTINGENCY_THIN"); !ok {
		t.Error("10 % for a building of 1911 was not called thin")
	}
	if _, ok = byCode(fs, "COST_UNPRICED"); ok {
		t.Error("an own price is missing")
	}
	for _, f := range fs {
		if f.Owner != finding.Leadership {
			t.Errorf("%s belongs to %s", f.Code, f.Owner)
		}
	}
}

func TestFindingsReadWell(t *testing.T) {
	in := meetingHouse()
	_, fs := cost.Make(in)
	for _, f := range fs {
		r := in.Book.Render(f, si.US)
		if s := r.Title + r.Text + r.Advice; strings.ContainsAny(s, "{}") {
			t.Errorf("%s: unfilled place in %q", f.Code, s)
		}
	}
	f, _ := byCode(fs, "COST_PULL_FORWARD_RISK")
	if r := in.Book.Render(f, si.US); !strings.Contains(r.Text, "17 204.28 XTS") {
		t.Errorf("%q", r.Text)
	}
}

func TestDerivedQuantities(t *testing.T) {
	e, _ := cost.Make(meetingHouse())
	type row struct {
		phase, code string
		qty         float64
		unit        string
	}
	got := map[row]bool{}
	var hours float64
	for _, l := range e.Lines {
		got[row{l.Phase, l.Code, l.Quantity, l.Unit}] = true
		if l.By == "volunteers" {
			hours += l.Hours
			if l.Total.Likely != 0 {
				t.Errorf("own work %q costs %d", l.Text, l.Total.Likely)
			}
		}
	}
	for _, want := range []row{
		{"A", "T-FRE", 10, "each"}, {"B", "T-FRE", 2, "each"}, {"B", "T-BCK", 3, "each"}, {"C", "T-LMP", 88, "each"},
		{"A", cost.CodePipe, 38, "ft"}, {"A", cost.CodeLiftDay, 3, "day"}, {"A", cost.CodeTower, 1, "each"}, {"B", cost.CodeTower, 1, "each"},
		{"B", cost.CodePierArm, 2, "each"}, {"A", cost.CodeDataCable, 102, "ft"},
	} {
		if !got[want] {
			t.Errorf("no line %+v", want)
		}
	}
	if hours != e.VolunteerHours || hours <= 0 {
		t.Errorf("volunteers' hours %v, lines say %v", e.VolunteerHours, hours)
	}
	// Rows at 9.0 and 11.8 ft stand within reach of W1 at 10 ft, on both sides.
	if n := cost.RowsUnder(meetingHouse(), "A"); n != 4 {
		t.Errorf("%d seat rows under the first beam, want 4", n)
	}
}

func TestWorksReplaceAndAdd(t *testing.T) {
	in := meetingHouse()
	in.Brief.Works = append(in.Brief.Works,
		brief.Work{Code: cost.CodeEngineer, Name: "Letter as quoted", Quantity: 1, UnitMinor: 70000, Phase: "A"},
		brief.Work{Code: cost.CodeBoards}, // lent by a neighbour
		brief.Work{Name: "Repainting", UnitMinor: 5000, Phase: "B"})
	before, _ := cost.Make(meetingHouse())
	after, _ := cost.Make(in)
	if d := after.Total.Likely - before.Total.Likely; d != -25000-28000+5000 {
		t.Errorf("total changed by %d", d)
	}
}

func TestGenericPricesAndCurrencies(t *testing.T) {
	in := meetingHouse()
	in.Own = nil
	in.Brief.Money = brief.Money{}
	e, fs := cost.Make(in)
	if e.Currency != "USD" || e.ContingencyPct != 20 {
		t.Errorf("%s at %v %%", e.Currency, e.ContingencyPct)
	}
	if f, ok := byCode(fs, "COST_PLANNING_FIGURES"); !ok || arg(f, "share").Num <= 0 {
		t.Error("generic prices go unmentioned")
	}
	extra := false
	for _, l := range e.Lines {
		extra = extra || l.Code == cost.CodeCircuitExtra
		if l.Unpriced {
			t.Errorf("%s unpriced", l.Text)
		}
	}
	if !extra {
		t.Error("the generic circuit price covers 45 m")
	}
	in.Brief.Money.Currency = "XAU" // no planning rate
	if _, fs = cost.Make(in); func() bool { _, ok := byCode(fs, "COST_UNPRICED"); return !ok }() {
		t.Error("prices in a currency without a rate were used")
	}
	for _, id := range []string{"us", "metric", "nowhere"} {
		b := cost.Generic(id)
		for _, c := range cost.PriceCodes() {
			found := false
			for _, p := range b.Prices {
				found = found || p.Code == c && p.Minor > 0 && b.Ranges[p.Kind].HighPct > 0
			}
			if !found {
				t.Errorf("price book %s has no %s", id, c)
			}
		}
	}
}

func TestTimesRoundsHalfAwayFromZero(t *testing.T) {
	for _, tc := range []struct {
		q    float64
		u    int64
		want int64
	}{{38, 550, 20900}, {0.5, 1, 1}, {-0.5, 1, -1}, {2.5, 1, 3}, {0.1 + 0.2, 10, 3}, {0, 5, 0}, {math.NaN(), 5, 0}, {math.Inf(1), 5, 0}, {1e300, 1 << 60, 1e15}, {103.5, 120, 12420}} {
		if got := cost.Times(tc.q, tc.u); got != tc.want {
			t.Errorf("Times(%v, %d) = %d, want %d", tc.q, tc.u, got, tc.want)
		}
	}
	for _, tc := range []struct {
		m    int64
		pct  float64
		want int64
	}{{1298640, 20, 1558368}, {1433690, 20, 1720428}, {5, 10, 6}, {-5, 10, -6}, {0, 10, 0}, {1000, 12.5, 1125}} {
		if got := cost.WithContingency(tc.m, tc.pct); got != tc.want {
			t.Errorf("WithContingency(%d, %v) = %d, want %d", tc.m, tc.pct, got, tc.want)
		}
	}
}

// document draws an odd but valid design.
func document() *rapid.Generator[cost.Input] {
	return rapid.Custom(func(t *rapid.T) cost.Input {
		in := meetingHouse()
		phase := rapid.SampledFrom([]string{"", "A", "B", "C", "D"})
		in.Placed = nil
		for i := range rapid.IntRange(0, 20).Draw(t, "units") {
			in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: fmt.Sprint(i), Fixture: rapid.SampledFrom([]string{"T-FRE", "T-BCK", "?"}).Draw(t, "fixture"),
				Line: rapid.SampledFrom([]string{"", "W1", "left pier", "?"}).Draw(t, "line"), Phase: phase.Draw(t, "phase")},
				At: geom.Vec{X: rapid.SampledFrom([]float64{0, 1, math.NaN(), math.Inf(-1)}).Draw(t, "x"), Z: rapid.Float64Range(-1, 9).Draw(t, "z")}})
		}
		for i := range in.Load.Circuits {
			in.Load.Circuits[i].Phase = phase.Draw(t, "circuit phase")
			in.Load.Circuits[i].LengthM = rapid.SampledFrom([]float64{math.NaN(), -3, 12, 50, 1e300}).Draw(t, "circuit length")
			in.Network.Branches[i].LengthM = rapid.SampledFrom([]float64{math.NaN(), 12, math.Inf(1)}).Draw(t, "branch length")
		}
		for range rapid.IntRange(0, 6).Draw(t, "works") {
			in.Brief.Works = append(in.Brief.Works, brief.Work{Name: "w", Code: rapid.SampledFrom([]string{"", "pipe", "circuit", "odd"}).Draw(t, "code"),
				Quantity: rapid.Float64Range(-3, 40).Draw(t, "quantity"), UnitMinor: rapid.Int64Range(-1000, 900000).Draw(t, "price"), Phase: phase.Draw(t, "work phase"),
				Ahead: rapid.Bool().Draw(t, "ahead"), Kind: rapid.SampledFrom([]string{"", "data", "hanging"}).Draw(t, "kind")})
		}
		in.Brief.Money.CapMinor = rapid.Int64Range(0, 3000000).Draw(t, "cap")
		in.Brief.Money.ContingencyPct = rapid.Float64Range(0, 40).Draw(t, "pct")
		if rapid.Bool().Draw(t, "bare") {
			in.Survey, in.Hanging, in.Catalogue = survey.Survey{}, cost.Input{}.Hanging, nil
		}
		return in
	})
}

func TestPhasesAddUpToTheTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e, _ := cost.Make(document().Draw(t, "design"))
		var sub, with, lines cost.Amount
		for _, p := range e.Phases {
			sub.Low, sub.Likely, sub.High = sub.Low+p.Subtotal.Low, sub.Likely+p.Subtotal.Likely, sub.High+p.Subtotal.High
			with.Low, with.Likely, with.High = with.Low+p.WithContingency.Low, with.Likely+p.WithContingency.Likely, with.High+p.WithContingency.High
		}
		for _, l := range e.Lines {
			lines.Low, lines.Likely, lines.High = lines.Low+l.Total.Low, lines.Likely+l.Total.Likely, lines.High+l.Total.High
			if l.Total.Low > l.Total.Likely || l.Total.Likely > l.Total.High {
				t.Fatalf("range out of order: %+v", l)
			}
		}
		if sub != e.Total || with != e.WithContingency || lines != e.Total {
			t.Fatalf("phases %+v %+v, lines %+v, total %+v %+v", sub, with, lines, e.Total, e.WithContingency)
		}
	})
}

func TestOfferStaysUnderTheCapAndIsTheBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := document().Draw(t, "design")
		e, _ := cost.Make(in)
		o := e.Offer
		if o == nil {
			return
		}
		if o.LeftMinor < 0 || o.MovedMinor <= 0 {
			t.Fatalf("offer %+v", o)
		}
		// Every single line left behind would either not fit or be fixed.
		total := o.IntoWithContingency + o.FromWithContingency
		for _, p := range e.Phases {
			if p.Name != o.Into && p.Name != o.From {
				total += p.WithContingency.Likely
			}
		}
		if d := total - e.WithContingency.Likely; d < -int64(len(e.Phases)) || d > int64(len(e.Phases)) {
			t.Fatalf("offer changes the sum by %d", d)
		}
	})
}

// A dearer price never makes the estimate cheaper.
func TestTotalGrowsWithPrices(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := meetingHouse()
		i := rapid.IntRange(0, len(in.Own)-1).Draw(t, "price")
		a, _ := cost.Make(in)
		in.Own[i].Minor += rapid.Int64Range(0, 100000).Draw(t, "more")
		b, _ := cost.Make(in)
		if b.Total.Likely < a.Total.Likely {
			t.Fatalf("%s: %d after %d", in.Own[i].Code, b.Total.Likely, a.Total.Likely)
		}
	})
}

func TestEmptyDesign(t *testing.T) {
	e, _ := cost.Make(cost.Input{Book: finding.NewBook()})
	if len(e.Lines) != 0 || e.Total.Likely != 0 || e.Currency != "EUR" {
		t.Errorf("%+v", e)
	}
}

func TestContingencyRule(t *testing.T) {
	closed := meetingHouse()
	closed.Survey.Site = survey.Site{YearBuilt: 2005}
	for i := range closed.Survey.Lines {
		closed.Survey.Lines[i].Documents = "engineer's letter"
	}
	closed.Brief.People.Electrician = "an electrician"
	closed.Survey.Supply.Main = si.Known(si.Current(125))
	closed.Survey.Supply.FaultCurrent = si.Known(si.Current(5000))
	asking := closed
	asking.Load.Questions = []electrical.Question{{No: 1}}
	all := meetingHouse()
	all.Survey.Site.Protected = "listed"
	for name, tc := range map[string]struct {
		in   cost.Input
		want float64
	}{"every unknown closed": {closed, 10}, "a question open": {asking, 15}, "old, nobody came": {meetingHouse(), 20}, "and listed": {all, 25}} {
		if e, _ := cost.Make(tc.in); e.RulePct != tc.want {
			t.Errorf("%s: %v %% %v, want %v", name, e.RulePct, e.RuleReasons, tc.want)
		}
	}
}

func ExampleMake() {
	in := cost.Input{Profile: region.Profile{ID: "us"},
		Placed:  []scheme.Placed{{Unit: scheme.Unit{ID: "F1", Fixture: "X"}, At: geom.Vec{Z: 2}}},
		Own:     []cost.Price{{Code: "X", Minor: 50000}, {Code: cost.CodeClamp, Minor: 2000}, {Code: cost.CodeInstall, Minor: 4000}},
		Network: network.Plan{}}
	e, _ := cost.Make(in)
	fmt.Println(si.FormatMoney(e.Total.Likely, e.Currency))
	// Output: 570.00 USD
}

func BenchmarkMake(b *testing.B) {
	in := meetingHouse()
	for b.Loop() {
		cost.Make(in)
	}
}
