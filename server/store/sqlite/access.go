package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

const tokenColumns = `id, secret, label, person, project, role, created_us, expires_us, revoked_us`

func scanToken(r row) (t store.Token, err error) {
	var secret []byte
	var person, project uuid.NullUUID
	var created, expires, revoked sql.NullInt64
	if err := r.Scan(&t.ID, &secret, &t.Label, &person, &project, &t.Role, &created, &expires, &revoked); err != nil {
		return t, err
	}
	t.Person, t.Project = person.UUID, project.UUID
	t.Created, t.Expires, t.Revoked = fromInstant(created), fromInstant(expires), fromInstant(revoked)
	return t, scanHash(&t.Secret, secret)
}

// PutToken implements store.Access.
func (s *Store) PutToken(ctx context.Context, t store.Token) error {
	if err := rule.Token(t); err != nil {
		return err
	}
	return s.change(ctx, func(tx *sql.Tx) error { return putToken(ctx, tx, t) })
}

func putToken(ctx context.Context, tx *sql.Tx, t store.Token) error {
	t = rule.TrimToken(t)
	if t.Project != uuid.Nil {
		if _, err := head(ctx, tx, t.Project); err != nil {
			return err
		}
	}
	have, err := token(ctx, tx, t.ID)
	switch {
	case err == nil && rule.SameToken(have, t):
		return nil
	case err == nil:
		return &store.Exists{What: "token", ID: t.ID.String()}
	case !errors.Is(err, store.ErrNotFound):
		return err
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO tokens (`+tokenColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		t.ID, t.Secret[:], t.Label, optional(t.Person), optional(t.Project), t.Role,
		instant(t.Created), instant(t.Expires), instant(t.Revoked))
	if isUnique(err) {
		return &store.Exists{What: "token", ID: t.ID.String()}
	}
	return err
}

// TokenByHash implements store.Access.
func (s *Store) TokenByHash(ctx context.Context, secret store.Hash) (t store.Token, err error) {
	err = s.run(ctx, func() error {
		t, err = one(ctx, s.read, "token", "of this secret", scanToken, `SELECT `+tokenColumns+` FROM tokens WHERE secret = ?`, secret[:])
		return err
	})
	return t, err
}

// Token implements store.Access.
func (s *Store) Token(ctx context.Context, id uuid.UUID) (t store.Token, err error) {
	err = s.run(ctx, func() error {
		t, err = token(ctx, s.read, id)
		return err
	})
	return t, err
}

func token(ctx context.Context, q querier, id uuid.UUID) (store.Token, error) {
	return one(ctx, q, "token", id.String(), scanToken, `SELECT `+tokenColumns+` FROM tokens WHERE id = ?`, id)
}

// ListTokens implements store.Access.
func (s *Store) ListTokens(ctx context.Context, f store.TokenFilter, page store.Page) (store.TokenPage, error) {
	query, args := `SELECT `+tokenColumns+` FROM tokens WHERE TRUE`, []any(nil)
	if f.Person != uuid.Nil {
		query, args = query+` AND person = ?`, append(args, f.Person)
	}
	if f.Project != uuid.Nil {
		query, args = query+` AND project = ?`, append(args, f.Project)
	}
	all, next, err := byID(ctx, s, page, []any{"tokens", f}, scanToken, func(t store.Token) uuid.UUID { return t.ID }, query, args...)
	return store.TokenPage{Tokens: all, Next: next}, err
}

// RevokeToken implements store.Access.
func (s *Store) RevokeToken(ctx context.Context, id uuid.UUID, at time.Time) error {
	return s.revoke(ctx, "token", `UPDATE tokens SET revoked_us = coalesce(revoked_us, ?) WHERE id = ?`, id, at)
}

// RevokeInvitation implements store.Access.
func (s *Store) RevokeInvitation(ctx context.Context, id uuid.UUID, at time.Time) error {
	return s.revoke(ctx, "invitation", `UPDATE invitations SET revoked_us = coalesce(revoked_us, ?) WHERE id = ?`, id, at)
}

func (s *Store) revoke(ctx context.Context, what, update string, id uuid.UUID, at time.Time) error {
	if err := rule.Instant("at", at); err != nil {
		return err
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		res, err := tx.ExecContext(ctx, update, instant(store.Trim(at)), id)
		if err != nil {
			return err
		}
		if n, err := res.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return &store.NotFound{What: what, ID: id.String()}
	})
}

const invitationColumns = `id, secret, project, role, label, creator, created_us, expires_us, revoked_us, max_uses, uses`

func scanInvitation(r row) (i store.Invitation, err error) {
	var secret []byte
	var created, expires, revoked sql.NullInt64
	if err := r.Scan(&i.ID, &secret, &i.Project, &i.Role, &i.Label, &i.Creator, &created, &expires, &revoked, &i.MaxUses, &i.Uses); err != nil {
		return i, err
	}
	i.Created, i.Expires, i.Revoked = fromInstant(created), fromInstant(expires), fromInstant(revoked)
	return i, scanHash(&i.Secret, secret)
}

func invitation(ctx context.Context, q querier, id uuid.UUID) (store.Invitation, error) {
	return one(ctx, q, "invitation", id.String(), scanInvitation, `SELECT `+invitationColumns+` FROM invitations WHERE id = ?`, id)
}

// PutInvitation implements store.Access.
func (s *Store) PutInvitation(ctx context.Context, i store.Invitation) error {
	if err := rule.Invitation(i); err != nil {
		return err
	}
	i = rule.TrimInvitation(i)
	return s.change(ctx, func(tx *sql.Tx) error {
		if _, err := head(ctx, tx, i.Project); err != nil {
			return err
		}
		have, err := invitation(ctx, tx, i.ID)
		switch {
		case err == nil && rule.SameInvitation(have, i):
			return nil
		case err == nil:
			return &store.Exists{What: "invitation", ID: i.ID.String()}
		case !errors.Is(err, store.ErrNotFound):
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO invitations (`+invitationColumns+`) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			i.ID, i.Secret[:], i.Project, i.Role, i.Label, i.Creator,
			instant(i.Created), instant(i.Expires), instant(i.Revoked), i.MaxUses, i.Uses)
		if isUnique(err) {
			return &store.Exists{What: "invitation", ID: i.ID.String()}
		}
		return err
	})
}

// InvitationByHash implements store.Access.
func (s *Store) InvitationByHash(ctx context.Context, secret store.Hash) (i store.Invitation, err error) {
	err = s.run(ctx, func() error {
		i, err = one(ctx, s.read, "invitation", "of this secret", scanInvitation,
			`SELECT `+invitationColumns+` FROM invitations WHERE secret = ?`, secret[:])
		return err
	})
	return i, err
}

// Invitation implements store.Access.
func (s *Store) Invitation(ctx context.Context, id uuid.UUID) (i store.Invitation, err error) {
	err = s.run(ctx, func() error {
		i, err = invitation(ctx, s.read, id)
		return err
	})
	return i, err
}

// ListInvitations implements store.Access.
func (s *Store) ListInvitations(ctx context.Context, project uuid.UUID) (is []store.Invitation, err error) {
	err = s.view(ctx, func(tx *sql.Tx) (err error) {
		if _, err := head(ctx, tx, project); err != nil {
			return err
		}
		is, err = collect(ctx, tx, scanInvitation, `SELECT `+invitationColumns+` FROM invitations WHERE project = ? ORDER BY id`, project)
		return err
	})
	return is, err
}
