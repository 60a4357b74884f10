package scheme

import (
	"math"
	"testing"

	"roodbeam/engine/geom"
	"roodbeam/engine/light"
)

// lxOn returns the illuminance of a face that looks to the seats from one fixture
// on its axis, without loss: I times the cosine over the squared distance.
func lxOn(t *testing.T, code string, fieldDeg float64, lens, face geom.Vec) float64 {
	t.Helper()
	f, ok := testFixtures().Get(code)
	if !ok {
		t.Fatalf("no fixture %s", code)
	}
	d, ok := testFixtures().Distribution(f, fieldDeg)
	if !ok {
		t.Fatalf("no beam %v° of %s", fieldDeg, code)
	}
	return light.Direct(light.Source{At: lens, Aim: face, Dist: d, Level: 1}, light.Point{At: face, Normal: geom.Vec{Y: -1}}, light.Scene{}).Lx
}

func near1(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol {
		t.Errorf("%s: %.2f, want %.2f", what, got, want)
	}
}

func luxTol(v float64) float64 { return v * luxTolPct / 100 }

// The low flat-ceiling shop unit.
func TestTrapsOfTheLowShopUnit(t *testing.T) {
	lens, face := metres.at(0, 0.85, 2.75), metres.at(0, 0, 1.90)
	// At 45° the unit stands 0.85 m before the face and its pool is 1.12 m.
	near1(t, "45°", geom.ElevationDeg(face, lens), 45, angleTolDeg)
	pool := fieldDiameterM(lens.Sub(face).Norm(), 50)
	near1(t, "pool at 45°", pool, 1.12, 1.12*lengthTolPct/100)
	// 1.6 m before it: 28.0°, throw 1.81 m, pool 1.69 m.
	lens = metres.at(0, 1.6, 2.75)
	throw := lens.Sub(face).Norm()
	near1(t, "throw", throw, 1.81, 1.81*lengthTolPct/100)
	near1(t, "pool", fieldDiameterM(throw, 50), 1.69, 1.69*lengthTolPct/100)
	// The large fresnel is the wrong product there: square to its beam 2500 lx; the
	// small wash gives 647 lx on the face.
	near1(t, "large fresnel", 8200/(throw*throw), 2500, luxTol(2500))
	near1(t, "small wash", lxOn(t, "T-SML", 50, lens, face), 647, luxTol(647))
	// Spaced by 0.7 pools: 5 a row.
	if n := math.Ceil(5.0/(0.7*fieldDiameterM(throw, 50)) - 1e-9); n != 5 {
		t.Errorf("%v in a row, want 5", n)
	}
	// Back light stands low in the first row's eyes.
	near1(t, "first row's eye", geom.ElevationDeg(metres.at(0, 1.5, 1.2), metres.at(0, -2.85, 2.75)), 19.6, angleTolDeg)
	// The engine's own proposal does not hang the large fresnel.
	r, b := shopUnit()
	s, _ := proposal(r, b, testFixtures())
	if len(s.Units) == 0 {
		t.Error("nothing is proposed")
	}
	for _, u := range s.Units {
		if u.Fixture == "T-FRE" || u.Line == "second row" || u.Line == "back" {
			t.Errorf("%s: %s on %s", u.ID, u.Fixture, u.Line)
		}
	}
}

// The school hall with portal frames.
func TestTrapsOfTheSchoolHall(t *testing.T) {
	aims := []geom.Vec{metres.at(-1.5, -1.5, 2.2), metres.at(1.5, -1.5, 2.2)}
	sum := func(y float64, aim geom.Vec, xs ...float64) (lx float64, elevations []float64) {
		for _, x := range xs {
			lens := metres.at(x, y, 7.5)
			lx += lxOn(t, "T-FRE", 25, lens, aim)
			elevations = append(elevations, geom.ElevationDeg(aim, lens))
		}
		return lx, elevations
	}
	// From the bridge pipe cross-aimed pairs give 591 lx at each mark, at 41.5° to
	// 42.1°; from the frame behind it only 418 lx.
	lx, es := sum(3.8, aims[0], -4, 1.3)
	near1(t, "bridge pipe", lx, 591, luxTol(591))
	for _, e := range es {
		if e < 41.5-angleTolDeg || e > 42.1+angleTolDeg {
			t.Errorf("from the bridge pipe %.1f°, want 41.5° to 42.1°", e)
		}
	}
	lx, _ = sum(7.2, aims[0], -4, 1.3)
	near1(t, "frame +7.2", lx, 418, luxTol(418))
	// A stand of 3.9 m: 15.8° at 6 m, 25.9° at 3.5 m, 45° at 1.7 m.
	for d, want := range map[float64]float64{6: 15.8, 3.5: 25.9, 1.7: 45} {
		near1(t, "stand", geom.ElevationDeg(metres.at(0, -1.5, 2.2), metres.at(0, d-1.5, 3.9)), want, angleTolDeg)
	}
}

// The A-frame by a lake.
func TestTrapsOfTheAFrame(t *testing.T) {
	// Zones 2 and 3 cross-aimed from the tie at +2, from X 2.6 and −0.9 to 1.5: 41.5°
	// to 45.6°, 17° to 34° sideways, 303 + 241 = 544 lx at 40° in zone 2; about 31° and
	// 881 lx at 25° in zone 3, which has to be balanced.
	pair := []geom.Vec{metres.at(2.6, 2, 5.8), metres.at(-0.9, 2, 5.8)}
	two, three := metres.at(1.5, -1.5, 2.05), metres.at(1.5, -3.8, 2.05)
	for i, want := range [][3]float64{{45.6, 17, 303}, {41.5, 34, 241}} {
		near1(t, "zone 2 elevation", geom.ElevationDeg(two, pair[i]), want[0], angleTolDeg)
		near1(t, "zone 2 sideways", math.Abs(geom.BearingDeg(two, pair[i])), want[1], angleTolDeg)
		near1(t, "zone 2 light", lxOn(t, "T-FRE", 40, pair[i], two), want[2], luxTol(want[2]))
		if e := geom.ElevationDeg(three, pair[i]); e < 30 || e > 33 {
			t.Errorf("zone 3 from +2: %.1f°, want 30° to 33°", e)
		}
	}
	near1(t, "zone 3 light", lxOn(t, "T-FRE", 25, pair[0], three)+lxOn(t, "T-FRE", 25, pair[1], three), 881, luxTol(881))
	// Zone 1 from the tie at +6: about 508 lx with the narrower lens, and too low or
	// too steep from the others.
	one := metres.at(0, 1, 1.65)
	near1(t, "+6", geom.ElevationDeg(one, metres.at(0, 6, 5.8)), 39.7, angleTolDeg)
	near1(t, "+6 lx", lxOn(t, "T-FRE", 25, metres.at(0, 6, 5.8), one), 508, luxTol(508))
	near1(t, "+2", geom.ElevationDeg(one, metres.at(0, 2, 5.8)), 76.5, angleTolDeg)
	near1(t, "+10", geom.ElevationDeg(one, metres.at(0, 10, 5.8)), 24.8, angleTolDeg)
	// The steel rod below the tie does not stand in the light path of zone 2, whose
	// ray leaves it above.
	ray := axisDistance(metres.at(0, 2, 4.9), metres.at(-2.6, 2, 5.8), metres.at(0.9, -1.5, 2.05))
	if ray < oldLightM {
		t.Errorf("the rod is %.2f m from the ray", ray)
	}
	// Back light from the tie at −4.6.
	for face, want := range map[geom.Vec]float64{metres.at(0, -1.5, 2.05): 50.4, metres.at(0, -3.8, 2.05): 78.0, one: 36.5} {
		near1(t, "back", geom.ElevationDeg(face, metres.at(0, -4.6, 5.8)), want, angleTolDeg)
	}
}

// The brick meeting house with side galleries.
func TestTrapsOfTheMeetingHouse(t *testing.T) {
	// A 15° spot from the rear rail would give the reader 478 lx, and is refused for
	// its 6.7°.
	lens, reader := feet.at(4, 34.5, 11), feet.at(4, -2.5, 6.67)
	d := lens.Sub(reader).Norm()
	near1(t, "rear rail", 62000/(d*d)*math.Cos(6.7*math.Pi/180), 478, luxTol(478))
	if FrontBand(geom.ElevationDeg(reader, lens)) != BandRefuse {
		t.Error("the rear rail is refused")
	}
	// Every unit's light on its own aim, normal to the beam and on the face.
	in := workedHouse(t)
	want := map[string]float64{"R1": 246, "R2": 246, "T1": 201, "T2": 201, "C1": 238, "C2": 224, "C3": 224, "C4": 224, "C5": 224, "P1": 441, "G1": 342, "G2": 90}
	for _, p := range in.Placed {
		if w, ok := want[p.ID]; ok {
			near1(t, p.ID, lxOn(t, p.Fixture, p.FieldDeg, p.At, p.Target), w, luxTol(w))
		}
	}
	// Back light: 797, 475 and 740 lx square to the beam, the gallery's eyes low.
	for id, w := range map[string]float64{"K1": 797, "K2": 475, "K3": 740} {
		for _, p := range in.Placed {
			if p.ID == id {
				d := p.At.Sub(p.Target)
				near1(t, id, 14000/d.Dot(d), w, luxTol(w))
				near1(t, "first row's eye of "+id, geom.ElevationDeg(feet.at(p.At.X/float64(feet), 9, 3.8333), p.At), 38.4, angleTolDeg)
				for _, x := range []float64{-17, 17} {
					if e := geom.ElevationDeg(feet.at(x, 4, 13.67), p.At); e < 9.4-angleTolDeg || e > 17.1+angleTolDeg {
						t.Errorf("%s in a gallery's front eye: %.1f°, want 9.4° to 17.1°", id, e)
					}
				}
			}
		}
	}
	// The iron rod is 2.3 ft above the ray of R1 where they cross.
	lens, aim := feet.at(-4, 10, 18.5), feet.at(4, -2.5, 6.67)
	share := (10.0 - 7) / (10 + 2.5)
	height := (lens.Z + (aim.Z-lens.Z)*share) / float64(feet)
	if above := 18 - height; above < 2.2 || above > 2.4 {
		t.Errorf("the ray passes %.2f ft below the rod, want 2.3", above)
	}
}
