package command

import (
	"bufio"
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type firstLookCmd struct {
	Units    string   `enum:"us,metric" default:"us" help:"Units of the card: us or metric."`
	Ask      bool     `help:"Ask the ten questions one by one; an empty answer means unknown."`
	Length   string   `help:"1. Length of the room, wall to wall, e.g. 58 ft."`
	Width    string   `help:"2. Width."`
	Ceiling  string   `help:"3. Height of the ceiling above the hall floor."`
	Beam     []string `sep:"none" help:"4. A beam as name=height@distance: W1=19 ft 8 in@10 ft. Distance from the platform's front edge toward the seats, negative behind it. Repeat for each beam."`
	Platform string   `help:"5. Platform as width x depth x height, e.g. 36 ft x 10 ft x 16 in."`
	Supply   string   `help:"6. Supply as conductors/volts/main: 1ph2w, 1ph3w, 3ph4w or 3ph3w, e.g. 1ph3w/120V/125A."`
	Door     string   `help:"7. Narrowest door on the way in as width x height, e.g. 38 in x 6 ft 10 in."`
	Steps    int32    `help:"8. Steps on the way in."`
	Year     int32    `help:"9. Year built."`
	Cameras  int32    `help:"10. Number of cameras."`
}

// Run prints the card of a room known from a telephone call only.
func (cmd *firstLookCmd) Run(c *call) error {
	if cmd.Ask {
		cmd.ask(c)
	}
	req, err := cmd.request()
	if err != nil {
		fmt.Fprintln(c.err, "roodbeam:", err)
		return exit{exitInput}
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Survey.FirstLook(c.ctx, req)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	firstLookCard(c, res, cmd.Units == "us")
	return nil
}

// ask puts the questions on standard error, so that the card alone is on
// standard output.
func (cmd *firstLookCmd) ask(c *call) {
	in := bufio.NewScanner(c.in)
	put := func(question string) string {
		fmt.Fprintf(c.err, "%s: ", question)
		if !in.Scan() {
			return ""
		}
		return strings.TrimSpace(in.Text())
	}
	number := func(question string) (n int32) {
		_, _ = fmt.Sscan(put(question), &n) // no number means unknown
		return n
	}
	cmd.Length = put("1. Length of the room, wall to wall")
	cmd.Width = put("2. Width of the room")
	cmd.Ceiling = put("3. Height of the ceiling")
	for {
		b := put("4. A beam as name=height@distance (empty when there are no more)")
		if b == "" {
			break
		}
		cmd.Beam = append(cmd.Beam, b)
	}
	cmd.Platform = put("5. Platform as width x depth x height")
	cmd.Supply = put("6. Supply, e.g. 1ph3w/120V/125A")
	cmd.Door = put("7. Narrowest door as width x height")
	cmd.Steps = number("8. Steps on the way in")
	cmd.Year = number("9. Year built")
	cmd.Cameras = number("10. Cameras")
}

func (cmd *firstLookCmd) request() (*pb.FirstLookRequest, error) {
	req := &pb.FirstLookRequest{Units: pb.DisplayUnits_DISPLAY_UNITS_METRIC, Length: maybe(cmd.Length), Width: maybe(cmd.Width),
		CeilingHeight: maybe(cmd.Ceiling), Steps: cmd.Steps, YearBuilt: cmd.Year, Cameras: cmd.Cameras}
	if cmd.Units == "us" {
		req.Units = pb.DisplayUnits_DISPLAY_UNITS_US
	}
	for _, b := range cmd.Beam {
		name, rest, ok := strings.Cut(b, "=")
		height, distance, ok2 := strings.Cut(rest, "@")
		if !ok || !ok2 {
			return nil, fmt.Errorf("--beam: name=height@distance is wanted, e.g. W1=19 ft 8 in@10 ft; given %q", b)
		}
		req.Beams = append(req.Beams, &pb.FirstLookBeam{Name: strings.TrimSpace(name), Height: maybe(height), FromPlatform: maybe(distance)})
	}
	if p := split(cmd.Platform, " x "); p != nil {
		if len(p) != 3 {
			return nil, fmt.Errorf("--platform: width x depth x height is wanted; given %q", cmd.Platform)
		}
		req.PlatformWidth, req.PlatformDepth, req.PlatformHeight = maybe(p[0]), maybe(p[1]), maybe(p[2])
	}
	if d := split(cmd.Door, " x "); d != nil {
		req.DoorWidth = maybe(d[0])
		if len(d) > 1 {
			req.DoorHeight = maybe(d[1])
		}
	}
	return req, cmd.supply(req)
}

var systems = map[string]pb.SupplySystem{
	"1ph2w": pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W,
	"1ph3w": pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_3W,
	"3ph4w": pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_4W,
	"3ph3w": pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W,
}

func (cmd *firstLookCmd) supply(req *pb.FirstLookRequest) error {
	for i, part := range split(cmd.Supply, "/") {
		switch i {
		case 0:
			sys, ok := systems[part]
			if !ok {
				return fmt.Errorf("--supply: begins with 1ph2w, 1ph3w, 3ph4w or 3ph3w; given %q", part)
			}
			req.Supply = sys
		case 1:
			req.Voltage = maybe(part)
		case 2:
			req.Main = maybe(part)
		}
	}
	return nil
}

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

func firstLookCard(c *call, r *pb.FirstLookResponse, us bool) {
	fmt.Fprintf(c.out, "First look: %s\n  %s\n\nAngle at a standing face\n", word(r.GetVerdict().String(), "FIRST_LOOK_VERDICT_"), r.GetWhy())
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
		if i == 8 {
			fmt.Fprintf(c.out, "  and %d more\n", len(r.GetMeasureNext())-i)
			break
		}
		fmt.Fprintf(c.out, "  %d. %s\n     %s\n", i+1, q.GetAsk(), q.GetWhy())
	}
}
