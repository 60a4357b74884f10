package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/clients/cli/churchfile"
)

type firstLookCmd struct {
	Units    string   `enum:"us,metric" default:"us" help:"Units of the card: us or metric."`
	Ask      bool     `help:"Ask the eight questions, the screen for hazards and the compass bearing one by one; an empty answer means unknown."`
	Length   string   `help:"1. Length of the room, wall to wall, e.g. 58 ft."`
	Width    string   `help:"1. Width."`
	Ceiling  string   `help:"1. Height of the ceiling above the hall floor."`
	Beam     []string `sep:"none" help:"2. A beam as name=height@distance: W1=19 ft 8 in@10 ft. Distance from the platform's front edge toward the seats, negative behind it. Repeat for each beam."`
	Platform string   `help:"3. Platform as width x depth x height, e.g. 36 ft x 10 ft x 16 in."`
	Supply   string   `help:"4. Supply as conductors/volts/main: 1ph2w, 1ph3w, 3ph4w or 3ph3w, e.g. 1ph3w/120V/125A; or 230V/1ph."`
	Door     string   `help:"5. Narrowest door on the way in as width x height, e.g. 38 in x 6 ft 10 in."`
	Steps    int32    `help:"5. Steps on the way in."`
	Year     int32    `help:"Hazards: year built."`
	Cameras  *int32   `help:"6. Number of cameras; 0 is none."`
	Uses     string   `help:"7. What the room is used for in a week."`
	Trouble  string   `help:"7. What is wrong with the light today."`
	Money    string   `help:"8. Money: a number or a range."`
	Deadline string   `help:"8. A date, or why it matters."`
	Altered  int32    `help:"Hazards: year of the last alteration."`
	Protect  string   `name:"protected" enum:",none,listed,worth_preserving,unknown" default:"" help:"Hazards: protection: none, listed, worth_preserving, unknown."`
	Landlord string   `enum:",yes,no,unknown" default:"" help:"Hazards: does somebody else own the building? yes, no, unknown."`
	Alarm    string   `name:"fire-alarm" enum:",smoke,heat,beam,aspirating,none,unknown" default:"" help:"Hazards: detectors of the fire alarm: smoke, heat, beam, aspirating, none, unknown."`
	Damp     string   `enum:",yes,no,unknown" default:"" help:"Hazards: damp cellar or walls? yes, no, unknown."`
	Bats     string   `enum:",yes,no,unknown" default:"" help:"Hazards: bats or nesting birds? yes, no, unknown."`
	All      bool     `help:"List everything to measure or ask next."`
	North    *float64 `help:"Compass bearing toward which the congregation looks, degrees."`
}

// Run prints the card of a room known from a telephone call only.
func (cmd *firstLookCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	if cmd.Ask {
		if err := cmd.ask(c, s); err != nil {
			return err
		}
	}
	req, problems := cmd.request()
	res, err := s.Survey.FirstLook(c.ctx, req)
	if len(problems) > 0 {
		// What could be read is looked at too, so that all is said at once.
		if err != nil {
			problems = append(problems, explain(err, nil).problems...)
		}
		return wrongFile(problems)
	}
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	firstLookCard(c, res, cmd.Units == "us", cmd.All)
	return nil
}

// request returns the answers as typed, and every one that could not be read.
func (cmd *firstLookCmd) request() (*pb.FirstLookRequest, []churchfile.Problem) {
	var problems []churchfile.Problem
	add := func(flag, given, wanted string) {
		problems = append(problems, churchfile.Problem{Field: flag, Given: given, Message: "can't be read", Allowed: wanted})
	}
	req := &pb.FirstLookRequest{Units: pb.DisplayUnits_DISPLAY_UNITS_METRIC, Length: maybe(cmd.Length), Width: maybe(cmd.Width),
		CeilingHeight: maybe(cmd.Ceiling), Steps: cmd.Steps, YearBuilt: cmd.Year, Cameras: cmd.Cameras,
		YearAltered: cmd.Altered, Protected: pb.Protection(pb.Protection_value["PROTECTION_"+upper(cmd.Protect)]),
		Detectors: pb.Detectors(pb.Detectors_value["DETECTORS_"+upper(cmd.Alarm)]), Landlord: yesNo(cmd.Landlord), Damp: yesNo(cmd.Damp), Bats: yesNo(cmd.Bats),
		CongregationFacingDeg: cmd.North, Uses: cmd.Uses, Trouble: cmd.Trouble, Money: cmd.Money, Deadline: cmd.Deadline}
	if cmd.Units == "us" {
		req.Units = pb.DisplayUnits_DISPLAY_UNITS_US
	}
	for _, b := range cmd.Beam {
		name, rest, ok := strings.Cut(b, "=")
		height, distance, ok2 := strings.Cut(rest, "@")
		if !ok || !ok2 {
			add("--beam", b, "name=height@distance, such as W1=19 ft 8 in@10 ft")
			continue
		}
		req.Beams = append(req.Beams, &pb.FirstLookBeam{Name: strings.TrimSpace(name), Height: maybe(height), FromPlatform: maybe(distance)})
	}
	if p := split(cmd.Platform, " x "); p != nil {
		if len(p) != 3 {
			add("--platform", cmd.Platform, "width x depth x height, such as 36 ft x 10 ft x 16 in")
			p = make([]string, 3)
		}
		req.PlatformWidth, req.PlatformDepth, req.PlatformHeight = maybe(p[0]), maybe(p[1]), maybe(p[2])
	}
	if d := split(cmd.Door, " x "); d != nil {
		if len(d) > 2 {
			add("--door", cmd.Door, "width x height, such as 38 in x 82 in")
			d = d[:0]
		}
		if len(d) > 0 {
			req.DoorWidth = maybe(d[0])
		}
		if len(d) > 1 {
			req.DoorHeight = maybe(d[1])
		}
	}
	if err := cmd.supply(req); err != nil {
		problems = append(problems, churchfile.Problem{Message: err.Error()})
	}
	return req, problems
}

func (cmd *firstLookCmd) supply(req *pb.FirstLookRequest) error {
	if strings.TrimSpace(cmd.Supply) == "" {
		return nil
	}
	s, err := readSupply(cmd.Supply)
	if err != nil {
		return err
	}
	if s.system == 0 {
		return wrong("--supply: given %q; the lines are wanted too: 1ph2w, 1ph3w, 3ph4w or 3ph3w, as in 1ph3w/120V/125A", cmd.Supply)
	}
	req.Supply, req.Voltage, req.Main = s.system, maybe(s.volts), maybe(s.main)
	return nil
}

func yesNo(word string) pb.YesNo { return pb.YesNo(pb.YesNo_value["YES_NO_"+upper(word)]) }

// maybe is a quantity, or none for an empty answer.
func maybe(s string) *pb.Quantity {
	if s = strings.TrimSpace(s); s == "" {
		return nil
	}
	return &pb.Quantity{Typed: s}
}

func split(s, sep string) []string {
	if strings.TrimSpace(s) == "" {
		return nil
	}
	parts := strings.Split(s, sep)
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return parts
}

func firstLookCard(c *call, r *pb.FirstLookResponse, us, all bool) {
	fmt.Fprintf(c.out, "First look: %s\n", word(r.GetVerdict().String(), "FIRST_LOOK_VERDICT_"))
	for _, why := range r.GetReasons() {
		fmt.Fprintf(c.out, "  %s\n", why)
	}
	fmt.Fprint(c.out, "\nAngle at a standing face\n")
	var rows [][]string
	for _, p := range r.GetPlaces() {
		mark := ""
		if p.GetBest() {
			mark = "best"
		}
		throw := p.GetThrowM()
		unit, per := "m", 1.0
		if us {
			unit, per = "ft", 0.3048
		}
		rows = append(rows, []string{p.GetBeam(), p.GetZone(), fmt.Sprintf("%.0f° ±%.0f°", p.GetElevationDeg(), p.GetSigmaDeg()),
			fmt.Sprintf("%.1f ±%.1f %s", throw/per, p.GetSigmaThrowM()/per, unit), word(p.GetBand().String(), "ELEVATION_BAND_"), mark})
	}
	aligned(c.out, "  ", []string{"beam", "zone", "elevation", "throw", "band", ""}, rows)
	about := ""
	for _, n := range r.GetNotes() {
		if n.GetAbout() != about {
			about = n.GetAbout()
			fmt.Fprintf(c.out, "\n%s\n", strings.ToUpper(about[:1])+about[1:])
		}
		fmt.Fprintf(c.out, "  %s\n", n.GetText())
	}
	fmt.Fprintln(c.out, "\nMeasure or ask next")
	for i, q := range r.GetMeasureNext() {
		if i == 8 && !all {
			fmt.Fprintf(c.out, "  and %d more: --all lists them\n", len(r.GetMeasureNext())-i)
			break
		}
		fmt.Fprintf(c.out, "  %d. %s\n     %s\n", i+1, q.GetAsk(), q.GetWhy())
	}
}
