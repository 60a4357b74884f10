package scheme

import (
	"math"

	"roodbeam/engine/light"
)

// levelRounds bounds the descent; a dozen units settle within a few dozen rounds.
const levelRounds = 2000

// levelTol is the change of a level, as a share of full, below which it has settled.
const levelTol = 1e-9

// Levels returns a scheme with the levels of its unlocked front units set so
// that the squared relative deviations of all faces from their zones' targets,
// each zone counting once, become least within leastLevel and full: a bounded
// linear least-squares problem, strictly convex by a small pull toward full, and
// solved to its optimum by coordinate descent. Locked units and fill keep their
// levels and are counted with; other purposes are left alone. The deviations are
// those with every zone lit. Levels come in steps of five percent.
func Levels(in ProposeInput) Scheme {
	placed, _ := Place(PlaceInput{Scheme: in.Keep, Room: in.Room, Brief: in.Brief, Catalogue: in.Catalogue, Book: in.Book, Region: in.Region})
	out := in.Keep
	out.Units = append([]Unit(nil), in.Keep.Units...)
	p := newProposer(ProposeInput{Room: in.Room, Brief: in.Brief, Catalogue: in.Catalogue, LossFactor: in.LossFactor, Book: in.Book, Region: in.Region})
	l := levels{}
	for _, z := range p.zones {
		for i := z.from; i < z.to; i++ {
			// A wall's units keep their levels: what the front throws there must not dim it.
			if p.points[i].key && !z.wall {
				l.weight = append(l.weight, 1/float64(len(z.faces)))
				l.rest = append(l.rest, 1)
				l.points = append(l.points, i)
				l.target = append(l.target, z.targetLx)
			}
		}
	}
	var at []int
	sources := Sources(placed, in.Catalogue)
	for i, u := range placed {
		if !isKey(u.Unit) && u.Purpose != Fill {
			continue
		}
		free := isKey(u.Unit) && !u.Locked
		src := sources[i]
		if free {
			src.Level = 1
		}
		row := make([]float64, len(l.points))
		for k, t := range l.points {
			row[k] = p.loss * light.Direct(src, p.points[t].Point, p.scene).Lx / l.target[k]
			if !free {
				l.rest[k] -= row[k]
			}
		}
		if free {
			l.full, at = append(l.full, row), append(at, i)
		}
	}
	for k, level := range l.solve() {
		for n := range out.Units {
			if out.Units[n].ID == placed[at[k]].ID {
				out.Units[n].LevelPct = math.Round(math.Round(level/levelStep) * levelStep * 100)
			}
		}
	}
	return out
}

// levels is min Σ weight·(rest − Σ level·full)² + pull·Σ(1 − level)², within bounds.
type levels struct {
	points       []int
	weight, rest []float64
	target       []float64
	full         [][]float64
}

func (l levels) solve() []float64 {
	x := make([]float64, len(l.full))
	left := append([]float64(nil), l.rest...)
	change := func(u int, by float64) {
		for k, a := range l.full[u] {
			left[k] -= by * a
		}
	}
	for u := range x {
		x[u] = 1
		change(u, 1)
	}
	for range levelRounds {
		moved := 0.0
		for u, row := range l.full {
			num, den := fullPull*(1-x[u]), fullPull
			for k, a := range row {
				num += l.weight[k] * a * left[k]
				den += l.weight[k] * a * a
			}
			level := math.Max(leastLevel, math.Min(1, x[u]+num/den))
			change(u, level-x[u])
			moved = math.Max(moved, math.Abs(level-x[u]))
			x[u] = level
		}
		if moved < levelTol {
			break
		}
	}
	return x
}
