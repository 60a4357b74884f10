package command

import (
	"fmt"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type loadQuestionsCmd struct {
	planned
	Answer string `placeholder:"KEY" help:"Write an answer down beside the question of this key; it clears nothing."`
	Text   string `help:"The answer."`
	By     string `placeholder:"ROLE" help:"Who answered, e.g. \"licensed electrician\"; without it you."`
}

// Run lists the questions, or writes an answer down first.
func (cmd *loadQuestionsCmd) Run(c *call) error {
	if (cmd.Answer == "") != (cmd.Text == "") {
		return wrong("--answer KEY and --text go together")
	}
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	if cmd.Answer != "" {
		id, err := uuid.NewV7()
		if err != nil {
			return err
		}
		res, err := s.Load.AnswerQuestion(c.ctx, &pb.AnswerQuestionRequest{ProjectId: cmd.Project, EntryId: id.String(), QuestionKey: cmd.Answer, Text: cmd.Text, By: cmd.By, Scheme: cmd.Scheme})
		if err != nil {
			return err
		}
		if c.root.JSON {
			return printJSON(c.out, res)
		}
		fmt.Fprintln(c.err, res.GetCaution())
	}
	res, err := s.Load.ListTradeQuestions(c.ctx, &pb.ListTradeQuestionsRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	who := ""
	for _, q := range res.GetQuestions() {
		if q.GetWho() != who {
			who = q.GetWho()
			fmt.Fprintf(c.out, "For the %s:\n", who)
		}
		fmt.Fprintf(c.out, "%3d. %s  [%s]\n     %s\n", q.GetNo(), q.GetText(), q.GetKey(), q.GetWhy())
		for _, a := range q.GetAnswers() {
			fmt.Fprintf(c.out, "     answered by %s, %s: %s\n", a.GetBy(), a.GetDay(), a.GetText())
		}
		if len(q.GetAnswers()) == 0 {
			fmt.Fprintln(c.out, "     answer: ____________________")
		}
	}
	for _, a := range res.GetEarlier() {
		fmt.Fprintf(c.out, "no longer asked: %s\n     answered by %s, %s: %s\n", a.GetAsked(), a.GetAnswer().GetBy(), a.GetAnswer().GetDay(), a.GetAnswer().GetText())
	}
	return nil
}
