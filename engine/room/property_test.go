package room

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// volumeTolerance is the share of a volume lost to float64 rounding and slivers.
const volumeTolerance = 1e-9

// The shell's normals point inward and it is closed: the divergence theorem gives
// the volume that the plan and the heights give by hand, and the flux of a
// constant field through it is nought.
func TestShellIsClosed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.Float64Range(3, 40).Draw(t, "width")
		l := rapid.Float64Range(3, 60).Draw(t, "length")
		e := rapid.Float64Range(2, 10).Draw(t, "eaves")
		rise := rapid.Float64Range(0.5, 8).Draw(t, "rise")
		x0, y0 := rapid.Float64Range(-30, 30).Draw(t, "x0"), rapid.Float64Range(-60, 10).Draw(t, "y0")
		along := rapid.Bool().Draw(t, "ridge along y")
		turned := rapid.Float64Range(0, 2*math.Pi).Draw(t, "turned")
		c := Ceiling{RidgeAlongY: along, CentreX: si.Length(x0 + w/2), CentreY: si.Length(y0 + l/2), HalfWidth: si.Length(w / 2)}
		if !along {
			c.HalfWidth = si.Length(l / 2)
		}
		across, length := w, l
		if !along {
			across, length = l, w
		}
		c.HalfLength = si.Length(length / 2)
		var g Ground
		floor := geom.Polygon{{X: x0, Y: y0}, {X: x0 + w, Y: y0}, {X: x0 + w, Y: y0 + l}, {X: x0, Y: y0 + l}}
		var want float64
		kind := rapid.SampledFrom([]string{"box", "gable", "a_frame", "l_shape", "turned", "hipped", "barrel", "stepped"}).Draw(t, "kind")
		switch kind {
		case "box":
			c.Shape, c.Eaves, want = "flat", si.Length(e), w*l*e
		case "gable":
			c.Shape, c.Eaves, c.Ridge, want = "gable", si.Length(e), si.Length(e+rise), w*l*(e+rise/2)
		case "a_frame":
			c.Shape, c.Ridge, want = "a_frame", si.Length(e+rise), w*l*(e+rise)/2
		case "l_shape":
			// A bite out of one corner.
			bw, bl := w*rapid.Float64Range(0.1, 0.9).Draw(t, "bite x"), l*rapid.Float64Range(0.1, 0.9).Draw(t, "bite y")
			floor = geom.Polygon{{X: x0, Y: y0}, {X: x0 + w - bw, Y: y0}, {X: x0 + w - bw, Y: y0 + bl}, {X: x0 + w, Y: y0 + bl}, {X: x0 + w, Y: y0 + l}, {X: x0, Y: y0 + l}}
			c.Shape, c.Eaves, want = "flat", si.Length(e), (w*l-bw*bl)*e
		case "turned":
			for i, p := range floor {
				floor[i] = geom.Vec{X: p.X*math.Cos(turned) - p.Y*math.Sin(turned), Y: p.X*math.Sin(turned) + p.Y*math.Cos(turned)}
			}
			c.Shape, c.Eaves, want = "flat", si.Length(e), w*l*e
		case "hipped":
			// The prism of a gable less both hips: w·r·(l/2 − q/3) over the eaves.
			q := length / 2 * rapid.Float64Range(0.05, 1).Draw(t, "hip run")
			c.Shape, c.Eaves, c.Ridge, c.HipRun = "hipped", si.Length(e), si.Length(e+rise), si.Length(q)
			want = w*l*e + across*rise*(length/2-q/3)
		case "barrel":
			c.Shape, c.Eaves, c.Ridge = "barrel", si.Length(e), si.Length(e+rise)
			us, zs := vault(across/2, rise)
			section := 0.0
			for i := range us[:len(us)-1] {
				section += (us[i+1] - us[i]) * (zs[i+1] + zs[i]) / 2
			}
			want = w*l*e + section*length
		case "stepped":
			c.Shape, c.Eaves = "stepped", si.Length(e)
			first := rapid.Float64Range(0.1, 0.5).Draw(t, "first step")
			second := rapid.Float64Range(0.5, 0.9).Draw(t, "second step")
			c.Steps = []CeilingStep{{si.Length(y0 + first*l), si.Length(e + rise)}, {si.Length(y0 + second*l), si.Length(e + rise/2)}}
			want = w * l * (first*e + (second-first)*(e+rise) + (1-second)*(e+rise/2))
		}
		if kind != "turned" && kind != "l_shape" && kind != "a_frame" && rapid.Bool().Draw(t, "sloped floor") {
			from := rapid.Float64Range(0.55, 0.95).Draw(t, "slope from")
			to := rapid.Float64Range(0.05, 0.45).Draw(t, "slope to")
			g = Ground{Rise: si.Length(rapid.Float64Range(-1, 1).Draw(t, "floor rise")), FromY: si.Length(y0 + from*l), ToY: si.Length(y0 + to*l)}
			want -= w * l * float64(g.Rise) * ((from-to)/2 + to)
		}
		ss := shell(floor, c, g, Platform{Width: 5, Depth: 3})
		if got := volume(ss); math.Abs(got-want) > volumeTolerance*want+1e-7 {
			t.Fatalf("%s: volume %v, want %v", kind, got, want)
		}
		var flux geom.Vec
		for _, s := range ss {
			flux = flux.Add(s.Polygon.Normal().Scale(s.Polygon.Area()))
			if !convexInSpace(s.Polygon) {
				t.Fatalf("%s: %s is not convex: %v", kind, s.Name, s.Polygon)
			}
		}
		if flux.Norm() > 1e-6*math.Pow(want, 2./3) {
			t.Fatalf("%s: the surface vectors add up to %v", kind, flux)
		}
	})
}

// An L-shaped room under a gable: by slices, ∫ height over the plan.
func TestLShapeUnderGable(t *testing.T) {
	floor := geom.Polygon{{X: -5, Y: -20}, {X: 5, Y: -20}, {X: 5, Y: -10}, {X: 2, Y: -10}, {X: 2, Y: 4}, {X: -5, Y: 4}}
	c := Ceiling{Shape: "gable", RidgeAlongY: true, Eaves: 3, Ridge: 7, HalfWidth: 5}
	var want float64
	const n = 20000
	for i := range n {
		x := -5 + 10*(float64(i)+0.5)/n
		depth := 24.0
		if x > 2 {
			depth = 10
		}
		want += float64(c.HeightAt(x, 0)) * depth * 10 / n
	}
	near(t, "volume", volume(shell(floor, c, Ground{}, Platform{Width: 4, Depth: 3})), want, 1e-3)
}

func TestConvexPartsKeepTheArea(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// A star-shaped polygon about the origin never crosses itself.
		n := rapid.IntRange(3, 14).Draw(t, "corners")
		var g geom.Polygon
		for i := range n {
			a := 2 * math.Pi * (float64(i) + rapid.Float64Range(0, 0.8).Draw(t, "turn")) / float64(n)
			r := rapid.Float64Range(1, 20).Draw(t, "r")
			g = append(g, geom.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)})
		}
		if n < 4 && signedArea(g) <= 0 {
			return
		}
		var sum float64
		for _, p := range convexParts(g) {
			if !convex(p) {
				t.Fatalf("part %v is not convex", p)
			}
			sum += signedArea(p)
		}
		if want := signedArea(g); math.Abs(sum-want) > 1e-6*math.Abs(want) {
			t.Fatalf("parts %v, polygon %v", sum, want)
		}
	})
}

// Solids are closed and face outward: their volume by the divergence theorem is
// that of the box, the cylinder (equal plan area) and the member.
func TestSolidsAreClosed(t *testing.T) {
	vol := func(faces []geom.Polygon) float64 {
		var v float64
		for _, f := range faces {
			for _, tr := range f.Triangles() {
				v += tr[0].Dot(tr[1].Cross(tr[2])) / 6
			}
		}
		return v
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := rapid.Float64Range(0.02, 5).Draw(t, "a"), rapid.Float64Range(0.02, 5).Draw(t, "b"), rapid.Float64Range(0.1, 9).Draw(t, "c")
		p := geom.Vec{X: rapid.Float64Range(-20, 20).Draw(t, "x"), Y: rapid.Float64Range(-40, 9).Draw(t, "y"), Z: rapid.Float64Range(0, 9).Draw(t, "z")}
		q := p.Add(geom.Vec{X: rapid.Float64Range(0.1, 20).Draw(t, "dx"), Y: rapid.Float64Range(-5, 5).Draw(t, "dy"), Z: rapid.Float64Range(-3, 3).Draw(t, "dz")})
		for name, tc := range map[string]struct{ got, want float64 }{
			"box":      {vol(boxFaces(p, a, b, c)), a * b * c},
			"cylinder": {vol(cylinderFaces(p, a, c)), math.Pi / 4 * a * a * c},
			"member":   {vol(memberFaces(p, q, a, b)), a * b * q.Sub(p).Norm()},
		} {
			if math.Abs(tc.got-tc.want) > 1e-6*(1+tc.want) {
				t.Fatalf("%s: volume %v, want %v", name, tc.got, tc.want)
			}
		}
	})
	if memberFaces(geom.Vec{}, geom.Vec{}, 1, 1) != nil || len(memberFaces(geom.Vec{}, geom.Vec{Z: 3}, 1, 1)) != 6 {
		t.Error("a member without length, or upright")
	}
}

// randomSurvey is a document with anything missing, doubled or absurd.
func randomSurvey(t *rapid.T) survey.Survey {
	text := rapid.SampledFrom([]string{"", "", "3 m", "12' 6 1/2\"", "0", "-4 m", "11.10", "86", "1,234 mm", "20 ft", "0.01 m", "900 m", "1e9", "2.4 m", "7 m", "-18 ft"})
	l := func(what string) survey.L {
		v, _ := si.TypedLength(text.Draw(t, what), si.US)
		return v
	}
	names := []string{"a", "b", "c", "d", "W1", "ridge", "ceiling", "gallery", "platform", "", "x"}
	name := func(what string) string { return rapid.SampledFrom(names).Draw(t, what) }
	n := func(what string, most int) int { return rapid.IntRange(0, most).Draw(t, what) }
	place := func(what string) survey.Place {
		return survey.Place{Station: name(what), X: l(what), Y: l(what), Z: l(what), Instrument: survey.Laser}
	}
	state := func() survey.State {
		return rapid.SampledFrom([]survey.State{"", survey.Planned, survey.Removed}).Draw(t, "state")
	}
	s := survey.Survey{
		Ceiling:  survey.Ceiling{Shape: rapid.SampledFrom([]string{"", "flat", "gable", "a_frame", "hipped", "barrel", "stepped", "dome"}).Draw(t, "shape"), Height: l("h"), Ridge: l("r"), Slope: l("s"), RidgeRun: rapid.SampledFrom([]string{"", "across"}).Draw(t, "run"), HipRun: l("hip"), Steps: []survey.CeilingStep{{FromY: l("sy"), Height: l("sz")}, {FromY: l("sy2"), Height: l("sz2")}}},
		Platform: survey.Platform{Width: l("w"), Depth: l("d"), Height: l("ph"), Steps: n("steps", 4), Riser: l("riser"), Apron: []survey.Place{place("a1"), place("a2"), place("a3")}, ApronHeight: l("ah"), Flights: []survey.StepFlight{{Centre: place("fc"), Risers: n("risers", 4), FacingDeg: 30}}},
		Site:     survey.Site{YearBuilt: n("year", 2030)},
		Floor:    survey.Floor{Kind: rapid.SampledFrom([]string{"", "slab_on_ground", "over_cellar"}).Draw(t, "floor"), Rise: l("rise"), RiseFromY: l("rf"), RiseToY: l("rt")},
	}
	for range n("walls", 2) {
		s.Walls = append(s.Walls, survey.Wall{Name: name("wall"), From: name("wf"), To: name("wt"), Openings: []survey.Opening{{Name: "door", Along: l("oa"), Width: l("ow"), Height: l("oh"), Sill: l("os"), State: state()}}})
		s.Views = append(s.Views, survey.KeepInView{Name: name("view"), Centre: place("vc"), Width: l("vw"), Bottom: l("vb"), State: state()})
		s.Panels = append(s.Panels, survey.Panel{Name: name("panel"), At: place("pa"), State: state()})
	}
	for range n("stations", 5) {
		s.Stations = append(s.Stations, survey.Station{Name: name("station"), FixedX: l("fx"), FixedY: l("fy"), NearX: l("nx"), NearZ: l("nz")})
	}
	for range n("corners", 6) {
		s.Footprint = append(s.Footprint, name("corner"))
	}
	kinds := []survey.Kind{survey.Distance, survey.Horizontal, survey.Height, survey.Rise, survey.OffsetX, survey.OffsetY, survey.Square, survey.SameHeight, "odd"}
	for i := range n("measurements", 12) {
		s.Measurements = append(s.Measurements, survey.Measurement{ID: fmt.Sprint(i), Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), From: name("from"), At: name("at"), To: name("to"),
			Value: l("v"), Sigma: l("sigma"), Reference: name("ref"), Instrument: rapid.SampledFrom([]survey.Instrument{"", survey.Laser, survey.Guess, "odd"}).Draw(t, "inst"), Void: rapid.Bool().Draw(t, "void")})
	}
	for range n("levels", 2) {
		s.Levels = append(s.Levels, survey.Level{Name: name("level"), Height: l("lh")})
	}
	for range n("lines", 3) {
		s.Lines = append(s.Lines, survey.HangingLine{Name: name("line"), Kind: rapid.SampledFrom([]string{"beam", "wall", "tension_rod", "slab", "odd", ""}).Draw(t, "lk"),
			From: place("lf"), To: place("lt"), Width: l("lw"), Depth: l("ld"), Drop: l("drop"), State: state(), Usable: []survey.Span{{From: l("uf"), To: l("ut")}}})
	}
	for range n("galleries", 2) {
		s.Galleries = append(s.Galleries, survey.Gallery{Name: name("g"), Floor: l("gf"), Soffit: l("gs"), Front: l("gfr"), RailTop: l("gr"),
			Outline: []survey.Place{place("g1"), place("g2"), place("g3"), place("g4")}})
	}
	for range n("things", 2) {
		s.Solids = append(s.Solids, survey.Solid{Name: name("so"), Shape: rapid.SampledFrom([]string{"box", "cylinder"}).Draw(t, "ss"), Centre: place("sc"), Width: l("sw"), Height: l("sh"), State: state()})
		s.Screens = append(s.Screens, survey.Screen{Name: name("scr"), Kind: "tv", Centre: place("scp"), Width: l("scw"), Height: l("sch"), Bottom: l("scb")})
		s.Windows = append(s.Windows, survey.Window{Name: name("win"), Centre: place("wp"), Width: l("ww"), Height: l("wh"), Sill: l("ws")})
		s.Seating = append(s.Seating, survey.Seating{Name: name("se"), FirstY: l("sf"), LastY: l("sl"), Rows: rapid.IntRange(-3, 100000).Draw(t, "rows"), Pitch: l("sp"), Width: l("sew"), Level: name("slv")})
		s.Eyes = append(s.Eyes, survey.Eye{Name: name("eye"), At: place("ep")})
		s.Glosses = append(s.Glosses, survey.Gloss{Name: name("gl"), Centre: place("gp"), Width: l("gw"), Depth: l("gd")})
		s.Finishes = append(s.Finishes, survey.Finish{Surface: name("fi"), Reflectance: rapid.Float64Range(-1, 2).Draw(t, "rho"), State: state()})
	}
	return s
}

// Any document gives a room of finite numbers, the same every time, in which
// every surface has a normal.
func TestAnySurveySolves(t *testing.T) {
	book := finding.NewBook()
	rapid.Check(t, func(t *rapid.T) {
		s := randomSurvey(t)
		region := rapid.SampledFrom([]string{"us", "metric", ""}).Draw(t, "region")
		r, fs := Solve(s, book, region)
		fs = append(fs, survey.Check(s, book, region)...)
		for _, f := range fs {
			book.Render(f, si.US)
		}
		if len(r.Footprint) < 3 || signedArea(r.Footprint) <= 0 {
			t.Fatalf("footprint %v", r.Footprint)
		}
		for _, sf := range r.Surfaces {
			for _, p := range sf.Polygon {
				if math.IsNaN(p.Norm()) || math.IsInf(p.Norm(), 0) {
					t.Fatalf("%s: %v", sf.Name, sf.Polygon)
				}
			}
			if n := sf.Polygon.Normal().Norm(); math.Abs(n-1) > 1e-6 {
				t.Fatalf("%s has no normal: %v", sf.Name, sf.Polygon)
			}
		}
		if v := volume(shellOf(r)); !(v > 0) {
			t.Fatalf("volume %v", v)
		}
		for _, l := range r.Lines {
			if math.IsNaN(l.From.Norm()+l.To.Norm()+float64(l.SigmaZ+l.SigmaY+l.Drop)) || len(l.Spans) > 1 {
				t.Fatalf("line %+v", l)
			}
		}
		for _, l := range r.Lines {
			for i := range 6 {
				if math.IsNaN(l.Cov[i][i]) || l.Cov[i][i] < 0 {
					t.Fatalf("line %s: covariance %v", l.Name, l.Cov)
				}
			}
		}
		SolveToday(s, book, region)
		again, fs2 := Solve(s, book, region)
		if fmt.Sprint(again) != fmt.Sprint(r) || len(fs2) == 0 {
			t.Fatal("the same survey gave another room")
		}
	})
}

func BenchmarkSolve(b *testing.B) {
	s, book := brickHall(b), finding.NewBook()
	for range b.N {
		Solve(s, book, "us")
	}
}
