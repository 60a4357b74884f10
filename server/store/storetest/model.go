package storetest

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/google/uuid"
	"pgregory.net/rapid"

	"roodbeam/server/store"
)

// model is the contract said once more, as simply as can be: one project in slices and maps.
type model struct {
	project uuid.UUID
	entries []store.Entry // with Effects and Members
	docs    map[[2]string]store.Doc
	members map[uuid.UUID]store.Member
	people  map[uuid.UUID]bool
	summary store.Summary
	updated time.Time
}

// append does what store.Projects says of Append.
func (m *model) append(entries []store.Entry, expected *store.Revision) (store.Receipt, error) {
	all, docs, members, updated := slices.Clone(m.entries), clone(m.docs), clone(m.members), m.updated
	var r store.Receipt
	var failure error // the first, in the order of the contract: conflict, then revision, then people
	fresh := false
	for _, e := range entries {
		i := slices.IndexFunc(all, func(x store.Entry) bool { return x.ID == e.ID })
		if i >= 0 {
			x := all[i]
			if x.Kind != e.Kind || x.SchemaVersion != e.SchemaVersion || string(x.Payload) != string(e.Payload) {
				return store.Receipt{}, &store.EntryConflict{Project: m.project, Entry: e.ID, Revision: x.Revision * store.Revision(b2i(i < len(m.entries)))}
			}
			r.Entries = append(r.Entries, store.Placed{ID: e.ID, Revision: x.Revision, Known: true})
			continue
		}
		fresh = true
		e.Project, e.Revision, e.Time = m.project, store.Revision(len(all)+1), store.Trim(e.Time)
		all = append(all, e)
		r.Entries = append(r.Entries, store.Placed{ID: e.ID, Revision: e.Revision})
		if e.Time.After(updated) {
			updated = e.Time
		}
		for _, f := range e.Effects {
			delete(docs, [2]string{f.Kind, f.ID})
			if !f.Delete {
				docs[[2]string{f.Kind, f.ID}] = store.Doc{Kind: f.Kind, ID: f.ID, Revision: e.Revision, SchemaVersion: e.SchemaVersion, Payload: f.Payload}
			}
		}
		for _, p := range e.Members {
			if !m.people[p.Person] && failure == nil {
				failure = &store.NotFound{What: "person", ID: p.Person.String()}
			}
			delete(members, p.Person)
			if p.Role != "" {
				members[p.Person] = store.Member{Project: m.project, Person: p.Person, Role: p.Role, Since: e.Time}
			}
		}
	}
	head := store.Revision(len(m.entries))
	switch {
	case fresh && expected != nil && *expected != head:
		return store.Receipt{}, &store.RevisionMismatch{Project: m.project, Expected: *expected, Actual: head}
	case fresh && expected == nil && head == 0:
		return store.Receipt{}, &store.NotFound{What: "project", ID: m.project.String()}
	case failure != nil:
		return store.Receipt{}, failure
	}
	m.entries, m.docs, m.members, m.updated = all, docs, members, updated
	r.Revision = store.Revision(len(all))
	return r, nil
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func clone[K comparable, V any](m map[K]V) map[K]V {
	c := make(map[K]V, len(m))
	for k, v := range m {
		c[k] = v
	}
	return c
}

func (m *model) exists() error {
	if len(m.entries) == 0 {
		return &store.NotFound{What: "project", ID: m.project.String()}
	}
	return nil
}

func (m *model) state() store.State {
	s := store.State{Project: m.project, Revision: store.Revision(len(m.entries))}
	for _, d := range m.docs {
		s.Docs = append(s.Docs, d)
	}
	slices.SortFunc(s.Docs, func(a, b store.Doc) int {
		if c := strings.Compare(a.Kind, b.Kind); c != 0 {
			return c
		}
		return strings.Compare(a.ID, b.ID)
	})
	return s
}

func (m *model) history(q store.HistoryQuery) []store.Entry {
	var out []store.Entry
	for _, e := range m.entries {
		if e.Revision > q.After && (len(q.Kinds) == 0 || slices.Contains(q.Kinds, e.Kind)) {
			e.Effects, e.Members = nil, nil
			out = append(out, e)
		}
	}
	if q.NewestFirst {
		slices.Reverse(out)
	}
	return out
}

func (m *model) matches(f store.ProjectFilter) bool {
	s := m.summary
	_, member := m.members[f.Member]
	return len(m.entries) > 0 &&
		(strings.Contains(store.Fold(s.Name), store.Fold(f.Text)) || strings.Contains(store.Fold(s.Town), store.Fold(f.Text))) &&
		(f.Region == "" || f.Region == s.Region) && (f.Status == "" || f.Status == s.Status) && f.Owner == s.Owner &&
		(!f.OnlyOpenStops || s.OpenStops > 0) && (f.Member == uuid.Nil || member) && !m.updated.Before(store.Trim(f.UpdatedSince))
}

// testModel runs random calls on the store and on models and compares every answer. A failure prints how to run the
// same calls again.
func testModel(s *setup) {
	rounds := 1
	if full {
		rounds = 10
	}
	for range rounds {
		rapid.Check(s.T, func(t *rapid.T) { runModel(s, t) })
	}
}

func runModel(s *setup, t *rapid.T) {
	// Every run has projects, people and an owner of its own in the same store.
	run := newID()
	id := func(what string, i int) uuid.UUID { return uuid.NewSHA1(run, fmt.Append(nil, what, i)) }
	projects := []*model{}
	people := map[uuid.UUID]bool{}
	for i := range 3 {
		projects = append(projects, &model{
			project: id("project", i), docs: map[[2]string]store.Doc{}, members: map[uuid.UUID]store.Member{}, people: people,
		})
	}
	person := rapid.Custom(func(t *rapid.T) uuid.UUID { return id("person", rapid.IntRange(0, 2).Draw(t, "person")) })
	text := rapid.SampledFrom([]string{"a", "B", "é", "É", "zz"})
	when := rapid.Custom(func(t *rapid.T) time.Time {
		return start.Add(time.Duration(rapid.Int64Range(0, 5000).Draw(t, "ns")))
	})
	payload := rapid.SampledFrom([][]byte{nil, {0}, []byte("x"), []byte("é")})
	effect := rapid.Custom(func(t *rapid.T) store.Effect {
		f := store.Effect{Kind: text.Draw(t, "kind"), ID: text.Draw(t, "id"), Delete: rapid.Bool().Draw(t, "delete")}
		if !f.Delete {
			f.Payload = payload.Draw(t, "payload")
		}
		return f
	})
	member := rapid.Custom(func(t *rapid.T) store.MemberEffect {
		return store.MemberEffect{Person: person.Draw(t, "person"), Role: rapid.SampledFrom([]string{"", "owner", "viewer"}).Draw(t, "role")}
	})
	newEntry := rapid.Custom(func(t *rapid.T) store.Entry {
		e := store.Entry{
			ID: id("entry", rapid.IntRange(0, 40).Draw(t, "id")), Actor: text.Draw(t, "actor"), Time: when.Draw(t, "time"), Kind: "a",
			Effects: rapid.SliceOfN(effect, 0, 3).Draw(t, "effects"),
		}
		if rapid.IntRange(0, 3).Draw(t, "membership") == 0 {
			e.Members = rapid.SliceOfN(member, 1, 2).Draw(t, "members")
		}
		if rapid.IntRange(0, 9).Draw(t, "other content") == 0 {
			e.Kind, e.SchemaVersion, e.Payload = text.Draw(t, "kind"), rapid.Int32().Draw(t, "version"), payload.Draw(t, "payload")
		}
		return e
	})
	draw := func(t *rapid.T) *model { return rapid.SampledFrom(projects).Draw(t, "project") }
	page := rapid.IntRange(1, 7)

	equal := func(t *rapid.T, what string, got, want any, err, wantErr error) {
		t.Helper()
		if failure(err) != failure(wantErr) {
			t.Fatalf("%s: error %v, want %v", what, err, wantErr)
		}
		if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); err == nil && d != "" {
			t.Fatalf("%s (-want +got):\n%s", what, d)
		}
	}

	t.Repeat(map[string]func(*rapid.T){
		"append": func(t *rapid.T) {
			m := draw(t)
			entries := rapid.SliceOfN(newEntry, 1, 4).Draw(t, "entries")
			var expected *store.Revision
			switch rapid.IntRange(0, 3).Draw(t, "expected") {
			case 0, 1:
				expected = store.At(store.Revision(len(m.entries)))
			case 2:
				expected = store.At(store.Revision(rapid.IntRange(0, 5).Draw(t, "revision")))
			}
			got, err := s.Append(s.ctx, m.project, entries, expected)
			want, wantErr := m.append(entries, expected)
			equal(t, "append", got, want, err, wantErr)
		},
		"read": func(t *rapid.T) {
			m := draw(t)
			state, err := s.Documents(s.ctx, m.project)
			equal(t, "documents", state, m.state(), err, m.exists())
			head, err := s.Head(s.ctx, m.project)
			equal(t, "head", head, store.Revision(len(m.entries)), err, m.exists())
			kind, docID := text.Draw(t, "kind"), text.Draw(t, "id")
			doc, err := s.Document(s.ctx, m.project, kind, docID)
			want, ok := m.docs[[2]string{kind, docID}]
			equal(t, "document", doc, want, err, missing(ok))
		},
		"history": func(t *rapid.T) {
			m := draw(t)
			q := store.HistoryQuery{
				Kinds: rapid.SliceOfN(text, 0, 2).Draw(t, "kinds"), NewestFirst: rapid.Bool().Draw(t, "newest first"),
				After: store.Revision(rapid.IntRange(0, 5).Draw(t, "after")),
			}
			got, err := pages(page.Draw(t, "size"), func(p store.Page) ([]store.Entry, string, error) {
				h, err := s.History(s.ctx, m.project, q, p)
				return h.Entries, h.Next, err
			})
			equal(t, "history", got, m.history(q), err, m.exists())
		},
		"person": func(t *rapid.T) {
			p := person.Draw(t, "person")
			equal(t, "put person", nil, nil, s.PutPerson(s.ctx, store.Person{ID: p, Created: start}), nil)
			people[p] = true
		},
		"members": func(t *rapid.T) {
			m := draw(t)
			got, err := s.Members(s.ctx, m.project)
			var want []store.Member
			for _, x := range m.members {
				want = append(want, x)
			}
			slices.SortFunc(want, func(a, b store.Member) int { return slices.Compare(a.Person[:], b.Person[:]) })
			equal(t, "members", got, want, err, m.exists())
		},
		"summary": func(t *rapid.T) {
			m := draw(t)
			sum := store.Summary{
				Revision: store.Revision(rapid.IntRange(0, 3).Draw(t, "revision")), Name: text.Draw(t, "name"), Town: text.Draw(t, "town"),
				Region: text.Draw(t, "region"), Status: text.Draw(t, "status"), OpenStops: rapid.IntRange(0, 2).Draw(t, "stops"),
				Owner: run.String(), Payload: payload.Draw(t, "payload"),
			}
			equal(t, "put summary", nil, nil, s.PutSummary(s.ctx, m.project, sum), m.exists())
			if len(m.entries) > 0 && sum.Revision >= m.summary.Revision {
				m.summary = sum
			}
		},
		"list": func(t *rapid.T) {
			f := store.ProjectFilter{Owner: run.String(), Order: rapid.SampledFrom([]store.ProjectOrder{store.ByUpdated, store.ByName}).Draw(t, "order")}
			maybe := func(what string, set func()) {
				if rapid.IntRange(0, 3).Draw(t, "filter "+what) == 0 {
					set()
				}
			}
			maybe("text", func() { f.Text = text.Draw(t, "text") })
			maybe("region", func() { f.Region = text.Draw(t, "region") })
			maybe("status", func() { f.Status = text.Draw(t, "status") })
			maybe("member", func() { f.Member = person.Draw(t, "member") })
			maybe("stops", func() { f.OnlyOpenStops = true })
			maybe("since", func() { f.UpdatedSince = when.Draw(t, "since") })
			got, err := pages(page.Draw(t, "size"), func(p store.Page) ([]store.Listed, string, error) {
				l, err := s.ListProjects(s.ctx, f, p)
				return l.Projects, l.Next, err
			})
			var want []store.Listed
			for _, m := range projects {
				if m.matches(f) {
					want = append(want, store.Listed{Project: m.project, Revision: store.Revision(len(m.entries)), Updated: m.updated, Summary: m.summary})
				}
			}
			slices.SortFunc(want, func(a, b store.Listed) int {
				if f.Order == store.ByName {
					if c := strings.Compare(store.Fold(a.Summary.Name), store.Fold(b.Summary.Name)); c != 0 {
						return c
					}
					return slices.Compare(a.Project[:], b.Project[:])
				}
				if c := b.Updated.Compare(a.Updated); c != 0 {
					return c
				}
				return slices.Compare(b.Project[:], a.Project[:])
			})
			equal(t, "list", got, want, err, nil)
		},
	})
}

// missing returns an error that Is ErrNotFound unless ok.
func missing(ok bool) error {
	if ok {
		return nil
	}
	return store.ErrNotFound
}

// failure returns what a caller can tell of an error.
func failure(err error) string {
	var mismatch *store.RevisionMismatch
	var conflict *store.EntryConflict
	switch {
	case err == nil:
		return ""
	case errors.As(err, &mismatch), errors.As(err, &conflict):
		return err.Error()
	case errors.Is(err, store.ErrNotFound):
		return "not found"
	}
	return "unexpected: " + err.Error()
}

// pages reads a whole list.
func pages[T any](size int, next func(store.Page) ([]T, string, error)) ([]T, error) {
	var all []T
	page := store.Page{Size: size}
	for {
		part, token, err := next(page)
		if err != nil {
			return nil, err
		}
		all = append(all, part...)
		if token == "" {
			return all, nil
		}
		page.Token = token
	}
}
