package auth

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"

	"github.com/google/uuid"
)

// Deriver makes secrets and ids out of a secret its holder has and an id its
// holder made: the same again for the same request, and nothing to anyone who
// lacks one of the two. Nothing of it is stored, so that neither the data of the
// server nor a backup of it lets anybody in.
type Deriver struct{ key []byte }

// NewDeriver returns the deriver of a secret.
func NewDeriver(secret string) *Deriver { return &Deriver{key: []byte(secret)} }

// sum is HMAC-SHA256 (RFC 2104, FIPS 180-4) over purpose and id, each behind
// its length.
func (d *Deriver) sum(purpose string, id uuid.UUID) []byte {
	m := hmac.New(sha256.New, d.key)
	m.Write(binary.BigEndian.AppendUint32(nil, uint32(len(purpose))))
	m.Write([]byte(purpose))
	m.Write(id[:])
	return m.Sum(nil)
}

// Secret returns a secret of 160 bits for a purpose and an id.
func (d *Deriver) Secret(purpose string, id uuid.UUID) string {
	return spell(d.sum("secret: "+purpose, id)[:secretBytes])
}

// ID returns an id for a purpose and an id. It tells nothing of the id it came
// from. It is of version 8, the custom one (RFC 9562, 5.8).
func (d *Deriver) ID(purpose string, id uuid.UUID) uuid.UUID {
	var out uuid.UUID
	copy(out[:], d.sum("id: "+purpose, id))
	out[6] = out[6]&0x0f | 0x80
	out[8] = out[8]&0x3f | 0x80
	return out
}
