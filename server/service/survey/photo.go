package survey

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/photo"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// Blobs is what photographs need of the store.
type Blobs interface {
	PutBlob(ctx context.Context, b []byte, mediaType string) (store.Hash, error)
	GetBlob(ctx context.Context, h store.Hash) (store.Blob, error)
	HasBlob(ctx context.Context, h store.Hash) (bool, error)
	store.Pieces
}

// maxPhotos bounds what one project keeps.
const maxPhotos = 2000

// decoding bounds how many photographs are decoded at once: each may take a few
// hundred megabytes.
var decoding = make(chan struct{}, 2)

// What photographs that are not finished may take: of a project, and of one
// token wherever it sends to. A phone sends a few at a time, in pieces of half a
// megabyte.
const (
	leastPiece        = 16 << 10
	projectUnfinished = 512 << 20
	tokenUnfinished   = 128 << 20
)

// pieceKey names a piece of a photograph. Project and photograph are part of it:
// otherwise whoever knows the hash of bytes that belong to someone else could
// have them put together into a photograph of theirs.
func pieceKey(project, photoID string, c *pb.PhotoChunk) (store.PieceKey, error) {
	h, err := store.ParseHash(c.GetSha256())
	return store.PieceKey{Project: uuid.MustParse(project), Upload: uuid.MustParse(photoID), Offset: c.GetOffset(), Hash: h}, err
}

// StartPhoto says which pieces are missing.
func (s *Server) StartPhoto(ctx context.Context, req *pb.StartPhotoRequest) (*pb.StartPhotoResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if p := photoOf(proj, req.GetPhotoId()); p != nil {
		return &pb.StartPhotoResponse{Photo: p}, nil
	}
	out := &pb.StartPhotoResponse{}
	for _, c := range req.GetChunks() {
		there, err := s.hasPiece(ctx, req.GetProjectId(), req.GetPhotoId(), c)
		if err != nil {
			return nil, err
		}
		if !there {
			out.MissingOffsets = append(out.MissingOffsets, c.GetOffset())
		}
	}
	return out, nil
}

func (s *Server) hasPiece(ctx context.Context, project, photoID string, c *pb.PhotoChunk) (bool, error) {
	k, err := pieceKey(project, photoID, c)
	if err != nil {
		return false, err
	}
	return s.Blobs.HasPiece(ctx, k)
}

// PutPhotoChunk keeps one piece.
func (s *Server) PutPhotoChunk(ctx context.Context, req *pb.PutPhotoChunkRequest) (*pb.PutPhotoChunkResponse, error) {
	c := req.GetChunk()
	sum := sha256.Sum256(req.GetData())
	if got := hex.EncodeToString(sum[:]); got != c.GetSha256() {
		return nil, invalid("chunk.sha256", c.GetSha256(), "the bytes arrived with hash "+got+": send the piece again")
	}
	if c.GetOffset()+int64(len(req.GetData())) > photo.MaxBytes {
		return nil, invalid("chunk.offset", fmt.Sprint(c.GetOffset()), fmt.Sprintf("a photograph has at most %d MB", photo.MaxBytes>>20))
	}
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if photoOf(proj, req.GetPhotoId()) != nil {
		return &pb.PutPhotoChunkResponse{}, nil // it is finished
	}
	k, err := pieceKey(req.GetProjectId(), req.GetPhotoId(), c)
	if err != nil {
		return nil, err
	}
	caller, ok := auth.CallerFrom(ctx)
	if !ok {
		return nil, auth.ErrNoCaller
	}
	return &pb.PutPhotoChunkResponse{}, s.Blobs.PutPiece(ctx, store.Piece{PieceKey: k, Sender: caller.Token.String(), Created: s.Now(), Bytes: req.GetData()},
		store.Quota{Project: projectUnfinished, Sender: tokenUnfinished, Least: leastPiece})
}

// FinishPhoto puts a photograph together and keeps it.
func (s *Server) FinishPhoto(ctx context.Context, req *pb.FinishPhotoRequest) (*pb.FinishPhotoResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if p := photoOf(proj, req.GetPhotoId()); p != nil {
		return &pb.FinishPhotoResponse{Revision: int64(proj.Revision), Photo: p}, nil
	}
	if vs := convert.References(req, proj.File); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	of, _ := convert.Thing(req.GetOf(), convert.Things(proj.File)) // checked above
	if len(proj.File.GetSurvey().GetPhotos()) >= maxPhotos {
		return nil, &rpc.Precondition{Type: "TOO_MANY_PHOTOS", Subject: req.GetProjectId(),
			Description: fmt.Sprintf("the project holds %d photographs, the most it may; take some out first", maxPhotos)}
	}
	raw, err := s.together(ctx, req)
	if err != nil {
		return nil, err
	}
	pic, err := prepare(ctx, raw, zoneOf(proj))
	if err != nil {
		return nil, err
	}
	p := &pb.Photo{Id: strings.ToLower(req.GetPhotoId()), Of: of, Caption: req.GetCaption(), By: req.GetBy(),
		MediaType: pic.MediaType, WidthPx: int32(pic.Width), HeightPx: int32(pic.Height), Bytes: int32(len(pic.Bytes)), Taken: req.GetTaken()}
	if p.By == "" {
		if caller, ok := auth.CallerFrom(ctx); ok {
			p.By = caller.Name
		}
	}
	if !pic.Info.Taken.IsZero() {
		p.Taken = timestamppb.New(pic.Info.Taken)
	}
	switch {
	case pic.Info.Bearing:
		p.Bearing, p.DirectionDeg = true, pic.Info.DirectionDeg
	case req.DirectionDeg != nil:
		p.Bearing, p.DirectionDeg = true, req.GetDirectionDeg()
	}
	whole, err := s.Blobs.PutBlob(ctx, pic.Bytes, pic.MediaType)
	if err != nil {
		return nil, err
	}
	small, err := s.Blobs.PutBlob(ctx, pic.Thumb, photo.ThumbType)
	if err != nil {
		return nil, err
	}
	p.Hash, p.Thumb = whole.String(), small.String()
	effect, err := document.Photo.Put(p.GetId(), p)
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, -1, journal.Entry{ID: req.GetPhotoId(), Kind: journal.PhotoAdded, Said: p, Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	// The pieces tell where the photograph was taken: they go. What cannot be
	// dropped now goes with the abandoned ones.
	_ = s.Blobs.DropPieces(context.WithoutCancel(ctx), proj.ID, uuid.MustParse(req.GetPhotoId()))
	return &pb.FinishPhotoResponse{Revision: rev, Photo: p}, nil
}

// together reads the pieces of a photograph in the order of the file.
func (s *Server) together(ctx context.Context, req *pb.FinishPhotoRequest) ([]byte, error) {
	chunks := slices.Clone(req.GetChunks())
	sort.SliceStable(chunks, func(i, k int) bool { return chunks[i].GetOffset() < chunks[k].GetOffset() })
	var raw []byte
	var missing []string
	for _, c := range chunks {
		ok, err := s.hasPiece(ctx, req.GetProjectId(), req.GetPhotoId(), c)
		if err != nil {
			return nil, err
		}
		if !ok {
			missing = append(missing, fmt.Sprint(c.GetOffset()))
			continue
		}
		if len(missing) > 0 {
			continue
		}
		if c.GetOffset() != int64(len(raw)) {
			return nil, invalid("chunks", fmt.Sprint(c.GetOffset()), fmt.Sprintf("the pieces do not join: the one before ends at %d", len(raw)))
		}
		k, err := pieceKey(req.GetProjectId(), req.GetPhotoId(), c)
		if err != nil {
			return nil, err
		}
		b, err := s.Blobs.GetPiece(ctx, k)
		if errors.Is(err, store.ErrNotFound) {
			missing = append(missing, fmt.Sprint(c.GetOffset()))
			continue
		}
		if err != nil {
			return nil, err
		}
		if len(raw)+len(b.Bytes) > photo.MaxBytes {
			return nil, invalid("chunks", "", fmt.Sprintf("a photograph has at most %d MB", photo.MaxBytes>>20))
		}
		raw = append(raw, b.Bytes...)
	}
	if len(missing) > 0 {
		return nil, &rpc.Precondition{Type: "PHOTO_PIECES_MISSING", Subject: req.GetPhotoId(),
			Description: "pieces are missing at offsets " + strings.Join(missing, ", ") + ": send them, then finish again",
			Metadata:    map[string]string{"missing_offsets": strings.Join(missing, ",")}}
	}
	sum := sha256.Sum256(raw)
	if got := hex.EncodeToString(sum[:]); got != req.GetSha256() {
		return nil, invalid("sha256", req.GetSha256(), "the pieces together have hash "+got)
	}
	return raw, nil
}

// prepare decodes few photographs at a time.
func prepare(ctx context.Context, raw []byte, zone *time.Location) (photo.Picture, error) {
	select {
	case decoding <- struct{}{}:
		defer func() { <-decoding }()
	case <-ctx.Done():
		return photo.Picture{}, ctx.Err()
	}
	pic, err := photo.Prepare(raw, zone)
	var refused *photo.Refused
	if errors.As(err, &refused) {
		return pic, invalid("chunks", "", refused.Reason+". "+refused.Advice)
	}
	return pic, err
}

// ListPhotos lists photographs, oldest first.
func (s *Server) ListPhotos(ctx context.Context, req *pb.ListPhotosRequest) (*pb.ListPhotosResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	size := int(req.GetPageSize())
	if size == 0 {
		size = 100
	}
	of := req.GetOf()
	if t, ok := convert.Thing(of, convert.Things(proj.File)); ok {
		of = t
	}
	var all []*pb.Photo
	for _, p := range proj.File.GetSurvey().GetPhotos() {
		if of == "" || strings.EqualFold(p.GetOf(), of) {
			all = append(all, p)
		}
	}
	sort.SliceStable(all, func(i, k int) bool {
		a, b := all[i], all[k]
		if s, t := a.GetTaken().AsTime(), b.GetTaken().AsTime(); !s.Equal(t) {
			return s.Before(t)
		}
		return a.GetId() < b.GetId()
	})
	from := 0
	if token := req.GetPageToken(); token != "" {
		if from, err = strconv.Atoi(token); err != nil || from < 0 || from > len(all) {
			return nil, invalid("page_token", token, "is not a token of this list")
		}
	}
	to := min(from+size, len(all))
	out := &pb.ListPhotosResponse{Photos: all[from:to]}
	if to < len(all) {
		out.NextPageToken = strconv.Itoa(to)
	}
	return out, nil
}

// photoPiece is the size of one message of a photograph.
const photoPiece = 256 << 10

// GetPhoto sends a photograph or its small copy.
func (s *Server) GetPhoto(req *pb.GetPhotoRequest, stream grpc.ServerStreamingServer[pb.GetPhotoResponse]) error {
	proj, err := s.Planner.Load(stream.Context(), req.GetProjectId())
	if err != nil {
		return err
	}
	p := photoOf(proj, req.GetPhotoId())
	if p == nil {
		return &store.NotFound{What: "photo", ID: req.GetPhotoId()}
	}
	name := p.GetHash()
	if req.GetSmall() {
		name = p.GetThumb()
	}
	h, err := store.ParseHash(name)
	if err != nil {
		return err
	}
	b, err := s.Blobs.GetBlob(stream.Context(), h)
	if err != nil {
		return err
	}
	first := &pb.GetPhotoResponse{Photo: p, Data: b.Bytes[:min(photoPiece, len(b.Bytes))]}
	if err := stream.Send(first); err != nil {
		return err
	}
	for at := photoPiece; at < len(b.Bytes); at += photoPiece {
		if err := stream.Send(&pb.GetPhotoResponse{Data: b.Bytes[at:min(at+photoPiece, len(b.Bytes))]}); err != nil {
			return err
		}
	}
	return nil
}

// RemovePhoto takes a photograph out of the survey.
func (s *Server) RemovePhoto(ctx context.Context, req *pb.RemovePhotoRequest) (*pb.WriteResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, -1, journal.Entry{ID: req.GetEntryId(), Kind: journal.PhotoRemoved, Said: req,
		Effects: []store.Effect{document.Photo.Delete(req.GetPhotoId())}})
	return &pb.WriteResponse{Revision: rev}, err
}

func photoOf(proj *document.Project, id string) *pb.Photo {
	for _, p := range proj.File.GetSurvey().GetPhotos() {
		if strings.EqualFold(p.GetId(), id) {
			return p
		}
	}
	return nil
}

// zoneOf is the church's own time zone, in which cameras without zone tell time.
func zoneOf(proj *document.Project) *time.Location {
	if loc, err := time.LoadLocation(proj.File.GetProject().GetTimeZone()); err == nil {
		return loc
	}
	return time.UTC
}

func invalid(field, given, reason string) error {
	return &rpc.InvalidFields{Violations: []convert.Violation{{Field: field, Given: given, Reason: reason}}}
}
