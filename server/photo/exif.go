package photo

import (
	"encoding/binary"
	"math"
	"strings"
	"time"
)

// Info is what a photograph's metadata says that a survey needs.
type Info struct {
	Orientation  int       // 1 upright … 8; 0: not said
	Taken        time.Time // zero: not said
	Bearing      bool      // DirectionDeg is known
	DirectionDeg float64   // toward which the camera looked, from north clockwise
	Magnetic     bool      // that north is the compass needle's
}

// Tags of Exif. Source: CIPA DC-008-2019 (Exif 2.32), from memory.
const (
	tagOrientation  = 0x0112
	tagDateTime     = 0x0132
	tagExif         = 0x8769
	tagGPS          = 0x8825
	tagOriginal     = 0x9003
	tagOriginalZone = 0x9011
	tagDirectionRef = 0x0010 // within the GPS directory
	tagDirection    = 0x0011
)

// mostEntries bounds a directory; cameras write under a hundred.
const mostEntries = 512

// tiff is an Exif block being read.
type tiff struct {
	b     []byte
	order binary.ByteOrder
}

// entry is one field of a directory.
type entry struct {
	kind  uint16
	count uint32
	value []byte
}

// ReadExif reads time, direction and orientation out of an Exif block (a TIFF
// structure). Whatever is damaged counts as not said. Times without zone are in
// loc.
func ReadExif(b []byte, loc *time.Location) Info {
	var out Info
	if len(b) < 8 {
		return out
	}
	t := tiff{b: b}
	switch string(b[:4]) {
	case "II*\x00":
		t.order = binary.LittleEndian
	case "MM\x00*":
		t.order = binary.BigEndian
	default:
		return out
	}
	root := t.directory(t.order.Uint32(b[4:]))
	if o := t.whole(root[tagOrientation]); o >= 1 && o <= 8 {
		out.Orientation = int(o)
	}
	taken := t.text(root[tagDateTime])
	zone := ""
	if e, ok := root[tagExif]; ok {
		sub := t.directory(t.whole(e))
		if s := t.text(sub[tagOriginal]); s != "" {
			taken = s
		}
		zone = t.text(sub[tagOriginalZone])
	}
	out.Taken = readTime(taken, zone, loc)
	if e, ok := root[tagGPS]; ok {
		gps := t.directory(t.whole(e))
		if v, ok := t.ratio(gps[tagDirection]); ok && v >= 0 && v <= 360 {
			out.Bearing, out.DirectionDeg = true, math.Mod(v, 360)
			out.Magnetic = strings.HasPrefix(t.text(gps[tagDirectionRef]), "M")
		}
	}
	return out
}

// directory reads the fields of the directory at an offset; none when it lies
// outside the block.
func (t tiff) directory(at uint32) map[uint16]entry {
	if uint64(at)+2 > uint64(len(t.b)) || at < 8 {
		return nil
	}
	n := min(int(t.order.Uint16(t.b[at:])), mostEntries)
	out := map[uint16]entry{}
	for i := range n {
		p := int(at) + 2 + 12*i
		if p+12 > len(t.b) {
			break
		}
		f := t.b[p : p+12]
		e := entry{kind: t.order.Uint16(f[2:]), count: t.order.Uint32(f[4:])}
		size := uint64(sizes[e.kind]) * uint64(e.count)
		switch {
		case size == 0:
			continue
		case size <= 4:
			e.value = f[8 : 8+size]
		default:
			from := uint64(t.order.Uint32(f[8:]))
			if from+size > uint64(len(t.b)) {
				continue
			}
			e.value = t.b[from : from+size]
		}
		if _, twice := out[t.order.Uint16(f)]; !twice {
			out[t.order.Uint16(f)] = e
		}
	}
	return out
}

// sizes of the field types in bytes: 1 byte, 2 text, 3 short, 4 long, 5 ratio, 7
// undefined, 9 signed long, 10 signed ratio. Source: TIFF 6.0 (from memory).
var sizes = map[uint16]int{1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 9: 4, 10: 8}

func (t tiff) whole(e entry) uint32 {
	switch {
	case e.kind == 3 && len(e.value) >= 2:
		return uint32(t.order.Uint16(e.value))
	case e.kind == 4 && len(e.value) >= 4:
		return t.order.Uint32(e.value)
	}
	return 0
}

func (t tiff) text(e entry) string {
	if e.kind != 2 {
		return ""
	}
	s, _, _ := strings.Cut(string(e.value), "\x00")
	return strings.TrimSpace(s)
}

func (t tiff) ratio(e entry) (float64, bool) {
	if e.kind != 5 || len(e.value) < 8 {
		return 0, false
	}
	over := t.order.Uint32(e.value[4:])
	if over == 0 {
		return 0, false
	}
	return float64(t.order.Uint32(e.value)) / float64(over), true
}

// earliest and latest bound the years a photograph can be of: digital cameras
// with a wrong clock begin at 1970 or 1980.
const (
	earliestYear = 1990
	latestYear   = 2200
)

func readTime(s, zone string, loc *time.Location) time.Time {
	const layout = "2006:01:02 15:04:05"
	if loc == nil {
		loc = time.UTC
	}
	var t time.Time
	var err error
	if zone != "" {
		if t, err = time.Parse(layout+"-07:00", s+zone); err != nil {
			t, err = time.ParseInLocation(layout, s, loc)
		}
	} else {
		t, err = time.ParseInLocation(layout, s, loc)
	}
	if err != nil || t.Year() < earliestYear || t.Year() > latestYear {
		return time.Time{}
	}
	return t.UTC()
}
