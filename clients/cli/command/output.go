package command

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/term"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
)

// printJSON prints an API answer as indented JSON with the API's field names.
func printJSON(w io.Writer, m proto.Message) error {
	raw, err := protojson.MarshalOptions{Multiline: true, Indent: "  ", UseProtoNames: true, EmitUnpopulated: false}.Marshal(m)
	if err != nil {
		return err
	}
	// protojson varies its white space on purpose; one form is kept here so that
	// the same answer prints the same bytes.
	text := strings.ReplaceAll(string(raw), ":  ", ": ")
	_, err = fmt.Fprintln(w, text)
	return err
}

// table prints rows under heads: aligned on a terminal, tab-separated in a pipe.
func table(w io.Writer, heads []string, rows [][]string) { aligned(w, "", heads, rows) }

// aligned is a table within a card: indented on a terminal, in a pipe as any other.
func aligned(w io.Writer, indent string, heads []string, rows [][]string) {
	if !isTerminal(w) {
		for _, r := range append([][]string{heads}, rows...) {
			fmt.Fprintln(w, strings.Join(r, "\t"))
		}
		return
	}
	width := make([]int, len(heads))
	all := append([][]string{heads}, rows...)
	for _, r := range all {
		for i, c := range r {
			if i < len(width) {
				width[i] = max(width[i], utf8.RuneCountInString(c))
			}
		}
	}
	for _, r := range all {
		var b strings.Builder
		b.WriteString(indent)
		for i, c := range r {
			if i == len(r)-1 {
				b.WriteString(c)
				break
			}
			b.WriteString(c + strings.Repeat(" ", width[i]-utf8.RuneCountInString(c)+2))
		}
		fmt.Fprintln(w, strings.TrimRight(b.String(), " "))
	}
}

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// progress tells on standard error what is being done and how long it took.
type progress struct {
	w     io.Writer
	start time.Time
	what  string
}

func (c *call) step(format string, args ...any) *progress {
	p := &progress{w: c.err, start: time.Now(), what: fmt.Sprintf(format, args...)}
	fmt.Fprintf(p.w, "%s …", p.what)
	return p
}

func (p *progress) done(format string, args ...any) {
	fmt.Fprintf(p.w, " %s (%.1f s)\n", fmt.Sprintf(format, args...), time.Since(p.start).Seconds())
}

// failed closes the line of a step that failed, so that the error stands on its own.
func (p *progress) failed(err error) error {
	fmt.Fprintln(p.w, " failed")
	return err
}
