package drawing

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/si"
)

// paperTolerance is the rounding error of millimetres on paper: a nanometre,
// far below what any printer resolves.
const paperTolerance = 1e-6

func TestFit(t *testing.T) {
	for _, c := range []struct {
		name           string
		d              si.Display
		w, h, fw, fh   float64
		want           float64
		wantNameSubstr string
	}{
		{"small room fills A3 at 1:20", si.Metric, 5, 4, 300, 220, 20, "1:20"},
		{"hall of 18 m at 1:75", si.Metric, 18, 12, 300, 220, 75, "1:75"},
		{"just fits", si.Metric, 15, 1, 300, 220, 50, "1:50"},
		{"just does not fit", si.Metric, 15.001, 1, 300, 220, 75, "1:75"},
		{"US eighth", si.US, 14, 17.7, 300, 200, 96, "1/8 in"},
		{"US quarter", si.US, 10, 8, 300, 200, 48, "1/4 in"},
		{"beyond the last standard scale", si.Metric, 100, 10, 300, 220, 400, "1:400"},
		{"no extent", si.Metric, 0, 0, 300, 220, 20, "1:20"},
		{"no frame", si.Metric, 5, 5, 0, 0, 20, "1:20"},
	} {
		got := Fit(c.d, c.w, c.h, c.fw, c.fh)
		if got.Ratio != c.want || !strings.Contains(got.Name, c.wantNameSubstr) {
			t.Errorf("%s: Fit(%v, %g, %g, %g, %g) = %+v, want 1:%g", c.name, c.d, c.w, c.h, c.fw, c.fh, got, c.want)
		}
	}
}

// Law: the scale drawn fits, and the next larger standard scale would not.
func TestFitIsTheLargestThatFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom([]si.Display{si.Metric, si.US}).Draw(t, "display")
		w := rapid.Float64Range(0.1, 200).Draw(t, "w")
		h := rapid.Float64Range(0.1, 200).Draw(t, "h")
		got := Fit(d, w, h, 300, 220)
		if w*1000/got.Ratio > 300 || h*1000/got.Ratio > 220 {
			t.Fatalf("1:%g does not fit %g × %g m", got.Ratio, w, h)
		}
		all := Scales(d)
		for i := 1; i < len(all); i++ {
			if all[i].Ratio == got.Ratio && w*1000/all[i-1].Ratio <= 300 && h*1000/all[i-1].Ratio <= 220 {
				t.Fatalf("1:%g fits as well as 1:%g", all[i-1].Ratio, got.Ratio)
			}
		}
	})
}

// Law: a view is a similarity: every length on paper is the model's length
// divided by the scale, in any direction.
func TestViewKeepsLengths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-50, 50)
		v := View{Scale: Scale{Ratio: rapid.SampledFrom([]float64{20, 48, 75, 96, 200}).Draw(t, "ratio")},
			U0: num.Draw(t, "u0"), V0: num.Draw(t, "v0"), X0: 100, Y0: 90}
		a := [2]float64{num.Draw(t, "au"), num.Draw(t, "av")}
		b := [2]float64{num.Draw(t, "bu"), num.Draw(t, "bv")}
		p, q := v.At(a[0], a[1]), v.At(b[0], b[1])
		want := math.Hypot(a[0]-b[0], a[1]-b[1]) * 1000 / v.Scale.Ratio
		if got := math.Hypot(p[0]-q[0], p[1]-q[1]); math.Abs(got-want) > paperTolerance {
			t.Fatalf("paper distance %g, want %g", got, want)
		}
	})
}

func TestBarIsExact(t *testing.T) {
	for _, d := range []si.Display{si.Metric, si.US} {
		for _, sc := range Scales(d) {
			s := Scene{}
			v := View{Scale: sc}
			got := s.Bar(v, d, 10, 20, 64)
			var n float64
			unit, name := si.Metre, "m"
			if d == si.US {
				unit, name = si.Foot, "ft"
			}
			first, last := math.Inf(1), math.Inf(-1)
			for _, it := range s.Items {
				if it.Text != nil && strings.HasSuffix(it.Text.Value, " "+name) && n == 0 {
					if _, err := fmt.Sscanf(it.Text.Value, "%g", &n); err != nil {
						t.Fatal(err)
					}
				}
				if it.Poly != nil {
					for _, p := range it.Poly.Points {
						first, last = min(first, p[0]), max(last, p[0])
					}
				}
			}
			want := n * unit.Metres() * 1000 / sc.Ratio
			if math.Abs(got-want) > paperTolerance || math.Abs(last-first-want) > paperTolerance {
				t.Errorf("%s: bar of %g %s is drawn %g mm (%g returned), want %g", sc.Name, n, name, last-first, got, want)
			}
			if got > 64 {
				t.Errorf("%s: bar of %g mm passes its 64 mm", sc.Name, got)
			}
		}
	}
}

// The figures of a chain are the distances of its marks, in order, and never
// cover each other.
func TestDimensionFigures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom([]si.Display{si.Metric, si.US}).Draw(t, "display")
		upright := rapid.Bool().Draw(t, "upright")
		marks := rapid.SliceOfN(rapid.Float64Range(-12, 12), 0, 25).Draw(t, "marks")
		s := Scene{}
		v := View{Scale: Scale{Ratio: 75}, X0: 200, Y0: 100}
		out := s.Dimension(v, Chain{Upright: upright, Marks: marks, At: 30, From: 40, Size: 2, Both: true}, d)
		want := map[string]int{}
		ms := distinctMarks(marks)
		for i := 0; i+1 < len(ms); i++ {
			l := si.Length(ms[i+1] - ms[i])
			want[si.FormatLength(l, d)]++
			want[si.FormatBoth(l, d)]++
		}
		figures := 0
		var boxes []Rect
		for _, it := range s.Items {
			if it.Text == nil {
				continue
			}
			figures++
			if want[it.Text.Value] == 0 {
				t.Fatalf("figure %q is no distance of the marks %v", it.Text.Value, ms)
			}
			want[it.Text.Value]--
			b := TextBox(*it.Text)
			for _, o := range boxes {
				if b.overlap(o) > paperTolerance {
					t.Fatalf("figure %q covers another", it.Text.Value)
				}
			}
			boxes = append(boxes, b)
		}
		if n := max(len(ms)-1, 0); figures+out != n {
			t.Fatalf("%d figures and %d left out, want %d together", figures, out, n)
		}
	})
}

// Law: a label that was placed with success covers no other such label, no
// blocked box, and stays in bounds.
func TestPlacerKeepsLabelsApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		bounds := Rect{0, 0, 200, 150}
		p := NewPlacer(bounds)
		s := Scene{}
		var fixed, done []Rect
		for range rapid.IntRange(0, 8).Draw(t, "blocks") {
			b := Rect{rapid.Float64Range(0, 180).Draw(t, "bx"), rapid.Float64Range(0, 130).Draw(t, "by"), 12, 9}
			p.Block(b)
			fixed = append(fixed, b)
		}
		p.Avoid([2]float64{0, 75}, [2]float64{200, 75})
		for range rapid.IntRange(1, 60).Draw(t, "labels") {
			at := [2]float64{rapid.Float64Range(-10, 210).Draw(t, "x"), rapid.Float64Range(-10, 160).Draw(t, "y")}
			text := rapid.StringMatching(`[A-Za-zżř0-9 ]{1,14}`).Draw(t, "text")
			n := len(s.Items)
			free := p.Place(&s, LayerText, at, 1, Text{Size: 2.5, Value: text})
			var box Rect
			for _, it := range s.Items[n:] {
				if it.Text != nil {
					box = TextBox(*it.Text)
				}
			}
			if free {
				if !box.Inside(Rect{-paperTolerance, -paperTolerance, 200 + 2*paperTolerance, 150 + 2*paperTolerance}) {
					t.Fatalf("label %q at %v leaves the bounds: %+v", text, at, box)
				}
				for _, o := range append(fixed, done...) {
					if box.overlap(o) > paperTolerance {
						t.Fatalf("label %q covers %+v", text, o)
					}
				}
			}
			done = append(done, box)
		}
	})
}

func TestPlacerKeepsOffLines(t *testing.T) {
	p := NewPlacer(Rect{0, 0, 100, 100})
	p.Avoid([2]float64{0, 50}, [2]float64{100, 50})
	s := Scene{}
	p.Place(&s, LayerText, [2]float64{50, 50}, 1, Text{Size: 3, Value: "W1"})
	if b := TextBox(*s.Items[0].Text); b.Y < 50 && b.Y+b.H > 50 {
		t.Errorf("the label's box %+v lies on the line y = 50", b)
	}
}

// Law: no line is wider than asked, unless it is one character; no character
// but white space is lost.
func TestWrap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		width := rapid.Float64Range(0, 120).Draw(t, "width")
		lines := Wrap(text, width, 3, false)
		for _, l := range lines {
			if TextWidth(l, 3, false) > width+paperTolerance && len([]rune(l)) > 1 {
				t.Fatalf("line %q is %g mm wide, want at most %g", l, TextWidth(l, 3, false), width)
			}
		}
		strip := func(s string) string {
			return strings.Map(func(r rune) rune {
				if breaks(r) {
					return -1
				}
				return r
			}, s)
		}
		if got, want := strip(strings.Join(lines, "")), strip(strings.ToValidUTF8(text, "�")); got != want {
			t.Fatalf("wrapped to %q, want the characters of %q", got, want)
		}
	})
	if got := Wrap("13\u00a0ft 6\u00a0in", TextWidth("13 ft", 3, false)+0.1, 3, false); len(got) != 2 || got[0] != "13\u00a0ft" {
		t.Errorf("a number was parted from its unit: %q", got)
	}
}

func TestShorten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringN(0, 60, -1).Draw(t, "text")
		width := rapid.Float64Range(4, 90).Draw(t, "width")
		if got := Shorten(text, width, 3, true); TextWidth(got, 3, true) > width+paperTolerance {
			t.Fatalf("Shorten(%q, %g) = %q, too wide", text, width, got)
		}
	})
}

// The map runs from dark to light without a step back, as a perceptual map must.
func TestViridis(t *testing.T) {
	last := -1.0
	for i := range 256 {
		c := Viridis(float64(i) / 255)
		l := 0.2126*float64(c.R) + 0.7152*float64(c.G) + 0.0722*float64(c.B)
		if l < last-0.6 { // a step of one in 255 of the green channel
			t.Errorf("step %d is darker (%.2f) than the one before (%.2f)", i, l, last)
		}
		last = l
	}
	for v, want := range map[float64]Colour{0: {R: 0x44, G: 0x01, B: 0x54}, 1: {R: 0xfd, G: 0xe7, B: 0x25}, -3: {R: 0x44, G: 0x01, B: 0x54}, 9: {R: 0xfd, G: 0xe7, B: 0x25}} {
		if got := Viridis(v); got != want {
			t.Errorf("Viridis(%g) = %v, want %v", v, got, want)
		}
	}
	if got := Viridis(math.NaN()); got != Viridis(0) {
		t.Errorf("Viridis(NaN) = %v", got)
	}
}

// A plane x + 2y = level is met exactly by linear interpolation.
func TestContourOfPlane(t *testing.T) {
	f := Field{MinX: -1, MinY: 2, StepM: 0.5, Cols: 9, Rows: 7}
	for j := range f.Rows {
		for i := range f.Cols {
			f.Values = append(f.Values, f.MinX+(float64(i)+0.5)*0.5+2*(f.MinY+(float64(j)+0.5)*0.5))
		}
	}
	segs := f.Contour(7.3)
	if len(segs) == 0 {
		t.Fatal("no contour")
	}
	for _, s := range segs {
		for _, p := range s {
			if got := p[0] + 2*p[1]; math.Abs(got-7.3) > paperTolerance {
				t.Errorf("contour point %v has value %g, want 7.3", p, got)
			}
		}
	}
}

// A cone's contour is a circle: its length is 2πr within the error of chords on
// a grid of a fiftieth of the radius.
func TestContourOfCone(t *testing.T) {
	const n, step, r = 120, 0.05, 2.0
	f := Field{MinX: -3, MinY: -3, StepM: step, Cols: n, Rows: n}
	for j := range n {
		for i := range n {
			f.Values = append(f.Values, 10-math.Hypot(f.MinX+(float64(i)+0.5)*step, f.MinY+(float64(j)+0.5)*step))
		}
	}
	sum := 0.0
	for _, s := range f.Contour(10 - r) {
		sum += math.Hypot(s[0][0]-s[1][0], s[0][1]-s[1][1])
	}
	const chordError = 0.002
	if want := 2 * math.Pi * r; math.Abs(sum-want) > chordError*want {
		t.Errorf("contour length %g, want %g", sum, want)
	}
}

func TestNewField(t *testing.T) {
	f := NewField("x", "lx", Span2{MinU: -1, MaxU: 1, MinV: 0, MaxV: 0.5}, 0.5, func(x, y float64) float64 { return x + 10*y })
	if f.Cols != 4 || f.Rows != 1 || f.At(0, 0) != -0.75+2.5 || f.At(3, 0) != 0.75+2.5 {
		t.Errorf("field %+v", f)
	}
	if !math.IsNaN(f.At(4, 0)) || !math.IsNaN(f.At(0, -1)) {
		t.Error("outside the grid is not NaN")
	}
	for _, b := range []Span2{{}, {MaxU: math.NaN(), MaxV: 1}, {MaxU: math.Inf(1), MaxV: 1}, {MaxU: -1, MaxV: 1}} {
		if f := NewField("", "", b, 0.1, func(_, _ float64) float64 { return 1 }); f.Cols*f.Rows != 0 {
			t.Errorf("NewField over %+v has %d × %d cells, want none", b, f.Cols, f.Rows)
		}
	}
	for _, b := range []Span2{{MaxU: 300, MaxV: 200}, {MaxU: 1e6, MaxV: 1e-3}} {
		if f := NewField("", "", b, 0.001, func(_, _ float64) float64 { return 1 }); f.Cols*f.Rows > 2*mostCells {
			t.Errorf("NewField over %+v has %d cells", b, f.Cols*f.Rows)
		}
	}
}

func TestContourLeavesNaNOut(t *testing.T) {
	f := Field{StepM: 1, Cols: 2, Rows: 2, Values: []float64{0, 1, math.NaN(), 1}}
	if got := f.Contour(0.5); len(got) != 0 {
		t.Errorf("contour through a NaN corner: %v", got)
	}
	if got := (Field{Cols: 3, Rows: 3, Values: []float64{1}}).Contour(0.5); len(got) != 0 {
		t.Errorf("contour of a field with missing values: %v", got)
	}
}

func TestContourLevels(t *testing.T) {
	for _, c := range []struct {
		hi   float64
		want string
	}{{600, "[100 200 300 400 500]"}, {1000, "[200 400 600 800]"}, {7, "[1 2 3 4 5 6]"}, {0, "[]"}, {math.Inf(1), "[]"}, {math.NaN(), "[]"}} {
		if got := fmt.Sprint(ContourLevels(c.hi, 8)); got != c.want {
			t.Errorf("ContourLevels(%g, 8) = %s, want %s", c.hi, got, c.want)
		}
	}
}

func TestClip(t *testing.T) {
	r := Rect{0, 0, 10, 10}
	for _, c := range []struct {
		name string
		in   [][2]float64
		want string
	}{
		{"inside", [][2]float64{{1, 1}, {2, 2}}, "[[[1 1] [2 2]]]"},
		{"through", [][2]float64{{-5, 5}, {15, 5}}, "[[[0 5] [10 5]]]"},
		{"outside", [][2]float64{{-5, 11}, {15, 11}}, "[]"},
		{"point", [][2]float64{{5, 5}}, "[]"},
		{"NaN", [][2]float64{{math.NaN(), 5}, {5, 5}}, "[]"},
	} {
		if got := fmt.Sprint(Clip(r, c.in...)); got != c.want {
			t.Errorf("%s: Clip(%v) = %s, want %s", c.name, c.in, got, c.want)
		}
	}
}

func area(ps [][2]float64) float64 {
	sum := 0.0
	for i, a := range ps {
		b := ps[(i+1)%len(ps)]
		sum += a[0]*b[1] - b[0]*a[1]
	}
	return math.Abs(sum) / 2
}

// Second method: the area of a triangle inside a box by counting points.
func TestClipAreaAgainstCounting(t *testing.T) {
	r := Rect{2, 1, 6, 7}
	tri := [][2]float64{{0, 0}, {11, 3}, {4, 12}}
	const n = 1200
	hits := 0
	for i := range n {
		for j := range n {
			x, y := r.X+(float64(i)+0.5)*r.W/n, r.Y+(float64(j)+0.5)*r.H/n
			in := true
			for k, a := range tri {
				b := tri[(k+1)%3]
				in = in && (b[0]-a[0])*(y-a[1])-(b[1]-a[1])*(x-a[0]) >= 0
			}
			if in {
				hits++
			}
		}
	}
	want := float64(hits) / (n * n) * r.W * r.H
	// Counting errs by about one column of points along the triangle's edges.
	if got := area(ClipArea(r, tri...)); math.Abs(got-want) > 0.02 {
		t.Errorf("clipped area %g, counted %g", got, want)
	}
	if got := ClipArea(r, [][2]float64{{20, 20}, {30, 20}, {25, 30}}...); len(got) != 0 {
		t.Errorf("an area outside left %v", got)
	}
}

// Law: every point lies inside the hull.
func TestHull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 30).Draw(t, "n")
		var ps [][2]float64
		for range n {
			ps = append(ps, [2]float64{float64(rapid.IntRange(-5, 5).Draw(t, "x")), float64(rapid.IntRange(-5, 5).Draw(t, "y"))})
		}
		h := Hull(ps...)
		if len(h) < 3 {
			return
		}
		for _, p := range ps {
			for i, a := range h {
				b := h[(i+1)%len(h)]
				if (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) < -paperTolerance {
					t.Fatalf("%v lies outside the hull %v", p, h)
				}
			}
		}
	})
}

// Every class has a symbol of its own.
func TestSymbolsDiffer(t *testing.T) {
	seen := map[string]string{}
	for _, class := range []string{"ellipsoidal", "fresnel", "par", "wash", "linear_wash", "moving_wash", "moving_spot", "downlight", "pendant", "sconce", "no such class"} {
		s := Scene{}
		s.Symbol(class, [2]float64{10, 10}, 3, 1, 4, Solid(0.3, Ink), White)
		text := ""
		for _, it := range s.Items {
			switch {
			case it.Circle != nil:
				text += fmt.Sprintf("circle %.3f %v;", it.Circle.R, it.Circle.Fill)
			case it.Poly != nil:
				text += fmt.Sprintf("area %.3v %v;", it.Poly.Points, *it.Poly.Fill)
			case it.Line != nil:
				text += fmt.Sprintf("line %.3v;", it.Line.Points)
			}
		}
		if text == "" {
			t.Errorf("class %s draws nothing", class)
		}
		if o, ok := seen[text]; ok {
			t.Errorf("classes %s and %s look the same", class, o)
		}
		seen[text] = class
	}
	s := Scene{}
	s.Symbol("par", [2]float64{0, 0}, 0, 0, 4, Solid(0.3, Ink), White)
	s.Symbol("par", [2]float64{0, 0}, math.NaN(), 1, 4, Solid(0.3, Ink), White)
	for _, it := range s.Items {
		for _, p := range it.Poly.Points {
			if !finite(p[0]) || !finite(p[1]) {
				t.Error("a symbol without direction has points that are not finite")
			}
		}
	}
}

func TestArrowHeadEndsAtTheTip(t *testing.T) {
	head, ok := Line{Points: [][2]float64{{0, 0}, {10, 0}, {10, 0}}, Pen: Solid(0.3, Ink)}.Head()
	if !ok || head[0] != [2]float64{10, 0} || head[1][0] >= 10 {
		t.Errorf("Head = %v, %v", head, ok)
	}
	if _, ok := (Line{Points: [][2]float64{{1, 1}, {1, 1}}}).Head(); ok {
		t.Error("a path without length has a head")
	}
}

func ExampleFit() {
	s := Fit(si.Metric, 14.0, 17.7, 280, 200)
	fmt.Println(s.Name, View{Scale: s}.MM(17.7), "mm")
	// Output: 1:100 177 mm
}

func ExampleWrap() {
	for _, l := range Wrap("Hang nothing from this rod", 25, 3, false) {
		fmt.Println(l)
	}
	// Output:
	// Hang nothing
	// from this rod
}

func BenchmarkPlace60Labels(b *testing.B) {
	for b.Loop() {
		p := NewPlacer(Rect{0, 0, 300, 200})
		for i := range 200 {
			p.Avoid([2]float64{float64(i), 0}, [2]float64{300 - float64(i), 200})
		}
		s := Scene{}
		for i := range 60 {
			p.Place(&s, LayerText, [2]float64{float64(i*37%300) + 0.5, float64(i*53%200) + 0.5}, 1.5, Text{Size: 2.5, Value: "unit 12"})
		}
	}
}

func BenchmarkContour(b *testing.B) {
	f := Field{StepM: 0.1, Cols: 150, Rows: 100}
	for j := range f.Rows {
		for i := range f.Cols {
			f.Values = append(f.Values, math.Sin(float64(i)/9)*math.Cos(float64(j)/7))
		}
	}
	for b.Loop() {
		f.Contour(0.3)
	}
}
