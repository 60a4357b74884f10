package app_test

import (
	"path/filepath"
	"testing"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/app"
	"roodbeam/server/auth"
	"roodbeam/server/store"
	"roodbeam/server/store/sqlite"
)

// TestStrangersLearnOfNoProject: whoever may open projects of their own learns
// from an id that is taken no more than from a call that is refused; a member is
// told.
func TestStrangersLearnOfNoProject(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	h := start(t, app.Config{DataDir: dir})
	project := h.create(bare())
	if err := h.shut(); err != nil {
		t.Fatal(err)
	}
	st, err := sqlite.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	who, secret := uuid.New(), auth.NewSecret()
	if err := st.PutPerson(t.Context(), store.Person{ID: who, Name: "A designer", Created: h.clock.now()}); err != nil {
		t.Fatal(err)
	}
	if err := st.PutToken(t.Context(), store.Token{ID: uuid.New(), Secret: auth.HashSecret(secret), Label: "phone", Person: who, Role: string(auth.Designer), Created: h.clock.now()}); err != nil {
		t.Fatal(err)
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	h.open()
	stranger := h.as(secret)
	create := func(p *person, id string) error {
		_, err := p.project.CreateProject(t.Context(), &pb.CreateProjectRequest{ProjectId: id, EntryId: newID(), File: bare()})
		return err
	}
	if err := create(stranger, newID()); err != nil {
		t.Fatalf("a project of their own: %v", err)
	}
	_, refused := stranger.project.GetProject(t.Context(), &pb.GetProjectRequest{ProjectId: newID()})
	taken := create(stranger, project)
	wantError(t, "an id that is taken", taken, codes.PermissionDenied, "DENIED")
	if taken == nil || refused == nil || taken.Error() != refused.Error() {
		t.Errorf("an id that is taken says %v, a project that is not there %v, want one wording", taken, refused)
	}
	wantError(t, "an id that is taken, by its manager", create(h.owner, project), codes.Aborted, "REVISION_MISMATCH")
}
