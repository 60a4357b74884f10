package app_test

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// gaussFile is a rotational LM-63 file of a beam with this peak and beam angle.
func gaussFile(peakCd, beamDeg float64) []byte {
	var angles, cd []string
	for g := range 91 {
		angles = append(angles, fmt.Sprint(g))
		cd = append(cd, fmt.Sprintf("%.4f", peakCd*math.Exp2(-math.Pow(2*float64(g)/beamDeg, 2))))
	}
	return []byte(fmt.Sprintf("IESNA:LM-63-2002\r\n[LUMINAIRE] invented\r\nTILT=NONE\r\n1 -1 1 91 1 1 2 0.1 0.1 0\r\n1 1 150\r\n%s\r\n0\r\n%s\r\n",
		strings.Join(angles, " "), strings.Join(cd, "\r\n")))
}

// TestImportPhotometry: a file that is imported counts in the light at once, is
// kept as it was given, and can be taken back only by another write.
func TestImportPhotometry(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project := h.create(demo(t, "brick-meeting-house"))
		normal := func() float64 {
			t.Helper()
			res, err := h.owner.project.GetResults(ctx, &pb.GetResultsRequest{ProjectId: project, Scheme: "hand"})
			if err != nil {
				t.Fatal(err)
			}
			units := res.GetResults().GetLight().GetUnits()
			i := slices.IndexFunc(units, func(u *pb.UnitLight) bool { return u.GetId() == "R1" })
			return units[i].GetNormalLx()
		}
		before := normal()
		raw := gaussFile(2*12500, 24)
		req := &pb.ImportPhotometryRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: h.revision(project), Code: "T-FRE", FieldDeg: 40, File: raw}
		got, err := h.owner.goods.ImportPhotometry(ctx, req)
		if err != nil {
			t.Fatal(err)
		}
		var beam *pb.Beam
		for _, b := range got.GetFixture().GetBeams() {
			if b.GetFieldDeg() == 40 {
				beam = b
			}
		}
		if beam.GetFile() != store.HashOf(raw).String() || beam.GetPeakCd() != 25000 || len(got.GetFixture().GetBeams()) != 4 {
			t.Errorf("fixture %v", got.GetFixture())
		}
		if p := got.GetPhotometry(); p.GetType() != "C" || p.GetMaxCd() != 25000 || p.GetKeywords()[0].GetValue() != "invented" {
			t.Errorf("photometry %v", p)
		}
		after := normal()
		if ratio := after / before; math.Abs(ratio-2) > 1e-3 {
			t.Errorf("R1 gives %v lx after %v: %v times, want twice", after, before, ratio)
		}
		again, err := h.owner.goods.ImportPhotometry(ctx, req)
		if err != nil || again.GetRevision() != got.GetRevision() {
			t.Errorf("sent twice: revision %d after %d, %v", again.GetRevision(), got.GetRevision(), err)
		}
		late := &pb.ImportPhotometryRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: 1, Code: "T-FRE", File: raw}
		_, err = h.owner.goods.ImportPhotometry(ctx, late)
		wantError(t, "an old revision", err, codes.Aborted, "REVISION_MISMATCH")
		_, err = h.invite(project, pb.Role_ROLE_VOLUNTEER).goods.ImportPhotometry(ctx, late)
		wantError(t, "a volunteer", err, codes.PermissionDenied, "ROLE")
	})
}

// TestImportMakesFixtures: a code nobody has makes a fixture with what the file
// says, one of a generic fixture makes the church's own without the model's
// beams.
func TestImportMakesFixtures(t *testing.T) {
	h := onSQLite(t)
	project := h.create(bare())
	put := func(code string, class pb.FixtureClass, file []byte) *pb.Fixture {
		t.Helper()
		res, err := h.owner.goods.ImportPhotometry(t.Context(), &pb.ImportPhotometryRequest{ProjectId: project, EntryId: newID(),
			ExpectedRevision: h.revision(project), Code: code, Class: class, File: file})
		if err != nil {
			t.Fatal(err)
		}
		return res.GetFixture()
	}
	own := put("G-FRE-M", 0, gaussFile(9000, 20))
	if own.GetGeneric() || len(own.GetBeams()) != 1 || own.GetMassKg() == 0 || own.GetClass() != pb.FixtureClass_FIXTURE_CLASS_FRESNEL {
		t.Errorf("from a generic one: %v", own)
	}
	spot := put("NEW 1", 0, gaussFile(9000, 20))
	if spot.GetClass() != pb.FixtureClass_FIXTURE_CLASS_WASH || !spot.GetThrows() || spot.GetPowerW() != 150 || spot.GetName() != "invented" {
		t.Errorf("a new one: %v", spot)
	}
	down := put("NEW 2", pb.FixtureClass_FIXTURE_CLASS_DOWNLIGHT, gaussFile(900, 80))
	if down.GetClass() != pb.FixtureClass_FIXTURE_CLASS_DOWNLIGHT || down.GetThrows() || down.GetFluxLm() < 1000 {
		t.Errorf("a downlight: %v", down)
	}
	if two := put("NEW 1", 0, gaussFile(3000, 30)); len(two.GetBeams()) != 2 || two.GetBeams()[0].GetFieldDeg() > two.GetBeams()[1].GetFieldDeg() {
		t.Errorf("a second setting: %v", two.GetBeams())
	}
}

// TestPhotometryRefused: a refusal names line and reason and writes nothing.
func TestPhotometryRefused(t *testing.T) {
	h := onSQLite(t)
	project := h.create(bare())
	at := h.revision(project)
	bad := bytes.Replace(gaussFile(100, 20), []byte("1 1 150"), []byte("1 one 150"), 1)
	_, inspect := h.owner.goods.InspectPhotometry(t.Context(), &pb.InspectPhotometryRequest{File: bad})
	_, put := h.owner.goods.ImportPhotometry(t.Context(), &pb.ImportPhotometryRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: at, Code: "X", File: bad})
	for name, err := range map[string]error{"inspect": inspect, "import": put} {
		wantError(t, name, err, codes.InvalidArgument, "INVALID_FIELDS")
		found := false
		for _, d := range status.Convert(err).Details() {
			if br, ok := d.(*errdetails.BadRequest); ok {
				v := br.GetFieldViolations()[0]
				found = v.GetField() == "file" && strings.Contains(v.GetDescription(), "line 5") && strings.Contains(v.GetDescription(), "one")
			}
		}
		if !found {
			t.Errorf("%s: %v names no line and reason", name, status.Convert(err).Details())
		}
	}
	if h.revision(project) != at {
		t.Error("a refused file was written")
	}
	_, err := h.as("").goods.InspectPhotometry(t.Context(), &pb.InspectPhotometryRequest{File: gaussFile(100, 20)})
	wantError(t, "nobody", err, codes.Unauthenticated, "NO_CALLER")
	_, err = h.owner.goods.InspectPhotometry(t.Context(), &pb.InspectPhotometryRequest{File: make([]byte, 1<<20+1)})
	wantError(t, "too large", err, codes.InvalidArgument, "INVALID_FIELDS")
}

// TestPhotometryMissing: a beam that names a file nobody stored is reported and
// the smooth beam stands for it.
func TestPhotometryMissing(t *testing.T) {
	h := onSQLite(t)
	f := demo(t, "brick-meeting-house")
	for _, x := range f.GetFixtures() {
		if x.GetCode() == "T-FRE" {
			x.Beams[0].File = strings.Repeat("ab", 32)
			x.Beams[1].File = "no hash"
		}
	}
	project := h.create(f)
	res, err := h.owner.project.ListFindings(t.Context(), &pb.ListFindingsRequest{ProjectId: project, Scheme: "hand"})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(res.GetFindings(), func(f *pb.Finding) bool { return f.GetCode() == "CATALOGUE_FILE_MISSING" })
	if i < 0 || !strings.Contains(res.GetFindings()[i].GetText(), "2 of its beams") {
		t.Errorf("findings lack the missing files: %v", i)
	}
}
