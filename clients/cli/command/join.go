package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type joinCmd struct {
	Link string `arg:"" help:"Invitation link, or its secret."`
	Name string `required:"" help:"Name to be shown."`
	ID   string `name:"id" placeholder:"UUID" help:"Id of this joining; the same again gives the same token, after an answer that was lost. Keep it to yourself."`
}

// Run trades a link for a token.
func (cmd *joinCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	// Not with the token of whoever sits here: a new person joins.
	guest, err := c.as(s, "")
	if err != nil {
		return err
	}
	defer guest.close()
	secret := cmd.Link
	if _, after, ok := strings.Cut(cmd.Link, "#join="); ok {
		secret = after
	}
	id, err := idOr(cmd.ID)
	if err != nil {
		return err
	}
	res, err := guest.Access.AcceptInvitation(c.ctx, &pb.AcceptInvitationRequest{Secret: secret, Name: cmd.Name, AcceptId: id})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	m := res.GetMembership()
	fmt.Fprintf(c.out, "token    %s\nproject  %s\nrole     %s\ninvited  by %s\n", res.GetToken(), m.GetProjectId(), word(m.GetRole().String(), "ROLE_"), m.GetInvitedBy())
	return nil
}
