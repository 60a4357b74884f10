package sqlite

import (
	"context"
	"database/sql"
	"strconv"
	"strings"

	"github.com/google/uuid"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

// Head implements store.Projects.
func (s *Store) Head(ctx context.Context, project uuid.UUID) (rev store.Revision, err error) {
	err = s.run(ctx, func() error {
		rev, err = head(ctx, s.read, project)
		return err
	})
	return rev, err
}

func scanDoc(r row) (d store.Doc, err error) {
	return d, r.Scan(&d.Kind, &d.ID, &d.Revision, &d.SchemaVersion, &d.Payload)
}

// Documents implements store.Projects.
func (s *Store) Documents(ctx context.Context, project uuid.UUID) (store.State, error) {
	state := store.State{Project: project}
	err := s.view(ctx, func(tx *sql.Tx) (err error) {
		if state.Revision, err = head(ctx, tx, project); err != nil {
			return err
		}
		state.Docs, err = collect(ctx, tx, scanDoc, `
			SELECT kind, id, revision, schema_version, payload FROM documents WHERE project = ? ORDER BY kind, id`, project)
		return err
	})
	if err != nil {
		return store.State{}, err
	}
	return state, nil
}

// Document implements store.Projects.
func (s *Store) Document(ctx context.Context, project uuid.UUID, kind, id string) (d store.Doc, err error) {
	if err := rule.Document(kind, id); err != nil {
		return store.Doc{}, err
	}
	err = s.run(ctx, func() error {
		d, err = one(ctx, s.read, "document", kind+" "+id, scanDoc, `
			SELECT kind, id, revision, schema_version, payload FROM documents WHERE project = ? AND kind = ? AND id = ?`,
			project, kind, id)
		return err
	})
	return d, err
}

const entryColumns = `id, project, revision, actor, role, time_us, kind, schema_version, payload`

func scanEntry(r row) (e store.Entry, err error) {
	var t sql.NullInt64
	err = r.Scan(&e.ID, &e.Project, &e.Revision, &e.Actor, &e.Role, &t, &e.Kind, &e.SchemaVersion, &e.Payload)
	e.Time = fromInstant(t)
	return e, err
}

// Entry implements store.Projects.
func (s *Store) Entry(ctx context.Context, project, id uuid.UUID) (e store.Entry, err error) {
	err = s.run(ctx, func() error {
		e, err = one(ctx, s.read, "entry", id.String(), scanEntry,
			`SELECT `+entryColumns+` FROM entries WHERE project = ? AND id = ?`, project, id)
		return err
	})
	return e, err
}

// History implements store.Projects.
func (s *Store) History(ctx context.Context, project uuid.UUID, q store.HistoryQuery, page store.Page) (store.HistoryPage, error) {
	size, err := rule.Size(page)
	if err != nil {
		return store.HistoryPage{}, err
	}
	if err := rule.History(q); err != nil {
		return store.HistoryPage{}, err
	}
	keys, err := rule.After(page, 1, "history", project, q)
	if err != nil {
		return store.HistoryPage{}, err
	}
	where, args := []string{`project = ?`, `revision > ?`}, []any{project, q.After}
	if len(q.Kinds) > 0 {
		where = append(where, `kind IN (?`+strings.Repeat(`, ?`, len(q.Kinds)-1)+`)`)
		for _, k := range q.Kinds {
			args = append(args, k)
		}
	}
	order := `ASC`
	if q.NewestFirst {
		order = `DESC`
	}
	if keys != nil {
		rev, err := strconv.ParseInt(keys[0], 10, 64)
		if err != nil {
			return store.HistoryPage{}, &store.Invalid{Field: "page.token", Reason: "does not belong to this query"}
		}
		where = append(where, map[bool]string{false: `revision > ?`, true: `revision < ?`}[q.NewestFirst])
		args = append(args, rev)
	}
	var p store.HistoryPage
	err = s.view(ctx, func(tx *sql.Tx) (err error) {
		if _, err := head(ctx, tx, project); err != nil {
			return err
		}
		p.Entries, err = collect(ctx, tx, scanEntry, `SELECT `+entryColumns+` FROM entries WHERE `+
			strings.Join(where, ` AND `)+` ORDER BY revision `+order+` LIMIT ?`, append(args, size+1)...)
		return err
	})
	if err != nil {
		return store.HistoryPage{}, err
	}
	if len(p.Entries) > size {
		p.Entries = p.Entries[:size]
		last := p.Entries[size-1].Revision
		p.Next = rule.Next([]string{strconv.FormatInt(int64(last), 10)}, "history", project, q)
	}
	return p, nil
}

// Watch implements store.Projects; it sees appends of this process only.
func (s *Store) Watch(ctx context.Context, project uuid.UUID, after store.Revision) (<-chan store.Revision, error) {
	ch, cancel, err := s.hub.Watch(ctx, project, after) // before looking, so that nothing falls between
	if err != nil {
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

// PutSummary implements store.Projects.
func (s *Store) PutSummary(ctx context.Context, project uuid.UUID, m store.Summary) error {
	if err := rule.Summary(m); err != nil {
		return err
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		if _, err := head(ctx, tx, project); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `
			UPDATE projects SET summary_revision = ?, input_hash = ?, name = ?, town = ?, region = ?, status = ?,
				open_stops = ?, owner = ?, payload = ?, name_key = ?, search_key = ?
			WHERE id = ? AND summary_revision <= ?`,
			m.Revision, m.InputHash, m.Name, m.Town, m.Region, m.Status,
			m.OpenStops, m.Owner, m.Payload, rule.NameKey(m.Name), rule.SearchKey(m.Name, m.Town),
			project, m.Revision)
		return err
	})
}

const listedColumns = `id, revision, updated_us, summary_revision, input_hash, name, town, region, status, open_stops, owner, payload`

func scanListed(r row) (l store.Listed, err error) {
	var t sql.NullInt64
	m := &l.Summary
	err = r.Scan(&l.Project, &l.Revision, &t, &m.Revision, &m.InputHash, &m.Name, &m.Town, &m.Region, &m.Status,
		&m.OpenStops, &m.Owner, &m.Payload)
	l.Updated = fromInstant(t)
	return l, err
}

// Project implements store.Projects.
func (s *Store) Project(ctx context.Context, project uuid.UUID) (l store.Listed, err error) {
	err = s.run(ctx, func() error {
		l, err = one(ctx, s.read, "project", project.String(), scanListed,
			`SELECT `+listedColumns+` FROM projects WHERE id = ?`, project)
		return err
	})
	return l, err
}

// ListProjects implements store.Projects.
func (s *Store) ListProjects(ctx context.Context, f store.ProjectFilter, page store.Page) (store.ProjectPage, error) {
	f.UpdatedSince = store.Trim(f.UpdatedSince)
	size, err := rule.Size(page)
	if err != nil {
		return store.ProjectPage{}, err
	}
	if err := rule.Filter(f); err != nil {
		return store.ProjectPage{}, err
	}
	keys, err := rule.After(page, 2, "projects", f)
	if err != nil {
		return store.ProjectPage{}, err
	}
	var where []string
	var args []any
	need := func(cond string, a ...any) { where, args = append(where, cond), append(args, a...) }
	need(`TRUE`)
	if f.Text != "" {
		need(`instr(search_key, ?) > 0`, store.Fold(f.Text))
	}
	if f.Region != "" {
		need(`region = ?`, f.Region)
	}
	if f.Status != "" {
		need(`status = ?`, f.Status)
	}
	if f.Owner != "" {
		need(`owner = ?`, f.Owner)
	}
	if f.Member != uuid.Nil {
		need(`id IN (SELECT project FROM members WHERE person = ?)`, f.Member)
	}
	if f.OnlyOpenStops {
		need(`open_stops > 0`)
	}
	if !f.UpdatedSince.IsZero() {
		need(`updated_us >= ?`, instant(f.UpdatedSince))
	}
	order := `updated_us DESC, id DESC`
	switch {
	case f.Order == store.ByName:
		order = `name_key, id`
		if keys != nil {
			need(`(name_key, id) > (?, ?)`, keys[0], keys[1])
		}
	case keys != nil:
		us, err := strconv.ParseInt(keys[0], 10, 64)
		if err != nil {
			return store.ProjectPage{}, &store.Invalid{Field: "page.token", Reason: "does not belong to this query"}
		}
		need(`(updated_us, id) < (?, ?)`, us, keys[1])
	}
	var p store.ProjectPage
	err = s.run(ctx, func() (err error) {
		p.Projects, err = collect(ctx, s.read, scanListed, `SELECT `+listedColumns+` FROM projects WHERE `+
			strings.Join(where, ` AND `)+` ORDER BY `+order+` LIMIT ?`, append(args, size+1)...)
		return err
	})
	if err != nil {
		return store.ProjectPage{}, err
	}
	if len(p.Projects) > size {
		p.Projects = p.Projects[:size]
		last := p.Projects[size-1]
		key := strconv.FormatInt(last.Updated.UnixMicro(), 10)
		if f.Order == store.ByName {
			key = rule.NameKey(last.Summary.Name)
		}
		p.Next = rule.Next([]string{key, last.Project.String()}, "projects", f)
	}
	return p, nil
}

const memberColumns = `project, person, role, since_us, inviter, same_as`

func scanMember(r row) (m store.Member, err error) {
	var t sql.NullInt64
	var same uuid.NullUUID
	err = r.Scan(&m.Project, &m.Person, &m.Role, &t, &m.Inviter, &same)
	m.Since, m.SameAs = fromInstant(t), same.UUID
	return m, err
}

// Member implements store.Projects.
func (s *Store) Member(ctx context.Context, project, person uuid.UUID) (m store.Member, err error) {
	err = s.run(ctx, func() error {
		m, err = one(ctx, s.read, "member", person.String(), scanMember,
			`SELECT `+memberColumns+` FROM members WHERE project = ? AND person = ?`, project, person)
		return err
	})
	return m, err
}

// Members implements store.Projects.
func (s *Store) Members(ctx context.Context, project uuid.UUID) (ms []store.Member, err error) {
	err = s.view(ctx, func(tx *sql.Tx) (err error) {
		if _, err := head(ctx, tx, project); err != nil {
			return err
		}
		ms, err = collect(ctx, tx, scanMember,
			`SELECT `+memberColumns+` FROM members WHERE project = ? ORDER BY person`, project)
		return err
	})
	return ms, err
}

// Memberships implements store.Projects.
func (s *Store) Memberships(ctx context.Context, person uuid.UUID) (ms []store.Member, err error) {
	err = s.run(ctx, func() error {
		ms, err = collect(ctx, s.read, scanMember,
			`SELECT `+memberColumns+` FROM members WHERE person = ? ORDER BY project`, person)
		return err
	})
	return ms, err
}
