package photometry

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/geom"
)

// candelas is a known distribution in the fixture's frame (aim −Z).
type candelas func(dir geom.Vec) float64

func isotropic(geom.Vec) float64 { return 100 }

func lambertian(d geom.Vec) float64 { return math.Max(0, -1000*d.Z) }

func cosPower(n float64) candelas {
	return func(d geom.Vec) float64 { return 1000 * math.Pow(math.Max(0, -d.Z), n) }
}

// lopsided differs in every direction, so that mirrored, turned or swapped
// planes cannot pass.
func lopsided(d geom.Vec) float64 {
	return 1000 * math.Pow(math.Max(0, -d.Z), 4) * (1 + 0.5*d.X + 0.3*d.Y + 0.4*d.X*d.Y)
}

// mirroredIn folds a distribution so that it has the symmetry of the planes it
// is stored in.
func mirroredIn(f candelas, x, y bool) candelas {
	return func(d geom.Vec) float64 {
		if x {
			d.X = math.Abs(d.X)
		}
		if y {
			d.Y = math.Abs(d.Y)
		}
		return f(d)
	}
}

// lm63 is what a test writes.
type lm63 struct {
	edition                 string
	kind                    int // 1 C, 2 B, 3 A
	h, v                    []float64
	lamps, lumens, mult     float64
	ballast, field12, watts float64
	units                   int
	width, length, height   float64
	tilt                    string
	separator, lineEnd      string // between numbers, between lists
	perLine                 int
}

func (w lm63) filled() lm63 {
	set := func(v *float64, to float64) {
		if *v == 0 {
			*v = to
		}
	}
	set(&w.lamps, 1)
	set(&w.lumens, -1)
	set(&w.mult, 1)
	set(&w.ballast, 1)
	set(&w.field12, 1)
	set(&w.watts, 50)
	set(&w.width, 0.2)
	set(&w.length, 0.4)
	if w.kind == 0 {
		w.kind = 1
	}
	if w.units == 0 {
		w.units = 2
	}
	if w.tilt == "" {
		w.tilt = "NONE"
	}
	if w.separator == "" {
		w.separator = " "
	}
	if w.lineEnd == "" {
		w.lineEnd = "\r\n"
	}
	if w.perLine == 0 {
		w.perLine = 10
	}
	return w
}

// direction is written from the standard's definitions, apart from the
// reader's own.
func (w lm63) direction(hDeg, vDeg float64) geom.Vec {
	h, v := hDeg*math.Pi/180, vDeg*math.Pi/180
	switch w.kind {
	case 3:
		return geom.Vec{X: math.Cos(v) * math.Sin(h), Y: math.Sin(v), Z: -math.Cos(v) * math.Cos(h)}
	case 2:
		return geom.Vec{X: math.Sin(h), Y: math.Cos(h) * math.Sin(v), Z: -math.Cos(h) * math.Cos(v)}
	}
	return geom.Vec{X: math.Sin(v) * math.Cos(h), Y: math.Sin(v) * math.Sin(h), Z: -math.Cos(v)}
}

// values returns the candelas a file holds, before multiplier and factors.
func (w lm63) values(f candelas) [][]float64 {
	scale := w.mult * w.ballast
	if w.edition == "" || w.edition == "IESNA91" || w.edition == "IESNA:LM-63-1995" {
		scale *= w.field12
	}
	var out [][]float64
	for _, h := range w.h {
		var row []float64
		for _, v := range w.v {
			row = append(row, f(w.direction(h, v))/scale)
		}
		out = append(out, row)
	}
	return out
}

func (w lm63) write(f candelas) string {
	w = w.filled()
	return w.text(w.values(f))
}

// text writes a file that holds the values as they are.
func (w lm63) text(cd [][]float64) string {
	w = w.filled()
	var b strings.Builder
	line := func(s string) { b.WriteString(s + w.lineEnd) }
	if w.edition != "" {
		line(w.edition)
	}
	line("[TEST] written by a test")
	line("[LUMINAIRE] invented")
	line("TILT=" + w.tilt)
	list := func(v []float64) {
		for i := 0; i < len(v); i += w.perLine {
			var parts []string
			for _, x := range v[i:min(len(v), i+w.perLine)] {
				parts = append(parts, fmt.Sprintf("%.9g", x))
			}
			line(strings.Join(parts, w.separator))
		}
	}
	list([]float64{w.lamps, w.lumens, w.mult, float64(len(w.v)), float64(len(w.h)), float64(w.kind), float64(w.units), w.width, w.length, w.height})
	list([]float64{w.ballast, w.field12, w.watts})
	list(w.v)
	list(w.h)
	for _, row := range cd {
		list(row)
	}
	return b.String()
}

// eulumdat is what a test writes.
type eulumdat struct {
	symmetry, planes, angles int
	lastGamma                float64
	lumens                   float64
	lamps                    int
	factor                   float64
	comma                    bool
	uneven                   bool
	sets                     int
	dff, lorl                float64
}

func (w eulumdat) filled() eulumdat {
	if w.lumens == 0 {
		w.lumens = 2000
	}
	if w.lamps == 0 {
		w.lamps = 1
	}
	if w.factor == 0 {
		w.factor = 1
	}
	if w.lastGamma == 0 {
		w.lastGamma = 90
	}
	w.sets = max(1, w.sets)
	return w
}

// stored are the indices of the planes that follow, in their order.
func (w eulumdat) stored() []int {
	from, n := 0, w.planes
	switch w.symmetry {
	case 1:
		n = 1
	case 2:
		n = w.planes/2 + 1
	case 3:
		from, n = 3*w.planes/4, w.planes/2+1
	case 4:
		n = w.planes/4 + 1
	}
	var out []int
	for i := range n {
		out = append(out, (from+i)%w.planes)
	}
	return out
}

func (w eulumdat) gamma(j int) float64 { return w.lastGamma * float64(j) / float64(w.angles-1) }

func (w eulumdat) write(f candelas) string {
	w = w.filled()
	var b strings.Builder
	text := func(s string) { b.WriteString(s + "\r\n") }
	number := func(v float64) {
		s := fmt.Sprintf("%.9g", v)
		if w.comma {
			s = strings.Replace(s, ".", ",", 1)
		}
		text(s)
	}
	step := 360 / float64(w.planes)
	text("invented")
	number(2)
	number(float64(w.symmetry))
	number(float64(w.planes))
	if w.uneven {
		number(0)
	} else {
		number(step)
	}
	number(float64(w.angles))
	if w.uneven {
		number(0)
	} else {
		number(w.gamma(1))
	}
	for _, s := range []string{"report", "name", "number", "file", "date"} {
		text(s)
	}
	for _, v := range []float64{1200, 200, 90, 1100, 150, 0, 0, 0, 0, w.dff, w.lorl, w.factor, 0, float64(w.sets)} {
		number(v)
	}
	for i := range w.sets {
		number(float64(w.lamps))
		text("lamp")
		number(w.lumens * float64(1+i))
		text("830")
		text("80")
		number(38.5)
	}
	for range directRatios {
		number(0.5)
	}
	for i := range w.planes {
		number(step * float64(i))
	}
	for j := range w.angles {
		number(w.gamma(j))
	}
	for _, i := range w.stored() {
		for j := range w.angles {
			// The length lies along C90–C270, the fixture's X: C is 90° behind.
			c, g := (step*float64(i)+90)*math.Pi/180, w.gamma(j)*math.Pi/180
			d := geom.Vec{X: math.Sin(g) * math.Cos(c), Y: math.Sin(g) * math.Sin(c), Z: -math.Cos(g)}
			number(f(d) / w.factor * 1000 / w.lumens)
		}
	}
	return b.String()
}

// steps returns from, from+by … to.
func steps(from, to, by float64) []float64 {
	var out []float64
	for v := from; v <= to+1e-9; v += by {
		out = append(out, v)
	}
	return out
}
