package catalogue

import (
	"sort"

	"roodbeam/engine/finding"
	"roodbeam/engine/photometry"
)

// Distribution is the package's Distribution with the set's photometric files:
// a beam that names a file gives that file's light, an angle between two such
// zoom settings the zoom between them. Where a file is not at hand the smooth
// beam of the beam's own figures stands for it.
func (s Set) Distribution(f Fixture, fieldDeg float64) (photometry.Distribution, bool) {
	b, ok := f.BeamAt(fieldDeg)
	if !ok || len(s.files) == 0 {
		return Distribution(f, fieldDeg)
	}
	if d := s.measured(b); d != nil {
		return d, true
	}
	if lo, hi, between := f.neighbours(fieldDeg); between {
		if a, c := s.measured(lo), s.measured(hi); a != nil && c != nil {
			return photometry.NewZoom(a, c, fieldDeg), true
		}
	}
	return Distribution(f, fieldDeg)
}

// measured returns the file's light of a beam, nil without one.
func (s Set) measured(b Beam) photometry.Distribution {
	file := s.files[b.File]
	if b.File == "" || file == nil {
		return nil
	}
	return photometry.WithField(file.Distribution(), b.FieldDeg)
}

// neighbours returns the two settings of a zoom round a field angle in degrees.
func (f Fixture) neighbours(fieldDeg float64) (lo, hi Beam, ok bool) {
	i := sort.Search(len(f.Beams), func(i int) bool { return f.Beams[i].FieldDeg >= fieldDeg })
	if !f.Zooms() || i == 0 || i == len(f.Beams) {
		return Beam{}, Beam{}, false
	}
	return f.Beams[i-1], f.Beams[i], true
}

// Check returns a finding for every fixture with a beam whose photometric file
// is not at hand, sorted.
func Check(s Set, book *finding.Book) []finding.Finding {
	var fs []finding.Finding
	for _, f := range s.sorted {
		missing := 0
		for _, b := range f.Beams {
			if b.File != "" && s.files[b.File] == nil {
				missing++
			}
		}
		if missing > 0 {
			fs = append(fs, book.New("CATALOGUE_FILE_MISSING", "fixture "+f.Code, finding.CountOf("beams", missing)))
		}
	}
	finding.Sort(fs)
	return fs
}
