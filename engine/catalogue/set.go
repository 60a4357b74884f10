package catalogue

import (
	"math"
	"slices"
	"sort"
	"strings"

	"roodbeam/engine/photometry"
)

// Set is the fixtures a project may use: the built-in ones and the church's
// own, by code.
type Set struct {
	sorted []Fixture
	index  map[string]int
	files  map[string]*photometry.File // photometric files by content hash
}

// NewSet returns the set of both lists; one of the church's own replaces a
// built-in one of the same code, a later one an earlier one.
func NewSet(builtin, own []Fixture) Set {
	byCode := map[string]Fixture{}
	for _, f := range append(slices.Clone(builtin), own...) {
		f.Beams = slices.Clone(f.Beams)
		slices.SortStableFunc(f.Beams, func(a, b Beam) int {
			switch {
			case a.FieldDeg < b.FieldDeg:
				return -1
			case a.FieldDeg > b.FieldDeg:
				return 1
			}
			return 0
		})
		byCode[f.Code] = f
	}
	s := Set{index: map[string]int{}}
	for _, f := range byCode {
		s.sorted = append(s.sorted, f)
	}
	sort.Slice(s.sorted, func(i, j int) bool { return s.sorted[i].Code < s.sorted[j].Code })
	for i, f := range s.sorted {
		s.index[f.Code] = i
	}
	return s
}

// WithFiles returns the set with photometric files by content hash, for the
// beams that name one.
func (s Set) WithFiles(files map[string]*photometry.File) Set {
	s.files = files
	return s
}

// Get returns the fixture of a code; false when there is none.
func (s Set) Get(code string) (Fixture, bool) {
	i, ok := s.index[code]
	if !ok {
		return Fixture{}, false
	}
	return s.sorted[i], true
}

// All returns every fixture, sorted by code.
func (s Set) All() []Fixture { return slices.Clone(s.sorted) }

// PriceIn returns the fixture's price in minor units of a currency; false where
// none is known in it.
func (f Fixture) PriceIn(currency string) (int64, bool) {
	if strings.EqualFold(currency, f.Currency) {
		return f.PriceMinor, true
	}
	p, ok := f.Prices[strings.ToUpper(currency)]
	return p, ok
}

// Zooms tells whether the field angle can be set anywhere between the
// narrowest and the widest beam. Otherwise the beams are lenses to choose from.
func (f Fixture) Zooms() bool {
	switch f.Class {
	case Fresnel, Wash, MovingWash, MovingSpot:
		return len(f.Beams) > 1
	}
	return false
}

// lensToleranceDeg is how far a wanted field angle may be from a lens's own and
// still mean that lens: lenses are named by rounded angles.
const lensToleranceDeg = 1.0

// BeamAt returns the beam of a field angle in degrees. Zero takes the middle
// one of the beams. A zoom fixture gives any angle between its ends: beam angle
// and peak follow the field angle by power laws between the two neighbours,
// which keeps the flux of two equal-flux ends nearly constant. Other fixtures
// give the lens within 1° of the asked one. False when the fixture has no such
// beam.
func (f Fixture) BeamAt(fieldDeg float64) (Beam, bool) {
	n := len(f.Beams)
	if n == 0 || math.IsNaN(fieldDeg) {
		return Beam{}, false
	}
	if fieldDeg == 0 {
		return f.Beams[n/2], true
	}
	nearest := f.nearest(fieldDeg)
	if math.Abs(nearest.FieldDeg-fieldDeg) < 1e-9 {
		return nearest, true
	}
	if f.Zooms() && fieldDeg > f.Beams[0].FieldDeg && fieldDeg < f.Beams[n-1].FieldDeg {
		i := sort.Search(n, func(i int) bool { return f.Beams[i].FieldDeg >= fieldDeg })
		return between(f.Beams[i-1], f.Beams[i], fieldDeg)
	}
	return nearest, math.Abs(nearest.FieldDeg-fieldDeg) <= lensToleranceDeg
}

// NearestField returns the field angle in degrees nearest to the asked one
// that the fixture can give; 0 for a fixture without beams.
func (f Fixture) NearestField(fieldDeg float64) float64 {
	n := len(f.Beams)
	if n == 0 {
		return 0
	}
	if f.Zooms() {
		return math.Max(f.Beams[0].FieldDeg, math.Min(fieldDeg, f.Beams[n-1].FieldDeg))
	}
	return f.nearest(fieldDeg).FieldDeg
}

func (f Fixture) nearest(fieldDeg float64) Beam {
	best := f.Beams[0]
	for _, b := range f.Beams[1:] {
		if math.Abs(b.FieldDeg-fieldDeg) < math.Abs(best.FieldDeg-fieldDeg) {
			best = b
		}
	}
	return best
}

// between returns the beam of a field angle between two zoom settings. A
// setting without a peak gives none.
func between(a, b Beam, fieldDeg float64) (Beam, bool) {
	if !(a.FieldDeg > 0) || !(a.PeakCd > 0) || !(b.PeakCd > 0) {
		return Beam{}, false
	}
	t := math.Log(fieldDeg/a.FieldDeg) / math.Log(b.FieldDeg/a.FieldDeg)
	mix := func(u, v float64) float64 { return u * math.Pow(v/u, t) }
	return Beam{
		FieldDeg: fieldDeg,
		BeamDeg:  mix(a.beamOrGauss(), b.beamOrGauss()),
		PeakCd:   mix(a.PeakCd, b.PeakCd),
	}, true
}

func (b Beam) beamOrGauss() float64 {
	if b.BeamDeg > 0 {
		return b.BeamDeg
	}
	return b.FieldDeg / photometry.GaussRatio
}

// Distribution returns how the fixture gives its light at a field angle in
// degrees (0: its middle beam), as in BeamAt; a fixture known by its flux alone
// is taken as a diffuse emitter, whatever angle is asked. False when nothing is
// known, or the fixture cannot give that angle.
func Distribution(f Fixture, fieldDeg float64) (photometry.Distribution, bool) {
	if len(f.Beams) == 0 {
		if !(f.Flux > 0) {
			return nil, false
		}
		return photometry.Lambert(float64(f.Flux)), true
	}
	b, ok := f.BeamAt(fieldDeg)
	if !ok || !(b.PeakCd > 0) {
		return nil, false
	}
	return photometry.NewBeam(b.FieldDeg, b.BeamDeg, b.PeakCd), true
}
