package planner_test

import (
	"flag"
	"math"
	"os"
	"sort"
	"strconv"
	"testing"

	"buf.build/go/protovalidate"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/plan"
	"roodbeam/engine/region"
	"roodbeam/server/convert"
)

// place is one field of a document that can be damaged.
type place struct {
	m  protoreflect.Message
	fd protoreflect.FieldDescriptor
}

// places are the fields that are set in a message and those below it.
func places(m protoreflect.Message) (out []place) {
	var fds []protoreflect.FieldDescriptor
	m.Range(func(fd protoreflect.FieldDescriptor, _ protoreflect.Value) bool {
		fds = append(fds, fd)
		return true
	})
	sort.Slice(fds, func(i, j int) bool { return fds[i].Number() < fds[j].Number() })
	for _, fd := range fds {
		out = append(out, place{m, fd})
		switch {
		case fd.IsMap() || fd.Message() == nil || fd.Message().FullName() == "roodbeam.v1.Quantity":
		case fd.IsList():
			for i := range m.Get(fd).List().Len() {
				out = append(out, places(m.Get(fd).List().Get(i).Message())...)
			}
		default:
			out = append(out, places(m.Get(fd).Message())...)
		}
	}
	return out
}

// damage changes one field at random: dropped, emptied, doubled, turned over or
// set to the ends of what is allowed.
func damage(t *rapid.T, f *pb.ChurchFile) {
	all := places(f.ProtoReflect())
	p := all[rapid.IntRange(0, len(all)-1).Draw(t, "place")]
	how := rapid.IntRange(0, 3).Draw(t, "how")
	switch {
	case how == 0 || p.fd.IsMap():
		p.m.Clear(p.fd)
	case p.fd.IsList():
		list := p.m.Mutable(p.fd).List()
		i := rapid.IntRange(0, list.Len()-1).Draw(t, "element")
		if how == 1 { // drop the rest
			list.Truncate(i)
			return
		}
		list.Append(list.Get(i))
		if p.fd.Message() != nil { // the same thing under another name
			again := proto.Clone(list.Get(i).Message().Interface()).ProtoReflect()
			for _, name := range []protoreflect.Name{"name", "id", "code"} {
				if fd := again.Descriptor().Fields().ByName(name); fd != nil && fd.Kind() == protoreflect.StringKind {
					again.Set(fd, protoreflect.ValueOfString(again.Get(fd).String()+" again"))
				}
			}
			list.Set(list.Len()-1, protoreflect.ValueOfMessage(again))
		}
	case p.fd.Message() != nil && p.fd.Message().FullName() == "roodbeam.v1.Quantity":
		rule := proto.GetExtension(p.fd.Options(), optionsv1.E_Quantity).(*optionsv1.QuantityRule)
		low, high := -1e3, 1e6
		if rule.Min != nil {
			low = rule.GetMin()
		}
		if rule.Max != nil {
			high = rule.GetMax()
		}
		v := []float64{low, high, 0, low + (high-low)*rapid.Float64Range(0, 1).Draw(t, "share")}[rapid.IntRange(0, 3).Draw(t, "value")]
		p.m.Set(p.fd, protoreflect.ValueOfMessage((&pb.Quantity{ValueSi: proto.Float64(v)}).ProtoReflect()))
	case p.fd.Kind() == protoreflect.DoubleKind:
		p.m.Set(p.fd, protoreflect.ValueOfFloat64(rapid.SampledFrom([]float64{0, 1e-9, -1, 1, 90, 180, 512, 1e5, 1e9}).Draw(t, "number")))
	case p.fd.Kind() == protoreflect.Int32Kind:
		p.m.Set(p.fd, protoreflect.ValueOfInt32(rapid.SampledFrom([]int32{0, 1, -1, 512, 513, 100000, math.MaxInt32}).Draw(t, "number")))
	case p.fd.Kind() == protoreflect.Int64Kind:
		p.m.Set(p.fd, protoreflect.ValueOfInt64(rapid.SampledFrom([]int64{0, 1, 1e9, 1e12}).Draw(t, "number")))
	case p.fd.Kind() == protoreflect.BoolKind:
		p.m.Set(p.fd, protoreflect.ValueOfBool(!p.m.Get(p.fd).Bool()))
	case p.fd.Kind() == protoreflect.EnumKind:
		vs := p.fd.Enum().Values()
		p.m.Set(p.fd, protoreflect.ValueOfEnum(vs.Get(rapid.IntRange(0, vs.Len()-1).Draw(t, "word")).Number()))
	case p.fd.Kind() == protoreflect.StringKind:
		p.m.Set(p.fd, protoreflect.ValueOfString(rapid.SampledFrom([]string{"", "x", "nowhere", "W1", "again again"}).Draw(t, "text")))
	}
}

// TestDamagedDocuments: whatever of a document is missing, doubled or absurd,
// as long as the server would take it, the plan comes out and says what is
// wrong with it.
func TestDamagedDocuments(t *testing.T) {
	validator, err := protovalidate.New()
	if err != nil {
		t.Fatal(err)
	}
	whole := map[string]*pb.ChurchFile{}
	profiles := map[string]region.Profile{}
	for _, p := range region.Profiles() {
		profiles[p.ID] = p
	}
	for _, name := range demos() {
		whole[name] = file(t, name)
	}
	few(t)
	rapid.Check(t, func(t *rapid.T) {
		church := rapid.SampledFrom(demos()).Draw(t, "church")
		f := proto.CloneOf(whole[church])
		for range rapid.IntRange(1, 12).Draw(t, "damages") {
			next := proto.CloneOf(f)
			damage(t, next)
			// What the server refuses never reaches the engine.
			if validator.Validate(next) == nil && len(convert.NormaliseFile(next)) == 0 {
				f = next
			}
		}
		d := convert.Documents(f, "")
		d.Profile, d.Today = profiles[whole[church].GetBrief().GetRegion()], today
		if rapid.IntRange(0, 9).Draw(t, "propose") == 0 {
			d.Scheme, _ = plan.Propose(d, 0, book)
		}
		r := plan.Run(d, book)
		if len(r.Findings) == 0 {
			t.Error("no finding at all")
		}
		keys := map[string]bool{}
		for _, x := range r.Findings {
			if keys[x.Key] {
				t.Errorf("two findings have the key %s", x.Key)
			}
			keys[x.Key] = true
			text := book.Render(x, display(f))
			if text.Title == "" || x.Fingerprint == "" || x.Owner == "" || x.Severity < finding.Note || x.Severity > finding.Stop {
				t.Errorf("finding %+v is not whole", x)
			}
		}
		if len(packet(d, r, display(f))) == 0 {
			t.Error("the packet is empty")
		}
	})
}

// Damaged documents are planned whole, each in a room of its own: a few in every
// run, each run others, and many in the long one.
const shortDamages, quickDamages, longDamages = 1, 8, 50

// few sets the number of damaged documents where nobody asked for one.
func few(t *testing.T) {
	t.Helper()
	asked := false
	flag.Visit(func(f *flag.Flag) { asked = asked || f.Name == "rapid.checks" })
	if asked {
		return
	}
	n := quickDamages
	if testing.Short() {
		n = shortDamages
	}
	if os.Getenv("ROODBEAM_FULL") != "" {
		n = longDamages
	}
	checks := flag.Lookup("rapid.checks")
	before := checks.Value.String()
	t.Cleanup(func() {
		if err := checks.Value.Set(before); err != nil {
			t.Error(err)
		}
	})
	if err := checks.Value.Set(strconv.Itoa(n)); err != nil {
		t.Fatal(err)
	}
}
