// Package packet serves PacketService: it freezes what was derived into
// numbered issues and hands out their parts.
package packet

import (
	"context"
	"fmt"
	"strings"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/plan"
	"roodbeam/server/auth"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// Store is what this service needs of the store.
type Store interface {
	PutBlob(ctx context.Context, b []byte, mediaType string) (store.Hash, error)
	GetBlob(ctx context.Context, h store.Hash) (store.Blob, error)
}

// Server implements PacketService.
type Server struct {
	pb.UnimplementedPacketServiceServer
	Store   Store
	Planner *planner.Planner
	Journal journal.Writer
	Now     func() time.Time
}

// IssuePacket makes every part, keeps it and gives it a number. The same packet
// id sent twice returns the issue made the first time.
func (s *Server) IssuePacket(ctx context.Context, req *pb.IssuePacketRequest) (*pb.IssuePacketResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if p := find(proj, req.GetPacketId()); p != nil {
		return &pb.IssuePacketResponse{Revision: int64(proj.Revision), Packet: p}, nil
	}
	if want := store.Revision(req.GetExpectedRevision()); want != proj.Revision {
		return nil, &store.RevisionMismatch{Project: proj.ID, Expected: want, Actual: proj.Revision}
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	stops := s.Planner.OpenStops(proj, run)
	building := req.GetStatus() == pb.PacketStatus_PACKET_STATUS_FOR_CONSTRUCTION || req.GetStatus() == pb.PacketStatus_PACKET_STATUS_AS_BUILT
	if building && len(stops) > 0 {
		var keys []string
		for _, f := range stops {
			keys = append(keys, s.Planner.Book.Render(f, run.Display).Title)
		}
		return nil, &rpc.Precondition{Type: "OPEN_STOPS", Subject: req.GetProjectId(),
			Description: fmt.Sprintf("%d stops are open; each must be mended, or signed off by the trade it belongs to, before a packet is issued for construction: %s", len(stops), strings.Join(keys, "; ")),
			Metadata:    map[string]string{"open_stops": fmt.Sprint(len(stops))}}
	}
	issued := s.Now().UTC()
	number := int32(len(proj.Packets) + 1)
	leave, err := s.Planner.Enter(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	caller, _ := auth.CallerFrom(ctx)
	parts, err := makeParts(issue{run: run, number: number, status: req.GetStatus(), date: issued, planner: s.Planner, project: proj, issuer: caller.Actor()})
	if err != nil {
		return nil, err
	}
	p := &pb.Packet{PacketId: req.GetPacketId(), Number: number, Status: req.GetStatus(), Scheme: run.Documents.Scheme.Name,
		Revision: int64(proj.Revision), InputHash: run.InputHash, EngineVersion: plan.Version, Issued: timestamppb.New(issued),
		IssuedBy: caller.Name, IssuedByPersonId: caller.Actor(), Note: req.GetNote(), OpenStops: int32(len(stops))}
	for _, part := range parts {
		hash, err := s.Store.PutBlob(ctx, part.data, part.media)
		if err != nil {
			return nil, err
		}
		p.Parts = append(p.Parts, &pb.PacketPart{Name: part.name, Title: part.title, MediaType: part.media, SizeBytes: int64(len(part.data)), Sha256: hash.String()})
	}
	rev, err := s.write(ctx, proj, req, p, run, building)
	if err != nil {
		return nil, err
	}
	return &pb.IssuePacketResponse{Revision: rev, Packet: p}, nil
}

// write appends the issue and, for construction, the pins of what gets glued on.
func (s *Server) write(ctx context.Context, proj *document.Project, req *pb.IssuePacketRequest, p *pb.Packet, run *planner.Run, building bool) (int64, error) {
	effect, err := document.Packet.Put(p.GetPacketId(), p)
	if err != nil {
		return 0, err
	}
	effects := []store.Effect{effect}
	if building {
		pins, err := pinEffects(run)
		if err != nil {
			return 0, err
		}
		effects = append(effects, pins...)
	}
	return s.Journal.Write(ctx, proj.ID, req.GetExpectedRevision(), journal.Entry{ID: req.GetPacketId(), Kind: journal.PacketIssued, Said: p, Effects: effects})
}

func find(proj *document.Project, id string) *pb.Packet {
	for _, p := range proj.Packets {
		if strings.EqualFold(p.GetPacketId(), id) {
			return p
		}
	}
	return nil
}

// GetPacket returns one issue.
func (s *Server) GetPacket(ctx context.Context, req *pb.GetPacketRequest) (*pb.GetPacketResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	p := find(proj, req.GetPacketId())
	if p == nil {
		return nil, &store.NotFound{What: "packet", ID: req.GetPacketId()}
	}
	return &pb.GetPacketResponse{Packet: p}, nil
}

// ListPackets returns the issues, newest first.
func (s *Server) ListPackets(ctx context.Context, req *pb.ListPacketsRequest) (*pb.ListPacketsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	newest := make([]*pb.Packet, 0, len(proj.Packets))
	for i := len(proj.Packets) - 1; i >= 0; i-- {
		newest = append(newest, proj.Packets[i])
	}
	return pageOf(newest, req.GetPageSize(), req.GetPageToken())
}

// chunk is the size of one message of a part: well under any message limit.
const chunk = 256 << 10

// DownloadPart streams one part of an issue.
func (s *Server) DownloadPart(req *pb.DownloadPartRequest, stream grpc.ServerStreamingServer[pb.PartChunk]) error {
	ctx := stream.Context()
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return err
	}
	p := find(proj, req.GetPacketId())
	if p == nil {
		return &store.NotFound{What: "packet", ID: req.GetPacketId()}
	}
	for _, part := range p.GetParts() {
		if part.GetName() != req.GetPart() {
			continue
		}
		hash, err := store.ParseHash(part.GetSha256())
		if err != nil {
			return err
		}
		blob, err := s.Store.GetBlob(ctx, hash)
		if err != nil {
			return err
		}
		return send(stream, part, blob.Bytes)
	}
	return &store.NotFound{What: "part", ID: req.GetPart()}
}

// PreviewPart makes one part of the project as it stands, without issuing it.
func (s *Server) PreviewPart(req *pb.PreviewPartRequest, stream grpc.ServerStreamingServer[pb.PartChunk]) error {
	proj, err := s.Planner.Load(stream.Context(), req.GetProjectId())
	if err != nil {
		return err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return err
	}
	leave, err := s.Planner.Enter(stream.Context())
	if err != nil {
		return err
	}
	defer leave()
	caller, _ := auth.CallerFrom(stream.Context())
	p, ok, err := makePart(issue{run: run, status: pb.PacketStatus_PACKET_STATUS_FOR_PRICING, date: s.Now().UTC(), planner: s.Planner, project: proj, issuer: caller.Actor()}, req.GetPart())
	if err != nil {
		return err
	}
	if !ok {
		return &store.NotFound{What: "part", ID: req.GetPart()}
	}
	leave() // whoever reads slowly keeps nobody else waiting
	return send(stream, &pb.PacketPart{Name: p.name, Title: p.title, MediaType: p.media, SizeBytes: int64(len(p.data)), Sha256: store.HashOf(p.data).String()}, p.data)
}

func send(stream grpc.ServerStreamingServer[pb.PartChunk], part *pb.PacketPart, data []byte) error {
	first := &pb.PartChunk{Part: part, Data: data[:min(chunk, len(data))]}
	if err := stream.Send(first); err != nil {
		return err
	}
	for at := chunk; at < len(data); at += chunk {
		if err := stream.Send(&pb.PartChunk{Data: data[at:min(at+chunk, len(data))]}); err != nil {
			return err
		}
	}
	return nil
}
