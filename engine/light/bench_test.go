package light_test

import (
	"testing"
	"time"

	"roodbeam/engine/enginetest/reference"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// BenchmarkShadowRays asks rays from face height to hanging height in the
// reference church. It reports the best pass, as testdata/bench/embree does:
// others may use the machine.
func BenchmarkShadowRays(b *testing.B) {
	s := light.NewScene(reference.Solids())
	rays := reference.Rays(200000)
	b.ReportAllocs()
	blocked, best := 0, time.Hour
	for b.Loop() {
		start := time.Now()
		for _, r := range rays {
			if s.Occluded(r[0], r[1]) {
				blocked++
			}
		}
		best = min(best, time.Since(start))
	}
	b.ReportMetric(float64(len(rays))/best.Seconds()/1e6, "Mrays/s")
	b.ReportMetric(float64(best.Nanoseconds())/float64(len(rays)), "ns/ray")
}

func BenchmarkTransport(b *testing.B) {
	r := reference.Room()
	b.ReportAllocs()
	for b.Loop() {
		light.NewTransport(r)
	}
}

func BenchmarkSpread(b *testing.B) {
	t := light.NewTransport(reference.Room())
	flux := make([]float64, t.Patches())
	for _, s := range reference.Sources() {
		for i, v := range t.Shoot(s) {
			flux[i] += v
		}
	}
	b.ReportMetric(float64(t.Patches()), "patches")
	b.ReportAllocs()
	for b.Loop() {
		t.Spread(flux)
	}
}

func BenchmarkProbe(b *testing.B) {
	t := light.NewTransport(reference.Room())
	at := reference.Sources()[0].Aim
	b.ReportAllocs()
	for b.Loop() {
		at.X += 1e-6 // a new point each time: asked again, it is kept
		t.Probe(at)
	}
}

func BenchmarkShoot(b *testing.B) {
	t := light.NewTransport(reference.Room())
	s := reference.Sources()[0]
	b.ReportAllocs()
	for b.Loop() {
		t.Shoot(s)
	}
}

func referenceInput() light.Input {
	r := reference.Room()
	return light.Input{Room: r, Brief: reference.Brief(), Sources: reference.Sources(), Book: finding.NewBook(), Region: "metric",
		Transport: light.NewTransport(r)}
}

// BenchmarkEvaluateChurch is the whole evaluation of the reference church: 24
// units, 3 zones, interreflection, 2 screens, 2 cameras, with the transport and the
// grids' factors warm.
func BenchmarkEvaluateChurch(b *testing.B) {
	in := referenceInput()
	light.Evaluate(in) // the grids' factors stay with the transport
	b.ReportAllocs()
	for b.Loop() {
		light.Evaluate(in)
	}
}

// BenchmarkShots draws the reference church from a seat and a camera, before and
// after, with twelve old lamps.
func BenchmarkShots(b *testing.B) {
	in := referenceInput()
	rep, _ := light.Evaluate(in)
	shots := light.ShotInput{Room: in.Room, Brief: in.Brief, Sources: in.Sources, Zones: rep.Zones, Transport: in.Transport}
	shots.Survey.ExistingUnit = []survey.ExistingLight{{Name: "old", Kind: "house", Count: 12, Watts: si.Known(si.Power(100)), Fate: "keep"}}
	shots.Room.Footprint = geom.Polygon{{X: -6, Y: -20}, {X: 6, Y: -20}, {X: 6, Y: 4}, {X: -6, Y: 4}}
	shots.Room.Ceiling = room.Ceiling{Shape: "flat", Eaves: 8}
	b.ReportAllocs()
	for b.Loop() {
		light.Shots(shots)
	}
}
