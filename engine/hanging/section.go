package hanging

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/survey"
)

//go:embed data/sections.json
var sectionData string

// The kinds of section.
const (
	rectangle = "rect"   // timber
	tube      = "round"  // pipe or tube
	shape     = "listed" // rolled steel section
)

// Section is a cross-section's size and properties about its horizontal axis.
type Section struct {
	Name string
	Kind string  // rect, round, listed
	I    float64 // second moment of area, m⁴
	S    float64 // elastic modulus, m³
	Z    float64 // plastic modulus, m³; 0 unknown
	Area float64 // m²; 0 unknown
	// Width and Depth of a rectangle, outer diameter and wall of a tube, m.
	Width, Depth, Wall float64
	KgPerM             float64 // of the listed material; 0 unknown
	Material           string  // it is listed in; empty: any
	// MomentNM is an allowable bending moment published for the section itself,
	// N·m; 0 none.
	MomentNM     float64
	MomentSource string
	Source       string
}

type sectionRow struct {
	Name         string  `json:"name"`
	Kind         string  `json:"kind"`
	Material     string  `json:"material"`
	OuterMM      float64 `json:"outer_mm"`
	WallMM       float64 `json:"wall_mm"`
	WidthIn      float64 `json:"width_in"`
	DepthIn      float64 `json:"depth_in"`
	AIn2         float64 `json:"a_in2"`
	IIn4         float64 `json:"i_in4"`
	SIn3         float64 `json:"s_in3"`
	KgPerM       float64 `json:"kg_per_m"`
	MomentKNM    float64 `json:"moment_knm"`
	MomentSource string  `json:"moment_source"`
	Source       string  `json:"source"`
}

type sectionFile struct {
	Sections []sectionRow `json:"sections"`
	Grades   []Grade      `json:"grades"`
	Elastic  []struct {
		Name   string  `json:"name"`
		EGPa   float64 `json:"e_gpa"`
		Source string  `json:"source"`
	} `json:"elastic"`
	Densities []struct {
		Name   string  `json:"name"`
		KgM3   float64 `json:"kg_m3"`
		Source string  `json:"source"`
	} `json:"densities"`
}

type materials struct {
	sections  map[string]Section
	names     []string // of the sections, as listed
	grades    map[string][]Grade
	elastic   map[string]float64 // GPa
	densities map[string]float64 // kg/m³
}

// readMaterials reads the embedded table. A malformed file is a programming
// error and panics; a test reads it.
func readMaterials() materials {
	m, err := parseMaterials([]byte(sectionData))
	if err != nil {
		panic(err)
	}
	return m
}

const inchM = 0.0254

func parseMaterials(raw []byte) (materials, error) {
	var f sectionFile
	if err := json.Unmarshal(raw, &f); err != nil {
		return materials{}, fmt.Errorf("hanging: %w", err)
	}
	m := materials{map[string]Section{}, nil, map[string][]Grade{}, map[string]float64{}, map[string]float64{}}
	for _, r := range f.Sections {
		s, err := r.section()
		if err != nil {
			return materials{}, err
		}
		m.sections[key(r.Name)] = s
		m.names = append(m.names, r.Name)
	}
	for _, g := range f.Grades {
		if err := g.check(); err != nil {
			return materials{}, err
		}
		m.grades[key(g.Name)] = append(m.grades[key(g.Name)], g)
	}
	for _, e := range f.Elastic {
		if !(e.EGPa > 0) || e.Source == "" {
			return materials{}, fmt.Errorf("hanging: modulus of %q", e.Name)
		}
		m.elastic[e.Name] = e.EGPa
	}
	for _, d := range f.Densities {
		if !(d.KgM3 > 0) || d.Source == "" {
			return materials{}, fmt.Errorf("hanging: density of %q", d.Name)
		}
		m.densities[d.Name] = d.KgM3
	}
	return m, nil
}

func (r sectionRow) section() (Section, error) {
	var s Section
	switch r.Kind {
	case tube:
		var err error
		if s, err = Tube(r.OuterMM/1000, r.WallMM/1000); err != nil {
			return s, fmt.Errorf("hanging: section %q: %w", r.Name, err)
		}
	case rectangle:
		s = Rectangle(r.WidthIn*inchM, r.DepthIn*inchM)
	case shape:
		s = Section{Kind: shape, I: r.IIn4 * math.Pow(inchM, 4), S: r.SIn3 * math.Pow(inchM, 3), Area: r.AIn2 * inchM * inchM}
	}
	if !(s.I > 0) || !(s.S > 0) || math.IsInf(s.I, 0) || math.IsInf(s.S, 0) || r.Source == "" {
		return s, fmt.Errorf("hanging: section %q", r.Name)
	}
	s.Name, s.KgPerM, s.Material, s.Source = r.Name, r.KgPerM, r.Material, r.Source
	s.MomentNM, s.MomentSource = r.MomentKNM*1000, r.MomentSource
	return s, nil
}

// Rectangle returns a solid section of a width and depth in m: I = b·d³/12,
// S = b·d²/6. Zero properties for a size that is not positive.
//
// Source: plane geometry.
func Rectangle(b, d float64) Section {
	b, d = positive(b), positive(d)
	return Section{Name: fmt.Sprintf("%.0f × %.0f mm", b*1000, d*1000), Kind: rectangle, Width: b, Depth: d,
		Area: b * d, I: b * d * d * d / 12, S: b * d * d / 6, Z: b * d * d / 4, Source: "as measured"}
}

// Tube returns a round tube of an outer diameter and a wall in m:
// I = π/64·(D⁴ − d⁴), S = I/(D/2), Z = (D³ − d³)/6. An error where the wall does
// not fit.
//
// Source: plane geometry.
func Tube(outer, wall float64) (Section, error) {
	if !(wall > 0) || wall > outer/2 || !finite(outer) {
		return Section{}, fmt.Errorf("a wall of %g mm in a tube of %g mm", wall*1000, outer*1000)
	}
	in := outer - 2*wall
	i := math.Pi / 64 * (math.Pow(outer, 4) - math.Pow(in, 4))
	return Section{Name: fmt.Sprintf("tube %gx%g", outer*1000, wall*1000), Kind: tube, Depth: outer, Wall: wall,
		Area: math.Pi / 4 * (outer*outer - in*in), I: i, S: i / (outer / 2), Z: (outer*outer*outer - in*in*in) / 6, Source: "plane geometry"}, nil
}

// key compares names as people write them: without case, spaces and dots,
// × for x.
func key(name string) string {
	return strings.NewReplacer(" ", "", "×", "x", "mm", "").Replace(strings.ToLower(name))
}

// sectionOf returns a line's cross-section: the named one, else a rectangle of
// the measured width and depth of timber; false when unknown.
func (m materials) sectionOf(l survey.HangingLine) (Section, bool) {
	if s, ok := m.sections[key(l.Section)]; ok && l.Section != "" {
		return s, true
	}
	b, d := length(l.Width), length(l.Depth)
	if b > 0 && d > 0 && (l.Material == "timber_solid" || l.Material == "glulam") {
		return Rectangle(b, d), true
	}
	return Section{}, false
}

// weight returns a section's kilograms per metre in a material: the listed mass,
// else area times density; 0 unknown.
func (m materials) weight(s Section, material string, g Grade) float64 {
	if s.KgPerM > 0 && (s.Material == "" || s.Material == material) {
		return s.KgPerM
	}
	if d, ok := m.densities[material]; ok {
		return s.Area * d
	}
	return s.Area * g.density()
}

// SectionNamed returns a section of the table by its name, case, spaces and × or
// x alike; false when it is not there.
func SectionNamed(name string) (Section, bool) {
	s, ok := readMaterials().sections[key(name)]
	return s, ok && name != ""
}

// SectionNames lists the table in its order.
func SectionNames() []string { return readMaterials().names }
