package postgres

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roodbeam/server/store"
)

// channel carries 'project revision' from whoever appended to every server on the database.
const channel = "roodbeam_revision"

// listenerName is what the server shows as the application of the listening connection.
const listenerName = "roodbeam listener"

// Waits between attempts to listen again after the connection was lost.
const (
	firstWait  = 50 * time.Millisecond
	longestGap = 5 * time.Second
)

// Watch implements store.Projects; it sees appends of every server on the database.
func (s *Store) Watch(ctx context.Context, project uuid.UUID, after store.Revision) (<-chan store.Revision, error) {
	ch, cancel, err := s.hub.Watch(ctx, project, after) // before looking, so that nothing falls between
	if err != nil {
		return nil, err
	}
	if err := s.startListening(ctx); err != nil {
		cancel()
		return nil, err
	}
	rev, err := s.Head(ctx, project)
	if err != nil {
		cancel()
		return nil, err
	}
	s.hub.Publish(project, rev)
	return ch, nil
}

// startListening starts the one listener of this store when somebody watches for the first time.
func (s *Store) startListening(ctx context.Context) error {
	return s.run(ctx, func() error {
		s.listen.Do(func() { s.listening.Go(s.keepListening) })
		return nil
	})
}

// keepListening listens until the store closes. Whatever was missed without a connection is looked up when there
// is one again, so watchers only learn of it later.
func (s *Store) keepListening() {
	wait := firstWait
	for s.live.Err() == nil {
		heard := s.listenOnce()
		if heard {
			wait = firstWait
		}
		select {
		case <-s.live.Done():
		case <-time.After(wait):
		}
		wait = min(2*wait, longestGap)
	}
}

// listenOnce listens on one connection of its own until that breaks, and tells whether it came to listen at all.
func (s *Store) listenOnce() (heard bool) {
	cfg := s.pool.Config().ConnConfig
	cfg.RuntimeParams["application_name"] = listenerName
	conn, err := pgx.ConnectConfig(s.live, cfg)
	if err != nil {
		return false
	}
	defer func() {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(s.live), firstWait)
		defer cancel()
		_ = conn.Close(ctx) // a polite goodbye; the connection is gone either way
	}()
	if _, err := conn.Exec(s.live, `LISTEN `+channel); err != nil {
		return false
	}
	if err := s.catchUp(conn); err != nil {
		return false
	}
	for {
		n, err := conn.WaitForNotification(s.live)
		if err != nil {
			return true
		}
		if project, rev, ok := parseNotice(n.Payload); ok {
			s.hub.Publish(project, rev)
		}
	}
}

// catchUp publishes where every watched project stands now.
func (s *Store) catchUp(conn *pgx.Conn) error {
	rows, err := conn.Query(s.live, `SELECT id, revision FROM projects WHERE id = ANY ($1)`, s.hub.Projects())
	if err != nil {
		return err
	}
	var project uuid.UUID
	var rev store.Revision
	_, err = pgx.ForEachRow(rows, []any{&project, &rev}, func() error {
		s.hub.Publish(project, rev)
		return nil
	})
	return err
}

func notice(project uuid.UUID, rev store.Revision) string { return fmt.Sprintf("%s %d", project, rev) }

func parseNotice(s string) (uuid.UUID, store.Revision, bool) {
	id, number, ok := strings.Cut(s, " ")
	project, err := uuid.Parse(id)
	rev, err2 := strconv.ParseInt(number, 10, 64)
	return project, store.Revision(rev), ok && err == nil && err2 == nil
}
