package hanging

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"

	"roodbeam/engine/survey"
)

//go:embed data/factors.json
var factorData string

// psi is one pound-force per square inch in MPa (NIST SP 811, appendix B.8).
const psi = 6894.757e-6

// The rules by which a grade's values become design values.
const (
	ndsDimension = "nds_dimension" // sawn lumber 2 in to 4 in thick
	ndsBeam      = "nds_beam"      // beams and stringers, 5 in and thicker
	ndsGlulam    = "nds_glulam"
	ec5Solid     = "ec5_solid"
	ec5Glulam    = "ec5_glulam"
	enElastic    = "en_elastic" // fy·S over the factors of steel and load
	asdPipe      = "asd_pipe"   // Fy·Z/1.67 on 0.93 of the wall
	published    = "published"  // the section's own published moment
)

// Grade is a material grade as documented: values of its standard, before any
// factor.
type Grade struct {
	Name      string       `json:"name"`
	Rule      string       `json:"rule"`
	Materials []string     `json:"materials"`
	FbPsi     float64      `json:"fb_psi"`
	FbByDepth [][2]float64 `json:"fb_by_depth"` // depth in in, psi: size is in it
	FvPsi     float64      `json:"fv_psi"`
	FcpPsi    float64      `json:"fcp_psi"`
	EMpsi     float64      `json:"e_mpsi"`
	EminMpsi  float64      `json:"emin_mpsi"`
	Gravity   float64      `json:"gravity"`
	LowGrade  bool         `json:"low_grade"` // below No.2: a size factor above 1 is not taken, the stricter side
	FmMPa     float64      `json:"fm_mpa"`
	FvMPa     float64      `json:"fv_mpa"`     // current edition, with the crack factor
	FvOldMPa  float64      `json:"fv_old_mpa"` // earlier edition, without it
	FyMPa     float64      `json:"fy_mpa"`
	EMPa      float64      `json:"e_mpa"`
	MeanKgM3  float64      `json:"mean_kg_m3"`
	Source    string       `json:"source"`
}

func (g Grade) check() error {
	strong := g.FbPsi > 0 || len(g.FbByDepth) > 0 || g.FmMPa > 0 || g.FyMPa > 0 || g.Rule == published
	if !strong || !(g.elasticity() > 0) || g.Source == "" || len(g.Materials) == 0 || g.Rule == "" {
		return fmt.Errorf("hanging: grade %q", g.Name)
	}
	return nil
}

// elasticity is the mean modulus of elasticity, Pa.
func (g Grade) elasticity() float64 {
	if g.EMPa > 0 {
		return g.EMPa * 1e6
	}
	return g.EMpsi * 1e6 * psi * 1e6
}

// density is the grade's mean density, kg/m³, at 12 % moisture; from its specific
// gravity by 62.4·G/(1 + 0.009·G·12)·1.12 lb/ft³. 0 unknown.
//
// Source: NDS 2018 Supplement, section 3.1.3 (from memory).
func (g Grade) density() float64 {
	if g.MeanKgM3 > 0 {
		return g.MeanKgM3
	}
	const poundPerCubicFoot = 16.018463
	return 62.4 * g.Gravity / (1 + .009*g.Gravity*12) * 1.12 * poundPerCubicFoot
}

// Factor is one factor a value was multiplied by.
type Factor struct {
	Name   string
	Value  float64
	Source string
}

// Strength is what the stress of an added load is printed beside: design values
// of a documented grade for a load that stays, for this section.
type Strength struct {
	BendingMPa float64 // on the elastic modulus
	ShearMPa   float64 // on the whole section; NaN not computed
	EPa        float64
	// LoadFactor multiplies the load before it is compared; 1 where the rule
	// keeps its margin in the value.
	LoadFactor float64
	// Creep multiplies a deflection that stays.
	Creep   float64
	Factors []Factor
	Source  string
	// Refused says why there is no value; then nothing else is set.
	Refused string
}

// gammaG is the load factor of a permanent action held against a Eurocode
// strength.
//
// Source: EN 1990 (6.10), Table A1.2(B), γG,sup (from memory).
const gammaG = 1.35

// crackFactor is the share of the width taken in shear with the current shear
// strengths.
//
// Source: EN 1995-1-1 6.1.7(2), kcr, as amended (from memory).
const crackFactor = 0.67

// omega is the safety factor of bending in allowable strength design, pipeWall the
// share of a pipe's wall that is counted.
//
// Source: AISC 360, F1 and B4.2 (B4.2 from memory).
const (
	omega    = 1.67
	pipeWall = 0.93
)

// scaffoldMargin divides the yield strength of tubes: 1.1 for the steel and 1.5
// for the load.
//
// Source: scaffold practice of EN 12811-1 (from memory).
const scaffoldMargin = 1.1 * 1.5

type factorTables struct {
	DurationNDS struct {
		Source string `json:"source"`
		Rows   []struct {
			Name string  `json:"name"`
			CD   float64 `json:"cd"`
		} `json:"rows"`
	} `json:"duration_nds"`
	SizeNDS struct {
		Source string `json:"source"`
		Rows   []struct {
			DepthIn float64 `json:"depth_in"`
			Thin    float64 `json:"thin"`
			Thick   float64 `json:"thick"`
		} `json:"rows"`
	} `json:"size_nds"`
	WetNDS struct {
		Source string `json:"source"`
		Rows   []struct {
			Rule   string  `json:"rule"`
			Fb     float64 `json:"fb"`
			FbLow  float64 `json:"fb_low"`
			LowPsi float64 `json:"low_psi"`
			Fv     float64 `json:"fv"`
			E      float64 `json:"e"`
		} `json:"rows"`
	} `json:"wet_nds"`
	Kmod struct {
		Source  string   `json:"source"`
		Classes []string `json:"classes"`
		Rows    []struct {
			Name   string    `json:"name"`
			Values []float64 `json:"values"`
		} `json:"rows"`
	} `json:"kmod"`
	Partial struct {
		Source string `json:"source"`
		Rows   []struct {
			Rule  string  `json:"rule"`
			Value float64 `json:"value"`
		} `json:"rows"`
	} `json:"partial"`
	Creep struct {
		Source string `json:"source"`
		Rows   []struct {
			Rule string  `json:"rule"`
			Dry  float64 `json:"dry"`
			Wet  float64 `json:"wet"`
		} `json:"rows"`
	} `json:"creep"`
}

func readFactors() factorTables {
	var f factorTables
	if err := json.Unmarshal([]byte(factorData), &f); err != nil {
		panic(fmt.Sprintf("hanging: factors: %v", err))
	}
	return f
}

// permanent is the duration class of what hangs for years.
const permanent = "permanent"

// DurationFactor returns the load duration factor CD of a duration by its name
// ("permanent", "ten years" …); NaN for a name that is none.
//
// Source: NDS 2018 2.3.2 and Table 2.3.2.
func DurationFactor(name string) float64 {
	for _, r := range readFactors().DurationNDS.Rows {
		if r.Name == name {
			return r.CD
		}
	}
	return math.NaN()
}

// ModificationFactor returns kmod of solid timber and glulam for a duration
// ("permanent", "long term", "medium term", "short term", "instantaneous") and a
// service class, 1 to 3; NaN for what is none.
//
// Source: EN 1995-1-1 Table 3.1.
func ModificationFactor(duration string, class int) float64 {
	for _, r := range readFactors().Kmod.Rows {
		if r.Name == duration && class >= 1 && class <= len(r.Values) {
			return r.Values[class-1]
		}
	}
	return math.NaN()
}

// SizeFactor returns the size factor CF of sawn lumber 2 in to 4 in thick for Fb,
// of its dressed width and depth in m; a depth between two rows takes the deeper.
//
// Source: NDS 2018 Supplement Table 4A, adjustment factors (from memory but for
// 2×4).
func SizeFactor(width, depth float64) float64 {
	const fourThick, slack = 3.25 * inchM, 0.02 * inchM // 4 in is dressed to 3½ in; sizes are given to the sixteenth
	for _, r := range readFactors().SizeNDS.Rows {
		if depth <= r.DepthIn*inchM+slack {
			if width > fourThick {
				return r.Thick
			}
			return r.Thin
		}
	}
	return math.NaN()
}

// DeepTimberFactor returns the size factor of timbers deeper than 12 in,
// (12/d)^(1/9), for a depth in m; 1 for lower ones.
//
// Source: NDS 2018 4.3.6 (formula from memory).
func DeepTimberFactor(depth float64) float64 {
	if d := depth / inchM; d > 12 {
		return math.Pow(12/d, 1.0/9)
	}
	return 1
}

// VolumeFactor returns CV of a glulam beam, ((21/L)·(12/d)·(5.125/b))^(1/10), not
// above 1, for width, depth and length between points of no moment in m.
//
// Source: NDS 2018 5.3.6; exponent 1/10, softwoods other than Southern Pine.
func VolumeFactor(width, depth, span float64) float64 {
	if !(width > 0) || !(depth > 0) || !(span > 0) {
		return 1
	}
	b := math.Min(width/inchM, 10.75)
	return math.Min(1, math.Pow(21/(span/.3048)*12/(depth/inchM)*5.125/b, .1))
}

// DepthFactor returns kh: min((150/h)^0.2, 1.3) of solid timber lower than 150 mm,
// min((600/h)^0.1, 1.1) of glulam lower than 600 mm; depth in m.
//
// Source: EN 1995-1-1 3.2(3) and 3.3(3).
func DepthFactor(glulam bool, depth float64) float64 {
	h := depth * 1000
	switch {
	case !(h > 0):
		return 1
	case glulam && h < 600:
		return math.Min(math.Pow(600/h, .1), 1.1)
	case !glulam && h < 150:
		return math.Min(math.Pow(150/h, .2), 1.3)
	}
	return 1
}

// strengthOf returns what a line's added load is held against, for a span in m;
// Refused names what is missing.
func (m materials) strengthOf(l survey.HangingLine, s Section, span float64) Strength {
	g, why := m.gradeOf(l, s)
	if why != "" {
		return Strength{Refused: why}
	}
	return g.strength(s, span, l.Wet)
}

// gradeOf returns the documented grade, if it is one of the line's material and
// of the section's size; else why there is none.
func (m materials) gradeOf(l survey.HangingLine, s Section) (Grade, string) {
	if l.Grade == "" {
		return Grade{}, "its grade is not known"
	}
	list := m.grades[key(l.Grade)]
	if len(list) == 0 {
		return Grade{}, fmt.Sprintf("no values for the grade %q are in the table", l.Grade)
	}
	why := "the grade " + l.Grade + " is not one of its material"
	for _, g := range list {
		for _, mat := range g.Materials {
			if mat != l.Material {
				continue
			}
			refused := g.wrongSize(s)
			if refused == "" {
				return g, ""
			}
			why = refused
		}
	}
	return Grade{}, why
}

// wrongSize says why a grade's table does not hold for a section.
//
// Source: NDS 2018 Supplement, size classification (from memory).
func (g Grade) wrongSize(s Section) string {
	const slack = 0.02 * inchM
	switch g.Rule {
	case ndsDimension:
		if s.Kind != rectangle || s.Width > 4*inchM+slack {
			return "the values of " + g.Name + " are for lumber 2 to 4 in thick"
		}
		if n := len(g.FbByDepth); n > 0 && s.Depth > g.FbByDepth[n-1][0]*inchM+slack {
			return "the values of " + g.Name + " end at a lower depth"
		}
	case ndsBeam:
		if s.Kind != rectangle || s.Width < 4.5*inchM-slack {
			return "the values of " + g.Name + " are for timbers 5 in and thicker"
		}
		if s.Depth-s.Width <= 2*inchM+slack {
			return "a timber not more than 2 in deeper than wide is graded as a post, which is not in the table"
		}
	case ndsGlulam, ec5Solid, ec5Glulam:
		if s.Kind != rectangle {
			return "the grade " + g.Name + " is one of solid sections"
		}
	case asdPipe:
		if s.Kind != tube {
			return "the grade " + g.Name + " is one of pipes"
		}
	case published:
		if s.MomentNM == 0 || (s.Material != "" && s.Material != g.Materials[0]) {
			return "no allowable moment is published for " + s.Name
		}
	}
	return ""
}

// strength applies the factors of the grade's rule for a load that stays.
//
// Repetitive members (Cr), and load sharing of any kind, are not taken: one unit
// hangs on one member. Notches, holes and old bolts are no number here: they are
// the engineer's.
func (g Grade) strength(s Section, span float64, wet bool) Strength {
	r := Strength{EPa: g.elasticity(), ShearMPa: math.NaN(), LoadFactor: 1, Creep: 1, Source: g.Source}
	t := readFactors()
	factor := func(name string, v float64, source string) float64 {
		r.Factors = append(r.Factors, Factor{name, v, source})
		return v
	}
	creep := func(rule string) {
		for _, c := range t.Creep.Rows {
			if c.Rule == rule {
				r.Creep = c.Dry
				if wet {
					r.Creep = c.Wet
				}
			}
		}
	}
	switch g.Rule {
	case ndsDimension, ndsBeam, ndsGlulam:
		creep("nds")
		g.nds(&r, t, s, span, wet, factor)
	case ec5Solid, ec5Glulam:
		creep("ec5")
		class := 2
		if wet {
			class = 3
		}
		kmod := factor(fmt.Sprintf("kmod, permanent, service class %d", class), ModificationFactor(permanent, class), t.Kmod.Source)
		kh := factor("kh, depth", DepthFactor(g.Rule == ec5Glulam, s.Depth), "EN 1995-1-1 3.2(3), 3.3(3)")
		gamma := math.NaN()
		for _, p := range t.Partial.Rows {
			if p.Rule == g.Rule {
				gamma = factor("γM", p.Value, t.Partial.Source)
			}
		}
		r.BendingMPa = kmod * kh * g.FmMPa / gamma
		// Of the two editions' shear strengths the stricter, on the whole width.
		fv := math.Min(crackFactor*g.FvMPa, g.FvOldMPa)
		r.ShearMPa = kmod * factor("shear strength of the stricter edition, MPa", fv, g.Source+"; kcr 0.67, EN 1995-1-1 6.1.7(2)") / gamma
		r.LoadFactor = factor("γG on the load", gammaG, "EN 1990 (6.10) (from memory)")
	case enElastic:
		r.BendingMPa = g.FyMPa / factor("1.1 · 1.5", scaffoldMargin, g.Source)
		r.stricter(s)
	case asdPipe:
		thin, err := Tube(s.Depth, pipeWall*s.Wall)
		if err != nil {
			return Strength{Refused: "the wall of " + s.Name + " is not known"}
		}
		factor("design wall", pipeWall, "AISC 360 B4.2 (from memory)")
		r.BendingMPa = g.FyMPa * thin.Z / factor("Ω", omega, "AISC 360 F1") / s.S
		r.stricter(s)
	case published:
		r.BendingMPa = s.MomentNM / s.S / 1e6
		r.Source = s.MomentSource
	}
	if !finite(r.BendingMPa) || !(r.BendingMPa > 0) {
		return Strength{Refused: "no bending value could be made of the grade " + g.Name}
	}
	return r
}

// stricter takes a moment published for the section itself where it is lower,
// and names both.
func (r *Strength) stricter(s Section) {
	if s.MomentNM <= 0 {
		return
	}
	r.Source += "; also " + s.MomentSource + ", the stricter taken"
	r.BendingMPa = math.Min(r.BendingMPa, s.MomentNM/s.S/1e6)
}

func (g Grade) nds(r *Strength, t factorTables, s Section, span float64, wet bool, factor func(string, float64, string) float64) {
	cd := factor("CD, permanent", DurationFactor(permanent), t.DurationNDS.Source)
	fb := g.FbPsi
	for i := len(g.FbByDepth) - 1; i >= 0; i-- {
		if row := g.FbByDepth[i]; s.Depth <= (row[0]+.02)*inchM {
			fb = row[1]
		}
	}
	size := 1.0
	switch {
	case len(g.FbByDepth) > 0:
	case g.Rule == ndsDimension:
		size = SizeFactor(s.Width, s.Depth)
		if g.LowGrade {
			size = math.Min(size, 1)
		}
		factor("CF, size", size, t.SizeNDS.Source)
	case g.Rule == ndsBeam:
		size = factor("CF, size", DeepTimberFactor(s.Depth), "NDS 2018 4.3.6 (formula from memory)")
	case g.Rule == ndsGlulam:
		size = factor("CV, volume", VolumeFactor(s.Width, s.Depth, span), "NDS 2018 5.3.6")
	}
	cmB, cmV, cmE := 1.0, 1.0, 1.0
	if wet {
		for _, w := range t.WetNDS.Rows {
			if w.Rule != g.Rule {
				continue
			}
			cmB, cmV, cmE = w.Fb, w.Fv, w.E
			if fb*size <= w.LowPsi {
				cmB = w.FbLow
			}
		}
		factor("CM, wet, bending", cmB, t.WetNDS.Source)
		factor("CM, wet, shear", cmV, t.WetNDS.Source)
		factor("CM, wet, modulus", cmE, t.WetNDS.Source)
	}
	r.BendingMPa = fb * psi * cd * size * cmB
	r.ShearMPa = g.FvPsi * psi * cd * cmV
	r.EPa *= cmE
}

// stiffness returns E in Pa of a documented grade or of a metal; false when the
// material is not known well enough.
func (m materials) stiffness(l survey.HangingLine, s Section) (e, creep float64, ok bool) {
	if st := m.strengthOf(l, s, 0); st.Refused == "" {
		return st.EPa, st.Creep, true
	}
	if v, known := m.elastic[l.Material]; known {
		return v * 1e9, 1, true
	}
	return 0, 1, false
}

// shearStress returns the largest shear stress of a rectangle, 1.5·V/A, MPa, of a
// shear force in N; NaN for other sections.
//
// Source: NDS 2018 3.4.2; EN 1995-1-1 6.1.7.
func shearStress(s Section, v float64) float64 {
	if s.Kind != rectangle || !(s.Area > 0) {
		return math.NaN()
	}
	return 1.5 * v / s.Area / 1e6
}
