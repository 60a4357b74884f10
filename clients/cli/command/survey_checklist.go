package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type surveyChecklistCmd struct {
	File    string `arg:"" optional:"" placeholder:"FILE" help:"A church's file; without it and --project the empty checklist is shown."`
	Project string `help:"Project id, instead of a file."`
	Open    bool   `help:"Only what is not answered."`
	Full    bool   `help:"With why each item matters, how to take it and how well."`
}

// Run shows what is to be measured, photographed and asked, and how far that is
// answered.
func (cmd *surveyChecklistCmd) Run(c *call) error {
	if cmd.File != "" && cmd.Project != "" {
		return wrong("name either a church's file or --project ID")
	}
	var file *pb.ChurchFile
	if cmd.File != "" {
		f, _, err := c.readFile(cmd.File)
		if err != nil {
			return err
		}
		file = f
	}
	var s *session
	var err error
	if cmd.Project != "" {
		s, err = c.openProject(&cmd.Project)
	} else {
		s, err = c.open("", false)
	}
	if err != nil {
		return err
	}
	defer s.close()
	var res *pb.ReadChecklistResponse
	if cmd.Project != "" {
		got, err := s.Survey.GetChecklist(c.ctx, &pb.GetChecklistRequest{ProjectId: cmd.Project})
		if err != nil {
			return err
		}
		res = &pb.ReadChecklistResponse{Items: got.GetItems(), GroundRules: got.GetGroundRules()}
	} else {
		units := pb.DisplayUnits_DISPLAY_UNITS_METRIC
		if usDisplay(file) {
			units = pb.DisplayUnits_DISPLAY_UNITS_US
		}
		if res, err = s.Survey.ReadChecklist(c.ctx, &pb.ReadChecklistRequest{Survey: file.GetSurvey(), Units: units}); err != nil {
			return err
		}
	}
	if cmd.Open {
		var open []*pb.ChecklistItem
		for _, i := range res.GetItems() {
			if i.GetState() != pb.ItemState_ITEM_STATE_ANSWERED {
				open = append(open, i)
			}
		}
		res.Items = open
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	cmd.print(c, res)
	return nil
}

func (cmd *surveyChecklistCmd) print(c *call, res *pb.ReadChecklistResponse) {
	if cmd.Full {
		for i, r := range res.GetGroundRules() {
			fmt.Fprintf(c.out, "%d. %s\n", i+1, r)
		}
	}
	group := ""
	count := map[pb.ItemState]int{}
	for _, i := range res.GetItems() {
		count[i.GetState()]++
		if i.GetGroup() != group {
			group = i.GetGroup()
			fmt.Fprintf(c.out, "\n%s\n", group)
		}
		state := word(i.GetState().String(), "ITEM_STATE_")
		if i.GetWanted() > 1 && i.GetState() == pb.ItemState_ITEM_STATE_PART {
			state = fmt.Sprintf("%d of %d", i.GetKnown(), i.GetWanted())
		}
		fmt.Fprintf(c.out, "  %-4s %-9s %s\n", i.GetId(), state, i.GetItem())
		if i.GetAnswer() != "" {
			fmt.Fprintf(c.out, "                 answer: %s%s\n", i.GetAnswer(), by(i.GetAnsweredBy()))
		}
		if i.GetTaken() != "" {
			fmt.Fprintf(c.out, "                 taken meanwhile: %s; ask %s\n", i.GetTaken(), i.GetWho())
		}
		if cmd.Full {
			fmt.Fprintf(c.out, "                 why: %s; accuracy: %s; how: %s\n", i.GetWhy(), i.GetAccuracy(), i.GetHow())
			if names := append(append([]string{}, i.GetAnsweredByAll()...), i.GetAnsweredByAny()...); len(names) > 0 {
				fmt.Fprintf(c.out, "                 in the file: %s\n", strings.Join(names, ", "))
			}
		}
	}
	fmt.Fprintf(c.out, "\n%d answered, %d in part, %d taken for granted meanwhile, %d missing\n", count[pb.ItemState_ITEM_STATE_ANSWERED],
		count[pb.ItemState_ITEM_STATE_PART], count[pb.ItemState_ITEM_STATE_ASSUMED], count[pb.ItemState_ITEM_STATE_MISSING])
}

func by(who string) string {
	if who == "" {
		return ""
	}
	return " (" + who + ")"
}
