package command

import (
	"fmt"
	"os"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type schemeModelCmd struct {
	File   string  `arg:"" help:"The church's file, or a project id."`
	Format string  `enum:"lp" default:"lp" help:"Format: lp, the open LP text format."`
	Keep   string  `help:"Scheme whose locked units are kept, as in scheme propose."`
	Seed   uint64  `help:"Seed of the proposal, as in scheme propose."`
	Effort float64 `help:"As in scheme propose: a later stage's model rests on what the earlier stages chose."`
	Gap    float64 `help:"As in scheme propose."`
	Stage  string  `default:"all" enum:"all,front,back,rest" help:"all: every stage side by side in one model, whose optimum is the sum of theirs and in which the proposal is worth the model_cost of scheme propose. front, back or rest: that stage alone, worth the model_cost of that stage."`
	Out    string  `short:"o" placeholder:"FILE" help:"File to write; without it the model goes to the output."`
}

// Run writes the model; what the engine's own proposal is worth in it goes to
// standard error.
func (cmd *schemeModelCmd) Run(c *call) error {
	s, project, err := c.target(cmd.File)
	if err != nil {
		return err
	}
	defer s.close()
	ask := &pb.GetModelRequest{ProjectId: project, Parent: cmd.Keep, Seed: cmd.Seed, Effort: cmd.Effort, GapPct: cmd.Gap}
	if cmd.Stage != "all" {
		ask.StageName = cmd.Stage
	}
	res, err := s.Design.GetModel(c.ctx, ask)
	if err != nil {
		return err
	}
	if !c.root.JSON {
		res.Lp = `\ Lengths in names are metres, whatever units the project is read in.` + "\n" + res.GetLp()
	}
	switch {
	case c.root.JSON:
		return printJSON(c.out, res)
	case cmd.Out != "":
		if err := os.WriteFile(cmd.Out, []byte(res.GetLp()), 0o644); err != nil {
			return err
		}
	default:
		if _, err := fmt.Fprint(c.out, res.GetLp()); err != nil {
			return err
		}
	}
	fmt.Fprintf(c.err, "The proposal is worth %.3f in this model; no choice is below %.3f.\n", res.GetModelCost(), res.GetModelBound())
	return nil
}
