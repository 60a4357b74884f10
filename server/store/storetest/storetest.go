// Package storetest is the suite that every store engine passes, the contract of package store as tests.
package storetest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/google/uuid"

	"roodbeam/server/store"
)

// Open opens the same data each time it is called, as several servers on one database would.
type Open func() (store.Journal, error)

// Exceptions names where an engine is known to do less than the contract allows it to.
type Exceptions struct {
	// WatchOwnOnly: watchers learn of appends made through the same Journal only.
	WatchOwnOnly bool
}

// Run runs the suite. newData makes new, empty data and returns how to open it; it is removed with the test.
func Run(t *testing.T, newData func(t *testing.T) Open, ex Exceptions) {
	for _, c := range []struct {
		name string
		test func(*setup)
	}{
		{"OpenTogether", testOpenTogether},
		{"Create", testCreate},
		{"RoundTrip", testRoundTrip},
		{"Repeat", testRepeat},
		{"RepeatRace", testRepeatRace},
		{"Conflict", testConflict},
		{"Mismatch", testMismatch},
		{"Atomic", testAtomic},
		{"CreateRace", testCreateRace},
		{"NoLostUpdate", testNoLostUpdate},
		{"AddOnlyRace", testAddOnlyRace},
		{"Snapshot", testSnapshot},
		{"Documents", testDocuments},
		{"History", testHistory},
		{"PageTokens", testPageTokens},
		{"Watch", testWatch},
		{"WatchEnds", testWatchEnds},
		{"WatchReplica", func(s *setup) { testWatchReplica(s, ex) }},
		{"Summary", testSummary},
		{"List", testList},
		{"ListPages", testListPages},
		{"Members", testMembers},
		{"Blobs", testBlobs},
		{"People", testPeople},
		{"Tokens", testTokens},
		{"Invitations", testInvitations},
		{"InvitationRace", testInvitationRace},
		{"Accept", testAccept},
		{"AcceptRace", testAcceptRace},
		{"Pieces", testPieces},
		{"Unicode", testUnicode},
		{"Refused", testRefused},
		{"Large", testLarge},
		{"Times", testTimes},
		{"Cancelled", testCancelled},
		{"CancelRace", testCancelRace},
		{"Close", testClose},
		{"Reopen", testReopen},
		{"Many", testMany},
		{"Model", testModel},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := &setup{T: t, ctx: t.Context(), open: newData(t)}
			if c.name != "OpenTogether" {
				s.Journal = s.another()
			}
			c.test(s)
		})
	}
}

// patience bounds every wait for something that should happen at once; it is long because machines may be loaded,
// and costs nothing where the test passes.
const patience = 30 * time.Second

// full asks for the long versions of some tests.
var full = os.Getenv("ROODBEAM_FULL") != ""

// racers is how many goroutines compete where a test is about competition.
const racers = 8

// setup is one test's store.
type setup struct {
	*testing.T
	store.Journal
	ctx  context.Context
	open Open
}

// another opens the data once more.
func (s *setup) another() store.Journal {
	s.Helper()
	j, err := s.open()
	if err != nil {
		s.Fatalf("open: %v", err)
	}
	s.Cleanup(func() {
		if err := j.Close(); err != nil {
			s.Errorf("close: %v", err)
		}
	})
	return j
}

// start is when the tests' clocks begin: a time with microseconds in it.
var start = time.Date(2026, 3, 1, 9, 30, 15, 123_456_000, time.UTC)

func newID() uuid.UUID { return uuid.Must(uuid.NewV7()) }

// entry returns a valid entry that puts what it says into a document.
func entry(docID, says string) store.Entry {
	return store.Entry{
		ID: newID(), Actor: "actor", Role: "designer", Time: start, Kind: "measurement.added", SchemaVersion: 1,
		Payload: []byte(says),
		Effects: []store.Effect{{Kind: "measurement", ID: docID, Payload: []byte(says)}},
	}
}

// must ends the test on an error.
func must[T any](s *setup, v T, err error) T {
	s.Helper()
	if err != nil {
		s.Fatal(err)
	}
	return v
}

func (s *setup) ok(err error) {
	s.Helper()
	if err != nil {
		s.Fatal(err)
	}
}

// append ends the test on an error.
func (s *setup) append(project uuid.UUID, expected *store.Revision, entries ...store.Entry) store.Receipt {
	s.Helper()
	r, err := s.Append(s.ctx, project, entries, expected)
	return must(s, r, err)
}

// project creates a project with one entry, at revision 1.
func (s *setup) project() uuid.UUID {
	s.Helper()
	id := newID()
	s.append(id, store.At(0), entry("first", "created"))
	return id
}

// same compares, taking nil and empty for the same.
func same(s *setup, what string, got, want any) {
	s.Helper()
	if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
		s.Errorf("%s (-want +got):\n%s", what, d)
	}
}

func (s *setup) is(what string, err, want error) {
	s.Helper()
	if !errors.Is(err, want) {
		s.Errorf("%s: error %v, want %v", what, err, want)
	}
}

// invalid expects *store.Invalid for the field.
func (s *setup) invalid(field string, err error) {
	s.Helper()
	var e *store.Invalid
	if !errors.As(err, &e) || e.Field != field {
		s.Errorf("error %v, want *Invalid of %s", err, field)
	}
}

// tooLarge expects *store.TooLarge for the field.
func (s *setup) tooLarge(field string, err error) {
	s.Helper()
	var e *store.TooLarge
	if !errors.As(err, &e) || e.Field != field {
		s.Errorf("error %v, want *TooLarge of %s", err, field)
	}
}

// revisions returns 'revision' or 'revision known' per place.
func revisions(r store.Receipt) []string {
	var out []string
	for _, p := range r.Entries {
		text := fmt.Sprint(p.Revision)
		if p.Known {
			text += " known"
		}
		out = append(out, text)
	}
	return out
}
