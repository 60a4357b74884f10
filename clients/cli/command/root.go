// Package command holds the commands of the command line, one file each:
// options, then the calls, then what is printed.
package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"roodbeam/testdata/churches"
)

// Exit statuses.
const (
	exitDone    = 0
	exitFailed  = 1 // the call or the machine failed
	exitInput   = 2 // the file or an option is wrong; nothing was written
	exitServer  = 3 // no server, or it does not let us in
	exitRefused = 4 // the server refused: a stop is open, or someone else changed the project
	exitSignal  = 130
)

// streams are where a command talks: results on out, all else on err.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// root is every command.
type root struct {
	Server   string `env:"ROODBEAM_SERVER" placeholder:"HOST:PORT" help:"Server to use; without it one runs inside this command."`
	Token    string `env:"ROODBEAM_TOKEN" help:"Token for the server."`
	TLS      bool   `name:"tls" env:"ROODBEAM_TLS" help:"Speak TLS with the server."`
	Insecure bool   `help:"Send the token without TLS to another machine."`
	Data     string `env:"ROODBEAM_DATA" placeholder:"DIR" help:"Folder where the server inside this command keeps its projects."`
	Pictures int    `name:"picture-width" env:"ROODBEAM_PICTURE_WIDTH" default:"800" help:"Width of the pictures in packets in pixels, for the server inside this command."`
	JSON     bool   `name:"json" help:"Print the API's answer as JSON."`

	Demo      demoCmd      `cmd:"" help:"Plan one of the demo churches from survey to packet."`
	Init      initCmd      `cmd:"" help:"Write a commented survey-and-brief file to fill in."`
	Plan      planCmd      `cmd:"" help:"Plan the church of a file and write its packet."`
	FirstLook firstLookCmd `cmd:"" name:"first-look" help:"Eight questions, hazards and a compass bearing in, one card out: is this room simple, hard or must somebody visit."`
	Show      showCmd      `cmd:"" help:"Show a stored project, or list all."`
	Findings  findingsCmd  `cmd:"" help:"List a project's findings."`
	Lines     linesCmd     `cmd:"" help:"Every hanging line in one line: angle, throw, and why not."`
	Light     lightCmd     `cmd:"" help:"What faces, pictures and cameras receive, by evening and by day, and in every look."`
	Scheme    schemeCmd    `cmd:"" help:"Schemes: propose, show, compare, edit, check, write the model."`
	Fixture   fixtureCmd   `cmd:"" help:"Fixtures and their photometric files: list, inspect, import."`
	Load      loadCmd      `cmd:"" help:"What the panel must feed, the house lights, and questions for the trades."`
	Calc      calcCmd      `cmd:"" help:"Quick sums."`
	Photo     photoCmd     `cmd:"" help:"Photographs of a project's survey: add, list, fetch."`
	Survey    surveyCmd    `cmd:"" help:"Measurements: add, list, check, what to measure next, import."`
	Help      helpCmd      `cmd:"" help:"More help: exit-codes."`
	Invite    inviteCmd    `cmd:"" help:"Make an invitation link for a project."`
	Join      joinCmd      `cmd:"" help:"Trade an invitation link for a token."`
	Member    memberCmd    `cmd:"" help:"Who is in a project: list, remove."`
	Tokens    tokenCmd     `cmd:"" name:"token" help:"One's own tokens: create, list, revoke."`
	Sign      signCmd      `cmd:"" help:"Clear a finding, or sign it off for one's trade."`
}

const about = `Plan the lighting retrofit of a worship room, from the first tape measurement to a packet that can be built from.

Exit status: 0 done; 1 failed; 2 the file or an option is wrong, nothing was written; 3 no server or not let in; 4 refused by the server; 130 interrupted. More: roodbeam help exit-codes`

// Main runs the command line and returns the exit status.
func Main(args []string, in io.Reader, out, errOut io.Writer) int {
	s := &streams{in, out, errOut}
	var r root
	exited, status := false, 0
	parser, err := kong.New(&r, kong.Name("roodbeam"), kong.Description(about), kong.Writers(out, errOut), kong.WithHyphenPrefixedParameters(true),
		kong.Vars{"demo_churches": strings.Join(churches.Names(), ", ")},
		kong.Exit(func(code int) { exited, status = true, code }))
	if err != nil {
		fmt.Fprintln(errOut, "roodbeam:", err)
		return exitFailed
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	kctx, err := parser.Parse(args)
	if exited {
		return status
	}
	if err != nil {
		fmt.Fprintf(errOut, "roodbeam: %v\nTry: roodbeam --help\n", err)
		return exitInput
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// A second interrupt ends the process at once.
	context.AfterFunc(ctx, stop)
	err = kctx.Run(&call{ctx: ctx, streams: s, root: &r})
	return report(ctx, s, err)
}

// call is what every command gets.
type call struct {
	*streams
	ctx  context.Context
	root *root
}

// exit is an error that says its own status and has been shown already.
type exit struct{ status int }

func (e exit) Error() string { return fmt.Sprintf("exit status %d", e.status) }

func report(ctx context.Context, s *streams, err error) int {
	var e exit
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &e):
		return e.status
	case ctx.Err() != nil:
		fmt.Fprintln(s.err, "roodbeam: interrupted")
		return exitSignal
	}
	return showError(s.err, err, nil)
}
