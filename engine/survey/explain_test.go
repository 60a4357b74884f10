package survey

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/si"
)

// Every cause that people make is found by its kind from what was typed.
func TestEachMistakeIsNamed(t *testing.T) {
	gallery := []NamedFloor{{"gallery", 2.74}}
	for name, tc := range map[string]struct {
		kind       Kind
		text       string
		instrument Instrument
		want       string // a length that was meant
		mistake    string
	}{
		"transposed":         {Distance, `11' 4"`, SteelTape, `14' 1"`, "transposed"},
		"foot slip":          {Distance, `24' 3 1/2"`, SteelTape, `25' 3 1/2"`, "foot_slip"},
		"metre slip":         {Distance, "7.312 m", SteelTape, "8.312 m", "metre_slip"},
		"six for nine":       {Distance, "7.612 m", SteelTape, "7.912 m", "six_nine"},
		"feet as inches":     {Distance, `9.5"`, SteelTape, "9.5 ft", "unit"},
		"metres as feet":     {Distance, "9.5 ft", SteelTape, "9.5 m", "unit"},
		"decimal feet":       {Distance, "12.8 ft", SteelTape, `12' 8"`, "inch_foot"},
		"inches as decimals": {Distance, `12' 8"`, SteelTape, "12.8 ft", "inch_foot"},
		"wrong end":          {Distance, "7.312 m", Laser, "7.424 m", "laser_end"},
		"wrong floor":        {Height, "3.20 m", Laser, "5.94 m", "wrong_level"},
		"finish":             {Distance, "7.312 m", SteelTape, "7.340 m", "finish"},
	} {
		l, err := si.TypedLength(tc.text, si.US)
		if err != nil || !l.Set {
			t.Fatal(tc.text, err)
		}
		want, _ := si.ParseLength(tc.want, si.US)
		o := Observation{Kind: tc.kind, Value: float64(l.Value), Sigma: .002, Typed: l, Instrument: tc.instrument}
		m, ok := Explain(o, float64(want), .001, gallery)
		if !ok || m.Kind != tc.mistake || math.Abs(float64(m.Corrected-want)) > .005 {
			t.Errorf("%s: %+v, %v", name, m, ok)
		}
		if ok && (m.Text == "" || m.Gain <= 0) {
			t.Errorf("%s: %q gains %v", name, m.Text, m.Gain)
		}
	}
}

// What only the solved places show: another station, along the slope, level.
func TestMistakesOfPlace(t *testing.T) {
	for name, tc := range map[string]struct {
		row, mistake string
	}{
		"another station": {"distance,A,,P,12.000 m,3 mm", "wrong_station"},
		"along the slope": {"horizontal,A,,P,6.403 m,3 mm", "along_slope"},
		"level":           {"distance,A,,P,5.000 m,3 mm", "level_not_slope"},
	} {
		l := mustList(t, listHead+`fixed,,A,,0 0 0 m,
fixed,,B,,12 0 0 m,
fixed,,C,,12 9 0 m,
fixed,,D,,0 9 0 m,
near,,P,,3 4 4 m,
distance,B,,P,10.6301 m,3 mm
distance,C,,P,11.0454 m,3 mm
distance,D,,P,7.0711 m,3 mm
height,,P,,4.000 m,3 mm
horizontal,D,,P,5.831 m,3 mm
`+tc.row+"\n")
		for _, p := range l.Points {
			if p.Name == "P" && p.Fixed[2] {
				t.Fatal("P is held")
			}
		}
		s := mustAdjust(t, l.Network, Options{})
		if len(s.Removed) != 1 {
			t.Errorf("%s: removed %+v tied %+v", name, s.Removed, s.Tied)
			continue
		}
		m, ok := ExplainIn(l.Network, s, s.Removed[0], nil)
		if !ok || m.Kind != tc.mistake {
			t.Errorf("%s: %+v %v", name, m, ok)
		}
		if name == "another station" && !strings.Contains(m.Text, "B instead of P") {
			t.Errorf("%s: %q", name, m.Text)
		}
	}
}

func TestMistakesOfAngles(t *testing.T) {
	const deg = math.Pi / 180
	for name, tc := range map[string]struct {
		kind    Kind
		text    string
		meant   float64 // degrees
		mistake string
	}{
		"other way round": {Angle, "300 deg", 60, "other_way_round"},
		"from vertical":   {Incline, "34 deg", 56, "other_way_round"},
		"downward":        {Incline, "34 deg", -34, "other_way_round"},
		"transposed":      {Angle, "45-12-34", 54 + 12/60. + 34/3600., "transposed"},
		"ten degrees":     {Angle, "45-12-34", 55 + 12/60. + 34/3600., "degree_slip"},
		"a minute":        {Angle, "45-12-34", 45 + 11/60. + 34/3600., "degree_slip"},
	} {
		v, err := si.ParseAngle(tc.text, si.Metric)
		if err != nil {
			t.Fatal(err)
		}
		o := Observation{Kind: tc.kind, Value: float64(v), Sigma: 2 * deg / 3600, TypedAngle: si.Typed[si.Angle]{Text: tc.text, Value: v, Set: true}}
		m, ok := Explain(o, tc.meant*deg, deg/3600, nil)
		if !ok || m.Kind != tc.mistake {
			t.Errorf("%s: %+v, %v", name, m, ok)
		}
	}
}

// A good reading is not explained away.
func TestGoodReadingsHaveNoMistake(t *testing.T) {
	o := Observation{Kind: Distance, Value: 7.312, Sigma: .003, Typed: L{Text: "7.312 m", Value: 7.312, Set: true}, Instrument: Laser}
	if m, ok := Explain(o, 7.318, .002, nil); ok {
		t.Errorf("6 mm explained as %+v", m)
	}
	o.Assumed = true
	if m, ok := Explain(o, 8.312, .002, nil); ok {
		t.Errorf("an assumption explained as %+v", m)
	}
}
