package rule

import (
	"crypto/sha256"
	"encoding/binary"
	"unicode/utf8"

	"roodbeam/server/store"
)

// Content returns the hash by which an entry sent again is recognised: over kind, schema version and payload.
// Actor, role and time are the server's words and differ on a repeat; effects follow from the payload and from
// what the documents held meanwhile.
func Content(e store.Entry) store.Hash {
	h := sha256.New()
	var n [8]byte
	binary.BigEndian.PutUint64(n[:], uint64(len(e.Kind)))
	h.Write(n[:])
	h.Write([]byte(e.Kind))
	binary.BigEndian.PutUint64(n[:], uint64(int64(e.SchemaVersion)))
	h.Write(n[:])
	h.Write(e.Payload)
	return store.Hash(h.Sum(nil))
}

// NameKey returns what a list ordered by name is sorted by.
func NameKey(name string) string {
	k := store.Fold(name)
	if len(k) <= store.SortKeyBytes {
		return k
	}
	cut := store.SortKeyBytes
	for !utf8.RuneStart(k[cut]) {
		cut--
	}
	return k[:cut]
}

// SearchKey returns the text in which a filter's folded text is sought.
func SearchKey(name, town string) string { return store.Fold(name) + "\n" + store.Fold(town) }

// EmailKey returns what makes an e-mail address unique, of a length every index can take; empty for none.
func EmailKey(email string) string {
	if email == "" {
		return ""
	}
	return store.HashOf([]byte(store.Fold(email))).String()
}

// TrimToken returns t with its times as they are kept.
func TrimToken(t store.Token) store.Token {
	t.Created, t.Expires, t.Revoked = store.Trim(t.Created), store.Trim(t.Expires), store.Trim(t.Revoked)
	return t
}

// TrimInvitation returns i with its times as they are kept.
func TrimInvitation(i store.Invitation) store.Invitation {
	i.Created, i.Expires, i.Revoked = store.Trim(i.Created), store.Trim(i.Expires), store.Trim(i.Revoked)
	return i
}

// SameToken tells whether b, as sent, is the token a that is stored, apart from a revocation since.
func SameToken(a, b store.Token) bool {
	b = TrimToken(b)
	a.Revoked = b.Revoked
	return a == b
}

// SameInvitation tells whether b, as sent, is the invitation a that is stored, apart from uses and revocation since.
func SameInvitation(a, b store.Invitation) bool {
	b = TrimInvitation(b)
	a.Revoked, a.Uses = b.Revoked, b.Uses
	return a == b
}
