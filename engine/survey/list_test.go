package survey

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// listHead is the first line of the lists below.
const listHead = "kind,from,at,to,value,sigma\n"

func mustList(t testing.TB, text string) List {
	t.Helper()
	l, err := ReadList(text, si.Metric)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// The forms of the format: quotes doubled, lenient or left out, semicolons, one to
// three numbers with one unit or a unit each.
func TestListForms(t *testing.T) {
	for name, text := range map[string]string{
		"commas": listHead + `fixed,,A,,"0 0 0 m",
near,,B,,"10 0 0 m",
distance,A,,B,"32' 9 1/2""",3mm
level,A,,B,1.234 m,2 mm
height,,B,,6.2 m,5 mm
angle,A,B,C,45-12-34,2.1"
slope,A,,B,"7.31 m 34.5 deg",5mm 0.5deg
`,
		"semicolons": "Kind;From;At;To;Value;Sigma\r\n# a remark\r\n\r\nfixed;;A;;0 m 0 m 0 m;\r\nnear;;B;;10, 0, 0 m;\r\ndistance;A;;B;32' 9 1/2\";3 mm\r\n" +
			"level;A;;B;1,234 m;2 mm\r\n" + "height;;B;;620 cm;0.5 cm\r\nangle;A;B;C;\"45° 12' 34\"\"\";2.1 sec\r\nslope;A;;B;7.31 m @ 34.5°;5 mm / 0.5°\r\n",
		"columns in another order": "value,sigma,to,at,from,kind\n0 0 0 m,,A,,,fixed\n10 0 0 m,,B,,,near\n\"32' 9 1/2\",3mm,B,,A,distance\n1.234 m,2 mm,B,,A,rise\n" +
			"6.2 m,5 mm,B,,,height\n45-12-34,2.1\",C,B,A,angle\n\"7.31 m 34.5 deg\",5mm 0.5deg,B,,A,slope\n",
	} {
		if name == "semicolons" {
			// One comma before three digits may part thousands: the list must say it.
			if _, err := ReadList(text, si.Metric); err == nil || !strings.Contains(err.Error(), "line 7") {
				t.Errorf("%s: 1,234 m gives %v", name, err)
			}
			text = strings.Replace(text, "1,234 m", "1,2340 m", 1)
		}
		l, err := ReadList(text, si.Metric)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		const second = math.Pi / 180 / 3600
		want := []struct {
			kind         Kind
			value, sigma float64
		}{{Distance, 32*.3048 + 9.5*.0254, .003}, {Rise, 1.234, .002}, {Height, 6.2, .005},
			{Angle, (45 + 12/60. + 34/3600.) * math.Pi / 180, 2.1 * second}, {Distance, 7.31, .005}, {Incline, 34.5 * math.Pi / 180, .5 * math.Pi / 180}}
		if len(l.Observations) != len(want) {
			t.Errorf("%s: %d observations", name, len(l.Observations))
			continue
		}
		for i, w := range want {
			o := l.Observations[i]
			if o.Kind != w.kind || math.Abs(o.Value-w.value) > 1e-12 || math.Abs(o.Sigma-w.sigma) > 1e-15 {
				t.Errorf("%s: row %d is %s %v ± %v, want %v", name, i, o.Kind, o.Value, o.Sigma, w)
			}
		}
		a, b := l.Points[0], l.Points[1]
		if a.Fixed != [3]bool{true, true, true} || b.Near != [3]bool{true, true, true} || b.NearAt.X != 10 {
			t.Errorf("%s: points %+v %+v", name, a, b)
		}
	}
}

func TestListCoordinates(t *testing.T) {
	for text, want := range map[string][]float64{"437.596 m": {437.596}, "1 2 m": {1, 2}, "-1 2.5 3 m": {-1, 2.5, 3}, "100cm 2m 3": nil, "0 0 0": {0, 0, 0},
		"12' 6\" 3' 0\" 0": {12.5 * .3048, .9144, 0}, "1 m, 2 m": {1, 2}, "1 2 3 4 m": nil, "x": nil, "": nil, "1": nil, "5600.544 4966.236 ft": {5600.544 * .3048, 4966.236 * .3048},
		"0,5 1,5 m": {.5, 1.5}} {
		got, err := (&listReader{}).coordinates(text)
		if (err != nil) != (want == nil) || len(got) != len(want) {
			t.Errorf("%q → %v, %v; want %v", text, got, err, want)
			continue
		}
		for i := range want {
			near(t, fmt.Sprintf("%q %d", text, i), got[i], want[i], 1e-12)
		}
	}
}

// Every line that cannot be used is refused with its number and a reason.
func TestListRefusals(t *testing.T) {
	big := strings.Builder{}
	big.WriteString(listHead)
	for i := range 10000 {
		fmt.Fprintf(&big, "distance,A%d,,B%d,3 m,3 mm\n", i%50, i%50)
	}
	many := strings.Builder{}
	many.WriteString(listHead)
	for i := range MaxListStations {
		fmt.Fprintf(&many, "distance,A%d,,B,3 m,3 mm\n", i)
	}
	for text, want := range map[string]string{
		"": "empty", "kind,from\n": "missing", listHead: "no row measures", "kind,kind,from,at,to,value,sigma\n": "twice",
		"kind,from,at,to,value,sigma,colour\n":                       "not known",
		listHead + "distance,A,,B,NaN m,3 mm":                        "line 2, value",
		listHead + "distance,A,,B,-3 m,3 mm":                         "negative",
		listHead + "distance,A,,B,3 m,0 mm":                          "greater than zero",
		listHead + "distance,A,,B,3 m,-1 mm":                         "greater than zero",
		listHead + "distance,A,,A,3 m,3 mm":                          "itself",
		listHead + "distance,A,,,3 m,3 mm":                           "line 2, to",
		listHead + "distance,A,C,B,3 m,3 mm":                         "no station here",
		listHead + "distance,A,,B,3 deg,3 mm":                        "unit",
		listHead + "distance,A,,B,3 m,3 deg":                         "line 2, sigma",
		listHead + "distance,A,,B,12.5,3 mm":                         "more than one way",
		listHead + "distance,A,,B,3 m 4 ft,3 mm":                     "line 2, value",
		listHead + "angle,A,B,C,3 m,1 deg":                           "line 2, value",
		listHead + "angle,A,B,C,45-61-00,1 deg":                      "60",
		listHead + "angle,A,B,C,45,1 deg":                            "more than one way",
		listHead + "angle,A,B,A,-0 deg,x":                            "line 2, sigma",
		listHead + "slope,A,,B,7.31 m,5mm 0.5deg":                    "inclination",
		listHead + "slope,A,,B,7.31 m 134.5 deg,":                    "inclination",
		listHead + "width,A,,B,3 m,":                                 "kind",
		listHead + "square,A,B,C,3 m,":                               "no value",
		listHead + "distance,A,,a,3 m,":                              "one way",
		listHead + "fixed,,A,,1 m,\nfixed,,A,,2 m,":                  "elsewhere",
		listHead + "fixed,A,,,1 m,":                                  "one station",
		listHead + "distance,A,,B,3 m,3 mm,laser,and more":           "columns",
		listHead + "distance,A,,B,1e400 m,3 mm":                      "line 2, value",
		listHead + "distance,A,,B," + strings.Repeat("1", 300) + ",": "longer",
		listHead + strings.Repeat(`"a"",`, 300):                      "longer",
		big.String():                                                 "5000 measurements",
		many.String():                                                "1200 stations",
		strings.Repeat("x", MaxListBytes+1):                          "longer",
	} {
		_, err := ReadList(text, si.Metric)
		var le *ListError
		if !errors.As(err, &le) || !strings.Contains(err.Error(), want) {
			show := text
			if len(show) > 80 {
				show = show[:80]
			}
			t.Errorf("%q: %v, want %q", show, err, want)
		}
	}
}

// quadrilateral is a published net with a blunder of a minute in one angle; its
// starting guesses are left out. Source: Ghilani, Adjustment Computations, 5th ed.
// 2010, Ex. 21.10 p. 459 (feet).
const quadrilateral = listHead + `fixed,,A,,5600.544 4966.236 ft,
fixed,,B,,6061.624 8043.173 ft,
distance,A,,B,3111.291 ft,.010 ft
distance,B,,C,3726.220 ft,.012 ft
distance,C,,D,3237.783 ft,.010 ft
distance,D,,A,3662.372 ft,.012 ft
distance,A,,C,5193.471 ft,.016 ft
distance,B,,D,4524.471 ft,.014 ft
angle,B,A,C,45-12-34,2.1"
angle,C,A,D,38-10-54,2.1"
angle,C,B,D,44-55-43,2.1"
angle,D,B,A,53-31-23,2.1"
angle,D,C,A,44-21-59,2.1"
angle,A,C,B,36-20-26,2.1"
angle,A,D,B,43-06-11,2.1"
angle,B,D,C,54-22-00,2.1"
`

func TestQuadrilateralWithBlunder(t *testing.T) {
	l := mustList(t, quadrilateral)
	all := mustAdjust(t, l.Network, Options{KeepAll: true})
	const foot = .3048
	feet := func(s Solution, i int) [2]float64 {
		return [2]float64{s.Points[i].At.X / foot, s.Points[i].At.Y / foot}
	}
	check := func(what string, got [2]float64, x, y float64) {
		t.Helper()
		near(t, what+" x", got[0], x, 6e-6)
		near(t, what+" y", got[1], y, 6e-6)
	}
	check("C of all", feet(all, 2), 9787.82499, 8038.53535)
	check("D of all", feet(all, 3), 9260.86043, 4843.93411)
	near(t, "s0", all.Sigma0, 9.28980, 6e-6)
	near(t, "vPv", all.VPV, 863.004, 6e-4)
	near(t, "largest |w|", math.Abs(all.Results[12].W), 29.193, 6e-4)
	near(t, "next |w|", largestBut(all, 12), 7.27, 6e-3)
	near(t, "its τ", math.Abs(all.Results[12].W)/all.Sigma0, 3.1425, 6e-5)
	near(t, "its v in seconds", all.Results[12].Residual*180/math.Pi*3600, -60.27, 6e-3)
	if all.Pass {
		t.Error("the global test passes with the blunder in")
	}
	for _, opt := range []Options{{}, {Estimated: true, Alpha: .05}} {
		s := mustAdjust(t, l.Network, opt)
		if len(s.Removed) != 1 || s.Removed[0].Observation != 12 || len(s.Tied) != 0 {
			t.Fatalf("%+v: removed %+v, tied %+v", opt, s.Removed, s.Tied)
		}
		check("C", feet(s, 2), 9787.83856, 8038.48622)
		check("D", feet(s, 3), 9260.88291, 4843.87549)
		near(t, "vPv", s.VPV, 10.7526, 6e-5)
		near(t, "s0", s.Sigma0, 1.0930, 6e-5)
		for i, want := range []float64{.01026, .01814, .01054, .01640} {
			near(t, "σ", coord(s.Points[2+i/2].Sigma(), i%2)/foot, want, 6e-6)
		}
		near(t, "largest |w| left", largestBut(s, -1), 1.878, 6e-4)
		if s.Redundancy != 9 || !s.Pass {
			t.Errorf("r %d pass %v", s.Redundancy, s.Pass)
		}
		if opt.Estimated {
			near(t, "τ critical of the first pass", s.Removed[0].Critical, 1.9039, 6e-5)
		}
		m, ok := ExplainIn(l.Network, s, s.Removed[0], nil)
		if !ok || m.Kind != "degree_slip" {
			t.Errorf("explained by %+v, %v; want one minute", m, ok)
		}
		// The sum falls by what the blunder put in, but for the error left.
		near(t, "gain", m.Gain, 863.004-10.7526, 3)
	}
}

// largestBut returns the largest |w| besides one observation's.
func largestBut(s Solution, but int) float64 {
	most := 0.0
	for i, r := range s.Results {
		if i != but && r.Used {
			most = math.Max(most, math.Abs(r.W))
		}
	}
	return most
}

// The same levelling net as a list. Source: Ghilani, Adjustment Computations, 5th
// ed. 2010, Ex. 12.6 p. 218.
func TestLevellingList(t *testing.T) {
	l := mustList(t, listHead+`fixed,,A,,437.596 m,
level,A,,B,10.509 m,6 mm
level,B,,C,5.360 m,4 mm
level,C,,D,-8.523 m,5 mm
level,D,,A,-7.348 m,3 mm
level,B,,D,-3.167 m,4 mm
level,A,,C,15.881 m,12 mm
`)
	s := mustAdjust(t, l.Network, Options{})
	for i, want := range []float64{437.596, 448.10871, 453.46847, 444.94361} {
		near(t, s.Points[i].Name, s.Points[i].At.Z, want, 5e-6)
		if s.Points[i].Loose != "" {
			t.Errorf("%s is loose in %q", s.Points[i].Name, s.Points[i].Loose)
		}
	}
	near(t, "vPv", s.VPV, 1.272123, 5e-7)
	for i, tau := range []float64{1.1739, -.1632, -.8016, .4663, 1.1053, -1.1599} {
		near(t, fmt.Sprint("τ ", i), s.Results[i].W/s.Sigma0, tau, 6e-5)
	}
}

// A double-run level loop. Source: the sample network of a free geodesy library's
// documentation.
func TestDoubleRunLoop(t *testing.T) {
	l := mustList(t, listHead+`fixed,,1a,,1000.000 m,
level,1a,,4,-1.225 m,5 mm
level,4,,3,-.848 m,5 mm
level,3,,2,1.342 m,5 mm
level,2,,1a,.720 m,5 mm
level,1a,,2,-.724 m,5 mm
level,2,,3,-1.335 m,5 mm
level,3,,4,.842 m,5 mm
level,4,,1a,1.231 m,5 mm
`)
	s := mustAdjust(t, l.Network, Options{})
	for name, want := range map[string]float64{"4": 998.77513, "3": 997.93325, "2": 999.27487} {
		for _, p := range s.Points {
			if p.Name == name {
				near(t, name, p.At.Z, want, 6e-6)
				near(t, "σ of "+name+" in mm", p.Sigma().Z*1e3, map[string]float64{"4": 3.1, "3": 3.5, "2": 3.1}[name], .05)
			}
		}
	}
	near(t, "[pvv] in mm²", s.VPV*25, 146.625, 6e-4)
	near(t, "m0 in mm", s.Sigma0*5, 5.4153, 6e-5)
	for i, w := range []float64{.032, 1.550, -.095, 1.297, -.285, -1.676, -.032, -1.550} {
		near(t, fmt.Sprint("w ", i), s.Results[i].W, w, 6e-4)
	}
}

// Points that only distances fix in space, without any guess: the upper of two
// mirrored places. Source: Wolf 1979 p. 87 (moved to give no guess).
func TestListInSpaceWithoutGuess(t *testing.T) {
	l := mustList(t, listHead+`fixed,,1,,1200 900 900 m,
fixed,,2,,900 600 900 m,
fixed,,3,,600 900 900 m,
fixed,,4,,900 1200 900 m,
height,,P,,1300.1 m,1 m
distance,1,,P,499.99 m,10 mm
distance,2,,P,500.00 m,10 mm
distance,3,,P,500.01 m,10 mm
distance,4,,P,500.02 m,10 mm
distance,P,,Q,96.419227 m,10 mm
distance,1,,Q,541.571787 m,10 mm
distance,2,,Q,557.942649 m,10 mm
distance,4,,Q,579.050948 m,10 mm
`)
	s := mustAdjust(t, l.Network, Options{KeepAll: true})
	// The height of 1 m scatter and the second point move it by a few micrometres.
	near(t, "x", s.Points[4].At.X, 900.016666667, 1e-5)
	near(t, "z", s.Points[4].At.Z, 1300.006249413, 1e-5)
	if d := s.Points[5].At.Sub(geom.Vec{X: 950, Y: 880, Z: 1380}).Norm(); d > 1e-4 || s.Points[5].Loose != "" {
		t.Errorf("Q at %v, loose %q", s.Points[5].At, s.Points[5].Loose)
	}
}

func FuzzReadList(f *testing.F) {
	f.Add(quadrilateral)
	f.Add(listHead + "fixed,,A,,\"0 0 0 m\",\nslope,A,,B,\"7.31 m 34.5 deg\",5mm 0.5deg\n")
	f.Add("kind;from;at;to;value;sigma\ndistance;A;;B;\"32' 9 1/2\";3 mm\nparallel;A;B;C;D;\nsquare;A;B;C;;\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := ReadList(text, si.US)
		if err != nil {
			var le *ListError
			if !errors.As(err, &le) || err.Error() == "" {
				t.Fatalf("error %v", err)
			}
			return
		}
		if len(l.Rows) != len(l.Observations) {
			t.Fatalf("%d rows, %d observations", len(l.Rows), len(l.Observations))
		}
		if err := l.check(); err != nil {
			t.Fatalf("a list that was read is refused: %v", err)
		}
		if len(l.Observations) > 40 {
			return
		}
		s, err := Adjust(l.Network, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range s.Points {
			if !finiteVec(p.At) || !finiteVec(p.Sigma()) {
				t.Fatalf("%s at %v ± %v", p.Name, p.At, p.Sigma())
			}
		}
		s.Looseness(5)
	})
}

func ExampleReadList() {
	l, _ := ReadList(`kind,from,at,to,value,sigma
fixed,,floor,,0 m,
height,,beam,,"19' 8""",5 mm
level,floor,,beam,5.991 m,3 mm
`, si.US)
	s, _ := Adjust(l.Network, Options{})
	fmt.Printf("%s %.4f ± %.4f m\n", s.Points[1].Name, s.Points[1].At.Z, s.Points[1].Sigma().Z)
	_, err := ReadList("kind,from,at,to,value,sigma\ndistance,A,,B,12.5,3 mm\n", si.US)
	fmt.Println(err)
	// Output:
	// beam 5.9919 ± 0.0026 m
	// line 2, value: "12.5" can be read in more than one way (no unit is given): write 12.5 ft or 12 ft 5 in or 12.5 in or 12.5 m or 12.5 cm or 12.5 mm
}

// A standard deviation that nobody gave is taken by instrument, and said.
func TestListSaysSigmasItTook(t *testing.T) {
	const text = "kind,from,at,to,value,sigma,instrument\nfixed,,A,,0 0 0 m,,\nnear,,B,,4 3 1 m,,\ndistance,A,,B,5.000 m,,steel tape\nangle,A,B,C,45-12-34,,\nnear,,C,,1 5 0 m,,\nslope,A,,C,5.1 m 2 deg,,laser\nheight,,B,,1.00 m,2 mm,\n"
	l, err := ReadList(text, si.Metric)
	if err != nil {
		t.Fatal(err)
	}
	notes := strings.Join(l.Notes, "\n")
	for _, want := range []string{"line 4 3.1 mm (steel tape)", "line 5 0.5° (a number without instrument)", "line 7", "and 0.3° (laser meter)"} {
		if !strings.Contains(notes, want) {
			t.Errorf("%q is not in %q", want, notes)
		}
	}
	if strings.Contains(notes, "line 8") {
		t.Errorf("a given sigma is said to be taken: %q", notes)
	}
}

// Curly quotes around a field and behind inches are read like straight ones.
func TestListCurlyQuotes(t *testing.T) {
	l, err := ReadList("kind,from,at,to,value,sigma\nfixed,,A,,“0 0 0 m”,\ndistance,A,,B,“32’ 9 1/2””,3mm\n", si.Metric)
	if err != nil {
		t.Fatal(err)
	}
	const want = 9.9949 // 32.7917 ft
	if got := l.Observations[0].Value; math.Abs(got-want) > 1e-6 {
		t.Errorf("%v m, want %v m", got, want)
	}
}
