package finding

import (
	"embed"
	"encoding/json"
	"fmt"
	"sort"
	"strings"

	"roodbeam/engine/si"
)

//go:embed codes/*.json
var codeFiles embed.FS

// Code is the data file of one finding: severity, owner, texts and limits.
type Code struct {
	Code     string  `json:"code"`     // UPPER_SNAKE, equal to the file name in lower-kebab
	Severity string  `json:"severity"` // note, warn, stop
	Owner    Owner   `json:"owner"`
	Quantity string  `json:"quantity"` // what is measured, for the limits table; may be empty
	Unit     string  `json:"unit"`     // unit of Value and Limit: m, deg, lx, A, %, kg …
	Bounds   []Bound `json:"bounds"`
	Source   string  `json:"source"` // of the whole finding where it has no bounds
	// Replaces names codes that say the same with less knowledge: where this one
	// is found, theirs are left out of the whole.
	Replaces []string `json:"replaces,omitempty"`
	// Title and Text may hold {subject}, {value}, {limit} and {name} of any argument.
	Title  string `json:"title"`
	Text   string `json:"text"`
	Advice string `json:"advice"`

	severity Severity
}

// Bound is one limit with its source. Where several apply the strictest is
// held against the value and all sources are named.
type Bound struct {
	Max    *float64 `json:"max"`
	Min    *float64 `json:"min"`
	Region string   `json:"region"` // empty: everywhere
	Source string   `json:"source"`
	// Value is the bound itself, set on reading.
	Value float64 `json:"-"`
}

// Book is the set of all codes, read once from the embedded files.
type Book struct{ codes map[string]*Code }

// NewBook reads the embedded code files. A malformed file is a programming
// error and panics; a test reads them all.
func NewBook() *Book {
	b := &Book{codes: map[string]*Code{}}
	names, err := codeFiles.ReadDir("codes")
	if err != nil {
		panic(err)
	}
	for _, n := range names {
		raw, err := codeFiles.ReadFile("codes/" + n.Name())
		if err != nil {
			panic(err)
		}
		c, err := parseCode(n.Name(), raw)
		if err != nil {
			panic(fmt.Sprintf("finding: codes/%s: %v", n.Name(), err))
		}
		b.codes[c.Code] = c
	}
	return b
}

func parseCode(file string, raw []byte) (*Code, error) {
	var c Code
	dec := json.NewDecoder(strings.NewReader(string(raw)))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&c); err != nil {
		return nil, err
	}
	if want := strings.ToLower(strings.ReplaceAll(c.Code, "_", "-")) + ".json"; want != file {
		return nil, fmt.Errorf("code %s belongs in %s", c.Code, want)
	}
	switch c.Severity {
	case "note":
		c.severity = Note
	case "warn":
		c.severity = Warn
	case "stop":
		c.severity = Stop
	default:
		return nil, fmt.Errorf("severity %q", c.Severity)
	}
	if c.Owner == "" || c.Title == "" || c.Text == "" || c.Advice == "" {
		return nil, fmt.Errorf("owner, title, text and advice are needed")
	}
	if len(c.Bounds) == 0 && c.Source == "" {
		return nil, fmt.Errorf("a code without bounds needs a source")
	}
	for i := range c.Bounds {
		bd := &c.Bounds[i]
		if (bd.Max == nil) == (bd.Min == nil) || bd.Source == "" {
			return nil, fmt.Errorf("bound %d needs exactly one of max and min, and a source", i)
		}
		if bd.Max != nil {
			bd.Value = *bd.Max
		} else {
			bd.Value = *bd.Min
		}
		if (bd.Max == nil) != (c.Bounds[0].Max == nil) {
			return nil, fmt.Errorf("bounds of one code are all max or all min")
		}
	}
	return &c, nil
}

func (b *Book) must(code string) *Code {
	c, ok := b.codes[code]
	if !ok {
		panic("finding: no code file for " + code)
	}
	return c
}

// Codes returns every code, sorted by name: the limits table.
func (b *Book) Codes() []Code {
	var out []Code
	for _, c := range b.codes {
		out = append(out, *c)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Code < out[j].Code })
	return out
}

// Limit returns the strictest bound of a code in a region, for stages that aim
// at a limit rather than check it; false when the code has none there.
func (b *Book) Limit(code, region string) (float64, bool) {
	bd, ok := b.must(code).strictest(region)
	return bd.Value, ok
}

func (c *Code) strictest(region string) (Bound, bool) {
	var best Bound
	found := false
	for _, bd := range c.Bounds {
		if bd.Region != "" && bd.Region != region {
			continue
		}
		if !found || (bd.Max != nil && bd.Value < best.Value) || (bd.Min != nil && bd.Value > best.Value) {
			best, found = bd, true
		}
	}
	return best, found
}

// passedBy is written so that NaN passes every bound.
func (bd Bound) passedBy(v float64) bool {
	if bd.Max != nil {
		return !(v <= bd.Value)
	}
	return !(v >= bd.Value)
}

func (c *Code) sources(region string) string {
	var s []string
	for _, bd := range c.Bounds {
		if bd.Region == "" || bd.Region == region {
			s = append(s, bd.Source)
		}
	}
	return strings.Join(s, "; ")
}

// Reduce leaves out findings whose code another finding present replaces, and
// of several with one key all but the severest, first of these; the order stays.
func (b *Book) Reduce(fs []Finding) []Finding {
	replaced := map[string]bool{}
	best := map[string]Severity{}
	for _, f := range fs {
		for _, code := range b.must(f.Code).Replaces {
			replaced[code] = true
		}
		best[f.Key] = max(best[f.Key], f.Severity)
	}
	var out []Finding
	seen := map[string]bool{}
	for _, f := range fs {
		if replaced[f.Code] || seen[f.Key] || f.Severity < best[f.Key] {
			continue
		}
		seen[f.Key] = true
		out = append(out, f)
	}
	return out
}

// Rendered is a finding's text for people.
type Rendered struct{ Title, Text, Advice string }

// Render fills the code's texts with the finding's values, in the display's units.
func (b *Book) Render(f Finding, d si.Display) Rendered {
	c := b.must(f.Code)
	pairs := []string{"{subject}", f.Subject,
		"{value}", formatIn(f.Value, f.Unit, d), "{limit}", formatIn(f.Limit, f.Unit, d)}
	for _, a := range f.Args {
		pairs = append(pairs, "{"+a.Name+"}", a.Format(d))
	}
	r := strings.NewReplacer(pairs...)
	return Rendered{r.Replace(c.Title), r.Replace(c.Text), r.Replace(c.Advice)}
}

func formatIn(v float64, unit string, d si.Display) string {
	switch unit {
	case "m":
		return Arg{Kind: KindLength, Num: v}.Format(d)
	case "deg":
		return Arg{Kind: KindAngle, Num: v}.Format(d)
	case "lx":
		return Arg{Kind: KindLux, Num: v}.Format(d)
	case "kg":
		return Arg{Kind: KindMass, Num: v}.Format(d)
	case "%":
		return Arg{Kind: KindPercent, Num: v}.Format(d)
	}
	return Arg{Kind: KindNumber, Num: v, Text: unit}.Format(d)
}
