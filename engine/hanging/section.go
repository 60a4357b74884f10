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

// Section is a cross-section's second moment of area and elastic modulus about
// the horizontal axis.
type Section struct {
	Name   string
	I      float64 // m⁴
	S      float64 // m³
	KgPerM float64 // 0 unknown
	Source string
}

// Grade is a material grade with its modulus of elasticity and the bending
// value an added stress is printed beside.
type Grade struct {
	Name       string   `json:"name"`
	Materials  []string `json:"materials"`
	EGPa       float64  `json:"e_gpa"`
	BendingMPa float64  `json:"bending_mpa"`
	Source     string   `json:"source"`
}

type sectionFile struct {
	Sections []struct {
		Name    string  `json:"name"`
		Kind    string  `json:"kind"`
		OuterMM float64 `json:"outer_mm"`
		WallMM  float64 `json:"wall_mm"`
		IIn4    float64 `json:"i_in4"`
		SIn3    float64 `json:"s_in3"`
		KgPerM  float64 `json:"kg_per_m"`
		Source  string  `json:"source"`
	} `json:"sections"`
	Grades  []Grade `json:"grades"`
	Elastic []struct {
		Name   string  `json:"name"`
		EGPa   float64 `json:"e_gpa"`
		Source string  `json:"source"`
	} `json:"elastic"`
}

type materials struct {
	sections map[string]Section
	grades   map[string]Grade
	elastic  map[string]float64
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

func parseMaterials(raw []byte) (materials, error) {
	var f sectionFile
	if err := json.Unmarshal(raw, &f); err != nil {
		return materials{}, fmt.Errorf("hanging: %w", err)
	}
	m := materials{map[string]Section{}, map[string]Grade{}, map[string]float64{}}
	const inch = 0.0254
	for _, r := range f.Sections {
		s := Section{Name: r.Name, KgPerM: r.KgPerM, Source: r.Source}
		switch r.Kind {
		case "round":
			if !(r.WallMM > 0) || r.WallMM > r.OuterMM/2 {
				return materials{}, fmt.Errorf("hanging: section %q: wall %v mm in %v mm", r.Name, r.WallMM, r.OuterMM)
			}
			s.I, s.S = round(r.OuterMM/1000, r.WallMM/1000)
		case "listed":
			s.I, s.S = r.IIn4*math.Pow(inch, 4), r.SIn3*math.Pow(inch, 3)
		}
		if !(s.I > 0) || !(s.S > 0) || r.Source == "" {
			return materials{}, fmt.Errorf("hanging: section %q", r.Name)
		}
		m.sections[key(r.Name)] = s
	}
	for _, g := range f.Grades {
		if !(g.EGPa > 0) || !(g.BendingMPa > 0) || g.Source == "" || len(g.Materials) == 0 {
			return materials{}, fmt.Errorf("hanging: grade %q", g.Name)
		}
		m.grades[key(g.Name)] = g
	}
	for _, e := range f.Elastic {
		if !(e.EGPa > 0) || e.Source == "" {
			return materials{}, fmt.Errorf("hanging: modulus of %q", e.Name)
		}
		m.elastic[e.Name] = e.EGPa
	}
	return m, nil
}

// key compares names as people write them: without case, spaces and dots,
// × for x.
func key(name string) string {
	return strings.NewReplacer(" ", "", "×", "x", "mm", "").Replace(strings.ToLower(name))
}

// round returns I and S of a tube, π/64·(D⁴−d⁴) and I/(D/2).
func round(outer, wall float64) (i, s float64) {
	in := outer - 2*wall
	i = math.Pi / 64 * (math.Pow(outer, 4) - math.Pow(in, 4))
	return i, i / (outer / 2)
}

// sectionOf returns a line's cross-section: the named one, else a rectangle of
// the measured width and depth (b·d³/12, b·d²/6) of timber; false when unknown.
func (m materials) sectionOf(l survey.HangingLine) (Section, bool) {
	if s, ok := m.sections[key(l.Section)]; ok && l.Section != "" {
		return s, true
	}
	b, d := positive(float64(l.Width.Or(0))), positive(float64(l.Depth.Or(0)))
	timber := l.Material == "timber_solid" || l.Material == "glulam"
	if b > 0 && d > 0 && timber {
		return Section{Name: fmt.Sprintf("%.0f × %.0f mm", b*1000, d*1000), I: b * d * d * d / 12, S: b * d * d / 6, Source: "as measured"}, true
	}
	return Section{}, false
}

// stiffness returns E in Pa of a documented grade or of a metal; false when the
// material is not known well enough.
func (m materials) stiffness(l survey.HangingLine) (float64, bool) {
	if g, ok := m.gradeOf(l); ok {
		return g.EGPa * 1e9, true
	}
	e, ok := m.elastic[l.Material]
	return e * 1e9, ok
}

// gradeOf returns the documented grade, if it is one of the line's material.
func (m materials) gradeOf(l survey.HangingLine) (Grade, bool) {
	g, ok := m.grades[key(l.Grade)]
	if !ok || l.Grade == "" {
		return Grade{}, false
	}
	for _, mat := range g.Materials {
		if mat == l.Material {
			return g, true
		}
	}
	return Grade{}, false
}
