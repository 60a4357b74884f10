package sheet

import (
	"sort"

	"roodbeam/engine/si"
)

// Kind is one sheet of the packet.
type Kind struct {
	Code, Title, Reader string
	Order               int
	Words               string // for the title block; empty: generalWords
	Fill                func(in *Input, page Page) Sheet
}

// kinds is filled while the package's variables are initialised and only read
// afterwards.
var kinds []Kind

func register(k Kind) bool {
	kinds = append(kinds, k)
	return true
}

// Kinds returns every sheet of a packet in its order.
func Kinds() []Kind {
	out := append([]Kind(nil), kinds...)
	sort.Slice(out, func(i, j int) bool {
		if out[i].Order != out[j].Order {
			return out[i].Order < out[j].Order
		}
		return out[i].Code < out[j].Code
	})
	return out
}

// Words of the title block, by whose work the sheet is about.
const (
	generalWords = "Proposed; to be approved by the licensed electrician, the structural engineer and the qualified rigger whose work it touches. " +
		"Local codes and licensed practice come first. Numbers, limits and questions are stated; nothing on this sheet is an approval."
	electricalWords = "All sizes are proposed; to be approved by a licensed electrician under the local code. Electrical work is done by a licensed electrician only. " +
		"Emergency lighting is never interrupted by dimming or by these works. Stop work at unknown wiring or suspected asbestos."
	riggingWords = "Planning figures; to be approved by a structural engineer before anything is hung. Rated hardware and an independent secondary suspension on every unit overhead; " +
		"hung by a qualified rigger; lifts run by trained operators only, nobody below. Stop work for suspected asbestos."
	moneyWords = "Estimate, not a quotation; to be approved by the church's leadership. Prices are to be confirmed by written quotations against these sheets. " +
		"Electrical and structural work remain subject to the licensed electrician and the structural engineer."
	volunteerWords = "Volunteers work from the floor: no covers opened, no mains, no structure, no drilling, no lift work. " +
		"If anything smells, sparks, creaks or hangs loose: keep away, keep others away and call the person named on the cover."
)

// Build returns every sheet of the packet. The same input gives the same packet.
func Build(in Input) Packet {
	in.look = newLookup(&in)
	p := Packet{
		Church: in.Name, Town: in.Town, Revision: in.Revision, Date: in.Date, Status: in.Status,
		Paper: in.page().Name, Edition: in.Profile.Edition, Units: unitsText(in.Display),
		Author: in.Author, Checked: in.Checked, OpenStops: in.openStops(),
	}
	for _, k := range Kinds() {
		s := k.Fill(&in, in.page())
		s.Code, s.Title, s.Reader = orText(s.Code, k.Code), orText(s.Title, k.Title), orText(s.Reader, k.Reader)
		s.Words = orText(s.Words, orText(k.Words, generalWords))
		p.Sheets = append(p.Sheets, s)
	}
	return p
}

func (in *Input) page() Page {
	if in.Profile.Paper == "" && in.Display == si.US {
		return PageOf("Tabloid")
	}
	return PageOf(in.Profile.Paper)
}

func unitsText(d si.Display) string {
	if d == si.US {
		return "feet and inches (metres)"
	}
	return "metres (feet and inches)"
}

func orText(s, fallback string) string {
	if s == "" {
		return fallback
	}
	return s
}
