package auth_test

import (
	"strings"
	"testing"

	"github.com/google/uuid"

	"roodbeam/server/auth"
)

// TestDerive: the same secret, purpose and id give the same; a change of any
// gives something else; ids and secrets are formed as theirs are.
func TestDerive(t *testing.T) {
	a, b := uuid.MustParse("01970000-0000-7000-8000-000000000001"), uuid.MustParse("01970000-0000-7000-8000-000000000002")
	first := auth.NewDeriver("one")
	if first.Secret("token", a) != auth.NewDeriver("one").Secret("token", a) || first.ID("token", a) != auth.NewDeriver("one").ID("token", a) {
		t.Error("the same again gives another secret or id")
	}
	seen := map[string]bool{}
	for _, secret := range []string{"one", "two", ""} {
		for _, purpose := range []string{"token", "token ", "person", ""} {
			for _, id := range []uuid.UUID{a, b} {
				d := auth.NewDeriver(secret)
				s, i := d.Secret(purpose, id), d.ID(purpose, id)
				if len(s) != len(auth.NewSecret()) || !strings.HasPrefix(s, "rbt_") {
					t.Errorf("secret %q is not formed like a fresh one", s)
				}
				if i.Version() != 8 || i.Variant() != uuid.RFC4122 || i == id {
					t.Errorf("id %v, want one of version 8", i)
				}
				if seen[s] || seen[i.String()] {
					t.Errorf("%q, %q, %v: came before", secret, purpose, id)
				}
				seen[s], seen[i.String()] = true, true
			}
		}
	}
}

func TestTrades(t *testing.T) {
	trades := map[auth.Role]bool{auth.Electrical: true, auth.Structural: true, auth.Rigging: true, auth.FireAlarm: true, auth.LiftHire: true, auth.Hazards: true}
	for _, r := range append(auth.ProjectRoles(), auth.Admin, "") {
		if r.Trade() != trades[r] {
			t.Errorf("%q is a trade: %v, want %v", r, r.Trade(), trades[r])
		}
		if want := r == auth.Designer || r == auth.Manager; r.Plans() != want {
			t.Errorf("%q plans: %v, want %v", r, r.Plans(), want)
		}
	}
}
