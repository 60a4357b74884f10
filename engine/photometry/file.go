package photometry

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// MaxFileBytes is the largest photometric file that is read. A full sphere in
// one-degree steps both ways is 65 000 values, under half of it.
const MaxFileBytes = 1 << 20

// Formats.
const (
	FormatLM63     = "LM-63"
	FormatEULUMDAT = "EULUMDAT"
)

// Symmetries of a file, by what it stores.
const (
	SymmetryRotational = "rotational"        // one plane
	SymmetryQuadrant   = "quadrant"          // C 0..90
	SymmetryHalf180    = "mirror_0_180"      // C 0..180
	SymmetryHalf90     = "mirror_90_270"     // C 90..270, the half with C180
	SymmetryHalf270    = "mirror_90_270_c0"  // C 270..90, the half with C0
	SymmetryMirror     = "mirror_horizontal" // types A and B, H 0..90
	SymmetryNone       = "none"
)

// File is a photometric file as read: one fixture in one state of zoom, focus
// and colour.
type File struct {
	Format   string
	Edition  string // of LM-63: 1986, 1991, 1995, 2002, 2019; empty: not known
	Type     string // photometric type A, B or C
	Symmetry string
	Absolute bool // candelas are final: they must not be scaled by lamp lumens

	Lamps         int
	RatedLm       float64 // lumens of all lamps; 0 when absolute
	FluxLm        float64 // by zonal integration
	MaxCd         float64
	MaxPlaneDeg   float64 // where it is: C (or H for A and B) in the file's own angles
	MaxAngleDeg   float64 // γ (or V for A and B)
	BeamDeg       float64 // full angle at 50 % of MaxCd, averaged over the planes
	FieldDeg      float64 // full angle at 10 % of MaxCd, averaged over the planes
	Planes        []PlaneAngles
	HorizontalN   int
	VerticalN     int
	InputW        float64
	LengthM       float64 // luminous opening, along the fixture's X; negative: round
	WidthM        float64 // along Y
	HeightM       float64
	Tilt          Tilt
	Keywords      []Keyword
	Warnings      []Warning
	distribution  Distribution
	tilting       *tilting // the distribution with its factors, where it has some
	wantedDFFPct  float64
	wantedLORLPct float64
}

// PlaneAngles are the beam and field angles in one plane through the aim.
type PlaneAngles struct {
	Plane    string  // C0-C180, horizontal, vertical …
	PlaneDeg float64 // its first half plane in the file's own angles
	BeamDeg  float64 // full angle at 50 % of the file's maximum; 0: the plane does not reach it
	FieldDeg float64 // at 10 %
	// CentreBeamDeg and CentreFieldDeg take 50 % and 10 % of the intensity along
	// the aim instead (CIE, ANSI C78.379); 0 where the aim is dark.
	CentreBeamDeg, CentreFieldDeg float64
}

// Tilt is LM-63's table of factors on the candelas by tilt of the luminaire;
// empty without one.
type Tilt struct {
	LampGeometry int // 1 lamp vertical, 2 horizontal and staying so, 3 horizontal and tilting
	AngleDeg     []float64
	Factor       []float64
}

// At returns the factor at a tilt in degrees, linear between the stored angles
// and held beyond them; 1 without a table.
func (t Tilt) At(deg float64) float64 {
	n := len(t.AngleDeg)
	if n == 0 {
		return 1
	}
	if !(deg > t.AngleDeg[0]) {
		return t.Factor[0]
	}
	i, u := bracket(t.AngleDeg, deg)
	return t.Factor[i] + u*(t.Factor[min(i+1, n-1)]-t.Factor[i])
}

// Keyword is one labelled line, in the file's order. Lines without a label have
// an empty Key.
type Keyword struct{ Key, Value string }

// Warning is what was odd in a file that could be read all the same. Line is 0
// where it concerns the whole.
type Warning struct {
	Line int
	Text string
}

func (w Warning) String() string {
	if w.Line == 0 {
		return w.Text
	}
	return fmt.Sprintf("line %d: %s", w.Line, w.Text)
}

// FileError says why a file is refused. Line is 0 where it concerns the whole.
type FileError struct {
	Line   int
	Reason string
}

func (e *FileError) Error() string { return Warning{e.Line, e.Reason}.String() }

func refuse(line int, format string, args ...any) error {
	return &FileError{Line: line, Reason: fmt.Sprintf(format, args...)}
}

// Distribution returns the candelas by direction in the fixture's frame, untilted;
// AtTilt applies the file's factors by tilt.
func (f *File) Distribution() Distribution {
	if f.tilting != nil {
		return f.tilting
	}
	return f.distribution
}

// Keyword returns the value of the first line labelled key, empty without one.
func (f *File) Keyword(key string) string {
	i := slices.IndexFunc(f.Keywords, func(k Keyword) bool { return k.Key == key })
	if i < 0 {
		return ""
	}
	return f.Keywords[i].Value
}

func (f *File) warn(line int, format string, args ...any) {
	f.Warnings = append(f.Warnings, Warning{line, fmt.Sprintf(format, args...)})
}

// Read reads an IES LM-63 or EULUMDAT file, told apart by the TILT line that
// every LM-63 file has. What is odd but has one meaning only is read with a
// warning; the rest is refused with a *FileError.
func Read(raw []byte) (*File, error) {
	lines, warnings, err := textLines(raw)
	if err != nil {
		return nil, err
	}
	var f *File
	if tilt := tiltLine(lines); tilt >= 0 {
		f, err = readLM63(lines, tilt)
	} else if looksEULUMDAT(lines) {
		f, err = readEULUMDAT(lines)
	} else {
		return nil, refuse(1, "neither LM-63 (no TILT= line) nor EULUMDAT (lines 2 to 7 are not its numbers)")
	}
	if err != nil {
		return nil, err
	}
	f.Warnings = append(warnings, f.Warnings...)
	f.measure()
	if len(f.Tilt.AngleDeg) > 0 {
		f.tilting = &tilting{f.distribution, &f.Tilt}
	}
	return f, nil
}

// textLines splits a file of any line ends into lines of UTF-8 text.
func textLines(raw []byte) ([]string, []Warning, error) {
	var warnings []Warning
	if len(raw) > MaxFileBytes {
		return nil, nil, refuse(0, "%d bytes; at most %d are read", len(raw), MaxFileBytes)
	}
	raw = bytes.TrimPrefix(raw, []byte("\xef\xbb\xbf"))
	// Ctrl-Z was the end of a text file under CP/M and DOS.
	if i := bytes.IndexByte(raw, 0x1a); i >= 0 {
		if len(bytes.Trim(raw[i:], "\x1a\x00 \t\r\n")) > 0 {
			warnings = append(warnings, Warning{Text: "text after the end-of-file mark is left out"})
		}
		raw = raw[:i]
	}
	raw = bytes.TrimRight(raw, "\x00")
	if i := bytes.IndexByte(raw, 0); i >= 0 {
		return nil, nil, refuse(1+bytes.Count(raw[:i], []byte("\n")), "holds a zero byte: not a text file in a one-byte code")
	}
	if len(bytes.TrimSpace(raw)) == 0 {
		return nil, nil, refuse(0, "the file is empty")
	}
	text := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(decode(raw))
	return strings.Split(text, "\n"), warnings, nil
}

// decode returns text that is UTF-8, taking anything else as Latin-1.
func decode(raw []byte) string {
	if utf8.Valid(raw) {
		return string(raw)
	}
	runes := make([]rune, len(raw))
	for i, b := range raw {
		runes[i] = rune(b)
	}
	return string(runes)
}
