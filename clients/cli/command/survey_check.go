package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type surveyCheckCmd struct {
	surveySource
	Variance   string  `enum:"known,estimated" default:"known" help:"known: the standard deviations are right, normal test; estimated: right up to a common factor, tau test."`
	Alpha      float64 `default:"0.001" help:"Risk of taking a clean reading for a suspect."`
	Bonferroni bool    `help:"Divide the risk by the number of readings."`
	KeepAll    bool    `name:"keep-all" help:"Leave suspects in the network."`
}

// Run adjusts a list, or checks a project.
func (cmd *surveyCheckCmd) Run(c *call) error {
	s, text, isList, err := cmd.read(c)
	if err != nil {
		return err
	}
	defer s.close()
	if !isList {
		return cmd.project(c, s)
	}
	req := &pb.AdjustNetworkRequest{List: text, Alpha: cmd.Alpha, Bonferroni: cmd.Bonferroni, KeepAll: cmd.KeepAll,
		Variance: pb.NetworkVariance_NETWORK_VARIANCE_KNOWN}
	if cmd.Variance == "estimated" {
		req.Variance = pb.NetworkVariance_NETWORK_VARIANCE_ESTIMATED
	}
	res, err := s.Survey.AdjustNetwork(c.ctx, req)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	networkCard(c, res)
	return nil
}

func (cmd *surveyCheckCmd) project(c *call, s *session) error {
	res, err := s.Survey.CheckSurvey(c.ctx, &pb.CheckSurveyRequest{ProjectId: cmd.Project})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	printFindings(c, res.GetFindings())
	return nil
}

// printFindings lists findings with what to do.
func printFindings(c *call, fs []*pb.Finding) {
	for _, f := range fs {
		fmt.Fprintf(c.out, "%-4s %s\n     %s\n     %s\n", word(f.GetSeverity().String(), "SEVERITY_"), f.GetTitle(), f.GetText(), f.GetAdvice())
	}
	fmt.Fprintln(c.out, count(len(fs), "finding"))
}

func networkCard(c *call, r *pb.AdjustNetworkResponse) {
	for _, n := range r.GetNotes() {
		fmt.Fprintln(c.out, n)
	}
	var rows [][]string
	for _, st := range r.GetStations() {
		row := []string{st.GetName()}
		for axis, v := range []float64{st.GetAt().GetXM(), st.GetAt().GetYM(), st.GetAt().GetZM()} {
			name := string("xyz"[axis])
			sigma := []float64{st.GetSigma().GetXM(), st.GetSigma().GetYM(), st.GetSigma().GetZM()}[axis]
			switch {
			case strings.Contains(st.GetLoose(), name):
				row = append(row, fmt.Sprintf("%.4f", v), "loose")
			case strings.Contains(st.GetFixed(), name):
				row = append(row, fmt.Sprintf("%.4f", v), "fixed")
			default:
				row = append(row, fmt.Sprintf("%.4f", v), fmt.Sprintf("%.4f", sigma))
			}
		}
		rows = append(rows, row)
	}
	fmt.Fprintln(c.out, "Stations (m)")
	table(c.out, []string{"station", "x", "σx", "y", "σy", "z", "σz"}, rows)
	rows = nil
	for _, m := range r.GetMeasurements() {
		tau, detect, used := "", "", ""
		if r.GetRedundancy() > 0 {
			tau = fmt.Sprintf("%.3f", m.GetTau())
		}
		if m.GetSmallestDetectable() > 0 {
			detect = small(m.GetSmallestDetectable(), m.GetAngular())
		} else if m.GetUsed() {
			detect = "unchecked"
		}
		if !m.GetUsed() {
			used, tau, detect = "removed", "", ""
		}
		rows = append(rows, []string{fmt.Sprint(m.GetLine()), kindWord(m.GetKind()), m.GetFrom(), m.GetAt(), m.GetTo(), networkValue(m.GetValue(), m.GetAngular()),
			small(m.GetSigma(), m.GetAngular()), small(m.GetResidual(), m.GetAngular()), fmt.Sprintf("%.3f", m.GetRedundancy()),
			fmt.Sprintf("%.3f", m.GetW()), tau, detect, used})
	}
	fmt.Fprintln(c.out, "\nMeasurements")
	table(c.out, []string{"line", "kind", "from", "at", "to", "value", "σ", "residual", "r", "w", "τ", "detects", ""}, rows)

	fmt.Fprintf(c.out, "\nUnknowns %d, rank %d, redundancy %d\n", r.GetUnknowns(), r.GetRank(), r.GetRedundancy())
	if r.GetRedundancy() > 0 {
		verdict := "passes"
		switch {
		case r.GetVpv() > r.GetChiHigh():
			verdict = "fails: the numbers differ by more than their standard deviations allow"
		case r.GetVpv() < r.GetChiLow():
			verdict = "fails on the low side: the numbers agree better than their standard deviations promise"
		}
		fmt.Fprintf(c.out, "Global test: %.4f < vᵀPv %.4f < %.4f at 95 %%: %s; s0 %.6g\n", r.GetChiLow(), r.GetVpv(), r.GetChiHigh(), verdict, r.GetSigma0())
	} else {
		fmt.Fprintln(c.out, "Nothing is measured twice over: no mistake would show.")
	}
	suspects(c, r)
	loose(c, r.GetLoose())
}

// loose lists what nothing holds, and what would.
func loose(c *call, list []*pb.LooseStation) {
	for _, l := range list {
		fmt.Fprintf(c.out, "\nLoose: %s can move in %s\n", l.GetStation(), strings.Join(l.GetDirections(), " and "))
		for _, f := range l.GetFixes() {
			what := kindWord(f.GetKind()) + " of " + f.GetTo()
			if f.GetFrom() != "" {
				what = fmt.Sprintf("%s %s – %s", kindWord(f.GetKind()), f.GetFrom(), f.GetTo())
			}
			rest := "fixes it"
			if f.GetRemaining() > 0 {
				rest = fmt.Sprintf("leaves %d", f.GetRemaining())
			}
			fmt.Fprintf(c.out, "  measure %s: %s\n", what, rest)
		}
	}
}

// suspects lists what was taken out in its order, and what cannot be told apart.
func suspects(c *call, r *pb.AdjustNetworkResponse) {
	line := func(s *pb.NetworkSuspect) {
		m := r.GetMeasurements()[s.GetMeasurement()]
		ends := []string{}
		for _, e := range []string{m.GetFrom(), m.GetAt(), m.GetTo()} {
			if e != "" {
				ends = append(ends, e)
			}
		}
		fmt.Fprintf(c.out, "  line %d, %s %s: %s, the others say %s ± %s (|%.3f| > %.3f)\n", m.GetLine(), kindWord(m.GetKind()), strings.Join(ends, " – "),
			m.GetTyped(), networkValue(s.GetExpected(), m.GetAngular()), small(s.GetExpectedSigma(), m.GetAngular()), s.GetStatistic(), s.GetCritical())
		if len(s.GetRivals()) > 0 {
			var lines []string
			for _, k := range s.GetRivals() {
				lines = append(lines, fmt.Sprint(r.GetMeasurements()[k].GetLine()))
			}
			fmt.Fprintf(c.out, "    it can hardly be told apart from line %s\n", strings.Join(lines, ", "))
		}
		if s.GetExplanation() != "" {
			fmt.Fprintf(c.out, "    likely %s; with it the sum falls by %.1f\n", s.GetExplanation(), s.GetGain())
		} else {
			fmt.Fprintln(c.out, "    no usual mistake explains it")
		}
	}
	switch {
	case len(r.GetRemoved())+len(r.GetTied()) > 0:
	case r.GetRedundancy() > 0:
		fmt.Fprintln(c.out, "No suspects.")
	}
	if len(r.GetRemoved()) > 0 {
		fmt.Fprintln(c.out, "\nSuspects, in the order they were removed")
		for _, s := range r.GetRemoved() {
			line(s)
		}
	}
	for _, t := range r.GetTied() {
		fmt.Fprintln(c.out, "\nOne of these is wrong, and nothing tells which; all were kept")
		for _, s := range t.GetSuspects() {
			line(s)
		}
	}
}
