// Package photo takes in photographs from people's phones: it refuses what no
// survey needs, reads when and toward where they were taken, and keeps them
// upright and without any trace of where that was.
package photo

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"
	"time"

	"golang.org/x/image/draw"
	"golang.org/x/image/webp"
)

// Limits of a photograph.
const (
	MaxBytes     = 24 << 20   // of the file
	MaxSide      = 16000      // pixels
	MaxJPEG      = 64_000_000 // pixels: the largest usual phone camera; about 200 MB while it is decoded
	MaxOther     = 25_000_000 // pixels of PNG and WebP, which take up to eight bytes each
	ThumbSide    = 320        // pixels, the longer side of the small picture
	jpegQuality  = 90
	thumbQuality = 80
)

// Refused says why a file is not taken and what to do about it.
type Refused struct{ Reason, Advice string }

func (e *Refused) Error() string { return e.Reason + ": " + e.Advice }

func refuse(advice, format string, a ...any) error {
	return &Refused{Reason: fmt.Sprintf(format, a...), Advice: advice}
}

// Picture is a photograph as it is kept.
type Picture struct {
	Bytes         []byte
	MediaType     string
	Width, Height int    // upright
	Thumb         []byte // JPEG
	Info          Info
}

// formats that are taken.
const (
	jpegType = "image/jpeg"
	pngType  = "image/png"
	webpType = "image/webp"
	// ThumbType is the media type of small pictures.
	ThumbType = jpegType
)

// Prepare returns a photograph as it is to be kept: upright, without metadata,
// with a small copy, and what its metadata said of time and direction. Times
// without zone are in loc. A file that is not taken gives *Refused. The size is
// read and judged before any pixel is decoded; a file that cannot be decoded to
// its end is refused.
//
// Metadata goes by leaving its segments out, so that the pixels stay as they
// were; a photograph that has to be turned is encoded again.
func Prepare(raw []byte, loc *time.Location) (p Picture, err error) {
	// The decoders are made for hostile files, but a panic in one must not end
	// the server.
	defer func() {
		if r := recover(); r != nil {
			p, err = Picture{}, refuse("Take the photograph again, or save it as JPEG.", "the file is damaged")
		}
	}()
	if len(raw) > MaxBytes {
		return p, refuse("Set the camera to a smaller size, or send it through the phone's own 'share, medium size'.", "the file has %.1f MB, at most %d are taken", float64(len(raw))/(1<<20), MaxBytes>>20)
	}
	mediaType, err := sniff(raw)
	if err != nil {
		return p, err
	}
	config, decode := decoders(mediaType)
	c, err := config(bytes.NewReader(raw))
	if err != nil {
		return p, refuse("Take the photograph again, or save it as JPEG.", "the file's head cannot be read")
	}
	if err := judge(mediaType, c.Width, c.Height); err != nil {
		return p, err
	}
	img, err := decode(bytes.NewReader(raw))
	if err != nil {
		return p, refuse("Send it again: it did not arrive whole, or the file is damaged.", "the picture cannot be read to its end")
	}
	clean, exif, err := strip(mediaType, raw)
	if err != nil {
		return p, err
	}
	p.Info = ReadExif(exif, loc)
	p.MediaType = mediaType
	p.Bytes = clean
	if p.Info.Orientation > 1 {
		img = upright(img, p.Info.Orientation)
		if p.Bytes, p.MediaType, err = encode(img, mediaType); err != nil {
			return Picture{}, err
		}
	}
	p.Width, p.Height = img.Bounds().Dx(), img.Bounds().Dy()
	p.Thumb, err = thumb(img)
	return p, err
}

func judge(mediaType string, w, h int) error {
	most := MaxOther
	if mediaType == jpegType {
		most = MaxJPEG
	}
	switch {
	case w < 16 || h < 16:
		return refuse("Take the photograph again.", "the picture is only %d × %d pixels", w, h)
	case w > MaxSide || h > MaxSide || w*h > most:
		return refuse("Set the camera to a smaller size; 12 million pixels are plenty. A panorama may be cut in two.",
			"the picture is %d × %d pixels, more than is taken", w, h)
	}
	return nil
}

type (
	configReader func(r *bytes.Reader) (image.Config, error)
	imageReader  func(r *bytes.Reader) (image.Image, error)
)

func decoders(mediaType string) (configReader, imageReader) {
	switch mediaType {
	case pngType:
		return func(r *bytes.Reader) (image.Config, error) { return png.DecodeConfig(r) },
			func(r *bytes.Reader) (image.Image, error) { return png.Decode(r) }
	case webpType:
		return func(r *bytes.Reader) (image.Config, error) { return webp.DecodeConfig(r) },
			func(r *bytes.Reader) (image.Image, error) { return webp.Decode(r) }
	}
	return func(r *bytes.Reader) (image.Config, error) { return jpeg.DecodeConfig(r) },
		func(r *bytes.Reader) (image.Image, error) { return jpeg.Decode(r) }
}

// sniff tells the format by the first bytes, whatever the file is called, and
// what to do about those that are not taken.
func sniff(raw []byte) (string, error) {
	has := func(at int, s string) bool { return len(raw) >= at+len(s) && string(raw[at:at+len(s)]) == s }
	const save = "Save it as JPEG and send that."
	switch {
	case has(0, "\xff\xd8\xff"):
		return jpegType, nil
	case has(0, "\x89PNG\r\n\x1a\n"):
		return pngType, nil
	case has(0, "RIFF") && has(8, "WEBP"):
		return webpType, nil
	case len(raw) == 0:
		return "", refuse("Choose the photograph again.", "the file is empty")
	case has(4, "ftyphei") || has(4, "ftyphev") || has(4, "ftypmif") || has(4, "ftypmsf") || has(4, "ftypavi"):
		return "", refuse("In the phone's camera settings choose the most compatible format, or share the photograph as JPEG.", "HEIC and AVIF pictures are not taken")
	case has(4, "ftyp"):
		return "", refuse("Send single photographs; a film's best moments as screenshots.", "films are not taken")
	case has(0, "GIF8"):
		return "", refuse(save, "GIF pictures are not taken")
	case has(0, "II*\x00") || has(0, "MM\x00*"):
		return "", refuse("Save it as JPEG; raw camera files and scans too.", "TIFF and raw pictures are not taken")
	case has(0, "%PDF"):
		return "", refuse("Photograph the page, or take a screenshot of it.", "PDF files are not taken as photographs")
	case has(0, "BM"):
		return "", refuse(save, "BMP pictures are not taken")
	}
	return "", refuse("Send JPEG, PNG or WebP.", "this is no picture of a kind that is taken")
}

// upright turns a picture as its orientation tag says. Source: Exif 2.32 (CIPA
// DC-008-2019), tag 274 Orientation: where row 0 and column 0 of the stored
// picture are (from memory).
func upright(img image.Image, orientation int) image.Image {
	b := img.Bounds()
	src := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(src, src.Bounds(), img, b.Min, draw.Src)
	w, h := b.Dx(), b.Dy()
	if orientation >= 5 {
		w, h = h, w
	}
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range b.Dy() {
		for x := range b.Dx() {
			X, Y := x, y
			switch orientation {
			case 2:
				X = w - 1 - x
			case 3:
				X, Y = w-1-x, h-1-y
			case 4:
				Y = h - 1 - y
			case 5:
				X, Y = y, x
			case 6:
				X, Y = w-1-y, x
			case 7:
				X, Y = w-1-y, h-1-x
			case 8:
				X, Y = y, h-1-x
			}
			copy(dst.Pix[dst.PixOffset(X, Y):][:4], src.Pix[src.PixOffset(x, y):][:4])
		}
	}
	return dst
}

// encode writes a picture without metadata: PNG as PNG, the rest as JPEG.
func encode(img image.Image, mediaType string) ([]byte, string, error) {
	var out bytes.Buffer
	if mediaType == pngType {
		err := png.Encode(&out, img)
		return out.Bytes(), pngType, err
	}
	err := jpeg.Encode(&out, img, &jpeg.Options{Quality: jpegQuality})
	return out.Bytes(), jpegType, err
}

// thumb returns a small copy with its longer side at ThumbSide; smaller pictures
// keep their size.
func thumb(img image.Image) ([]byte, error) {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	if long := max(w, h); long > ThumbSide {
		w, h = max(1, w*ThumbSide/long), max(1, h*ThumbSide/long)
	}
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(small, small.Bounds(), image.White, image.Point{}, draw.Src) // behind what is transparent
	draw.BiLinear.Scale(small, small.Bounds(), img, b, draw.Over, nil)
	var out bytes.Buffer
	err := jpeg.Encode(&out, small, &jpeg.Options{Quality: thumbQuality})
	return out.Bytes(), err
}
