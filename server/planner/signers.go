package planner

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/server/auth"
	"roodbeam/server/document"
	"roodbeam/server/store"
)

// authors finds who wrote each scheme last. Only sign-offs of trades are held
// against it, so that it is not asked where there are none.
func (p *Planner) authors(ctx context.Context, proj *document.Project, s store.State) error {
	if !slices.ContainsFunc(slices.Collect(maps.Values(proj.Cleared)), func(c *pb.ClearedFinding) bool { return c.GetClearing().GetSigner() != nil }) {
		return nil
	}
	for _, d := range s.Docs {
		if d.Kind != document.Scheme.Name {
			continue
		}
		page, err := p.Store.History(ctx, s.Project, store.HistoryQuery{After: d.Revision - 1}, store.Page{Size: 1})
		if err != nil {
			return err
		}
		if len(page.Entries) == 1 {
			proj.Authors[d.ID] = page.Entries[0].Actor
		}
	}
	return nil
}

// All returns the findings of a run with those about who signed. issuers are
// actors about to issue a packet of it, beside those who have.
func (p *Planner) All(proj *document.Project, r *Run, issuers ...string) []finding.Finding {
	more := p.signers(proj, r, issuers)
	if len(more) == 0 {
		return r.Results.Findings
	}
	all := append(slices.Clone(r.Results.Findings), more...)
	finding.Sort(all)
	return all
}

// signers reports sign-offs of trades that stand and whose signer was invited
// by, or is, whoever wrote the scheme or issues its packets: the plan's own
// author could have made up the check of it.
func (p *Planner) signers(proj *document.Project, r *Run, issuers []string) []finding.Finding {
	stands := map[string]string{}
	for _, f := range r.Results.Findings {
		stands[f.Key] = f.Fingerprint
	}
	author := proj.Authors[r.Documents.Scheme.Name]
	parts := map[string]string{} // of an actor in the work
	for _, is := range issuers {
		parts[is] = "issues the packet"
	}
	for _, k := range proj.Packets {
		parts[k.GetIssuedByPersonId()] = "issued a packet"
	}
	parts[author] = "wrote the scheme"
	delete(parts, "")

	seen := map[string]bool{}
	var out []finding.Finding
	report := func(code, subject string, args ...finding.Arg) {
		if f := p.Book.New(code, subject, args...); !seen[f.Key] {
			seen[f.Key] = true
			out = append(out, f)
		}
	}
	for _, key := range sortedKeys(proj.Cleared) {
		c := proj.Cleared[key]
		by, s := c.GetClearing(), c.GetClearing().GetSigner()
		if s == nil || stands[key] != c.GetFingerprint() {
			continue
		}
		role := string(auth.RoleFromAPI(by.GetRole()))
		subject := fmt.Sprintf("%s, %s, %s", s.GetName(), role, s.GetLicence())
		args := []finding.Arg{finding.Text("name", s.GetName()), finding.Text("firm", s.GetFirm()), finding.Text("role", role),
			finding.Text("licence", s.GetLicence()), finding.Text("body", s.GetLicenceBody())}
		if part := parts[by.GetInvitedByPersonId()]; part != "" {
			report("SIGNER_INVITED_BY_ISSUER", subject, append(args, finding.Text("inviter", by.GetInvitedBy()), finding.Text("part", part))...)
		}
		part := parts[by.GetPersonId()]
		if also := auth.RoleFromAPI(by.GetAlsoRole()); part == "" && also != "" {
			part = "is " + string(also) + " of this project"
		}
		if part != "" {
			report("SIGNER_ALSO_PLANS", subject, append(args, finding.Text("part", part))...)
		}
	}
	return out
}

// SameName tells whether two names are one for people: case, and spaces at the
// ends and between, do not count.
func SameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(store.Fold(a)), " "), strings.Join(strings.Fields(store.Fold(b)), " "))
}
