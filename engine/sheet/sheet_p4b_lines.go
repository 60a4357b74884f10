package sheet

import (
	"roodbeam/engine/scheme"
)

var _ = register(Kind{Code: "P4b", Order: 42, Title: "Every beam, one line", Reader: "designer, leadership", Words: riggingWords, Fill: everyLine})

// zonesPerTable is how many zones stand side by side before a further table starts.
const zonesPerTable = 6

func everyLine(in *Input, _ Page) Sheet {
	blocks := []Block{{Text: "Every place in the room from which light could come, with the angle at which it would reach the faces of each zone from the point straight in front of them. " +
		"About 45° is wanted; low light shines into the speaker's eyes and on the wall behind, steep light leaves dark eye sockets."}}
	var zones []string
	seen := map[string]bool{}
	for _, r := range in.Lines {
		for _, z := range r.Zones {
			if n := zoneFace(z); !seen[n] {
				seen[n] = true
				zones = append(zones, n)
			}
		}
	}
	if len(zones) == 0 {
		zones = []string{""}
	}
	for from := 0; from < len(zones); from += zonesPerTable {
		part := zones[from:min(from+zonesPerTable, len(zones))]
		blocks = append(blocks, Block{Table: in.lineTable(part)})
	}
	if len(in.Scheme.Passed) > 0 {
		t := &Table{Name: "places_passed_over", Heads: []string{"Line", "Place", "Zone", "Angle", "Throw", "Why not"}, Align: "lllrrl"}
		for _, p := range in.Scheme.Passed {
			t.Rows = append(t.Rows, []string{p.Line, p.Place, p.Zone, degrees(p.ElevationDeg), in.both(p.ThrowM), p.Why})
		}
		blocks = append(blocks, Block{Heading: "Places passed over"}, Block{Table: t})
	}
	return Sheet{Blocks: blocks}
}

func zoneFace(z scheme.LineZone) string {
	if z.Face != "" && z.Face != z.Zone {
		return z.Zone + ", " + z.Face
	}
	return z.Zone
}

func (in *Input) lineTable(zones []string) *Table {
	t := &Table{Name: "lines", Align: "llll"}
	t.Heads = []string{"Line", "Place", "Height", "Hangs from"}
	for _, z := range zones {
		t.Heads = append(t.Heads, orText(z, "Angle"))
		t.Align += "l"
	}
	t.Heads = append(t.Heads, "Reached by", "Result", "Why")
	t.Align += "lll"
	for _, r := range in.Lines {
		row := []string{r.Line, r.Place, in.twoLines(r.At.Z), words(r.HangsFrom)}
		for _, name := range zones {
			cell := ""
			for _, z := range r.Zones {
				if zoneFace(z) == name {
					cell = degrees(z.ElevationDeg) + giveDeg(z.SigmaDeg) + "\n" + in.length(z.ThrowM) + in.give(z.SigmaThrowM)
					if z.Band != "" {
						cell += ", " + words(z.Band)
					}
				}
			}
			row = append(row, cell)
		}
		t.Rows = append(t.Rows, append(row, words(r.Reach), r.Verdict, r.Why))
	}
	return t
}
