// Package command holds the commands of the command line, one file each:
// options, then the calls, then what is printed.
package command

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
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
	ask      io.Writer // where people are asked, whatever the form of the answer
}

// root is every command.
type root struct {
	Server   string           `env:"ROODBEAM_SERVER" placeholder:"HOST:PORT" help:"gRPC address of the server to use, without http://; without it one runs inside this command."`
	Token    string           `env:"ROODBEAM_TOKEN" help:"Token for the server."`
	TLS      bool             `name:"tls" env:"ROODBEAM_TLS" help:"Speak TLS with the server."`
	Insecure bool             `help:"Send the token without TLS to another machine."`
	Data     string           `env:"ROODBEAM_DATA" placeholder:"DIR" help:"Folder where the server inside this command keeps its projects; without it ${data_folder}."`
	Pictures int              `name:"picture-width" env:"ROODBEAM_PICTURE_WIDTH" default:"800" help:"Width of the pictures in packets in pixels, for the server inside this command."`
	JSON     bool             `name:"json" help:"Print the API's answer as JSON, and errors as JSON on standard error."`
	Version  kong.VersionFlag `help:"Print the version."`

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
	Help      helpCmd      `cmd:"" help:"Help on a command or a topic: help plan, help exit-codes; without one all of them."`
	Invite    inviteCmd    `cmd:"" help:"Make an invitation link for a project."`
	Join      joinCmd      `cmd:"" help:"Trade an invitation link for a token."`
	Member    memberCmd    `cmd:"" help:"Who is in a project: list, remove."`
	Tokens    tokenCmd     `cmd:"" name:"token" help:"One's own tokens: create, list, revoke."`
	Sign      signCmd      `cmd:"" help:"Clear a finding, or sign it off for one's trade."`
}

const about = `Plan the lighting retrofit of a worship room, from the first tape measurement to a packet that can be built from.

Exit status: 0 done; 1 failed; 2 the file or an option is wrong, nothing was written; 3 no server or not let in; 4 refused by the server; 130 interrupted. More: roodbeam help exit-codes`

// newParser returns the parser of the command line; exit is called where it has
// answered by itself, as for --help.
func newParser(r *root, out, errOut io.Writer, exit func(status int)) (*kong.Kong, error) {
	data, err := userData()
	if err != nil {
		data = "none, as there is no home folder"
	}
	return kong.New(r, kong.Name("roodbeam"), kong.Description(about), kong.Writers(out, errOut), kong.WithHyphenPrefixedParameters(true),
		kong.Vars{"demo_churches": strings.Join(churches.Names(), ", "), "data_folder": data, "roles": strings.Join(roleNames(), ", "), "version": version()},
		kong.Exit(exit))
}

// Main runs the command line and returns the exit status.
func Main(args []string, in io.Reader, out, errOut io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// A second interrupt ends the process at once.
	context.AfterFunc(ctx, stop)
	s := &streams{in, out, errOut, errOut}
	var r root
	exited, status := false, 0
	parser, err := newParser(&r, out, errOut, func(code int) { exited, status = true, code })
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
		return report(ctx, s, slices.Contains(args, "--json"), wrong("%v", err).trying("Try: roodbeam --help"))
	}
	if r.JSON {
		s.err = io.Discard // standard error then holds one object, or nothing
	}
	err = kctx.Run(&call{ctx: ctx, streams: s, root: &r})
	return report(ctx, s, r.JSON, err)
}

// call is what every command gets.
type call struct {
	*streams
	ctx  context.Context
	root *root
}

// report shows why a command failed and returns the exit status.
func report(ctx context.Context, s *streams, inJSON bool, err error) int {
	if err == nil {
		return exitDone
	}
	f := explain(err, nil)
	// Whatever an interrupt broke off tells of itself in words of its own.
	if ctx.Err() != nil {
		f = &failure{status: exitSignal, message: "interrupted"}
	}
	if inJSON {
		f.showJSON(s.ask)
	} else {
		f.show(s.ask)
	}
	return f.status
}
