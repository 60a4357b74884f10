package app_test

import (
	"encoding/binary"
	"io"
	"net"
	"testing"
	"time"

	"github.com/google/uuid"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/app"
	"roodbeam/server/store"
	"roodbeam/server/store/sqlite"
)

// TestRates: a token, and an address without one, are told to slow down and let
// on again when they did.
func TestRates(t *testing.T) {
	h := start(t, app.Config{DataDir: t.TempDir(), TokenRate: 2, AddressRate: 1})
	who := func(p *person) error { _, err := p.access.WhoAmI(t.Context(), &pb.WhoAmIRequest{}); return err }
	nobody := h.as("")
	for _, c := range []struct {
		name  string
		p     *person
		burst int
		ok    codes.Code
	}{{"token", h.owner, 20, codes.OK}, {"nobody", nobody, 10, codes.Unauthenticated}} {
		for i := range c.burst {
			if err := who(c.p); status.Code(err) != c.ok {
				t.Fatalf("%s, call %d: %v, want %v", c.name, i, err, c.ok)
			}
		}
		err := who(c.p)
		wantError(t, c.name+" beyond its burst", err, codes.ResourceExhausted, "TOO_MANY")
		var wait time.Duration
		for _, d := range status.Convert(err).Details() {
			if r, ok := d.(*errdetails.RetryInfo); ok {
				wait = r.GetRetryDelay().AsDuration()
			}
		}
		if wait <= 0 || wait > time.Second {
			t.Errorf("%s: try again in %v", c.name, wait)
		}
		h.clock.move(wait)
		if err := who(c.p); status.Code(err) != c.ok {
			t.Errorf("%s after %v: %v", c.name, wait, err)
		}
	}
}

// TestStreamsPerConnection reads the setting the gRPC door greets with: a frame
// of type 4 whose pairs of 16 and 32 bits hold MAX_CONCURRENT_STREAMS as 3 (RFC
// 9113, 4.1 and 6.5).
func TestStreamsPerConnection(t *testing.T) {
	h := onSQLite(t)
	for name, addr := range map[string]string{"gRPC door": h.GRPCAddr, "HTTP door": h.HTTPAddr} {
		conn, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		if err := conn.SetDeadline(time.Now().Add(patience)); err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(conn, "PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n\x00\x00\x00\x04\x00\x00\x00\x00\x00"); err != nil {
			t.Fatal(err)
		}
		var head [9]byte
		if _, err := io.ReadFull(conn, head[:]); err != nil {
			t.Fatal(err)
		}
		body := make([]byte, int(head[0])<<16|int(head[1])<<8|int(head[2]))
		if _, err := io.ReadFull(conn, body); err != nil || head[3] != 4 {
			t.Fatalf("%s: first frame of type %d, %v, want settings", name, head[3], err)
		}
		streams := uint32(0)
		for ; len(body) >= 6; body = body[6:] {
			if binary.BigEndian.Uint16(body) == 3 {
				streams = binary.BigEndian.Uint32(body[2:])
			}
		}
		if streams == 0 || streams > 1000 {
			t.Errorf("%s: %d streams at once, want a bound", name, streams)
		}
	}
}

// TestAbandonedPieces: pieces of a photograph nobody finished go after a day, at
// the start and in the hourly round, and the photographs that are kept stay.
func TestAbandonedPieces(t *testing.T) {
	dir, tick := t.TempDir(), make(chan time.Time)
	h := start(t, app.Config{DataDir: dir, Tick: func(time.Duration) (<-chan time.Time, func()) { return tick, func() {} }})
	project := h.create(bare())
	raw := grainyPhoto(t, 5)
	ps, chunks := pieces(raw)
	put := func(id string, n int) {
		t.Helper()
		for _, x := range ps[:n] {
			if _, err := h.owner.survey.PutPhotoChunk(t.Context(), &pb.PutPhotoChunkRequest{ProjectId: project, PhotoId: id, Chunk: x.chunk, Data: x.data}); err != nil {
				t.Fatal(err)
			}
		}
	}
	missing := func(id string) int {
		t.Helper()
		got, err := h.owner.survey.StartPhoto(t.Context(), &pb.StartPhotoRequest{ProjectId: project, PhotoId: id, Chunks: chunks})
		if err != nil {
			t.Fatal(err)
		}
		return len(got.GetMissingOffsets())
	}
	kept, old, young := newID(), newID(), newID()
	put(kept, len(ps))
	if _, err := h.owner.survey.FinishPhoto(t.Context(), &pb.FinishPhotoRequest{ProjectId: project, PhotoId: kept, Chunks: chunks, Sha256: hexSum(raw), Of: "line B1"}); err != nil {
		t.Fatal(err)
	}
	put(old, 2)
	h.clock.move(time.Hour)
	put(young, 2)
	h.clock.move(23 * time.Hour)
	round := func() { tick <- time.Time{}; tick <- time.Time{} } // the second is taken when the first round is over
	round()
	if missing(old) != len(ps)-2 {
		t.Error("pieces went before they were a day old")
	}
	h.clock.move(time.Second)
	round()
	if got := missing(old); got != len(ps) {
		t.Errorf("%d of %d pieces are missing after a day", got, len(ps))
	}
	if got := missing(young); got != len(ps)-2 {
		t.Errorf("%d pieces of a younger one are missing", got)
	}
	// At the start, without a round.
	h.clock.move(time.Hour)
	h.restart()
	round()
	if got := missing(young); got != len(ps) {
		t.Errorf("%d of %d pieces are missing after the restart", got, len(ps))
	}
	if got, _, err := h.owner.photo(t, project, kept, false); err != nil || len(got) == 0 {
		t.Errorf("the photograph that was kept: %d bytes, %v", len(got), err)
	}
}

// TestUploadQuota: one token cannot fill the disk with pieces it never finishes.
func TestUploadQuota(t *testing.T) {
	dir := t.TempDir()
	h := start(t, app.Config{DataDir: dir})
	project := h.create(bare())
	me, err := h.owner.access.WhoAmI(t.Context(), &pb.WhoAmIRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if err := h.shut(); err != nil {
		t.Fatal(err)
	}
	// All but the last piece of the quota, as earlier calls would have left it.
	st, err := sqlite.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	big := make([]byte, 16<<20)
	for i := range 8 {
		part := big[:len(big)-(i/7)*(1<<20)] // the last one is a megabyte short
		if err := st.PutPiece(t.Context(), store.Piece{PieceKey: store.PieceKey{Project: uuid.MustParse(project), Upload: uuid.New(), Hash: store.HashOf(part)},
			Sender: me.GetTokenId(), Created: h.clock.now(), Bytes: part}, store.Quota{}); err != nil {
			t.Fatal(err)
		}
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	h.open()
	volunteer := h.invite(project, pb.Role_ROLE_VOLUNTEER)
	ps, _ := pieces(grainyPhoto(t, 6))
	send := func(p *person, x piece) error {
		_, err := p.survey.PutPhotoChunk(t.Context(), &pb.PutPhotoChunkRequest{ProjectId: project, PhotoId: newID(), Chunk: x.chunk, Data: x.data})
		return err
	}
	for i := range 2 { // half a megabyte each
		if err := send(h.owner, ps[0]); err != nil {
			t.Errorf("piece %d within the quota: %v", i, err)
		}
	}
	wantError(t, "beyond the quota", send(h.owner, ps[0]), codes.ResourceExhausted, "QUOTA")
	if err := send(volunteer, ps[0]); err != nil {
		t.Errorf("another token: %v", err)
	}
}
