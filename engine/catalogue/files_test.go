package catalogue

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
)

// measuredFile is a rotational file of a Gaussian beam with these figures.
func measuredFile(t testing.TB, fieldDeg, peakCd float64) *photometry.File {
	t.Helper()
	b := photometry.NewBeam(fieldDeg, 0, peakCd)
	var angles, cd []string
	for g := 0.0; g <= 90; g += 0.5 {
		angles, cd = append(angles, fmt.Sprint(g)), append(cd, fmt.Sprint(b.OffAxis(g)))
	}
	text := fmt.Sprintf("IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 %d 1 1 2 0.1 0.1 0\n1 1 90\n%s\n0\n%s\n", len(angles), strings.Join(angles, " "), strings.Join(cd, " "))
	f, err := photometry.Read([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestSetUsesFiles(t *testing.T) {
	f := Fixture{Code: "Z", Class: Wash, Beams: []Beam{
		{FieldDeg: 15, PeakCd: 1, File: "a"}, {FieldDeg: 45, PeakCd: 1, File: "b"}, {FieldDeg: 60, PeakCd: 700, File: "lost"},
	}}
	set := NewSet(nil, []Fixture{f}).WithFiles(map[string]*photometry.File{"a": measuredFile(t, 15, 60000), "b": measuredFile(t, 45, 8000)})
	aim := geom.Vec{Z: -1}
	const halfDegree = 1e-3 // of straight lines between the angles
	for _, tc := range []struct{ field, peak float64 }{{15, 60000}, {45, 8000}, {60, 700}} {
		d, ok := set.Distribution(f, tc.field)
		if !ok || math.Abs(d.Intensity(aim)-tc.peak) > halfDegree*tc.peak {
			t.Errorf("%v°: %v, %v", tc.field, d, ok)
		}
	}
	mid, ok := set.Distribution(f, 25)
	if !ok || mid.PeakCd() > 60000 || mid.PeakCd() < 8000 || mid.FieldDeg() != 25 {
		t.Errorf("between files: %v cd, %v°", mid.PeakCd(), mid.FieldDeg())
	}
	if _, ok := set.Distribution(f, 80); ok {
		t.Error("an angle beyond the zoom")
	}
	// Between a file and a beam without one the stated figures count.
	if d, ok := set.Distribution(f, 50); !ok || d.PeakCd() > 700 || d.PeakCd() < 1 {
		t.Errorf("between a file and a model: %v", d)
	}
	if d, ok := set.Distribution(Fixture{Flux: 500}, 0); !ok || d.FluxLm() != 500 {
		t.Errorf("a lamp by its flux: %v", d)
	}
	if d, _ := NewSet(nil, []Fixture{f}).Distribution(f, 15); d.PeakCd() != 1 {
		t.Errorf("without files: %v", d)
	}
}

func TestSetNamesALensByItsLabel(t *testing.T) {
	// The file's own field is 24.6°, the lens is called 26°.
	f := Fixture{Code: "L", Class: Ellipsoidal, Beams: []Beam{{FieldDeg: 26, PeakCd: 1, File: "a"}}}
	set := NewSet(nil, []Fixture{f}).WithFiles(map[string]*photometry.File{"a": measuredFile(t, 24.6, 50000)})
	d, ok := set.Distribution(f, 26)
	if !ok || d.FieldDeg() != 26 || math.Abs(d.PeakCd()-50000) > 1 {
		t.Errorf("%v, %v", d, ok)
	}
}

func TestCheckNamesMissingFiles(t *testing.T) {
	set := NewSet(Generic(), []Fixture{{Code: "Z", Beams: []Beam{{FieldDeg: 15, File: "a"}, {FieldDeg: 20, File: "b"}}}})
	fs := Check(set, finding.NewBook())
	if len(fs) != 1 || fs[0].Code != "CATALOGUE_FILE_MISSING" || fs[0].Subject != "fixture Z" {
		t.Errorf("%v", fs)
	}
	files := map[string]*photometry.File{"a": measuredFile(t, 15, 1000), "b": measuredFile(t, 20, 1000)}
	if fs = Check(set.WithFiles(files), finding.NewBook()); len(fs) != 0 {
		t.Errorf("%v", fs)
	}
}
