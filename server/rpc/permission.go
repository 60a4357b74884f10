package rpc

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/google/uuid"
	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	"roodbeam/server/auth"
	"roodbeam/server/convert"
)

// ownPrefix marks the methods that carry a permission option; health and
// reflection are open by their nature.
const ownPrefix = "/roodbeam.v1."

// PermissionOf returns what a method's option says; UNSPECIFIED, which nobody
// passes, for a method without one.
func PermissionOf(fullMethod string) optionsv1.Permission {
	name := protoreflect.FullName(strings.ReplaceAll(strings.TrimPrefix(fullMethod, "/"), "/", "."))
	d, err := protoregistry.GlobalFiles.FindDescriptorByName(name)
	if err != nil || d.Options() == nil {
		return optionsv1.Permission_PERMISSION_UNSPECIFIED
	}
	p, _ := proto.GetExtension(d.Options(), optionsv1.E_Permission).(optionsv1.Permission)
	return p
}

// Access is what the gate needs of the store.
type Access interface {
	auth.Tokens
	auth.Members
}

// Gate enforces the permission option of every method, deny by default.
type Gate struct {
	Access Access
	Now    func() time.Time
}

// Admit returns the context with the caller in it, or the error that refuses
// the call. It runs before validation, so that an outsider learns nothing from
// how a request fails.
func (g Gate) Admit(ctx context.Context, fullMethod string, req any) (context.Context, error) {
	if !strings.HasPrefix(fullMethod, ownPrefix) {
		return ctx, nil
	}
	p := PermissionOf(fullMethod)
	if p == optionsv1.Permission_PERMISSION_UNSPECIFIED {
		return nil, ErrDenied
	}
	caller, err := g.identify(ctx)
	if p == optionsv1.Permission_PERMISSION_PUBLIC {
		if err == nil {
			ctx = auth.WithCaller(ctx, caller, "")
		}
		return ctx, nil
	}
	if err != nil {
		return nil, err
	}
	switch p {
	case optionsv1.Permission_PERMISSION_SIGNED_IN:
		return auth.WithCaller(ctx, caller, ""), nil
	case optionsv1.Permission_PERMISSION_ADMIN:
		if caller.Role != auth.Admin || caller.Project != uuid.Nil {
			return nil, ErrDenied
		}
		return auth.WithCaller(ctx, caller, auth.Admin), nil
	}
	project, err := projectOf(req)
	if err != nil {
		return nil, err
	}
	role, err := auth.RoleIn(ctx, g.Access, caller, project)
	if err != nil {
		return nil, err
	}
	if !role.Allows(p) {
		if !role.Valid() {
			return nil, ErrDenied
		}
		return nil, &NotForRole{Role: role, May: rolesWith(p)}
	}
	return auth.WithCaller(ctx, caller, role), nil
}

// rolesWith returns the roles that may call methods of a permission.
func rolesWith(p optionsv1.Permission) []auth.Role {
	var out []auth.Role
	for _, r := range auth.ProjectRoles() {
		if r.Allows(p) {
			out = append(out, r)
		}
	}
	return out
}

// known is what authentication said of a request.
type known struct {
	caller auth.Caller
	err    error
}

type knownKey struct{}

// identify returns who sent a request, once per request.
func (g Gate) identify(ctx context.Context) (auth.Caller, error) {
	if k, ok := ctx.Value(knownKey{}).(known); ok {
		return k.caller, k.err
	}
	return auth.Authenticate(ctx, g.Access, bearer(ctx), g.Now())
}

func bearer(ctx context.Context) string {
	md, _ := metadata.FromIncomingContext(ctx)
	for _, v := range md.Get("authorization") {
		if scheme, secret, ok := strings.Cut(v, " "); ok && strings.EqualFold(scheme, "bearer") {
			return strings.TrimSpace(secret)
		}
	}
	return ""
}

// projectOf reads the field every project-bound request has.
func projectOf(req any) (uuid.UUID, error) {
	m, ok := req.(proto.Message)
	if !ok {
		return uuid.Nil, fmt.Errorf("rpc: request %T is no message", req)
	}
	fd := m.ProtoReflect().Descriptor().Fields().ByName("project_id")
	if fd == nil || fd.Kind() != protoreflect.StringKind {
		return uuid.Nil, fmt.Errorf("rpc: %s has no project_id", m.ProtoReflect().Descriptor().FullName())
	}
	given := m.ProtoReflect().Get(fd).String()
	id, err := uuid.Parse(given)
	if err != nil {
		return uuid.Nil, &InvalidFields{[]convert.Violation{{Field: "project_id", Given: given, Allowed: "a UUID", Reason: "not a project id"}}}
	}
	return id, nil
}
