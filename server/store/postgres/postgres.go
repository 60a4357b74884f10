// Package postgres keeps the journal in a PostgreSQL database that several servers may share.
package postgres

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"net"
	"strings"
	"sync"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/migrate"
	"roodbeam/server/store/internal/wake"
)

// attempts bounds how often a transaction runs when the engine asks for it to be repeated.
const attempts = 5

// migrationLock is the key of the advisory lock under which the schema changes: the letters 'roodbeam'.
const migrationLock = 0x726f6f646265616d

//go:embed migrations/*.sql
var migrations embed.FS

// Store is a store.Journal in a PostgreSQL database.
type Store struct {
	pool *pgxpool.Pool
	hub  wake.Hub

	listen     sync.Once
	stopListen context.CancelFunc
	listening  sync.WaitGroup
	live       context.Context // ends with Close

	mu     sync.RWMutex // held for reading while a call runs
	closed bool
}

var _ store.Journal = (*Store)(nil)

// Open connects to the database of the DSN (a URL or key=value pairs, as libpq reads them, with the pool_ settings
// of pgxpool) and brings its schema up to date. A connection pooler in between must keep sessions together, as
// listening for changes and the durability setting belong to one.
func Open(ctx context.Context, dsn string) (*Store, error) {
	cfg, err := pgxpool.ParseConfig(dsn)
	if err != nil {
		return nil, fmt.Errorf("postgres: %w", hidePassword(err))
	}
	cfg.ConnConfig.RuntimeParams["application_name"] = "roodbeam"
	// What is acknowledged must be on disk, whatever the server's default is; stricter settings are kept.
	cfg.AfterConnect = func(ctx context.Context, c *pgx.Conn) error {
		_, err := c.Exec(ctx, `SELECT set_config('synchronous_commit', 'on', false) WHERE current_setting('synchronous_commit') = 'off'`)
		return err
	}
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("postgres: %w", err)
	}
	s := &Store{pool: pool}
	s.live, s.stopListen = context.WithCancel(context.Background())
	if err := s.migrate(ctx); err != nil {
		s.stopListen()
		pool.Close()
		return nil, translate(ctx, err)
	}
	return s, nil
}

// hidePassword keeps the DSN, which may hold a password, out of messages and logs.
func hidePassword(err error) error {
	var p *pgconn.ParseConfigError
	if errors.As(err, &p) {
		if cause := errors.Unwrap(p); cause != nil && !strings.Contains(cause.Error(), p.ConnString) {
			return fmt.Errorf("cannot read the connection settings: %w", cause)
		}
		return errors.New("cannot read the connection settings")
	}
	return err
}

func (s *Store) migrate(ctx context.Context) error {
	steps, err := migrate.Steps(migrations, "migrations")
	if err != nil {
		return err
	}
	return pgx.BeginFunc(ctx, s.pool, func(tx pgx.Tx) error {
		// Servers that start at once take turns; the lock goes with the transaction.
		if _, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1)`, int64(migrationLock)); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `CREATE TABLE IF NOT EXISTS schema_steps (number integer PRIMARY KEY, title text NOT NULL)`); err != nil {
			return err
		}
		taken := map[int]string{}
		rows, err := tx.Query(ctx, `SELECT number, title FROM schema_steps`)
		if err != nil {
			return err
		}
		var number int
		var title string
		if _, err := pgx.ForEachRow(rows, []any{&number, &title}, func() error { taken[number] = title; return nil }); err != nil {
			return err
		}
		todo, err := migrate.Pending(steps, taken)
		if err != nil {
			return err
		}
		for _, m := range todo {
			// The simple protocol takes several statements at once.
			if _, err := tx.Conn().PgConn().Exec(ctx, m.SQL).ReadAll(); err != nil {
				return fmt.Errorf("schema step %04d %s: %w", m.Number, m.Title, err)
			}
			if _, err := tx.Exec(ctx, `INSERT INTO schema_steps (number, title) VALUES ($1, $2)`, m.Number, m.Title); err != nil {
				return err
			}
		}
		return nil
	})
}

// Ping implements store.Journal.
func (s *Store) Ping(ctx context.Context) error {
	return s.run(ctx, func() error {
		var one int
		return s.pool.QueryRow(ctx, `SELECT 1 FROM schema_steps LIMIT 1`).Scan(&one)
	})
}

// Close implements store.Journal.
func (s *Store) Close() error {
	s.hub.Close()
	s.stopListen()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil
	}
	s.closed = true
	s.listening.Wait()
	s.pool.Close()
	return nil
}

// run calls f while the store stays open and translates what the engine says.
func (s *Store) run(ctx context.Context, f func() error) error {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if s.closed {
		return store.ErrClosed
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	return translate(ctx, f())
}

// change runs f in a transaction and commits it; f may run several times and must not keep anything between runs.
func (s *Store) change(ctx context.Context, f func(tx pgx.Tx) error) error {
	return s.run(ctx, func() error {
		var err error
		for range attempts {
			err = pgx.BeginFunc(ctx, s.pool, f)
			if !repeatable(err) {
				return err
			}
		}
		return err
	})
}

// view runs f on one snapshot.
func (s *Store) view(ctx context.Context, f func(tx pgx.Tx) error) error {
	return s.run(ctx, func() error {
		return pgx.BeginTxFunc(ctx, s.pool, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, f)
	})
}

func code(err error) string {
	var e *pgconn.PgError
	if errors.As(err, &e) {
		return e.Code
	}
	return ""
}

// repeatable tells whether the engine rolled the transaction back for reasons of timing only
// (serialization_failure, deadlock_detected).
func repeatable(err error) bool {
	c := code(err)
	return c == "40001" || c == "40P01"
}

// isUnique tells whether a unique index refused the row.
func isUnique(err error) bool { return code(err) == "23505" }

// translate gives engine errors the contract's meaning and leaves the contract's own alone.
func translate(ctx context.Context, err error) error {
	if err == nil || contract(err) {
		return err
	}
	if ctx.Err() != nil {
		return fmt.Errorf("postgres: %w: %w", ctx.Err(), err)
	}
	if unavailable(err) {
		return fmt.Errorf("postgres: %w: %w", store.ErrUnavailable, err)
	}
	return fmt.Errorf("postgres: %w", err)
}

// unavailable tells whether the server could not be reached, was busy or was going down, by the classes of
// PostgreSQL's error codes: 08 connection, 40 rollback, 53 resources, 55 not in a state to, 57 operator, 58 system.
func unavailable(err error) bool {
	if c := code(err); c != "" {
		switch c[:2] {
		case "08", "40", "53", "55", "57", "58":
			return true
		}
		return false
	}
	var connect *pgconn.ConnectError
	var network net.Error
	return errors.As(err, &connect) || errors.As(err, &network) || pgconn.SafeToRetry(err) ||
		errors.Is(err, net.ErrClosed) || strings.Contains(err.Error(), "unexpected EOF") || strings.Contains(err.Error(), "conn closed")
}

func contract(err error) bool {
	for _, is := range []error{store.ErrNotFound, store.ErrExists, store.ErrSpent, store.ErrCorrupt, store.ErrClosed} {
		if errors.Is(err, is) {
			return true
		}
	}
	var (
		mismatch *store.RevisionMismatch
		conflict *store.EntryConflict
		invalid  *store.Invalid
		large    *store.TooLarge
		over     *store.OverQuota
	)
	return errors.As(err, &mismatch) || errors.As(err, &conflict) || errors.As(err, &invalid) || errors.As(err, &large) || errors.As(err, &over)
}
