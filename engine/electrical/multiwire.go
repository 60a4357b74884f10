package electrical

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/survey"
)

// opensTogether is how the lines of a shared neutral open, for people.
const opensTogether = "all lines together: one multipole breaker or tied handles; grouped in the panel; neutral not broken at a device"

// multiwire looks at circuits that share one neutral: those surveyed, and, where the
// region knows the practice, those of one hanging line that could. The proposal
// itself keeps a neutral for every circuit; the option is the electrician's.
//
// Source: NFPA 70 210.4, 240.15(B), 300.13(B).
func (d *designer) multiwire(cs []Circuit) []NeutralCheck {
	out := d.sharedNow()
	if d.Profile.Protection.Multiwire == "" || len(d.sys.Lines) < 2 {
		return out
	}
	byLine := map[string][]int{}
	var lines []string
	for i, c := range cs {
		if c.Existing || len(c.Lines) != 1 || d.sys.lineIndex(c.Leg) < 0 {
			continue
		}
		key := c.Lines[0] + "\x00" + c.Panel
		if byLine[key] == nil {
			lines = append(lines, key)
		}
		byLine[key] = append(byLine[key], i)
	}
	sort.Strings(lines)
	for _, key := range lines {
		used := map[int]bool{}
		for {
			var set []int
			on := map[string]bool{}
			for _, i := range byLine[key] {
				if !used[i] && !on[cs[i].Leg] {
					on[cs[i].Leg] = true
					set = append(set, i)
				}
			}
			if len(set) < 2 {
				break
			}
			var names, legs []string
			var amps []float64
			phase := cs[set[0]].Phase
			oneStage := true
			for _, i := range set {
				used[i] = true
				names, legs, amps = append(names, cs[i].Name), append(legs, cs[i].Leg), append(amps, cs[i].CurrentA)
				oneStage = oneStage && cs[i].Phase == phase
			}
			n := d.sharedNeutral(names, legs, amps, d.isDimmer(cs[set[0]].Panel))
			n.Where = strings.Join(names, " + ") + ", if they shared one neutral"
			n.Text = fmt.Sprintf("an option for the electrician, not proposed: a multiwire branch circuit by %s", d.Profile.Protection.Multiwire)
			if !oneStage {
				n.Faults = append(n.Faults, "they come in different install phases")
			}
			out = append(out, n)
		}
	}
	return out
}

// sharedNeutral is the neutral of circuits on some lines, without and with thirds.
func (d *designer) sharedNeutral(names, legs []string, amps []float64, dimmed bool) NeutralCheck {
	n := NeutralCheck{Circuits: names, ThirdPct: thirdPct, Opens: opensTogether}
	n.FundamentalA, n.Faults = SharedNeutral(d.sys, legs, amps, dimmed, 0)
	n.WithThirdA, _ = SharedNeutral(d.sys, legs, amps, dimmed, thirdPct)
	high := 0.0
	for _, a := range amps {
		high = math.Max(high, positive(a))
	}
	n.SizedForA = math.Max(high, n.WithThirdA)
	if len(d.sys.Lines) == 3 && d.sys.HighLeg == "" && finite(n.WithThirdA) {
		n.SizedForA = math.Max(n.SizedForA, HarmonicCurrent(d.Profile, high, thirdPct))
	}
	return n
}

// sharedNow checks the neutrals that surveyed breakers share, at their load or,
// where that is not known, their rating.
func (d *designer) sharedNow() []NeutralCheck {
	var out []NeutralCheck
	for i := range d.Survey.Panels {
		p := &d.Survey.Panels[i]
		ways := d.waysOf(p)
		groups := map[string][]int{}
		var names []string
		for k, w := range p.Ways {
			if w.SharedNeutral == "" {
				continue
			}
			if groups[w.SharedNeutral] == nil {
				names = append(names, w.SharedNeutral)
			}
			groups[w.SharedNeutral] = append(groups[w.SharedNeutral], k)
		}
		sort.Strings(names)
		for _, g := range names {
			out = append(out, d.sharedGroup(p.Name, g, groups[g], ways))
		}
	}
	return out
}

// waysOf is the breakers in place with their lines, without findings.
func (d *designer) waysOf(p *survey.Panel) []Way {
	var out []Way
	for _, w := range p.Ways {
		way := Way{Space: w.Space, RatingA: positive(float64(w.Rating.Or(0))), LoadA: math.NaN(), Poles: max(1, w.Poles), Leg: w.Leg, Feeds: w.Feeds, SharedNeutral: w.SharedNeutral}
		if k := PanelSpaceLine(w.Space, len(d.sys.Lines)); way.Leg == "" && k >= 0 {
			way.Leg = d.sys.Lines[k]
		}
		if w.Load.Set && finite(float64(w.Load.Value)) && w.Load.Value >= 0 {
			way.LoadA = float64(w.Load.Value)
		}
		out = append(out, way)
	}
	return out
}

func (d *designer) sharedGroup(panel, group string, at []int, ways []Way) NeutralCheck {
	var names, legs []string
	var amps []float64
	dimmed, together, least := false, len(at) == 1, math.Inf(1)
	tied := true
	for _, k := range at {
		w := ways[k]
		name := named(w.Feeds, "a breaker")
		if w.Space > 0 {
			name = fmt.Sprintf("space %d, %s", w.Space, name)
		}
		names = append(names, name)
		a := w.LoadA
		if math.IsNaN(a) {
			a = w.RatingA
		}
		if w.RatingA > 0 {
			least = math.Min(least, w.RatingA)
		}
		for _, leg := range d.sys.poleLines(w.Leg, w.Poles) {
			legs, amps = append(legs, leg), append(amps, a)
		}
		dimmed = dimmed || d.isDimmer(w.Feeds) || strings.Contains(strings.ToLower(w.Feeds), "dimmer")
		tied = tied && d.tied(panel, k)
	}
	n := d.sharedNeutral(names, legs, amps, dimmed)
	n.Existing, n.Where, n.Text = true, fmt.Sprintf("panel %s, neutral %s, as surveyed", named(panel, "without name"), group), "at the load surveyed, the rating where none was"
	if !together && !tied {
		n.Faults = append(n.Faults, "its breakers are not tied: one line stays live while another is off")
	}
	if n.WithThirdA > least*fits {
		n.Faults = append(n.Faults, fmt.Sprintf("the neutral would carry %.1f A behind breakers of %g A", n.WithThirdA, least))
	}
	if len(n.Faults) > 0 {
		f := d.Book.New("ELECTRICAL_SHARED_NEUTRAL", n.Where, finding.Text("circuits", strings.Join(names, "; ")), finding.Text("faults", strings.Join(n.Faults, "; ")))
		f.Value, f.HasValue = n.WithThirdA, finite(n.WithThirdA)
		d.add(f)
	}
	d.ask(fmt.Sprintf("Do %s of panel %s truly share one neutral, on different lines and opened together?", strings.Join(names, "; "), named(panel, "without name")),
		"A shared neutral is overloaded by two circuits on one line, and stays live while one of them is on.")
	return n
}

// tied tells whether a way's handle is tied to those it shares a neutral with.
func (d *designer) tied(panel string, k int) bool {
	p := d.panelNamed(panel)
	return p != nil && k < len(p.Ways) && p.Ways[k].Tied
}
