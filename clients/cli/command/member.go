package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type memberCmd struct {
	List   memberListCmd   `cmd:"" help:"List who is in a project, in what role and by whose invitation."`
	Remove memberRemoveCmd `cmd:"" help:"Take somebody out of a project; their tokens for it stop counting at once."`
}

type memberListCmd struct {
	Project string `arg:"" help:"Project id."`
}

// Run lists members.
func (cmd *memberListCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Access.ListMembers(c.ctx, &pb.ListMembersRequest{ProjectId: cmd.Project})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	var rows [][]string
	for _, m := range res.GetMembers() {
		rows = append(rows, []string{m.GetName(), word(m.GetRole().String(), "ROLE_"), m.GetInvitedBy(), m.GetPersonId()})
	}
	table(c.out, []string{"name", "role", "invited by", "person"}, rows)
	return nil
}

type memberRemoveCmd struct {
	Project string `arg:"" help:"Project id."`
	Person  string `arg:"" help:"Person id, as 'member list' shows it."`
	Reason  string `help:"Why, for the project's history."`
	ID      string `name:"id" placeholder:"UUID" help:"Id of the entry; the same again counts once."`
}

// Run removes a member.
func (cmd *memberRemoveCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	id, err := idOr(cmd.ID)
	if err != nil {
		return err
	}
	res, err := s.Access.RemoveMember(c.ctx, &pb.RemoveMemberRequest{ProjectId: cmd.Project, EntryId: id, PersonId: cmd.Person, Reason: cmd.Reason})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "removed, revision %d\n", res.GetRevision())
	return nil
}
