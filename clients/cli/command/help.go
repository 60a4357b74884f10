package command

import "fmt"

type helpCmd struct {
	Topic string `arg:"" enum:"exit-codes" help:"Topic: exit-codes."`
}

// exitCodes says what each exit status means to a script and what to do about it.
var exitCodes = [][2]string{
	{fmt.Sprint(exitDone), "done"},
	{fmt.Sprint(exitFailed), "failed: the call or the machine, or what was named is not there; the message says which"},
	{fmt.Sprint(exitInput), "the file or an option is wrong; every error is listed with line, field, given value and what is allowed, and nothing was written"},
	{fmt.Sprint(exitServer), "no server answers, or it does not let you in: check --server and the token"},
	{fmt.Sprint(exitRefused), "the server refused: a stop is open, or somebody changed the project meanwhile; mend or sign it off, or run again"},
	{fmt.Sprint(exitSignal), "interrupted"},
}

// Run prints a topic.
func (cmd *helpCmd) Run(c *call) error {
	var rows [][]string
	for _, e := range exitCodes {
		rows = append(rows, []string{e[0], e[1]})
	}
	table(c.out, []string{"status", "meaning"}, rows)
	return nil
}
