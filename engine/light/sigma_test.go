package light

import (
	"math"
	"math/rand/v2"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// lightScatter is the share by which a zone's sampled standard deviation may miss
// the predicted one: 300 rooms give 4 %, the rest is the second order.
const (
	lightScatter = 0.15
	lightRooms   = 300
)

// The standard deviation of a zone's light from the covariance of its lines is
// what the light scatters by over rooms of that covariance.
func TestZoneSigmaAgainstScatter(t *testing.T) {
	const seed = 20261125
	rng := rand.New(rand.NewPCG(seed, 4))
	in := meetingHouseInput()
	// One height for both ends, two distances from the platform.
	for i := range in.Room.Lines {
		l := &in.Room.Lines[i]
		l.Cov = [6][6]float64{}
		const common, own, y = 0.08, 0.03, 0.06
		l.Cov[2][2], l.Cov[5][5] = common*common+own*own, common*common+own*own
		l.Cov[2][5], l.Cov[5][2] = common*common, common*common
		l.Cov[1][1], l.Cov[4][4] = y*y, y*y
		l.SigmaDrop = 0.1
	}
	for i := range in.Brief.Zones {
		if z := &in.Brief.Zones[i]; !z.FaceHeight.Set {
			z.FaceHeight = si.Known(si.Length(1.6))
		}
	}
	in.Survey.Platform.TallestSpeaker, in.Survey.Platform.ShortestSpeaker = si.Known(si.Length(1.8)), si.Known(si.Length(1.6))
	faces := (&evaluator{in: in}).sigmaFaceM()
	base, _ := Evaluate(in)
	sum, square := map[string]float64{}, map[string]float64{}
	for range lightRooms {
		moved := in
		moved.Room.Lines = append([]room.Line(nil), in.Room.Lines...)
		moved.Sources = append([]Source(nil), in.Sources...)
		old := map[string]room.Line{}
		now := map[string]room.Line{}
		drop := map[string]float64{}
		moved.Brief.Zones = append([]brief.Zone(nil), in.Brief.Zones...)
		taller := faces * rng.NormFloat64()
		for i := range moved.Brief.Zones {
			z := &moved.Brief.Zones[i]
			z.FaceHeight.Value += si.Length(taller)
			z.Faces = append([]brief.Face(nil), z.Faces...)
			for k := range z.Faces {
				z.Faces[k].Z.Value += si.Length(taller)
			}
		}
		for i := range moved.Room.Lines {
			l := &moved.Room.Lines[i]
			old[l.Name] = *l
			z := 0.08 * rng.NormFloat64()
			l.From = l.From.Add(geom.Vec{Y: 0.06 * rng.NormFloat64(), Z: z + 0.03*rng.NormFloat64()})
			l.To = l.To.Add(geom.Vec{Y: 0.06 * rng.NormFloat64(), Z: z + 0.03*rng.NormFloat64()})
			now[l.Name] = *l
			drop[l.Name] = l.SigmaDrop.Metres() * rng.NormFloat64()
		}
		for i := range moved.Sources {
			s := &moved.Sources[i]
			l, ok := (&evaluator{in: in}).lineOf(*s)
			if !ok {
				continue
			}
			d := old[l.Name].To.Sub(old[l.Name].From)
			along := s.At.Sub(old[l.Name].From).Dot(d.Unit())
			was := old[l.Name].From.Add(d.Unit().Scale(along))
			n := now[l.Name].To.Sub(now[l.Name].From)
			s.At = s.At.Add(now[l.Name].From.Add(n.Unit().Scale(along)).Sub(was)).Sub(geom.Vec{Z: drop[l.Name]})
		}
		rep, _ := Evaluate(moved)
		for _, z := range rep.Zones {
			sum[z.Name] += z.AverageLx
			square[z.Name] += z.AverageLx * z.AverageLx
		}
	}
	for _, z := range base.Zones {
		if math.IsNaN(z.SigmaPct) || z.AverageLx == 0 {
			continue
		}
		mean := sum[z.Name] / lightRooms
		got := math.Sqrt(square[z.Name]/lightRooms-mean*mean) / mean * 100
		if math.Abs(got-z.SigmaPct) > lightScatter*z.SigmaPct {
			t.Errorf("seed %d: zone %s scatters by %.2f %%, predicted %.2f %%", seed, z.Name, got, z.SigmaPct)
		}
	}
}

// A platform whose height is known to p moves its faces against the lenses: of a
// unit aimed at its face σ(E)/E = 3·r_z·p/|r|², r the way to the lens. A line known
// as well by itself makes that √2 as much, and one that was measured up from the
// platform, and so errs with it, makes it nothing.
func TestPlatformHeightInTheLight(t *testing.T) {
	const p = 0.03 // m
	face := geom.Vec{Y: 1, Z: 2.2}
	lens := geom.Vec{X: 0.5, Y: -3, Z: 5.7}
	line := room.Line{Name: "B", Kind: "beam", From: geom.Vec{X: -4, Y: -3, Z: 5.7}, To: geom.Vec{X: 4, Y: -3, Z: 5.7}}
	sigma := func(own, with float64) float64 {
		l := line
		for _, i := range []int{2, 5} {
			for _, k := range []int{2, 5} {
				l.Cov[i][k] = own * own
			}
			l.PlatformCov[i] = with
		}
		in := Input{LossFactor: 1, Sources: []Source{frontLamp("one", lens, face)},
			Room:  room.Room{Lines: []room.Line{l}, Platform: room.Platform{Height: 0.6, SigmaHeight: p, Outline: geom.Polygon{{X: -3}, {X: 3}, {X: 3, Y: 3}, {X: -3, Y: 3}}}},
			Brief: brief.Brief{Zones: []brief.Zone{{Name: "desk", Faces: []brief.Face{{Name: "reader", X: lengthOf(face.X), Y: lengthOf(face.Y), Z: lengthOf(face.Z)}}}}}}
		in.Sources[0].Line = "B"
		in.Survey.Platform.TallestSpeaker, in.Survey.Platform.ShortestSpeaker = si.Known(si.Length(1.7)), si.Known(si.Length(1.7))
		rep, _ := Evaluate(in)
		return rep.Zones[0].SigmaPct
	}
	r := lens.Sub(face)
	alone := 100 * 3 * r.Z * p / r.Dot(r)
	const secondOrder = 1e-3 // %, of a step of 10 mm in the gradient
	for name, tc := range map[string][2]float64{"the platform alone": {sigma(0, 0), alone}, "both by themselves": {sigma(p, 0), math.Sqrt2 * alone}, "measured up from it": {sigma(p, p*p), 0}} {
		if math.Abs(tc[0]-tc[1]) > secondOrder {
			t.Errorf("%s: %v %%, want %v %%", name, tc[0], tc[1])
		}
	}
}

// Aimed at the point itself, a unit's light changes as the inverse-square cosine
// law says.
func TestPullOfAnAimedUnit(t *testing.T) {
	s := meetingHouseInput().Sources[0]
	p := Point{At: s.Aim, Normal: geom.Vec{Y: -1}}
	got, ok := pullOf(s, p)
	r := s.At.Sub(p.At)
	want := p.Normal.Scale(1 / p.Normal.Dot(r)).Sub(r.Scale(3 / r.Dot(r)))
	const secondOrder = 1e-4 // 1/m, of a step of 10 mm on throws over 4 m
	if !ok || got.Sub(want).Norm() > secondOrder {
		t.Errorf("pull %v, want %v", got, want)
	}
	if _, ok := pullOf(s, Point{At: s.At.Add(geom.Vec{Z: 5}), Normal: geom.Vec{Y: -1}}); ok {
		t.Error("a face behind the unit is pulled")
	}
}

// While nobody said how tall people are, the checklist's assumption counts; people
// of one height add nothing; even heights scatter by their range over √12.
func TestFaceHeightSigma(t *testing.T) {
	e := &evaluator{}
	if got, want := e.sigmaFaceM(), survey.AssumedSigma("S5"); got != want || want <= 0 {
		t.Errorf("nobody said: %g m, want %g m", got, want)
	}
	p := &e.in.Survey.Platform
	p.TallestSpeaker, p.ShortestSpeaker = si.Known(si.Length(1.9)), si.Known(si.Length(1.9))
	if got := e.sigmaFaceM(); got != 0 {
		t.Errorf("one height: %g m", got)
	}
	p.ShortestSpeaker = si.Known(si.Length(1.3))
	const want = 0.17320508075688773 // 0.6/√12
	if got := e.sigmaFaceM(); math.Abs(got-want) > 1e-12 {
		t.Errorf("%g m, want %g m", got, want)
	}
}

// The share of assumed reflectances in a place's light: a room whose walls are
// known and whose ceiling, half of its surfaces, is not.
func TestReflectedSigma(t *testing.T) {
	square := geom.Polygon{{}, {X: 2}, {X: 2, Y: 2}, {Y: 2}}
	r := room.Room{Surfaces: []room.Surface{{Kind: "wall", Polygon: square, Reflectance: 0.4}, {Kind: "ceiling", Polygon: square, Reflectance: 0.6, SigmaReflectance: 0.15}}}
	// ρ 0.5, σ 0.075: 0.075/(0.5·0.5) = 30 % of the reflected half.
	const rounding = 1e-9
	if got := sigmaReflectedPct(r, 200, 100); math.Abs(got-15) > rounding {
		t.Errorf("%g %%, want 15 %%", got)
	}
	// A second way: the sphere's own formula at ρ ± a little.
	sphere := func(rho float64) float64 { return 100 + 100*rho/(1-rho) } // direct and reflected, lx
	const step = 1e-5
	want := 0.075 * (sphere(0.5+step) - sphere(0.5-step)) / (2 * step) / sphere(0.5) * 100
	const secondOrder = 1e-3
	if got := sigmaReflectedPct(r, sphere(0.5), sphere(0.5)-100); math.Abs(got-want) > secondOrder {
		t.Errorf("%g %%, want %g %%", got, want)
	}
	r.Surfaces[1].SigmaReflectance = 0
	if got := sigmaReflectedPct(r, 200, 100); got != 0 {
		t.Errorf("all surveyed: %g %%", got)
	}
	if !math.IsNaN(sigmaReflectedPct(r, math.NaN(), 100)) || !math.IsNaN(sigmaReflectedPct(r, 0, 0)) {
		t.Error("no light has a standard deviation")
	}
}
