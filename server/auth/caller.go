package auth

import (
	"context"
	"errors"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

// Caller is who sent a request.
type Caller struct {
	Token   uuid.UUID
	Person  uuid.UUID // zero for a token that stands for no person
	Name    string
	Project uuid.UUID // the one project the token is for; zero: server-wide
	Role    Role      // of the token
	Expires time.Time // of the token; zero: never
	Derive  *Deriver  // of the token's secret; nil where the caller was not authenticated by one
}

// Actor names the caller in the journal.
func (c Caller) Actor() string {
	if c.Person != uuid.Nil {
		return c.Person.String()
	}
	return "token " + c.Token.String()
}

type callerKey struct{}

type roleKey struct{}

// WithCaller puts the caller, and the role they have in the request's project,
// into the context.
func WithCaller(ctx context.Context, c Caller, role Role) context.Context {
	return context.WithValue(context.WithValue(ctx, callerKey{}, c), roleKey{}, role)
}

// CallerFrom returns the caller; false on a public method without token.
func CallerFrom(ctx context.Context) (Caller, bool) {
	c, ok := ctx.Value(callerKey{}).(Caller)
	return c, ok
}

// RoleFrom returns the caller's role in the request's project; empty outside one.
func RoleFrom(ctx context.Context) Role {
	r, _ := ctx.Value(roleKey{}).(Role)
	return r
}

// ErrNoCaller is returned for a missing, unknown, expired or revoked token, all
// alike so that nothing can be learned from it.
var ErrNoCaller = errors.New("the token is missing, unknown, expired or revoked")

// Tokens is what Authenticate needs of the store.
type Tokens interface {
	TokenByHash(ctx context.Context, secret store.Hash) (store.Token, error)
	Person(ctx context.Context, id uuid.UUID) (store.Person, error)
}

// Authenticate returns the caller a secret stands for, or ErrNoCaller.
func Authenticate(ctx context.Context, tokens Tokens, secret string, now time.Time) (Caller, error) {
	if secret == "" {
		return Caller{}, ErrNoCaller
	}
	t, err := tokens.TokenByHash(ctx, HashSecret(secret))
	if errors.Is(err, store.ErrNotFound) || (err == nil && !t.Live(now)) {
		return Caller{}, ErrNoCaller
	}
	if err != nil {
		return Caller{}, err
	}
	c := Caller{Token: t.ID, Person: t.Person, Project: t.Project, Role: Role(t.Role), Name: t.Label, Expires: t.Expires, Derive: NewDeriver(secret)}
	if t.Person != uuid.Nil {
		p, err := tokens.Person(ctx, t.Person)
		if err != nil && !errors.Is(err, store.ErrNotFound) {
			return Caller{}, err
		}
		if err == nil && p.Name != "" {
			c.Name = p.Name
		}
	}
	return c, nil
}

// Members is what RoleIn needs of the store.
type Members interface {
	Member(ctx context.Context, project, person uuid.UUID) (store.Member, error)
}

// RoleIn returns the caller's role in a project; empty when there is none. A
// token for one project counts there alone, in its own role, and only while its person is a member. The server's
// administrator acts in the role they were given in the project, else as Admin.
func RoleIn(ctx context.Context, members Members, c Caller, project uuid.UUID) (Role, error) {
	if c.Project != uuid.Nil {
		if c.Project != project {
			return "", nil
		}
		if c.Person == uuid.Nil {
			return c.Role, nil
		}
	}
	none := Role("")
	if c.Role == Admin && c.Project == uuid.Nil {
		none = Admin
	}
	if c.Person == uuid.Nil {
		return none, nil
	}
	m, err := members.Member(ctx, project, c.Person)
	if errors.Is(err, store.ErrNotFound) {
		return none, nil
	}
	if err != nil {
		return "", err
	}
	if c.Project != uuid.Nil {
		return c.Role, nil
	}
	return Role(m.Role), nil
}
