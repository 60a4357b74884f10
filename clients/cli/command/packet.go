package command

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// issueAndWrite issues a packet and writes its parts into dir. A packet that a
// stop keeps from being issued for construction is issued for pricing when
// fall is set.
func (c *call) issueAndWrite(s *session, project, scheme string, want pb.PacketStatus, fall bool, dir string) (*pb.Packet, []string, error) {
	p, err := c.issue(s, project, scheme, want)
	if fall && status.Code(err) == codes.FailedPrecondition && want == pb.PacketStatus_PACKET_STATUS_FOR_CONSTRUCTION {
		fmt.Fprintf(c.err, "\nNot issued for construction: %s\n", status.Convert(err).Message())
		p, err = c.issue(s, project, scheme, pb.PacketStatus_PACKET_STATUS_FOR_PRICING)
	}
	if err != nil {
		return nil, nil, err
	}
	files, err := c.writeParts(s, project, p, dir)
	return p, files, err
}

func (c *call) issue(s *session, project, scheme string, want pb.PacketStatus) (*pb.Packet, error) {
	got, err := s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: project})
	if err != nil {
		return nil, err
	}
	id, err := uuid.NewV7()
	if err != nil {
		return nil, err
	}
	resp, err := s.Packet.IssuePacket(c.ctx, &pb.IssuePacketRequest{
		ProjectId: project, PacketId: id.String(), ExpectedRevision: got.GetProject().GetRevision(), Scheme: scheme, Status: want})
	if err != nil {
		return nil, err
	}
	return resp.GetPacket(), nil
}

// writeParts downloads every part before it writes the first, so that a lost
// connection leaves no half packet.
func (c *call) writeParts(s *session, project string, p *pb.Packet, dir string) ([]string, error) {
	content := map[string][]byte{}
	for _, part := range p.GetParts() {
		// A name that could leave the folder is not one our server gives.
		if part.GetName() != filepath.Base(part.GetName()) || part.GetName() == ".." {
			return nil, fmt.Errorf("the server named a part %q, which is no file name", part.GetName())
		}
		raw, err := c.download(s, project, p.GetPacketId(), part.GetName())
		if err != nil {
			return nil, err
		}
		content[part.GetName()] = raw
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	var files []string
	for name, raw := range content {
		path := filepath.Join(dir, name)
		if err := writeFile(path, raw); err != nil {
			return nil, err
		}
		files = append(files, path)
	}
	sort.Strings(files)
	return files, nil
}

func (c *call) download(s *session, project, packet, part string) ([]byte, error) {
	stream, err := s.Packet.DownloadPart(c.ctx, &pb.DownloadPartRequest{ProjectId: project, PacketId: packet, Part: part})
	if err != nil {
		return nil, err
	}
	var raw []byte
	for {
		chunk, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return raw, nil
		}
		if err != nil {
			return nil, err
		}
		raw = append(raw, chunk.GetData()...)
	}
}

// writeFile puts a whole file in place or leaves the old one.
func writeFile(path string, raw []byte) error {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".roodbeam-*")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(raw)
	if err = errors.Join(err, tmp.Close()); err != nil {
		return err
	}
	if err := os.Chmod(tmp.Name(), 0o644); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}
