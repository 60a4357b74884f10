package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

// row is what *sql.Row and *sql.Rows have in common.
type row interface{ Scan(dest ...any) error }

type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// collect reads all rows of a query.
func collect[T any](ctx context.Context, q querier, scan func(row) (T, error), query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	return all, rows.Err()
}

// one reads the only row of a query, or says what is missing.
func one[T any](ctx context.Context, q querier, what, id string, scan func(row) (T, error), query string, args ...any) (T, error) {
	v, err := scan(q.QueryRowContext(ctx, query, args...))
	if errors.Is(err, sql.ErrNoRows) {
		var zero T
		return zero, &store.NotFound{What: what, ID: id}
	}
	return v, err
}

// head returns the revision of a project, or store.ErrNotFound.
func head(ctx context.Context, q querier, project uuid.UUID) (store.Revision, error) {
	return one(ctx, q, "project", project.String(), func(r row) (rev store.Revision, err error) {
		return rev, r.Scan(&rev)
	}, `SELECT revision FROM projects WHERE id = ?`, project)
}

// instant is a time in a column: microseconds since 1970, NULL for the zero time.
func instant(t time.Time) sql.NullInt64 {
	if t.IsZero() {
		return sql.NullInt64{}
	}
	return sql.NullInt64{Int64: t.UnixMicro(), Valid: true}
}

func fromInstant(n sql.NullInt64) time.Time {
	if !n.Valid {
		return time.Time{}
	}
	return time.UnixMicro(n.Int64).UTC()
}

// optional is an id in a column: NULL for the zero id.
func optional(id uuid.UUID) uuid.NullUUID { return uuid.NullUUID{UUID: id, Valid: id != uuid.Nil} }

// scanHash fills dst from a column.
func scanHash(dst *store.Hash, b []byte) error {
	if len(b) != len(dst) {
		return errors.New("stored hash has a wrong length")
	}
	copy(dst[:], b)
	return nil
}
