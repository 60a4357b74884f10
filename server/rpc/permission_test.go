package rpc

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/uuid"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/store"
)

func clock() time.Time { return time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC) }

// people are made-up tokens and members.
type people struct {
	tokens  map[store.Hash]store.Token
	members map[[2]uuid.UUID]store.Member
	broken  error // what every call answers, when set
}

func newPeople() *people {
	return &people{tokens: map[store.Hash]store.Token{}, members: map[[2]uuid.UUID]store.Member{}}
}

func (p *people) TokenByHash(_ context.Context, h store.Hash) (store.Token, error) {
	if p.broken != nil {
		return store.Token{}, p.broken
	}
	if t, ok := p.tokens[h]; ok {
		return t, nil
	}
	return store.Token{}, store.ErrNotFound
}

func (p *people) Person(context.Context, uuid.UUID) (store.Person, error) {
	return store.Person{}, store.ErrNotFound
}

func (p *people) Member(_ context.Context, project, person uuid.UUID) (store.Member, error) {
	if m, ok := p.members[[2]uuid.UUID{project, person}]; ok {
		return m, nil
	}
	return store.Member{}, store.ErrNotFound
}

// issue keeps a token and returns its secret.
func (p *people) issue(t store.Token) string {
	secret := auth.NewSecret()
	t.ID, t.Secret, t.Created = uuid.New(), auth.HashSecret(secret), clock().Add(-time.Hour)
	p.tokens[t.Secret] = t
	return secret
}

func (p *people) admin() string { return p.issue(store.Token{Role: string(auth.Admin)}) }

// member is the secret of a person who has a role in a project.
func (p *people) member(project uuid.UUID, role auth.Role) string {
	person := uuid.New()
	p.members[[2]uuid.UUID{project, person}] = store.Member{Project: project, Person: person, Role: string(role)}
	return p.issue(store.Token{Person: person})
}

// methods are all methods of the API.
func methods(t *testing.T) []protoreflect.MethodDescriptor {
	t.Helper()
	_ = pb.File_roodbeam_v1_project_service_proto
	var out []protoreflect.MethodDescriptor
	protoregistry.GlobalFiles.RangeFilesByPackage("roodbeam.v1", func(f protoreflect.FileDescriptor) bool {
		for i := range f.Services().Len() {
			ms := f.Services().Get(i).Methods()
			for j := range ms.Len() {
				out = append(out, ms.Get(j))
			}
		}
		return true
	})
	if len(out) < 40 {
		t.Fatalf("%d methods found, want the API's", len(out))
	}
	return out
}

func path(m protoreflect.MethodDescriptor) string {
	return fmt.Sprintf("/%s/%s", m.Parent().FullName(), m.Name())
}

// request is an empty request of the method, for the project where it has one.
func request(m protoreflect.MethodDescriptor, project uuid.UUID) (req proto.Message, bound bool) {
	mt, err := protoregistry.GlobalTypes.FindMessageByName(m.Input().FullName())
	if err != nil {
		panic(err)
	}
	r := mt.New()
	fd := m.Input().Fields().ByName("project_id")
	if fd != nil {
		r.Set(fd, protoreflect.ValueOfString(project.String()))
	}
	return r.Interface(), fd != nil
}

// TestEveryMethodHasAPermission holds each method of the API to its option.
func TestEveryMethodHasAPermission(t *testing.T) {
	a := newPeople()
	gate := Gate{Access: a, Now: clock}
	var public []string
	for _, m := range methods(t) {
		p := PermissionOf(path(m))
		req, bound := request(m, uuid.New())
		_, err := gate.Admit(context.Background(), path(m), req)
		switch p {
		case optionsv1.Permission_PERMISSION_UNSPECIFIED:
			t.Errorf("%s has no permission option", path(m))
		case optionsv1.Permission_PERMISSION_PUBLIC:
			public = append(public, string(m.FullName()))
			if err != nil {
				t.Errorf("%s is public and refuses: %v", path(m), err)
			}
			continue
		case optionsv1.Permission_PERMISSION_SIGNED_IN, optionsv1.Permission_PERMISSION_ADMIN:
		default:
			if !bound {
				t.Errorf("%s needs %v and has no project_id", path(m), p)
			}
		}
		if !errors.Is(err, auth.ErrNoCaller) {
			t.Errorf("%s without token: %v, want %v", path(m), err, auth.ErrNoCaller)
		}
	}
	if diff := cmp.Diff([]string{"roodbeam.v1.AccessService.AcceptInvitation"}, public); diff != "" {
		t.Errorf("public methods (-want +got):\n%s", diff)
	}
	if p := PermissionOf("/roodbeam.v1.ProjectService/Unheard"); p != optionsv1.Permission_PERMISSION_UNSPECIFIED {
		t.Errorf("an unknown method has %v, want none", p)
	}
	if _, err := gate.Admit(withToken(a.admin()), "/roodbeam.v1.ProjectService/Unheard", &pb.GetProjectRequest{}); !errors.Is(err, ErrDenied) {
		t.Errorf("an unknown method: %v, want %v even to the administrator", err, ErrDenied)
	}
}

// TestMembersOnly: no method of a project lets in those who are not members.
func TestMembersOnly(t *testing.T) {
	a := newPeople()
	gate := Gate{Access: a, Now: clock}
	other := uuid.New()
	outsiders := map[string]string{
		"manager of another project":    a.member(other, auth.Manager),
		"token of another project":      a.issue(store.Token{Project: other, Role: string(auth.Manager)}),
		"person without any project":    a.issue(store.Token{Person: uuid.New()}),
		"admin's token for one project": a.issue(store.Token{Project: other, Role: string(auth.Admin)}),
	}
	project := uuid.New()
	for _, m := range methods(t) {
		req, bound := request(m, project)
		p := PermissionOf(path(m))
		if !bound || p == optionsv1.Permission_PERMISSION_SIGNED_IN || p == optionsv1.Permission_PERMISSION_PUBLIC {
			continue
		}
		for who, secret := range outsiders {
			if _, err := gate.Admit(withToken(secret), path(m), req); !errors.Is(err, ErrDenied) {
				t.Errorf("%s as %s: %v, want %v", path(m), who, err, ErrDenied)
			}
		}
	}
}

// TestTokens: whatever is wrong with a token, the wording is one.
func TestTokens(t *testing.T) {
	a := newPeople()
	gate := Gate{Access: a, Now: clock}
	project := uuid.New()
	good := store.Token{Project: project, Role: string(auth.Viewer)}
	expired, revoked, atOnce := good, good, good
	expired.Expires = clock().Add(-time.Second)
	revoked.Revoked = clock().Add(-time.Second)
	atOnce.Expires = clock()
	admit := func(ctx context.Context) error {
		_, err := gate.Admit(ctx, "/roodbeam.v1.ProjectService/GetProject", &pb.GetProjectRequest{ProjectId: project.String()})
		return err
	}
	if err := admit(withToken(a.issue(good))); err != nil {
		t.Errorf("a good token: %v", err)
	}
	later := good
	later.Expires = clock().Add(time.Second)
	if err := admit(withToken(a.issue(later))); err != nil {
		t.Errorf("a token in its last second: %v", err)
	}
	for name, ctx := range map[string]context.Context{
		"none":      context.Background(),
		"empty":     withToken(""),
		"unknown":   withToken(auth.NewSecret()),
		"expired":   withToken(a.issue(expired)),
		"expiring":  withToken(a.issue(atOnce)),
		"revoked":   withToken(a.issue(revoked)),
		"its hash":  withToken(auth.HashSecret(a.issue(good)).String()),
		"not a rbt": withToken("Bearer"),
	} {
		if err := admit(ctx); !errors.Is(err, auth.ErrNoCaller) || Status(err).Message() != auth.ErrNoCaller.Error() {
			t.Errorf("%s token: %v, want %v", name, err, auth.ErrNoCaller)
		}
	}
	a.broken = store.ErrUnavailable
	if err := admit(withToken("x")); !errors.Is(err, store.ErrUnavailable) {
		t.Errorf("with the store away: %v, want %v, since the token may be good", err, store.ErrUnavailable)
	}
}

func TestAdminMethods(t *testing.T) {
	a := newPeople()
	gate := Gate{Access: a, Now: clock}
	project := uuid.New()
	role := func(secret string) auth.Role {
		ctx, err := gate.Admit(withToken(secret), "/roodbeam.v1.ProjectService/GetProject", &pb.GetProjectRequest{ProjectId: project.String()})
		if err != nil {
			t.Fatal(err)
		}
		return auth.RoleFrom(ctx)
	}
	if got := role(a.admin()); got != auth.Admin {
		t.Errorf("the administrator acts as %q, want admin", got)
	}
	person := uuid.New()
	a.members[[2]uuid.UUID{project, person}] = store.Member{Project: project, Person: person, Role: string(auth.Manager)}
	if got := role(a.issue(store.Token{Role: string(auth.Admin), Person: person})); got != auth.Manager {
		t.Errorf("the administrator who is a manager acts as %q, want manager", got)
	}
}
