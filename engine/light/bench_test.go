package light_test

import (
	"testing"
	"time"

	"roodbeam/engine/enginetest/reference"
	"roodbeam/engine/light"
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
}
