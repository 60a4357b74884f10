package rule

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"

	"roodbeam/server/store"
)

// cursor is the inside of a page token: the place after which the next page begins, and which query it belongs to.
type cursor struct {
	Query []byte   `json:"q"`
	After []string `json:"a"`
}

// fingerprint tells queries apart; it guards against mistakes, not against forgery, which gains nothing here.
func fingerprint(query []any) []byte {
	b, err := json.Marshal(query)
	if err != nil {
		panic(fmt.Sprintf("query %T cannot be written as JSON: %v", query, err)) // only fixed types come here
	}
	sum := sha256.Sum256(b)
	return sum[:8]
}

// Size returns how many elements a page holds at most.
func Size(p store.Page) (int, error) {
	switch {
	case p.Size < 0:
		return 0, &store.Invalid{Field: "page.size", Reason: "must not be negative"}
	case p.Size == 0:
		return store.DefaultPageSize, nil
	}
	return min(p.Size, store.MaxPageSize), nil
}

// After returns the keys of the last element of the page before, or nil for the first page. The token must have
// been made by Next with the same query, and hold n keys.
func After(p store.Page, n int, query ...any) ([]string, error) {
	if p.Token == "" {
		return nil, nil
	}
	bad := &store.Invalid{Field: "page.token", Reason: "does not belong to this query"}
	b, err := base64.RawURLEncoding.DecodeString(p.Token)
	if err != nil {
		return nil, bad
	}
	var c cursor
	if json.Unmarshal(b, &c) != nil || len(c.After) != n || string(c.Query) != string(fingerprint(query)) {
		return nil, bad
	}
	return c.After, nil
}

// Next returns the token of the page that begins behind the element with these keys.
func Next(keys []string, query ...any) string {
	b, err := json.Marshal(cursor{Query: fingerprint(query), After: keys})
	if err != nil {
		panic(fmt.Sprintf("page keys %q cannot be written as JSON: %v", keys, err))
	}
	return base64.RawURLEncoding.EncodeToString(b)
}
