package auth

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"strings"

	"roodbeam/server/store"
)

// secretPrefix makes a leaked secret recognisable to whoever scans for it.
const secretPrefix = "rbt_"

// NewSecret returns a fresh secret of 160 bits.
func NewSecret() string {
	var b [20]byte
	rand.Read(b[:]) // never fails (crypto/rand, Go 1.24 and later)
	return secretPrefix + strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b[:]))
}

// HashSecret returns what the store keeps of a secret. A plain SHA-256 is
// enough since the secret is random and long.
func HashSecret(secret string) store.Hash {
	return store.Hash(sha256.Sum256([]byte(secret)))
}
