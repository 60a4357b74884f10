package convert

import (
	"fmt"
	"strings"
	"testing"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
)

// named is a file that declares a few names.
func named(t *testing.T) *roodbeamv1.ChurchFile {
	t.Helper()
	f := &roodbeamv1.ChurchFile{Survey: &roodbeamv1.Survey{
		Stations: []*roodbeamv1.Station{{Name: "front left"}, {Name: "front right"}},
		Lines:    []*roodbeamv1.HangingLine{{Name: "B1"}, {Name: "B3"}},
		Levels:   []*roodbeamv1.Level{{Name: "hall floor", Height: typed("0 m")}, {Name: "platform", Height: typed("0.5 m")}},
		Panels:   []*roodbeamv1.Panel{{Name: "P1"}},
		Galleries: []*roodbeamv1.Gallery{{Name: "left", Floor: typed("3 m")}, {Name: "right", Floor: typed("3 m")},
			{Name: "organ loft", Floor: typed("4 m")}},
		Measurements: []*roodbeamv1.Measurement{{Id: "m1", Kind: roodbeamv1.MeasurementKind_MEASUREMENT_KIND_HEIGHT, To: "B1", Value: typed("5 m")}},
	}}
	if vs := NormaliseFile(f); len(vs) > 0 {
		t.Fatal(vs)
	}
	return f
}

// TestFloors: a floor is one of the declared table's names or none; a fragment
// of a name is nothing.
func TestFloors(t *testing.T) {
	f := named(t)
	refused := func(m proto.Message) string {
		vs := References(m, f)
		if len(vs) == 0 {
			return ""
		}
		return vs[0].Description()
	}
	for _, name := range []string{"hall floor", "Hall  Floor", "the hall", "floor", "main floor", "ground floor", "platform", "Platform floor", "left gallery", "left",
		"left balcony", "gallery left", "gallery", "the gallery floor", "organ loft"} {
		if got := refused(&roodbeamv1.Measurement{Reference: name}); got != "" {
			t.Errorf("reference %q: %s", name, got)
		}
	}
	for name, want := range map[string]string{
		"A": "names no level; allowed: hall floor, platform, left gallery", "a": "names no level", "L": "names no level", "or": "names no level",
		"plat": `did you mean "platform"?`, "platfrom": `did you mean "platform"?`, "hall flor": `did you mean "hall floor"?`, "hal floor": `did you mean "hall floor"?`,
		"ground": "allowed: hall floor", "lef": "names no level", "loft": "names no level",
	} {
		if got := refused(&roodbeamv1.Measurement{Reference: name}); !strings.Contains(got, want) {
			t.Errorf("reference %q: %q lacks %q", name, got, want)
		}
		if got := refused(&roodbeamv1.Zone{Level: name}); !strings.Contains(got, want) {
			t.Errorf("level %q: %q lacks %q", name, got, want)
		}
		if got := refused(&roodbeamv1.Measurement{From: name}); !strings.Contains(got, "names no station, hanging line or level") {
			t.Errorf("from %q: %q", name, got)
		}
	}
	f.Survey.Galleries[1].Floor.ValueSi = proto.Float64(3.5)
	if got := refused(&roodbeamv1.Measurement{Reference: "gallery"}); !strings.Contains(got, "more than one floor") || !strings.Contains(got, "left gallery, right gallery") {
		t.Errorf("gallery of two heights: %q", got)
	}
	if got := refused(&roodbeamv1.Measurement{To: "hall floor"}); !strings.Contains(got, "is where heights count from") {
		t.Errorf("to the hall floor: %q", got)
	}
}

// TestNearestNames: whoever names nothing reads what there is.
func TestNearestNames(t *testing.T) {
	f := named(t)
	for given, want := range map[string]string{
		"Beam 3":       `did you mean "B3"?`,
		"front rigth":  `did you mean "front right"?`,
		"flying truss": "allowed: front left, front right, B1, B3, platform, left gallery, right gallery, organ loft, ceiling, eaves, ridge, crown",
	} {
		vs := References(&roodbeamv1.Measurement{To: given}, f)
		if len(vs) != 1 || !strings.Contains(vs[0].Description(), want) {
			t.Errorf("%q: %v lacks %q", given, vs, want)
		}
	}
	many := make([]string, 30)
	for i := range many {
		many[i] = "name " + strings.Repeat("x", i)
	}
	if v := NoSuch("f", "quite another", "names nothing", many); !strings.HasSuffix(v.Allowed, "and 10 more") {
		t.Errorf("30 names: %q", v.Allowed)
	}
}

// TestPhotographShowsSomething: what a photograph is of is there.
func TestPhotographShowsSomething(t *testing.T) {
	f := named(t)
	for given, want := range map[string]string{"line B1": "line B1", "B1": "line B1", "Line b1": "line B1", "panel P1": "panel P1", "measurement m1": "measurement m1", "m1": "measurement m1",
		"item C7": "item C7", "room": "room", "outside": "outside", "level left gallery": "level left gallery", "gallery left": "gallery left", "level platform": "level platform"} {
		if vs := References(&roodbeamv1.FinishPhotoRequest{Of: given}, f); len(vs) > 0 {
			t.Errorf("%q: %v", given, vs)
		}
		if got, ok := Thing(given, Things(f)); !ok || got != want {
			t.Errorf("%q is %q, want %q", given, got, want)
		}
	}
	for given, want := range map[string]string{"B9": "is nothing of this survey", "line B9": `did you mean "line B1"?`, "booth": "is nothing of this survey", "1": "is nothing"} {
		vs := References(&roodbeamv1.FinishPhotoRequest{Of: given}, f)
		if len(vs) != 1 || !strings.Contains(vs[0].Description(), want) {
			t.Errorf("%q: %v lacks %q", given, vs, want)
		}
	}
}

// TestFieldsThatBindEachOther: what no rule of one field sees.
func TestFieldsThatBindEachOther(t *testing.T) {
	distance := roodbeamv1.MeasurementKind_MEASUREMENT_KIND_DISTANCE
	for _, c := range []struct {
		name  string
		msg   proto.Message
		field string
		says  []string
	}{
		{"zone", &roodbeamv1.Zone{MinX: typed("1 m"), MaxX: typed("-1 m")}, "min_x", []string{`"1 m" is not less than max_x, -1 m`, "allowed: a value below -1 m"}},
		{"zone without width", &roodbeamv1.Zone{MinY: typed("1 m"), MaxY: typed("100 cm")}, "min_y", []string{"is not less than max_y, 100 cm"}},
		{"zone in order", &roodbeamv1.Zone{MinX: typed("-1 m"), MaxX: typed("1 m")}, "", nil},
		{"half a zone", &roodbeamv1.Zone{MinX: typed("1 m")}, "", nil},
		{"distance", &roodbeamv1.Measurement{Kind: distance, Value: typed("-14 m")}, "value", []string{`"-14 m" is below nothing`, "allowed: 0.00 m", "200.00 m"}},
		{"to itself", &roodbeamv1.Measurement{Kind: distance, From: "front left", To: " Front Left", Value: typed("14 m")}, "to", []string{"is where it was measured from", "another point than front left"}},
		{"second reading", &roodbeamv1.Measurement{Kind: distance, Value: typed("14 m"), Repeats: []*roodbeamv1.Quantity{typed("14 m"), typed("-14 m")}}, "repeats[1]", []string{"is below nothing"}},
		{"struck out", &roodbeamv1.Measurement{Kind: distance, Value: typed("-14 m"), Void: true}, "", nil},
		{"offset to the left", &roodbeamv1.Measurement{Kind: roodbeamv1.MeasurementKind_MEASUREMENT_KIND_OFFSET_X, Value: typed("-14 m")}, "", nil},
		{"panel", &roodbeamv1.Panel{Spaces: 12, SpacesUsed: 14}, "spaces_used", []string{`"14" is more than the panel's spaces`, "0 to 12"}},
		{"full panel", &roodbeamv1.Panel{Spaces: 12, SpacesUsed: 12}, "", nil},
		{"panel not counted", &roodbeamv1.Panel{SpacesUsed: 14}, "", nil},
		{"zone of time", &roodbeamv1.ProjectSettings{TimeZone: "Europe/Londn"}, "time_zone", []string{`did you mean "Europe/London"?`, "for example"}},
		{"zone in small letters", &roodbeamv1.ProjectSettings{TimeZone: "america/new york"}, "time_zone", []string{`did you mean "America/New_York"?`}},
		{"the machine's zone", &roodbeamv1.ProjectSettings{TimeZone: "Local"}, "time_zone", []string{"is no time zone"}},
		{"zone there is", &roodbeamv1.ProjectSettings{TimeZone: "Europe/Lisbon"}, "", nil},
		{"no zone", &roodbeamv1.ProjectSettings{}, "", nil},
		{"region", &roodbeamv1.Brief{Region: "uk"}, "region", []string{`"uk" is not a region profile; allowed: metric, us`}},
	} {
		vs := Normalise(c.msg, 0)
		if c.field == "" {
			if len(vs) > 0 {
				t.Errorf("%s: %v", c.name, vs)
			}
			continue
		}
		if len(vs) != 1 || vs[0].Field != c.field {
			t.Errorf("%s: %v, want one of %s", c.name, vs, c.field)
			continue
		}
		for _, want := range c.says {
			if !strings.Contains(vs[0].Description(), want) {
				t.Errorf("%s: %q lacks %q", c.name, vs[0].Description(), want)
			}
		}
	}
}

// TestRulesInWords: nobody reads an expression, an enum's number or a rule's name.
func TestRulesInWords(t *testing.T) {
	protoregistry.GlobalFiles.RangeFilesByPackage("roodbeam.v1", func(fd protoreflect.FileDescriptor) bool {
		for i := range fd.Messages().Len() {
			for k := range fd.Messages().Get(i).Fields().Len() {
				f := fd.Messages().Get(i).Fields().Get(k)
				rules, _ := proto.GetExtension(f.Options(), validate.E_Field).(*validate.FieldRules)
				for _, p := range []string{rules.GetString().GetPattern(), rules.GetRepeated().GetItems().GetString().GetPattern()} {
					if p != "" && patternWords[p] == "" {
						t.Errorf("%s: no words for the pattern %s", f.FullName(), p)
					}
				}
			}
		}
		return true
	})
	for _, c := range []struct {
		msg  proto.Message
		want []string
	}{
		{&roodbeamv1.Price{Currency: "DOLLARS", Code: "x"}, []string{`"DOLLARS" is not of the form wanted here; allowed: an ISO 4217 code of three capital letters, such as USD`}},
		{&roodbeamv1.ChurchFile{ProjectId: "12"}, []string{"an id of 32 digits and letters"}},
		{&roodbeamv1.Measurement{Kind: 0}, []string{"is missing; allowed: distance", "a measurement of this kind needs a value"}},
	} {
		vs, _ := FromValidate(protovalidate.Validate(c.msg))
		var all []string
		for _, v := range vs {
			all = append(all, v.Description())
		}
		text := strings.Join(all, "\n")
		for _, want := range c.want {
			if !strings.Contains(text, want) {
				t.Errorf("%T: %q lacks %q", c.msg, text, want)
			}
		}
		if strings.Contains(text, "regex") || strings.Contains(text, "UUID") || strings.Contains(text, "in list") {
			t.Errorf("%T: %s", c.msg, text)
		}
	}
}

// manyNames is a file as long as a file may be, with as many names that refer to
// nothing as it can hold.
func manyNames(stations, measurements int) *roodbeamv1.ChurchFile {
	f := &roodbeamv1.ChurchFile{Survey: &roodbeamv1.Survey{}}
	for i := range stations {
		f.Survey.Stations = append(f.Survey.Stations, &roodbeamv1.Station{Name: fmt.Sprintf("%s %d", strings.Repeat("station ", 8), i)})
	}
	for i := range measurements {
		f.Survey.Measurements = append(f.Survey.Measurements, &roodbeamv1.Measurement{Id: fmt.Sprint("m", i),
			From: fmt.Sprintf("%s %d", strings.Repeat("stasion ", 8), i), To: "statoin"})
	}
	return f
}

// TestManyNames: every name that refers to nothing is told, the nearest one for
// as many different names as anybody reads.
func TestManyNames(t *testing.T) {
	f := manyNames(3, mostSuggested+50)
	f.Survey.Stations = append(f.Survey.Stations, &roodbeamv1.Station{Name: "station"})
	vs := References(f, f)
	if want := 2 * (mostSuggested + 50); len(vs) != want {
		t.Fatalf("%d violations, want %d", len(vs), want)
	}
	near, again := 0, 0
	for _, v := range vs {
		switch says := strings.Contains(v.Reason, "did you mean"); {
		case v.Given == "statoin" && says:
			again++
		case says:
			near++
		}
		if v.Field == "" || v.Code != NothingThere || !strings.HasPrefix(v.Reason, nothing[toTarget]) {
			t.Fatalf("violation %+v", v)
		}
	}
	if near != mostSuggested-1 || again != mostSuggested+50 {
		t.Errorf("%d different names with a near one and %d of one name, want %d and every one", near, again, mostSuggested-1)
	}
	if v := NoSuch("f", strings.Repeat("a", longestName+1), "names nothing", []string{strings.Repeat("a", longestName)}); strings.Contains(v.Reason, "did you mean") {
		t.Errorf("a text too long for a name: %q", v.Reason)
	}
}

func BenchmarkReferences(b *testing.B) {
	f := manyNames(1000, 10000)
	for b.Loop() {
		References(f, f)
	}
}
