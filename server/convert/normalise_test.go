package convert

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"buf.build/go/protovalidate"
	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/testing/protocmp"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/si"
)

// lengthTolerance: typed lengths are exact decimals of a metre; only rounding of float64 remains.
const lengthTolerance = 1e-12

func typed(text string) *roodbeamv1.Quantity { return &roodbeamv1.Quantity{Typed: text} }

func TestNormaliseReadsQuantities(t *testing.T) {
	s := &roodbeamv1.Survey{
		Lines: []*roodbeamv1.HangingLine{{
			Name: "W1",
			From: &roodbeamv1.Place{X: typed(`-19' 0"`), Z: typed("6.0 m")},
			// 12 ft 6 1/2 in = 150.5 in × 0.0254 m/in = 3.8227 m exactly (NIST SP 811, B.8).
			To:       &roodbeamv1.Place{X: typed(`12' 6 1/2"`)},
			Carries:  typed("10 lb"),
			Bearings: []*roodbeamv1.Quantity{typed("10 cm"), typed("2 m")},
		}},
		Supply: &roodbeamv1.Supply{Voltage: typed("120 V"), Main: typed("125 A")},
	}
	if vs := Normalise(s, si.US); len(vs) > 0 {
		t.Fatalf("violations: %v", vs)
	}
	l := s.GetLines()[0]
	for _, c := range []struct {
		name string
		got  *roodbeamv1.Quantity
		want float64
	}{
		{"from.x", l.GetFrom().GetX(), -19 * 0.3048},
		{"from.z", l.GetFrom().GetZ(), 6},
		{"to.x", l.GetTo().GetX(), 3.8227},
		{"carries", l.GetCarries(), 4.5359237},
		{"bearings[0]", l.GetBearings()[0], 0.1},
		{"voltage", s.GetSupply().GetVoltage(), 120},
		{"main", s.GetSupply().GetMain(), 125},
	} {
		if math.Abs(c.got.GetValueSi()-c.want) > lengthTolerance {
			t.Errorf("%s = %v, want %v", c.name, c.got.GetValueSi(), c.want)
		}
	}
}

func TestNormaliseRefuses(t *testing.T) {
	for _, c := range []struct {
		name    string
		msg     proto.Message
		field   string
		code    Code
		given   string
		mention string // in the description
	}{
		{"above the range",
			&roodbeamv1.Survey{Lines: []*roodbeamv1.HangingLine{{Name: "a"}, {Name: "b"}, {Name: "c",
				From: &roodbeamv1.Place{Z: typed("600 m")}}}},
			"lines[2].from.z", OutOfRange, "600 m", "100.00 m"},
		{"no length at all", &roodbeamv1.Survey{Ceiling: &roodbeamv1.Ceiling{Height: typed("high")}},
			"ceiling.height", Unreadable, "high", "length"},
		{"wrong dimension", &roodbeamv1.Survey{Ceiling: &roodbeamv1.Ceiling{Height: typed("12 kg")}},
			"ceiling.height", Unreadable, "12 kg", "length"},
		{"computed value that is no number", &roodbeamv1.Scheme{Units: []*roodbeamv1.Unit{{Id: "R1",
			LensX: &roodbeamv1.Quantity{ValueSi: proto.Float64(math.NaN())}}}},
			"units[0].lens_x", OutOfRange, "NaN", "out of range"},
		{"no day", &roodbeamv1.Brief{Calendar: &roodbeamv1.Calendar{Start: "2027-02-29"}},
			"calendar.start", NotADay, "2027-02-29", "calendar"},
		{"ambiguous where it is not allowed", &roodbeamv1.Brief{Zones: []*roodbeamv1.Zone{{Name: "desk",
			MinX: typed("86")}}},
			"zones[0].min_x", Ambiguous, "86", "more than one way"},
		{"ambiguous power", &roodbeamv1.Survey{Dimmers: []*roodbeamv1.Dimmer{{Channel: "D1", Rating: typed("2400")}}},
			"dimmers[0].rating", Ambiguous, "2400", "2400 W"},
		{"two of one name", &roodbeamv1.Survey{Screens: []*roodbeamv1.Screen{{Name: "left"}, {Name: "right"},
			{Name: "right"}}},
			"screens[2].name", Duplicate, "right", "screens[1]"},
		{"empty element", &roodbeamv1.Survey{Lines: []*roodbeamv1.HangingLine{{Name: "a",
			Bearings: []*roodbeamv1.Quantity{typed(" ")}}}},
			"lines[0].bearings[0]", Empty, "", "empty"},
		{"nested in a request", &roodbeamv1.PutDocumentsRequest{File: &roodbeamv1.ChurchFile{Survey: &roodbeamv1.Survey{
			Stations: []*roodbeamv1.Station{{Name: "A", NearX: typed("1 mile")}}}}},
			"file.survey.stations[0].near_x", Unreadable, "1 mile", "length"},
	} {
		vs := Normalise(c.msg, si.Metric)
		if len(vs) != 1 {
			t.Errorf("%s: violations %v, want one", c.name, vs)
			continue
		}
		v := vs[0]
		if v.Field != c.field || v.Code != c.code || v.Given != c.given || !strings.Contains(v.Description(), c.mention) {
			t.Errorf("%s: field %q code %s given %q description %q, want %q, %s, %q and %q in the description",
				c.name, v.Field, v.Code, v.Given, v.Description(), c.field, c.code, c.given, c.mention)
		}
	}
}

func TestNormaliseReportsEverythingAtOnce(t *testing.T) {
	f := &roodbeamv1.ChurchFile{
		Project: &roodbeamv1.ProjectSettings{Name: "Hall"},
		Survey:  &roodbeamv1.Survey{Ceiling: &roodbeamv1.Ceiling{Height: typed("x"), Ridge: typed("y")}},
		Brief:   &roodbeamv1.Brief{Money: &roodbeamv1.Money{}, Cameras: []*roodbeamv1.Camera{{Name: "c", Z: typed("z")}}},
	}
	var fields []string
	for _, v := range NormaliseFile(f) {
		fields = append(fields, v.Field)
	}
	want := []string{"survey.ceiling.height", "survey.ceiling.ridge", "brief.cameras[0].z"}
	if diff := cmp.Diff(want, fields); diff != "" {
		t.Errorf("fields (-want +got):\n%s", diff)
	}
}

func TestSurveyKeepsAmbiguousLengths(t *testing.T) {
	s := &roodbeamv1.Survey{Seating: []*roodbeamv1.Seating{{Name: "nave", Pitch: typed("86"), Width: typed("  ")}}}
	if vs := Normalise(s, si.US); len(vs) > 0 {
		t.Fatalf("violations: %v", vs)
	}
	pitch := s.GetSeating()[0].GetPitch()
	if pitch.ValueSi != nil || len(pitch.GetReadings()) < 2 {
		t.Errorf("pitch = %v, want no value and at least two readings", pitch)
	}
	if s.GetSeating()[0].Width != nil {
		t.Errorf("a blank width stays as %v, want absent", s.GetSeating()[0].Width)
	}
	got := SurveyToEngine(s).Seating[0].Pitch
	if got.Set || got.Text != "86" || len(got.Readings) != len(pitch.GetReadings()) {
		t.Errorf("the engine sees %+v, want the text and its readings", got)
	}
}

// TestClientsCannotSlipInValues: what a client says a text means is overwritten by what it is read as.
func TestClientsCannotSlipInValues(t *testing.T) {
	q := &roodbeamv1.Quantity{Typed: "2 m", ValueSi: proto.Float64(20),
		Readings: []*roodbeamv1.QuantityReading{{ValueSi: 3, As: "m"}}}
	s := &roodbeamv1.Survey{Ceiling: &roodbeamv1.Ceiling{Height: q}}
	if vs := Normalise(s, si.Metric); len(vs) > 0 {
		t.Fatalf("violations: %v", vs)
	}
	if q.GetValueSi() != 2 || q.Readings != nil {
		t.Errorf("quantity = %v, want 2 m without readings", q)
	}
}

func TestDisplayOf(t *testing.T) {
	us := &roodbeamv1.Brief{Region: "us"}
	for _, c := range []struct {
		units roodbeamv1.DisplayUnits
		brief *roodbeamv1.Brief
		want  si.Display
	}{
		{roodbeamv1.DisplayUnits_DISPLAY_UNITS_UNSPECIFIED, us, si.US},
		{roodbeamv1.DisplayUnits_DISPLAY_UNITS_METRIC, us, si.Metric},
		{roodbeamv1.DisplayUnits_DISPLAY_UNITS_US, nil, si.US},
		{roodbeamv1.DisplayUnits_DISPLAY_UNITS_UNSPECIFIED, nil, si.Metric},
	} {
		if got := DisplayOf(&roodbeamv1.ProjectSettings{Units: c.units}, c.brief); got != c.want {
			t.Errorf("DisplayOf(%v, %v) = %v, want %v", c.units, c.brief.GetRegion(), got, c.want)
		}
	}
}

func TestFromValidate(t *testing.T) {
	err := protovalidate.Validate(&roodbeamv1.Survey{
		Lines:    []*roodbeamv1.HangingLine{{Name: "W1", Kind: 99}},
		Finishes: []*roodbeamv1.Finish{{Surface: "walls", Reflectance: 1.5}},
		Measurements: []*roodbeamv1.Measurement{
			{Id: "1", Kind: roodbeamv1.MeasurementKind_MEASUREMENT_KIND_DISTANCE},
			{Id: "2", Kind: roodbeamv1.MeasurementKind_MEASUREMENT_KIND_SQUARE}},
	})
	vs, ok := FromValidate(err)
	if !ok {
		t.Fatalf("FromValidate(%v) = false", err)
	}
	got := map[string]string{}
	for _, v := range vs {
		got[v.Field] = v.Given
	}
	want := map[string]string{"lines[0].kind": "99", "finishes[0].reflectance": "1.5", "measurements[0]": ""}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("field → given (-want +got):\n%s", diff)
	}
	if _, ok := FromValidate(fmt.Errorf("another")); ok {
		t.Error("FromValidate takes any error")
	}
	if n := len(BadRequest(vs).GetFieldViolations()); n != len(vs) {
		t.Errorf("BadRequest has %d fields, want %d", n, len(vs))
	}
}

func TestRead(t *testing.T) {
	q, v := Read(optionsv1.Dimension_DIMENSION_LENGTH, "9.5", si.Metric)
	if v == nil || v.Code != Ambiguous || len(v.Readings) < 2 || q.ValueSi != nil || len(ReadingsShown(q, si.Metric)) < 2 {
		t.Errorf(`Read("9.5") = %v, %v; want readings`, q, v)
	}
	if q, v := Read(optionsv1.Dimension_DIMENSION_POWER, "2.4 kW", si.Metric); v != nil || q.GetValueSi() != 2400 {
		t.Errorf(`Read("2.4 kW") = %v, %v; want 2400 W`, q, v)
	}
	if _, v := Read(optionsv1.Dimension_DIMENSION_MASS, "heavy", si.Metric); v == nil {
		t.Error(`Read("heavy") as a mass gives no violation`)
	}
	if _, v := Read(optionsv1.Dimension_DIMENSION_UNSPECIFIED, "1 m", si.Metric); v == nil {
		t.Error("Read without a dimension gives no violation")
	}
	for d := range dimensions {
		if s := Show(d, 1, si.US); s == "" {
			t.Errorf("%v shows 1 as nothing", d)
		}
	}
	if len(dimensions) != len(optionsv1.Dimension_name)-1 {
		t.Errorf("%d dimensions can be read, the API has %d", len(dimensions), len(optionsv1.Dimension_name)-1)
	}
}

// FuzzNormalise: no text makes it panic, and reading what was read changes nothing.
func FuzzNormalise(f *testing.F) {
	for _, s := range []string{"", "86", `13' 6 1/2"`, "3,81 m", "-0", "1e9 m", "NaN", "4.2 m\x00", "½ in"} {
		f.Add(s, "2026-11-25", false)
	}
	f.Fuzz(func(t *testing.T, text, day string, us bool) {
		units := si.Metric
		if us {
			units = si.US
		}
		m := &roodbeamv1.ChurchFile{
			Survey: &roodbeamv1.Survey{Ceiling: &roodbeamv1.Ceiling{Height: typed(text)},
				Panels: []*roodbeamv1.Panel{{Name: text, Rating: typed(text)}, {Name: day}}},
			Brief: &roodbeamv1.Brief{Calendar: &roodbeamv1.Calendar{Start: day},
				Zones: []*roodbeamv1.Zone{{Name: "z", Target: typed(text)}}},
		}
		first := Normalise(m, units)
		once := proto.Clone(m)
		second := Normalise(m, units)
		if diff := cmp.Diff(first, second); diff != "" {
			t.Errorf("violations change on reading again:\n%s", diff)
		}
		if diff := cmp.Diff(once, proto.Message(m), protocmp.Transform()); diff != "" {
			t.Errorf("the message changes on reading again:\n%s", diff)
		}
	})
}

func BenchmarkNormalise(b *testing.B) {
	s := &roodbeamv1.Survey{}
	for i := range 400 {
		s.Measurements = append(s.Measurements, &roodbeamv1.Measurement{Id: fmt.Sprint(i), Value: typed(`12' 6 1/2"`)})
	}
	b.ReportAllocs()
	for b.Loop() {
		Normalise(s, si.US)
	}
}

func ExampleNormalise() {
	s := &roodbeamv1.Survey{Lines: []*roodbeamv1.HangingLine{{Name: "beam 1", Drop: typed("14 m")}}}
	for _, v := range Normalise(s, si.Metric) {
		fmt.Println(v.Field+":", v.Description())
	}
	// Output: lines[0].drop: "14 m" is out of range; allowed: 0.00 m (0 in) to 10.00 m (32 ft 9 3/4 in)
}
