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
	loadCard(w, r)
	dataCard(w, r, us)
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
	aligned(w, "  ", []string{"zone", "average", "least", "wanted", "least/average", "back light", "±"}, rows)
	for _, s := range r.GetLight().GetScreens() {
		fmt.Fprintf(w, "  on %s: %s lx average, %s lx at most\n", s.GetName(), number(s.AverageLx, 0), number(s.MaxLx, 0))
	}
}

func loadCard(w io.Writer, r *pb.Results) {
	l := r.GetLoad()
	fmt.Fprintf(w, "\nPower, proposed for a licensed electrician: %s W, %s A\n", number(l.TotalW, 0), number(l.TotalA, 1))
	var rows [][]string
	for _, c := range l.GetCircuits() {
		rows = append(rows, []string{c.GetName(), c.GetLeg(), number(c.CurrentA, 2) + " A", number(c.BreakerA, 0) + " A breaker",
			c.GetConductor(), number(c.DropPct, 1) + " % drop", fmt.Sprintf("%d units", len(c.GetUnits()))})
	}
	aligned(w, "  ", []string{"circuit", "leg", "load", "", "conductor", "", ""}, rows)
	for _, h := range r.GetHanging().GetLines() {
		fmt.Fprintf(w, "  %s carries %s kg more: %s\n", h.GetName(), number(h.AddedKg, 1), h.GetScreening())
	}
}

func dataCard(w io.Writer, r *pb.Results, us bool) {
	n := r.GetNetwork()
	fmt.Fprintf(w, "\nData: splitter with %d outputs, %d spare\n", n.GetSplitter().GetOutputs(), n.GetSplitter().GetSpare())
	for _, b := range n.GetBranches() {
		fmt.Fprintf(w, "  %s: %s, %s\n", b.GetName(), length(b.LengthM, us), strings.Join(b.GetUnits(), " → "))
	}
	for _, u := range n.GetUniverses() {
		fmt.Fprintf(w, "  universe %d: %d of 512 slots\n", u.GetNumber(), u.GetUsed())
	}
}

func costCard(w io.Writer, r *pb.Results) {
	e := r.GetEstimate()
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

func findingsCard(w io.Writer, fs []*pb.Finding) {
	count := map[pb.Severity]int{}
	for _, f := range fs {
		count[f.GetSeverity()]++
	}
	fmt.Fprintf(w, "\nFindings: %d stop, %d warn, %d note\n", count[pb.Severity_SEVERITY_STOP], count[pb.Severity_SEVERITY_WARN], count[pb.Severity_SEVERITY_NOTE])
	const most = 6
	shown := 0
	for _, f := range fs {
		if f.GetSeverity() != pb.Severity_SEVERITY_STOP || shown == most {
			continue
		}
		shown++
		fmt.Fprintf(w, "  stop: %s\n", f.GetTitle())
	}
	if rest := count[pb.Severity_SEVERITY_STOP] - shown; rest > 0 {
		fmt.Fprintf(w, "  and %d more stops\n", rest)
	}
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

func length(m *float64, us bool) string {
	if m == nil {
		return "unknown"
	}
	if us {
		return fmt.Sprintf("%.1f ft", *m/0.3048)
	}
	return fmt.Sprintf("%.1f m", *m)
}

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
