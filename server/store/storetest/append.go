package storetest

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"sync"
	"sync/atomic"

	"roodbeam/server/store"
)

func testCreate(s *setup) {
	id := newID()
	_, err := s.Append(s.ctx, id, []store.Entry{entry("a", "x")}, nil)
	s.is("add-only to an unknown project", err, store.ErrNotFound)
	_, err = s.Head(s.ctx, id)
	s.is("head of an unknown project", err, store.ErrNotFound)
	_, err = s.Documents(s.ctx, id)
	s.is("documents of an unknown project", err, store.ErrNotFound)
	_, err = s.Document(s.ctx, id, "measurement", "a")
	s.is("document of an unknown project", err, store.ErrNotFound)
	_, err = s.History(s.ctx, id, store.HistoryQuery{}, store.Page{})
	s.is("history of an unknown project", err, store.ErrNotFound)
	_, err = s.Entry(s.ctx, id, newID())
	s.is("entry of an unknown project", err, store.ErrNotFound)
	_, err = s.Project(s.ctx, id)
	s.is("row of an unknown project", err, store.ErrNotFound)

	r := s.append(id, store.At(0), entry("a", "x"), entry("b", "y"))
	same(s, "revision", r.Revision, store.Revision(2))
	same(s, "places", revisions(r), []string{"1", "2"})
	head, err := s.Head(s.ctx, id)
	same(s, "head", must(s, head, err), store.Revision(2))
	r = s.append(id, nil, entry("c", "z"))
	same(s, "places of an add-only entry", revisions(r), []string{"3"})
}

func testRoundTrip(s *setup) {
	id := newID()
	e := entry("a", "x")
	e.Payload = []byte{0, 1, 254, 255}
	s.append(id, store.At(0), e)
	want := e
	want.Project, want.Revision, want.Effects = id, 1, nil
	got, err := s.Entry(s.ctx, id, e.ID)
	same(s, "entry", must(s, got, err), want)

	bare := store.Entry{ID: newID(), Time: start, Kind: "question.asked"}
	s.append(id, nil, bare)
	bare.Project, bare.Revision = id, 2
	got, err = s.Entry(s.ctx, id, bare.ID)
	same(s, "entry without payload", must(s, got, err), bare)
}

func testRepeat(s *setup) {
	id := s.project()
	a, b, c := entry("a", "1"), entry("b", "1"), entry("c", "1")
	same(s, "first", revisions(s.append(id, nil, a, b)), []string{"2", "3"})
	s.append(id, nil, entry("a", "newer"))

	// The server's own words may differ on a repeat: the entry counts as the same.
	again := a
	again.Time, again.Actor, again.Effects = start.AddDate(0, 0, 1), "someone else", nil
	r := s.append(id, nil, again)
	same(s, "repeat", revisions(r), []string{"2 known"})
	same(s, "revision of a repeat", r.Revision, store.Revision(4))
	same(s, "repeat in part", revisions(s.append(id, nil, b, c, a, c)), []string{"3 known", "5", "2 known", "5 known"})
	same(s, "repeat at a passed revision", revisions(s.append(id, store.At(1), a, c)), []string{"2 known", "5 known"})

	d, err := s.Document(s.ctx, id, "measurement", "a")
	same(s, "document after a repeat", string(must(s, d, err).Payload), "newer")
	e, err := s.Entry(s.ctx, id, a.ID)
	same(s, "time after a repeat", must(s, e, err).Time, a.Time)
	h, err := s.History(s.ctx, id, store.HistoryQuery{}, store.Page{})
	same(s, "entries", len(must(s, h, err).Entries), 5)

	// Ids are compared within the project only.
	other := s.project()
	same(s, "same id in another project", revisions(s.append(other, nil, a)), []string{"2"})
}

func testRepeatRace(s *setup) {
	id := s.project()
	e := entry("a", "1")
	var fresh atomic.Int32
	race(s, func(int) error {
		r, err := s.Append(s.ctx, id, []store.Entry{e}, nil)
		if err == nil && !r.Entries[0].Known {
			fresh.Add(1)
		}
		return err
	})
	same(s, "times written", fresh.Load(), int32(1))
	head, err := s.Head(s.ctx, id)
	same(s, "head", must(s, head, err), store.Revision(2))
}

func testConflict(s *setup) {
	id := s.project()
	a := entry("a", "1")
	s.append(id, nil, a)
	for name, change := range map[string]func(*store.Entry){
		"payload": func(e *store.Entry) { e.Payload = []byte("2") },
		"kind":    func(e *store.Entry) { e.Kind = "photo.added" },
		"version": func(e *store.Entry) { e.SchemaVersion++ },
	} {
		other := a
		change(&other)
		_, err := s.Append(s.ctx, id, []store.Entry{entry("b", "1"), other}, nil)
		var conflict *store.EntryConflict
		if !errors.As(err, &conflict) {
			s.Fatalf("other %s: error %v, want *EntryConflict", name, err)
		}
		same(s, "conflict", *conflict, store.EntryConflict{Project: id, Entry: a.ID, Revision: 2})
	}
	b, c := entry("b", "1"), entry("b", "2")
	c.ID = b.ID
	_, err := s.Append(s.ctx, id, []store.Entry{b, c}, nil)
	var conflict *store.EntryConflict
	if !errors.As(err, &conflict) || conflict.Revision != 0 {
		s.Errorf("within one call: error %v, want *EntryConflict without revision", err)
	}
	head, err := s.Head(s.ctx, id)
	same(s, "head", must(s, head, err), store.Revision(2))
	_, err = s.Document(s.ctx, id, "measurement", "b")
	s.is("document of a refused call", err, store.ErrNotFound)
}

func testMismatch(s *setup) {
	id := s.project()
	s.append(id, store.At(1), entry("a", "1"))
	for _, expected := range []store.Revision{0, 1, 3} {
		_, err := s.Append(s.ctx, id, []store.Entry{entry("a", "2")}, &expected)
		var m *store.RevisionMismatch
		if !errors.As(err, &m) {
			s.Fatalf("at %d: error %v, want *RevisionMismatch", expected, err)
		}
		same(s, "mismatch", *m, store.RevisionMismatch{Project: id, Expected: expected, Actual: 2})
	}
	unknown := newID()
	_, err := s.Append(s.ctx, unknown, []store.Entry{entry("a", "2")}, store.At(1))
	var m *store.RevisionMismatch
	if !errors.As(err, &m) || m.Actual != 0 {
		s.Errorf("unknown project: error %v, want *RevisionMismatch with actual 0", err)
	}
	d, err := s.Document(s.ctx, id, "measurement", "a")
	same(s, "document", string(must(s, d, err).Payload), "1")
}

func testAtomic(s *setup) {
	stranger := entry("c", "3")
	stranger.Members = []store.MemberEffect{{Person: newID(), Role: "volunteer"}}
	fresh := newID()
	_, err := s.Append(s.ctx, fresh, []store.Entry{entry("a", "1"), stranger}, store.At(0))
	s.is("membership of an unknown person", err, store.ErrNotFound)
	_, err = s.Head(s.ctx, fresh)
	s.is("project of a refused call", err, store.ErrNotFound)

	id := s.project()
	before, err := s.Documents(s.ctx, id)
	s.ok(err)
	_, err = s.Append(s.ctx, id, []store.Entry{entry("first", "other"), entry("b", "2"), stranger}, nil)
	s.is("membership of an unknown person", err, store.ErrNotFound)
	after, err := s.Documents(s.ctx, id)
	same(s, "state after a refused call", must(s, after, err), before)
	// The id of a refused entry is free.
	stranger.Members = nil
	same(s, "sent again", revisions(s.append(id, nil, stranger)), []string{"2"})
}

// race runs f in several goroutines at once and ends the test on an error.
func race(s *setup, f func(i int) error) {
	s.Helper()
	var ready, done sync.WaitGroup
	ready.Add(racers)
	errs := make([]error, racers)
	for i := range racers {
		done.Go(func() {
			ready.Done()
			ready.Wait()
			errs[i] = f(i)
		})
	}
	done.Wait()
	if err := errors.Join(errs...); err != nil {
		s.Fatal(err)
	}
}

func testCreateRace(s *setup) {
	id := newID()
	var won atomic.Int32
	race(s, func(int) error {
		_, err := s.Append(s.ctx, id, []store.Entry{entry("a", "1")}, store.At(0))
		var m *store.RevisionMismatch
		switch {
		case err == nil:
			won.Add(1)
		case !errors.As(err, &m) || m.Actual != 1:
			return fmt.Errorf("error %w, want *RevisionMismatch with actual 1", err)
		}
		return nil
	})
	same(s, "creators", won.Load(), int32(1))
}

// testNoLostUpdate counts in a document, as a service edits one: read, change, append at the revision read.
func testNoLostUpdate(s *setup) {
	const each = 10
	id := newID()
	s.append(id, store.At(0), entry("counter", "0"))
	race(s, func(i int) error {
		j := s.Journal
		for n := 0; n < each; {
			state, err := j.Documents(s.ctx, id)
			if err != nil {
				return err
			}
			count, err := strconv.Atoi(string(state.Docs[0].Payload))
			if err != nil {
				return err
			}
			_, err = j.Append(s.ctx, id, []store.Entry{entry("counter", strconv.Itoa(count+1))}, &state.Revision)
			var m *store.RevisionMismatch
			switch {
			case err == nil:
				n++
			case !errors.As(err, &m):
				return err
			}
		}
		return nil
	})
	d, err := s.Document(s.ctx, id, "measurement", "counter")
	same(s, "count", string(must(s, d, err).Payload), strconv.Itoa(racers*each))
	same(s, "revision", d.Revision, store.Revision(racers*each+1))
}

func testAddOnlyRace(s *setup) {
	const each = 10
	id := s.project()
	taken := make([]atomic.Int32, racers*each*2+2)
	race(s, func(i int) error {
		var last store.Revision
		for n := range each {
			r, err := s.Append(s.ctx, id, []store.Entry{
				entry(fmt.Sprintf("%d-%d", i, n), "a"), entry(fmt.Sprintf("%d+%d", i, n), "b"),
			}, nil)
			if err != nil {
				return err
			}
			if r.Entries[0].Revision <= last || r.Entries[1].Revision != r.Entries[0].Revision+1 {
				return fmt.Errorf("revisions %v after %d", revisions(r), last)
			}
			last = r.Revision
			for _, p := range r.Entries {
				taken[p.Revision].Add(1)
			}
		}
		return nil
	})
	for rev := 2; rev < len(taken); rev++ {
		if n := taken[rev].Load(); n != 1 {
			s.Errorf("revision %d was given %d times", rev, n)
		}
	}
	state, err := s.Documents(s.ctx, id)
	same(s, "documents", len(must(s, state, err).Docs), racers*each*2+1)
}

// testSnapshot reads while two documents change together: a reader never sees one without the other.
func testSnapshot(s *setup) {
	const rounds = 40
	id := s.project()
	s.append(id, nil, entry("left", "0"), entry("right", "0"))
	ctx, stop := context.WithCancel(s.ctx)
	defer stop()
	wrote := make(chan error, 1)
	go func() {
		defer stop()
		for n := 1; n <= rounds; n++ {
			e := entry("left", strconv.Itoa(n))
			e.Effects = append(e.Effects, store.Effect{Kind: "measurement", ID: "right", Payload: e.Payload})
			if _, err := s.Append(s.ctx, id, []store.Entry{e}, nil); err != nil {
				wrote <- err
				return
			}
		}
		wrote <- nil
	}()
	reads := 0
	for ; ctx.Err() == nil || reads == 0; reads++ {
		state, err := s.Documents(s.ctx, id)
		s.ok(err)
		left, right := string(state.Docs[1].Payload), string(state.Docs[2].Payload)
		if left != right {
			s.Fatalf("revision %d holds left %s and right %s", state.Revision, left, right)
		}
		if n, _ := strconv.Atoi(left); n > 0 && state.Revision != store.Revision(n+3) {
			s.Fatalf("revision %d holds %s", state.Revision, left)
		}
	}
	s.ok(<-wrote)
}

func testDocuments(s *setup) {
	id := newID()
	e := store.Entry{ID: newID(), Time: start, Kind: "scheme.put", SchemaVersion: 7, Effects: []store.Effect{
		{Kind: "scheme", ID: "b", Payload: []byte("first")},
		{Kind: "scheme", ID: "B", Payload: []byte("capital")},
		{Kind: "brief", ID: "z", Payload: nil},
		{Kind: "scheme", ID: "ä", Payload: []byte("umlaut")},
		{Kind: "scheme", ID: "a", Payload: []byte("gone")},
		{Kind: "scheme", ID: "b", Payload: []byte("second")},
		{Kind: "scheme", ID: "a", Delete: true},
		{Kind: "scheme", ID: "never there", Delete: true},
		{Kind: "schema", ID: "b", Payload: []byte("other kind")},
	}}
	s.append(id, store.At(0), e)
	s.append(id, nil, store.Entry{ID: newID(), Time: start, Kind: "scheme.put", SchemaVersion: 8, Effects: []store.Effect{
		{Kind: "scheme", ID: "B", Payload: []byte("later")},
	}})
	state, err := s.Documents(s.ctx, id)
	same(s, "state", must(s, state, err), store.State{Project: id, Revision: 2, Docs: []store.Doc{
		{Kind: "brief", ID: "z", Revision: 1, SchemaVersion: 7},
		{Kind: "schema", ID: "b", Revision: 1, SchemaVersion: 7, Payload: []byte("other kind")},
		{Kind: "scheme", ID: "B", Revision: 2, SchemaVersion: 8, Payload: []byte("later")},
		{Kind: "scheme", ID: "b", Revision: 1, SchemaVersion: 7, Payload: []byte("second")},
		{Kind: "scheme", ID: "ä", Revision: 1, SchemaVersion: 7, Payload: []byte("umlaut")},
	}})
	d, err := s.Document(s.ctx, id, "scheme", "B")
	same(s, "document", must(s, d, err), state.Docs[2])
	_, err = s.Document(s.ctx, id, "scheme", "a")
	s.is("deleted document", err, store.ErrNotFound)
}
