package command

import (
	"fmt"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type signCmd struct {
	Project     string `arg:"" help:"Project id, or the church's file."`
	Key         string `arg:"" help:"Key of the finding, as 'findings --json' shows it."`
	Fingerprint string `required:"" help:"Fingerprint of the finding as you read it; refused when its values have changed since."`
	Reason      string `required:"" help:"Why it is cleared, for people."`
	Scheme      string `help:"Scheme; without it the chosen one, else the one written last."`
	Signer      string `help:"Name of who answers for the work; wanted of a trade."`
	Firm        string `help:"Firm, or how they trade; wanted of a trade."`
	Licence     string `help:"Number of the licence or registration; wanted of a trade."`
	LicenceBody string `help:"Body that issued it; wanted of a trade."`
	ID          string `name:"id" placeholder:"UUID" help:"Id of the entry; the same again counts once."`
}

// Run clears a finding.
func (cmd *signCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	id, err := idOr(cmd.ID)
	if err != nil {
		return err
	}
	res, err := s.Project.ClearFinding(c.ctx, &pb.ClearFindingRequest{ProjectId: cmd.Project, EntryId: id, Scheme: cmd.Scheme, Key: cmd.Key, Fingerprint: cmd.Fingerprint,
		Reason: cmd.Reason, Signer: &pb.Signer{Name: cmd.Signer, Firm: cmd.Firm, Licence: cmd.Licence, LicenceBody: cmd.LicenceBody}})
	if status.Code(err) == codes.NotFound {
		return cmd.noFinding(c, s, err)
	}
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	cl := res.GetFinding().GetClearing()
	fmt.Fprintf(c.out, "cleared, revision %d\nfinding  %s\nby       %s, %s\n", res.GetRevision(), res.GetFinding().GetTitle(), cl.GetBy(), word(cl.GetRole().String(), "ROLE_"))
	if g := cl.GetSigner(); g != nil {
		fmt.Fprintf(c.out, "signer   %s, %s, %s from %s\ninvited  by %s\n", g.GetName(), g.GetFirm(), g.GetLicence(), g.GetLicenceBody(), cl.GetInvitedBy())
	}
	return nil
}

// noFinding adds to a key that is not there the keys that are.
func (cmd *signCmd) noFinding(c *call, s *session, err error) error {
	list, listErr := s.Project.ListFindings(c.ctx, &pb.ListFindingsRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme})
	if listErr != nil {
		return err
	}
	var keys []string
	for _, f := range list.GetFindings() {
		keys = append(keys, f.GetKey())
	}
	return explain(err, nil).trying("The keys: %s\nAll of them: %s findings %s --json%s", listed(keys), invoked(), cmd.Project, c.asCalled())
}
