package command

import (
	"fmt"
	"regexp"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type calcCmd struct {
	Throw     throwCmd     `cmd:"" help:"Distance and elevation from a lens to a face."`
	Pool      poolCmd      `cmd:"" help:"Pool diameter of a beam."`
	VoltDrop  voltDropCmd  `cmd:"" name:"volt-drop" help:"Voltage drop of a two-wire or three-phase run."`
	Circuit   circuitCmd   `cmd:"" help:"Breaker, conductor, ground and raceway of one circuit."`
	Fill      fillCmd      `cmd:"" help:"How full conductors make a raceway."`
	Payback   paybackCmd   `cmd:"" help:"When a saving pays its cost back."`
	Exposure  exposureCmd  `cmd:"" help:"Light that a camera's settings ask for."`
	Mixture   mixtureCmd   `cmd:"" help:"Drive of colour emitters for a wanted light at most flux."`
	Sun       sunCmd       `cmd:"" help:"Where the sun stands."`
	Beam      beamCmd      `cmd:"" help:"Reactions, shear, moment and deflection of a beam."`
	Secondary secondaryCmd `cmd:"" help:"Pull of a fall into a secondary suspension."`
}

func typed(s string) *pb.Quantity { return &pb.Quantity{Typed: s} }

func basis(c *call, b *pb.CalcBasis) error {
	fmt.Fprintf(c.out, "formula    %s\nsource     %s\n", b.GetFormula(), b.GetSource())
	for _, n := range b.GetCautions() {
		fmt.Fprintf(c.out, "caution    %s\n", n)
	}
	return nil
}

func upper(s string) string {
	return strings.ToUpper(strings.NewReplacer("-", "_", " ", "_").Replace(s))
}

// supply is what people write of a supply in one text.
type supply struct {
	system      pb.SupplySystem
	volts, main string
}

// systems are the kinds of supply as they are written; without the wires the
// usual ones are meant.
var systems = map[string]pb.SupplySystem{
	"1ph":   pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W,
	"1ph2w": pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W,
	"1ph3w": pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_3W,
	"3ph":   pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_4W,
	"3ph4w": pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_4W,
	"3ph3w": pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W,
}

var (
	supplyVolts = regexp.MustCompile(`(?i)v$`)
	supplyAmps  = regexp.MustCompile(`(?i)a$`)
)

// readSupply reads a supply in either spelling: 230V/1ph or 1ph2w/230V/100A. The
// parts are told apart by their units; without units the voltage comes first.
func readSupply(text string) (supply, error) {
	var out supply
	for _, part := range split(text, "/") {
		system, known := systems[strings.ToLower(part)]
		switch {
		case part == "" && out.system != 0:
			// Unknown, as in 1ph2w//100A.
		case known && out.system == 0:
			out.system = system
		case !known && out.volts == "" && !supplyAmps.MatchString(part) && (supplyVolts.MatchString(part) || startsWithDigit(part) && !strings.Contains(strings.ToLower(part), "ph")):
			out.volts = part
		case !known && out.main == "" && startsWithDigit(part) && !strings.Contains(strings.ToLower(part), "ph"):
			out.main = part
		default:
			return out, wrong("--supply: given %q; %q is not understood; wanted is 230V/1ph or 1ph2w/230V/100A, with 1ph, 3ph, 1ph2w, 1ph3w, 3ph4w or 3ph3w", text, part)
		}
	}
	return out, nil
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

// supplied reads the supply of a sum: its voltage is wanted, and its lines are one
// phase unless they are given.
func supplied(text string) (volts string, system pb.SupplySystem, err error) {
	s, err := readSupply(text)
	if err == nil && s.volts == "" {
		err = wrong("--supply: given %q; a voltage is wanted, as in 230V/1ph or 1ph2w/230V", text)
	}
	if s.system == 0 {
		s.system = pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W
	}
	return s.volts, s.system, err
}

// regionOf is the region that was named, else the one whose conductors these are.
func regionOf(named string, conductors ...string) string {
	if named != "" {
		return named
	}
	for _, c := range conductors {
		if strings.Contains(strings.ToLower(c), "mm") {
			return "metric"
		}
	}
	return "us"
}

// usUnits finds feet, inches, pounds and pounds-force in what was typed.
var usUnits = regexp.MustCompile(`(?i)\d\s*(ft|feet|foot|in|inch|inches|yd|lb|lbs|lbf|psi|ksi)\b|\d\s*['"′″]`)

// typedIn returns the units in which an answer is written: those of the question.
func typedIn(texts ...string) units {
	for _, t := range texts {
		if usUnits.MatchString(t) {
			return units{us: true}
		}
	}
	return units{}
}

// both writes a quantity in the units of the question and behind it in the others.
func both(u units, write func(units) string) string {
	return write(u) + " (" + write(units{!u.us}) + ")"
}

// unitsOf returns the units in which text without a unit is read.
func unitsOf(region string) pb.DisplayUnits {
	if region == "us" {
		return pb.DisplayUnits_DISPLAY_UNITS_US
	}
	return pb.DisplayUnits_DISPLAY_UNITS_METRIC
}
