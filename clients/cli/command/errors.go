package command

import (
	"errors"
	"fmt"
	"io"
	"regexp"
	"sort"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"roodbeam/clients/cli/churchfile"
)

// showError prints an error for people, with what to try next, and returns the
// exit status. lines maps fields to lines of the file the request was made of.
func showError(w io.Writer, err error, lines churchfile.Lines) int {
	// Not status.FromError: for an error that wraps one it gives the whole text,
	// with words that are for programs.
	var from interface{ GRPCStatus() *status.Status }
	if !errors.As(err, &from) {
		fmt.Fprintln(w, "roodbeam:", err)
		return exitFailed
	}
	st := from.GRPCStatus()
	if problems := fieldProblems(st, lines); len(problems) > 0 {
		showProblems(w, problems)
		return exitInput
	}
	fmt.Fprintln(w, "roodbeam:", plain(st.Message()))
	switch st.Code() {
	case codes.InvalidArgument:
		return exitInput
	case codes.Unavailable:
		fmt.Fprintln(w, "Try: start a server, check --server, or leave --server out to work without one.")
		return exitServer
	case codes.Unauthenticated, codes.PermissionDenied:
		fmt.Fprintln(w, "Try: --token, or the environment variable ROODBEAM_TOKEN.")
		return exitServer
	case codes.FailedPrecondition:
		for _, d := range st.Details() {
			if p, ok := d.(*errdetails.PreconditionFailure); ok {
				for _, v := range p.GetViolations() {
					if v.GetDescription() != st.Message() {
						fmt.Fprintf(w, "  %s: %s\n", v.GetSubject(), v.GetDescription())
					}
				}
			}
		}
		return exitRefused
	case codes.Aborted:
		return exitRefused
	}
	return exitFailed
}

// transport is what is in the connection library's words for people.
var transport = regexp.MustCompile(`dial [^"]*`)

// plain is a message without the words of the connection library.
func plain(text string) string {
	if at := transport.FindString(text); at != "" {
		return "the server does not answer: " + at
	}
	return text
}

// fieldProblems reads the fields a server refused, in the order of the file.
func fieldProblems(st *status.Status, lines churchfile.Lines) []churchfile.Problem {
	var out []churchfile.Problem
	for _, d := range st.Details() {
		br, ok := d.(*errdetails.BadRequest)
		if !ok {
			continue
		}
		for _, v := range br.GetFieldViolations() {
			field := strings.TrimPrefix(v.GetField(), "file.")
			out = append(out, churchfile.Problem{Line: lines.Of(field), Field: field, Message: lines.InText(v.GetDescription())})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Line < out[j].Line })
	return out
}

func showProblems(w io.Writer, problems []churchfile.Problem) {
	for _, p := range problems {
		fmt.Fprintln(w, p)
	}
	thing := "problems"
	if len(problems) == 1 {
		thing = "problem"
	}
	fmt.Fprintf(w, "%d %s; nothing was written.\n", len(problems), thing)
}
