package app_test

import (
	"slices"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// stopOf is an open stop that belongs to the role.
func (h *house) stopOf(project string, role pb.Role) *pb.Finding {
	h.t.Helper()
	for _, f := range h.openStops(project, "hand") {
		if roleOf(f.GetOwner()) == role {
			return f
		}
	}
	h.t.Fatalf("no open stop of the %s", word(role))
	return nil
}

func (h *house) byCode(project, code string) (out []*pb.Finding) {
	for _, f := range h.findings(project, "hand") {
		if f.GetCode() == code {
			out = append(out, f)
		}
	}
	return out
}

// by lets somebody of a name into the project through a link that another made;
// with a token it is used in that one's browser.
func (h *house) by(inviter *person, project string, role pb.Role, name, token string) *person {
	h.t.Helper()
	inv, err := inviter.access.CreateInvitation(h.t.Context(), &pb.CreateInvitationRequest{ProjectId: project, InvitationId: newID(), Role: role})
	if err != nil {
		h.t.Fatal(err)
	}
	acc, err := h.as(token).access.AcceptInvitation(h.t.Context(), &pb.AcceptInvitationRequest{Secret: inv.GetSecret(), Name: name, AcceptId: newID()})
	if err != nil {
		h.t.Fatal(err)
	}
	return h.as(acc.GetToken())
}

// TestSignersStateTheirLicence: a trade's sign-off carries who signed and who
// let them in, and every part that is missing is named.
func TestSignersStateTheirLicence(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project := h.create(demo(t, "brick-meeting-house"))
		designer := h.by(h.owner, project, pb.Role_ROLE_DESIGNER, "the designer", "")
		spark := h.by(designer, project, pb.Role_ROLE_LICENSED_ELECTRICIAN, "an electrician", "")
		f := h.stopOf(project, pb.Role_ROLE_LICENSED_ELECTRICIAN)
		req := &pb.ClearFindingRequest{ProjectId: project, EntryId: newID(), Scheme: "hand", Key: f.GetKey(), Fingerprint: f.GetFingerprint(), Reason: "measured on site"}
		for _, c := range []struct {
			name   string
			signer *pb.Signer
			want   []string
		}{
			{"nothing", nil, []string{"signer.firm", "signer.licence", "signer.licence_body", "signer.name"}},
			{"blanks", &pb.Signer{Name: " ", Firm: "\t", Licence: "L-1", LicenceBody: "Board"}, []string{"signer.firm", "signer.name"}},
			{"no licence", &pb.Signer{Name: "an electrician", Firm: "Wiring Works"}, []string{"signer.licence", "signer.licence_body"}},
		} {
			r := proto.CloneOf(req)
			r.Signer = c.signer
			_, err := spark.project.ClearFinding(ctx, r)
			wantError(t, c.name, err, codes.InvalidArgument, "INVALID_FIELDS")
			var got []string
			for field := range fields(err) {
				got = append(got, field)
			}
			if slices.Sort(got); !slices.Equal(got, c.want) {
				t.Errorf("%s: violations of %q, want %q", c.name, got, c.want)
			}
		}
		req.Signer = licensed(" an electrician ")
		done, err := spark.project.ClearFinding(ctx, req)
		if err != nil {
			t.Fatal(err)
		}
		c := done.GetFinding().GetClearing()
		if c.GetSigner().GetName() != "an electrician" || c.GetSigner().GetLicence() != "L-20417" || c.GetInvitedBy() != "the designer" ||
			c.GetInvitedByPersonId() != designer.id(t) || c.GetPersonId() != spark.id(t) || c.GetAlsoRole() != pb.Role_ROLE_UNSPECIFIED {
			t.Errorf("the sign-off is recorded as %v", c)
		}
		if again, err := spark.project.ClearFinding(ctx, req); err != nil || again.GetRevision() != done.GetRevision() {
			t.Errorf("sent twice: %v, %v", again, err)
		}
	})
}

// TestSignersInvitedByTheDesigner: whoever could have made up the signer is
// shown to leadership, on the list and in the packet, until they clear it.
func TestSignersInvitedByTheDesigner(t *testing.T) {
	h := onSQLite(t)
	ctx := t.Context()
	const invited, plans = "SIGNER_INVITED_BY_ISSUER", "SIGNER_ALSO_PLANS"
	project := h.create(demo(t, "brick-meeting-house"))
	designer := h.by(h.owner, project, pb.Role_ROLE_DESIGNER, "the designer", "")
	other := h.by(h.owner, project, pb.Role_ROLE_MANAGER, "the manager", "")
	leader := h.by(h.owner, project, pb.Role_ROLE_LEADERSHIP, "An elder", "")

	// Nobody invites themselves.
	inv, err := designer.access.CreateInvitation(ctx, &pb.CreateInvitationRequest{ProjectId: project, InvitationId: newID(), Role: pb.Role_ROLE_QUALIFIED_RIGGER})
	if err != nil {
		t.Fatal(err)
	}
	_, err = designer.access.AcceptInvitation(ctx, &pb.AcceptInvitationRequest{Secret: inv.GetSecret(), Name: "Someone", AcceptId: newID()})
	wantError(t, "one's own invitation", err, codes.FailedPrecondition, "SELF_INVITED")

	docs, err := h.owner.project.GetDocuments(ctx, &pb.GetDocumentsRequest{ProjectId: project})
	if err != nil {
		t.Fatal(err)
	}
	scheme := docs.GetFile().GetSchemes()[0]
	spark := h.by(designer, project, pb.Role_ROLE_LICENSED_ELECTRICIAN, "an electrician", "")
	sign := func(p *person, role pb.Role, name string) {
		t.Helper()
		f := h.stopOf(project, role)
		if _, err := p.project.ClearFinding(ctx, &pb.ClearFindingRequest{ProjectId: project, EntryId: newID(), Scheme: "hand", Key: f.GetKey(), Fingerprint: f.GetFingerprint(),
			Reason: "measured on site", Signer: licensed(name)}); err != nil {
			t.Fatal(err)
		}
	}
	sign(spark, pb.Role_ROLE_LICENSED_ELECTRICIAN, "an electrician")
	// The owner wrote the scheme and the designer invited: nothing to show yet.
	if got := h.byCode(project, invited); len(got) != 0 {
		t.Errorf("before the designer has a part in it: %v", got)
	}
	if _, err := other.issue(ctx, project, newID(), h.revision(project), forPricing); err != nil {
		t.Fatal(err)
	}
	if got := h.byCode(project, invited); len(got) != 0 {
		t.Errorf("issued by another: %v", got)
	}
	// The designer writes the scheme again.
	if _, err := designer.design.PutScheme(ctx, &pb.PutSchemeRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: h.revision(project), Scheme: scheme}); err != nil {
		t.Fatal(err)
	}
	got := h.byCode(project, invited)
	if len(got) != 1 {
		t.Fatalf("after the designer wrote the scheme: %v, want one finding", got)
	}
	w := got[0]
	for _, says := range []string{"an electrician", "Wiring & Daughters", "L-20417", "State board of trades", "the designer", "wrote the scheme"} {
		if !strings.Contains(w.GetText(), says) {
			t.Errorf("the finding %q does not say %q", w.GetText(), says)
		}
	}
	if w.GetSeverity() != pb.Severity_SEVERITY_WARN || w.GetOwner() != pb.FindingOwner_FINDING_OWNER_LEADERSHIP {
		t.Errorf("%v of %v, want a warning of leadership", w.GetSeverity(), w.GetOwner())
	}
	wantError(t, "cleared by the designer", designer.clear(ctx, project, w), codes.FailedPrecondition, "NOT_YOURS")

	// The packet shows who signed and the warning.
	id := newID()
	if _, err := other.issue(ctx, project, id, h.revision(project), forPricing); err != nil {
		t.Fatal(err)
	}
	raw, err := leader.download(ctx, project, id, "values.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, says := range []string{"Sign-offs of the trades on record", "L-20417", "State board of trades", "the designer", invited} {
		if !strings.Contains(string(raw), says) {
			t.Errorf("the packet does not say %q", says)
		}
	}
	if err := leader.clear(ctx, project, w); err != nil {
		t.Errorf("cleared by leadership: %v", err)
	}
	if got := h.byCode(project, invited); len(got) != 1 || got[0].GetClearing().GetReason() == "" || got[0].GetClearing().GetSigner() != nil {
		t.Errorf("after clearing: %v, want it cleared, without a licence", got)
	}

	// Whoever issues is named on the packet they issue, before any list knows.
	rigger := h.by(other, project, pb.Role_ROLE_STRUCTURAL_ENGINEER, "a rigger", "")
	sign(rigger, pb.Role_ROLE_STRUCTURAL_ENGINEER, "a rigger")
	id = newID()
	if _, err := h.owner.issue(ctx, project, id, h.revision(project), forPricing); err != nil {
		t.Fatal(err)
	}
	if got := h.byCode(project, invited); len(got) != 2 { // the manager issued packets above
		t.Errorf("signers invited by who issued: %v, want two", got)
	}

	// A designer who signs under the same name is shown.
	if got := h.byCode(project, plans); len(got) != 0 {
		t.Errorf("nobody signs and plans yet: %v", got)
	}
	twin := h.by(h.owner, project, pb.Role_ROLE_LICENSED_ELECTRICIAN, "THE  Designer", "")
	sign(twin, pb.Role_ROLE_LICENSED_ELECTRICIAN, "another electrician")
	if got := h.byCode(project, plans); len(got) != 1 || !strings.Contains(got[0].GetText(), "is designer of this project") {
		t.Errorf("signed under the designer's name: %v", got)
	}
	// So is one who joined in a manager's browser.
	friend := h.by(h.owner, project, pb.Role_ROLE_STRUCTURAL_ENGINEER, "an engineer of the parish", other.token)
	sign(friend, pb.Role_ROLE_STRUCTURAL_ENGINEER, "an engineer of the parish")
	if got := h.byCode(project, plans); len(got) != 2 {
		t.Errorf("joined in a manager's browser: %v, want two", got)
	}
}
