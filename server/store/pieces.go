package store

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
)

// Pieces keeps parts of uploads until the whole is put together. They are apart from the blobs: dropping pieces
// never touches bytes that a document names, also where they are the same bytes.
type Pieces interface {
	// PutPiece stores a piece. The same key again is no error and changes nothing. A piece beyond a quota gives
	// *OverQuota, an unknown project ErrNotFound, bytes that do not match the key's hash *Invalid.
	PutPiece(ctx context.Context, p Piece, q Quota) error
	// GetPiece returns one piece, ErrNotFound or, when its bytes do not match the hash, ErrCorrupt.
	GetPiece(ctx context.Context, k PieceKey) (Piece, error)
	// HasPiece tells whether the piece is there.
	HasPiece(ctx context.Context, k PieceKey) (bool, error)
	// DropPieces forgets all pieces of one upload; none there is no error.
	DropPieces(ctx context.Context, project, upload uuid.UUID) error
	// SweepPieces forgets every piece created before the time and returns how many there were.
	SweepPieces(ctx context.Context, before time.Time) (int64, error)
}

// PieceKey names one piece.
type PieceKey struct {
	Project uuid.UUID
	Upload  uuid.UUID // of the whole, made by the client
	Offset  int64     // of its first byte in the whole
	Hash    Hash      // of the piece
}

// Piece is a part of an upload.
type Piece struct {
	PieceKey
	Sender  string // whose quota it counts in, such as a token's id; not empty
	Created time.Time
	Bytes   []byte
}

// Quota bounds the bytes of unfinished uploads, the new piece included; 0 for no bound.
type Quota struct {
	Project int64 // of one project
	Sender  int64 // of one sender in all projects
	Least   int64 // what the new piece counts as at least, so that crumbs do not pile up
}

// Counts returns the bytes that a piece of a size counts as.
func (q Quota) Counts(size int) int64 { return max(int64(size), q.Least) }

// OverQuota says that a piece would go beyond a quota.
type OverQuota struct {
	Of    string // 'project' or 'sender'
	Limit int64  // bytes
}

func (e *OverQuota) Error() string {
	return fmt.Sprintf("unfinished uploads of the %s would go beyond %d bytes", e.Of, e.Limit)
}

// Over returns the quota that size more bytes would go beyond, nil for none.
func (q Quota) Over(project, sender, size int64) error {
	switch {
	case q.Project > 0 && project+size > q.Project:
		return &OverQuota{Of: "project", Limit: q.Project}
	case q.Sender > 0 && sender+size > q.Sender:
		return &OverQuota{Of: "sender", Limit: q.Sender}
	}
	return nil
}
