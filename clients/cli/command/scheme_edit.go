package command

import (
	"fmt"
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type schemeEditCmd struct {
	File    string  `arg:"" help:"The church's file, or a project id."`
	Scheme  string  `help:"Scheme; without it the chosen one, else the one written last."`
	Unit    string  `help:"Unit to change; one that is not there is added."`
	Line    string  `help:"Hang it from this line."`
	Along   string  `placeholder:"LENGTH" help:"At this distance from the line's first end, as 3.2 m or 10 ft 6 in."`
	Fixture string  `help:"Make it this fixture."`
	Field   float64 `placeholder:"DEGREES" help:"With this field."`
	Aim     string  `placeholder:"X,Y,Z" help:"Focus it on this point, each a length."`
	Zone    string  `help:"Mean it for this zone."`
	Face    string  `help:"Mean it for this key place."`
	Level   float64 `placeholder:"PERCENT" help:"Set its level."`
	Lock    bool    `help:"Keep it in later proposals."`
	Unlock  bool    `help:"Let later proposals replace it."`
	Drop    bool    `help:"Take it out."`
	Balance bool    `help:"Set all levels so that the zones come out even."`
	Save    bool    `help:"Store the result."`
	SaveAs  string  `name:"save-as" placeholder:"NAME" help:"Store the result under another name."`
}

// Run changes one unit of a scheme and prints what that gives; nothing is stored
// unless asked.
func (cmd *schemeEditCmd) Run(c *call) error {
	s, project, err := c.target(cmd.File)
	if err != nil {
		return err
	}
	defer s.close()
	got, err := s.Design.GetScheme(c.ctx, &pb.GetSchemeRequest{ProjectId: project, Name: cmd.Scheme})
	if err != nil {
		return err
	}
	edited := proto.CloneOf(got.GetScheme())
	if err := cmd.apply(edited); err != nil {
		return wrong("%v", err).trying("Try: roodbeam scheme edit --help")
	}
	if cmd.Balance {
		b, err := s.Design.BalanceLevels(c.ctx, &pb.BalanceLevelsRequest{ProjectId: project, Scheme: edited})
		if err != nil {
			return err
		}
		edited = b.GetScheme()
	}
	res, us, err := c.evaluate(s, project, edited)
	if err != nil {
		return err
	}
	edited.Author = pb.SchemeAuthor_SCHEME_AUTHOR_DESIGNER
	if cmd.SaveAs != "" {
		edited.Parent, edited.Name = edited.GetName(), cmd.SaveAs
	}
	if cmd.Save || cmd.SaveAs != "" {
		if _, err := c.putScheme(s, project, edited, got.GetRevision()); err != nil {
			return err
		}
	}
	if c.root.JSON {
		return printJSON(c.out, &pb.EvaluateSchemeResponse{Revision: got.GetRevision(), Results: res})
	}
	schemeCard(c.out, edited, res, us, false)
	findingsCard(c.out, res.GetFindings())
	return nil
}

func (cmd *schemeEditCmd) apply(sc *pb.Scheme) error {
	if cmd.Unit == "" {
		if cmd.Balance {
			return nil
		}
		return fmt.Errorf("name a unit with --unit, or use --balance")
	}
	at := slices.IndexFunc(sc.GetUnits(), func(u *pb.Unit) bool { return u.GetId() == cmd.Unit })
	if cmd.Drop {
		if at < 0 {
			return fmt.Errorf("no unit %q in %s", cmd.Unit, sc.GetName())
		}
		sc.Units = slices.Delete(sc.Units, at, at+1)
		sc.Reasons = slices.DeleteFunc(sc.Reasons, func(r *pb.Reason) bool { return r.GetUnit() == cmd.Unit })
		return nil
	}
	if at < 0 {
		if cmd.Line == "" || cmd.Along == "" || cmd.Fixture == "" || cmd.Zone == "" {
			return fmt.Errorf("%s is not there yet: a new unit needs --line, --along, --fixture and --zone", cmd.Unit)
		}
		sc.Units = append(sc.Units, &pb.Unit{Id: cmd.Unit, Purpose: pb.Purpose_PURPOSE_FRONT_WASH})
		at = len(sc.Units) - 1
	}
	u := sc.Units[at]
	typed := func(s string) *pb.Quantity { return &pb.Quantity{Typed: strings.TrimSpace(s)} }
	if cmd.Line != "" {
		u.Line = cmd.Line
	}
	if cmd.Along != "" {
		u.Along, u.LensX, u.LensY, u.LensZ = typed(cmd.Along), nil, nil, nil
	}
	if cmd.Fixture != "" {
		u.Fixture = cmd.Fixture
	}
	if cmd.Field != 0 {
		u.FieldDeg = cmd.Field
	}
	if cmd.Zone != "" {
		u.Zone, u.Face = cmd.Zone, ""
	}
	if cmd.Face != "" {
		u.Face, u.AimX, u.AimY, u.AimZ = cmd.Face, nil, nil, nil
	}
	if cmd.Aim != "" {
		parts := strings.Split(cmd.Aim, ",")
		if len(parts) != 3 {
			return fmt.Errorf("--aim %q: want X,Y,Z", cmd.Aim)
		}
		u.AimX, u.AimY, u.AimZ = typed(parts[0]), typed(parts[1]), typed(parts[2])
	}
	if cmd.Level != 0 {
		u.LevelPct = cmd.Level
	}
	if cmd.Lock || cmd.Unlock {
		u.Locked = cmd.Lock
	}
	sc.Author = pb.SchemeAuthor_SCHEME_AUTHOR_DESIGNER
	// A reason no longer holds for a unit that was moved by hand.
	sc.Reasons = slices.DeleteFunc(sc.Reasons, func(r *pb.Reason) bool { return r.GetUnit() == cmd.Unit })
	return nil
}
