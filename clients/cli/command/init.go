package command

import (
	_ "embed"
	"fmt"
	"strings"

	"github.com/google/uuid"
)

//go:embed init.yaml
var initFile string

type initCmd struct {
	Units string `enum:"us,metric" default:"us" help:"Units and rules of the example values: us or metric."`
}

// Run writes a commented file with a fresh project id. The example values give
// a small room that plans as it stands.
func (cmd *initCmd) Run(c *call) error {
	id, err := uuid.NewV7()
	if err != nil {
		return err
	}
	text := strings.ReplaceAll(initFile, "PROJECT_ID", id.String())
	text = pickUnits(text, cmd.Units)
	_, err = fmt.Fprint(c.out, text)
	return err
}

// pickUnits keeps of every {feet|metres} pair the one asked for.
func pickUnits(text, units string) string {
	var b strings.Builder
	for {
		open := strings.Index(text, "{{")
		if open < 0 {
			b.WriteString(text)
			return b.String()
		}
		shut := open + strings.Index(text[open:], "}}")
		us, metric, _ := strings.Cut(text[open+2:shut], "|")
		b.WriteString(text[:open])
		if units == "us" {
			b.WriteString(us)
		} else {
			b.WriteString(metric)
		}
		text = text[shut+2:]
	}
}
