package app_test

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/app"
	"roodbeam/server/auth"
	"roodbeam/server/store"
	"roodbeam/server/store/sqlite"
)

// TestOwnersTokenReplaced: with another token in the environment the one before
// lets nobody in any more, however many tokens the owner has, and does not come
// back.
func TestOwnersTokenReplaced(t *testing.T) {
	const variable = "ROODBEAM_ADMIN_TOKEN"
	first, second := auth.NewSecret(), auth.NewSecret()
	t.Setenv(variable, first)
	cfg := app.Config{DataDir: filepath.Join(t.TempDir(), "data")}
	h := start(t, cfg)
	who := func(secret string) error {
		_, err := h.as(secret).access.WhoAmI(t.Context(), &pb.WhoAmIRequest{})
		return err
	}
	if err := who(first); err != nil {
		t.Fatal(err)
	}
	owner := uuid.MustParse(h.owner.id(t))
	if err := h.shut(); err != nil {
		t.Fatal(err)
	}
	// More of their tokens than a page of the store holds, all before it in order.
	st, err := sqlite.Open(t.Context(), cfg.DataDir)
	if err != nil {
		t.Fatal(err)
	}
	for i := range store.MaxPageSize {
		other := store.Token{ID: uuid.MustParse(fmt.Sprintf("00000000-0000-7000-8000-%012d", i)), Secret: store.HashOf(fmt.Append(nil, "other", i)), Label: "a tablet",
			Person: owner, Role: string(auth.Admin), Created: h.clock.now()}
		if err := st.PutToken(t.Context(), other); err != nil {
			t.Fatal(err)
		}
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}

	t.Setenv(variable, second)
	h.open()
	if err := who(second); err != nil {
		t.Errorf("the new token: %v", err)
	}
	wantError(t, "the token before", who(first), codes.Unauthenticated, "NO_CALLER")
	if err := h.shut(); err != nil {
		t.Fatal(err)
	}
	for secret, says := range map[string]string{first: "revoked or replaced", "a short one": "at least 32"} {
		t.Setenv(variable, secret)
		s, err := app.Start(context.Background(), h.cfg)
		if err == nil {
			t.Fatalf("a server started with a token that is %s: %v", says, s.Stop())
		}
		if !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), secret) {
			t.Errorf("error %q, want %q and not the token", err, says)
		}
	}
}
