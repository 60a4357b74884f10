package plan

import (
	"slices"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
)

// Alternative is one of the schemes offered side by side.
type Alternative struct {
	Name     string // essential, recommended, room to grow
	About    string
	Proposal scheme.Proposal
	Results  Results
	Figures  Figures
}

// CurvePoint is one point of cost against result.
type CurvePoint struct {
	TargetPct float64 // of the brief's targets, asked of the engine
	Figures   Figures
}

// The schemes offered by default.
const (
	Essential  = "essential"
	Recommend  = "recommended"
	RoomToGrow = "room to grow"
)

const (
	// essentialShare of the targets is asked of the least scheme, not below
	// leastFacesLx where the brief asks for that.
	essentialShare = 0.8
	// leastFacesLx is the least on faces for people only. Source: common practice, 35 fc.
	leastFacesLx = 380.0
	// growShare of the targets leaves light for ageing, wider zones and cameras.
	growShare = 1.25
	// alternativeWork bounds each stage of an alternative.
	alternativeWork = 25_000_000
)

// Alternatives returns three schemes: the least that does the job, the brief's
// own, and one with room to grow; and the curve of cost against result through
// them, with points between. What is locked in the documents' scheme is kept in
// all.
func Alternatives(d Documents, s Search, book *finding.Book) ([]Alternative, []CurvePoint) {
	if s.Work <= 0 {
		s.Work = alternativeWork
	}
	rm, _ := room.Solve(d.Survey, book, d.Profile.ID)
	make := func(name, about string, br brief.Brief) Alternative {
		one := d
		one.Brief = br
		a := Alternative{Name: name, About: about, Proposal: planIn(one, rm, s, book)}
		a.Proposal.Scheme.Name, a.Proposal.Scheme.Parent = name, d.Scheme.Name
		// Every scheme is judged by the brief as it is.
		one.Brief, one.Scheme = d.Brief, a.Proposal.Scheme
		a.Results = Run(one, book)
		a.Figures = FiguresOf(a.Results)
		return a
	}
	out := []Alternative{
		make(Essential, "Front light at the lower edge of what is wanted; no back light, no walls.", essential(d.Brief)),
		make(Recommend, "The brief as it stands.", d.Brief),
		make(RoomToGrow, "A quarter more light than asked for, and back light wherever there is room.", grown(d.Brief)),
	}
	curve := []CurvePoint{{100 * essentialShare, out[0].Figures}}
	for _, share := range []float64{0.6, 0.9, 1.1} {
		a := make("", "", scaled(d.Brief, share))
		curve = append(curve, CurvePoint{100 * share, a.Figures})
	}
	curve = append(curve, CurvePoint{100, out[1].Figures}, CurvePoint{100 * growShare, out[2].Figures})
	slices.SortStableFunc(curve, func(a, b CurvePoint) int {
		switch {
		case a.Figures.CostMinor < b.Figures.CostMinor:
			return -1
		case a.Figures.CostMinor > b.Figures.CostMinor:
			return 1
		}
		return 0
	})
	return out, curve
}

// scaled returns a brief with every target multiplied.
func scaled(b brief.Brief, share float64) brief.Brief {
	b.Zones = slices.Clone(b.Zones)
	for i, z := range b.Zones {
		if z.Target.Set {
			b.Zones[i].Target = si.Known(z.Target.Value * si.Illuminance(share))
		}
	}
	return b
}

func essential(b brief.Brief) brief.Brief {
	out := scaled(b, essentialShare)
	var zones []brief.Zone
	for i, z := range out.Zones {
		if z.Use == "wall" {
			continue
		}
		if was := b.Zones[i].Target; was.Set && z.Target.Value < leastFacesLx {
			z.Target = si.Known(min(was.Value, leastFacesLx))
		}
		z.BackLight = "no"
		zones = append(zones, z)
	}
	out.Zones = zones
	return out
}

func grown(b brief.Brief) brief.Brief {
	out := scaled(b, growShare)
	for i, z := range out.Zones {
		if z.BackLight == "if_room" {
			out.Zones[i].BackLight = "wanted"
		}
	}
	return out
}
