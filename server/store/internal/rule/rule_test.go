package rule

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"roodbeam/server/store"
)

func TestPageTokenRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		keys := rapid.SliceOfN(rapid.String(), 1, 3).Draw(t, "keys")
		query := rapid.String().Draw(t, "query")
		token := Next(keys, "list", query)
		got, err := After(store.Page{Token: token}, len(keys), "list", query)
		if err != nil || !slices.Equal(got, keys) {
			t.Fatalf("keys %q came back as %q, error %v", keys, got, err)
		}
		if _, err := After(store.Page{Token: token}, len(keys), "list", query+"x"); err == nil {
			t.Fatal("another query took the token")
		}
		if _, err := After(store.Page{Token: token}, len(keys)+1, "list", query); err == nil {
			t.Fatal("a list with more keys took the token")
		}
	})
}

func FuzzPageToken(f *testing.F) {
	f.Add(Next([]string{"a", "b"}, "list"))
	f.Add("e30")
	f.Add("{}")
	f.Fuzz(func(t *testing.T, token string) {
		keys, err := After(store.Page{Token: token}, 2, "list")
		var invalid *store.Invalid
		switch {
		case token == "" && (keys != nil || err != nil):
			t.Errorf("first page: %q, %v", keys, err)
		case err != nil && !errors.As(err, &invalid):
			t.Errorf("error %v", err)
		case err == nil && token != "" && len(keys) != 2:
			t.Errorf("%d keys", len(keys))
		}
	})
}

func TestContentTellsEntriesApart(t *testing.T) {
	entries := []store.Entry{
		{}, {Kind: "a"}, {Kind: "ab"}, {Kind: "a", Payload: []byte("b")}, {SchemaVersion: 1}, {SchemaVersion: -1},
		{Payload: []byte{0}}, {Payload: make([]byte, 8)}, {Kind: "\x00"},
	}
	seen := map[store.Hash]int{}
	for i, e := range entries {
		if j, ok := seen[Content(e)]; ok {
			t.Errorf("entries %d and %d have one hash", i, j)
		}
		seen[Content(e)] = i
	}
	if Content(store.Entry{Actor: "x", Role: "y", Effects: make([]store.Effect, 1)}) != Content(store.Entry{}) {
		t.Error("the server's own words change the hash")
	}
}

func TestNameKey(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := strings.Repeat(rapid.String().Draw(t, "name"), rapid.IntRange(1, 40).Draw(t, "times"))
		k := NameKey(name)
		if len(k) > store.SortKeyBytes || !utf8.ValidString(k) || !strings.HasPrefix(store.Fold(name), k) {
			t.Fatalf("key %q of %q", k, name)
		}
	})
}
