package scheme

import (
	"fmt"
	"math"
	"slices"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/scheme/model"
)

// Stage is one stage of importance as the engine decided it: the very model,
// what was chosen of it, and how far from the best that can be.
type Stage struct {
	Zone    string
	Purpose Purpose
	Model   *model.Problem // rounded, as it is written
	Result  model.Result
	// Reduction tells how many columns there were, and how many were dropped
	// because another of the same place beats them in every respect or because
	// there were too many.
	Reduction model.Reduction
	Missing   []model.Missing
}

// Prices of a stage's shortcomings, in units of cost as in candidates.go: a
// missing target costs more than the units that would reach it, so that money
// only chooses between ways to reach it. Each is spread over the places it is
// about and over the lux wanted there, so that it is a price per missing lux.
const (
	leastPrice  = 150.0 // all faces without light
	meanPrice   = 60.0  // the average without light
	marginPrice = 15.0  // one step away from the key places, of marginShare
	alonePrice  = 20.0  // the key places lit by the units focused on them alone, of aloneShare
	overPrice   = 3.0   // light above overShare of the target: it only has to be dimmed away
	brightPrice = 12.0  // light above brightShare: dimming one unit darkens another's face
	powerPrice  = 0.3   // each 100 W beyond what the supply can give: its share of a new circuit or of what has to come out
	capPrice    = 1.0   // money above the cap costs as much again

	marginShare = 0.5  // of the target
	aloneShare  = 0.75 // of the target
	overShare   = 1.2
	brightShare = 1.45
	sideShare   = 0.35 // of the target, wanted from each side

	mixPrice     = 0.6 // of each type in one zone: one white for all key lights
	mixBeamPrice = 0.4 // of each beam
	wastePrice   = 0.6 // of a unit that would have to be dimmed to nothing: a wider beam serves better
	ownedWaste   = 0.3 // share of that for a fixture the church has already
)

// sideRamp says how much light from a sideways angle in degrees counts as light
// from that side: nothing from nearly straight on, all of it from where two
// partners are 60° apart.
var sideRamp = [][2]float64{{18, 0}, {27, 0.75}, {partnersApartDeg/2 + 0.5, 1}}

// columnLimit is how many columns all stages together may have.
const columnLimit = 5000

// price returns a cost in units as money in major units of the currency.
func (p *proposer) price(units float64) float64 { return units * p.ref / priceCost / 100 }

// zoneModel builds the model of a zone's front or wall light over its columns.
func (p *proposer) zoneModel(s *selection) (*model.Problem, []*candidate) {
	z, T := s.z, s.z.targetLx
	m := &model.Problem{}
	var meaning []*candidate
	places := map[*site]int{}
	lines, types, beams := map[string]int{}, map[string]int{}, map[*fixtureOption]int{}
	open := func(name string, units float64, class int) int {
		m.Openings = append(m.Openings, model.Opening{Name: name, Cost: p.price(units), Class: class})
		return len(m.Openings) - 1
	}
	ownedRow := map[string]*model.Row{}
	var ownedOrder []string
	add := func(c *candidate, owned bool) {
		if _, ok := places[c.site]; !ok {
			places[c.site] = m.Places
			m.Places++
		}
		waste := wastePrice * (1 - c.level)
		if owned {
			waste *= ownedWaste
		}
		cost := p.price(hangCost + c.merit + waste)
		name := fmt.Sprintf("%s %.0f° on %s at %.2f m to %s", c.option.Code, c.option.beam.FieldDeg, c.site.line.Name, c.site.along, z.faces[c.face].label())
		j := len(m.Columns)
		if owned {
			name += ", owned"
			r := ownedRow[c.option.Code]
			if r == nil {
				r = &model.Row{Name: "owned " + c.option.Code, Lo: math.Inf(-1), Hi: float64(s.free[c.option.Code])}
				ownedRow[c.option.Code] = r
				ownedOrder = append(ownedOrder, c.option.Code)
			}
			r.Terms = append(r.Terms, model.Term{Column: j, Coef: 1})
		} else {
			cost += float64(c.option.priceMinor) / 100
		}
		col := model.Column{Name: name, Cost: max(0, cost), Place: places[c.site]}
		if line := c.site.line.Name; !s.open[line] {
			if _, ok := lines[line]; !ok {
				lines[line] = open("line "+line, openLineCost, 0)
			}
			col.Needs = append(col.Needs, lines[line])
		}
		if !s.others[c.option.Code] {
			if _, ok := types[c.option.Code]; !ok {
				types[c.option.Code] = open("type "+c.option.Code, mixPrice, 1)
			}
			col.Needs = append(col.Needs, types[c.option.Code])
		}
		if _, ok := beams[c.option]; !ok {
			beams[c.option] = open(fmt.Sprintf("beam %s %.0f°", c.option.Code, c.option.beam.FieldDeg), mixBeamPrice, 2)
		}
		col.Needs = append(col.Needs, beams[c.option])
		m.Columns = append(m.Columns, col)
		meaning = append(meaning, c)
	}
	for _, c := range s.columns {
		if !s.fits(c) {
			continue
		}
		// A unit that alone is too bright counts as dimmed to what is wanted.
		c.level = math.Min(1, math.Max(leastLevel, s.mostWanted()*T/max(1, c.lx[c.face])))
		if s.free[c.option.Code] > 0 {
			add(c, true)
		}
		add(c, false)
	}
	p.faceRows(s, m, meaning)
	p.sharedRows(m, meaning)
	for _, code := range ownedOrder {
		m.Rows = append(m.Rows, *ownedRow[code])
	}
	p.apartRows(m, places)
	return m.Rounded(), meaning
}

// faceRows adds what the zone's faces ask for.
func (p *proposer) faceRows(s *selection, m *model.Problem, columns []*candidate) {
	z, T := s.z, s.z.targetLx
	keys, margins := 0.0, 0.0
	for _, t := range s.points {
		if t.key {
			keys++
		} else {
			margins++
		}
	}
	inf := math.Inf(1)
	row := func(name string, lo, hi, short, over float64, coef func(c *candidate) float64) {
		r := model.Row{Name: name, Lo: lo, Hi: hi, Short: p.price(short), Over: p.price(over)}
		if lo <= 0 {
			r.Lo, r.Short = math.Inf(-1), 0
		}
		for j, c := range columns {
			if v := coef(c); v > 0.5 {
				r.Terms = append(r.Terms, model.Term{Column: j, Coef: v})
			}
		}
		if len(r.Terms) > 0 || r.Short > 0 {
			m.Rows = append(m.Rows, r)
		}
	}
	mean := 0.0
	for i, t := range s.points {
		lx := func(c *candidate) float64 { return c.level * c.lx[i] }
		if !t.key {
			row("beside "+t.Name, marginShare*T-s.base[i], inf, marginPrice/margins/T, 0, lx)
			continue
		}
		mean += s.base[i] / keys
		least := s.leastWanted()*T - s.base[i]
		row(t.Name, least, max(least, overShare*T-s.base[i], 0), leastPrice/keys/T, overPrice/keys/T, lx)
		row(t.Name+", too bright", math.Inf(-1), max(0, brightShare*T-s.base[i]), 0, brightPrice/keys/T, lx)
		if len(z.Zone.Faces) > 0 {
			own := 0.0
			for _, d := range s.dirs[i] {
				own += d.lx
			}
			row(t.Name+", focused on it", aloneShare*T-own, inf, alonePrice/keys/T, 0, func(c *candidate) float64 {
				if c.focusedOn(t) {
					return c.level * c.lx[i]
				}
				return 0
			})
		}
		if z.cross > 0 {
			for _, side := range []float64{-1, 1} {
				from := func(bearing, lx float64) float64 {
					b := wrapDeg(bearing-t.facingDeg) * side
					if b <= 0 {
						return 0
					}
					return min(lx, sideUseful*T) * interpolate(b, sideRamp)
				}
				have := 0.0
				for _, d := range s.dirs[i] {
					have += from(d.bearing, d.lx)
				}
				name := t.Name + ", from the left"
				if side > 0 {
					name = t.Name + ", from the right"
				}
				row(name, sideShare*T-have, inf, z.cross/keys/(2*sideShare*T), 0, func(c *candidate) float64 {
					if !c.focusedOn(t) {
						return 0
					}
					return from(c.bearingDeg, c.level*c.lx[i])
				})
			}
		}
	}
	row("average of "+z.Name, s.averageWanted()*T-mean, inf, meanPrice/T, 0, func(c *candidate) float64 {
		sum := 0.0
		for i, t := range s.points {
			if t.key {
				sum += c.level * c.lx[i] / keys
			}
		}
		return sum
	})
}

// sharedRows adds the limits that all units share: load of each line, power and
// money.
func (p *proposer) sharedRows(m *model.Problem, columns []*candidate) {
	inf := math.Inf(-1)
	kg := map[string]*model.Row{}
	var order []string
	watts := model.Row{Name: "watts", Lo: inf, Hi: max(0, p.in.PowerW-p.usedW()), Over: p.price(powerPrice / 100)}
	spent := model.Row{Name: "money for fixtures", Lo: inf, Hi: max(0, float64(p.in.Brief.Money.CapMinor-p.spentMinor())/100), Over: capPrice}
	for j, c := range columns {
		name := c.site.line.Name
		if limit, ok := p.in.LineKg[name]; ok {
			if kg[name] == nil {
				kg[name] = &model.Row{Name: "mass on " + name, Lo: inf, Hi: max(0, limit-p.usedKg(name))}
				order = append(order, name)
			}
			kg[name].Terms = append(kg[name].Terms, model.Term{Column: j, Coef: unitKg(c.option)})
		}
		watts.Terms = append(watts.Terms, model.Term{Column: j, Coef: c.option.Power.Watts()})
		if c.option.priceMinor > 0 && m.Columns[j].Cost > 0 {
			spent.Terms = append(spent.Terms, model.Term{Column: j, Coef: float64(c.option.priceMinor) / 100})
		}
	}
	for _, name := range order {
		m.Rows = append(m.Rows, *kg[name])
	}
	if p.in.PowerW > 0 {
		m.Rows = append(m.Rows, watts)
	}
	if p.in.Brief.Money.CapMinor > 0 {
		m.Rows = append(m.Rows, spent)
	}
}

// apartRows keeps two units from places too near each other for their yokes.
func (p *proposer) apartRows(m *model.Problem, places map[*site]int) {
	byPlace := make([][]int, m.Places)
	for j, c := range m.Columns {
		byPlace[c.Place] = append(byPlace[c.Place], j)
	}
	var sites []*site
	for _, s := range p.sites {
		if _, ok := places[s]; ok {
			sites = append(sites, s)
		}
	}
	for a, s := range sites {
		group := []*site{s}
		for _, t := range sites[a+1:] {
			if slices.ContainsFunc(group, func(g *site) bool { return !tooNear(g.at, t.at) }) {
				if tooNear(s.at, t.at) {
					p.apart(m, byPlace, places, []*site{s, t})
				}
				continue
			}
			group = append(group, t)
		}
		if len(group) > 1 {
			p.apart(m, byPlace, places, group)
		}
	}
}

func (p *proposer) apart(m *model.Problem, byPlace [][]int, places map[*site]int, group []*site) {
	r := model.Row{Name: fmt.Sprintf("room for one at %s %.2f m", group[0].line.Name, group[0].along), Lo: math.Inf(-1), Hi: 1}
	for _, g := range group {
		for _, j := range byPlace[places[g]] {
			r.Terms = append(r.Terms, model.Term{Column: j, Coef: 1})
		}
	}
	slices.SortFunc(r.Terms, func(a, b model.Term) int { return a.Column - b.Column })
	m.Rows = append(m.Rows, r)
}

// solveZone chooses the zone's columns by its model.
func (p *proposer) solveZone(s *selection, seed uint64) []*candidate {
	full, meaning := p.zoneModel(s)
	rank := make([]float64, len(full.Columns))
	for j, c := range meaning {
		rank[j] = c.merit + c.priceUnits
	}
	reduced, back, red := full.Reduce(max(1, columnLimit/len(p.zones)), rank)
	purpose := FrontWash
	if s.z.wall {
		purpose = WallWash
	}
	o := model.Options{Seed: seed, Work: p.in.Work, Gap: p.in.Gap, Stop: p.in.Stop}
	if o.Work <= 0 {
		o.Work = StageWork
	}
	if p.in.Progress != nil {
		o.Progress = func(pr model.Progress) bool { return p.in.Progress(p.progress(s.z, purpose, pr)) }
	}
	res := model.Solve(reduced, o)
	p.stages = append(p.stages, Stage{Zone: s.z.Name, Purpose: purpose, Model: reduced, Result: res, Reduction: red, Missing: reduced.Missing(res.Columns)})
	s.stage = &stageChoice{problem: reduced, chosen: res.Columns}
	for _, j := range back {
		s.stage.meaning = append(s.stage.meaning, meaning[j])
	}
	var out []*candidate
	for _, j := range res.Columns {
		out = append(out, s.stage.meaning[j])
	}
	return out
}

// StageWork bounds the search of one stage.
const StageWork = 40_000_000

// stageChoice is what a zone's model chose, kept to find runners-up.
type stageChoice struct {
	problem *model.Problem
	meaning []*candidate
	chosen  []int
}

func (p *proposer) usedW() float64 {
	w := 0.0
	for _, u := range p.locked {
		if f, ok := p.in.Catalogue.Get(u.Fixture); ok {
			w += f.Power.Watts()
		}
	}
	for _, c := range p.chosen {
		w += c.option.Power.Watts()
	}
	return w
}

func (p *proposer) usedKg(line string) float64 {
	kg := 0.0
	for _, u := range p.locked {
		if f, ok := p.in.Catalogue.Get(u.Fixture); ok && u.Line == line {
			kg += float64(f.Mass) + hungExtraKg
		}
	}
	for _, c := range p.chosen {
		if c.site.line.Name == line {
			kg += unitKg(c.option)
		}
	}
	return kg
}

func (p *proposer) spentMinor() int64 {
	total := int64(0)
	used := map[string]int{}
	for _, u := range p.locked {
		used[u.Fixture]++
	}
	for _, c := range p.chosen {
		if used[c.option.Code]++; used[c.option.Code] > c.option.Owned {
			total += c.option.priceMinor
		}
	}
	return total
}

func unitKg(o *fixtureOption) float64 { return float64(o.Mass) + hungExtraKg }

// hungExtraKg is what a clamp and a secondary suspension add.
const hungExtraKg = catalogue.ClampKg + catalogue.SafetyKg
