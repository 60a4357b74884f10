package scheme_test

import (
	"fmt"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
)

// Two beams across a hall, judged for a reader whose face is 2 m above the
// hall floor and 1 m behind the platform's edge.
func ExampleLines() {
	beam := func(name string, y float64) room.Line {
		return room.Line{Name: name, Kind: "beam", From: geom.Vec{X: -5, Y: y, Z: 5.35}, To: geom.Vec{X: 5, Y: y, Z: 5.35}, Drop: 0.35}
	}
	r := room.Room{Lines: []room.Line{beam("near beam", -2), beam("far beam", -8)}}
	at := func(m si.Length) brief.L { return si.Known(m) }
	b := brief.Brief{Zones: []brief.Zone{{Name: "desk", Faces: []brief.Face{{Name: "reader", X: at(0), Y: at(1), Z: at(2)}}}}}
	for _, row := range scheme.Lines(r, b) {
		for _, c := range row.Zones {
			fmt.Printf("%s: %.1f°, throw %.2f m, %s, %s\n", row.Line, c.ElevationDeg, c.ThrowM, c.Band, row.Verdict)
		}
	}
	// Output:
	// near beam: 45.0°, throw 4.24 m, ideal, possible
	// far beam: 18.4°, throw 9.49 m, refuse, refused
}
