package model

import (
	"fmt"
	"math"
)

// generated describes a room made for tests of the solver. Nothing in it is
// drawn by chance.
type generated struct {
	slots, types, points, aims int
	emin, emax                 float64
	watts, beamKg              float64 // caps; 0: none
	skew                       float64 // moves lines and prices a little, so that rooms differ
	lines                      int     // 0: two
	openCost                   float64 // of a line
	softOver                   bool
}

// missPrice makes missing light dearer than any unit that gives it, so that a
// plan without missing light is best wherever there is one.
const missPrice = 100.0

// genType is a type of the generated rooms: luminous flux in lumens, full width
// at half maximum in degrees.
type genType struct{ flux, widthDeg, price, watts, kg float64 }

var genTypes = []genType{
	{9000, 38, 640, 165, 7.4}, {5200, 28, 430, 110, 5.1}, {3600, 46, 310, 75, 3.4},
	{12500, 32, 890, 205, 9.6}, {7400, 52, 560, 140, 6.2}, {2300, 24, 215, 45, 1.8},
}

// axialCd returns the intensity on axis, in candela, of a beam
// I(θ) = I0·exp(−ln 2·(2θ/β)²) with a flux Φ in lumens and β in degrees:
// I0 = Φ/(2π ∫ exp(…) sin θ dθ), by Simpson's rule.
func axialCd(flux, widthDeg float64) float64 {
	const n = 2000
	b := widthDeg * math.Pi / 180
	sum := 0.0
	for i := 0; i <= n; i++ {
		th := math.Pi / 2 * float64(i) / n
		w := 2.0
		switch {
		case i == 0 || i == n:
			w = 1
		case i%2 == 1:
			w = 4
		}
		sum += w * math.Exp(-math.Ln2*(2*th/b)*(2*th/b)) * math.Sin(th)
	}
	return flux / (2 * math.Pi * sum * math.Pi / 2 / n / 3)
}

// make returns the room's model: illuminance of faces 2.2 m above the floor that
// look to the seats, 0.8·I(θ)·max(0, n·l)/d².
func (g generated) make() *Problem {
	p := &Problem{Places: g.slots}
	nLines := max(1, g.lines)
	if g.lines == 0 {
		nLines = 2
	}
	if g.openCost > 0 {
		for l := range nLines {
			p.Openings = append(p.Openings, Opening{Name: fmt.Sprintf("line %d", l), Cost: g.openCost})
		}
	}
	aims := max(1, g.aims)
	across := (g.points + 3) / 4
	var faces [][3]float64
	for i := range g.points {
		faces = append(faces, [3]float64{-5 + 10*(float64(i%across)+0.5)/float64(across), 0.6 + 1.2*float64(i/across), 2.2})
	}
	for i := range g.points {
		r := Row{Name: fmt.Sprintf("face %d", i), Lo: g.emin, Hi: g.emax, Short: missPrice}
		if g.softOver {
			r.Over = 5
		}
		p.Rows = append(p.Rows, r)
	}
	watts := Row{Name: "watts", Lo: math.Inf(-1), Hi: g.watts}
	kg := make([]Row, nLines)
	for s := range g.slots {
		line := s % nLines
		per := (g.slots + nLines - 1) / nLines
		at := [3]float64{-6 + 12*(float64(s/nLines)+0.5)/float64(per), -2.2 - 2.4*float64(line) - 0.3*g.skew, 6.4 + 0.5*float64(line) + 0.2*g.skew}
		for t := range g.types {
			ty := genTypes[t%len(genTypes)]
			i0 := axialCd(ty.flux, ty.widthDeg)
			for a := range aims {
				focus := [3]float64{at[0]*0.7 + 2.2*(float64(a)-float64(aims-1)/2), 0.8 + 1.3*float64((s+a)%3), 2.2}
				j := len(p.Columns)
				c := Column{Name: fmt.Sprintf("slot %d type %d aim %d", s, t, a), Place: s,
					Cost: ty.price + 5*math.Round(g.skew*float64(t)) + 5*float64((s*7+line*3)%8)}
				if g.openCost > 0 {
					c.Needs = []int{line}
				}
				p.Columns = append(p.Columns, c)
				for i, f := range faces {
					if e := genLux(i0, ty.widthDeg, at, focus, f); e > 0.05 {
						p.Rows[i].Terms = append(p.Rows[i].Terms, Term{j, e})
					}
				}
				watts.Terms = append(watts.Terms, Term{j, ty.watts})
				kg[line].Terms = append(kg[line].Terms, Term{j, ty.kg})
			}
		}
	}
	if g.watts > 0 {
		p.Rows = append(p.Rows, watts)
	}
	if g.beamKg > 0 {
		for l, r := range kg {
			r.Name, r.Lo, r.Hi = fmt.Sprintf("mass on line %d", l), math.Inf(-1), g.beamKg
			p.Rows = append(p.Rows, r)
		}
	}
	return p.Rounded()
}

func genLux(i0, widthDeg float64, at, focus, face [3]float64) float64 {
	sub := func(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
	dot := func(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
	axis, ray := sub(focus, at), sub(face, at)
	d2 := dot(ray, ray)
	d := math.Sqrt(d2)
	cosOff := min(1, dot(axis, ray)/(d*math.Sqrt(dot(axis, axis))))
	if cosOff <= 0 {
		return 0
	}
	th := math.Acos(cosOff) * 180 / math.Pi
	cosIn := (face[1] - at[1]) / d // face normal (0, −1, 0)
	return 0.8 * i0 * math.Exp(-math.Ln2*(2*th/widthDeg)*(2*th/widthDeg)) * max(0, cosIn) / d2
}
