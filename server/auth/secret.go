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

// secretBytes is the length of a secret: 160 bits.
const secretBytes = 20

// NewSecret returns a fresh secret of 160 bits.
func NewSecret() string {
	var b [secretBytes]byte
	rand.Read(b[:]) // never fails (crypto/rand, Go 1.24 and later)
	return spell(b[:])
}

// spell writes a secret's bytes as people may copy them.
func spell(b []byte) string {
	return secretPrefix + strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(b))
}

// HashSecret returns what the store keeps of a secret. A plain SHA-256 is
// enough since the secret is random and long.
func HashSecret(secret string) store.Hash {
	return store.Hash(sha256.Sum256([]byte(secret)))
}
