package app_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"image"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/app"
	"roodbeam/server/store"
	"roodbeam/server/store/sqlite"
)

const photoPlace = "N 41.878113 W 87.629799"

// grainyPhoto is a JPEG of over a megabyte whose Exif block holds a place.
func grainyPhoto(t testing.TB, seed uint64) []byte {
	rng := rand.New(rand.NewPCG(seed, 2))
	img := image.NewRGBA(image.Rect(0, 0, 1600, 1200))
	for i := range img.Pix {
		img.Pix[i] = byte(rng.Uint32())
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	raw := b.Bytes()
	body := append([]byte("Exif\x00\x00II*\x00\x08\x00\x00\x00\x00\x00"), photoPlace...)
	out := append([]byte{}, raw[:2]...)
	out = append(out, 0xff, 0xe1, 0, byte(len(body)+2))
	return append(append(out, body...), raw[2:]...)
}

type piece struct {
	chunk *pb.PhotoChunk
	data  []byte
}

func hexSum(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}

func pieces(raw []byte) (out []piece, chunks []*pb.PhotoChunk) {
	const size = 512 << 10
	for at := 0; at < len(raw); at += size {
		d := raw[at:min(at+size, len(raw))]
		c := &pb.PhotoChunk{Offset: int64(at), Sha256: hexSum(d)}
		out, chunks = append(out, piece{c, d}), append(chunks, c)
	}
	return out, chunks
}

func (p *person) photo(t testing.TB, project, id string, small bool) ([]byte, *pb.Photo, error) {
	s, err := p.survey.GetPhoto(t.Context(), &pb.GetPhotoRequest{ProjectId: project, PhotoId: id, Small: small})
	if err != nil {
		return nil, nil, err
	}
	var out []byte
	var known *pb.Photo
	for {
		m, err := s.Recv()
		if errors.Is(err, io.EOF) {
			return out, known, nil
		}
		if err != nil {
			return nil, nil, err
		}
		if m.GetPhoto() != nil {
			known = m.GetPhoto()
		}
		out = append(out, m.GetData()...)
	}
}

// A photograph arrives in pieces, out of order, twice, across a restart, and is
// kept without its place.
func TestPhotoInPieces(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		project := h.create(demo(t, "a-frame"))
		volunteer := h.invite(project, pb.Role_ROLE_VOLUNTEER)
		raw := grainyPhoto(t, 1)
		ps, chunks := pieces(raw)
		if len(ps) < 3 {
			t.Fatalf("%d pieces", len(ps))
		}
		id := newID()
		put := func(p *person, project, id string, x piece) error {
			_, err := p.survey.PutPhotoChunk(t.Context(), &pb.PutPhotoChunkRequest{ProjectId: project, PhotoId: id, Chunk: x.chunk, Data: x.data})
			return err
		}
		missing := func(p *person, id string) []int64 {
			t.Helper()
			got, err := p.survey.StartPhoto(t.Context(), &pb.StartPhotoRequest{ProjectId: project, PhotoId: id, Chunks: chunks})
			if err != nil {
				t.Fatal(err)
			}
			return got.GetMissingOffsets()
		}
		finish := &pb.FinishPhotoRequest{ProjectId: project, PhotoId: id, Chunks: chunks, Sha256: hexSum(raw), Of: "level platform", Caption: "its bearing at the wall"}
		before := h.revision(project)
		last := len(ps) - 1
		for _, i := range []int{last, 0, 0} {
			if err := put(volunteer, project, id, ps[i]); err != nil {
				t.Fatal(err)
			}
		}
		wrong := piece{chunks[1], ps[0].data}
		err := put(volunteer, project, id, wrong)
		wantError(t, "bytes of another hash", err, codes.InvalidArgument, "INVALID_FIELDS")
		h.restart()
		volunteer = h.as(volunteer.token)
		if got := missing(volunteer, id); !slices.Equal(got, []int64{chunks[1].GetOffset()}) && len(ps) == 3 {
			t.Errorf("missing %v", got)
		}
		if got := missing(volunteer, newID()); len(got) != len(ps) {
			t.Errorf("another photograph's pieces count: missing %v", got)
		}
		_, err = volunteer.survey.FinishPhoto(t.Context(), finish)
		wantError(t, "finish too early", err, codes.FailedPrecondition, "PHOTO_PIECES_MISSING")
		for _, x := range ps[1:last] {
			if err := put(volunteer, project, id, x); err != nil {
				t.Fatal(err)
			}
		}
		if got := h.revision(project); got != before {
			t.Errorf("pieces moved the project from revision %d to %d", before, got)
		}
		done, err := volunteer.survey.FinishPhoto(t.Context(), finish)
		if err != nil {
			t.Fatal(err)
		}
		again, err := volunteer.survey.FinishPhoto(t.Context(), finish)
		if err != nil || again.GetPhoto().GetHash() != done.GetPhoto().GetHash() || again.GetRevision() != done.GetRevision() {
			t.Errorf("finished twice: %v, %v", again, err)
		}
		p := done.GetPhoto()
		if p.GetOf() != "level platform" || p.GetBy() == "" || p.GetWidthPx() != 1600 || p.GetMediaType() != "image/jpeg" {
			t.Errorf("photo %v", p)
		}
		whole, known, err := h.owner.photo(t, project, id, false)
		if err != nil || bytes.Contains(whole, []byte(photoPlace)) || bytes.Contains(whole, []byte("Exif")) || hexSum(whole) != p.GetHash() || known.GetCaption() != p.GetCaption() {
			t.Errorf("got %d bytes of %v, %v", len(whole), known, err)
		}
		small, _, err := h.owner.photo(t, project, id, true)
		if c, err2 := jpeg.DecodeConfig(bytes.NewReader(small)); err != nil || err2 != nil || c.Width != 320 {
			t.Errorf("small copy %v, %v, %v", c, err, err2)
		}
		list, err := h.owner.survey.ListPhotos(t.Context(), &pb.ListPhotosRequest{ProjectId: project, Of: "Level Platform"})
		if err != nil || len(list.GetPhotos()) != 1 {
			t.Errorf("list %v, %v", list, err)
		}
		// A newer file of the church leaves the photographs alone.
		if _, err := h.owner.project.PutDocuments(t.Context(), &pb.PutDocumentsRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: h.revision(project), File: demo(t, "a-frame")}); err != nil {
			t.Fatal(err)
		}
		if list, _ = h.owner.survey.ListPhotos(t.Context(), &pb.ListPhotosRequest{ProjectId: project}); len(list.GetPhotos()) != 1 {
			t.Error("the photographs went with a newer file")
		}
		if _, err := volunteer.survey.RemovePhoto(t.Context(), &pb.RemovePhotoRequest{ProjectId: project, EntryId: newID(), PhotoId: id, Reason: "shows a child"}); err != nil {
			t.Fatal(err)
		}
		_, _, err = h.owner.photo(t, project, id, false)
		wantError(t, "a photograph taken out", err, codes.NotFound, "NOT_FOUND")
	})
}

// The pieces, which still hold the place, are gone once the photograph is kept.
func TestPiecesAreForgotten(t *testing.T) {
	dir := t.TempDir()
	h := start(t, app.Config{DataDir: dir})
	project := h.create(demo(t, "a-frame"))
	raw := grainyPhoto(t, 2)
	ps, chunks := pieces(raw)
	id := newID()
	for _, x := range ps {
		if _, err := h.owner.survey.PutPhotoChunk(t.Context(), &pb.PutPhotoChunkRequest{ProjectId: project, PhotoId: id, Chunk: x.chunk, Data: x.data}); err != nil {
			t.Fatal(err)
		}
	}
	done, err := h.owner.survey.FinishPhoto(t.Context(), &pb.FinishPhotoRequest{ProjectId: project, PhotoId: id, Chunks: chunks, Sha256: hexSum(raw), Of: "item C7"})
	if err != nil {
		t.Fatal(err)
	}
	if err := h.shut(); err != nil {
		t.Fatal(err)
	}
	st, err := sqlite.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer st.Close()
	for _, x := range ps {
		k := store.PieceKey{Project: uuid.MustParse(project), Upload: uuid.MustParse(id), Offset: x.chunk.GetOffset(), Hash: store.HashOf(x.data)}
		if has, err := st.HasPiece(t.Context(), k); err != nil || has {
			t.Errorf("the piece at %d is still there (%v)", x.chunk.GetOffset(), err)
		}
		if has, err := st.HasBlob(t.Context(), store.HashOf(x.data)); err != nil || has {
			t.Errorf("the piece at %d is kept as a blob (%v)", x.chunk.GetOffset(), err)
		}
	}
	for _, name := range []string{done.GetPhoto().GetHash(), done.GetPhoto().GetThumb()} {
		hash, _ := store.ParseHash(name)
		if has, err := st.HasBlob(t.Context(), hash); err != nil || !has {
			t.Errorf("%s is not there (%v)", name, err)
		}
	}
}

func TestPhotosThatAreRefused(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "a-frame"))
	send := func(raw []byte) error {
		ps, chunks := pieces(raw)
		id := newID()
		for _, x := range ps {
			if _, err := h.owner.survey.PutPhotoChunk(t.Context(), &pb.PutPhotoChunkRequest{ProjectId: project, PhotoId: id, Chunk: x.chunk, Data: x.data}); err != nil {
				return err
			}
		}
		_, err := h.owner.survey.FinishPhoto(t.Context(), &pb.FinishPhotoRequest{ProjectId: project, PhotoId: id, Chunks: chunks, Sha256: hexSum(raw), Of: "level platform"})
		return err
	}
	for name, tc := range map[string]struct{ raw, want string }{
		"phone's own format": {"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00heic", "most compatible"},
		"a film":             {"\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00mp42", "films are not taken"},
		"a letter":           {"Dear all,", "Send JPEG, PNG or WebP"},
	} {
		err := send([]byte(tc.raw))
		wantError(t, name, err, codes.InvalidArgument, "INVALID_FIELDS")
		if got := fields(err)["chunks"]; !strings.Contains(got, tc.want) {
			t.Errorf("%s: %q", name, got)
		}
	}
	// Bytes of another project are no pieces of this one.
	other := h.create(bare())
	raw := grainyPhoto(t, 3)
	ps, chunks := pieces(raw)
	id := newID()
	for _, x := range ps {
		if _, err := h.owner.survey.PutPhotoChunk(t.Context(), &pb.PutPhotoChunkRequest{ProjectId: other, PhotoId: id, Chunk: x.chunk, Data: x.data}); err != nil {
			t.Fatal(err)
		}
	}
	_, err := h.owner.survey.FinishPhoto(t.Context(), &pb.FinishPhotoRequest{ProjectId: project, PhotoId: id, Chunks: chunks, Sha256: hexSum(raw), Of: "level platform"})
	wantError(t, "another project's pieces", err, codes.FailedPrecondition, "PHOTO_PIECES_MISSING")
	// What it shows must be there.
	for _, x := range ps {
		if _, err := h.owner.survey.PutPhotoChunk(t.Context(), &pb.PutPhotoChunkRequest{ProjectId: project, PhotoId: id, Chunk: x.chunk, Data: x.data}); err != nil {
			t.Fatal(err)
		}
	}
	_, err = h.owner.survey.FinishPhoto(t.Context(), &pb.FinishPhotoRequest{ProjectId: project, PhotoId: id, Chunks: chunks, Sha256: hexSum(raw), Of: "level platfrom"})
	wantError(t, "of nothing that is there", err, codes.InvalidArgument, "INVALID_FIELDS")
	if got := fields(err)["of"]; !strings.Contains(got, `did you mean "level platform"?`) {
		t.Errorf("of nothing that is there: %q", got)
	}
	viewer := h.invite(project, pb.Role_ROLE_VIEWER)
	_, err = viewer.survey.PutPhotoChunk(t.Context(), &pb.PutPhotoChunkRequest{ProjectId: project, PhotoId: id, Chunk: chunks[0], Data: ps[0].data})
	if err == nil {
		t.Error("a viewer may add photographs")
	}
}
