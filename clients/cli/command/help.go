package command

import (
	"fmt"
	"runtime/debug"
	"strings"
)

type helpCmd struct {
	About []string `arg:"" optional:"" placeholder:"COMMAND|TOPIC" help:"A command, as in 'help scheme propose', or a topic: exit-codes, json."`
}

// exitCodes says what each exit status means to a script and what to do about it.
var exitCodes = [][]string{
	{fmt.Sprint(exitDone), "done"},
	{fmt.Sprint(exitFailed), "failed: the call or the machine, or what was named is not there; the message says which"},
	{fmt.Sprint(exitInput), "the file or an option is wrong, or a file is missing; every error is listed with line, field, given value and what is allowed, and nothing was written"},
	{fmt.Sprint(exitServer), "no server answers, or it does not let you in, or your role may not do this: check --server and the token"},
	{fmt.Sprint(exitRefused), "the server refused: a stop is open, or somebody changed the project meanwhile; mend or sign it off, or run again"},
	{fmt.Sprint(exitSignal), "interrupted"},
}

const jsonHelp = `With --json the API's answer is on standard output, with the field names of the protos.
An error is one object on standard error, and nothing else is written there:

  {"error": {"status": 2, "message": "…", "try": "…",
    "problems": [{"line": 12, "field": "brief.zones[0].level", "given": "…", "allowed": "…", "message": "…"}]}}

status is the exit status; try, problems and their line, field, given and allowed are left out where there is nothing to say.`

// topics is what there is to read besides the commands.
var topics = []struct {
	name, about string
	show        func(c *call)
}{
	{"exit-codes", "what each exit status means to a script", func(c *call) {
		table(c.out, []string{"status", "meaning"}, exitCodes)
		fmt.Fprintln(c.ask, "With --json an error is an object on standard error: roodbeam help json")
	}},
	{"json", "the form of answers and errors with --json", func(c *call) { fmt.Fprintln(c.out, jsonHelp) }},
}

// Run prints a topic, the help of a command, or what there is of both.
func (cmd *helpCmd) Run(c *call) error {
	name := strings.Join(cmd.About, " ")
	for _, t := range topics {
		if t.name == name {
			t.show(c)
			return nil
		}
	}
	if name == "" {
		fmt.Fprintln(c.out, "Topics: roodbeam help TOPIC")
		for _, t := range topics {
			fmt.Fprintf(c.out, "  %-12s %s\n", t.name, t.about)
		}
		fmt.Fprintln(c.out, "Commands: roodbeam help COMMAND")
	}
	var r root
	done := false
	parser, err := newParser(&r, c.out, c.err, func(int) { done = true })
	if err != nil {
		return err
	}
	if _, err = parser.Parse(append(append([]string{}, cmd.About...), "--help")); !done && err != nil {
		return wrong("help: %v", err).trying("Try: roodbeam help")
	}
	return nil
}

// version is the build: the state of the source and the compiler.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "roodbeam, built without a record of its source"
	}
	text, changed := "roodbeam "+info.Main.Version, ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision" && !strings.Contains(text, s.Value[:min(12, len(s.Value))]):
			text += " " + s.Value[:min(12, len(s.Value))]
		case s.Key == "vcs.modified" && s.Value == "true" && !strings.Contains(text, "+dirty"):
			changed = " with changes"
		}
	}
	return text + changed + ", " + info.GoVersion
}
