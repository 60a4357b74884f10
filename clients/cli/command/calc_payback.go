package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type paybackCmd struct {
	Cost       float64 `required:"" help:"Cost of the job, in any one currency."`
	Before     string  `help:"Watts before, e.g. 13600W."`
	After      string  `help:"Watts after, e.g. 2620W."`
	Hours      float64 `help:"Hours of use a week."`
	Price      float64 `help:"Price of a kilowatt-hour."`
	Saving     float64 `help:"Energy money saved a year, instead of watts, hours and price."`
	Other      float64 `help:"Saved a year besides: lamps, labour."`
	Discount   float64 `default:"3" help:"Discount rate a year, percent."`
	EnergyRise float64 `default:"0" help:"Rise of the energy price a year, percent."`
	Years      float64 `default:"15" help:"Years to look at."`
	MidYear    bool    `help:"Count each year's saving in its middle, not at its end."`
}

// Help says what the sum rests on.
func (paybackCmd) Help() string {
	return `Simple payback = cost / first year's saving. Present value of n years = S·(1+e)/(d−e)·(1−((1+e)/(1+d))ⁿ), with d the discount rate and e the yearly rise; energy saved = (watts before − after)·hours·52/1000.

Source: uniform present value as in NIST Handbook 135 (from memory); mid-year convention MIL-HDBK-1003/13A 3.7.3.

Example: roodbeam calc payback --cost 24000 --before 13600W --after 2620W --hours 12 --price 0.16 --other 288 --discount 3 --energy-rise 2
Prices, hours and rates are assumptions; energy alone rarely pays in a room lit few hours a week.`
}

// Run computes a payback.
func (cmd *paybackCmd) Run(c *call) error {
	if cmd.Saving == 0 && cmd.Other == 0 {
		var lacks []string
		for _, f := range []struct {
			name  string
			there bool
		}{{"--before", cmd.Before != ""}, {"--after", cmd.After != ""}, {"--hours", cmd.Hours != 0}, {"--price", cmd.Price != 0}} {
			if !f.there {
				lacks = append(lacks, f.name)
			}
		}
		if len(lacks) > 0 {
			return wrong("calc payback: nothing says what is saved a year: %s missing; or give --saving, or --other", strings.Join(lacks, ", ")).trying("Try: roodbeam calc payback --help")
		}
	}
	req := &pb.ComputePaybackRequest{Cost: cmd.Cost, EnergyPerYear: cmd.Saving, OtherPerYear: cmd.Other, HoursPerWeek: cmd.Hours, PricePerKwh: cmd.Price,
		DiscountPct: cmd.Discount, EnergyRisePct: cmd.EnergyRise, Years: cmd.Years, MidYear: cmd.MidYear}
	if cmd.Before != "" {
		req.Before = typed(cmd.Before)
	}
	if cmd.After != "" {
		req.After = typed(cmd.After)
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputePayback(c.ctx, req)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	if res.GetEnergyKwh() != 0 {
		fmt.Fprintf(c.out, "energy     %.1f kWh a year\n", res.GetEnergyKwh())
	}
	fmt.Fprintf(c.out, "saved      %.2f in the first year\n", res.GetSavedPerYear())
	fmt.Fprintf(c.out, "simple     %s\ndiscounted %s\n", years(res.SimpleYears), years(res.DiscountedYears))
	fmt.Fprintf(c.out, "after %g years: present value %.2f, less the cost %.2f", cmd.Years, res.GetPresentValue(), res.GetNet())
	if res.Ratio != nil {
		fmt.Fprintf(c.out, ", savings over cost %.4f", res.GetRatio())
	}
	fmt.Fprintln(c.out)
	return basis(c, res.GetBasis())
}

func years(v *float64) string {
	if v == nil {
		return "never"
	}
	return fmt.Sprintf("%.2f years", *v)
}
