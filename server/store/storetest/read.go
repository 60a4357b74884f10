package storetest

import (
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

// walk reads all pages of the given size and checks that none is longer and only the last one has no successor.
func walk[T any](s *setup, size int, next func(store.Page) ([]T, string, error)) []T {
	s.Helper()
	var all []T
	page := store.Page{Size: size}
	for range 1000 {
		part, token, err := next(page)
		s.ok(err)
		if len(part) > size || len(part) < size && token != "" {
			s.Fatalf("page of %d elements, asked for %d, next %q", len(part), size, token)
		}
		all = append(all, part...)
		if token == "" {
			return all
		}
		page.Token = token
	}
	s.Fatal("the list has no end")
	return nil
}

func (s *setup) history(id uuid.UUID, q store.HistoryQuery, size int) []store.Revision {
	s.Helper()
	return walk(s, size, func(p store.Page) (revs []store.Revision, next string, err error) {
		h, err := s.History(s.ctx, id, q, p)
		for _, e := range h.Entries {
			revs = append(revs, e.Revision)
		}
		return revs, h.Next, err
	})
}

func testHistory(s *setup) {
	id := newID()
	var entries []store.Entry
	for i := range 10 {
		e := entry("a", fmt.Sprint(i))
		e.Kind = []string{"measurement.added", "photo.added", "brief.put"}[i%3]
		e.Time = start.Add(-time.Duration(i) * time.Hour) // order is by revision, not by time
		entries = append(entries, e)
	}
	s.append(id, store.At(0), entries...)
	up := []store.Revision{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	down := slices.Clone(up)
	slices.Reverse(down)
	for size := 1; size <= 11; size++ {
		same(s, "upward", s.history(id, store.HistoryQuery{}, size), up)
		same(s, "downward", s.history(id, store.HistoryQuery{NewestFirst: true}, size), down)
		same(s, "after", s.history(id, store.HistoryQuery{After: 4}, size), up[4:])
		same(s, "after, downward", s.history(id, store.HistoryQuery{After: 4, NewestFirst: true}, size), down[:6])
		same(s, "kinds", s.history(id, store.HistoryQuery{Kinds: []string{"photo.added", "brief.put"}}, size),
			[]store.Revision{2, 3, 5, 6, 8, 9})
		same(s, "no such kind", s.history(id, store.HistoryQuery{Kinds: []string{"Photo.added"}}, size), []store.Revision(nil))
	}
	h, err := s.History(s.ctx, id, store.HistoryQuery{}, store.Page{Size: 1})
	want := entries[0]
	want.Project, want.Revision, want.Effects = id, 1, nil
	same(s, "entry", must(s, h, err).Entries[0], want)

	// What is appended meanwhile shows up behind the pages read already.
	s.append(id, nil, entry("a", "late"))
	h, err = s.History(s.ctx, id, store.HistoryQuery{}, store.Page{Size: 9, Token: h.Next})
	same(s, "second page", len(must(s, h, err).Entries), 9)
	h, err = s.History(s.ctx, id, store.HistoryQuery{}, store.Page{Size: 9, Token: h.Next})
	same(s, "third page", must(s, h, err).Entries[0].Revision, store.Revision(11))
}

func testPageTokens(s *setup) {
	id, other := s.project(), s.project()
	s.append(id, nil, entry("a", "1"), entry("b", "1"))
	s.append(other, nil, entry("a", "1"))
	h, err := s.History(s.ctx, id, store.HistoryQuery{}, store.Page{Size: 1})
	token := must(s, h, err).Next
	for name, call := range map[string]func() error{
		"another project": func() error {
			_, err := s.History(s.ctx, other, store.HistoryQuery{}, store.Page{Token: token})
			return err
		},
		"another query": func() error {
			_, err := s.History(s.ctx, id, store.HistoryQuery{NewestFirst: true}, store.Page{Token: token})
			return err
		},
		"another list": func() error {
			_, err := s.ListProjects(s.ctx, store.ProjectFilter{}, store.Page{Token: token})
			return err
		},
		"rubbish": func() error {
			_, err := s.ListPeople(s.ctx, store.Page{Token: "?%"})
			return err
		},
		"cut short": func() error {
			_, err := s.History(s.ctx, id, store.HistoryQuery{}, store.Page{Token: token[:len(token)-3]})
			return err
		},
	} {
		if err := call(); err == nil {
			s.Errorf("%s: no error", name)
		} else {
			s.invalid("page.token", err)
		}
	}
	_, err = s.History(s.ctx, id, store.HistoryQuery{}, store.Page{Size: -1})
	s.invalid("page.size", err)
	h, err = s.History(s.ctx, id, store.HistoryQuery{}, store.Page{Size: store.MaxPageSize + 1, Token: token})
	same(s, "an oversized page with the token of a smaller one", len(must(s, h, err).Entries), 2)
}

// receive waits for the next revision.
func receive(s *setup, ch <-chan store.Revision) store.Revision {
	s.Helper()
	select {
	case r, ok := <-ch:
		if !ok {
			s.Fatal("the watch ended")
		}
		return r
	case <-time.After(patience):
		s.Fatal("no revision came")
	}
	return 0
}

// ends waits until the watch has ended.
func ends(s *setup, ch <-chan store.Revision) {
	s.Helper()
	for {
		select {
		case _, ok := <-ch:
			if !ok {
				return
			}
		case <-time.After(patience):
			s.Fatal("the watch does not end")
		}
	}
}

func testWatch(s *setup) {
	id, other := s.project(), s.project()
	_, err := s.Watch(s.ctx, newID(), 0)
	s.is("watch of an unknown project", err, store.ErrNotFound)

	behind, err := s.Watch(s.ctx, id, 0)
	s.ok(err)
	same(s, "what was there already", receive(s, behind), store.Revision(1))
	level, err := s.Watch(s.ctx, id, 1)
	s.ok(err)
	s.append(other, nil, entry("a", "1"))
	s.append(id, nil, entry("a", "1"))
	same(s, "woken", receive(s, behind), store.Revision(2))
	same(s, "woken", receive(s, level), store.Revision(2))

	// A slow reader gets the newest, and never an older one after it.
	for range 20 {
		s.append(id, nil, entry("a", "1"))
	}
	last := store.Revision(2)
	for last < 22 {
		r := receive(s, level)
		if r <= last {
			s.Fatalf("revision %d after %d", r, last)
		}
		last = r
	}
	// A repeat changes nothing and wakes nobody.
	e := entry("a", "1")
	s.append(id, nil, e)
	same(s, "woken", receive(s, level), store.Revision(23))
	s.append(id, nil, e)
	s.append(id, nil, entry("a", "2"))
	same(s, "woken after a repeat", receive(s, level), store.Revision(24))
}

func testWatchEnds(s *setup) {
	id := s.project()
	ctx, cancel := context.WithCancel(s.ctx)
	one, err := s.Watch(ctx, id, 0)
	s.ok(err)
	two, err := s.Watch(s.ctx, id, 0)
	s.ok(err)
	cancel()
	ends(s, one)
	same(s, "the other watch", receive(s, two), store.Revision(1))
	s.append(id, nil, entry("a", "1"))
	same(s, "the other watch", receive(s, two), store.Revision(2))
	s.ok(s.Close())
	ends(s, two)
	_, err = s.Watch(s.ctx, id, 0)
	s.is("watch of a closed store", err, store.ErrClosed)
}

func testWatchReplica(s *setup, ex Exceptions) {
	id := s.project()
	replica := s.another()
	head, err := replica.Head(s.ctx, id)
	same(s, "head on the replica", must(s, head, err), store.Revision(1))
	ch, err := replica.Watch(s.ctx, id, 1)
	s.ok(err)
	s.append(id, nil, entry("a", "1"))
	head, err = replica.Head(s.ctx, id)
	same(s, "head on the replica", must(s, head, err), store.Revision(2))
	if ex.WatchOwnOnly {
		// It must still hear of its own, and then of everything.
		_, err := replica.Append(s.ctx, id, []store.Entry{entry("a", "2")}, nil)
		s.ok(err)
		same(s, "own append", receive(s, ch), store.Revision(3))
		return
	}
	same(s, "append elsewhere", receive(s, ch), store.Revision(2))
}

func testTimes(s *setup) {
	id := newID()
	zone := time.FixedZone("somewhere", 3*3600+1800)
	times := []time.Time{
		time.Date(2026, 7, 1, 12, 0, 0, 999_999_999, zone),
		time.Date(1969, 12, 31, 23, 59, 59, 1, time.UTC),
		time.Date(1066, 10, 14, 9, 0, 0, 123_456_789, time.UTC),
		time.Date(9999, 1, 1, 0, 0, 0, 1_000, time.UTC),
		time.Now(), // with a monotonic reading
	}
	var entries []store.Entry
	for i, t := range times {
		e := entry("a", fmt.Sprint(i))
		e.Time = t
		entries = append(entries, e)
	}
	s.append(id, store.At(0), entries...)
	for i, t := range times {
		e, err := s.Entry(s.ctx, id, entries[i].ID)
		s.ok(err)
		if want := t.UTC().Truncate(time.Microsecond); !e.Time.Equal(want) || e.Time.Location() != time.UTC {
			s.Errorf("time %v came back as %v", want, e.Time)
		}
		if e.Time != store.Trim(t) {
			s.Errorf("time %v is not identical to its Trim", e.Time)
		}
	}
	l, err := s.Project(s.ctx, id)
	same(s, "updated is the latest time", must(s, l, err).Updated, store.Trim(times[3]))

	for _, t := range []time.Time{{}, time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(-1, 1, 1, 0, 0, 0, 0, time.UTC)} {
		e := entry("a", "x")
		e.Time = t
		_, err := s.Append(s.ctx, id, []store.Entry{e}, nil)
		s.invalid("entries[0].time", err)
	}
}
