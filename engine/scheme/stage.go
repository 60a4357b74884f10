package scheme

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/light"
	"roodbeam/engine/scheme/model"
)

// Stage is one stage of importance as the engine decided it: the very model,
// what was chosen of it, and how far from the best that can be.
type Stage struct {
	Name    string // front, back, rest
	Zone    string // zones it speaks of
	Purpose Purpose
	Model   *model.Problem // rounded, as it is written
	Result  model.Result
	// Reduction tells how many columns there were, and how many were dropped
	// because another of the same place beats them in every respect or because
	// there were too many.
	Reduction model.Reduction
	Missing   []model.Missing
}

// The stages, in their order of importance: front light, then back light, then
// walls and movement. Source: common practice.
const (
	StageFront = "front"
	StageBack  = "back"
	StageRest  = "rest"
)

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
	evenPrice   = 30.0  // all faces without light, by what each lacks of its share of the average
	spillPrice  = 6.0   // once the limit more on a screen or on what is to stay dark
	veilPrice   = 6.0   // once the limit more in the eyes of a speaker

	marginShare = 0.5  // of the target
	aloneShare  = 0.75 // of the target
	overShare   = 1.2
	brightShare = 1.45
	sideShare   = 0.35 // of the target, wanted from each side

	mixPrice     = 0.6 // of each type in one zone: one white for all key lights
	mixBeamPrice = 0.4 // of each beam
	// veilShare is the veil in the eyes of somebody who speaks, as a share of the
	// luminance of faces at the target, that counts as the limit: contrast falls by a
	// fifth. Source: common practice.
	veilShare = 0.25

	wastePrice = 0.6 // of a unit that would have to be dimmed to nothing: a wider beam serves better
	ownedWaste = 0.3 // share of that for a fixture the church has already
)

// sideRamp says how much light from a sideways angle in degrees counts as light
// from that side: nothing from nearly straight on, all of it from where two
// partners are 60° apart.
var sideRamp = [][2]float64{{18, 0}, {27, 0.75}, {partnersApartDeg/2 + 0.5, 1}}

// columnLimit is how many columns all stages together may have.
const columnLimit = 5000

// price returns a cost in units as money in major units of the currency.
func (p *proposer) price(units float64) float64 { return units * p.ref / priceCost / 100 }

// stageModel builds the model of one stage.
type stageModel struct {
	p       *proposer
	m       *model.Problem
	meaning []*candidate
	owned   []bool      // columns of fixtures the church has
	zoneOf  []*zoneWork // of rows; nil: of all
	places  map[*site]int
	opens   map[string]int
	lit     map[string]bool // lines that carry something already
	used    map[string]bool // fixtures that light other stages' zones
	left    map[string]int  // fixtures the church has and has not used yet
	rows    map[string]*model.Row
	order   []string
}

func (p *proposer) newStageModel() *stageModel {
	b := &stageModel{p: p, m: &model.Problem{}, places: map[*site]int{}, opens: map[string]int{}, lit: map[string]bool{}, used: map[string]bool{},
		left: map[string]int{}, rows: map[string]*model.Row{}}
	for _, u := range p.locked {
		b.lit[u.Line] = true
	}
	for _, c := range p.chosen {
		b.lit[c.site.line.Name] = true
		if c.purpose == FrontWash {
			b.used[c.option.Code] = true
		}
	}
	for _, o := range p.options {
		b.left[o.Code] = max(0, o.Owned-p.used[o.Code])
	}
	return b
}

// opening returns what is paid for once by its name.
func (b *stageModel) opening(name string, units float64, class int) int {
	o, ok := b.opens[name]
	if !ok {
		o = len(b.m.Openings)
		b.opens[name] = o
		b.m.Openings = append(b.m.Openings, model.Opening{Name: name, Cost: b.p.price(units), Class: class})
	}
	return o
}

// add makes columns of a candidate: one to buy and, while the church has such
// fixtures, one of those.
func (b *stageModel) add(c *candidate) {
	if b.left[c.option.Code] > 0 {
		b.column(c, true)
	}
	b.column(c, false)
}

func (b *stageModel) column(c *candidate, owned bool) {
	if _, ok := b.places[c.site]; !ok {
		b.places[c.site] = b.m.Places
		b.m.Places++
	}
	waste := wastePrice * (1 - c.level)
	if owned {
		waste *= ownedWaste
	}
	cost := b.p.price(hangCost + c.merit + waste)
	name := fmt.Sprintf("%s %.0f° on %s at %.2f m to %s", c.option.Code, c.option.beam.FieldDeg, c.site.line.Name, c.site.along, c.toward())
	if owned {
		name += ", owned"
	} else {
		cost += float64(c.option.priceMinor) / 100
	}
	col := model.Column{Name: name, Cost: max(0, cost), Place: b.places[c.site]}
	if line := c.site.line.Name; !b.lit[line] {
		col.Needs = append(col.Needs, b.opening("line "+line, openLineCost, 0))
	}
	if !b.used[c.option.Code] {
		col.Needs = append(col.Needs, b.opening("type "+c.option.Code, mixPrice, 1))
	}
	if !c.alike {
		// One beam among the units of a zone: they look and are focused alike.
		col.Needs = append(col.Needs, b.opening(fmt.Sprintf("beam %s %.0f° for %s", c.option.Code, c.option.beam.FieldDeg, c.zone.Name), mixBeamPrice, 2+c.zone.order))
	}
	b.m.Columns = append(b.m.Columns, col)
	b.meaning, b.owned = append(b.meaning, c), append(b.owned, owned)
}

// toward says what a candidate is focused on.
func (c *candidate) toward() string {
	if c.face >= 0 {
		return c.zone.faces[c.face].label()
	}
	return fmt.Sprintf("%s at x %.2f m", c.zone.Name, c.aim.X)
}

// leastCoef is the least coefficient worth a place in a model, in lux.
const leastCoef = 0.5

// row adds a row over all columns; z is the zone it speaks of, nil for all. A
// lower limit that is kept by nothing is left out.
func (b *stageModel) row(z *zoneWork, name string, lo, hi, short, over float64, coef func(c *candidate) float64) {
	r := model.Row{Name: name, Lo: lo, Hi: hi, Short: b.p.price(short), Over: b.p.price(over)}
	if z != nil {
		r.Short *= math.Sqrt(z.weight)
	}
	if lo <= 0 && short >= 0 && !math.IsInf(lo, -1) {
		r.Lo, r.Short = math.Inf(-1), 0
	}
	b.put(z, r, coef, leastCoef)
}

func (b *stageModel) put(z *zoneWork, r model.Row, coef func(c *candidate) float64, least float64) {
	for j, c := range b.meaning {
		if v := coef(c); math.Abs(v) > least {
			r.Terms = append(r.Terms, model.Term{Column: j, Coef: v})
		}
	}
	if math.IsInf(r.Lo, -1) && (len(r.Terms) == 0 || math.IsInf(r.Hi, 1)) {
		return
	}
	b.m.Rows, b.zoneOf = append(b.m.Rows, r), append(b.zoneOf, z)
}

// at returns what a column, at the level it counts with, gives a target of a
// zone: all of it in its own zone, and a share in others.
func (c *candidate) at(z *zoneWork, i int) float64 {
	if c.zone == z {
		return c.level * c.lx[i]
	}
	if c.far == nil {
		return 0
	}
	return othersShare * c.level * c.far[z.from+i]
}

// faceRows adds what a zone's faces ask for.
func (b *stageModel) faceRows(s *selection) {
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
	mean := 0.0
	for i, t := range s.points {
		if t.key {
			mean += s.base[i] / keys
		}
	}
	average := func(c *candidate) float64 {
		sum := 0.0
		for i, t := range s.points {
			if t.key {
				sum += c.at(z, i) / keys
			}
		}
		return sum
	}
	averages := make(map[*candidate]float64, len(b.meaning))
	for _, c := range b.meaning {
		averages[c] = average(c)
	}
	for i, t := range s.points {
		lx := func(c *candidate) float64 { return c.at(z, i) }
		face := rowName(z, t.Name)
		if !t.key {
			b.row(z, "beside "+face, marginShare*T-s.base[i], inf, marginPrice/margins/T, 0, lx)
			continue
		}
		least := s.leastWanted()*T - s.base[i]
		b.row(z, face, least, max(least, overShare*T-s.base[i], 0), leastPrice/keys/T, overPrice/keys/T, lx)
		b.row(z, face+", too bright", math.Inf(-1), max(0, brightShare*T-s.base[i]), 0, brightPrice/keys/T, lx)
		if keys > 1 && keys <= mostEvenRows {
			even := model.Row{Name: face + ", even", Lo: z.evenness*mean - s.base[i], Hi: inf, Short: b.p.price(math.Sqrt(z.weight) * evenPrice / keys / T)}
			b.put(z, even, func(c *candidate) float64 { return c.at(z, i) - z.evenness*averages[c] }, evenLeast*T)
		}
		if len(z.Zone.Faces) > 0 {
			own := 0.0
			for _, d := range s.dirs[i] {
				own += d.lx
			}
			b.row(z, face+", focused on it", aloneShare*T-own, inf, alonePrice/keys/T, 0, func(c *candidate) float64 {
				if c.zone == z && c.focusedOn(t) {
					return c.level * c.lx[i]
				}
				return 0
			})
		}
		if z.cross > 0 {
			for _, side := range []float64{-1, 1} {
				from := func(bearing, lx float64) float64 {
					d := wrapDeg(bearing-t.facingDeg) * side
					if d <= 0 {
						return 0
					}
					return min(lx, sideUseful*T) * interpolate(d, sideRamp)
				}
				have := 0.0
				for _, d := range s.dirs[i] {
					have += from(d.bearing, d.lx)
				}
				name := face + ", from the left"
				if side > 0 {
					name = face + ", from the right"
				}
				b.row(z, name, sideShare*T-have, inf, z.cross/keys/(2*sideShare*T), 0, func(c *candidate) float64 {
					if c.zone != z || !c.focusedOn(t) {
						return 0
					}
					return from(c.bearingDeg, c.level*c.lx[i])
				})
			}
		}
		b.veilRow(s, i)
	}
	b.row(z, "average of "+z.Name, s.averageWanted()*T-mean, inf, meanPrice/T, 0, func(c *candidate) float64 { return averages[c] })
}

// rowName names a face with its zone.
func rowName(z *zoneWork, face string) string {
	if face == "" || strings.HasPrefix(face, z.Name) {
		return cmp.Or(face, z.Name)
	}
	return z.Name + " " + face
}

const (
	// mostEvenRows is the greatest number of faces of a zone whose ratio to the
	// average stands in the model; larger grids are held by the least of each face.
	mostEvenRows = 60
	// evenLeast is the least coefficient of such a row, as a share of the target.
	evenLeast = 0.01
)

// veilRow limits the veiling luminance in the eyes of somebody who speaks or
// reads and looks to the seats: 10·E/θ², of lenses within 30° of the line of
// sight. Source: Stiles and Holladay, as in light.Veil.
func (b *stageModel) veilRow(s *selection, i int) {
	z, t := s.z, s.points[i]
	if z.wall || (z.Use != "speaking" && z.Use != "reading") {
		return
	}
	limit := veilShare * light.FaceLuminance(z.targetLx)
	r := model.Row{Name: rowName(z, t.Name) + ", veil in the eyes", Lo: math.Inf(-1), Hi: limit, Over: b.p.price(veilPrice / limit)}
	b.put(z, r, func(c *candidate) float64 {
		d := c.site.at.Sub(t.At)
		cos := d.Dot(t.Normal) / max(1e-9, d.Norm())
		E := c.level * c.lxAt(z, i)
		if E <= 0 || cos <= 0 {
			return 0
		}
		return light.Veil(E, math.Acos(min(1, cos))*180/math.Pi)
	}, 0.002*limit)
}

// lxAt is the light of a column at full on a target of a zone.
func (c *candidate) lxAt(z *zoneWork, i int) float64 {
	if c.zone == z {
		return c.lx[i]
	}
	if c.far == nil {
		return 0
	}
	return c.far[z.from+i]
}

// sharedRows adds the limits that all units share: light on screens and on what
// is to stay dark, load of each line, power and money, fixtures the church has.
func (b *stageModel) sharedRows() {
	p, inf := b.p, math.Inf(-1)
	for k, d := range p.dark {
		have := 0.0
		for i, src := range Sources(p.locked, p.in.Catalogue) {
			have += p.loss * meanOn(src, d.poly) * cutShare(p.locked[i].Accessories)
		}
		for _, c := range p.chosen {
			if c.dark != nil {
				have += c.level * c.dark[k]
			}
		}
		r := model.Row{Name: "light on " + d.name, Lo: inf, Hi: max(0, d.limitLx-have), Over: p.price(spillPrice / d.limitLx)}
		b.put(nil, r, func(c *candidate) float64 {
			if c.dark == nil {
				return 0
			}
			return c.level * c.dark[k]
		}, 0.01*d.limitLx)
	}
	shared := func(name string, hi, over float64) *model.Row {
		r := b.rows[name]
		if r == nil {
			r = &model.Row{Name: name, Lo: inf, Hi: hi, Over: over}
			b.rows[name] = r
			b.order = append(b.order, name)
		}
		return r
	}
	for j, c := range b.meaning {
		term := func(r *model.Row, coef float64) { r.Terms = append(r.Terms, model.Term{Column: j, Coef: coef}) }
		line := c.site.line.Name
		if limit, ok := p.in.LineKg[line]; ok {
			term(shared("mass on "+line, max(0, limit-p.usedKg(line)), 0), unitKg(c.option))
		}
		if p.in.PowerW > 0 {
			term(shared("watts", max(0, p.in.PowerW-p.usedW()), p.price(powerPrice/100)), c.option.Power.Watts())
		}
		switch {
		case b.owned[j]:
			term(shared("owned "+c.option.Code, float64(b.left[c.option.Code]), 0), 1)
		case p.in.Brief.Money.CapMinor > 0 && c.option.priceMinor > 0:
			term(shared("money for fixtures", max(0, float64(p.in.Brief.Money.CapMinor-p.spentMinor())/100), capPrice), float64(c.option.priceMinor)/100)
		}
	}
	for _, name := range b.order {
		if r := b.rows[name]; len(r.Terms) > 0 {
			b.m.Rows, b.zoneOf = append(b.m.Rows, *r), append(b.zoneOf, nil)
		}
	}
}

// apartRows keeps two units from places too near each other for their yokes.
func (b *stageModel) apartRows() {
	byPlace := make([][]int, b.m.Places)
	for j, c := range b.m.Columns {
		byPlace[c.Place] = append(byPlace[c.Place], j)
	}
	apart := func(group []*site) {
		r := model.Row{Name: fmt.Sprintf("room for one at %s %.2f m", group[0].line.Name, group[0].along), Lo: math.Inf(-1), Hi: 1}
		for _, g := range group {
			for _, j := range byPlace[b.places[g]] {
				r.Terms = append(r.Terms, model.Term{Column: j, Coef: 1})
			}
		}
		slices.SortFunc(r.Terms, func(x, y model.Term) int { return x.Column - y.Column })
		b.m.Rows, b.zoneOf = append(b.m.Rows, r), append(b.zoneOf, nil)
	}
	var sites []*site
	for _, s := range b.p.sites {
		if _, ok := b.places[s]; ok {
			sites = append(sites, s)
		}
	}
	for a, s := range sites {
		group := []*site{s}
		for _, t := range sites[a+1:] {
			if slices.ContainsFunc(group, func(g *site) bool { return !tooNear(g.at, t.at) }) {
				if tooNear(s.at, t.at) {
					apart([]*site{s, t})
				}
				continue
			}
			group = append(group, t)
		}
		if len(group) > 1 {
			apart(group)
		}
	}
}

// solve chooses the stage's columns. Zone by zone comes first, each beside what
// is chosen for those before it; the whole stage is then searched from there.
func (b *stageModel) solve(name string, purpose Purpose, zones []*zoneWork) *stageChoice {
	p := b.p
	b.sharedRows()
	b.apartRows()
	full := b.m.Rounded()
	reduced, back, red := full.Reduce(columnLimit, b.rank())
	choice := &stageChoice{problem: reduced}
	for _, j := range back {
		choice.meaning = append(choice.meaning, b.meaning[j])
	}
	o := model.Options{Seed: p.in.Seed, Work: p.in.Work, RelaxWork: relaxWork, Gap: p.in.Gap, Stop: p.in.Stop}
	switch {
	case o.Work <= 0:
		o.Work = StageWork
	case o.Work < StageWork:
		o.RelaxWork = o.Work
	}
	if len(zones) > 1 {
		for _, z := range zones {
			part, at := reduced.Given(o.Start, func(j int) bool { return choice.meaning[j].zone == z },
				func(i int) bool { return b.zoneOf[i] == nil || b.zoneOf[i] == z })
			one := o
			one.Work, one.RelaxWork, one.Start = o.Work/2, o.Work/2, nil
			for _, j := range model.Solve(part, one).Columns {
				o.Start = append(o.Start, at[j])
			}
		}
	}
	names := zoneNames(zones)
	if p.in.Progress != nil {
		o.Progress = func(pr model.Progress) bool {
			return p.in.Progress(Progress{Stage: len(p.stages) + 1, Stages: p.stageCount(), Name: name, Zone: names, Purpose: purpose, Cost: pr.Cost, Bound: pr.Bound, Gap: pr.Gap})
		}
	}
	whole := int64(max(1, len(zones)))
	if o.Work >= StageWork {
		whole = whole * int64(min(largeTimes*largeColumns, max(largeColumns, len(reduced.Columns)))) / largeColumns
	}
	o.Work *= whole
	res := model.Solve(reduced, o)
	p.stages = append(p.stages, Stage{Name: name, Zone: names, Purpose: purpose, Model: reduced, Result: res, Reduction: red, Missing: reduced.Missing(res.Columns)})
	choice.chosen = res.Columns
	return choice
}

// rank orders columns for the case that there are too many: by cost among those
// focused on the same face, so that no face loses all of its own.
func (b *stageModel) rank() []float64 {
	type place struct {
		z    *zoneWork
		face int
		aim  float64
	}
	groups := map[place][]int{}
	var order []place
	for j, c := range b.meaning {
		k := place{c.zone, c.face, c.aim.X}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], j)
	}
	rank := make([]float64, len(b.meaning))
	for _, k := range order {
		list := groups[k]
		slices.SortStableFunc(list, func(i, j int) int {
			x, y := b.meaning[i], b.meaning[j]
			return cmp.Or(compareFloat(x.merit+x.priceUnits, y.merit+y.priceUnits), compareFloat(math.Abs(x.bearingDeg), math.Abs(y.bearingDeg)))
		})
		for n, j := range list {
			rank[j] = float64(n)
		}
	}
	return rank
}

func zoneNames(zones []*zoneWork) string {
	var names []string
	for _, z := range zones {
		names = append(names, z.Name)
	}
	return strings.Join(names, ", ")
}

const (
	// StageWork bounds the search of one stage, for each zone it speaks of.
	StageWork = 40_000_000
	// A stage of more columns than largeColumns is searched longer in proportion, up
	// to largeTimes as long.
	largeColumns = 1500
	largeTimes   = 3
	// relaxWork bounds the linear relaxation of one stage, which its bound rests on.
	relaxWork = 1_500_000_000
)

// stageChoice is what a stage's model chose, kept to find runners-up.
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
