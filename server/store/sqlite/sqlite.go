// Package sqlite keeps the journal in one SQLite file, the default when nothing else is installed.
package sqlite

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"sync"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/migrate"
	"roodbeam/server/store/internal/wake"
)

// FileName is the name of the database file in the folder given to Open. SQLite keeps two more beside it, with
// -wal and -shm behind the name; all three belong together.
const FileName = "roodbeam.sqlite"

// readers bounds the connections that read at once; WAL lets them run beside the writer.
const readers = 4

//go:embed migrations/*.sql
var migrations embed.FS

// Store is a store.Journal in one file.
type Store struct {
	// write has one connection and begins every transaction by taking the write lock: no transaction finds out
	// halfway that another one wrote first.
	write *sql.DB
	read  *sql.DB
	hub   wake.Hub

	mu     sync.RWMutex // held for reading while a call runs
	closed bool
}

var _ store.Journal = (*Store)(nil)

// Open opens the database in the folder, creating both where missing (folder 0700, file 0600), and brings its
// schema up to date.
func Open(ctx context.Context, folder string) (*Store, error) {
	path, err := create(folder)
	if err != nil {
		return nil, fmt.Errorf("sqlite: %w", err)
	}
	s := &Store{}
	if s.write, err = sql.Open("sqlite", dsn(path, "_txlock=immediate")); err != nil {
		return nil, fmt.Errorf("sqlite: %w", err)
	}
	s.write.SetMaxOpenConns(1)
	if err := s.migrate(ctx); err != nil {
		return nil, errors.Join(fmt.Errorf("sqlite: %s: %w", path, err), s.write.Close())
	}
	if s.read, err = sql.Open("sqlite", dsn(path, "mode=ro")); err != nil {
		return nil, errors.Join(fmt.Errorf("sqlite: %w", err), s.write.Close())
	}
	s.read.SetMaxOpenConns(readers)
	s.read.SetMaxIdleConns(readers)
	return s, nil
}

// create makes sure that folder and file exist, also after a power cut, and returns the path of the file.
func create(folder string) (string, error) {
	path, err := filepath.Abs(filepath.Join(folder, FileName))
	if err != nil {
		return "", err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return "", err
	}
	// SQLite gives the files beside it the same mode.
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return "", err
	}
	if err := f.Close(); err != nil {
		return "", err
	}
	dir, err := os.Open(filepath.Dir(path))
	if err != nil {
		return "", err
	}
	return path, errors.Join(dir.Sync(), dir.Close())
}

func dsn(path, mode string) string {
	return "file:" + (&url.URL{Path: path}).EscapedPath() + "?" + mode +
		"&_pragma=busy_timeout(5000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)"
}

func (s *Store) migrate(ctx context.Context) error {
	steps, err := migrate.Steps(migrations, "migrations")
	if err != nil {
		return err
	}
	tx, err := s.write.BeginTx(ctx, nil) // holds the write lock: two programs starting at once take turns
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if _, err := tx.ExecContext(ctx, `CREATE TABLE IF NOT EXISTS schema_steps (number INTEGER PRIMARY KEY, title TEXT NOT NULL) STRICT`); err != nil {
		return err
	}
	done, err := collect(ctx, tx, func(r row) (d struct {
		number int
		title  string
	}, err error) {
		return d, r.Scan(&d.number, &d.title)
	}, `SELECT number, title FROM schema_steps`)
	if err != nil {
		return err
	}
	taken := map[int]string{}
	for _, d := range done {
		taken[d.number] = d.title
	}
	todo, err := migrate.Pending(steps, taken)
	if err != nil {
		return err
	}
	for _, m := range todo {
		if _, err := tx.ExecContext(ctx, m.SQL); err != nil {
			return fmt.Errorf("schema step %04d %s: %w", m.Number, m.Title, err)
		}
		if _, err := tx.ExecContext(ctx, `INSERT INTO schema_steps (number, title) VALUES (?, ?)`, m.Number, m.Title); err != nil {
			return err
		}
	}
	return tx.Commit()
}

// Ping implements store.Journal.
func (s *Store) Ping(ctx context.Context) error {
	return s.run(ctx, func() error {
		var one int
		return s.read.QueryRowContext(ctx, `SELECT 1 FROM schema_steps`).Scan(&one)
	})
}

// Close implements store.Journal.
func (s *Store) Close() error {
	s.hub.Close()
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil
	}
	s.closed = true
	return errors.Join(s.read.Close(), s.write.Close()) // the writer last: it takes the log back into the file
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

// change runs f in a transaction that holds the write lock, and commits it.
func (s *Store) change(ctx context.Context, f func(tx *sql.Tx) error) error {
	return s.run(ctx, func() error { return inTx(ctx, s.write, f) })
}

// view runs f on one snapshot.
func (s *Store) view(ctx context.Context, f func(tx *sql.Tx) error) error {
	return s.run(ctx, func() error { return inTx(ctx, s.read, f) })
}

func inTx(ctx context.Context, db *sql.DB, f func(tx *sql.Tx) error) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	if err := f(tx); err != nil {
		return err
	}
	return tx.Commit()
}

// translate gives engine errors the contract's meaning and leaves the contract's own alone.
func translate(ctx context.Context, err error) error {
	if err == nil || contract(err) {
		return err
	}
	if ctx.Err() != nil {
		return fmt.Errorf("sqlite: %w: %w", ctx.Err(), err)
	}
	var e *sqlite.Error
	if errors.As(err, &e) {
		switch e.Code() & 0xff { // the low byte is the primary code
		case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR,
			sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_NOMEM:
			return fmt.Errorf("sqlite: %w: %w", store.ErrUnavailable, err)
		}
	}
	return fmt.Errorf("sqlite: %w", err)
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

// isUnique tells whether a unique index refused the row.
func isUnique(err error) bool {
	var e *sqlite.Error
	return errors.As(err, &e) && (e.Code() == sqlite3.SQLITE_CONSTRAINT_UNIQUE || e.Code() == sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY)
}
