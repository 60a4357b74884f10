package store_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"roodbeam/server/store"
)

func TestFold(t *testing.T) {
	for _, c := range [][2]string{
		{"ÉGLISE", "église"}, {"Straße", "STRASSE"}, {"e\u0301", "é"}, {"Å", "a\u030a"}, {"ﬁn", "FIN"}, {"ΣΊΣΥΦΟΣ", "σίσυφος"}, {"", ""},
	} {
		if a, b := store.Fold(c[0]), store.Fold(c[1]); a != b {
			t.Errorf("Fold(%q) = %q, Fold(%q) = %q", c[0], a, c[1], b)
		}
	}
	if store.Fold("église") == store.Fold("eglise") {
		t.Error("accents do not count")
	}
}

func TestTrim(t *testing.T) {
	if got := store.Trim(time.Time{}); !got.IsZero() {
		t.Errorf("Trim of no time = %v", got)
	}
	// Before 1970 too it cuts toward the past.
	in := time.Date(1969, 12, 31, 23, 59, 59, 999_999_999, time.FixedZone("", 3600))
	if got, want := store.Trim(in), time.Date(1969, 12, 31, 22, 59, 59, 999_999_000, time.UTC); got != want {
		t.Errorf("Trim = %v, want %v", got, want)
	}
}

func FuzzParseHash(f *testing.F) {
	f.Add(store.HashOf(nil).String())
	f.Add("")
	f.Add(strings.Repeat("g", 64))
	f.Fuzz(func(t *testing.T, s string) {
		h, err := store.ParseHash(s)
		var invalid *store.Invalid
		switch {
		case err != nil && !errors.As(err, &invalid):
			t.Errorf("error %v", err)
		case err == nil && h.String() != strings.ToLower(s):
			t.Errorf("%q came back as %q", s, h)
		}
	})
}

func TestLive(t *testing.T) {
	now := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		expires, revoked time.Time
		max, uses        int32
		token, invite    bool
	}{
		{token: true, invite: true},
		{expires: now.Add(1), token: true, invite: true},
		{expires: now},
		{revoked: now.Add(time.Hour)}, // at once, whatever the time says
		{max: 2, uses: 1, token: true, invite: true},
		{max: 2, uses: 2, token: true},
	} {
		if got := (store.Token{Expires: c.expires, Revoked: c.revoked}).Live(now); got != c.token {
			t.Errorf("token %+v: live %v", c, got)
		}
		i := store.Invitation{Expires: c.expires, Revoked: c.revoked, MaxUses: c.max, Uses: c.uses}
		if got := i.Live(now); got != c.invite {
			t.Errorf("invitation %+v: live %v", c, got)
		}
	}
}

func ExampleAt() {
	// The first entry of a project is appended at revision 0.
	fmt.Println(*store.At(0))
	// Output: 0
}
