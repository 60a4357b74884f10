package command

import (
	"fmt"
	"math"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// units is how quantities are written for people: US customary or metric. Every
// command writes lengths, masses and forces through it.
type units struct{ us bool }

// unitsFor returns the units in which people of a project read.
func (c *call) unitsFor(s *session, project string) (units, error) {
	docs, err := s.Project.GetDocuments(c.ctx, &pb.GetDocumentsRequest{ProjectId: project})
	if err != nil {
		return units{}, err
	}
	return units{usDisplay(docs.GetFile())}, nil
}

// Exact by definition (international yard and pound, NIST SP 811 appendix B);
// a pound-force by standard gravity.
const (
	metresPerFoot     = 0.3048
	metresPerInch     = 0.0254
	kilogramsPerPound = 0.45359237
	newtonsPerPound   = 0.45359237 * 9.80665
)

func (u units) value(v *float64, usUnit string, per float64, usDecimals int, unit string, decimals int) string {
	switch {
	case v == nil:
		return "unknown"
	case u.us:
		return fmt.Sprintf("%.*f %s", usDecimals, *v/per, usUnit)
	}
	return fmt.Sprintf("%.*f %s", decimals, *v, unit)
}

// length writes a length to a tenth of a foot or metre.
func (u units) length(m *float64) string { return u.value(m, "ft", metresPerFoot, 1, "m", 1) }

// along writes a length to a hundredth: where something hangs on its line.
func (u units) along(m *float64) string { return u.value(m, "ft", metresPerFoot, 2, "m", 2) }

// tape writes a length as it is measured shows it, to a tenth of a millimetre.
func (u units) tape(m float64) string {
	if !u.us {
		return fmt.Sprintf("%.4f m", m)
	}
	return fmt.Sprintf("%.4f ft", m/metresPerFoot)
}

// small writes a deflection or standard deviation: inches or millimetres.
func (u units) small(m *float64) string {
	if m == nil {
		return "unknown"
	}
	mm := *m * 1000
	return u.value(&mm, "in", metresPerInch*1000, 3, "mm", 1)
}

func (u units) mass(kg *float64) string { return u.value(kg, "lb", kilogramsPerPound, 1, "kg", 1) }

func (u units) force(n *float64) string { return u.value(n, "lbf", newtonsPerPound, 0, "N", 0) }

func (u units) moment(nm *float64) string {
	return u.value(nm, "lbf·ft", newtonsPerPound*metresPerFoot, 0, "N·m", 0)
}

// stress writes megapascals, or pounds-force per square inch.
func (u units) stress(mpa *float64) string {
	return u.value(mpa, "psi", newtonsPerPound/(metresPerInch*metresPerInch)/1e6, 0, "MPa", 1)
}

// floorLoad writes a pressure on a floor given in pascals.
func (u units) floorLoad(pa *float64) string {
	if pa == nil {
		return "unknown"
	}
	kpa := *pa / 1000
	return u.value(&kpa, "lbf/ft²", newtonsPerPound/(metresPerFoot*metresPerFoot)/1000, 0, "kPa", 1)
}

// network writes a reading of the survey: a length, or an angle in radians as degrees.
func (u units) network(v float64, angular bool) string {
	if angular {
		return fmt.Sprintf("%.5f°", v*180/math.Pi)
	}
	return u.tape(v)
}

// spread writes a standard deviation of a reading.
func (u units) spread(v float64, angular bool) string {
	switch {
	case angular:
		return fmt.Sprintf("%.2f°", v*180/math.Pi)
	case v >= 0.1:
		return u.along(&v)
	}
	return u.small(&v)
}

// count writes a number of things: 1 stop, 2 stops.
func count(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
