package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

const pieceKey = `project = $1 AND upload = $2 AND at_byte = $3 AND hash = $4`

func keyArgs(k store.PieceKey) []any { return []any{k.Project, k.Upload, k.Offset, k.Hash[:]} }

func hasPiece(ctx context.Context, q querier, k store.PieceKey) (has bool, err error) {
	return has, q.QueryRow(ctx, `SELECT EXISTS (SELECT 1 FROM pieces WHERE `+pieceKey+`)`, keyArgs(k)...).Scan(&has)
}

// Classes of the advisory locks under which quotas are counted.
const (
	lockProject = 1
	lockSender  = 2
)

// PutPiece implements store.Pieces.
func (s *Store) PutPiece(ctx context.Context, p store.Piece, q store.Quota) error {
	if err := rule.Piece(p); err != nil {
		return err
	}
	if p.Bytes == nil {
		p.Bytes = []byte{} // nil would be NULL
	}
	return s.change(ctx, func(tx pgx.Tx) error {
		if _, err := head(ctx, tx, p.Project); err != nil {
			return err
		}
		// Held until the commit and always taken in this order: two pieces that come at once cannot both take the
		// last of a quota.
		if _, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1, hashtext($2))`, lockProject, p.Project.String()); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1, hashtext($2))`, lockSender, p.Sender); err != nil {
			return err
		}
		if has, err := hasPiece(ctx, tx, p.PieceKey); err != nil || has {
			return err
		}
		var project, sender int64
		if err := tx.QueryRow(ctx, `SELECT coalesce((SELECT sum(size) FROM pieces WHERE project = $1), 0)::bigint, coalesce((SELECT sum(size) FROM pieces WHERE sender = $2), 0)::bigint`,
			p.Project, p.Sender).Scan(&project, &sender); err != nil {
			return err
		}
		if err := q.Over(project, sender, q.Counts(len(p.Bytes))); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `INSERT INTO pieces (project, upload, at_byte, hash, sender, created, size, bytes) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
			append(keyArgs(p.PieceKey), p.Sender, instant(store.Trim(p.Created)), q.Counts(len(p.Bytes)), p.Bytes)...)
		return err
	})
}

// GetPiece implements store.Pieces.
func (s *Store) GetPiece(ctx context.Context, k store.PieceKey) (store.Piece, error) {
	p := store.Piece{PieceKey: k}
	err := s.run(ctx, func() error {
		var created pgtype.Timestamptz
		err := s.pool.QueryRow(ctx, `SELECT sender, created, bytes FROM pieces WHERE `+pieceKey, keyArgs(k)...).Scan(&p.Sender, &created, &p.Bytes)
		p.Created = fromInstant(created)
		switch {
		case errors.Is(err, pgx.ErrNoRows):
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
		has, err = hasPiece(ctx, s.pool, k)
		return err
	})
	return has, err
}

// DropPieces implements store.Pieces.
func (s *Store) DropPieces(ctx context.Context, project, upload uuid.UUID) error {
	return s.run(ctx, func() error {
		_, err := s.pool.Exec(ctx, `DELETE FROM pieces WHERE project = $1 AND upload = $2`, project, upload)
		return err
	})
}

// SweepPieces implements store.Pieces.
func (s *Store) SweepPieces(ctx context.Context, before time.Time) (n int64, err error) {
	if err := rule.Instant("before", before); err != nil {
		return 0, err
	}
	err = s.run(ctx, func() error {
		res, err := s.pool.Exec(ctx, `DELETE FROM pieces WHERE created < $1`, instant(store.Trim(before)))
		n = res.RowsAffected()
		return err
	})
	return n, err
}
