// Package rpc is the server's edge: the interceptor chain, the one table that
// turns errors into statuses, request ids and limits.
package rpc

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/durationpb"

	"roodbeam/server/auth"
	"roodbeam/server/convert"
	"roodbeam/server/limit"
	"roodbeam/server/store"
)

// Domain is the ErrorInfo domain of every error of this server.
const Domain = "roodbeam"

// InvalidFields is the error for a request with fields that cannot be taken;
// it lists them all at once.
type InvalidFields struct{ Violations []convert.Violation }

func (e *InvalidFields) Error() string {
	first := e.Violations[0].Field + ": " + e.Violations[0].Description()
	if len(e.Violations) == 1 {
		return first
	}
	return fmt.Sprintf("%d fields cannot be taken; first: %s", len(e.Violations), first)
}

// Precondition is the error for a state that does not allow the call.
type Precondition struct {
	Type, Subject, Description string
	Metadata                   map[string]string
}

func (e *Precondition) Error() string { return e.Description }

// Taken is the error for an id that the client used before with other content.
type Taken struct {
	ID     string // field of the request that holds the id
	Field  string // field of the request that differs
	Reason string
}

func (e *Taken) Error() string {
	return fmt.Sprintf("the %s was used before with other content: %s %s", e.ID, e.Field, e.Reason)
}

// Status turns an error of any layer into the status the client gets. An error
// nobody knows becomes Internal without its text, which may tell of the inside.
func Status(err error) *status.Status {
	if err == nil {
		return status.New(codes.OK, "")
	}
	var fields *InvalidFields
	if errors.As(err, &fields) {
		return fields.status()
	}
	var pre *Precondition
	if errors.As(err, &pre) {
		return with(codes.FailedPrecondition, pre.Description, reason(pre.Type, pre.Metadata),
			&errdetails.PreconditionFailure{Violations: []*errdetails.PreconditionFailure_Violation{
				{Type: pre.Type, Subject: pre.Subject, Description: pre.Description}}})
	}
	var used *Taken
	if errors.As(err, &used) {
		return with(codes.AlreadyExists, used.Error(), reason("ID_TAKEN", map[string]string{"id": used.ID, "field": used.Field}),
			convert.BadRequest([]convert.Violation{{Field: used.Field, Reason: used.Reason}}))
	}
	var moved *store.RevisionMismatch
	if errors.As(err, &moved) {
		return with(codes.Aborted, fmt.Sprintf("the project is at revision %d, not %d: read it again and repeat the change", moved.Actual, moved.Expected),
			reason("REVISION_MISMATCH", map[string]string{"expected": fmt.Sprint(moved.Expected), "actual": fmt.Sprint(moved.Actual)}))
	}
	var taken *store.EntryConflict
	if errors.As(err, &taken) {
		return with(codes.AlreadyExists, "this entry id was used for other content", reason("ENTRY_CONFLICT", map[string]string{"entry_id": taken.Entry.String()}))
	}
	var busy *limit.Exceeded
	if errors.As(err, &busy) {
		return with(codes.ResourceExhausted, busy.Error(), reason("TOO_MANY", map[string]string{"what": busy.What}),
			&errdetails.RetryInfo{RetryDelay: durationpb.New(busy.Retry)})
	}
	var over *store.OverQuota
	if errors.As(err, &over) {
		return with(codes.ResourceExhausted, over.Error(), reason("QUOTA", map[string]string{"of": over.Of, "limit_bytes": fmt.Sprint(over.Limit)}),
			&errdetails.QuotaFailure{Violations: []*errdetails.QuotaFailure_Violation{{Subject: over.Of, Description: over.Error()}}})
	}
	var large *store.TooLarge
	if errors.As(err, &large) {
		return (&InvalidFields{[]convert.Violation{{Field: large.Field, Given: fmt.Sprint(large.Size), Allowed: fmt.Sprintf("at most %d", large.Limit), Reason: "too large"}}}).status()
	}
	var invalid *store.Invalid
	if errors.As(err, &invalid) {
		return (&InvalidFields{[]convert.Violation{{Field: invalid.Field, Reason: invalid.Reason}}}).status()
	}
	var missing interface{ Missing() string }
	if errors.As(err, &missing) {
		return with(codes.NotFound, missing.Missing(), reason("NOT_FOUND", nil))
	}
	var gone *store.NotFound
	if errors.As(err, &gone) {
		return with(codes.NotFound, fmt.Sprintf("%s %q not found", gone.What, gone.ID), reason("NOT_FOUND", map[string]string{"what": gone.What, "id": gone.ID}))
	}
	var role *NotForRole
	if errors.As(err, &role) {
		return with(codes.PermissionDenied, role.Error(), reason("ROLE", map[string]string{"role": string(role.Role)}))
	}
	for _, row := range table {
		if errors.Is(err, row.is) {
			return with(row.code, row.text, reason(row.reason, nil))
		}
	}
	if s, ok := status.FromError(err); ok {
		return s
	}
	return with(codes.Internal, "the server met an error it does not know; it was logged with the request id", reason("INTERNAL", nil))
}

var table = []struct {
	is     error
	code   codes.Code
	reason string
	text   string
}{
	{auth.ErrNoCaller, codes.Unauthenticated, "NO_CALLER", auth.ErrNoCaller.Error()},
	{ErrDenied, codes.PermissionDenied, "DENIED", ErrDenied.Error()},
	{store.ErrNotFound, codes.NotFound, "NOT_FOUND", "not found"},
	{store.ErrExists, codes.AlreadyExists, "EXISTS", store.ErrExists.Error()},
	{store.ErrSpent, codes.FailedPrecondition, "SPENT", store.ErrSpent.Error()},
	{store.ErrCorrupt, codes.DataLoss, "CORRUPT", store.ErrCorrupt.Error()},
	{store.ErrClosed, codes.Unavailable, "CLOSED", "the server is shutting down"},
	{store.ErrUnavailable, codes.Unavailable, "BUSY", store.ErrUnavailable.Error()},
	{context.DeadlineExceeded, codes.DeadlineExceeded, "DEADLINE", "the deadline passed"},
	{context.Canceled, codes.Canceled, "CANCELLED", "the caller went away"},
}

// ErrDenied has one wording for 'no such project' and 'not yours', so that
// nothing can be learned about projects of others.
var ErrDenied = errors.New("no such project, or not allowed to you")

// NotForRole refuses a member what their role may not do. They know of the project,
// so that it may say more than ErrDenied.
type NotForRole struct {
	Role auth.Role
	May  []auth.Role
}

func (e *NotForRole) Error() string {
	var may []string
	for _, r := range e.May {
		may = append(may, words(r))
	}
	return fmt.Sprintf("you are in this project as %s, who may not do this; it takes: %s", words(e.Role), strings.Join(may, ", "))
}

// Is makes it a refusal as any other.
func (e *NotForRole) Is(target error) bool { return target == ErrDenied }

func words(r auth.Role) string { return strings.ReplaceAll(string(r), "_", " ") }

func (e *InvalidFields) status() *status.Status {
	return with(codes.InvalidArgument, e.Error(), reason("INVALID_FIELDS", nil), convert.BadRequest(e.Violations))
}

func reason(r string, meta map[string]string) *errdetails.ErrorInfo {
	return &errdetails.ErrorInfo{Reason: r, Domain: Domain, Metadata: meta}
}
