package planner_test

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/daylight"
	"roodbeam/engine/light"
	"roodbeam/engine/plan"
	"roodbeam/engine/si"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/planner"
)

// TestKeptYearChangesNothing drags a unit in every demo church and holds the
// results with a kept year against those without, bit for bit.
func TestKeptYearChangesNothing(t *testing.T) {
	for _, church := range demos() {
		t.Run(church, func(t *testing.T) {
			d := documents(t, file(t, church), byHand)
			var kept *daylight.Year
			var of daylight.Setting
			made, asked := 0, 0
			keep := func(s daylight.Setting, tr *light.Transport) *daylight.Year {
				asked++
				if kept == nil || !reflect.DeepEqual(s, of) {
					kept, of = daylight.NewYear(s, tr), s
					made++
				}
				return kept
			}
			for k := range 3 {
				if len(d.Scheme.Units) > 0 {
					d.Scheme.Units[0].LensX.Value += si.Length(0.1 * float64(k))
				}
				d.Year = nil
				want := plan.Run(d, book)
				d.Year = keep
				got := plan.Run(d, book)
				if diff := cmp.Diff(want, got, cmpopts.EquateNaNs(), cmp.Exporter(func(reflect.Type) bool { return true })); diff != "" {
					t.Fatalf("drag %d: the kept year gives other results (-without +with):\n%s", k, diff)
				}
			}
			if asked != 3 || made == 0 {
				t.Errorf("asked %d times, made %d", asked, made)
			}
			t.Logf("%d years made for %d runs", made, asked)
		})
	}
}

// BenchmarkDraggedUnit answers for a unit that was moved in the reference church
// and is not stored, as EvaluateScheme does: documents, plan, answer. Room and
// year are warm.
func BenchmarkDraggedUnit(b *testing.B) {
	f := file(b, "brick-meeting-house")
	proj := &document.Project{File: f}
	p := planner.New(nil, func() time.Time { return today })
	s := proto.CloneOf(f.GetSchemes()[0])
	k := slices.IndexFunc(s.GetUnits(), func(u *pb.Unit) bool { return u.GetLensX() != nil })
	across := s.GetUnits()[k].GetLensX()
	moved := across.GetValueSi()
	across.Typed = ""
	run := func() {
		moved += 0.0001
		across.ValueSi = proto.Float64(moved)
		r, err := p.RunWith(proj, s)
		if err != nil {
			b.Fatal(err)
		}
		convert.Results(r.Results, book, r.Display, nil)
	}
	run()
	b.ReportAllocs()
	for b.Loop() {
		run()
	}
}
