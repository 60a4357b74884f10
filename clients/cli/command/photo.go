package command

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type photoCmd struct {
	Add  photoAddCmd  `cmd:"" help:"Add photographs to a project. An upload that was cut off goes on where it stopped."`
	List photoListCmd `cmd:"" help:"List a project's photographs."`
	Get  photoGetCmd  `cmd:"" help:"Fetch a photograph into a file."`
}

type photoAddCmd struct {
	Files     []string `arg:"" placeholder:"FILE" help:"JPEG, PNG or WebP."`
	Project   string   `required:"" help:"Project id, or the church's file."`
	Of        string   `required:"" help:"What they belong to: 'line W1', 'panel P1', 'measurement m3', 'item C7'."`
	Caption   string   `help:"What is to be seen."`
	Direction *float64 `help:"Toward which the camera looked, degrees from north clockwise, where the camera does not say."`
}

// photoPiece is the size of one piece of an upload, and maxPhoto the largest file
// read.
const (
	photoPiece = 512 << 10
	maxPhoto   = 32 << 20
)

// Run uploads each file piece by piece.
func (cmd *photoAddCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	all := &pb.ListPhotosResponse{}
	for _, file := range cmd.Files {
		step := c.step("%s", filepath.Base(file))
		p, err := cmd.add(c, s, file)
		if err != nil {
			return step.failed(err)
		}
		step.done("%d × %d pixels, %s", p.GetWidthPx(), p.GetHeightPx(), p.GetOf())
		all.Photos = append(all.Photos, p)
	}
	if c.root.JSON {
		return printJSON(c.out, all)
	}
	photoTable(c, all.GetPhotos())
	return nil
}

func (cmd *photoAddCmd) add(c *call, s *session, file string) (*pb.Photo, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, maxPhoto+1))
	if err != nil {
		return nil, err
	}
	if len(raw) == 0 || len(raw) > maxPhoto {
		return nil, fmt.Errorf("%s: a photograph of up to %d MB is wanted", file, maxPhoto>>20)
	}
	whole := sha256.Sum256(raw)
	// The same file of the same project and place is the same photograph, so that
	// a second run goes on with the first.
	project, err := uuid.Parse(cmd.Project)
	if err != nil {
		return nil, fmt.Errorf("--project: %w", err)
	}
	id := uuid.NewSHA1(project, append(whole[:], cmd.Of...)).String()
	var chunks []*pb.PhotoChunk
	for at := 0; at < len(raw); at += photoPiece {
		sum := sha256.Sum256(raw[at:min(at+photoPiece, len(raw))])
		chunks = append(chunks, &pb.PhotoChunk{Offset: int64(at), Sha256: hex.EncodeToString(sum[:])})
	}
	finish := &pb.FinishPhotoRequest{ProjectId: cmd.Project, PhotoId: id, Chunks: chunks, Sha256: hex.EncodeToString(whole[:]), Of: cmd.Of, Caption: cmd.Caption, DirectionDeg: cmd.Direction}
	if info, err := f.Stat(); err == nil {
		finish.Taken = timestamppb.New(info.ModTime().UTC().Truncate(time.Second))
	}
	const tries = 3 // another upload of the same bytes may end in between
	for try := 1; ; try++ {
		start, err := s.Survey.StartPhoto(c.ctx, &pb.StartPhotoRequest{ProjectId: cmd.Project, PhotoId: id, Chunks: chunks})
		if err != nil {
			return nil, err
		}
		if start.GetPhoto() != nil {
			return start.GetPhoto(), nil
		}
		missing := map[int64]bool{}
		for _, at := range start.GetMissingOffsets() {
			missing[at] = true
		}
		for _, ch := range chunks {
			if !missing[ch.GetOffset()] {
				continue
			}
			at := int(ch.GetOffset())
			if _, err := s.Survey.PutPhotoChunk(c.ctx, &pb.PutPhotoChunkRequest{ProjectId: cmd.Project, PhotoId: id, Chunk: ch, Data: raw[at:min(at+photoPiece, len(raw))]}); err != nil {
				return nil, err
			}
		}
		res, err := s.Survey.FinishPhoto(c.ctx, finish)
		if status.Code(err) == codes.FailedPrecondition && try < tries {
			continue
		}
		return res.GetPhoto(), err
	}
}

type photoListCmd struct {
	Project string `required:"" help:"Project id, or the church's file."`
	Of      string `help:"Only those of this: 'line W1'."`
}

// Run lists photographs, oldest first.
func (cmd *photoListCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	all := &pb.ListPhotosResponse{}
	if all.Photos, err = c.photos(s, cmd.Project, cmd.Of); err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, all)
	}
	photoTable(c, all.GetPhotos())
	return nil
}

func (c *call) photos(s *session, project, of string) ([]*pb.Photo, error) {
	var all []*pb.Photo
	for token := ""; ; {
		page, err := s.Survey.ListPhotos(c.ctx, &pb.ListPhotosRequest{ProjectId: project, Of: of, PageToken: token})
		if err != nil {
			return nil, err
		}
		all = append(all, page.GetPhotos()...)
		if token = page.GetNextPageToken(); token == "" {
			return all, nil
		}
	}
}

func photoTable(c *call, photos []*pb.Photo) {
	var rows [][]string
	for _, p := range photos {
		taken, toward := "", ""
		if p.GetTaken() != nil {
			taken = p.GetTaken().AsTime().Format("2006-01-02 15:04")
		}
		if p.GetBearing() {
			toward = fmt.Sprintf("%.0f°", p.GetDirectionDeg())
		}
		rows = append(rows, []string{p.GetId(), p.GetOf(), p.GetCaption(), taken, toward, p.GetBy(), fmt.Sprintf("%d × %d", p.GetWidthPx(), p.GetHeightPx())})
	}
	table(c.out, []string{"id", "of", "caption", "taken (UTC)", "toward", "by", "pixels"}, rows)
}

type photoGetCmd struct {
	Photo   string `arg:"" help:"Id of the photograph."`
	Project string `required:"" help:"Project id, or the church's file."`
	Small   bool   `help:"The small copy."`
	Out     string `required:"" placeholder:"FILE" help:"File to write; - is standard output."`
}

// Run writes a photograph into a file.
func (cmd *photoGetCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	stream, err := s.Survey.GetPhoto(c.ctx, &pb.GetPhotoRequest{ProjectId: cmd.Project, PhotoId: cmd.Photo, Small: cmd.Small})
	if err != nil {
		return err
	}
	var raw []byte
	for {
		m, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			break
		}
		if code := status.Code(err); code == codes.NotFound || code == codes.InvalidArgument {
			return cmd.noPhoto(c, s)
		}
		if err != nil {
			return err
		}
		raw = append(raw, m.GetData()...)
	}
	if cmd.Out == "-" {
		_, err = c.out.Write(raw)
		return err
	}
	return os.WriteFile(cmd.Out, raw, 0o644)
}

// noPhoto says which photographs there are in place of the one asked for.
func (cmd *photoGetCmd) noPhoto(c *call, s *session) error {
	f := &failure{status: exitFailed, message: fmt.Sprintf("photograph %s is not found in this project", cmd.Photo)}
	all, err := c.photos(s, cmd.Project, "")
	if err != nil {
		return f
	}
	var names []string
	for _, p := range all {
		names = append(names, p.GetId()+" of "+p.GetOf())
	}
	return f.trying("The photographs: %s", listed(names))
}
