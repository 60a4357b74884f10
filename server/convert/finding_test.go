package convert

import (
	"math"
	"testing"

	"google.golang.org/protobuf/testing/protocmp"

	"github.com/google/go-cmp/cmp"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/plan"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

func TestFinding(t *testing.T) {
	book := finding.NewBook()
	f, ok := book.Check("FRONT_ELEVATION_HIGH", "us", "unit T1", 63.25, finding.Len("height", 2))
	if !ok {
		t.Fatal("63° passes the limit of 60°, want a finding")
	}
	got := Finding(f, book, si.Metric)
	want := book.Render(f, si.Metric)
	if got.GetTitle() != want.Title || got.GetText() != want.Text || got.GetAdvice() != want.Advice {
		t.Errorf("texts %q %q %q, want %+v", got.GetTitle(), got.GetText(), got.GetAdvice(), want)
	}
	if got.GetKey() != f.Key || got.GetFingerprint() != f.Fingerprint || got.GetCode() != f.Code ||
		got.GetSubject() != "unit T1" || got.GetUnit() != "deg" || got.GetSource() != f.Source {
		t.Errorf("finding = %v, want the fields of %+v", got, f)
	}
	if got.GetSeverity() != roodbeamv1.Severity_SEVERITY_WARN ||
		got.GetOwner() != roodbeamv1.FindingOwner_FINDING_OWNER_DESIGNER {
		t.Errorf("severity %v, owner %v, want warn and designer", got.GetSeverity(), got.GetOwner())
	}
	if got.GetValue() != 63.25 || got.GetLimit() != 60 {
		t.Errorf("value %v, limit %v, want 63.25 and 60", got.GetValue(), got.GetLimit())
	}
	a := got.GetArgs()[0]
	if a.GetName() != "height" || a.GetKind() != roodbeamv1.ArgKind_ARG_KIND_LENGTH_M || a.GetNum() != 2 {
		t.Errorf("argument = %v, want height 2 m", a)
	}
}

func TestFindingWithoutNumbers(t *testing.T) {
	book := finding.NewBook()
	f, _ := book.Check("FRONT_ELEVATION_HIGH", "us", "unit T1", math.NaN(), finding.Text("why", "unknown height"))
	got := Finding(f, book, si.Metric)
	if got.Value != nil || got.Args[0].Num != nil {
		t.Errorf("value %v, argument %v, want both absent", got.Value, got.Args[0].Num)
	}
}

func TestOwners(t *testing.T) {
	if got := Owner(finding.FireAlarm); got != roodbeamv1.FindingOwner_FINDING_OWNER_FIRE_ALARM_CONTRACTOR {
		t.Errorf("Owner(%q) = %v", finding.FireAlarm, got)
	}
	if got := Owner("nobody"); got != roodbeamv1.FindingOwner_FINDING_OWNER_UNSPECIFIED {
		t.Errorf(`Owner("nobody") = %v, want unspecified`, got)
	}
}

func TestResultsOfStages(t *testing.T) {
	book := finding.NewBook()
	r := plan.Results{Room: room.Room{Stations: []room.Station{{Name: "A"}}},
		Findings: []finding.Finding{book.New("FRONT_ELEVATION_HIGH", "unit T1")}}
	all := Results(r, book, si.Metric, nil)
	fields := all.ProtoReflect().Descriptor().Fields()
	for _, name := range []string{"room", "scheme", "light", "load", "hanging", "network", "presets", "estimate", "phases", "findings"} {
		if fd := fields.ByTextName(name); !all.ProtoReflect().Has(fd) {
			t.Errorf("asked for everything, %s is absent", name)
		}
	}
	some := Results(r, book, si.Metric, []roodbeamv1.ResultStage{roodbeamv1.ResultStage_RESULT_STAGE_ROOM})
	if diff := cmp.Diff(&roodbeamv1.Results{Room: Room(r.Room)}, some, protocmp.Transform()); diff != "" {
		t.Errorf("asked for the room (-want +got):\n%s", diff)
	}
}
