package api_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"buf.build/gen/go/bufbuild/protovalidate/protocolbuffers/go/buf/validate"
	"buf.build/go/protovalidate"
	"github.com/jhump/protoreflect/v2/protoprint"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/dynamicpb"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
)

var pkg = roodbeamv1.File_roodbeam_v1_survey_proto.Package()

func files() []protoreflect.FileDescriptor {
	var out []protoreflect.FileDescriptor
	protoregistry.GlobalFiles.RangeFilesByPackage(pkg, func(f protoreflect.FileDescriptor) bool {
		out = append(out, f)
		return true
	})
	return out
}

func methods() []protoreflect.MethodDescriptor {
	var out []protoreflect.MethodDescriptor
	for _, f := range files() {
		for i := range f.Services().Len() {
			ms := f.Services().Get(i).Methods()
			for j := range ms.Len() {
				out = append(out, ms.Get(j))
			}
		}
	}
	return out
}

func permission(m protoreflect.MethodDescriptor) optionsv1.Permission {
	return proto.GetExtension(m.Options(), optionsv1.E_Permission).(optionsv1.Permission)
}

func TestEveryMethodSaysWhoMayCall(t *testing.T) {
	if len(methods()) == 0 {
		t.Fatal("no methods found")
	}
	for _, m := range methods() {
		p := permission(m)
		if p == optionsv1.Permission_PERMISSION_UNSPECIFIED {
			t.Errorf("%s has no permission", m.FullName())
		}
		if !strings.HasPrefix(p.String(), "PERMISSION_PROJECT_") {
			continue
		}
		fd := m.Input().Fields().ByName("project_id")
		if fd == nil || fd.Kind() != protoreflect.StringKind {
			t.Errorf("%s needs %s but its request names no project_id", m.FullName(), p)
		}
	}
}

// TestOpenMethods names the methods anybody may call, so that a further one is a decision.
func TestOpenMethods(t *testing.T) {
	var open []string
	for _, m := range methods() {
		if permission(m) == optionsv1.Permission_PERMISSION_PUBLIC {
			open = append(open, string(m.Parent().Name())+"."+string(m.Name()))
		}
	}
	if got, want := strings.Join(open, " "), "AccessService.AcceptInvitation"; got != want {
		t.Errorf("open methods: %s, want %s", got, want)
	}
}

func TestElevenServices(t *testing.T) {
	want := "AccessService BudgetService CalcService CatalogueService DataNetworkService DesignService LoadService " +
		"PacketService PhaseService ProjectService SurveyService"
	got := map[string]bool{}
	for _, m := range methods() {
		got[string(m.Parent().Name())] = true
	}
	for _, s := range strings.Fields(want) {
		if !got[s] {
			t.Errorf("no %s", s)
		}
		delete(got, s)
	}
	for s := range got {
		t.Errorf("unexpected service %s", s)
	}
}

// TestQuantitiesInRequestsHaveRanges walks every request: a quantity without dimension could not be read.
func TestQuantitiesInRequestsHaveRanges(t *testing.T) {
	seen := map[protoreflect.FullName]bool{}
	count := 0
	var walk func(protoreflect.MessageDescriptor)
	walk = func(d protoreflect.MessageDescriptor) {
		if seen[d.FullName()] {
			return
		}
		seen[d.FullName()] = true
		for i := range d.Fields().Len() {
			fd := d.Fields().Get(i)
			switch {
			case fd.Message() == nil:
			case fd.Message().Name() == "Quantity":
				count++
				rule := proto.GetExtension(fd.Options(), optionsv1.E_Quantity).(*optionsv1.QuantityRule)
				if rule.GetDimension() == optionsv1.Dimension_DIMENSION_UNSPECIFIED || rule.Min == nil ||
					rule.Max == nil || rule.GetMin() >= rule.GetMax() {
					t.Errorf("%s: quantity rule %v, want dimension and range", fd.FullName(), rule)
				}
			default:
				walk(fd.Message())
			}
		}
	}
	for _, m := range methods() {
		walk(m.Input())
	}
	if count < 100 {
		t.Errorf("only %d quantities found in requests", count)
	}
}

// TestListsInRequestsAreBounded: a request cannot make the server hold a list of any length.
func TestListsInRequestsAreBounded(t *testing.T) {
	seen := map[protoreflect.FullName]bool{}
	var walk func(protoreflect.MessageDescriptor)
	walk = func(d protoreflect.MessageDescriptor) {
		if seen[d.FullName()] || d.ParentFile().Package() != pkg {
			return
		}
		seen[d.FullName()] = true
		for i := range d.Fields().Len() {
			fd := d.Fields().Get(i)
			rules, _ := proto.GetExtension(fd.Options(), validate.E_Field).(*validate.FieldRules)
			if fd.IsList() && rules.GetRepeated().GetMaxItems() == 0 {
				t.Errorf("%s has no max_items", fd.FullName())
			}
			if fd.Kind() == protoreflect.StringKind && rules.GetString() == nil && rules.GetRepeated().GetItems() == nil {
				t.Errorf("%s has no bound", fd.FullName())
			}
			if fd.Message() != nil {
				walk(fd.Message())
			}
		}
	}
	for _, m := range methods() {
		walk(m.Input())
	}
}

// TestRulesCompile: a rule that cannot be compiled would fail the first call that meets it.
func TestRulesCompile(t *testing.T) {
	v, err := protovalidate.New()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files() {
		for i := range f.Messages().Len() {
			d := f.Messages().Get(i)
			err := v.Validate(dynamicpb.NewMessage(d))
			if ve := (*protovalidate.ValidationError)(nil); err != nil && !asValidation(err, &ve) {
				t.Errorf("%s: %v", d.FullName(), err)
			}
		}
	}
}

func asValidation(err error, target **protovalidate.ValidationError) bool {
	ve, ok := err.(*protovalidate.ValidationError)
	*target = ve
	return ok
}

// TestValidateProtoIsPrintedFromTheModule keeps the copy equal to the Go module in go.mod.
func TestValidateProtoIsPrintedFromTheModule(t *testing.T) {
	var want bytes.Buffer
	p := protoprint.Printer{}
	if err := p.PrintProtoFile(validate.File_buf_validate_validate_proto, &want); err != nil {
		t.Fatal(err)
	}
	const path = "third_party/protovalidate/buf/validate/validate.proto"
	got, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want.Bytes()) {
		if os.Getenv("UPDATE") != "" {
			if err := os.WriteFile(path, want.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			return
		}
		t.Errorf("%s differs from the module's descriptor; write it with UPDATE=1", path)
	}
}

// buf runs the buf of deploy/tools, or the built one that BUF names.
func buf(t *testing.T, args ...string) {
	t.Helper()
	name := os.Getenv("BUF")
	if name == "" {
		name, args = "go", append([]string{"tool", "-modfile=../deploy/tools/buf.mod", "buf"}, args...)
	}
	if out, err := exec.Command(name, args...).CombinedOutput(); err != nil {
		t.Fatalf("buf %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

func TestProtosAreLintedAndFormatted(t *testing.T) {
	if testing.Short() {
		t.Skip("builds buf, a minute on a new machine; runs without -short")
	}
	buf(t, "lint")
	buf(t, "format", "--diff", "--exit-code", "proto")
}

func TestGeneratedCodeIsUpToDate(t *testing.T) {
	if testing.Short() {
		t.Skip("builds buf, a minute on a new machine; runs without -short")
	}
	dir := t.TempDir()
	buf(t, "generate", "--output", dir)
	want, got := tree(t, filepath.Join(dir, "gen")), tree(t, "gen")
	for name, b := range want {
		if !bytes.Equal(b, got[name]) {
			t.Errorf("gen/%s is not what buf generates; run buf generate in api", name)
		}
	}
	for name := range got {
		if want[name] == nil {
			t.Errorf("gen/%s is generated from nothing", name)
		}
	}
}

func tree(t *testing.T, root string) map[string][]byte {
	t.Helper()
	out := map[string][]byte{}
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := os.ReadFile(path)
		out[strings.TrimPrefix(path, root)] = b
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) == 0 {
		t.Fatalf("%s is empty", root)
	}
	return out
}
