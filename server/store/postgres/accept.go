package postgres

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

// Accept implements store.Access.
func (s *Store) Accept(ctx context.Context, a store.Acceptance) (store.Accepted, error) {
	if err := rule.Acceptance(a); err != nil {
		return store.Accepted{}, err
	}
	var out store.Accepted
	err := s.change(ctx, func(tx pgx.Tx) (err error) {
		out, err = accept(ctx, tx, a)
		return err
	})
	if err != nil {
		return store.Accepted{}, err
	}
	if !out.Known {
		s.hub.Publish(a.Token.Project, out.Revision)
	}
	return out, nil
}

func accept(ctx context.Context, tx pgx.Tx, a store.Acceptance) (store.Accepted, error) {
	// The row is locked until the commit, so nobody uses it in between.
	i, err := one(ctx, tx, "invitation", a.Invitation.String(), scanInvitation, `SELECT `+invitationColumns+` FROM invitations WHERE id = $1 FOR UPDATE`, a.Invitation)
	if err != nil {
		return store.Accepted{}, err
	}
	if i.Project != a.Token.Project {
		return store.Accepted{}, &store.Invalid{Field: "token.project", Reason: "must be the invitation's project"}
	}
	have, err := token(ctx, tx, a.Token.ID)
	switch {
	case err == nil && have.Secret == a.Token.Secret:
		p, err := person(ctx, tx, have.Person)
		return store.Accepted{Person: p, Token: have, Known: true}, err
	case err == nil:
		return store.Accepted{}, &store.Exists{What: "token", ID: a.Token.ID.String()}
	case !errors.Is(err, store.ErrNotFound):
		return store.Accepted{}, err
	}
	if !i.Live(store.Trim(a.At)) {
		return store.Accepted{}, store.ErrSpent
	}
	if _, err := tx.Exec(ctx, `UPDATE invitations SET uses = uses + 1 WHERE id = $1`, i.ID); err != nil {
		return store.Accepted{}, err
	}
	if err := putPerson(ctx, tx, a.Person); err != nil {
		return store.Accepted{}, err
	}
	if err := putToken(ctx, tx, a.Token); err != nil {
		return store.Accepted{}, err
	}
	j := appending{tx: tx, project: i.Project}
	receipt, err := j.run(ctx, []store.Entry{a.Entry}, nil)
	if err != nil {
		return store.Accepted{}, err
	}
	a.Person.Created = store.Trim(a.Person.Created)
	return store.Accepted{Person: a.Person, Token: rule.TrimToken(a.Token), Revision: receipt.Revision}, nil
}
