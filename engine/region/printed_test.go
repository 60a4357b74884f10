package region

import (
	_ "embed"
	"strconv"
	"strings"
	"testing"
)

//go:embed testdata/printed.tsv
var printedRows string

// Every printed value of the list against the profile's, row by row, and no row of
// a further table without its printed value.
func TestPrintedValues(t *testing.T) {
	seen := map[string]bool{}
	for _, line := range strings.Split(strings.TrimSpace(printedRows), "\n") {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(line, "\t")
		if len(f) != 4 {
			t.Fatalf("%q", line)
		}
		want, err := strconv.ParseFloat(f[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := tabulated(must(t, f[0]), f[1], f[2]); !ok || got != want {
			t.Errorf("%s %s, %s: %v, printed %v", f[0], f[1], f[2], got, want)
		}
		seen[f[0]+" "+f[1]+" "+f[2]] = true
	}
	for _, p := range Profiles() {
		for _, tab := range p.Tables {
			for _, r := range tab.Rows {
				if !seen[p.ID+" "+tab.ID+" "+r.Name] {
					t.Errorf("%s %s, %s: no printed value", p.ID, tab.ID, r.Name)
				}
			}
		}
	}
	if len(seen) < 200 {
		t.Fatalf("%d values", len(seen))
	}
}

// tabulated looks a value up: "ambient 75" by temperature, "grouping" by count, "mv
// 2" and "mv 3" by conductor, else a further table by its row.
func tabulated(p Profile, table, row string) (float64, bool) {
	at, _ := strconv.ParseFloat(row, 64) // 0 where the row is a name
	name, column, _ := strings.Cut(table, " ")
	switch name {
	case "ambient":
		c, _ := strconv.ParseFloat(column, 64)
		v := p.AmbientFactorAt(c, at)
		return v, v > 0
	case "grouping":
		v := p.GroupingFactor(int(at))
		return v, v > 0
	case "mv":
		c, ok := p.Conductor(row)
		if column == "3" {
			return c.MVAM3, ok
		}
		return c.MVAM, ok
	}
	t, ok := p.Table(table)
	if !ok {
		return 0, false
	}
	return t.Value(row)
}
