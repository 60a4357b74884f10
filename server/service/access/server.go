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
			out.Memberships = append(out.Memberships, &pb.Membership{ProjectId: m.Project.String(), PersonId: m.Person.String(), Name: c.Name, Role: auth.RoleToAPI(auth.Role(m.Role))})
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
	life := invitationLife
	if req.GetHours() > 0 {
		life = time.Duration(req.GetHours()) * time.Hour
	}
	// The store takes 0 as any number of uses; a link that was meant for one
	// person must not let in whoever else reads it.
	uses := max(req.GetMaxUses(), 1)
	secret := auth.NewSecret()
	now := s.Now()
	inv := store.Invitation{ID: uuid.MustParse(req.GetInvitationId()), Secret: auth.HashSecret(secret), Project: uuid.MustParse(req.GetProjectId()),
		Role: string(auth.RoleFromAPI(req.GetRole())), Label: req.GetNote(), Creator: c.Actor(), Created: now, Expires: now.Add(life), MaxUses: uses}
	if err := s.Store.PutInvitation(ctx, inv); err != nil {
		return nil, err
	}
	return &pb.CreateInvitationResponse{InvitationId: req.GetInvitationId(), Secret: secret, Path: "/#join=" + secret, Expires: timestamppb.New(inv.Expires)}, nil
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
// for that project alone.
func (s *Server) AcceptInvitation(ctx context.Context, req *pb.AcceptInvitationRequest) (*pb.AcceptInvitationResponse, error) {
	now := s.Now()
	inv, err := s.Store.InvitationByHash(ctx, auth.HashSecret(req.GetSecret()))
	if errors.Is(err, store.ErrNotFound) {
		return nil, store.ErrSpent // one wording for unknown and spent links
	}
	if err != nil {
		return nil, err
	}
	if inv, err = s.Store.UseInvitation(ctx, inv.ID, now); err != nil {
		return nil, err
	}
	ids, err := newIDs(3)
	if err != nil {
		return nil, err
	}
	person := store.Person{ID: ids[0], Name: req.GetName(), Created: now}
	if err := s.Store.PutPerson(ctx, person); err != nil {
		return nil, err
	}
	secret := auth.NewSecret()
	tok := store.Token{ID: ids[1], Secret: auth.HashSecret(secret), Label: req.GetName(), Person: person.ID, Project: inv.Project, Role: inv.Role, Created: now, Expires: now.Add(guestTokenLife)}
	member := &pb.Membership{ProjectId: inv.Project.String(), PersonId: person.ID.String(), Name: req.GetName(), Role: auth.RoleToAPI(auth.Role(inv.Role))}
	// The journal names the new member as the actor of their own joining.
	ctx = auth.WithCaller(ctx, auth.Caller{Token: tok.ID, Person: person.ID, Name: person.Name, Project: inv.Project, Role: auth.Role(inv.Role)}, auth.Role(inv.Role))
	w := journal.Writer{Store: s.Store, Now: s.Now}
	if _, err := w.Write(ctx, inv.Project, -1, journal.Entry{ID: ids[2].String(), Kind: journal.MemberGranted, Said: member,
		Members: []store.MemberEffect{{Person: person.ID, Role: inv.Role}}}); err != nil {
		return nil, err
	}
	if err := s.Store.PutToken(ctx, tok); err != nil {
		return nil, err
	}
	return &pb.AcceptInvitationResponse{Token: secret, TokenId: tok.ID.String(), Membership: member, Expires: timestamppb.New(tok.Expires)}, nil
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
		out.Members = append(out.Members, &pb.Membership{ProjectId: m.Project.String(), PersonId: m.Person.String(), Name: name, Role: auth.RoleToAPI(auth.Role(m.Role))})
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
	tok.Expires = c.Expires
	if req.GetHours() > 0 {
		asked := tok.Created.Add(time.Duration(req.GetHours()) * time.Hour)
		if c.Expires.IsZero() || asked.Before(c.Expires) {
			tok.Expires = asked
		}
	}
	secret := auth.NewSecret()
	tok.Secret = auth.HashSecret(secret)
	if err := s.Store.PutToken(ctx, tok); err != nil {
		return nil, err
	}
	return &pb.CreateTokenResponse{Token: secret, Info: infoToAPI(tok)}, nil
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

// RevokeToken ends one of the caller's own tokens.
func (s *Server) RevokeToken(ctx context.Context, req *pb.RevokeTokenRequest) (*pb.RevokeTokenResponse, error) {
	c, ok := auth.CallerFrom(ctx)
	if !ok {
		return nil, auth.ErrNoCaller
	}
	id := uuid.MustParse(req.GetTokenId())
	if id == c.Token {
		return &pb.RevokeTokenResponse{}, s.Store.RevokeToken(ctx, id, s.Now())
	}
	for token := ""; c.Person != uuid.Nil; {
		page, err := s.Store.ListTokens(ctx, store.TokenFilter{Person: c.Person}, store.Page{Token: token})
		if err != nil {
			return nil, err
		}
		for _, t := range page.Tokens {
			if t.ID == id {
				return &pb.RevokeTokenResponse{}, s.Store.RevokeToken(ctx, id, s.Now())
			}
		}
		if token = page.Next; token == "" {
			break
		}
	}
	return nil, rpc.ErrDenied
}

func newIDs(n int) ([]uuid.UUID, error) {
	out := make([]uuid.UUID, n)
	for i := range out {
		id, err := uuid.NewV7()
		if err != nil {
			return nil, err
		}
		out[i] = id
	}
	return out, nil
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
