package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type surveyNextCmd struct {
	surveySource
	Limit int32 `default:"10" help:"How many."`
}

// Run ranks what to measure next in a project or a list.
func (cmd *surveyNextCmd) Run(c *call) error {
	s, text, isList, err := cmd.read(c)
	if err != nil {
		return err
	}
	defer s.close()
	var next []*pb.NextMeasurement
	var u units // a list is in metres
	if isList {
		res, err := s.Survey.AdjustNetwork(c.ctx, &pb.AdjustNetworkRequest{List: text, Next: cmd.Limit})
		if err != nil {
			return err
		}
		if c.root.JSON {
			return printJSON(c.out, res)
		}
		next = res.GetNext()
		if len(next) == 0 && len(res.GetLoose()) > 0 {
			fmt.Fprintln(c.out, "Nothing holds these yet; first measure what fixes them.")
			loose(c, res.GetLoose())
			return nil
		}
	} else {
		res, err := s.Survey.RankNextMeasurements(c.ctx, &pb.RankNextMeasurementsRequest{ProjectId: cmd.Project, Limit: cmd.Limit})
		if err != nil {
			return err
		}
		if c.root.JSON {
			return printJSON(c.out, res)
		}
		next = res.GetNext()
		if u, err = c.unitsFor(s, cmd.Project); err != nil {
			return err
		}
	}
	if len(next) == 0 {
		fmt.Fprintln(c.out, "No single measurement from the floor would narrow anything further.")
	}
	for i, n := range next {
		fmt.Fprintf(c.out, "%d. %s (about %.0f minutes)\n", i+1, n.GetAsk(), n.GetMinutes())
		for k, e := range n.GetEffects() {
			if k == effectsShown {
				fmt.Fprintf(c.out, "     and %d more\n", len(n.GetEffects())-k)
				break
			}
			fmt.Fprintf(c.out, "     %s: ± %s → ± %s\n", e.GetQuantity(), u.spread(e.GetSigmaBefore(), e.GetAngular()), u.spread(e.GetSigmaAfter(), e.GetAngular()))
		}
	}
	return nil
}

// effectsShown is how many quantities are shown under each measurement.
const effectsShown = 4
