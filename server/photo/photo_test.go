package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
	"time"
)

// gpsSecret is a byte pattern that stands in the metadata's location and must
// not be found in what is kept.
var gpsSecret = []byte{0xde, 0xad, 0xbe, 0xef, 0x47, 0x50, 0x53, 0x21}

// exifBlock is a little- or big-endian Exif block with orientation, time, zone,
// direction and a latitude.
func exifBlock(order binary.ByteOrder, orientation uint16, taken, zone string, direction uint32) []byte {
	b := []byte("II*\x00")
	if order == binary.BigEndian {
		b = []byte("MM\x00*")
	}
	u32 := func(v uint32) []byte { x := make([]byte, 4); order.PutUint32(x, v); return x }
	u16 := func(v uint16) []byte { x := make([]byte, 2); order.PutUint16(x, v); return x }
	field := func(tag, kind uint16, count uint32, value []byte) []byte {
		f := append(append(u16(tag), u16(kind)...), u32(count)...)
		return append(f, append(value, make([]byte, 4-len(value))...)...)
	}
	// Root at 8: three fields; Exif at 50: two; GPS at 80: three; data from 122.
	const exifAt, gpsAt, dataAt = 50, 80, 122
	data := append([]byte(taken+"\x00"), zone+"\x00"...)
	takenAt, zoneAt := uint32(dataAt), uint32(dataAt+len(taken)+1)
	directionAt := uint32(dataAt + len(data))
	data = append(append(data, u32(direction)...), u32(100)...)
	latitudeAt := uint32(dataAt + len(data))
	data = append(data, gpsSecret...)
	b = append(b, u32(8)...)
	b = append(b, u16(3)...)
	b = append(b, field(tagOrientation, 3, 1, u16(orientation))...)
	b = append(b, field(tagExif, 4, 1, u32(exifAt))...)
	b = append(b, field(tagGPS, 4, 1, u32(gpsAt))...)
	b = append(b, u32(0)...)
	b = append(b, u16(2)...)
	b = append(b, field(tagOriginal, 2, uint32(len(taken)+1), u32(takenAt))...)
	b = append(b, field(tagOriginalZone, 2, uint32(len(zone)+1), u32(zoneAt))...)
	b = append(b, u32(0)...)
	b = append(b, u16(3)...)
	b = append(b, field(2, 5, 1, u32(latitudeAt))...)
	b = append(b, field(tagDirectionRef, 2, 2, []byte("M\x00"))...)
	b = append(b, field(tagDirection, 5, 1, u32(directionAt))...)
	b = append(b, u32(0)...)
	return append(b, data...)
}

// scene is a picture with a red upper left corner, so that its turn can be seen.
func scene(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{40, 60, 200, 255}
			if x < w/4 && y < h/4 {
				c = color.RGBA{220, 20, 20, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func jpegOf(t testing.TB, img image.Image) []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func segment(marker byte, body []byte) []byte {
	n := len(body) + 2
	return append([]byte{0xff, marker, byte(n >> 8), byte(n)}, body...)
}

// phoneJPEG is a photograph as a phone writes it: Exif, XMP, a comment, maker
// data and a second picture behind the end.
func phoneJPEG(t testing.TB, img image.Image, exif []byte) []byte {
	raw := jpegOf(t, img)
	head := append([]byte{}, raw[:2]...)
	head = append(head, segment(0xe1, append([]byte(exifMark), exif...))...)
	head = append(head, segment(0xe1, append([]byte("http://ns.adobe.com/xap/1.0/\x00<exif:GPSLatitude>"), gpsSecret...))...)
	head = append(head, segment(0xe2, append([]byte("MPF\x00"), gpsSecret...))...)
	head = append(head, segment(0xfe, gpsSecret)...)
	return append(append(head, raw[2:]...), gpsSecret...)
}

func chunk(kind string, body []byte) []byte {
	out := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	out = append(append(out, kind...), body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[4:]))
}

func phonePNG(t testing.TB, img image.Image, exif []byte) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	raw := b.Bytes()
	const afterHead = 8 + 12 + 13
	out := append([]byte{}, raw[:afterHead]...)
	out = append(out, chunk("eXIf", exif)...)
	out = append(out, chunk("iTXt", append([]byte("Location\x00"), gpsSecret...))...)
	return append(out, raw[afterHead:]...)
}

// phoneWebP is a lossless picture of one colour, written bit by bit.
// Source: WebP lossless bitstream specification (from memory).
func phoneWebP(w, h int, exif []byte) []byte {
	var bits []bool
	put := func(v uint64, n int) {
		for i := range n {
			bits = append(bits, v>>i&1 == 1)
		}
	}
	put(uint64(w-1), 14)
	put(uint64(h-1), 14)
	put(0, 1)                                              // no alpha
	put(0, 3)                                              // version
	put(0, 1)                                              // no transform
	put(0, 1)                                              // no colour cache
	put(0, 1)                                              // one group of codes
	for _, symbol := range []uint64{90, 200, 30, 255, 0} { // green, red, blue, alpha, distance: one symbol each
		put(1, 1)
		put(0, 1)
		put(1, 1)
		put(symbol, 8)
	}
	body := []byte{0x2f}
	for i := 0; i < len(bits); i += 8 {
		var v byte
		for k := range 8 {
			if i+k < len(bits) && bits[i+k] {
				v |= 1 << k
			}
		}
		body = append(body, v)
	}
	part := func(kind string, b []byte) []byte {
		out := binary.LittleEndian.AppendUint32([]byte(kind), uint32(len(b)))
		out = append(out, b...)
		if len(b)%2 == 1 {
			out = append(out, 0)
		}
		return out
	}
	vp8x := []byte{webpExifFlag | webpXMPFlag, 0, 0, 0, byte(w - 1), byte((w - 1) >> 8), 0, byte(h - 1), byte((h - 1) >> 8), 0}
	all := append([]byte("WEBP"), part("VP8X", vp8x)...)
	all = append(all, part("VP8L", body)...)
	all = append(all, part("EXIF", exif)...)
	all = append(all, part("XMP ", gpsSecret)...)
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(all))), all...)
}

var chicago = time.FixedZone("CST", -6*3600)

func TestNoLocationIsKept(t *testing.T) {
	exif := exifBlock(binary.LittleEndian, 1, "2026:11:21 10:30:00", "", 12345)
	for name, raw := range map[string][]byte{"jpeg": phoneJPEG(t, scene(400, 300), exif), "png": phonePNG(t, scene(400, 300), exif), "webp": phoneWebP(400, 300, exif)} {
		if !bytes.Contains(raw, gpsSecret) {
			t.Fatalf("%s: the test's own file has no location", name)
		}
		p, err := Prepare(raw, chicago)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, b := range [][]byte{p.Bytes, p.Thumb} {
			if bytes.Contains(b, gpsSecret) || bytes.Contains(b, []byte("Exif")) || bytes.Contains(b, []byte("GPS")) {
				t.Errorf("%s: the location is still there", name)
			}
		}
		if want := time.Date(2026, 11, 21, 16, 30, 0, 0, time.UTC); !p.Info.Taken.Equal(want) {
			t.Errorf("%s: taken %v, want %v", name, p.Info.Taken, want)
		}
		if !p.Info.Bearing || p.Info.DirectionDeg != 123.45 || !p.Info.Magnetic {
			t.Errorf("%s: direction %+v", name, p.Info)
		}
		if p.Width != 400 || p.Height != 300 {
			t.Errorf("%s: %d × %d", name, p.Width, p.Height)
		}
		small, err := jpeg.DecodeConfig(bytes.NewReader(p.Thumb))
		if err != nil || small.Width != 320 || small.Height != 240 {
			t.Errorf("%s: small picture %v, %v", name, small, err)
		}
		// Kept pictures are still pictures, and clean ones stay as they are.
		again, err := Prepare(p.Bytes, chicago)
		if err != nil || !bytes.Equal(again.Bytes, p.Bytes) || !clean(p.Bytes) || clean(raw) {
			t.Errorf("%s: kept once more it changes (%v)", name, err)
		}
	}
}

// Whatever way the phone was held, the corner that was up left is up left.
func TestOrientationIsApplied(t *testing.T) {
	whole := scene(120, 80)
	// Where the stored picture's row 0 and column 0 are, undone by hand: the
	// stored picture of orientation o is the upright one turned back.
	store := map[int]func(x, y int) (int, int){ // stored (x, y) → upright (x, y) of 120 × 80
		1: func(x, y int) (int, int) { return x, y },
		2: func(x, y int) (int, int) { return 119 - x, y },
		3: func(x, y int) (int, int) { return 119 - x, 79 - y },
		4: func(x, y int) (int, int) { return x, 79 - y },
		5: func(x, y int) (int, int) { return y, x },
		6: func(x, y int) (int, int) { return 119 - y, x },
		7: func(x, y int) (int, int) { return 119 - y, 79 - x },
		8: func(x, y int) (int, int) { return y, 79 - x },
	}
	for o, from := range store {
		w, h := 120, 80
		if o >= 5 {
			w, h = 80, 120
		}
		stored := image.NewRGBA(image.Rect(0, 0, w, h))
		for y := range h {
			for x := range w {
				ux, uy := from(x, y)
				stored.Set(x, y, whole.At(ux, uy))
			}
		}
		for name, raw := range map[string][]byte{
			"jpeg": phoneJPEG(t, stored, exifBlock(binary.BigEndian, uint16(o), "2026:11:21 10:30:00", "+01:00", 0)),
			"png":  phonePNG(t, stored, exifBlock(binary.BigEndian, uint16(o), "2026:11:21 10:30:00", "+01:00", 0)),
		} {
			p, err := Prepare(raw, nil)
			if err != nil {
				t.Fatalf("%s %d: %v", name, o, err)
			}
			img, _, err := image.Decode(bytes.NewReader(p.Bytes))
			if err != nil || img.Bounds().Dx() != 120 || img.Bounds().Dy() != 80 || p.Width != 120 || p.Height != 80 {
				t.Errorf("%s %d: %v, %v", name, o, img.Bounds(), err)
				continue
			}
			if r, _, b, _ := img.At(8, 8).RGBA(); r < 0x9000 || b > 0x6000 {
				t.Errorf("%s %d: the corner is not up left", name, o)
			}
			if r, _, b, _ := img.At(112, 72).RGBA(); r > 0x6000 || b < 0x9000 {
				t.Errorf("%s %d: the far corner is wrong", name, o)
			}
			if want := time.Date(2026, 11, 21, 9, 30, 0, 0, time.UTC); !p.Info.Taken.Equal(want) {
				t.Errorf("%s %d: taken %v", name, o, p.Info.Taken)
			}
			if bytes.Contains(p.Bytes, gpsSecret) {
				t.Errorf("%s %d: the location is still there", name, o)
			}
		}
	}
}

func TestRefusals(t *testing.T) {
	huge := phonePNG(t, scene(32, 32), nil)
	// A picture that says it is 15,000 × 15,000 pixels, in a few hundred bytes.
	binary.BigEndian.PutUint32(huge[16:], 15000)
	binary.BigEndian.PutUint32(huge[20:], 15000)
	binary.BigEndian.PutUint32(huge[29:], crc32.ChecksumIEEE(huge[12:29]))
	whole := jpegOf(t, scene(200, 200))
	for name, tc := range map[string]struct {
		raw  []byte
		want string
	}{
		"empty":     {nil, "empty"},
		"heic":      {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), "HEIC"},
		"film":      {[]byte("\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00"), "films"},
		"gif":       {[]byte("GIF89a..."), "GIF"},
		"tiff":      {[]byte("II*\x00...."), "TIFF"},
		"pdf":       {[]byte("%PDF-1.7"), "PDF"},
		"text":      {[]byte("<svg xmlns=''>"), "no picture"},
		"bomb":      {huge, "15000 × 15000"},
		"cut short": {whole[:len(whole)/2], "to its end"},
		"tiny":      {jpegOf(t, scene(4, 4)), "only 4 × 4"},
		"too long":  {append(append([]byte{}, whole...), make([]byte, MaxBytes)...), "MB"},
		"head only": {[]byte("\xff\xd8\xff\xe0"), "head"},
	} {
		_, err := Prepare(tc.raw, nil)
		var r *Refused
		if !errors.As(err, &r) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !strings.Contains(r.Reason, tc.want) || r.Advice == "" {
			t.Errorf("%s: %q, %q", name, r.Reason, r.Advice)
		}
	}
}

func TestExifTimes(t *testing.T) {
	for _, tc := range []struct{ taken, zone, want string }{
		{"2026:11:21 10:30:00", "", "2026-11-21T16:30:00Z"},
		{"2026:11:21 10:30:00", "+01:00", "2026-11-21T09:30:00Z"},
		{"2026:11:21 10:30:00", "nonsense", "2026-11-21T16:30:00Z"},
		{"0000:00:00 00:00:00", "", "0001-01-01T00:00:00Z"},
		{"1970:01:01 00:00:00", "", "0001-01-01T00:00:00Z"},
		{"yesterday", "", "0001-01-01T00:00:00Z"},
	} {
		if got := readTime(tc.taken, tc.zone, chicago).Format(time.RFC3339); got != tc.want {
			t.Errorf("%s %s: %s, want %s", tc.taken, tc.zone, got, tc.want)
		}
	}
}

func FuzzReadExif(f *testing.F) {
	f.Add(exifBlock(binary.LittleEndian, 6, "2026:11:21 10:30:00", "+01:00", 9000))
	f.Add(exifBlock(binary.BigEndian, 1, "", "", 36001))
	f.Add([]byte("II*\x00\x08\x00\x00\x00\xff\xff"))
	f.Add([]byte("MM\x00*\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		i := ReadExif(b, time.UTC)
		if i.Orientation < 0 || i.Orientation > 8 || i.DirectionDeg < 0 || i.DirectionDeg >= 360 || (!i.Bearing && i.DirectionDeg != 0) {
			t.Fatalf("%+v", i)
		}
		if !i.Taken.IsZero() && (i.Taken.Year() < earliestYear-1 || i.Taken.Year() > latestYear+1) {
			t.Fatalf("%+v", i)
		}
	})
}

// Whatever arrives is refused with advice or kept without metadata.
func FuzzPrepare(f *testing.F) {
	exif := exifBlock(binary.LittleEndian, 6, "2026:11:21 10:30:00", "", 12345)
	f.Add(phoneJPEG(f, scene(40, 30), exif))
	f.Add(phonePNG(f, scene(40, 30), exif))
	f.Add(phoneWebP(40, 30, exif))
	f.Add([]byte("RIFF\xff\xff\xff\xffWEBPVP8 "))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 1<<16 {
			return
		}
		// A fuzzed size may be large and still within the limits: that is decoded
		// in the tests above, not a thousand times a second.
		if mt, err := sniff(b); err == nil {
			config, _ := decoders(mt)
			if c, err := config(bytes.NewReader(b)); err == nil && c.Width*c.Height > 1<<16 {
				return
			}
		}
		p, err := Prepare(b, time.UTC)
		var r *Refused
		switch {
		case err == nil:
			if bytes.Contains(p.Bytes, []byte(exifMark)) && !clean(p.Bytes) {
				t.Fatal("metadata is still there")
			}
			if !clean(p.Bytes) {
				t.Fatal("what is kept is not clean")
			}
		case !errors.As(err, &r) || r.Advice == "":
			t.Fatalf("%v", err)
		}
	})
}

// clean tells whether a file is a whole photograph without metadata, as Prepare
// keeps them.
func clean(raw []byte) bool {
	mediaType, err := sniff(raw)
	if err != nil {
		return false
	}
	clean, _, err := strip(mediaType, raw)
	return err == nil && bytes.Equal(clean, raw)
}
