package command

import (
	"fmt"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type inviteCmd struct {
	Project string `arg:"" help:"Project id."`
	Role    string `default:"volunteer" help:"Role: viewer, volunteer, designer, manager, leadership or a trade such as licensed_electrician."`
	Uses    int32  `default:"1" help:"How many people may use the link."`
	Note    string `help:"For whom, for people."`
	ID      string `name:"id" placeholder:"UUID" help:"Id of the invitation; the same again gives the same link, after an answer that was lost."`
	Hours   int32  `default:"0" help:"Hours the link is good for; 0: the server's default."`
}

// Run makes an invitation link; without a server there is nothing it could lead
// to, which is the exit status of a missing server.
func (cmd *inviteCmd) Run(c *call) error {
	role, ok := pb.Role_value["ROLE_"+upper(cmd.Role)]
	if !ok || role == 0 {
		fmt.Fprintf(c.err, "roodbeam: no role %q\n", cmd.Role)
		return exit{exitInput}
	}
	if c.root.Server == "" {
		dir := c.root.Data
		if dir == "" {
			d, err := userData()
			if err != nil {
				return err
			}
			dir = d
		}
		fmt.Fprintf(c.err, `roodbeam: a link needs a server that others can reach, and this command works without one; no invitation was made.
Start one on the same projects:
  go run ./server --grpc 127.0.0.1:7443 --http 127.0.0.1:7480 --data %s
then, with its token in ROODBEAM_TOKEN:
  roodbeam invite %s --role %s --server 127.0.0.1:7443
`, quoted(dir), cmd.Project, cmd.Role)
		return exit{exitServer}
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	id, err := idOr(cmd.ID)
	if err != nil {
		return err
	}
	res, err := s.Access.CreateInvitation(c.ctx, &pb.CreateInvitationRequest{ProjectId: cmd.Project, InvitationId: id, Role: pb.Role(role), Hours: cmd.Hours, MaxUses: cmd.Uses, Note: cmd.Note})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "path     %s (behind the server's own address)\nexpires  %s\n", res.GetPath(), res.GetExpires().AsTime().Format("2006-01-02 15:04 MST"))
	return nil
}

// idOr returns the id that was given, else a fresh one.
func idOr(given string) (string, error) {
	if given != "" {
		return given, nil
	}
	id, err := uuid.NewV7()
	return id.String(), err
}
