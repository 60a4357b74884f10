package command_test

import (
	"bytes"
	"encoding/json"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// noise is a picture that no encoder makes small, so that it goes up in pieces.
func noise(w, h int) image.Image {
	rnd := rand.New(rand.NewPCG(1, 2))
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = uint8(rnd.Uint32())
	}
	for y := range h {
		for x := range w {
			m.Pix[m.PixOffset(x, y)+3] = 255
		}
	}
	return m
}

// A photograph goes up in pieces once, is listed, and comes back decoded; what is no
// photograph is refused with advice.
func TestPhotographsOfAProject(t *testing.T) {
	s := newShell(t)
	s.must("plan", s.write("my-church.yaml", s.must("init", "--units", "metric")), "--out", filepath.Join(s.dir, "packet"))
	project := s.projects()[0][0]
	var b bytes.Buffer
	if err := jpeg.Encode(&b, noise(1200, 900), &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	if b.Len() < 2*512<<10 {
		t.Fatalf("%d bytes make no two pieces", b.Len())
	}
	file := s.write("beam.jpg", b.String())
	type listed struct {
		Photos []struct {
			ID           string `json:"id"`
			Of, Caption  string
			MediaType    string `json:"media_type"`
			WidthPx      int    `json:"width_px"`
			HeightPx     int    `json:"height_px"`
			Bearing      bool
			DirectionDeg float64 `json:"direction_deg"`
		}
	}
	add := func() listed {
		var l listed
		if err := json.Unmarshal([]byte(s.must("photo", "add", file, "--project", project, "--of", "line B1", "--caption", "from below", "--direction", "85", "--json")), &l); err != nil {
			t.Fatal(err)
		}
		return l
	}
	first, second := add(), add()
	if len(first.Photos) != 1 || len(second.Photos) != 1 || first.Photos[0].ID != second.Photos[0].ID {
		t.Fatalf("sent twice: %+v, %+v", first, second)
	}
	p := first.Photos[0]
	if p.Of != "line B1" || p.Caption != "from below" || p.MediaType != "image/jpeg" || p.WidthPx != 1200 || p.HeightPx != 900 || !p.Bearing || p.DirectionDeg != 85 {
		t.Errorf("%+v", p)
	}
	s.must("photo", "add", s.write("panel.png", encoded(t, func(b *bytes.Buffer) error { return png.Encode(b, noise(64, 48)) })), "--project", project, "--of", "panel P1")
	var all, some listed
	if err := json.Unmarshal([]byte(s.must("photo", "list", "--project", project, "--json")), &all); err != nil || len(all.Photos) != 2 {
		t.Errorf("%v: %+v", err, all)
	}
	if err := json.Unmarshal([]byte(s.must("photo", "list", "--project", project, "--of", "LINE b1", "--json")), &some); err != nil || len(some.Photos) != 1 {
		t.Errorf("%v: %+v", err, some)
	}
	if text := s.must("photo", "list", "--project", project); !strings.Contains(text, "1200 × 900") || !strings.Contains(text, "85°") {
		t.Errorf("%s", text)
	}
	for _, small := range []bool{false, true} {
		out := filepath.Join(s.dir, "back.jpg")
		args := []string{"photo", "get", p.ID, "--project", project, "--out", out}
		if small {
			args = append(args, "--small")
		}
		s.must(args...)
		raw, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		c, _, err := image.DecodeConfig(bytes.NewReader(raw))
		if err != nil || small == (c.Width == 1200) {
			t.Errorf("small %v: %d × %d, %v", small, c.Width, c.Height, err)
		}
		if err := os.Remove(out); err != nil {
			t.Fatal(err)
		}
	}
	gifs := encoded(t, func(b *bytes.Buffer) error {
		return gif.Encode(b, image.NewPaletted(image.Rect(0, 0, 8, 8), color.Palette{color.Black, color.White}), nil)
	})
	for name, content := range map[string]string{"a.gif": gifs, "words.jpg": "no picture at all", "cut.jpg": b.String()[:400]} {
		r := s.run("photo", "add", s.write(name, content), "--project", project, "--of", "line B1")
		if r.status != badFile || !strings.Contains(strings.ToLower(r.err), "jpeg") {
			t.Errorf("%s: status %d, %s", name, r.status, r.err)
		}
	}
	if r := s.run("photo", "add", filepath.Join(s.dir, "none.jpg"), "--project", project, "--of", "line B1"); r.status == done {
		t.Error("a file that is not there")
	}
}

func encoded(t *testing.T, write func(*bytes.Buffer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}
