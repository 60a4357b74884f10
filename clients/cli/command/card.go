package command

import (
	"fmt"
	"io"
	"sort"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// resultCard is the one-screen result: what hangs where, the light, the amps,
// the data, the money, the findings.
func resultCard(w io.Writer, p *pb.Project, r *pb.Results, us bool) {
	fmt.Fprintf(w, "%s, %s · scheme %s\n", p.GetSettings().GetName(), p.GetSettings().GetTown(), r.GetScheme().GetName())
	hung(w, r)
	lightCard(w, r)
	loadCard(w, r, units{us})
	dataCard(w, r, units{us})
	costCard(w, r)
	findingsCard(w, r.GetFindings())
}

// hung groups units by line, fixture and purpose.
func hung(w io.Writer, r *pb.Results) {
	fmt.Fprintln(w, "\nHung")
	type group struct{ line, fixture, purpose string }
	ids := map[group][]string{}
	var order []group
	for _, u := range r.GetScheme().GetUnits() {
		g := group{u.GetLine(), u.GetFixture(), word(u.GetPurpose().String(), "PURPOSE_")}
		if ids[g] == nil {
			order = append(order, g)
		}
		ids[g] = append(ids[g], u.GetId())
	}
	sort.SliceStable(order, func(i, j int) bool { return order[i].line < order[j].line })
	var rows [][]string
	for _, g := range order {
		rows = append(rows, []string{g.line, fmt.Sprintf("%d × %s", len(ids[g]), g.fixture), g.purpose, strings.Join(ids[g], " ")})
	}
	if len(rows) == 0 {
		fmt.Fprintln(w, "  nothing: see the findings")
		for _, f := range r.GetFindings() {
			if f.GetCode() == "SCHEME_NOTHING_HUNG" {
				fmt.Fprintln(w, "  "+f.GetText())
			}
		}
		return
	}
	aligned(w, "  ", []string{"line", "fixtures", "purpose", "units"}, rows)
}

func lightCard(w io.Writer, r *pb.Results) {
	fmt.Fprintln(w, "\nLight on faces (vertical, lx)")
	var rows [][]string
	for _, z := range r.GetLight().GetZones() {
		rows = append(rows, []string{z.GetName(), number(z.AverageLx, 0), number(z.MinLx, 0), number(z.TargetLx, 0),
			number(z.Evenness, 2), number(z.BackLx, 0), plusMinus(z.SigmaPct)})
	}
	aligned(w, "  ", []string{"zone", "average", "least", "wanted", "least/average", "back light", "± of the average"}, rows)
	if len(rows) > 0 {
		fmt.Fprintln(w, "  ± is from the survey: what the measurements leave open, how far lenses hang below their lines and how tall people are. Fixtures and lamps add more.")
	}
	for _, s := range r.GetLight().GetScreens() {
		fmt.Fprintf(w, "  on %s: %s lx average, %s lx at most\n", s.GetName(), number(s.AverageLx, 0), number(s.MaxLx, 0))
	}
}

func loadCard(w io.Writer, r *pb.Results, u units) {
	l := r.GetLoad()
	fmt.Fprintf(w, "\nPower, proposed for a licensed electrician: %s W, %s A%s\n", number(l.TotalW, 0), number(l.TotalA, 1), amperes(l))
	var rows [][]string
	for _, c := range l.GetCircuits() {
		rows = append(rows, []string{c.GetName(), c.GetLeg(), number(c.CurrentA, 2) + " A", number(c.BreakerA, 0) + " A breaker",
			c.GetConductor(), number(c.DropPct, 1) + " % drop", count(len(c.GetUnits()), "unit")})
	}
	aligned(w, "  ", []string{"circuit", "leg", "load", "", "conductor", "", ""}, rows)
	for _, h := range r.GetHanging().GetLines() {
		fmt.Fprintf(w, "  %s carries %s more: %s\n", h.GetName(), u.mass(h.AddedKg), h.GetScreening())
	}
}

// amperes says of what a sum of amperes is: it differs by the kind of supply.
func amperes(l *pb.LoadPlan) string {
	one := func(v *float64, what string) string {
		if v == nil {
			return ""
		}
		return fmt.Sprintf("; %s A %s", number(v, 1), what)
	}
	switch l.GetSupply().GetName() {
	case pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_3W:
		return " if all were on one leg" + one(l.BalancedA, "per leg, spread evenly")
	case pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_4W, pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W:
		return " if all were on one line" + one(l.BalancedA, "per line, spread evenly")
	}
	return ""
}

func dataCard(w io.Writer, r *pb.Results, u units) {
	n := r.GetNetwork()
	fmt.Fprintf(w, "\nData: splitter with %s, %d spare\n", count(int(n.GetSplitter().GetOutputs()), "output"), n.GetSplitter().GetSpare())
	for _, b := range n.GetBranches() {
		fmt.Fprintf(w, "  %s: %s, %s\n", b.GetName(), u.length(b.LengthM), strings.Join(b.GetUnits(), " → "))
	}
	for _, u := range n.GetUniverses() {
		fmt.Fprintf(w, "  universe %d: %d of 512 slots\n", u.GetNumber(), u.GetUsed())
	}
}

func costCard(w io.Writer, r *pb.Results) {
	e := r.GetEstimate()
	if open := e.GetOpen(); len(open) > 0 {
		sum := ""
		if e.GetWithContingency().GetLikelyMinor() > 0 {
			sum = fmt.Sprintf("; so far %s with %.0f %% contingency", money(e.GetWithContingency().GetLikelyMinor(), e.GetCurrency()), e.GetContingencyPct())
		}
		fmt.Fprintf(w, "\nCost: not known yet: %s%s\n", strings.Join(open, "; "), sum)
		return
	}
	fmt.Fprintf(w, "\nCost: %s likely (%s to %s) with %.0f %% contingency", money(e.GetWithContingency().GetLikelyMinor(), e.GetCurrency()),
		money(e.GetWithContingency().GetLowMinor(), e.GetCurrency()), money(e.GetWithContingency().GetHighMinor(), e.GetCurrency()), e.GetContingencyPct())
	if e.GetCapMinor() > 0 {
		fmt.Fprintf(w, "; limit %s", money(e.GetCapMinor(), e.GetCurrency()))
	}
	fmt.Fprintln(w)
	for _, p := range e.GetPhases() {
		fmt.Fprintf(w, "  phase %s: %s\n", p.GetName(), money(p.GetWithContingency().GetLikelyMinor(), e.GetCurrency()))
	}
	if o := e.GetOffer(); o != nil {
		fmt.Fprintf(w, "  offer: %s\n", o.GetNote())
	}
}

// cardStops and cardWarns bound what a card shows of the findings.
const (
	cardStops = 8
	cardWarns = 6
)

// findingsCard counts the findings and shows the stops and, of the warnings,
// first those of the survey: on a wrong number everything else rests. What says
// why nothing came out leads.
func findingsCard(w io.Writer, fs []*pb.Finding) {
	by := map[pb.Severity][]*pb.Finding{}
	for _, f := range fs {
		by[f.GetSeverity()] = append(by[f.GetSeverity()], f)
	}
	stops, warns := by[pb.Severity_SEVERITY_STOP], by[pb.Severity_SEVERITY_WARN]
	fmt.Fprintf(w, "\nFindings: %s, %s, %s\n", count(len(stops), "stop"), count(len(warns), "warning"), count(len(by[pb.Severity_SEVERITY_NOTE]), "note"))
	show := func(list []*pb.Finding, most int, what string) {
		sort.SliceStable(list, func(i, j int) bool { return ofSurvey(list[i]) && !ofSurvey(list[j]) })
		sort.SliceStable(list, func(i, j int) bool { return leads(list[i]) && !leads(list[j]) })
		for i, f := range list {
			if i == most {
				fmt.Fprintf(w, "  and %s\n", count(len(list)-most, "more "+what))
				break
			}
			text := f.GetTitle()
			if ofSurvey(f) && f.GetText() != "" {
				text += ": " + f.GetText()
			}
			fmt.Fprintf(w, "  %s: %s\n", word(f.GetSeverity().String(), "SEVERITY_"), text)
		}
	}
	show(stops, cardStops, "stop")
	show(warns, cardWarns, "warning")
}

// ofSurvey tells whether a finding doubts what was measured.
func ofSurvey(f *pb.Finding) bool {
	switch f.GetCode() {
	case "ROOM_FOOTPRINT_CROSSES", "ROOM_LINE_HIGH", "ROOM_LINE_OUTSIDE", "ROOM_LINE_SHORT", "SCHEME_NOTHING_HUNG":
		return true // a wrong number, and what comes of it
	}
	return strings.HasPrefix(f.GetCode(), "SURVEY_")
}

// leads tells whether a finding stands before all others: it says why nothing
// came out.
func leads(f *pb.Finding) bool {
	switch f.GetCode() {
	case "SCHEME_NOTHING_HUNG", "ROOM_FOOTPRINT_CROSSES", "ROOM_LINE_HIGH", "ROOM_LINE_OUTSIDE", "ROOM_LINE_SHORT":
		return true
	}
	return false
}

func word(name, prefix string) string {
	return strings.ReplaceAll(strings.ToLower(strings.TrimPrefix(name, prefix)), "_", " ")
}

// number formats an optional number; an absent one is unknown.
func number(v *float64, decimals int) string {
	if v == nil {
		return "unknown"
	}
	return fmt.Sprintf("%.*f", decimals, *v)
}

func plusMinus(pct *float64) string {
	if pct == nil {
		return ""
	}
	return fmt.Sprintf("±%.0f %%", *pct)
}

func length(m *float64, us bool) string { return units{us}.length(m) }

func money(minor int64, currency string) string {
	sign := ""
	if minor < 0 {
		sign, minor = "−", -minor
	}
	whole := fmt.Sprint(minor / 100)
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + " " + whole[i:]
	}
	return fmt.Sprintf("%s%s.%02d %s", sign, whole, minor%100, currency)
}
