package planner_test

import (
	"regexp"
	"strings"
	"testing"

	"roodbeam/engine/plan"
	"roodbeam/engine/sheet"
	"roodbeam/server/render"
)

// nearlyEmpty is what a sheet's last page must at least be filled to, as a share
// of the frame: less reads as a slip of the printer.
const nearlyEmpty = 0.15

// packets are the packets of all demo churches with both schemes.
func packets(t *testing.T) map[string]sheet.Packet {
	t.Helper()
	out := map[string]sheet.Packet{}
	for _, church := range demos() {
		f := file(t, church)
		for _, s := range schemes {
			d := documents(t, f, s)
			out[church+" "+s] = sheet.Build(plan.SheetInput(d, plan.Run(d, book), book, plan.Issue{Revision: "1", Date: "2027-01-04", Status: "for pricing", Display: display(f)}))
		}
	}
	return out
}

// verdict are the words that nobody but the trades may say of their work.
var verdict = regexp.MustCompile(`(?i)\b(ok|okay|safe|safely|compliant|complies)\b`)

// TestPackets: no sheet ends on a nearly empty page, and none passes a verdict.
func TestPackets(t *testing.T) {
	for name, p := range packets(t) {
		for _, s := range render.Count(p) {
			if s.Count > 1 && s.LastFilled < nearlyEmpty {
				t.Errorf("%s: page %d of %s is filled to %.0f %%", name, s.Count, s.Code, 100*s.LastFilled)
			}
		}
		for _, line := range strings.Split(string(render.Values(p)), "\n") {
			if m := verdict.FindString(line); m != "" {
				t.Errorf("%s: the word %q in %q", name, m, line)
			}
		}
	}
}

// TestFindingsPassNoVerdict: the texts of all findings, also of those no church has.
func TestFindingsPassNoVerdict(t *testing.T) {
	for _, c := range book.Codes() {
		for _, text := range []string{c.Title, c.Text, c.Advice} {
			if m := verdict.FindString(text); m != "" {
				t.Errorf("%s says %q: %s", c.Code, m, text)
			}
		}
	}
}
