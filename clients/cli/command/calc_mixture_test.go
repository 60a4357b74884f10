package command_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

var threeColours = []string{"calc", "mixture", "--emitter", "red,0.69,0.31,100", "--emitter", "green,0.19,0.72,200", "--emitter", "blue,0.14,0.04,20"}

// TestCalcMixture: all three full are x 0.31386, y 0.29081, 320 lm (computed
// here from the laws of additive mixture), so that is the most for that light.
func TestCalcMixture(t *testing.T) {
	s := newShell(t)
	var got struct {
		Levels []float64
		Flux   float64 `json:"flux_lm"`
		In     bool    `json:"in_gamut"`
		Basis  map[string]any
	}
	if err := json.Unmarshal([]byte(s.must(append(append([]string{"--json"}, threeColours...), "--x", "0.31386", "--y", "0.29081")...)), &got); err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Flux-320) > 0.1 || !got.In || len(got.Levels) != 3 || got.Basis["formula"] == nil {
		t.Errorf("%+v", got)
	}
	text := s.must(append(slicesOf(threeColours), "--white", "3200")...)
	for _, want := range []string{"red        100.0 %", "flux ", "3200 K, Duv +0.000", "formula", "source"} {
		if !strings.Contains(text, want) && !strings.Contains(strings.ReplaceAll(text, "Duv -0.000", "Duv +0.000"), want) {
			t.Errorf("the answer lacks %q:\n%s", want, text)
		}
	}
	if text = s.must(append(slicesOf(threeColours), "--x", "0.1", "--y", "0.8")...); !strings.Contains(text, "outside") {
		t.Errorf("no word of the gamut:\n%s", text)
	}
	for name, more := range map[string][]string{"nothing wanted": nil, "half an emitter": {"--emitter", "amber,0.58", "--white", "3000"}, "too hot": {"--white", "90000"}} {
		if r := s.run(append(slicesOf(threeColours), more...)...); r.status != badFile {
			t.Errorf("%s: exit status %d, %q", name, r.status, r.err)
		}
	}
}

func slicesOf(s []string) []string { return append([]string(nil), s...) }
