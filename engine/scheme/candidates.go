package scheme

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

const (
	// siteStepM and fineStepM are the steps of candidate places along a line;
	// the fine one where all usable spans together are no longer than fineSpanM.
	siteStepM = 0.5
	fineStepM = 0.25
	fineSpanM = 60.0
	// spanEndM keeps a clamp off the end of a usable span.
	spanEndM = 0.15
	// hungApartM is the least distance of proposed lenses: room for a yoke to turn.
	hungApartM = 0.45
	// maxSites, maxAims and maxCandidates bound the search.
	maxSites      = 600
	maxAims       = 12
	maxCandidates = 6000
)

// site is a place at which a unit could hang.
type site struct {
	line    room.Line
	along   float64
	at      geom.Vec
	ask     bool // permission is open
	sight   []int8
	dazzles int // zones; −1 not counted yet
}

// sees tells whether the straight path to a target is free; each path is
// traced once.
func (s *site) sees(sc light.Scene, points []target, i int) bool {
	if s.sight[i] == 0 {
		s.sight[i] = 1
		if sc.Occluded(s.at, points[i].At) {
			s.sight[i] = 2
		}
	}
	return s.sight[i] == 1
}

// findSites lists the places along the usable spans of the allowed lines,
// counted from the middle of each span so that a mirrored room has mirrored
// places.
func (p *proposer) findSites() {
	viewers := (&checker{in: CheckInput{Room: p.in.Room}}).viewers()
	step, usable := fineStepM, 0.0
	for _, l := range p.in.Room.Lines {
		if b, is := barred(l, p.in.Brief.Limits); !is || b.ask {
			for _, span := range usableSpans(l) {
				usable += span[1] - span[0]
			}
		}
	}
	if usable > fineSpanM {
		step = siteStepM
	}
	for _, l := range p.in.Room.Lines {
		b, is := barred(l, p.in.Brief.Limits)
		if is && !b.ask {
			continue
		}
		for _, span := range usableSpans(l) {
			for _, along := range placesIn(span, step) {
				at := lensAt(l, along)
				if !finite(at.X, at.Y, at.Z) {
					continue
				}
				if why := p.mayNotHang(at, viewers); why != "" {
					p.refused = append(p.refused, refusedSite{l.Name, at, why})
				} else if len(p.sites) < maxSites {
					p.sites = append(p.sites, &site{line: l, along: along, at: at, ask: is, sight: make([]int8, len(p.points)), dazzles: -1})
				}
			}
		}
	}
}

func placesIn(span [2]float64, step float64) []float64 {
	mid, half := (span[0]+span[1])/2, (span[1]-span[0])/2-spanEndM
	if half < 0 || !finite(mid, half) {
		return []float64{mid}
	}
	n := min(maxSites/2, int(half/step+1e-9))
	var out []float64
	for i := -n; i <= n; i++ {
		out = append(out, mid+float64(i)*step)
	}
	return out
}

// refusedSite is a place along an allowed line where nothing may hang.
type refusedSite struct {
	line string
	at   geom.Vec
	why  string
}

// mayNotHang says why a lens may not be at a place: outside the room, within
// reach of hands, near what is to be kept clear or in the view of screens; empty
// where it may.
func (p *proposer) mayNotHang(at geom.Vec, viewers []geom.Vec) string {
	r := p.in.Room
	if len(r.Footprint) >= 3 && !r.Footprint.ContainsPlan(at.X, at.Y) && outsideBy(r.Footprint, at) > spanSlackM {
		return "it is outside the room"
	}
	if h, ok := ceilingAt(r, at.X, at.Y); ok && at.Z > h+spanSlackM {
		return "it is above the ceiling"
	}
	c := checker{in: CheckInput{Room: r}}
	if level, _ := c.standingLevel(at); at.Z-housingHalfM < level+raisedHandM+handGapM {
		return fmt.Sprintf("a raised hand reaches it: the lens at %s, %s above where people stand, at least %s is wanted",
			p.length(at.Z), p.length(at.Z-level), p.length(raisedHandM+handGapM+housingHalfM))
	}
	for _, s := range r.Solids {
		if lo, hi, ok := bounds(s); ok && s.KeepClear > 0 && !isSprinkler(s.Name) && boxDistance(at, lo, hi) < s.KeepClear.Metres() {
			return "it is too near to " + s.Name + ", which is to be kept clear"
		}
	}
	for _, s := range r.Screens {
		if len(s.Corners) < 3 {
			continue
		}
		for _, e := range viewers {
			if crosses(e, at, s.Corners) {
				return "it hangs before " + s.Name
			}
		}
	}
	return ""
}

// fixtureOption is a fixture with one of its beams.
type fixtureOption struct {
	catalogue.Fixture
	beam       catalogue.Beam
	dist       photometry.Distribution
	priceMinor int64
}

// fixtureOptions returns the fixtures that belong on a hanging line, give white
// light and fit the supply, with each of their beams; and the middle price,
// which counts as one unit of cost. Fixtures without a price in the project's
// currency are left out as long as others have one.
func (p *proposer) fixtureOptions() ([]fixtureOption, float64) {
	currency := p.in.Brief.Money.Currency
	volts := p.in.Survey.Supply.Voltage
	var all []fixtureOption
	priced := false
	for _, f := range p.in.Catalogue.All() {
		if !f.Throws || !f.White || volts.Set && !takes(f, volts.Value) {
			continue
		}
		price, ok := f.PriceIn(currency)
		if !ok {
			price = -1
		}
		priced = priced || ok
		for _, b := range beamsOf(f) {
			if d, ok := p.in.Catalogue.Distribution(f, b.FieldDeg); ok {
				all = append(all, fixtureOption{Fixture: f, beam: b, dist: d, priceMinor: price})
			}
		}
	}
	var out []fixtureOption
	var prices []int64
	for _, o := range all {
		switch {
		case o.priceMinor < 0 && priced:
			continue
		case o.priceMinor < 0:
			o.priceMinor = max(0, o.PriceMinor)
		}
		out = append(out, o)
		if o.priceMinor > 0 {
			prices = append(prices, o.priceMinor)
		}
	}
	slices.Sort(prices)
	if len(prices) == 0 {
		return out, 1
	}
	return out, float64(prices[len(prices)/2])
}

// zoomRatio is the ratio of neighbouring field angles above which a zoom
// setting between them is tried too.
const zoomRatio = 1.3

// beamsOf returns a fixture's beams, with one more between far neighbours of a
// zoom, in whole degrees.
func beamsOf(f catalogue.Fixture) []catalogue.Beam {
	var out []catalogue.Beam
	for i, b := range f.Beams {
		if i > 0 && f.Zooms() && b.FieldDeg > zoomRatio*f.Beams[i-1].FieldDeg {
			if mid, ok := f.BeamAt(math.Round(math.Sqrt(b.FieldDeg * f.Beams[i-1].FieldDeg))); ok {
				out = append(out, mid)
			}
		}
		out = append(out, b)
	}
	return out
}

// candidate is one column of the choice: a fixture with a beam at a place,
// focused on a face.
type candidate struct {
	zone         *zoneWork
	site         *site
	option       *fixtureOption
	aim          geom.Vec
	face         int // of its zone
	elevationDeg float64
	bearingDeg   float64   // from the direction to the seats
	lx           []float64 // on its zone's targets
	far          []float64 // on all targets of the stage; nil where it stands alone
	dark         []float64 // on what is to stay dark, cut by its accessory, in lux at full
	cover        *cover    // the row of pools it is one of; nil for a wash
	covers       []bool    // points of it
	normalLx     float64   // of a cover's unit at its focus point, square to the beam
	alike        bool      // back light and moving light: one of a row of equals
	// side is −1 where it lights a target from the left of the way that looks, 1
	// from the right, 0 where sides are not asked for. The bearing at the focus
	// point stands for that at the target.
	side       []float64
	merit      float64 // costs beside its price: angles, spill, class, line
	spill      float64 // share of the spill limit, before barn doors or shutters
	priceUnits float64
	level      float64 // at which the model counts it
}

// Costs in units: one is a fixture of middle price, hung.
const (
	hangCost       = 0.4 // of the work each unit brings
	priceCost      = 0.6
	askCost        = 0.3 // a line whose permission is open
	buildCost      = 0.8 // a line still to be built
	openLineCost   = 0.5 // metal, cable and lift moves of another line
	hardEdgeCost   = 0.15
	colourKeyCost  = 1.0 // one white for all key lights
	parCost        = 0.1
	longSoftCost   = 0.3
	poorColourCost = 0.3
	softThrowM     = 15.0 // longer throws ask for an ellipsoidal. Source: common practice, 50 ft
	spillCost      = 1.0
	glareCost      = 0.2 // each other zone in whose eyes the lens stands low
)

// elevationCost returns what an elevation in degrees of front light costs, in
// units: nothing about 45°, more than a unit outside 30° to 60°.
func elevationCost(e float64) float64 {
	return interpolate(e, [][2]float64{{25, 3}, {30, 1}, {35, 0.35}, {40, 0.1}, {42.5, 0}, {47.5, 0}, {50, 0.1}, {55, 0.35}, {60, 1.2}})
}

// sidewaysCost returns what the sideways angle in degrees of one unit costs:
// for partners nothing between 30° and 50°, for others nothing up to 20°, since
// straight rows are hung and focused more easily.
func sidewaysCost(side float64, partner bool) float64 {
	if partner {
		return interpolate(math.Abs(side), [][2]float64{{0, 0.5}, {15, 0.4}, {30, 0}, {50, 0}, {60, 0.5}, {70, 1.5}})
	}
	return interpolate(math.Abs(side), [][2]float64{{0, 0}, {20, 0}, {50, 0.3}, {60, 0.7}, {70, 1.5}})
}

func interpolate(x float64, table [][2]float64) float64 {
	if x <= table[0][0] {
		return table[0][1]
	}
	for i := 1; i < len(table); i++ {
		a, b := table[i-1], table[i]
		if x <= b[0] {
			return a[1] + (b[1]-a[1])*(x-a[0])/(b[0]-a[0])
		}
	}
	return table[len(table)-1][1]
}

// frontCandidates returns the columns of one zone's front light: every allowed
// place, focus point, fixture and beam whose angles are not refused and whose
// light at the focus point is of the order of the target.
func (p *proposer) frontCandidates(z *zoneWork, zones []*zoneWork) []*candidate {
	aims := aimFaces(z.faces)
	var pairs []*candidate
	for _, s := range p.sites {
		for _, face := range aims {
			f := z.faces[face]
			c := &candidate{zone: z, site: s, aim: f.at, face: face, elevationDeg: geom.ElevationDeg(f.at, s.at), bearingDeg: geom.BearingDeg(f.at, s.at)}
			if !s.sees(p.scene, p.points, z.from+face) || !p.frontAngleAllowed(z, f, c) {
				continue
			}
			pairs = append(pairs, c)
		}
	}
	options := p.optionsFor(z)
	if len(options) == 0 {
		return nil
	}
	if most := maxCandidates / len(options); len(pairs) > most {
		pairs = bestOfEachFace(pairs, max(1, most))
	}
	var out []*candidate
	for _, pair := range pairs {
		for i := range options {
			if c := p.column(z, pair, options[i], zones); c != nil {
				out = append(out, c)
			}
		}
	}
	return out
}

// bestOfEachFace returns at most so many pairs of place and focus point, as many of
// each face as there is room for, those of the best angles; of equal ones those
// nearest to straight on, so that no side of a room is preferred.
func bestOfEachFace(pairs []*candidate, most int) []*candidate {
	slices.SortStableFunc(pairs, func(a, b *candidate) int {
		return cmp.Or(compareFloat(a.merit, b.merit), compareFloat(math.Abs(a.bearingDeg), math.Abs(b.bearingDeg)))
	})
	turn, count := map[*candidate]int{}, map[int]int{}
	for _, c := range pairs {
		turn[c] = count[c.face]
		count[c.face]++
	}
	slices.SortStableFunc(pairs, func(a, b *candidate) int { return cmp.Compare(turn[a], turn[b]) })
	return pairs[:most]
}

func compareFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// frontAngleAllowed sets the candidate's costs of geometry; false where the
// angles are refused.
func (p *proposer) frontAngleAllowed(z *zoneWork, f facePoint, c *candidate) bool {
	toFace := math.Abs(wrapDeg(c.bearingDeg - f.facingDeg))
	if z.wall {
		c.merit = 0
		return toFace < 85
	}
	if FrontBand(c.elevationDeg) == BandRefuse || math.Abs(c.bearingDeg) > 70 || toFace > sideOneSidedDeg {
		return false
	}
	c.merit = elevationCost(c.elevationDeg) + sidewaysCost(c.bearingDeg, z.cross > 0)
	if c.site.ask {
		c.merit += askCost
	}
	if c.site.line.State == survey.Planned {
		c.merit += buildCost
	}
	c.merit += glareCost * float64(p.zonesDazzled(c.site))
	return true
}

// zonesDazzled returns in how many zones a lens stands too low near somebody's
// line of sight to the seats.
func (p *proposer) zonesDazzled(s *site) int {
	if s.dazzles < 0 {
		s.dazzles = 0
		for _, z := range p.zones {
			for _, f := range z.faces {
				side := math.Abs(wrapDeg(geom.BearingDeg(f.at, s.at) - f.facingDeg))
				if e := elevationOf(f, s); e < refuseFrontMinDeg && side <= glareHalfWidthDeg && !z.wall {
					s.dazzles++
					break
				}
			}
		}
	}
	return s.dazzles
}

// aimFaces returns the faces units are focused on; of a large grid every
// second, third … place.
func aimFaces(faces []facePoint) []int {
	stride := 1 + (len(faces)-1)/maxAims
	var out []int
	for i := 0; i < len(faces); i += stride {
		out = append(out, i)
	}
	return out
}

// optionsFor returns the fixtures whose class suits the zone's light.
func (p *proposer) optionsFor(z *zoneWork) []*fixtureOption {
	var out []*fixtureOption
	for i := range p.options {
		o := &p.options[i]
		switch o.Class {
		case catalogue.Ellipsoidal, catalogue.Fresnel, catalogue.PAR, catalogue.Wash:
			out = append(out, o)
		case catalogue.LinearWash:
			if z.wall {
				out = append(out, o)
			}
		}
	}
	return out
}

// leastShare and mostShare bound the light of one unit at its focus point, as
// shares of the target: below it takes too many, above it is the wrong product.
const (
	leastShare = 0.12
	mostShare  = 1.8
)

// column fills in a candidate with a fixture and its light; nil where that is
// useless.
func (p *proposer) column(z *zoneWork, pair *candidate, o *fixtureOption, zones []*zoneWork) *candidate {
	throw := pair.site.at.Sub(pair.aim).Norm()
	atAim := p.loss * o.beam.PeakCd * axisFactor(pair.site.at.Sub(pair.aim), z.faces[pair.face].normal())
	if atAim < leastShare*z.targetLx || atAim > mostShare*z.targetLx {
		return nil
	}
	c := *pair
	c.option = o
	c.lx, c.side = make([]float64, z.to-z.from), make([]float64, z.to-z.from)
	src := light.Source{At: c.site.at, Aim: c.aim, Dist: o.dist, Level: 1}
	for i := range c.lx {
		if z.cross > 0 {
			c.side[i] = math.Copysign(1, wrapDeg(c.bearingDeg-p.points[z.from+i].facingDeg))
		}
		if c.site.sees(p.scene, p.points, z.from+i) {
			c.lx[i] = p.loss * light.Direct(src, p.points[z.from+i].Point, light.Scene{}).Lx
		}
	}
	if len(zones) > 1 {
		c.far = p.onOthers(&c, src, zones)
	}
	cut := cutShare(o.Accessories)
	c.spill = p.fillDark(&c, src, cut)
	c.merit += spillCost*math.Min(3, c.spill*cut) + p.classCost(z, o, throw, c.spill)
	c.priceUnits = priceCost * float64(o.priceMinor) / p.ref
	return &c
}

// onOthers returns a source's light on the targets of all the stage's zones, by
// their place among all targets.
func (p *proposer) onOthers(c *candidate, src light.Source, zones []*zoneWork) []float64 {
	out := make([]float64, len(p.points))
	for _, z := range zones {
		if z == c.zone {
			copy(out[z.from:z.to], c.lx)
			continue
		}
		for i := z.from; i < z.to; i++ {
			if lx := p.loss * light.Direct(src, p.points[i].Point, light.Scene{}).Lx; lx > leastCoef && c.site.sees(p.scene, p.points, i) {
				out[i] = lx
			}
		}
	}
	return out
}

// cutShare is the share of the light beside the field that is left once barn
// doors or shutters are closed on it. Source: common practice.
func cutShare(accessories []string) float64 {
	switch {
	case slices.Contains(accessories, "shutters"):
		return 0.05
	case slices.Contains(accessories, "barn_doors"):
		return 0.2
	}
	return 1
}

// classCost returns the cost of a fixture class where another suits better.
func (p *proposer) classCost(z *zoneWork, o *fixtureOption, throwM, spill float64) float64 {
	cost := 0.05 * o.Power.Watts() / 100
	soft := o.Class != catalogue.Ellipsoidal
	switch {
	case !soft && throwM <= softThrowM && spill < 1:
		cost += hardEdgeCost
	case soft && throwM > softThrowM:
		cost += longSoftCost
	}
	if o.Class == catalogue.PAR {
		cost += parCost
	}
	if o.ColourMix && !z.wall {
		cost += colourKeyCost
	}
	if z.Camera && o.CRI > 0 && o.CRI < 90 {
		cost += poorColourCost
	}
	return cost
}

// assumedWhiteLx is taken for a screen whose white is unknown. Source: common
// practice, projectors in lit rooms give 300 lx to 500 lx.
const assumedWhiteLx = 300.0

// unwantedShare is how bright, as a share of the faces, a wall or window may be
// that the brief wants dark: as the light is judged. Source: common practice.
const unwantedShare = 0.1

// darkArea is a screen, or a wall or window the brief wants dark, with the most
// light that may fall on it on average.
type darkArea struct {
	name    string
	poly    geom.Polygon
	limitLx float64
}

// darkAreas lists the screens, and the windows and surfaces that are not to be lit.
func (p *proposer) darkAreas() []darkArea {
	pct := p.in.Brief.Limits.ScreenSpillPct
	if !(pct > 0) || !finite(pct) {
		pct = defaultScreenSpill
	}
	var out []darkArea
	add := func(name string, poly geom.Polygon, limit float64) {
		if len(poly) >= 3 && limit > 0 && finite(limit) {
			out = append(out, darkArea{name, poly, limit})
		}
	}
	for _, s := range p.in.Room.Screens {
		white := s.White.Value.Lux()
		if !s.White.Set || !(white > 0) {
			white = assumedWhiteLx
		}
		add(s.Name, s.Corners, white*pct/100)
	}
	target, n := 0.0, 0.0
	for _, z := range p.zones {
		if !z.wall {
			target, n = target+z.targetLx, n+1
		}
	}
	limit := unwantedShare * target / max(1, n)
	for _, w := range p.in.Room.Windows {
		if slices.Contains(p.in.Brief.DoNotLight, w.Name) {
			add(w.Name, w.Polygon, limit)
		}
	}
	for _, s := range p.in.Room.Surfaces {
		if slices.Contains(p.in.Brief.DoNotLight, s.Name) {
			add(s.Name, s.Polygon, limit)
		}
	}
	return out
}

// fillDark sets what a source throws on what is to stay dark, cut, and returns the
// worst of it as a share of its limit, uncut; shadows are left out, which errs
// upward.
func (p *proposer) fillDark(c *candidate, src light.Source, cut float64) float64 {
	worst := 0.0
	c.dark = make([]float64, len(p.dark))
	for k, d := range p.dark {
		lx := p.loss * meanOn(src, d.poly)
		c.dark[k] = cut * lx
		worst = math.Max(worst, lx/d.limitLx)
	}
	return worst
}

// meanOn returns the mean illuminance in lux near the corners of a polygon.
func meanOn(src light.Source, poly geom.Polygon) float64 {
	if len(poly) < 3 {
		return 0
	}
	n, mid := poly.Normal(), poly.Centroid()
	sum := 0.0
	for _, v := range poly {
		sum += light.Direct(src, light.Point{At: mid.Lerp(v, 0.9), Normal: n}, light.Scene{}).Lx
	}
	return sum / float64(len(poly))
}
