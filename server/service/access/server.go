// Package access serves AccessService: who one is, invitations, tokens.
package access

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/journal"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// Store is what this service needs of the store.
type Store interface {
	journal.Appender
	store.People
	store.Access
	Head(ctx context.Context, project uuid.UUID) (store.Revision, error)
	Entry(ctx context.Context, project, id uuid.UUID) (store.Entry, error)
	Member(ctx context.Context, project, person uuid.UUID) (store.Member, error)
	Members(ctx context.Context, project uuid.UUID) ([]store.Member, error)
	Memberships(ctx context.Context, person uuid.UUID) ([]store.Member, error)
}

// How long secrets are good for when nothing else is asked.
const (
	invitationLife = 7 * 24 * time.Hour
	guestTokenLife = 90 * 24 * time.Hour
)

// Server implements AccessService.
type Server struct {
	pb.UnimplementedAccessServiceServer
	Store Store
	Now   func() time.Time
}

// WhoAmI tells the caller who they are taken for.
func (s *Server) WhoAmI(ctx context.Context, _ *pb.WhoAmIRequest) (*pb.WhoAmIResponse, error) {
	c, ok := auth.CallerFrom(ctx)
	if !ok {
		return nil, auth.ErrNoCaller
	}
	out := &pb.WhoAmIResponse{TokenId: c.Token.String(), Person: &pb.Person{Name: c.Name, Admin: c.Role == auth.Admin && c.Project == uuid.Nil}, Expires: timeOrNone(c.Expires)}
	if c.Person == uuid.Nil {
		return out, nil
	}
	out.Person.PersonId = c.Person.String()
	ms, err := s.Store.Memberships(ctx, c.Person)
	if err != nil {
		return nil, err
	}
	for _, m := range ms {
		if c.Project == uuid.Nil || c.Project == m.Project {
			out.Memberships = append(out.Memberships, &pb.Membership{ProjectId: m.Project.String(), PersonId: m.Person.String(), Name: c.Name, Role: auth.RoleToAPI(auth.Role(m.Role)), InvitedBy: s.name(ctx, m.Inviter)})
		}
	}
	return out, nil
}

// CreateInvitation makes a link into one project in one role.
func (s *Server) CreateInvitation(ctx context.Context, req *pb.CreateInvitationRequest) (*pb.CreateInvitationResponse, error) {
	c, ok := auth.CallerFrom(ctx)
	if !ok {
		return nil, auth.ErrNoCaller
	}
	if by := auth.RoleFrom(ctx); auth.RoleFromAPI(req.GetRole()) == auth.Manager && by != auth.Manager && by != auth.Admin {
		return nil, &rpc.Precondition{Type: "NOT_YOURS", Subject: req.GetInvitationId(), Description: "a manager is invited by a manager"}
	}
	life := invitationLife
	if req.GetHours() > 0 {
		life = time.Duration(req.GetHours()) * time.Hour
	}
	// The store takes 0 as any number of uses; a link that was meant for one
	// person must not let in whoever else reads it.
	uses := max(req.GetMaxUses(), 1)
	if c.Derive == nil {
		return nil, auth.ErrNoCaller
	}
	id := uuid.MustParse(req.GetInvitationId())
	secret := c.Derive.Secret("invitation", id)
	now := s.Now()
	inv := store.Invitation{ID: id, Secret: auth.HashSecret(secret), Project: uuid.MustParse(req.GetProjectId()),
		Role: string(auth.RoleFromAPI(req.GetRole())), Label: req.GetNote(), Creator: c.Actor(), Created: now, Expires: now.Add(life), MaxUses: uses}
	err := s.Store.PutInvitation(ctx, inv)
	if errors.Is(err, store.ErrExists) {
		inv, err = s.sameInvitation(ctx, inv)
	}
	if err != nil {
		return nil, err
	}
	return &pb.CreateInvitationResponse{InvitationId: req.GetInvitationId(), Secret: secret, Path: "/#join=" + secret, Expires: timestamppb.New(inv.Expires)}, nil
}

// sameInvitation returns the stored invitation that was sent again, or says in
// what the two differ. Of others' invitations it tells nothing.
func (s *Server) sameInvitation(ctx context.Context, sent store.Invitation) (store.Invitation, error) {
	have, err := s.Store.Invitation(ctx, sent.ID)
	if err != nil {
		return have, err
	}
	differs := ""
	switch {
	case have.Project != sent.Project || have.Creator != sent.Creator:
		return have, &rpc.Taken{ID: "invitation_id", Field: "invitation_id", Reason: "names another invitation"}
	case have.Secret != sent.Secret:
		return have, &rpc.Taken{ID: "invitation_id", Field: "invitation_id", Reason: "was sent with another token, to which alone its secret is given again"}
	case have.Role != sent.Role:
		differs = "role"
	case have.MaxUses != sent.MaxUses:
		differs = "max_uses"
	case have.Expires.Sub(have.Created) != sent.Expires.Sub(sent.Created):
		differs = "hours"
	case have.Label != sent.Label:
		differs = "note"
	default:
		return have, nil
	}
	return have, &rpc.Taken{ID: "invitation_id", Field: differs, Reason: "was another the first time"}
}

// RevokeInvitation ends an invitation of the project.
func (s *Server) RevokeInvitation(ctx context.Context, req *pb.RevokeInvitationRequest) (*pb.RevokeInvitationResponse, error) {
	invs, err := s.Store.ListInvitations(ctx, uuid.MustParse(req.GetProjectId()))
	if err != nil {
		return nil, err
	}
	for _, i := range invs {
		if strings.EqualFold(i.ID.String(), req.GetInvitationId()) {
			return &pb.RevokeInvitationResponse{}, s.Store.RevokeInvitation(ctx, i.ID, s.Now())
		}
	}
	return nil, &store.NotFound{What: "invitation", ID: req.GetInvitationId()}
}

// AcceptInvitation makes whoever holds the link a member and hands out a token
// for that project alone, all of it in one transaction or nothing.
func (s *Server) AcceptInvitation(ctx context.Context, req *pb.AcceptInvitationRequest) (*pb.AcceptInvitationResponse, error) {
	now := s.Now()
	inv, err := s.Store.InvitationByHash(ctx, auth.HashSecret(req.GetSecret()))
	if errors.Is(err, store.ErrNotFound) {
		return nil, store.ErrSpent // one wording for unknown and spent links
	}
	if err != nil {
		return nil, err
	}
	same, err := s.known(ctx, inv)
	if err != nil {
		return nil, err
	}
	// Everything follows from the link's secret and the id the client keeps to
	// itself; what others get to see of it are ids that tell nothing of either.
	derive, id := auth.NewDeriver(req.GetSecret()), uuid.MustParse(req.GetAcceptId())
	secret := derive.Secret("token", id)
	person := store.Person{ID: derive.ID("person", id), Name: req.GetName(), Created: now}
	tok := store.Token{ID: derive.ID("token", id), Secret: auth.HashSecret(secret), Label: req.GetName(), Person: person.ID, Project: inv.Project, Role: inv.Role, Created: now, Expires: now.Add(guestTokenLife)}
	member := &pb.Membership{ProjectId: inv.Project.String(), PersonId: person.ID.String(), Name: req.GetName(), Role: auth.RoleToAPI(auth.Role(inv.Role)),
		InvitedBy: s.name(ctx, inv.Creator)}
	// The journal names the new member as the actor of their own joining.
	ctx = auth.WithCaller(ctx, auth.Caller{Token: tok.ID, Person: person.ID, Name: person.Name, Project: inv.Project, Role: auth.Role(inv.Role)}, auth.Role(inv.Role))
	entries, err := journal.Writer{Store: s.Store, Now: s.Now}.Entries(ctx, journal.Entry{ID: derive.ID("entry", id).String(), Kind: journal.MemberGranted, Said: member,
		Members: []store.MemberEffect{{Person: person.ID, Role: inv.Role, Inviter: inv.Creator, SameAs: same}}})
	if err != nil {
		return nil, err
	}
	got, err := s.Store.Accept(ctx, store.Acceptance{Invitation: inv.ID, At: now, Person: person, Token: tok, Entry: entries[0]})
	if err != nil {
		return nil, err
	}
	if got.Person.Name != req.GetName() {
		return nil, &rpc.Taken{ID: "accept_id", Field: "name", Reason: "was another the first time"}
	}
	return &pb.AcceptInvitationResponse{Token: secret, TokenId: got.Token.ID.String(), Membership: member, Expires: timestamppb.New(got.Token.Expires)}, nil
}

// known returns the member of the project whose token came with the request,
// zero for none. Nobody takes up a trade's invitation they made themselves.
func (s *Server) known(ctx context.Context, inv store.Invitation) (uuid.UUID, error) {
	c, ok := auth.CallerFrom(ctx)
	if !ok {
		return uuid.Nil, nil
	}
	if auth.Role(inv.Role).Trade() && c.Actor() == inv.Creator {
		return uuid.Nil, &rpc.Precondition{Type: "SELF_INVITED", Subject: inv.ID.String(),
			Description: "you made this invitation: nobody invites themselves to sign for a trade; pass the link to the " + inv.Role}
	}
	role, err := auth.RoleIn(ctx, s.Store, c, inv.Project)
	if err != nil || role == "" {
		return uuid.Nil, err
	}
	return c.Person, nil
}

// name is the name of an actor, the actor as recorded where there is none.
func (s *Server) name(ctx context.Context, actor string) string {
	if id, err := uuid.Parse(actor); err == nil {
		if p, err := s.Store.Person(ctx, id); err == nil && p.Name != "" {
			return p.Name
		}
	}
	return actor
}

// ListMembers returns who is in a project.
func (s *Server) ListMembers(ctx context.Context, req *pb.ListMembersRequest) (*pb.ListMembersResponse, error) {
	ms, err := s.Store.Members(ctx, uuid.MustParse(req.GetProjectId()))
	if err != nil {
		return nil, err
	}
	out := &pb.ListMembersResponse{}
	for _, m := range ms {
		name := ""
		if p, err := s.Store.Person(ctx, m.Person); err == nil {
			name = p.Name
		}
		out.Members = append(out.Members, &pb.Membership{ProjectId: m.Project.String(), PersonId: m.Person.String(), Name: name, Role: auth.RoleToAPI(auth.Role(m.Role)), InvitedBy: s.name(ctx, m.Inviter)})
	}
	slices.SortStableFunc(out.Members, func(a, b *pb.Membership) int { return strings.Compare(a.GetName(), b.GetName()) })
	return out, nil
}

// CreateToken makes another token for the caller, never wider than their own
// and never living longer.
func (s *Server) CreateToken(ctx context.Context, req *pb.CreateTokenRequest) (*pb.CreateTokenResponse, error) {
	c, ok := auth.CallerFrom(ctx)
	if !ok {
		return nil, auth.ErrNoCaller
	}
	tok := store.Token{ID: uuid.MustParse(req.GetTokenId()), Label: req.GetName(), Person: c.Person, Project: c.Project, Role: string(c.Role), Created: s.Now()}
	if req.GetProjectId() != "" {
		id := uuid.MustParse(req.GetProjectId())
		if c.Project != uuid.Nil && c.Project != id {
			return nil, rpc.ErrDenied
		}
		if c.Project == uuid.Nil {
			role, err := s.roleIn(ctx, c, id)
			if err != nil {
				return nil, err
			}
			tok.Role = role
		}
		tok.Project = id
	}
	if c.Derive == nil {
		return nil, auth.ErrNoCaller
	}
	secret := c.Derive.Secret("token", tok.ID)
	tok.Secret, tok.Expires = auth.HashSecret(secret), expiry(tok.Created, req.GetHours(), c.Expires)
	err := s.Store.PutToken(ctx, tok)
	if errors.Is(err, store.ErrExists) {
		tok, err = s.sameToken(ctx, tok, expiryOf(req.GetHours(), c.Expires))
	}
	if err != nil {
		return nil, err
	}
	return &pb.CreateTokenResponse{Token: secret, Info: infoToAPI(tok)}, nil
}

// expiry is when a token made at a time ends: after the hours, 0 for never, but
// no later than the one it was made with.
func expiry(made time.Time, hours int32, latest time.Time) time.Time {
	if hours == 0 {
		return latest
	}
	asked := made.Add(time.Duration(hours) * time.Hour)
	if !latest.IsZero() && latest.Before(asked) {
		return latest
	}
	return asked
}

func expiryOf(hours int32, latest time.Time) func(time.Time) time.Time {
	return func(made time.Time) time.Time { return expiry(made, hours, latest) }
}

// sameToken returns the stored token that was sent again, or says in what the
// two differ. Of others' tokens it tells nothing.
func (s *Server) sameToken(ctx context.Context, sent store.Token, ends func(made time.Time) time.Time) (store.Token, error) {
	have, err := s.Store.Token(ctx, sent.ID)
	if err != nil {
		return have, err
	}
	differs := ""
	switch {
	case have.Person != sent.Person:
		return have, &rpc.Taken{ID: "token_id", Field: "token_id", Reason: "names another token"}
	case have.Secret != sent.Secret:
		return have, &rpc.Taken{ID: "token_id", Field: "token_id", Reason: "was sent with another token, to which alone its secret is given again"}
	case have.Project != sent.Project:
		differs = "project_id"
	case have.Label != sent.Label:
		differs = "name"
	case !have.Expires.Equal(store.Trim(ends(have.Created))):
		differs = "hours"
	default:
		return have, nil
	}
	return have, &rpc.Taken{ID: "token_id", Field: differs, Reason: "was another the first time"}
}

func (s *Server) roleIn(ctx context.Context, c auth.Caller, project uuid.UUID) (string, error) {
	ms, err := s.Store.Memberships(ctx, c.Person)
	if err != nil {
		return "", err
	}
	for _, m := range ms {
		if m.Project == project {
			return m.Role, nil
		}
	}
	return "", rpc.ErrDenied
}

// ListTokens returns the caller's own tokens, without their secrets.
func (s *Server) ListTokens(ctx context.Context, req *pb.ListTokensRequest) (*pb.ListTokensResponse, error) {
	c, ok := auth.CallerFrom(ctx)
	if !ok || c.Person == uuid.Nil {
		return nil, rpc.ErrDenied
	}
	page, err := s.Store.ListTokens(ctx, store.TokenFilter{Person: c.Person, Project: c.Project}, store.Page{Size: int(req.GetPageSize()), Token: req.GetPageToken()})
	if err != nil {
		return nil, err
	}
	out := &pb.ListTokensResponse{NextPageToken: page.Next}
	for _, t := range page.Tokens {
		out.Tokens = append(out.Tokens, infoToAPI(t))
	}
	return out, nil
}

// RevokeToken ends a token: the caller's own, any of the project's a manager
// runs, any at all for the server's owner.
func (s *Server) RevokeToken(ctx context.Context, req *pb.RevokeTokenRequest) (*pb.RevokeTokenResponse, error) {
	c, ok := auth.CallerFrom(ctx)
	if !ok {
		return nil, auth.ErrNoCaller
	}
	id := uuid.MustParse(req.GetTokenId())
	t, err := s.Store.Token(ctx, id)
	if errors.Is(err, store.ErrNotFound) {
		return nil, rpc.ErrDenied // as for tokens of others
	}
	if err != nil {
		return nil, err
	}
	may, err := s.mayRevoke(ctx, c, t)
	if err != nil {
		return nil, err
	}
	if !may {
		return nil, rpc.ErrDenied
	}
	return &pb.RevokeTokenResponse{}, s.Store.RevokeToken(ctx, id, s.Now())
}

func (s *Server) mayRevoke(ctx context.Context, c auth.Caller, t store.Token) (bool, error) {
	switch {
	case t.ID == c.Token, c.Role == auth.Admin && c.Project == uuid.Nil:
		return true, nil
	case c.Person != uuid.Nil && t.Person == c.Person && (c.Project == uuid.Nil || c.Project == t.Project):
		return true, nil
	case t.Project == uuid.Nil:
		return false, nil
	}
	role, err := auth.RoleIn(ctx, s.Store, c, t.Project)
	return role == auth.Manager, err
}

func infoToAPI(t store.Token) *pb.TokenInfo {
	return &pb.TokenInfo{TokenId: t.ID.String(), Name: t.Label, PersonId: idOrNone(t.Person), ProjectId: idOrNone(t.Project),
		Created: timestamppb.New(t.Created), Expires: timeOrNone(t.Expires), Revoked: timeOrNone(t.Revoked)}
}

func idOrNone(id uuid.UUID) string {
	if id == uuid.Nil {
		return ""
	}
	return id.String()
}

func timeOrNone(t time.Time) *timestamppb.Timestamp {
	if t.IsZero() {
		return nil
	}
	return timestamppb.New(t)
}
