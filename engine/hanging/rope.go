package hanging

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"

	"roodbeam/engine/si"
)

//go:embed data/hardware.json
var hardwareData string

type hardwareTables struct {
	DesignFactors []struct {
		Use    string  `json:"use"`
		Factor float64 `json:"factor"`
		Source string  `json:"source"`
	} `json:"design_factors"`
	Ropes []struct {
		Name       string  `json:"name"`
		DiameterMM float64 `json:"diameter_mm"`
		BreakingN  float64 `json:"breaking_n"`
		Source     string  `json:"source"`
	} `json:"ropes"`
	Constructions []struct {
		Name   string  `json:"name"`
		K      float64 `json:"k"`
		Source string  `json:"source"`
	} `json:"constructions"`
	MetalAreas []struct {
		Name   string  `json:"name"`
		X      float64 `json:"x"`
		Source string  `json:"source"`
	} `json:"metal_areas"`
	Terminations []struct {
		Name       string  `json:"name"`
		Efficiency float64 `json:"efficiency"`
		Source     string  `json:"source"`
	} `json:"terminations"`
	Rods []struct {
		Name    string  `json:"name"`
		LoadLb  float64 `json:"load_lb"`
		OtherLb float64 `json:"other_lb"`
		Source  string  `json:"source"`
	} `json:"rods"`
	Shackles []breaking `json:"shackles"`
	Bolts    []breaking `json:"bolts"`
	Woods    []struct {
		Name    string  `json:"name"`
		Gravity float64 `json:"gravity"`
		Source  string  `json:"source"`
	} `json:"woods"`
}

type breaking struct {
	Name      string  `json:"name"`
	BreakingN float64 `json:"breaking_n"`
	Source    string  `json:"source"`
}

func readHardware() hardwareTables {
	var t hardwareTables
	if err := json.Unmarshal([]byte(hardwareData), &t); err != nil {
		panic(fmt.Sprintf("hanging: hardware: %v", err))
	}
	return t
}

// DesignFactor returns the strictest factor between breaking load and working load
// for a use ("hardware overhead", "over people", "textile") and every source that
// states one; 0 for a use that is none.
func DesignFactor(use string) (factor float64, sources []string) {
	for _, r := range readHardware().DesignFactors {
		if r.Use == use {
			factor = math.Max(factor, r.Factor)
			sources = append(sources, fmt.Sprintf("%g: %s", r.Factor, r.Source))
		}
	}
	return factor, sources
}

// WorkingLoad returns what a breaking load in N allows, N: MBF/factor·efficiency
// of its end. 0 where an argument is not positive; an efficiency is not above 1.
//
// Source: ASME B30.9.
func WorkingLoad(breaking, factor, efficiency float64) float64 {
	if !(breaking > 0) || !(factor > 0) || !(efficiency > 0) {
		return 0
	}
	return breaking / factor * math.Min(efficiency, 1)
}

// RopeBreaking returns the least breaking force of a steel wire rope, N, of a
// diameter in m, a wire grade in N/mm² and a construction of the table:
// Fmin = K·d²·Rr/1000 kN, d in mm. False for a construction that is none.
//
// Source: EN 12385-4.
func RopeBreaking(diameter, grade float64, construction string) (n float64, source string, ok bool) {
	for _, c := range readHardware().Constructions {
		if key(c.Name) == key(construction) {
			d := positive(diameter) * 1000
			return c.K * d * d * positive(grade), c.Source, true
		}
	}
	return 0, "", false
}

// Constructions lists the rope constructions of the table.
func Constructions() []string {
	var out []string
	for _, c := range readHardware().Constructions {
		out = append(out, c.Name)
	}
	return out
}

// Efficiency returns the share of a rope's breaking load that an end keeps:
// "ferrule", "clips", "none". False for another.
func Efficiency(end string) (share float64, source string, ok bool) {
	for _, e := range readHardware().Terminations {
		if e.Name == end {
			return e.Efficiency, e.Source, true
		}
	}
	return 0, "", false
}

// RopeModulus is the modulus of elasticity of wire rope in the energy method, Pa.
//
// Source: D. Hall, Understanding Shock Loads, TD&T 49(2), 2013: 15×10⁶ psi.
const RopeModulus = 15e6 * psi * 1e6

// RopeMetal returns the metal's cross-section of a rope of a diameter in m, m²,
// x·d² of its build: "7x19", "7x7", "6x19-FC", "6x19-IWRC"; 0 for another.
//
// Source: D. Hall, Understanding Shock Loads, TD&T 49(2), 2013.
func RopeMetal(diameter float64, build string) float64 {
	for _, a := range readHardware().MetalAreas {
		if key(a.Name) == key(build) {
			return a.X * positive(diameter) * positive(diameter)
		}
	}
	return 0
}

// ArrestForce returns the largest pull in N of a mass in kg that falls a drop in m
// and is stopped by an elastic rope of metal area A in m², modulus E in Pa and
// length in m on an anchor that does not give: W·[1 + √(1 + 2·h·E·A/(W·L))]. No drop
// gives twice the weight. It ignores what clamps, bars and hooks give, and so is
// an upper figure: to rank and to warn, never to approve. NaN where mass, area,
// modulus or length is not positive or the drop is negative.
//
// Source: D. Hall, Understanding Shock Loads, TD&T 49(2), 2013.
func ArrestForce(mass, drop, area, modulus, length float64) float64 {
	w := mass * si.StandardGravity
	for _, v := range []float64{w, area, modulus, length} {
		if !(v > 0) || !finite(v) {
			return math.NaN()
		}
	}
	if !(drop >= 0) || !finite(drop) {
		return math.NaN()
	}
	return w * (1 + math.Sqrt(1+2*drop*modulus*area/(w*length)))
}

// StopForce returns the mean pull in N of a mass in kg that falls a drop and is
// stopped over a distance, both in m: W·(1 + h/s). NaN without a mass or a
// distance.
//
// Source: work and energy; D. Hall, Understanding Shock Loads, TD&T 49(2), 2013.
func StopForce(mass, drop, stop float64) float64 {
	if !(mass > 0) || !(stop > 0) || !(drop >= 0) || !finite(mass+drop+stop) {
		return math.NaN()
	}
	return mass * si.StandardGravity * (1 + drop/stop)
}

// MaxDrop is the longest fall into a secondary suspension, m.
//
// Source: DGUV Information 215-313 1.3 and the scope of DIN 56927: 0.20 m.
const MaxDrop = 0.20

// Falls are what a drop into a secondary suspension calls for.
const (
	FallStop = "stop" // longer than any secondary suspension is meant for
	FallWarn = "warn" // ranked by its force
	FallNote = "note" // no slack
)

// Fall returns what a drop in m calls for: stop above 0.20 m, warn up to that,
// note without slack; stop for a drop that is no number.
//
// Source: DGUV Information 215-313 1.3.
func Fall(drop float64) string {
	switch {
	case drop == 0:
		return FallNote
	case drop > 0 && drop <= MaxDrop:
		return FallWarn
	}
	return FallStop
}
