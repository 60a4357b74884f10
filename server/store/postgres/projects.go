package postgres

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

// Head implements store.Projects.
func (s *Store) Head(ctx context.Context, project uuid.UUID) (rev store.Revision, err error) {
	err = s.run(ctx, func() error {
		rev, err = head(ctx, s.pool, project)
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
	err := s.view(ctx, func(tx pgx.Tx) (err error) {
		if state.Revision, err = head(ctx, tx, project); err != nil {
			return err
		}
		state.Docs, err = collect(ctx, tx, scanDoc, `
			SELECT kind, id, revision, schema_version, payload FROM documents WHERE project = $1 ORDER BY kind, id`, project)
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
		d, err = one(ctx, s.pool, "document", kind+" "+id, scanDoc, `
			SELECT kind, id, revision, schema_version, payload FROM documents WHERE project = $1 AND kind = $2 AND id = $3`,
			project, kind, id)
		return err
	})
	return d, err
}

const entryColumns = `id, project, revision, actor, role, time, kind, schema_version, payload`

func scanEntry(r row) (e store.Entry, err error) {
	var t pgtype.Timestamptz
	err = r.Scan(&e.ID, &e.Project, &e.Revision, &e.Actor, &e.Role, &t, &e.Kind, &e.SchemaVersion, &e.Payload)
	e.Time = fromInstant(t)
	return e, err
}

// Entry implements store.Projects.
func (s *Store) Entry(ctx context.Context, project, id uuid.UUID) (e store.Entry, err error) {
	err = s.run(ctx, func() error {
		e, err = one(ctx, s.pool, "entry", id.String(), scanEntry,
			`SELECT `+entryColumns+` FROM entries WHERE project = $1 AND id = $2`, project, id)
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
	var w where
	w.and(`project = $%d`, project)
	w.and(`revision > $%d`, q.After)
	if len(q.Kinds) > 0 {
		w.and(`kind = ANY ($%d)`, q.Kinds)
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
		w.and(map[bool]string{false: `revision > $%d`, true: `revision < $%d`}[q.NewestFirst], rev)
	}
	var p store.HistoryPage
	err = s.view(ctx, func(tx pgx.Tx) (err error) {
		if _, err := head(ctx, tx, project); err != nil {
			return err
		}
		p.Entries, err = collect(ctx, tx, scanEntry, fmt.Sprintf(`SELECT `+entryColumns+` FROM entries%s ORDER BY revision %s LIMIT %d`,
			w.sql, order, size+1), w.args...)
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

// PutSummary implements store.Projects.
func (s *Store) PutSummary(ctx context.Context, project uuid.UUID, m store.Summary) error {
	if err := rule.Summary(m); err != nil {
		return err
	}
	return s.change(ctx, func(tx pgx.Tx) error {
		if _, err := head(ctx, tx, project); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `
			UPDATE projects SET summary_revision = $1, input_hash = $2, name = $3, town = $4, region = $5, status = $6,
				open_stops = $7, owner = $8, payload = $9, name_key = $10, search_key = $11
			WHERE id = $12 AND summary_revision <= $13`,
			m.Revision, m.InputHash, m.Name, m.Town, m.Region, m.Status,
			m.OpenStops, m.Owner, m.Payload, rule.NameKey(m.Name), rule.SearchKey(m.Name, m.Town),
			project, m.Revision)
		return err
	})
}

const listedColumns = `id, revision, updated, summary_revision, input_hash, name, town, region, status, open_stops, owner, payload`

func scanListed(r row) (l store.Listed, err error) {
	var t pgtype.Timestamptz
	m := &l.Summary
	err = r.Scan(&l.Project, &l.Revision, &t, &m.Revision, &m.InputHash, &m.Name, &m.Town, &m.Region, &m.Status,
		&m.OpenStops, &m.Owner, &m.Payload)
	l.Updated = fromInstant(t)
	return l, err
}

// Project implements store.Projects.
func (s *Store) Project(ctx context.Context, project uuid.UUID) (l store.Listed, err error) {
	err = s.run(ctx, func() error {
		l, err = one(ctx, s.pool, "project", project.String(), scanListed,
			`SELECT `+listedColumns+` FROM projects WHERE id = $1`, project)
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
	var w where
	if f.Text != "" {
		w.and(`strpos(search_key, $%d) > 0`, store.Fold(f.Text))
	}
	if f.Region != "" {
		w.and(`region = $%d`, f.Region)
	}
	if f.Status != "" {
		w.and(`status = $%d`, f.Status)
	}
	if f.Owner != "" {
		w.and(`owner = $%d`, f.Owner)
	}
	if f.Member != uuid.Nil {
		w.and(`id IN (SELECT project FROM members WHERE person = $%d)`, f.Member)
	}
	if f.OnlyOpenStops {
		w.and(`open_stops > 0`)
	}
	if !f.UpdatedSince.IsZero() {
		w.and(`updated >= $%d`, f.UpdatedSince)
	}
	order := `updated DESC, id DESC`
	if f.Order == store.ByName {
		order = `name_key, id`
	}
	if keys != nil {
		us, err := strconv.ParseInt(keys[0], 10, 64)
		id, err2 := uuid.Parse(keys[1])
		switch {
		case err2 != nil, f.Order == store.ByUpdated && err != nil:
			return store.ProjectPage{}, &store.Invalid{Field: "page.token", Reason: "does not belong to this query"}
		case f.Order == store.ByName:
			w.and(`(name_key, id) > ($%d, $%d)`, keys[0], id)
		default:
			w.and(`(updated, id) < ($%d, $%d)`, time.UnixMicro(us), id)
		}
	}
	var p store.ProjectPage
	err = s.run(ctx, func() (err error) {
		p.Projects, err = collect(ctx, s.pool, scanListed, fmt.Sprintf(`SELECT `+listedColumns+` FROM projects%s ORDER BY %s LIMIT %d`,
			w.sql, order, size+1), w.args...)
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

const memberColumns = `project, person, role, since, inviter, same_as`

func scanMember(r row) (m store.Member, err error) {
	var t pgtype.Timestamptz
	var same uuid.NullUUID
	err = r.Scan(&m.Project, &m.Person, &m.Role, &t, &m.Inviter, &same)
	m.Since, m.SameAs = fromInstant(t), same.UUID
	return m, err
}

// Member implements store.Projects.
func (s *Store) Member(ctx context.Context, project, person uuid.UUID) (m store.Member, err error) {
	err = s.run(ctx, func() error {
		m, err = one(ctx, s.pool, "member", person.String(), scanMember,
			`SELECT `+memberColumns+` FROM members WHERE project = $1 AND person = $2`, project, person)
		return err
	})
	return m, err
}

// Members implements store.Projects.
func (s *Store) Members(ctx context.Context, project uuid.UUID) (ms []store.Member, err error) {
	err = s.view(ctx, func(tx pgx.Tx) (err error) {
		if _, err := head(ctx, tx, project); err != nil {
			return err
		}
		ms, err = collect(ctx, tx, scanMember,
			`SELECT `+memberColumns+` FROM members WHERE project = $1 ORDER BY person`, project)
		return err
	})
	return ms, err
}

// Memberships implements store.Projects.
func (s *Store) Memberships(ctx context.Context, person uuid.UUID) (ms []store.Member, err error) {
	err = s.run(ctx, func() error {
		ms, err = collect(ctx, s.pool, scanMember,
			`SELECT `+memberColumns+` FROM members WHERE person = $1 ORDER BY project`, person)
		return err
	})
	return ms, err
}
