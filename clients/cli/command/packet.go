package command

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// issueAndWrite issues a packet and writes its parts into dir. A packet that a
// stop keeps from being issued for construction is issued for pricing when
// fall is set.
func (c *call) issueAndWrite(s *session, project, scheme string, want pb.PacketStatus, fall bool, dir string) (*pb.Packet, []string, error) {
	got, err := s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: project})
	if err != nil {
		return nil, nil, err
	}
	p, err := c.issue(s, project, scheme, want)
	if fall && status.Code(err) == codes.FailedPrecondition && want == pb.PacketStatus_PACKET_STATUS_FOR_CONSTRUCTION {
		fmt.Fprintf(c.err, "\nNot issued for construction: %s\n", status.Convert(err).Message())
		p, err = c.issue(s, project, scheme, pb.PacketStatus_PACKET_STATUS_FOR_PRICING)
	}
	if err != nil {
		return nil, nil, err
	}
	files, err := c.writeParts(s, project, got, p, dir)
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
func (c *call) writeParts(s *session, project string, church *pb.GetProjectResponse, p *pb.Packet, dir string) ([]string, error) {
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
	name := church.GetProject().GetSettings().GetName() + ", " + church.GetProject().GetSettings().GetTown()
	return replaceParts(dir, project, strings.TrimSuffix(name, ", "), content)
}

// manifest is the file that lists what an earlier packet of ours left in a
// folder: whose it is on the first line, then a name and the SHA-256 of the
// content on each line.
const manifest = ".roodbeam-packet"

// replaceParts brings a folder to the parts of a packet: everything is written
// beside it first and then moved into place, and what an earlier packet left and
// this one lacks is removed. A file that we did not write, or that somebody
// changed since, is never removed; where a new part has to take its name, it is
// kept beside it with the suffix ".yours".
func replaceParts(dir, project, church string, content map[string][]byte) ([]string, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	ours, err := readManifest(dir)
	if err != nil {
		return nil, err
	}
	tmp, err := os.MkdirTemp(dir, ".roodbeam-new-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(tmp)
	names := slices.Sorted(maps.Keys(content))
	// The list names old and new files while they change places, so that what a
	// broken run leaves is still known as ours.
	var now, both strings.Builder
	now.WriteString(strings.Join(strings.Fields("# "+project+" "+church), " ") + "\n")
	for _, name := range names {
		if err := os.WriteFile(filepath.Join(tmp, name), content[name], 0o644); err != nil {
			return nil, err
		}
		fmt.Fprintf(&now, "%x  %s\n", sha256.Sum256(content[name]), name)
	}
	both.WriteString(now.String())
	for _, name := range slices.Sorted(maps.Keys(ours)) {
		for _, sum := range ours[name] {
			fmt.Fprintf(&both, "%s  %s\n", sum, name)
		}
	}
	if err := writeFile(filepath.Join(dir, manifest), []byte(both.String())); err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(ours)) {
		path := filepath.Join(dir, name)
		if content[name] == nil && ours.wrote(path, name) {
			if err := os.Remove(path); err != nil {
				return nil, err
			}
		}
	}
	var files []string
	for _, name := range names {
		path := filepath.Join(dir, name)
		if there, err := os.ReadFile(path); err == nil && !ours.wrote(path, name) && !bytes.Equal(there, content[name]) {
			if err := keepYours(path); err != nil {
				return nil, err
			}
		}
		if err := os.Rename(filepath.Join(tmp, name), path); err != nil {
			return nil, err
		}
		files = append(files, path)
	}
	return files, writeFile(filepath.Join(dir, manifest), []byte(now.String()))
}

// keepYours moves a file out of the way under a name that is free.
func keepYours(path string) error {
	for n := 1; n < 1000; n++ {
		to := path + ".yours"
		if n > 1 {
			to = fmt.Sprintf("%s.yours-%d", path, n)
		}
		if _, err := os.Lstat(to); errors.Is(err, fs.ErrNotExist) {
			return os.Rename(path, to)
		}
	}
	return fmt.Errorf("%s is not ours, and too many copies of it stand beside it", path)
}

// packetOf returns whose packet a folder holds; empty where it holds none or does
// not say.
func packetOf(dir string) (project, church string) {
	raw, err := os.ReadFile(filepath.Join(dir, manifest))
	if err != nil {
		return "", ""
	}
	line, _, _ := strings.Cut(string(raw), "\n")
	rest, ok := strings.CutPrefix(line, "# ")
	if !ok {
		return "", ""
	}
	project, church, _ = strings.Cut(rest, " ")
	return project, church
}

// written are the files of earlier packets with the content they may have.
type written map[string][]string

// wrote tells whether the file is as we left it.
func (w written) wrote(path, name string) bool {
	raw, err := os.ReadFile(path)
	return err == nil && slices.Contains(w[name], fmt.Sprintf("%x", sha256.Sum256(raw)))
}

func readManifest(dir string) (written, error) {
	raw, err := os.ReadFile(filepath.Join(dir, manifest))
	if errors.Is(err, fs.ErrNotExist) {
		return written{}, nil
	}
	if err != nil {
		return nil, err
	}
	out := written{}
	for line := range strings.Lines(string(raw)) {
		sum, name, ok := strings.Cut(strings.TrimRight(line, "\n"), "  ")
		// A list that somebody edited leads nowhere else.
		if ok && name == filepath.Base(name) && name != ".." && !slices.Contains(out[name], sum) {
			out[name] = append(out[name], sum)
		}
	}
	return out, nil
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
