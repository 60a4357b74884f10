package storetest

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

// summarised makes a project whose list row is m, last changed at t.
func (s *setup) summarised(t time.Time, m store.Summary) uuid.UUID {
	s.Helper()
	id := newID()
	e := entry("a", "1")
	e.Time = t
	s.append(id, store.At(0), e)
	if m.Revision == 0 {
		m.Revision = 1
	}
	s.ok(s.PutSummary(s.ctx, id, m))
	return id
}

func testSummary(s *setup) {
	s.is("summary of an unknown project", s.PutSummary(s.ctx, newID(), store.Summary{}), store.ErrNotFound)
	id := s.project()
	l, err := s.Project(s.ctx, id)
	same(s, "row without summary", must(s, l, err), store.Listed{Project: id, Revision: 1, Updated: start})

	m := store.Summary{
		Revision: 1, InputHash: "abc", Name: "Mill Lane Chapel", Town: "Otterford", Region: "metric", Status: "approval",
		OpenStops: 3, Owner: "someone", Payload: []byte{0, 255},
	}
	s.ok(s.PutSummary(s.ctx, id, m))
	s.append(id, nil, entry("a", "1"))
	l, err = s.Project(s.ctx, id)
	same(s, "row", must(s, l, err), store.Listed{Project: id, Revision: 2, Updated: start, Summary: m})

	newer := m
	newer.Revision, newer.Status = 2, "electrical"
	s.ok(s.PutSummary(s.ctx, id, newer))
	s.ok(s.PutSummary(s.ctx, id, m)) // by a server that was slow
	l, err = s.Project(s.ctx, id)
	same(s, "summary after an older one", must(s, l, err).Summary, newer)
	newer.Name = "Mill Lane"
	s.ok(s.PutSummary(s.ctx, id, newer))
	l, err = s.Project(s.ctx, id)
	same(s, "summary after another one of its revision", must(s, l, err).Summary, newer)
}

func (s *setup) list(f store.ProjectFilter, size int) []uuid.UUID {
	s.Helper()
	return walk(s, size, func(p store.Page) (ids []uuid.UUID, next string, err error) {
		l, err := s.ListProjects(s.ctx, f, p)
		for _, row := range l.Projects {
			ids = append(ids, row.Project)
		}
		return ids, l.Next, err
	})
}

func testList(s *setup) {
	person := store.Person{ID: newID(), Name: "a volunteer", Created: start}
	s.ok(s.PutPerson(s.ctx, person))
	hill := s.summarised(start, store.Summary{Name: "Hill Chapel", Town: "Ås", Region: "metric", Status: "approval", Owner: "x", OpenStops: 2})
	mill := s.summarised(start.Add(2*time.Hour), store.Summary{Name: "mill hall", Town: "Otterford", Region: "us", Status: "approval", Owner: "y"})
	eglise := s.summarised(start.Add(time.Hour), store.Summary{Name: "ÉGLISE du Moulin", Town: "STRASSE 5", Region: "metric", Status: "electrical", Owner: "y", OpenStops: 1})
	bare := newID()
	s.append(bare, store.At(0), store.Entry{
		ID: newID(), Time: start.Add(-time.Hour), Kind: "project.created", Members: []store.MemberEffect{{Person: person.ID, Role: "owner"}},
	})

	for _, c := range []struct {
		name string
		f    store.ProjectFilter
		want []uuid.UUID
	}{
		{"all", store.ProjectFilter{}, []uuid.UUID{mill, eglise, hill, bare}},
		{"by name", store.ProjectFilter{Order: store.ByName}, []uuid.UUID{bare, hill, mill, eglise}},
		{"region", store.ProjectFilter{Region: "metric"}, []uuid.UUID{eglise, hill}},
		{"region in another case", store.ProjectFilter{Region: "Metric"}, nil},
		{"status", store.ProjectFilter{Status: "approval", Order: store.ByName}, []uuid.UUID{hill, mill}},
		{"owner", store.ProjectFilter{Owner: "y"}, []uuid.UUID{mill, eglise}},
		{"open stops", store.ProjectFilter{OnlyOpenStops: true}, []uuid.UUID{eglise, hill}},
		{"since", store.ProjectFilter{UpdatedSince: start.Add(time.Hour)}, []uuid.UUID{mill, eglise}},
		{"since, finer than kept", store.ProjectFilter{UpdatedSince: start.Add(time.Hour + 999*time.Nanosecond)}, []uuid.UUID{mill, eglise}},
		{"member", store.ProjectFilter{Member: person.ID}, []uuid.UUID{bare}},
		{"member of nothing", store.ProjectFilter{Member: newID()}, nil},
		{"name", store.ProjectFilter{Text: "HALL"}, []uuid.UUID{mill}},
		{"town, decomposed", store.ProjectFilter{Text: "a\u030as"}, []uuid.UUID{hill}},
		{"name with accent", store.ProjectFilter{Text: "église"}, []uuid.UUID{eglise}},
		{"accents count", store.ProjectFilter{Text: "eglise"}, nil},
		{"sharp s", store.ProjectFilter{Text: "straße"}, []uuid.UUID{eglise}},
		{"signs of the engines' patterns", store.ProjectFilter{Text: "%"}, nil},
		{"both at once", store.ProjectFilter{Owner: "y", OnlyOpenStops: true}, []uuid.UUID{eglise}},
	} {
		for size := 1; size <= 5; size++ {
			same(s, fmt.Sprintf("%s, %d a page", c.name, size), s.list(c.f, size), c.want)
		}
	}
	_, err := s.ListProjects(s.ctx, store.ProjectFilter{Order: 7}, store.Page{})
	s.invalid("filter.order", err)

	later := entry("a", "2")
	later.Time = start.Add(3 * time.Hour)
	s.append(hill, nil, later)
	same(s, "after a change", s.list(store.ProjectFilter{}, 4), []uuid.UUID{hill, mill, eglise, bare})
}

// testListPages pages through rows that differ in nothing but their id, and through names beyond the sort key.
func testListPages(s *setup) {
	var ids []uuid.UUID
	long := strings.Repeat("ß", store.MaxTextBytes/2) // folds to two letters each
	for i := range 12 {
		name := "same"
		if i%2 == 1 {
			name = long
		}
		ids = append(ids, s.summarised(start, store.Summary{Name: name}))
	}
	byID := func(a, b uuid.UUID) int { return slices.Compare(a[:], b[:]) }
	var same1, long1 []uuid.UUID
	for i, id := range ids {
		if i%2 == 0 {
			same1 = append(same1, id)
		} else {
			long1 = append(long1, id)
		}
	}
	slices.SortFunc(same1, byID)
	slices.SortFunc(long1, byID)
	named := append(same1, long1...) // 'same' before 'ssss…'
	down := slices.Clone(ids)
	slices.SortFunc(down, func(a, b uuid.UUID) int { return byID(b, a) })
	for _, size := range []int{1, 5, 12, 13} {
		same(s, "by name", s.list(store.ProjectFilter{Order: store.ByName}, size), named)
		same(s, "by time", s.list(store.ProjectFilter{}, size), down)
	}
}

func testMembers(s *setup) {
	var people []uuid.UUID
	for range 3 {
		p := store.Person{ID: newID(), Name: "a volunteer", Created: start}
		s.ok(s.PutPerson(s.ctx, p))
		people = append(people, p.ID)
	}
	slices.SortFunc(people, func(a, b uuid.UUID) int { return slices.Compare(a[:], b[:]) })
	change := func(after time.Duration, ms ...store.MemberEffect) store.Entry {
		return store.Entry{ID: newID(), Time: start.Add(after), Kind: "member.granted", Members: ms}
	}
	id, other := newID(), newID()
	_, err := s.Members(s.ctx, id)
	s.is("members of an unknown project", err, store.ErrNotFound)
	s.append(id, store.At(0), change(0,
		store.MemberEffect{Person: people[1], Role: "designer"}, store.MemberEffect{Person: people[0], Role: "owner"},
		store.MemberEffect{Person: people[2], Role: "volunteer"}))
	s.append(other, store.At(0), change(0, store.MemberEffect{Person: people[1], Role: "owner"}))
	second := change(time.Hour, store.MemberEffect{Person: people[1], Role: "manager"}, store.MemberEffect{Person: people[2]})
	s.append(id, nil, second)
	s.append(id, nil, change(2*time.Hour, store.MemberEffect{Person: people[2]})) // revoked already

	want := []store.Member{
		{Project: id, Person: people[0], Role: "owner", Since: start},
		{Project: id, Person: people[1], Role: "manager", Since: start.Add(time.Hour)},
	}
	ms, err := s.Members(s.ctx, id)
	same(s, "members", must(s, ms, err), want)
	m, err := s.Member(s.ctx, id, people[1])
	same(s, "member", must(s, m, err), want[1])
	_, err = s.Member(s.ctx, id, people[2])
	s.is("revoked member", err, store.ErrNotFound)
	ms, err = s.Memberships(s.ctx, people[1])
	got := must(s, ms, err)
	same(s, "memberships", len(got), 2)
	if slices.Compare(got[0].Project[:], got[1].Project[:]) >= 0 {
		s.Error("memberships are not sorted by project")
	}
	ms, err = s.Memberships(s.ctx, newID())
	same(s, "memberships of an unknown person", must(s, ms, err), []store.Member(nil))

	// A repeated grant does not undo what came after it.
	s.append(id, nil, change(3*time.Hour, store.MemberEffect{Person: people[1], Role: "viewer"}))
	s.append(id, nil, second)
	m, err = s.Member(s.ctx, id, people[1])
	same(s, "role after a repeat", must(s, m, err).Role, "viewer")
}
