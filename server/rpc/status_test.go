package rpc

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"roodbeam/server/auth"
	"roodbeam/server/convert"
	"roodbeam/server/limit"
	"roodbeam/server/planner"
	"roodbeam/server/store"
)

func TestStatus(t *testing.T) {
	id := uuid.MustParse("0197a000-0000-7000-8000-000000000001")
	for _, c := range []struct {
		name   string
		err    error
		code   codes.Code
		reason string
		text   string // part of the message
	}{
		{"fields", &InvalidFields{[]convert.Violation{{Field: "a", Reason: "bad"}, {Field: "b", Reason: "worse"}}}, codes.InvalidArgument, "INVALID_FIELDS", "2 fields"},
		{"precondition", &Precondition{Type: "OPEN_STOPS", Subject: "p", Description: "3 stops are open"}, codes.FailedPrecondition, "OPEN_STOPS", "3 stops"},
		{"revision", &store.RevisionMismatch{Project: id, Expected: 3, Actual: 5}, codes.Aborted, "REVISION_MISMATCH", "revision 5, not 3"},
		{"entry taken", &store.EntryConflict{Project: id, Entry: id, Revision: 2}, codes.AlreadyExists, "ENTRY_CONFLICT", "entry id"},
		{"id taken", &Taken{ID: "token_id", Field: "name", Reason: "was another"}, codes.AlreadyExists, "ID_TAKEN", "token_id"},
		{"too many", &limit.Exceeded{What: "plans", Retry: time.Second}, codes.ResourceExhausted, "TOO_MANY", "too many plans at once; try again in 1s"},
		{"over quota", &store.OverQuota{Of: "project", Limit: 9}, codes.ResourceExhausted, "QUOTA", "project"},
		{"too large", &store.TooLarge{Field: "photo", Size: 9, Limit: 4}, codes.InvalidArgument, "INVALID_FIELDS", "photo"},
		{"invalid", &store.Invalid{Field: "page.token", Reason: "not a token"}, codes.InvalidArgument, "INVALID_FIELDS", "page.token"},
		{"no caller", auth.ErrNoCaller, codes.Unauthenticated, "NO_CALLER", "token"},
		{"denied", ErrDenied, codes.PermissionDenied, "DENIED", "not allowed"},
		{"not found", &store.NotFound{What: "packet", ID: "x"}, codes.NotFound, "NOT_FOUND", "not found"},
		{"no scheme", &planner.NoScheme{Name: "x"}, codes.NotFound, "NOT_FOUND", "not found"},
		{"exists", store.ErrExists, codes.AlreadyExists, "EXISTS", ""},
		{"spent", store.ErrSpent, codes.FailedPrecondition, "SPENT", ""},
		{"corrupt", store.ErrCorrupt, codes.DataLoss, "CORRUPT", ""},
		{"closed", store.ErrClosed, codes.Unavailable, "CLOSED", "shutting down"},
		{"busy", store.ErrUnavailable, codes.Unavailable, "BUSY", ""},
		{"deadline", context.DeadlineExceeded, codes.DeadlineExceeded, "DEADLINE", "deadline"},
		{"cancelled", context.Canceled, codes.Canceled, "CANCELLED", ""},
		{"unknown", errors.New("disk full at sector 12"), codes.Internal, "INTERNAL", "request id"},
	} {
		// Errors come wrapped by whoever passed them on.
		for _, err := range []error{c.err, fmt.Errorf("while reading: %w", c.err)} {
			s := Status(err)
			if s.Code() != c.code || !strings.Contains(s.Message(), c.text) {
				t.Errorf("%s: Status(%v) = %v %q, want %v with %q", c.name, err, s.Code(), s.Message(), c.code, c.text)
			}
			info := infoOf(s)
			if info == nil || info.GetReason() != c.reason || info.GetDomain() != Domain {
				t.Errorf("%s: ErrorInfo = %v, want reason %s", c.name, info, c.reason)
			}
			if strings.Contains(s.Message(), "while reading") || strings.Contains(s.Message(), "sector") {
				t.Errorf("%s: the client reads the inside: %q", c.name, s.Message())
			}
		}
	}
	if s := Status(nil); s.Code() != codes.OK {
		t.Errorf("Status(nil) = %v, want OK", s.Code())
	}
	if s := Status(status.Error(codes.ResourceExhausted, "slow down")); s.Code() != codes.ResourceExhausted || s.Message() != "slow down" {
		t.Errorf("a status does not pass as it is: %v", s)
	}
	for _, row := range table {
		if got := Status(row.is).Code(); got != row.code {
			t.Errorf("row %s gives %v, want %v", row.reason, got, row.code)
		}
	}
}

func TestStatusDetails(t *testing.T) {
	s := Status(&InvalidFields{[]convert.Violation{
		{Field: "file.brief.zones[0].name", Given: "", Allowed: "1 to 80 characters", Reason: "is missing"},
		{Field: "file.survey.floor.kind", Given: "jelly", Reason: "is no kind"}}})
	var got []string
	for _, d := range s.Details() {
		if br, ok := d.(*errdetails.BadRequest); ok {
			for _, v := range br.GetFieldViolations() {
				got = append(got, v.GetField()+": "+v.GetDescription())
			}
		}
	}
	if len(got) != 2 || !strings.Contains(got[0], "1 to 80 characters") || !strings.Contains(got[1], "jelly") {
		t.Errorf("violations = %q, want both with given value and allowed range", got)
	}
	s = Status(&Precondition{Type: "OPEN_STOPS", Subject: "p1", Description: "stops are open", Metadata: map[string]string{"open_stops": "3"}})
	var pre *errdetails.PreconditionFailure_Violation
	for _, d := range s.Details() {
		if p, ok := d.(*errdetails.PreconditionFailure); ok && len(p.GetViolations()) == 1 {
			pre = p.GetViolations()[0]
		}
	}
	if pre.GetType() != "OPEN_STOPS" || pre.GetSubject() != "p1" || infoOf(s).GetMetadata()["open_stops"] != "3" {
		t.Errorf("details = %v, want the precondition and its numbers", s.Details())
	}
	s = Status(&store.RevisionMismatch{Expected: 3, Actual: 5})
	if m := infoOf(s).GetMetadata(); m["expected"] != "3" || m["actual"] != "5" {
		t.Errorf("metadata = %v, want both revisions", m)
	}
}

func infoOf(s *status.Status) *errdetails.ErrorInfo {
	for _, d := range s.Details() {
		if i, ok := d.(*errdetails.ErrorInfo); ok {
			return i
		}
	}
	return nil
}
