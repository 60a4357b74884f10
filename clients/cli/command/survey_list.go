package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type surveyListCmd struct {
	surveySource
}

// Run lists measurements as they were typed, with how they were read.
func (cmd *surveyListCmd) Run(c *call) error {
	s, text, isList, err := cmd.read(c)
	if err != nil {
		return err
	}
	defer s.close()
	var rows [][]string
	if isList {
		res, err := s.Survey.AdjustNetwork(c.ctx, &pb.AdjustNetworkRequest{List: text, KeepAll: true})
		if err != nil {
			return err
		}
		if c.root.JSON {
			return printJSON(c.out, res)
		}
		for _, m := range res.GetMeasurements() {
			rows = append(rows, []string{fmt.Sprint(m.GetLine()), kindWord(m.GetKind()), m.GetFrom(), m.GetAt(), m.GetTo(), m.GetTyped(),
				networkValue(m.GetValue(), m.GetAngular()), small(m.GetSigma(), m.GetAngular())})
		}
		table(c.out, []string{"line", "kind", "from", "at", "to", "typed", "value", "σ"}, rows)
		return nil
	}
	res, err := s.Survey.GetSurvey(c.ctx, &pb.GetSurveyRequest{ProjectId: cmd.Project})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	u, err := c.unitsFor(s, cmd.Project)
	if err != nil {
		return err
	}
	for _, m := range res.GetSurvey().GetMeasurements() {
		typed, value, angular := m.GetValue().GetTyped(), m.GetValue(), false
		if m.GetAngle() != nil && m.GetValue() == nil {
			typed, value, angular = m.GetAngle().GetTyped(), m.GetAngle(), true
		} else if m.GetAngle() != nil {
			typed += " " + m.GetAngle().GetTyped()
		}
		read := "unclear"
		switch {
		case value == nil:
			read = ""
		case value.ValueSi != nil:
			read = u.network(value.GetValueSi(), angular)
		}
		state := ""
		if m.GetVoid() {
			state = "withdrawn"
		}
		rows = append(rows, []string{m.GetId(), kindWord(m.GetKind()), m.GetFrom(), m.GetAt(), m.GetTo(), typed, read,
			word(m.GetInstrument().String(), "INSTRUMENT_"), m.GetReference(), m.GetBy(), state})
	}
	table(c.out, []string{"id", "kind", "from", "at", "to", "typed", "value", "instrument", "reference", "by", ""}, rows)
	return nil
}
