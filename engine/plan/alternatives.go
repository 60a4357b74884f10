package plan

import (
	"cmp"
	"fmt"
	"math"
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
	// growSparePct of the supply is kept spare where there is to be room to grow.
	growSparePct = 35.0
	// alternativeWork bounds each stage of an alternative.
	alternativeWork = 25_000_000
)

// Alternatives returns three schemes: the least that does the job, the brief's
// own, and one with room to grow; and the curve of cost against result through
// them, with points between. What is locked in the documents' scheme is kept in
// all. Every scheme is judged by the brief as it is, with its levels set for that:
// what is hung for more than the brief asks is light in hand.
func Alternatives(d Documents, s Search, book *finding.Book) ([]Alternative, []CurvePoint) {
	if s.Work <= 0 {
		s.Work = alternativeWork
	}
	rm, _ := room.Solve(d.Survey, book, d.Profile.ID)
	make := func(name, about string, br brief.Brief) Alternative {
		one := d
		one.Brief = br
		a := Alternative{Name: name, About: about, Proposal: planIn(one, rm, s, book)}
		one.Brief, one.Scheme = d.Brief, a.Proposal.Scheme
		if name != Recommend {
			a.Proposal.Scheme.Units = levelsIn(one, rm, book).Units
		}
		a.Proposal.Scheme.Name, a.Proposal.Scheme.Parent = name, d.Scheme.Name
		one.Scheme = a.Proposal.Scheme
		a.Results = Run(one, book)
		a.Figures = FiguresOf(a.Results)
		return a
	}
	out := []Alternative{
		make(Essential, "Front light for the lower edge of what is wanted; no back light, no walls, no movement.", essential(d.Brief)),
		make(Recommend, "The brief as it stands.", d.Brief),
		make(RoomToGrow, "Hung for a quarter more light than asked for and set to what is asked, back light wherever there is room, and more of the supply kept spare.", grown(d.Brief)),
	}
	for i := 1; i < len(out); i++ {
		out[i].About += out[i].beside(out[i-1])
	}
	out[2].About += inHand(d, out[2], book)
	curve := []CurvePoint{{100 * essentialShare, out[0].Figures}}
	for _, share := range curveShares {
		a := make("", "", scaled(d.Brief, share))
		curve = append(curve, CurvePoint{100 * share, a.Figures})
	}
	curve = append(curve, CurvePoint{100, out[1].Figures}, CurvePoint{100 * growShare, out[2].Figures})
	return out, undominated(curve)
}

// curveShares of the targets are asked for between the three schemes.
var curveShares = []float64{0.5, 0.65, 0.9, 1.1}

// undominated returns the points of a curve by rising cost: the three schemes' own,
// and those between that no other beats by as much of the wanted light in every
// respect with no more units for no more money.
func undominated(curve []CurvePoint) []CurvePoint {
	slices.SortStableFunc(curve, func(a, b CurvePoint) int {
		return cmp.Or(cmp.Compare(a.Figures.CostMinor, b.Figures.CostMinor), cmp.Compare(b.Figures.ReachedPct, a.Figures.ReachedPct),
			cmp.Compare(b.Figures.backReached(), a.Figures.backReached()))
	})
	var out []CurvePoint
	for i, c := range curve {
		beaten := slices.ContainsFunc(curve[:i], func(o CurvePoint) bool {
			return o.Figures.ReachedPct >= c.Figures.ReachedPct && o.Figures.LeastPct >= c.Figures.LeastPct && o.Figures.backReached() >= c.Figures.backReached() &&
				o.Figures.Units <= c.Figures.Units
		})
		if scheme := c.TargetPct == 100 || c.TargetPct == 100*essentialShare || c.TargetPct == 100*growShare; scheme || !beaten {
			out = append(out, c)
		}
	}
	return out
}

// backReached is the number of zones with back light.
func (f Figures) backReached() int {
	n := 0
	for _, z := range f.Zones {
		if z.BackLx > 0 {
			n++
		}
	}
	return n
}

// beside says when a scheme hangs the same as the one before it, and why that is.
func (a Alternative) beside(former Alternative) string {
	hung := func(s scheme.Scheme) []string {
		var out []string
		for _, u := range s.Units {
			out = append(out, fmt.Sprint(u.Fixture, u.FieldDeg, u.Line, u.Along, u.Zone, u.Purpose, u.AimX, u.AimY, u.AimZ))
		}
		slices.Sort(out)
		return out
	}
	switch was, now := len(former.Proposal.Scheme.Units), len(a.Proposal.Scheme.Units); {
	case slices.Equal(hung(a.Proposal.Scheme), hung(former.Proposal.Scheme)):
		why := "what was chosen before has it in hand already"
		if a.Figures.LeastPct < 99 {
			why = "no allowed place or fixture adds to it; see what the proposal says is missing"
		}
		return fmt.Sprintf(" Here it hangs the same as %s: %s.", former.Name, why)
	case now <= was && a.Name == RoomToGrow:
		return fmt.Sprintf(" Here it needs no more units than %s.", former.Name)
	}
	return ""
}

// inHand says what a scheme would give with every unit at full.
func inHand(d Documents, a Alternative, book *finding.Book) string {
	d.Scheme = a.Proposal.Scheme
	d.Scheme.Units = slices.Clone(d.Scheme.Units)
	for i := range d.Scheme.Units {
		d.Scheme.Units[i].LevelPct = 100
	}
	full := FiguresOf(Run(d, book))
	least := math.Inf(1)
	for _, z := range full.Zones {
		if z.TargetLx > 0 && !math.IsNaN(z.AverageLx) {
			least = math.Min(least, 100*z.AverageLx/z.TargetLx)
		}
	}
	if math.IsInf(least, 1) {
		return ""
	}
	return fmt.Sprintf(" With every unit at full the least zone has %.0f %% of its target.", least)
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
		z.BackLight, z.Movement = "no", false
		zones = append(zones, z)
	}
	out.Zones = zones
	return out
}

func grown(b brief.Brief) brief.Brief {
	out := scaled(b, growShare)
	out.Limits.SpareCircuitPct = max(growSparePct, out.Limits.SpareCircuitPct)
	for i, z := range out.Zones {
		if z.BackLight == "if_room" {
			out.Zones[i].BackLight = "wanted"
		}
	}
	return out
}
