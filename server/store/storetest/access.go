package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

func testBlobs(s *setup) {
	big := bytes.Repeat([]byte("photo of a beam "), 3<<16) // 3 MiB
	for _, b := range [][]byte{{}, {0}, []byte("Blech & Glas\x00\xff"), big} {
		h := store.HashOf(b)
		has, err := s.HasBlob(s.ctx, h)
		same(s, "before", must(s, has, err), false)
		_, err = s.GetBlob(s.ctx, h)
		s.is("before", err, store.ErrNotFound)
		got, err := s.PutBlob(s.ctx, b, "image/png")
		same(s, "hash", must(s, got, err), h)
		got, err = s.PutBlob(s.ctx, b, "image/jpeg")
		same(s, "hash of the second time", must(s, got, err), h)
		has, err = s.HasBlob(s.ctx, h)
		same(s, "after", must(s, has, err), true)
		blob, err := s.GetBlob(s.ctx, h)
		s.ok(err)
		if !bytes.Equal(blob.Bytes, b) || blob.Hash != h || blob.MediaType != "image/png" {
			s.Errorf("blob of %d bytes came back as %d bytes, %s", len(b), len(blob.Bytes), blob.MediaType)
		}
	}
	_, err := s.PutBlob(s.ctx, make([]byte, store.MaxBlobBytes+1), "image/png")
	s.tooLarge("blob", err)
	_, err = s.PutBlob(s.ctx, []byte("x"), "")
	s.invalid("media_type", err)
	race(s, func(int) error {
		_, err := s.PutBlob(s.ctx, []byte("from everywhere"), "text/plain")
		return err
	})
}

func testPeople(s *setup) {
	_, err := s.Person(s.ctx, newID())
	s.is("unknown person", err, store.ErrNotFound)
	a := store.Person{ID: newID(), Name: "a volunteer", Email: "Öne@example.org", Created: start.Add(7)}
	s.ok(s.PutPerson(s.ctx, a))
	want := a
	want.Created = start
	p, err := s.Person(s.ctx, a.ID)
	same(s, "person", must(s, p, err), want)
	p, err = s.PersonByEmail(s.ctx, "öNE@EXAMPLE.org")
	same(s, "person by e-mail", must(s, p, err), want)
	_, err = s.PersonByEmail(s.ctx, "one@example.org")
	s.is("unknown e-mail", err, store.ErrNotFound)

	b := store.Person{ID: newID(), Email: "öne@example.org", Created: start}
	s.is("taken e-mail", s.PutPerson(s.ctx, b), store.ErrExists)
	_, err = s.Person(s.ctx, b.ID)
	s.is("refused person", err, store.ErrNotFound)
	a.Email, a.Name, a.Created = "", "another name", start.AddDate(1, 0, 0)
	s.ok(s.PutPerson(s.ctx, a))
	want.Email, want.Name = "", "another name"
	p, err = s.Person(s.ctx, a.ID)
	same(s, "changed person", must(s, p, err), want)
	s.ok(s.PutPerson(s.ctx, b)) // the address is free now
	for range 3 {
		s.ok(s.PutPerson(s.ctx, store.Person{ID: newID(), Created: start})) // several without address
	}
	for size := 1; size <= 6; size++ {
		all := walk(s, size, func(p store.Page) ([]store.Person, string, error) {
			l, err := s.ListPeople(s.ctx, p)
			return l.People, l.Next, err
		})
		same(s, "people", len(all), 5)
		for i := 1; i < len(all); i++ {
			if bytes.Compare(all[i-1].ID[:], all[i].ID[:]) >= 0 {
				s.Error("people are not sorted by id")
			}
		}
	}
}

func secretOf(i int) store.Hash { return store.HashOf(fmt.Append(nil, "secret ", i)) }

func testTokens(s *setup) {
	id, person := s.project(), newID()
	wide := store.Token{ID: newID(), Secret: secretOf(1), Label: "laptop", Role: "admin", Created: start.Add(3)}
	narrow := store.Token{
		ID: newID(), Secret: secretOf(2), Person: person, Project: id, Role: "designer", Created: start, Expires: start.Add(time.Hour + 5),
	}
	third := store.Token{ID: newID(), Secret: secretOf(3), Person: person, Role: "viewer", Created: start, Revoked: start}
	for _, t := range []store.Token{wide, narrow, third} {
		s.ok(s.PutToken(s.ctx, t))
		s.ok(s.PutToken(s.ctx, t)) // sent twice
		got, err := s.TokenByHash(s.ctx, t.Secret)
		want := t
		want.Created, want.Expires, want.Revoked = store.Trim(t.Created), store.Trim(t.Expires), store.Trim(t.Revoked)
		same(s, "token", must(s, got, err), want)
	}
	_, err := s.TokenByHash(s.ctx, secretOf(4))
	s.is("unknown secret", err, store.ErrNotFound)
	changed := wide
	changed.Role = "viewer"
	s.is("same id, other role", s.PutToken(s.ctx, changed), store.ErrExists)
	changed = wide
	changed.ID = newID()
	s.is("same secret, other id", s.PutToken(s.ctx, changed), store.ErrExists)
	stray := narrow
	stray.ID, stray.Secret, stray.Project = newID(), secretOf(5), newID()
	s.is("unknown project", s.PutToken(s.ctx, stray), store.ErrNotFound)

	for _, c := range []struct {
		f    store.TokenFilter
		want []uuid.UUID
	}{
		{store.TokenFilter{}, []uuid.UUID{wide.ID, narrow.ID, third.ID}},
		{store.TokenFilter{Person: person}, []uuid.UUID{narrow.ID, third.ID}},
		{store.TokenFilter{Project: id}, []uuid.UUID{narrow.ID}},
		{store.TokenFilter{Project: newID()}, nil},
	} {
		for size := 1; size <= 4; size++ {
			same(s, "tokens", walk(s, size, func(p store.Page) (ids []uuid.UUID, next string, err error) {
				l, err := s.ListTokens(s.ctx, c.f, p)
				for _, t := range l.Tokens {
					ids = append(ids, t.ID)
				}
				return ids, l.Next, err
			}), c.want)
		}
	}

	s.is("revoking an unknown token", s.RevokeToken(s.ctx, newID(), start), store.ErrNotFound)
	s.ok(s.RevokeToken(s.ctx, narrow.ID, start.Add(time.Minute)))
	s.ok(s.RevokeToken(s.ctx, narrow.ID, start.Add(2*time.Minute)))
	s.ok(s.PutToken(s.ctx, narrow)) // a late repeat does not bring it back to life
	got, err := s.TokenByHash(s.ctx, narrow.Secret)
	same(s, "revoked at", must(s, got, err).Revoked, start.Add(time.Minute))
	if got.Live(start) {
		s.Error("a revoked token is live")
	}
}

func testInvitations(s *setup) {
	id := s.project()
	i := store.Invitation{
		ID: newID(), Secret: secretOf(1), Project: id, Role: "volunteer", Label: "Saturday", Creator: "someone",
		Created: start, Expires: start.Add(time.Hour + 9), MaxUses: 2,
	}
	s.ok(s.PutInvitation(s.ctx, i))
	s.ok(s.PutInvitation(s.ctx, i))
	want := i
	want.Expires = start.Add(time.Hour)
	got, err := s.InvitationByHash(s.ctx, i.Secret)
	same(s, "invitation", must(s, got, err), want)
	_, err = s.InvitationByHash(s.ctx, secretOf(2))
	s.is("unknown secret", err, store.ErrNotFound)
	stray := i
	stray.ID, stray.Secret, stray.Project = newID(), secretOf(3), newID()
	s.is("unknown project", s.PutInvitation(s.ctx, stray), store.ErrNotFound)
	stray = i
	stray.ID = newID()
	s.is("same secret, other id", s.PutInvitation(s.ctx, stray), store.ErrExists)
	stray.ID, stray.Secret = i.ID, secretOf(4)
	s.is("same id, other secret", s.PutInvitation(s.ctx, stray), store.ErrExists)
	stray = i
	stray.ID, stray.Secret, stray.Uses = newID(), secretOf(5), 1
	s.invalid("invitation.uses", s.PutInvitation(s.ctx, stray))

	byID, err := s.Invitation(s.ctx, i.ID)
	same(s, "invitation by id", must(s, byID, err), want)
	_, err = s.Invitation(s.ctx, newID())
	s.is("unknown id", err, store.ErrNotFound)
	stray = i
	stray.ID = newID()
	s.is("use of an unknown one", s.use(stray, start), store.ErrNotFound)
	s.is("use at the moment of expiry", s.use(i, start.Add(time.Hour)), store.ErrSpent)
	for n := int32(1); n <= 2; n++ {
		want.Uses = n
		s.ok(s.use(i, start.Add(time.Hour-time.Microsecond)))
		got, err = s.InvitationByHash(s.ctx, i.Secret)
		same(s, "used", must(s, got, err), want)
	}
	s.is("use beyond the limit", s.use(i, start), store.ErrSpent)
	s.ok(s.PutInvitation(s.ctx, i)) // a late repeat does not fill it up again
	got, err = s.InvitationByHash(s.ctx, i.Secret)
	same(s, "invitation", must(s, got, err), want)

	open := store.Invitation{ID: newID(), Secret: secretOf(6), Project: id, Role: "volunteer", Created: start}
	s.ok(s.PutInvitation(s.ctx, open))
	for range 3 {
		s.ok(s.use(open, start.AddDate(10, 0, 0)))
	}
	s.ok(s.RevokeInvitation(s.ctx, open.ID, start.Add(time.Minute)))
	s.ok(s.RevokeInvitation(s.ctx, open.ID, start.Add(time.Hour)))
	s.is("use of a revoked one", s.use(open, start), store.ErrSpent)
	s.is("revoking an unknown one", s.RevokeInvitation(s.ctx, newID(), start), store.ErrNotFound)

	open.Revoked, open.Uses = start.Add(time.Minute), 3
	all, err := s.ListInvitations(s.ctx, id)
	same(s, "invitations", must(s, all, err), []store.Invitation{want, open})
	_, err = s.ListInvitations(s.ctx, newID())
	s.is("invitations to an unknown project", err, store.ErrNotFound)
}

// acceptance is somebody's use of an invitation.
func acceptance(i store.Invitation, at time.Time) store.Acceptance {
	p, id := newID(), newID()
	return store.Acceptance{Invitation: i.ID, At: at, Person: store.Person{ID: p, Name: "a volunteer", Created: at},
		Token: store.Token{ID: id, Secret: store.HashOf(id[:]), Person: p, Project: i.Project, Role: i.Role, Created: at},
		Entry: store.Entry{ID: newID(), Actor: p.String(), Role: i.Role, Time: at, Kind: "member.granted", Payload: p[:],
			Members: []store.MemberEffect{{Person: p, Role: i.Role, Inviter: i.Creator, SameAs: i.ID}}}}
}

func (s *setup) use(i store.Invitation, at time.Time) error {
	_, err := s.Accept(s.ctx, acceptance(i, at))
	return err
}

func testAccept(s *setup) {
	project, other := s.project(), s.project()
	i := store.Invitation{ID: newID(), Secret: secretOf(1), Project: project, Role: "volunteer", Creator: "someone", Created: start, Expires: start.Add(time.Hour), MaxUses: 1}
	s.ok(s.PutInvitation(s.ctx, i))
	a := acceptance(i, start.Add(time.Minute+7))
	untouched := func(what string, uses int32, revision store.Revision) {
		s.Helper()
		got, err := s.Invitation(s.ctx, i.ID)
		same(s, what+": uses", must(s, got, err).Uses, uses)
		head, err := s.Head(s.ctx, project)
		same(s, what+": revision", must(s, head, err), revision)
	}
	// Each part that cannot be written leaves nothing of the others behind.
	for name, spoil := range map[string]func(*store.Acceptance){
		"another project": func(a *store.Acceptance) { a.Token.Project = other },
		"entry's member":  func(a *store.Acceptance) { a.Entry.Members[0].Person = newID() },
		"no role":         func(a *store.Acceptance) { a.Token.Role = "" },
		"no time":         func(a *store.Acceptance) { a.At = time.Time{} },
		"no person":       func(a *store.Acceptance) { a.Person.ID = uuid.Nil },
		"no entry":        func(a *store.Acceptance) { a.Entry.ID = uuid.Nil },
		"taken secret": func(a *store.Acceptance) {
			t := a.Token
			t.ID = newID()
			s.ok(s.PutToken(s.ctx, t))
		},
	} {
		bad := acceptance(i, start)
		spoil(&bad)
		if _, err := s.Accept(s.ctx, bad); err == nil {
			s.Errorf("%s: accepted", name)
		}
		untouched(name, 0, 1)
		_, err := s.Person(s.ctx, bad.Person.ID)
		if bad.Person.ID != uuid.Nil {
			s.is(name+": person", err, store.ErrNotFound)
		}
		_, err = s.Token(s.ctx, bad.Token.ID)
		s.is(name+": token", err, store.ErrNotFound)
	}

	got, err := s.Accept(s.ctx, a)
	want := store.Accepted{Person: a.Person, Token: a.Token, Revision: 2}
	want.Person.Created, want.Token.Created = store.Trim(a.At), store.Trim(a.At)
	same(s, "accepted", must(s, got, err), want)
	m, err := s.Member(s.ctx, project, a.Person.ID)
	same(s, "member", must(s, m, err), store.Member{Project: project, Person: a.Person.ID, Role: "volunteer", Since: store.Trim(a.At), Inviter: "someone", SameAs: i.ID})
	t, err := s.TokenByHash(s.ctx, a.Token.Secret)
	same(s, "token", must(s, t, err), want.Token)

	// Sent again, with the clock moved on and the link at its end: the first answer.
	again := a
	again.At, again.Person.Created, again.Token.Created, again.Entry.Time = start.AddDate(1, 0, 0), start.AddDate(1, 0, 0), start.AddDate(1, 0, 0), start.AddDate(1, 0, 0)
	got, err = s.Accept(s.ctx, again)
	want.Known, want.Revision = true, 0
	same(s, "accepted again", must(s, got, err), want)
	untouched("accepted again", 1, 2)
	again.Token.Secret = secretOf(9)
	_, err = s.Accept(s.ctx, again)
	s.is("same id, other secret", err, store.ErrExists)
	s.is("a second person", s.use(i, start), store.ErrSpent)

	// Who is removed loses the tokens for this project, and no other ones.
	wide := store.Token{ID: newID(), Secret: secretOf(20), Person: a.Person.ID, Role: "volunteer", Created: start}
	elsewhere := store.Token{ID: newID(), Secret: secretOf(21), Person: a.Person.ID, Project: other, Role: "volunteer", Created: start}
	s.ok(s.PutToken(s.ctx, wide))
	s.ok(s.PutToken(s.ctx, elsewhere))
	gone := store.Entry{ID: newID(), Time: start.Add(time.Hour), Kind: "member.revoked", Members: []store.MemberEffect{{Person: a.Person.ID}}}
	s.append(project, nil, gone)
	for id, revoked := range map[uuid.UUID]time.Time{a.Token.ID: start.Add(time.Hour), wide.ID: {}, elsewhere.ID: {}} {
		t, err := s.Token(s.ctx, id)
		same(s, "revoked at", must(s, t, err).Revoked, revoked)
	}
}

// testAcceptRace sends one acceptance from everywhere at once: it counts once.
func testAcceptRace(s *setup) {
	project := s.project()
	for round := range 10 {
		i := store.Invitation{ID: newID(), Secret: secretOf(round), Project: project, Role: "volunteer", Created: start, MaxUses: 1}
		s.ok(s.PutInvitation(s.ctx, i))
		a := acceptance(i, start)
		var fresh atomic.Int32
		race(s, func(int) error {
			got, err := s.Accept(s.ctx, a)
			if err == nil && !got.Known {
				fresh.Add(1)
			}
			return err
		})
		same(s, "written", fresh.Load(), int32(1))
		head, err := s.Head(s.ctx, project)
		same(s, "revision", must(s, head, err), store.Revision(round+2))
	}
}

func testPieces(s *setup) {
	project, other, upload := s.project(), s.project(), newID()
	piece := func(project, upload uuid.UUID, offset int64, sender, says string, after time.Duration) store.Piece {
		return store.Piece{PieceKey: store.PieceKey{Project: project, Upload: upload, Offset: offset, Hash: store.HashOf([]byte(says))},
			Sender: sender, Created: start.Add(after), Bytes: []byte(says)}
	}
	none := store.Quota{}
	a := piece(project, upload, 0, "a", "first part", 3)
	has, err := s.HasPiece(s.ctx, a.PieceKey)
	same(s, "before", must(s, has, err), false)
	_, err = s.GetPiece(s.ctx, a.PieceKey)
	s.is("before", err, store.ErrNotFound)
	s.ok(s.PutPiece(s.ctx, a, none))
	late := a
	late.Sender, late.Created = "b", start.AddDate(1, 0, 0)
	s.ok(s.PutPiece(s.ctx, late, store.Quota{Project: 1, Sender: 1})) // it is there
	got, err := s.GetPiece(s.ctx, a.PieceKey)
	want := a
	want.Created = start
	same(s, "piece", must(s, got, err), want)
	for _, k := range []store.PieceKey{piece(other, upload, 0, "", "first part", 0).PieceKey, piece(project, newID(), 0, "", "first part", 0).PieceKey,
		piece(project, upload, 1, "", "first part", 0).PieceKey, piece(project, upload, 0, "", "other", 0).PieceKey} {
		has, err := s.HasPiece(s.ctx, k)
		same(s, "another key", must(s, has, err), false)
	}
	s.is("unknown project", s.PutPiece(s.ctx, piece(newID(), upload, 0, "a", "x", 0), none), store.ErrNotFound)
	bad := a
	bad.Bytes = []byte("first pert")
	s.invalid("piece.hash", s.PutPiece(s.ctx, bad, none))
	bad = a
	bad.Sender = ""
	s.invalid("piece.sender", s.PutPiece(s.ctx, bad, none))
	bad = a
	bad.Offset = -1
	s.invalid("piece.offset", s.PutPiece(s.ctx, bad, none))

	// Quotas count the bytes of the project, and of the sender wherever they send to.
	over := func(of string, err error) {
		s.Helper()
		var q *store.OverQuota
		if !errors.As(err, &q) || q.Of != of {
			s.Errorf("error %v, want *OverQuota of the %s", err, of)
		}
	}
	s.ok(s.PutPiece(s.ctx, piece(project, upload, 10, "b", "ten bytes.", 0), store.Quota{Project: 20}))
	over("project", s.PutPiece(s.ctx, piece(project, upload, 20, "c", "!", 0), store.Quota{Project: 20}))
	s.ok(s.PutPiece(s.ctx, piece(other, upload, 0, "a", "ten bytes.", 0), store.Quota{Project: 20, Sender: 20}))
	over("sender", s.PutPiece(s.ctx, piece(other, upload, 10, "a", "!", 0), store.Quota{Project: 20, Sender: 20}))
	crumbs, small := store.Quota{Sender: 3 * 16, Least: 16}, newID()
	for i := range 3 {
		s.ok(s.PutPiece(s.ctx, piece(other, small, int64(i), "crumbs", ".", 0), crumbs))
	}
	over("sender", s.PutPiece(s.ctx, piece(other, small, 3, "crumbs", ".", 0), crumbs))
	s.ok(s.DropPieces(s.ctx, other, small))
	crowded := newID()
	var let atomic.Int32
	race(s, func(i int) error {
		err := s.PutPiece(s.ctx, piece(other, crowded, int64(i), "z", "0123456789", 0), store.Quota{Sender: 30})
		var q *store.OverQuota
		if errors.As(err, &q) {
			return nil
		}
		let.Add(1)
		return err
	})
	same(s, "let in at once", let.Load(), int32(3))

	// A blob of the same bytes is not touched by what happens to pieces.
	h, err := s.PutBlob(s.ctx, a.Bytes, "image/jpeg")
	s.ok(err)
	s.ok(s.DropPieces(s.ctx, project, upload))
	s.ok(s.DropPieces(s.ctx, project, upload)) // none left
	has, err = s.HasPiece(s.ctx, a.PieceKey)
	same(s, "after dropping", must(s, has, err), false)
	has, err = s.HasPiece(s.ctx, piece(other, upload, 0, "a", "ten bytes.", 0).PieceKey)
	same(s, "of another project", must(s, has, err), true)
	s.ok(s.PutPiece(s.ctx, piece(project, upload, 0, "a", "first part", time.Hour), none))
	n, err := s.SweepPieces(s.ctx, start.Add(time.Hour))
	same(s, "swept", must(s, n, err), int64(4))
	has, err = s.HasPiece(s.ctx, a.PieceKey)
	same(s, "created at that time", must(s, has, err), true)
	n, err = s.SweepPieces(s.ctx, start.Add(time.Hour+time.Microsecond))
	same(s, "swept", must(s, n, err), int64(1))
	blob, err := s.GetBlob(s.ctx, h)
	same(s, "blob", string(must(s, blob, err).Bytes), "first part")
	_, err = s.SweepPieces(s.ctx, time.Time{})
	s.invalid("before", err)
}

func testInvitationRace(s *setup) {
	const uses = 3
	project := s.project()
	for round := range 20 { // the moment in which a careless engine counts wrongly is short
		i := store.Invitation{ID: newID(), Secret: secretOf(round), Project: project, Role: "volunteer", Created: start, MaxUses: uses}
		s.ok(s.PutInvitation(s.ctx, i))
		var won atomic.Int32
		race(s, func(int) error {
			err := s.use(i, start)
			if err == nil {
				won.Add(1)
			} else if !errors.Is(err, store.ErrSpent) {
				return err
			}
			return nil
		})
		same(s, "uses", won.Load(), int32(uses))
	}
}

func testUnicode(s *setup) {
	texts := []string{
		"Kirche St. Jakob – Ärmelkanal", "教会の照明", "كنيسة", "\u202eright to left", "e\u0301 is not é", "🎚️👩🏽‍🔧",
		"'; DROP TABLE projects; --", `back\slash "quotes" 'q' $1 ? %s %d`, "tab\tline\nreturn\r", " spaces ",
		"\u0001\u001f\u007f", "\ufeffmark", "\U0010ffff", strings.Repeat("ẞ", 333),
	}
	id := newID()
	var first store.Entry
	for n, text := range texts {
		e := store.Entry{
			ID: newID(), Actor: text, Role: text, Kind: text, Time: start, Payload: []byte(text),
			Effects: []store.Effect{{Kind: text, ID: text, Payload: []byte(text)}},
		}
		if n == 0 {
			first = e
			s.append(id, store.At(0), e)
		} else {
			s.append(id, nil, e)
		}
		got, err := s.Entry(s.ctx, id, e.ID)
		e.Project, e.Revision, e.Effects = id, store.Revision(n+1), nil
		same(s, "entry", must(s, got, err), e)
		d, err := s.Document(s.ctx, id, text, text)
		same(s, "document", must(s, d, err), store.Doc{Kind: text, ID: text, Revision: e.Revision, Payload: []byte(text)})
		same(s, "kind", s.history(id, store.HistoryQuery{Kinds: []string{text}}, 5), []store.Revision{e.Revision})

		m := store.Summary{Revision: 1, InputHash: text, Name: text, Town: text, Region: text, Status: text, Owner: text}
		s.ok(s.PutSummary(s.ctx, id, m))
		l, err := s.Project(s.ctx, id)
		same(s, "summary", must(s, l, err).Summary, m)
		for _, f := range []store.ProjectFilter{{Region: text}, {Status: text}, {Owner: text}, {Text: text}, {Text: strings.ToUpper(text)}} {
			same(s, fmt.Sprintf("list by %+v", f), s.list(f, 1), []uuid.UUID{id})
		}
		p := store.Person{ID: newID(), Name: text, Email: text, Created: start}
		s.ok(s.PutPerson(s.ctx, p))
		who, err := s.PersonByEmail(s.ctx, text)
		same(s, "person", must(s, who, err), p)
	}
	// Composed and decomposed names are different documents.
	_, err := s.Document(s.ctx, id, "é is not é", "é is not é")
	s.is("document of a name that looks alike", err, store.ErrNotFound)
	// Documents come sorted by bytes, whatever the engine's language.
	state, err := s.Documents(s.ctx, id)
	s.ok(err)
	for i := 1; i < len(state.Docs); i++ {
		if state.Docs[i-1].Kind >= state.Docs[i].Kind {
			s.Errorf("%q before %q", state.Docs[i-1].Kind, state.Docs[i].Kind)
		}
	}
	same(s, "repeat", revisions(s.append(id, nil, first)), []string{"1 known"})
}
