package command

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"sort"
	"strings"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	"roodbeam/clients/cli/churchfile"
)

// failure is why a command ends without doing what was asked: for people with
// what to try next, for programs with its exit status.
type failure struct {
	status   int
	message  string
	try      string // what to do next, whole lines
	problems []churchfile.Problem
}

func (f *failure) Error() string {
	if f.message == "" {
		return tally(len(f.problems))
	}
	return f.message
}

// wrong is the failure of something that was typed.
func wrong(format string, args ...any) *failure {
	return &failure{status: exitInput, message: fmt.Sprintf(format, args...)}
}

// trying adds what to do next.
func (f *failure) trying(format string, args ...any) *failure {
	f.try = fmt.Sprintf(format, args...)
	return f
}

// wrongFile is the failure of a file with problems.
func wrongFile(problems []churchfile.Problem) *failure {
	return &failure{status: exitInput, problems: problems}
}

// explain makes an error of any layer a failure. lines maps fields to lines of the
// file the request was made of.
func explain(err error, lines churchfile.Lines) *failure {
	var f *failure
	if errors.As(err, &f) {
		return f
	}
	// Not status.FromError: for an error that wraps one it gives the whole text,
	// with words that are for programs.
	var from interface{ GRPCStatus() *status.Status }
	if !errors.As(err, &from) {
		if errors.Is(err, fs.ErrNotExist) {
			return wrong("%v", err)
		}
		return &failure{status: exitFailed, message: err.Error()}
	}
	st := from.GRPCStatus()
	if problems := fieldProblems(st, lines); len(problems) > 0 {
		return wrongFile(problems)
	}
	f = &failure{status: exitFailed, message: plain(st.Message())}
	switch st.Code() {
	case codes.InvalidArgument:
		f.status = exitInput
	case codes.Unavailable:
		f.status = exitServer
		f.try = "Try: start a server, check --server, or leave --server out to work without one."
	case codes.Unauthenticated, codes.PermissionDenied:
		f.status = exitServer
		// Whoever is told their role has been let in: another token is another person.
		if reasonOf(st) != "ROLE" {
			f.try = "Try: --token, or the environment variable ROODBEAM_TOKEN."
		}
	case codes.FailedPrecondition:
		f.status = exitRefused
		for _, d := range st.Details() {
			if p, ok := d.(*errdetails.PreconditionFailure); ok {
				for _, v := range p.GetViolations() {
					if v.GetDescription() != st.Message() {
						f.try += fmt.Sprintf("  %s: %s\n", v.GetSubject(), v.GetDescription())
					}
				}
			}
		}
	case codes.Aborted:
		f.status = exitRefused
	}
	f.try = strings.TrimSuffix(f.try, "\n")
	return f
}

func reasonOf(st *status.Status) string {
	for _, d := range st.Details() {
		if i, ok := d.(*errdetails.ErrorInfo); ok {
			return i.GetReason()
		}
	}
	return ""
}

// show prints a failure for people.
func (f *failure) show(w io.Writer) {
	for _, p := range f.problems {
		fmt.Fprintln(w, p)
	}
	if len(f.problems) > 0 {
		fmt.Fprintf(w, "%s; nothing was written.\n", tally(len(f.problems)))
	}
	if f.message != "" {
		fmt.Fprintln(w, "roodbeam:", f.message)
	}
	if f.try != "" {
		fmt.Fprintln(w, f.try)
	}
}

// showJSON prints a failure as one object, {"error": {…}}.
func (f *failure) showJSON(w io.Writer) {
	type problem struct {
		Line    int    `json:"line,omitempty"`
		Field   string `json:"field,omitempty"`
		Given   string `json:"given,omitempty"`
		Allowed string `json:"allowed,omitempty"`
		Message string `json:"message"`
	}
	var out struct {
		Error struct {
			Status   int       `json:"status"`
			Message  string    `json:"message"`
			Try      string    `json:"try,omitempty"`
			Problems []problem `json:"problems,omitempty"`
		} `json:"error"`
	}
	out.Error.Status, out.Error.Message, out.Error.Try = f.status, f.Error(), f.try
	for _, p := range f.problems {
		out.Error.Problems = append(out.Error.Problems, problem(p))
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	_ = enc.Encode(out) // where standard error is closed nobody can be told
}

func tally(n int) string { return count(n, "problem") }

// transport is what is in the connection library's words for people.
var transport = regexp.MustCompile(`dial [^"]*`)

// plain is a message without the words of the connection library.
func plain(text string) string {
	if at := transport.FindString(text); at != "" {
		return "the server does not answer: " + at
	}
	return text
}

// elsewhere is another entry of the file that a message names.
var elsewhere = regexp.MustCompile(`\b[a-z_]+(\.[a-z_]+)*\[\d+\]`)

// withLines adds the line to every entry of the file that a message names.
func withLines(text string, lines churchfile.Lines) string {
	return elsewhere.ReplaceAllStringFunc(text, func(path string) string {
		if n, ok := lines[path]; ok {
			return fmt.Sprintf("%s (line %d)", path, n)
		}
		return path
	})
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
			out = append(out, churchfile.Problem{Line: lines.Of(field), Field: field, Message: withLines(v.GetDescription(), lines)})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Line < out[j].Line })
	return out
}
