package command

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type fillCmd struct {
	Region string   `default:"us" help:"Region profile with a raceway table."`
	Wires  []string `arg:"" sep:"none" help:"Conductors, e.g. \"4x12 AWG\" \"1x10 AWG\"; the equipment ground counts."`
	Size   string   `help:"Trade size to look at, e.g. 3/4; without it the smallest that takes them."`
}

// Help says what the sum rests on.
func (fillCmd) Help() string {
	return `Fill = sum of the conductors' areas / inner area of the raceway; 53 % for one conductor, 31 % for two, 40 % for more; for conductors of one size a fraction of 0.8 counts as one more.

Source: NFPA 70 Chapter 9 Table 1 with Note 7, Table 4 (EMT) and Table 5 (THHN, THWN-2).

Example: roodbeam calc fill "4x12 AWG" "1x10 AWG"

A proposal for a licensed electrician, who decides under the local code.`
}

var wireText = regexp.MustCompile(`^\s*(?:(\d+)\s*[x×*]\s*)?(\S.*?)\s*$`)

// Run computes a raceway's fill.
func (cmd *fillCmd) Run(c *call) error {
	req := &pb.ComputeFillRequest{Region: cmd.Region, Size: strings.Trim(cmd.Size, "\" ")}
	for _, w := range cmd.Wires {
		m := wireText.FindStringSubmatch(w)
		if m == nil {
			return wrong("%q: conductors are written \"4x12 AWG\"", w)
		}
		n := 1
		if m[1] != "" {
			n, _ = strconv.Atoi(m[1])
		}
		req.Wires = append(req.Wires, &pb.WireCount{Conductor: m[2], Count: int32(min(n, 1_000_000))})
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeFill(c.ctx, req)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "raceway    %s in, %s\n", res.GetSize(), res.GetKind())
	fmt.Fprintf(c.out, "fill       %.1f %% of %.1f mm² (%.4f of %.3f in²), limit %.0f %%\n", res.GetFillPct(), res.GetInnerMm2(),
		res.GetConductorMm2()/645.16, res.GetInnerMm2()/645.16, res.GetLimitPct())
	if !res.GetWithin() {
		fmt.Fprintln(c.out, "           ABOVE the table's count or share: a larger raceway or fewer conductors")
	}
	if res.GetMost() > 0 {
		fmt.Fprintf(c.out, "most       %d of this size\n", res.GetMost())
	}
	return basis(c, res.GetBasis())
}
