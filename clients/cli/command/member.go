package command

import (
	"fmt"
	"strings"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type memberCmd struct {
	List   memberListCmd   `cmd:"" help:"List who is in a project, in what role and by whose invitation."`
	Remove memberRemoveCmd `cmd:"" help:"Take somebody out of a project; their tokens for it stop counting at once."`
}

type memberListCmd struct {
	Project string `arg:"" help:"Project id, or the church's file."`
}

// Run lists members.
func (cmd *memberListCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
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
	Project string `arg:"" help:"Project id, or the church's file."`
	Person  string `arg:"" help:"Person: the name, where only one is called that, or the id, as 'member list' shows them."`
	Reason  string `help:"Why, for the project's history."`
	ID      string `name:"id" placeholder:"UUID" help:"Id of the entry; the same again counts once."`
}

// Run removes a member.
func (cmd *memberRemoveCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	person, err := c.person(s, cmd.Project, cmd.Person)
	if err != nil {
		return err
	}
	id, err := idOr(cmd.ID)
	if err != nil {
		return err
	}
	res, err := s.Access.RemoveMember(c.ctx, &pb.RemoveMemberRequest{ProjectId: cmd.Project, EntryId: id, PersonId: person, Reason: cmd.Reason})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "removed, revision %d\n", res.GetRevision())
	return nil
}

// person returns the id of a member by it or by name; where that does not say who,
// it lists the members.
func (c *call) person(s *session, project, given string) (string, error) {
	if _, err := uuid.Parse(given); err == nil {
		return given, nil
	}
	res, err := s.Access.ListMembers(c.ctx, &pb.ListMembersRequest{ProjectId: project})
	if err != nil {
		return "", err
	}
	var found, rows []string
	for _, m := range res.GetMembers() {
		if strings.EqualFold(m.GetName(), strings.TrimSpace(given)) {
			found = append(found, m.GetPersonId())
		}
		rows = append(rows, fmt.Sprintf("  %s  %s, %s", m.GetPersonId(), m.GetName(), word(m.GetRole().String(), "ROLE_")))
	}
	members := "The members:\n" + strings.Join(rows, "\n")
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return "", wrong("no member is called %q", given).trying("%s", members)
	}
	return "", wrong("%d members are called %q: name one by the id", len(found), given).trying("%s", members)
}
