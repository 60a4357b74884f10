package photo

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
)

// strip returns the file without metadata and the Exif block it held. What is
// kept is what the pixels need: everything else may tell where a photograph was
// taken.
func strip(mediaType string, raw []byte) (clean, exif []byte, err error) {
	switch mediaType {
	case jpegType:
		return stripJPEG(raw)
	case pngType:
		return stripPNG(raw)
	}
	return stripWebP(raw)
}

var errDamaged = refuse("Take the photograph again, or save it as JPEG.", "the file's parts do not fit together")

const exifMark = "Exif\x00\x00"

// stripJPEG keeps frames, tables, scans, the JFIF and Adobe colour marks and the
// colour profile; it leaves out all other application segments, comments, and
// whatever follows the end of the picture.
//
// Source: ISO/IEC 10918-1 annex B, marker segments (from memory).
func stripJPEG(raw []byte) (clean, exif []byte, err error) {
	out := bytes.NewBuffer(make([]byte, 0, len(raw)))
	out.Write(raw[:2])
	at := 2
	for at+4 <= len(raw) {
		if raw[at] != 0xff {
			return nil, nil, errDamaged
		}
		marker := raw[at+1]
		switch {
		case marker == 0xff: // fill
			at++
			continue
		case marker == 0xd9:
			out.Write([]byte{0xff, 0xd9})
			return out.Bytes(), exif, nil
		case marker == 0x01 || (marker >= 0xd0 && marker <= 0xd7):
			at += 2
			continue
		}
		n := int(binary.BigEndian.Uint16(raw[at+2:]))
		if n < 2 || at+2+n > len(raw) {
			return nil, nil, errDamaged
		}
		body := raw[at+4 : at+2+n]
		if marker == 0xe1 && bytes.HasPrefix(body, []byte(exifMark)) && exif == nil {
			exif = body[len(exifMark):]
		}
		if keepJPEG(marker, body) {
			out.Write(raw[at : at+2+n])
		}
		at += 2 + n
		if marker == 0xda {
			end := scanEnd(raw, at)
			out.Write(raw[at:end])
			at = end
		}
	}
	if at+2 <= len(raw) && raw[at] == 0xff && raw[at+1] == 0xd9 {
		out.Write([]byte{0xff, 0xd9})
		return out.Bytes(), exif, nil
	}
	return nil, nil, errDamaged
}

func keepJPEG(marker byte, body []byte) bool {
	switch {
	case marker == 0xe0:
		return bytes.HasPrefix(body, []byte("JFIF\x00")) && len(body) == 14 // without its small picture
	case marker == 0xe2:
		return bytes.HasPrefix(body, []byte("ICC_PROFILE\x00"))
	case marker == 0xee:
		return bytes.HasPrefix(body, []byte("Adobe")) && len(body) == 12
	}
	return (marker < 0xe0 || marker > 0xef) && marker != 0xfe
}

// scanEnd returns where entropy-coded data ends: at the next marker that is
// neither a stuffed byte nor a restart.
func scanEnd(raw []byte, at int) int {
	for ; at+1 < len(raw); at++ {
		if m := raw[at+1]; raw[at] == 0xff && m != 0 && m != 0xff && (m < 0xd0 || m > 0xd7) {
			return at
		}
	}
	return len(raw)
}

// pngKept are the chunks the pixels need. Source: PNG specification, 3rd ed., 11
// (from memory).
var pngKept = map[string]bool{"IHDR": true, "PLTE": true, "IDAT": true, "IEND": true, "tRNS": true,
	"gAMA": true, "cHRM": true, "sRGB": true, "iCCP": true, "sBIT": true}

func stripPNG(raw []byte) (clean, exif []byte, err error) {
	out := bytes.NewBuffer(make([]byte, 0, len(raw)))
	out.Write(raw[:8])
	for at := 8; at+12 <= len(raw); {
		n := int(binary.BigEndian.Uint32(raw[at:]))
		if n < 0 || n > len(raw)-at-12 {
			return nil, nil, errDamaged
		}
		kind, body := string(raw[at+4:at+8]), raw[at+8:at+8+n]
		if crc32.ChecksumIEEE(raw[at+4:at+8+n]) != binary.BigEndian.Uint32(raw[at+8+n:]) {
			return nil, nil, errDamaged
		}
		if kind == "eXIf" && exif == nil {
			exif = body
		}
		if pngKept[kind] {
			out.Write(raw[at : at+12+n])
		}
		at += 12 + n
		if kind == "IEND" {
			return out.Bytes(), exif, nil
		}
	}
	return nil, nil, errDamaged
}

// webpKept are the chunks of a still picture. Source: WebP container
// specification (from memory).
var webpKept = map[string]bool{"VP8 ": true, "VP8L": true, "VP8X": true, "ALPH": true, "ICCP": true}

// Flags of the VP8X chunk.
const (
	webpExifFlag = 0x08
	webpXMPFlag  = 0x04
)

func stripWebP(raw []byte) (clean, exif []byte, err error) {
	if len(raw) < 12 {
		return nil, nil, errDamaged
	}
	end := int(binary.LittleEndian.Uint32(raw[4:])) + 8
	if end > len(raw) || end < 12 {
		return nil, nil, errDamaged
	}
	out := bytes.NewBuffer(make([]byte, 0, end))
	out.Write(raw[:12])
	for at := 12; at+8 <= end; {
		n := int(binary.LittleEndian.Uint32(raw[at+4:]))
		padded := n + n&1
		if n < 0 || padded > end-at-8 {
			return nil, nil, errDamaged
		}
		kind, body := string(raw[at:at+4]), raw[at+8:at+8+n]
		switch {
		case kind == "ANIM" || kind == "ANMF":
			return nil, nil, refuse("Send a single photograph.", "moving pictures are not taken")
		case kind == "EXIF" && exif == nil:
			exif = bytes.TrimPrefix(body, []byte(exifMark))
		}
		if webpKept[kind] {
			start := out.Len()
			out.Write(raw[at : at+8+padded])
			if kind == "VP8X" && n > 0 {
				out.Bytes()[start+8] &^= webpExifFlag | webpXMPFlag
			}
		}
		at += 8 + padded
	}
	clean = out.Bytes()
	binary.LittleEndian.PutUint32(clean[4:], uint32(len(clean)-8))
	return clean, exif, nil
}
