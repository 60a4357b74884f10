package photometry

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"

	"roodbeam/engine/geom"
)

// Table is a measured distribution in type C planes: candelas at plane angles C
// and polar angles γ from the aim, folded out by its symmetry and linear
// between the stored angles.
//
// The direction of (C, γ) in the fixture's frame is
// (sin γ cos C, sin γ sin C, −cos γ). Source: IES LM-63 and EN 13032-1, type C.
type Table struct {
	cDeg, gammaDeg []float64
	cd             [][]float64 // [plane][angle]
	span           span
	peak           float64
}

// span is the sector of planes that is stored; the rest follows by symmetry.
type span int

const (
	onePlane    span = iota // rotational symmetry
	quarter                 // 0..90
	half0to180              // mirror in the 0–180 plane
	half90to270             // mirror in the 90–270 plane, the half with 180 stored
	half270to90             // mirror in the 90–270 plane, the half with 0 stored, as 270..450
	full
)

// ErrTable is what is wrong with a table, wrapped with the place.
var ErrTable = errors.New("photometric table")

// NewTable returns the distribution of planes C (ascending, degrees; one plane,
// 0..90, 0..180, 90..270, 270..450, or a full turn with or without the closing
// 360), polar angles γ (ascending, 0..180) and candelas cd[plane][angle]. It
// keeps the slices. Beyond the stored γ there is no light.
func NewTable(cDeg, gammaDeg []float64, cd [][]float64) (*Table, error) {
	if len(cDeg) == 0 || len(gammaDeg) < 2 || len(cd) != len(cDeg) {
		return nil, fmt.Errorf("%w: %d planes and %d angles with %d rows", ErrTable, len(cDeg), len(gammaDeg), len(cd))
	}
	if !ascending(cDeg) || !ascending(gammaDeg) || gammaDeg[0] < 0 || gammaDeg[len(gammaDeg)-1] > 180 {
		return nil, fmt.Errorf("%w: angles must ascend, γ within 0..180", ErrTable)
	}
	t := &Table{cDeg: cDeg, gammaDeg: gammaDeg, cd: cd}
	for i, row := range cd {
		if len(row) != len(gammaDeg) {
			return nil, fmt.Errorf("%w: plane %d has %d of %d candelas", ErrTable, i, len(row), len(gammaDeg))
		}
		for _, v := range row {
			if !(v >= 0) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("%w: plane %d holds %v cd", ErrTable, i, v)
			}
			t.peak = math.Max(t.peak, v)
		}
	}
	if err := t.findSpan(); err != nil {
		return nil, err
	}
	return t, nil
}

func ascending(v []float64) bool {
	for i := range v {
		if math.IsNaN(v[i]) || math.IsInf(v[i], 0) || i > 0 && v[i] <= v[i-1] {
			return false
		}
	}
	return true
}

// findSpan tells the symmetry from the first and last stored plane. Sources:
// IES LM-63-1995 and -2002 (horizontal angles); EULUMDAT symmetry 3 for 270..450.
func (t *Table) findSpan() error {
	first, last := t.cDeg[0], t.cDeg[len(t.cDeg)-1]
	switch {
	case len(t.cDeg) == 1:
		t.span = onePlane
	case first == 0 && last == 90:
		t.span = quarter
	case first == 0 && last == 180:
		t.span = half0to180
	case first == 90 && last == 270:
		t.span = half90to270
	case first == 270 && last == 450:
		t.span = half270to90
	case first == 0 && last == 360:
		t.span = full
	case first == 0 && last > 180 && last < 360:
		// Files of full turns often leave out the closing plane.
		t.cDeg = append(slices.Clone(t.cDeg), 360)
		t.cd = append(slices.Clone(t.cd), t.cd[0])
		t.span = full
	default:
		return fmt.Errorf("%w: planes from %g° to %g° are no known symmetry", ErrTable, first, last)
	}
	return nil
}

// fold returns the stored plane angle that stands for any plane angle, degrees.
func (t *Table) fold(cDeg float64) float64 {
	c := math.Mod(cDeg, 360)
	if c < 0 {
		c += 360
	}
	switch t.span {
	case onePlane:
		return t.cDeg[0]
	case quarter:
		if c > 180 {
			c = 360 - c
		}
		if c > 90 {
			c = 180 - c
		}
	case half0to180:
		if c > 180 {
			c = 360 - c
		}
	case half90to270:
		if c < 90 || c > 270 {
			c = math.Mod(540-c, 360)
		}
	case half270to90:
		if c > 90 && c < 270 {
			c = 180 - c
		}
		c = math.Mod(c+360, 360)
		if c <= 90 {
			c += 360
		}
	}
	return c
}

// At returns candela at plane C and polar angle γ in degrees, bilinear.
func (t *Table) At(cDeg, gammaDeg float64) float64 {
	g, n := t.gammaDeg, len(t.gammaDeg)
	if !(gammaDeg >= g[0] && gammaDeg <= g[n-1]) {
		return 0
	}
	i, u := bracket(t.cDeg, t.fold(cDeg))
	j, v := bracket(g, gammaDeg)
	along := func(row []float64) float64 { return row[j] + v*(row[min(j+1, n-1)]-row[j]) }
	a := along(t.cd[i])
	if u == 0 {
		return a
	}
	return a + u*(along(t.cd[i+1])-a)
}

// bracket returns the index of the interval that holds x and the share of it.
func bracket(grid []float64, x float64) (int, float64) {
	i := sort.SearchFloat64s(grid, x)
	if i == len(grid) {
		return i - 1, 0
	}
	if grid[i] == x || i == 0 {
		return i, 0
	}
	return i - 1, (x - grid[i-1]) / (grid[i] - grid[i-1])
}

// Intensity returns candela toward dir in the fixture's frame (aim −Z).
func (t *Table) Intensity(dir geom.Vec) float64 {
	c := math.Atan2(dir.Y, dir.X) * 180 / math.Pi
	g := math.Atan2(math.Hypot(dir.X, dir.Y), -dir.Z) * 180 / math.Pi
	return t.At(c, g)
}

// FluxLm returns the total flux in lumens: trapezoid over the stored sector,
// then over γ in cos.
func (t *Table) FluxLm() float64 { return ZonalFlux(t.gammaDeg, t.AzimuthMean()) }

// AzimuthMean returns the candelas averaged over all planes, per stored γ.
func (t *Table) AzimuthMean() []float64 {
	mean := make([]float64, len(t.gammaDeg))
	t.eachSector(func(weight float64, plane int) {
		for j := range mean {
			mean[j] += weight * t.cd[plane][j]
		}
	})
	return mean
}

// eachSector visits the planes with their trapezoid weights, which add up to 1.
func (t *Table) eachSector(visit func(weight float64, plane int)) {
	n := len(t.cDeg)
	if n == 1 {
		visit(1, 0)
		return
	}
	whole := t.cDeg[n-1] - t.cDeg[0]
	for i := 1; i < n; i++ {
		w := (t.cDeg[i] - t.cDeg[i-1]) / whole / 2
		visit(w, i-1)
		visit(w, i)
	}
}

// PeakCd returns the largest stored intensity in candela.
func (t *Table) PeakCd() float64 { return t.peak }

// BeamDeg returns the full angle at half the peak, in degrees, averaged over
// the planes.
func (t *Table) BeamDeg() float64 { return t.meanAngle(0.5) }

// FieldDeg returns the full angle at a tenth of the peak, in degrees, averaged
// over the planes.
func (t *Table) FieldDeg() float64 { return t.meanAngle(0.1) }

func (t *Table) meanAngle(share float64) float64 {
	sum := 0.0
	t.eachSector(func(weight float64, plane int) {
		sum += weight * t.across(t.cDeg[plane]).width(share*t.peak)
	})
	return sum
}
