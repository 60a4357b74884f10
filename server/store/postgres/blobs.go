package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

// PutBlob implements store.Blobs.
func (s *Store) PutBlob(ctx context.Context, b []byte, mediaType string) (store.Hash, error) {
	if err := rule.Blob(b, mediaType); err != nil {
		return store.Hash{}, err
	}
	if b == nil {
		b = []byte{} // nil would be NULL
	}
	h := store.HashOf(b)
	err := s.change(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `INSERT INTO blobs (hash, media_type, bytes) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING`, h[:], mediaType, b)
		return err
	})
	if err != nil {
		return store.Hash{}, err
	}
	return h, nil
}

// GetBlob implements store.Blobs.
func (s *Store) GetBlob(ctx context.Context, h store.Hash) (store.Blob, error) {
	b := store.Blob{Hash: h}
	err := s.run(ctx, func() error {
		err := s.pool.QueryRow(ctx, `SELECT media_type, bytes FROM blobs WHERE hash = $1`, h[:]).Scan(&b.MediaType, &b.Bytes)
		switch {
		case errors.Is(err, pgx.ErrNoRows):
			return &store.NotFound{What: "blob", ID: h.String()}
		case err == nil && store.HashOf(b.Bytes) != h:
			return store.ErrCorrupt
		}
		return err
	})
	if err != nil {
		return store.Blob{}, err
	}
	return b, nil
}

// HasBlob implements store.Blobs.
func (s *Store) HasBlob(ctx context.Context, h store.Hash) (has bool, err error) {
	err = s.run(ctx, func() error {
		return s.pool.QueryRow(ctx, `SELECT EXISTS (SELECT 1 FROM blobs WHERE hash = $1)`, h[:]).Scan(&has)
	})
	return has, err
}
