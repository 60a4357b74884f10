package scheme

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

func elevationOf(f facePoint, s *site) float64 { return geom.ElevationDeg(f.at, s.at) }

func (p *proposer) length(m float64) string { return si.FormatLength(si.Length(m), p.in.Display) }

// frontAccessories returns what keeps a front unit's upper edge off a screen:
// barn doors or shutters where the field would reach above 0.15 m below the
// screen's lower edge, within the width of its pool.
func (p *proposer) frontAccessories(c *choice) []string {
	for _, s := range p.in.Room.Screens {
		if len(s.Corners) < 3 || !reachesScreen(c.candidate, s.Corners) {
			continue
		}
		for _, name := range []string{"shutters", "barn_doors", "top_hat"} {
			if slices.Contains(c.option.Accessories, name) {
				return []string{name}
			}
		}
	}
	return nil
}

// reachesScreen tells whether a field's upper edge, along the beam's own line
// in plan, meets the screen's plane above its lower edge less the margin, and
// its pool there the screen's width.
func reachesScreen(c *candidate, corners geom.Polygon) bool {
	n := corners.Normal()
	plan := c.aim.Sub(c.site.at).Plan()
	h := plan.Norm()
	if h == 0 {
		return false
	}
	dir := plan.Scale(1 / h)
	den := n.Dot(dir)
	if den >= 0 {
		return false
	}
	far := n.Dot(corners[0].Sub(c.site.at)) / den
	if far < 0 {
		return false
	}
	drop := geom.ElevationDeg(c.aim, c.site.at) - c.option.beam.FieldDeg/2
	upper := c.site.at.Z - far*math.Tan(drop*math.Pi/180)
	bottom, lo, hi := math.Inf(1), math.Inf(1), math.Inf(-1)
	along := geom.Vec{X: -n.Y, Y: n.X}.Unit()
	for _, v := range corners {
		bottom = math.Min(bottom, v.Z)
		lo, hi = math.Min(lo, along.Dot(v)), math.Max(hi, along.Dot(v))
	}
	at := along.Dot(c.site.at.Add(dir.Scale(far)))
	half := far * math.Tan(c.option.beam.FieldDeg/2*math.Pi/180)
	return upper > bottom-screenMarginM && at+half > lo && at-half < hi
}

// explain says in plain words why a unit is what and where it is, with the best
// other fixture and the best other line and what they would change.
func (p *proposer) explain(s *selection, c *choice) string {
	f := s.z.faces[c.face]
	text := fmt.Sprintf("%s at %.0f° (%s) and %.0f° from the %s to %s", c.site.line.Name, c.elevationDeg, bandWords[FrontBand(c.elevationDeg)],
		math.Abs(c.bearingDeg), sideWord(c.bearingDeg), f.label())
	if s.z.wall {
		text = fmt.Sprintf("%s to wash %s", c.site.line.Name, f.label())
	}
	d := c.site.at.Sub(c.aim).Norm()
	text += fmt.Sprintf("; %s: %s; the %.0f° field gives %.0f lx there, pool %s, throw %s.", c.option.Name, needWords(c.candidate),
		c.option.beam.FieldDeg, c.lx[c.face], p.length(fieldDiameterM(d, c.option.beam.FieldDeg)), p.length(d))
	other, elsewhere := s.runnersUp(c.candidate)
	if other != nil {
		text += " " + p.runnerUp(other.option, c.option, other.lx[c.face]-c.lx[c.face])
	}
	if elsewhere != nil {
		text += fmt.Sprintf(" Next best line: %s at %.0f°, %+.0f lx.", elsewhere.site.line.Name, elsewhere.elevationDeg, elsewhere.lx[c.face]-c.lx[c.face])
	}
	return text + p.mixed(s, c)
}

// runnerUp says what the next best fixture would change in light, money and amps.
func (p *proposer) runnerUp(other, o *fixtureOption, moreLx float64) string {
	return fmt.Sprintf("Next best fixture: %s at %.0f°, %+.0f lx, %s, %+.0f W%s.", other.Name, other.beam.FieldDeg,
		moreLx, p.money(other.priceMinor-o.priceMinor), other.Power.Watts()-o.Power.Watts(), p.amps(other, o))
}

// mixed says why a unit has another beam than most units of its type on its line.
func (p *proposer) mixed(s *selection, c *choice) string {
	alike, others := 0, 0
	least := math.Inf(1)
	cost := s.stage.problem.Exchange(s.stage.chosen, s.stage.indexOf(c.candidate))
	for _, j := range s.stage.chosen {
		o := s.stage.meaning[j]
		switch {
		case o.zone != c.zone || o.site.line.Name != c.site.line.Name || o.option.Code != c.option.Code:
		case o.option == c.option:
			alike++
		default:
			others++
			for k, same := range s.stage.meaning {
				if same.zone == c.zone && same.site == c.site && same.face == c.face && same.option == o.option {
					least = math.Min(least, cost(k))
				}
			}
		}
	}
	if others < alike || others == 0 || math.IsInf(least, 1) {
		return ""
	}
	now, _ := s.stage.problem.Value(s.stage.chosen)
	return fmt.Sprintf(" Its beam differs from its neighbours': with theirs the light missed or spilt would count for %.0f more in the choice.", max(0, least-now))
}

// indexOf returns the chosen model column of a candidate.
func (s *stageChoice) indexOf(c *candidate) int {
	for _, j := range s.chosen {
		if s.meaning[j] == c {
			return j
		}
	}
	return -1
}

// runnersUp returns the best other fixture at a unit's place and the best other
// line for its face, by the cost of the whole choice with it exchanged; nil
// where there is none.
func (s *selection) runnersUp(c *candidate) (other, elsewhere *candidate) {
	otherCost, elseCost := math.Inf(1), math.Inf(1)
	out := slices.IndexFunc(s.stage.chosen, func(j int) bool { return s.stage.meaning[j] == c })
	if out < 0 {
		return nil, nil
	}
	cost := s.stage.problem.Exchange(s.stage.chosen, s.stage.chosen[out])
	for j, o := range s.stage.meaning {
		switch {
		case o.zone != c.zone || o.cover != nil:
		case o.option.Code != c.option.Code && o.site == c.site:
			if v := cost(j); v < otherCost {
				other, otherCost = o, v
			}
		case o.site.line.Name != c.site.line.Name && o.face == c.face:
			if v := cost(j); v < elseCost {
				elsewhere, elseCost = o, v
			}
		}
	}
	return other, elsewhere
}

func (p *proposer) money(minor int64) string {
	currency := p.in.Brief.Money.Currency
	if currency == "" && len(p.options) > 0 {
		currency = p.options[0].Currency
	}
	if minor < 0 {
		return si.FormatMoney(-minor, currency) + " less"
	}
	return si.FormatMoney(minor, currency) + " more"
}

// amps returns the difference of two fixtures' currents at the supply's voltage;
// nothing where that is not known.
func (p *proposer) amps(a, b *fixtureOption) string {
	volts := p.in.Survey.Supply.Voltage
	if !volts.Set || !(volts.Value > 0) {
		return ""
	}
	current := func(o *fixtureOption) float64 {
		pf := o.PF
		if !(pf > 0) {
			pf = assumedPF
		}
		return o.Power.Watts() / pf / float64(volts.Value)
	}
	return fmt.Sprintf(" (%+.2f A)", current(a)-current(b))
}

// assumedPF is taken where a fixture's power factor is unknown. Source: common
// practice for LED stage fixtures.
const assumedPF = 0.9

var bandWords = map[string]string{BandIdeal: "about the ideal 45°", BandGood: "good", BandUsable: "usable", BandAsk: "outside 35° to 55°, the best to be had", BandRefuse: "refused"}

func sideWord(bearingDeg float64) string {
	switch {
	case bearingDeg < -1:
		return "left as seen from the seats"
	case bearingDeg > 1:
		return "right as seen from the seats"
	}
	return "middle"
}

// needWords says for what need a unit's class was chosen.
func needWords(c *candidate) string {
	throw := c.site.at.Sub(c.aim).Norm()
	switch hard := c.option.Class == catalogue.Ellipsoidal; {
	case hard && c.spill >= 1:
		return "a hard edge, since shutters have to keep its field off what is to stay dark"
	case hard && throw > softThrowM:
		return "a hard edge, since the throw is longer than a soft one carries"
	case hard:
		return "a hard edge that shutters can cut; here it gives the light for the least money"
	case c.spill >= 1 && slices.Contains(c.option.Accessories, "barn_doors"):
		return classWords(c.option.Class) + ", with barn doors toward what is to stay dark"
	case c.option.Class == catalogue.Fresnel || c.option.Class == catalogue.Wash:
		return classWords(c.option.Class) + ", since an even wash is wanted and no exact cut"
	}
	return classWords(c.option.Class)
}

func classWords(c catalogue.Class) string {
	switch c {
	case catalogue.Ellipsoidal:
		return "a hard edge that shutters can cut"
	case catalogue.Fresnel, catalogue.Wash:
		return "a soft edge that blends with its neighbours"
	case catalogue.PAR:
		return "an oval soft beam"
	}
	return "an even wash"
}

// nameUnits numbers the zone's front units from left to right as seen from the
// seats, then by height.
func (p *proposer) nameUnits(z *zoneWork) {
	var mine []*choice
	for _, c := range p.chosen {
		if c.zone == z && c.id == "" {
			mine = append(mine, c)
		}
	}
	order := func(a, b *choice) int {
		return cmp.Or(compareFloat(a.site.at.X, b.site.at.X), compareFloat(a.site.at.Y, b.site.at.Y), compareFloat(a.site.at.Z, b.site.at.Z),
			compareFloat(a.aim.X, b.aim.X))
	}
	slices.SortStableFunc(mine, order)
	for _, c := range mine {
		c.id = p.ids.front(z)
	}
	first := len(p.chosen) - len(mine)
	copy(p.chosen[first:], mine)
}

// idMaker gives unit numbers: the zone's letters and a number, K for back light, MV for moving light.
type idMaker struct {
	prefix map[*zoneWork]string
	next   map[string]int
	used   map[string]bool
}

const (
	backPrefix   = "K"
	movingPrefix = "MV"
)

func newIDs(zones []*zoneWork, locked []Placed, labels map[string]Label) idMaker {
	ids := idMaker{prefix: map[*zoneWork]string{}, next: map[string]int{}, used: map[string]bool{}}
	for _, u := range locked {
		ids.used[u.ID] = true
	}
	for id := range labels {
		ids.used[id] = true
	}
	taken := map[string]bool{backPrefix: true, movingPrefix: true}
	for _, z := range zones {
		ids.prefix[z] = freePrefix(z.Name, taken)
		taken[ids.prefix[z]] = true
	}
	return ids
}

// freePrefix returns the first letter of a name, more letters of it where
// another zone has that, and a free letter or two of the alphabet where those
// are taken too.
func freePrefix(name string, taken map[string]bool) string {
	letters := strings.Map(func(r rune) rune {
		if r < unicode.MaxASCII && unicode.IsLetter(r) {
			return unicode.ToUpper(r)
		}
		return -1
	}, name)
	for n := 1; n <= min(3, len(letters)); n++ {
		if !taken[letters[:n]] {
			return letters[:n]
		}
	}
	for i := range 26 * 27 {
		s := string(rune('A' + i%26))
		if i >= 26 {
			s = string(rune('A'+i/26-1)) + s
		}
		if !taken[s] {
			return s
		}
	}
	return "U" + name
}

func (ids *idMaker) take(prefix string) string {
	for {
		ids.next[prefix]++
		if id := fmt.Sprintf("%s%d", prefix, ids.next[prefix]); !ids.used[id] {
			ids.used[id] = true
			return id
		}
	}
}

func (ids *idMaker) front(z *zoneWork) string { return ids.take(ids.prefix[z]) }

func (ids *idMaker) back() string { return ids.take(backPrefix) }

func (ids *idMaker) moving() string { return ids.take(movingPrefix) }

// passedOver lists, for each zone, the lines and places its light does not come
// from, with the numbers that speak against them.
func (p *proposer) passedOver() []Passed {
	type key struct{ line, zone string }
	used, best := map[key]bool{}, map[string]*choice{}
	for _, c := range p.chosen {
		used[key{c.site.line.Name, c.zone.Name}] = true
		if c.cover != nil {
			continue
		}
		if b := best[c.zone.Name]; b == nil || math.Abs(c.elevationDeg-idealFrontDeg) < math.Abs(b.elevationDeg-idealFrontDeg) {
			best[c.zone.Name] = c
		}
	}
	var out []Passed
	for _, row := range p.rows {
		done := map[string]bool{}
		for _, cell := range row.Zones {
			if used[key{row.Line, cell.Zone}] || done[cell.Zone] {
				continue
			}
			done[cell.Zone] = true
			out = append(out, Passed{Line: row.Line, Place: row.Place, Zone: cell.Zone, ElevationDeg: math.Round(cell.ElevationDeg*10) / 10,
				ThrowM: math.Round(cell.ThrowM*100) / 100, Why: p.passedWhy(row, cell, best[cell.Zone])})
		}
	}
	return out
}

func (p *proposer) passedWhy(row LineRow, cell LineZone, best *choice) string {
	for _, l := range p.in.Room.Lines {
		if b, is := barred(l, p.in.Brief.Limits); l.Name == row.Line && is && !b.ask {
			return b.why
		}
	}
	e := cell.ElevationDeg
	switch {
	case cell.Behind && p.wantsBack(cell.Zone) && cell.Band == BandGlare:
		return fmt.Sprintf("as back light too low: %.1f°, in the first rows' eyes below %.0f°", e, backGlareDeg)
	case cell.Behind && p.wantsBack(cell.Zone) && cell.Band == BandTop:
		return fmt.Sprintf("almost top light: %.1f°", e)
	case cell.Behind && p.wantsBack(cell.Zone):
		return fmt.Sprintf("behind the faces at %.1f°; back light comes better from elsewhere or was left out", e)
	case cell.Behind:
		return "behind the faces, and back light is not wanted there"
	case cell.Band == BandRefuse && e < refuseFrontMinDeg:
		return fmt.Sprintf("too low for a main light: %.1f°, below %.0f° it is in the speaker's eyes and on the wall behind", e, refuseFrontMinDeg)
	case cell.Band == BandRefuse:
		return fmt.Sprintf("too steep: %.1f°, above %.0f° it leaves dark eye sockets", e, refuseFrontMaxDeg)
	case best != nil && math.Abs(best.elevationDeg-idealFrontDeg) < math.Abs(e-idealFrontDeg):
		return fmt.Sprintf("%.1f° is possible, but %s at %.1f° is nearer to 45°", e, best.site.line.Name, best.elevationDeg)
	case best != nil:
		return fmt.Sprintf("%.1f° is possible, but with fixtures, money and light on screens %s came out better", e, best.site.line.Name)
	}
	return fmt.Sprintf("%.1f° is possible, but nothing was hung for this zone", e)
}

func (p *proposer) wantsBack(zone string) bool {
	for _, z := range p.zones {
		if z.Name == zone {
			return z.BackLight == "wanted" || z.BackLight == "if_room"
		}
	}
	return false
}

// bestFrontCell says what the best allowed line would give a zone.
func (p *proposer) bestFrontCell(z *zoneWork) string {
	best, text := math.Inf(1), ""
	for _, s := range p.sites {
		for _, f := range z.faces {
			if s.at.Y >= f.at.Y {
				continue
			}
			if miss := math.Abs(elevationOf(f, s) - idealFrontDeg); miss < best {
				best, text = miss, fmt.Sprintf("the nearest to 45° is %s at %.1f°", s.line.Name, elevationOf(f, s))
			}
		}
	}
	return text
}
