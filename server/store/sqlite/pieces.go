package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

const pieceKey = `project = ? AND upload = ? AND at_byte = ? AND hash = ?`

func keyArgs(k store.PieceKey) []any { return []any{k.Project, k.Upload, k.Offset, k.Hash[:]} }

func hasPiece(ctx context.Context, q querier, k store.PieceKey) (has bool, err error) {
	return has, q.QueryRowContext(ctx, `SELECT EXISTS (SELECT 1 FROM pieces WHERE `+pieceKey+`)`, keyArgs(k)...).Scan(&has)
}

// PutPiece implements store.Pieces.
func (s *Store) PutPiece(ctx context.Context, p store.Piece, q store.Quota) error {
	if err := rule.Piece(p); err != nil {
		return err
	}
	if p.Bytes == nil {
		p.Bytes = []byte{} // nil would be NULL
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		if _, err := head(ctx, tx, p.Project); err != nil {
			return err
		}
		if has, err := hasPiece(ctx, tx, p.PieceKey); err != nil || has {
			return err
		}
		var project, sender int64
		if err := tx.QueryRowContext(ctx, `SELECT coalesce((SELECT sum(size) FROM pieces WHERE project = ?), 0), coalesce((SELECT sum(size) FROM pieces WHERE sender = ?), 0)`,
			p.Project, p.Sender).Scan(&project, &sender); err != nil {
			return err
		}
		if err := q.Over(project, sender, q.Counts(len(p.Bytes))); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO pieces (project, upload, at_byte, hash, sender, created_us, size, bytes) VALUES (?, ?, ?, ?, ?, ?, ?, ?)`,
			append(keyArgs(p.PieceKey), p.Sender, instant(store.Trim(p.Created)), q.Counts(len(p.Bytes)), p.Bytes)...)
		return err
	})
}

// GetPiece implements store.Pieces.
func (s *Store) GetPiece(ctx context.Context, k store.PieceKey) (store.Piece, error) {
	p := store.Piece{PieceKey: k}
	err := s.run(ctx, func() error {
		var created sql.NullInt64
		err := s.read.QueryRowContext(ctx, `SELECT sender, created_us, bytes FROM pieces WHERE `+pieceKey, keyArgs(k)...).Scan(&p.Sender, &created, &p.Bytes)
		p.Created = fromInstant(created)
		switch {
		case errors.Is(err, sql.ErrNoRows):
			return &store.NotFound{What: "piece", ID: k.Hash.String()}
		case err == nil && store.HashOf(p.Bytes) != k.Hash:
			return store.ErrCorrupt
		}
		return err
	})
	if err != nil {
		return store.Piece{}, err
	}
	return p, nil
}

// HasPiece implements store.Pieces.
func (s *Store) HasPiece(ctx context.Context, k store.PieceKey) (has bool, err error) {
	err = s.run(ctx, func() error {
		has, err = hasPiece(ctx, s.read, k)
		return err
	})
	return has, err
}

// DropPieces implements store.Pieces.
func (s *Store) DropPieces(ctx context.Context, project, upload uuid.UUID) error {
	return s.change(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `DELETE FROM pieces WHERE project = ? AND upload = ?`, project, upload)
		return err
	})
}

// SweepPieces implements store.Pieces.
func (s *Store) SweepPieces(ctx context.Context, before time.Time) (n int64, err error) {
	if err := rule.Instant("before", before); err != nil {
		return 0, err
	}
	err = s.change(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, `DELETE FROM pieces WHERE created_us < ?`, instant(before))
		if err != nil {
			return err
		}
		n, err = res.RowsAffected()
		return err
	})
	return n, err
}
