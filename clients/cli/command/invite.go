package command

import (
	"fmt"
	"strings"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type inviteCmd struct {
	Project string `arg:"" help:"Project id, or the church's file."`
	Role    string `default:"volunteer" help:"Role: ${roles}."`
	Uses    int32  `default:"1" help:"How many people may use the link."`
	Note    string `help:"For whom, for people."`
	Web     string `env:"ROODBEAM_WEB" placeholder:"URL" help:"Address of the server's web pages as the invited reach it, http://127.0.0.1:7480 or https://plans.example.org: the link is printed whole."`
	ID      string `name:"id" placeholder:"UUID" help:"Id of the invitation; the same again gives the same link, after an answer that was lost."`
	Hours   int32  `default:"0" help:"Hours the link is good for; 0: the server's default."`
}

// Run makes an invitation link; without a server there is nothing it could lead
// to, which is the exit status of a missing server.
func (cmd *inviteCmd) Run(c *call) error {
	role, ok := pb.Role_value["ROLE_"+upper(cmd.Role)]
	if !ok || role == 0 {
		return wrong("--role: given %q; roles: %s", cmd.Role, strings.Join(roleNames(), ", "))
	}
	if c.root.Server == "" {
		dir, err := c.dataDir()
		if err != nil {
			return err
		}
		f := &failure{status: exitServer, message: "a link needs a server that others can reach, and this command works without one; no invitation was made"}
		return f.trying(`Start one on the same projects:
  go run ./server --grpc 127.0.0.1:7443 --http 127.0.0.1:7480 --data %s
then, with its token in ROODBEAM_TOKEN:
  %s invite %s --role %s --server 127.0.0.1:7443 --web http://127.0.0.1:7480`, quoted(dir), invoked(), quoted(cmd.Project), cmd.Role)
	}
	if cmd.Web != "" && !strings.Contains(cmd.Web, "://") {
		return wrong("--web: given %q; an address as a browser takes it is wanted, http://127.0.0.1:7480", cmd.Web)
	}
	s, err := c.openProject(&cmd.Project)
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
	if cmd.Web != "" {
		fmt.Fprintf(c.out, "link     %s\n", strings.TrimSuffix(cmd.Web, "/")+res.GetPath())
	} else {
		fmt.Fprintf(c.out, "path     %s\n", res.GetPath())
		fmt.Fprintln(c.err, "The link is the address of the server's web pages (--http, in the server's log as the HTTP door) with this path behind it,\nas in http://127.0.0.1:7480/#join=…; with --web ADDRESS, or ROODBEAM_WEB, it is printed whole.")
	}
	fmt.Fprintf(c.out, "expires  %s\n", res.GetExpires().AsTime().Format("2006-01-02 15:04 MST"))
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

// roleNames lists the roles somebody can be invited in, trades last.
func roleNames() []string {
	var out []string
	for n := int32(1); pb.Role_name[n] != ""; n++ {
		if name := strings.ToLower(strings.TrimPrefix(pb.Role_name[n], "ROLE_")); name != "admin" {
			out = append(out, name)
		}
	}
	return out
}
