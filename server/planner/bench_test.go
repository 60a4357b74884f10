package planner_test

import (
	"testing"

	"roodbeam/engine/light"
	"roodbeam/engine/plan"
	"roodbeam/engine/room"
)

// BenchmarkWholePlan derives everything of the reference church from its
// documents: room, light, load, hanging, data, presets, money and phases.
func BenchmarkWholePlan(b *testing.B) {
	d := documents(b, file(b, "brick-meeting-house"), byHand)
	// The planner keeps a room's interreflection; see BenchmarkTransport for it.
	solved, _ := room.Solve(d.Survey, book, d.Profile.ID)
	kept := light.NewTransport(solved)
	d.Transport = func(room.Room) *light.Transport { return kept }
	plan.Run(d, book) // the grids' factors stay with the interreflection
	for b.Loop() {
		if r := plan.Run(d, book); len(r.Findings) == 0 {
			b.Fatal("no findings")
		}
	}
}

// BenchmarkPropose makes the engine's own scheme of the reference church.
func BenchmarkPropose(b *testing.B) {
	d := documents(b, file(b, "brick-meeting-house"), byHand)
	d.Scheme.Units = nil
	for b.Loop() {
		if s, _ := plan.Propose(d, 0, book); len(s.Units) == 0 {
			b.Fatal("no units")
		}
	}
}

// BenchmarkPacket writes the text of every sheet of the reference church.
func BenchmarkPacket(b *testing.B) {
	f := file(b, "brick-meeting-house")
	d := documents(b, f, byHand)
	r := plan.Run(d, book)
	for b.Loop() {
		if len(packet(d, r, display(f))) == 0 {
			b.Fatal("no text")
		}
	}
}
