package command

import (
	"fmt"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type tokenCmd struct {
	Create tokenCreateCmd `cmd:"" help:"Make a token for another device or program."`
	List   tokenListCmd   `cmd:"" help:"List one's own tokens."`
	Revoke tokenRevokeCmd `cmd:"" help:"End a token: one's own, as a manager any of the project's, as the server's owner any."`
}

type tokenCreateCmd struct {
	Name    string `arg:"" help:"What it is for."`
	Project string `help:"Project it is bound to; without it all of one's own."`
	Hours   int32  `default:"0" help:"Hours until it ends; 0: as the token it is made with."`
	ID      string `name:"id" placeholder:"UUID" help:"Id of the token; the same again gives the same secret, after an answer that was lost."`
}

// Run makes a token.
func (cmd *tokenCreateCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	id, err := idOr(cmd.ID)
	if err != nil {
		return err
	}
	res, err := s.Access.CreateToken(c.ctx, &pb.CreateTokenRequest{TokenId: id, ProjectId: cmd.Project, Name: cmd.Name, Hours: cmd.Hours})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "token    %s\nid       %s\nexpires  %s\n", res.GetToken(), res.GetInfo().GetTokenId(), orNever(res.GetInfo().GetExpires()))
	return nil
}

type tokenListCmd struct{}

// Run lists the caller's tokens.
func (cmd *tokenListCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	all := &pb.ListTokensResponse{}
	for page := ""; ; {
		res, err := s.Access.ListTokens(c.ctx, &pb.ListTokensRequest{PageToken: page})
		if err != nil {
			return err
		}
		all.Tokens = append(all.Tokens, res.GetTokens()...)
		if page = res.GetNextPageToken(); page == "" {
			break
		}
	}
	if c.root.JSON {
		return printJSON(c.out, all)
	}
	var rows [][]string
	for _, t := range all.GetTokens() {
		rows = append(rows, []string{t.GetName(), t.GetTokenId(), t.GetProjectId(), orNever(t.GetExpires()), orNever(t.GetRevoked())})
	}
	table(c.out, []string{"name", "id", "project", "expires", "revoked"}, rows)
	return nil
}

type tokenRevokeCmd struct {
	Token string `arg:"" help:"Token id, as 'token list' shows it."`
}

// Run ends a token.
func (cmd *tokenRevokeCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Access.RevokeToken(c.ctx, &pb.RevokeTokenRequest{TokenId: cmd.Token})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintln(c.out, "revoked")
	return nil
}

func orNever(t *timestamppb.Timestamp) string {
	if t == nil {
		return "never"
	}
	return t.AsTime().Format("2006-01-02 15:04 MST")
}
