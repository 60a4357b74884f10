package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

func testRefused(s *setup) {
	id := s.project()
	long := strings.Repeat("x", store.MaxTextBytes+1)
	for _, c := range []struct {
		field  string
		large  bool
		change func(*store.Entry)
	}{
		{"entries[0].id", false, func(e *store.Entry) { e.ID = uuid.Nil }},
		{"entries[0].kind", false, func(e *store.Entry) { e.Kind = "" }},
		{"entries[0].kind", true, func(e *store.Entry) { e.Kind = long }},
		{"entries[0].actor", false, func(e *store.Entry) { e.Actor = "a\x00b" }},
		{"entries[0].role", false, func(e *store.Entry) { e.Role = "\xff" }},
		{"entries[0].payload", true, func(e *store.Entry) { e.Payload = make([]byte, store.MaxPayloadBytes+1) }},
		{"entries[0].effects[0].kind", false, func(e *store.Entry) { e.Effects[0].Kind = "" }},
		{"entries[0].effects[0].id", false, func(e *store.Entry) { e.Effects[0].ID = "" }},
		{"entries[0].effects[0].id", true, func(e *store.Entry) { e.Effects[0].ID = long }},
		{"entries[0].effects[0].payload", false, func(e *store.Entry) { e.Effects[0].Delete = true }},
		{"entries[0].effects[0].payload", true, func(e *store.Entry) { e.Effects[0].Payload = make([]byte, store.MaxPayloadBytes+1) }},
		{"entries[0].members[0].person", false, func(e *store.Entry) { e.Members = make([]store.MemberEffect, 1) }},
	} {
		e := entry("a", "x")
		c.change(&e)
		_, err := s.Append(s.ctx, id, []store.Entry{e}, nil)
		if c.large {
			s.tooLarge(c.field, err)
		} else {
			s.invalid(c.field, err)
		}
	}
	_, err := s.Append(s.ctx, id, nil, nil)
	s.invalid("entries", err)
	_, err = s.Append(s.ctx, id, make([]store.Entry, store.MaxEntriesPerAppend+1), nil)
	s.tooLarge("entries", err)
	_, err = s.Append(s.ctx, uuid.Nil, []store.Entry{entry("a", "x")}, nil)
	s.invalid("project", err)
	_, err = s.Append(s.ctx, id, []store.Entry{entry("a", "x")}, store.At(-1))
	s.invalid("expected", err)
	_, err = s.Document(s.ctx, id, "a\x00", "b")
	s.invalid("kind", err)
	_, err = s.History(s.ctx, id, store.HistoryQuery{Kinds: []string{"x", "\xff"}}, store.Page{})
	s.invalid("kinds[1]", err)
	_, err = s.ListProjects(s.ctx, store.ProjectFilter{Text: "\x00"}, store.Page{})
	s.invalid("filter.text", err)
	s.tooLarge("summary.name", s.PutSummary(s.ctx, id, store.Summary{Name: long}))
	s.invalid("summary.open_stops", s.PutSummary(s.ctx, id, store.Summary{OpenStops: -1}))
	s.invalid("person.created", s.PutPerson(s.ctx, store.Person{ID: newID()}))
	s.invalid("token.secret", s.PutToken(s.ctx, store.Token{ID: newID(), Role: "viewer", Created: start}))
	s.invalid("at", s.RevokeToken(s.ctx, newID(), time.Time{}))
	head, err := s.Head(s.ctx, id)
	same(s, "head after all that", must(s, head, err), store.Revision(1))
}

// testLarge stores a document of 1 MiB and of the limit, texts of the limit, and as many entries as one call may have.
func testLarge(s *setup) {
	id := s.project()
	for _, n := range []int{1 << 20, store.MaxPayloadBytes} {
		b := bytes.Repeat([]byte{0xff, 0x00, 'a', '\''}, n/4)
		e := entry("large", "")
		e.Payload, e.Effects[0].Payload = b, b
		s.append(id, nil, e)
		d, err := s.Document(s.ctx, id, "measurement", "large")
		s.ok(err)
		got, err := s.Entry(s.ctx, id, e.ID)
		s.ok(err)
		if !bytes.Equal(d.Payload, b) || !bytes.Equal(got.Payload, b) {
			s.Errorf("%d bytes came back changed", n)
		}
	}
	name := strings.Repeat("\ufdfa", store.MaxTextBytes/3) // folds to eleven times its size
	e := entry(name, "x")
	e.Kind, e.Effects[0].Kind, e.Actor = name, name, name
	s.append(id, nil, e)
	s.ok(s.PutSummary(s.ctx, id, store.Summary{Name: name, Town: name, Region: name, Status: name, Owner: name, InputHash: name}))
	s.ok(s.PutPerson(s.ctx, store.Person{ID: newID(), Name: name, Email: name, Created: start}))

	var many []store.Entry
	for i := range store.MaxEntriesPerAppend {
		many = append(many, entry(fmt.Sprint(i), "x"))
	}
	before, err := s.Head(s.ctx, id)
	s.ok(err)
	r := s.append(id, &before, many...)
	same(s, "revision", r.Revision, before+store.MaxEntriesPerAppend)
	same(s, "repeat", s.append(id, nil, many...).Revision, r.Revision)
	h, err := s.History(s.ctx, id, store.HistoryQuery{}, store.Page{Size: 10 * store.MaxPageSize})
	same(s, "longest page", len(must(s, h, err).Entries), store.MaxPageSize)
	h, err = s.History(s.ctx, id, store.HistoryQuery{}, store.Page{})
	same(s, "usual page", len(must(s, h, err).Entries), store.DefaultPageSize)
}

func testCancelled(s *setup) {
	id := s.project()
	ctx, cancel := context.WithCancel(s.ctx)
	cancel()
	_, err := s.Append(ctx, id, []store.Entry{entry("a", "x")}, nil)
	s.is("append", err, context.Canceled)
	_, err = s.Documents(ctx, id)
	s.is("documents", err, context.Canceled)
	_, err = s.History(ctx, id, store.HistoryQuery{}, store.Page{})
	s.is("history", err, context.Canceled)
	_, err = s.Watch(ctx, id, 0)
	s.is("watch", err, context.Canceled)
	_, err = s.PutBlob(ctx, []byte("x"), "text/plain")
	s.is("blob", err, context.Canceled)
	s.is("ping", s.Ping(ctx), context.Canceled)
	past, cancel := context.WithDeadline(s.ctx, time.Unix(0, 0))
	defer cancel()
	_, err = s.Append(past, id, []store.Entry{entry("a", "x")}, nil)
	s.is("append past its deadline", err, context.DeadlineExceeded)
	head, err := s.Head(s.ctx, id)
	same(s, "head", must(s, head, err), store.Revision(1))
	s.ok(s.Ping(s.ctx))
}

// testCancelRace cancels calls at any moment: each either happened whole or not at all, an acknowledged one did, and
// the store goes on working.
func testCancelRace(s *setup) {
	id := s.project()
	var mu sync.Mutex
	acknowledged := map[uuid.UUID]bool{}
	race(s, func(i int) error {
		for n := range 10 {
			ctx, cancel := context.WithTimeout(s.ctx, time.Duration(n*n*20)*time.Microsecond)
			a, b := entry(fmt.Sprintf("%d-%d", i, n), "a"), entry(fmt.Sprintf("%d-%d", i, n), "b")
			_, err := s.Append(ctx, id, []store.Entry{a, b}, nil)
			cancel()
			if err != nil && !errors.Is(err, context.DeadlineExceeded) {
				return err
			}
			mu.Lock()
			acknowledged[a.ID], acknowledged[b.ID] = err == nil, err == nil
			mu.Unlock()
		}
		return nil
	})
	all := walk(s, 100, func(p store.Page) ([]store.Entry, string, error) {
		h, err := s.History(s.ctx, id, store.HistoryQuery{After: 1}, p)
		return h.Entries, h.Next, err
	})
	for i := 0; i < len(all); i += 2 {
		if i+1 == len(all) || string(all[i].Payload) != "a" || string(all[i+1].Payload) != "b" {
			s.Fatal("half a call was written")
		}
	}
	for _, e := range all {
		delete(acknowledged, e.ID)
	}
	for id, ok := range acknowledged {
		if ok {
			s.Errorf("entry %s was acknowledged and is gone", id)
		}
	}
	state, err := s.Documents(s.ctx, id)
	same(s, "documents", len(must(s, state, err).Docs), len(all)/2+1)
}

func testClose(s *setup) {
	id := s.project()
	s.ok(s.Close())
	s.ok(s.Close())
	_, err := s.Head(s.ctx, id)
	s.is("head", err, store.ErrClosed)
	_, err = s.Append(s.ctx, id, []store.Entry{entry("a", "x")}, nil)
	s.is("append", err, store.ErrClosed)
	_, err = s.ListProjects(s.ctx, store.ProjectFilter{}, store.Page{})
	s.is("list", err, store.ErrClosed)
	s.is("ping", s.Ping(s.ctx), store.ErrClosed)
}

// testOpenTogether opens new data several times at once: the schema is made once, and all see the same.
func testOpenTogether(s *setup) {
	opened := make(chan store.Journal, racers)
	race(s, func(int) error {
		j, err := s.open()
		if err == nil {
			opened <- j
		}
		return err
	})
	close(opened)
	id, expected := newID(), store.Revision(0)
	for j := range opened {
		r, err := j.Append(s.ctx, id, []store.Entry{entry("a", "x")}, &expected)
		s.ok(err)
		expected = r.Revision
		s.ok(j.Close())
	}
	same(s, "revision", expected, store.Revision(racers))
}

// testMany reads back a long journal, a large project and a long list.
func testMany(s *setup) {
	calls, projects := 3, 100
	if full {
		calls, projects = 60, 3000
	}
	id, n := newID(), 0
	for c := range calls {
		var entries []store.Entry
		for range store.MaxEntriesPerAppend {
			entries = append(entries, entry(fmt.Sprint(n), fmt.Sprint(n)))
			n++
		}
		if c == 0 {
			s.append(id, store.At(0), entries...)
		} else {
			s.append(id, nil, entries...)
		}
	}
	for _, newest := range []bool{false, true} {
		revs := s.history(id, store.HistoryQuery{NewestFirst: newest}, store.MaxPageSize)
		same(s, "entries", len(revs), n)
		for i, r := range revs {
			want := store.Revision(i + 1)
			if newest {
				want = store.Revision(n - i)
			}
			if r != want {
				s.Fatalf("entry %d has revision %d, want %d", i, r, want)
			}
		}
	}
	state, err := s.Documents(s.ctx, id)
	same(s, "documents", len(must(s, state, err).Docs), n)

	for i := range projects - 1 {
		s.summarised(start.Add(time.Duration(i/10)*time.Second), store.Summary{Name: fmt.Sprint("church ", i%7), OpenStops: i % 2})
	}
	for _, order := range []store.ProjectOrder{store.ByUpdated, store.ByName} {
		seen := map[uuid.UUID]bool{}
		for _, p := range s.list(store.ProjectFilter{Order: order}, 33) {
			seen[p] = true
		}
		same(s, "projects", len(seen), projects)
	}
}

// testReopen closes while calls run, opens again and finds everything that was acknowledged.
func testReopen(s *setup) {
	id := s.project()
	h, err := s.PutBlob(s.ctx, []byte("a photo"), "image/png")
	s.ok(err)
	var mu sync.Mutex
	var acknowledged []uuid.UUID
	time.AfterFunc(20*time.Millisecond, func() { _ = s.Close() })
	race(s, func(int) error {
		for {
			e := entry("a", "x")
			_, err := s.Append(s.ctx, id, []store.Entry{e}, nil)
			if errors.Is(err, store.ErrClosed) {
				return nil
			}
			if err != nil {
				return err
			}
			mu.Lock()
			acknowledged = append(acknowledged, e.ID)
			mu.Unlock()
		}
	})
	again := s.another()
	for _, e := range acknowledged {
		_, err := again.Entry(s.ctx, id, e)
		s.ok(err)
	}
	head, err := again.Head(s.ctx, id)
	same(s, "head", must(s, head, err), store.Revision(len(acknowledged)+1))
	has, err := again.HasBlob(s.ctx, h)
	same(s, "blob", must(s, has, err), true)
}
