package scheme

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/colour"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/survey"
)

const (
	// backLeast and backMost bound the normal illuminance of back light as
	// shares of the key. Source: common practice, 0.7 to 1.2 on camera.
	backLeast = 0.7
	backMost  = 1.2
	// strongBack is the share of the key that back light gives where people are to
	// stand out strongly, and strongSpacing the spacing of its units as a share of
	// the field. Source: common practice, up to 1.2, and 40 % overlap of neighbours.
	strongBack    = 1.2
	strongSpacing = 0.6
	// mostIfRoom is how many back lights a zone gets that wants them only if
	// there is room.
	mostIfRoom = 4
	mostBack   = 12
	// seatGlareDeg is the angle above the horizontal below which a seated eye
	// is shielded from a lens. Source: common practice.
	seatGlareDeg = 30.0
	// coverStepM is how far apart the points stand that a row has to cover.
	coverStepM = 0.3
	// sitesPerAim is how many places of a line are tried for a focus point.
	sitesPerAim = 3
	// coverWanted and coverIfRoom are what a zone's whole width without back or
	// moving light costs, in units.
	coverWanted = 20.0
	coverIfRoom = 4.0
	// mostTooStrong bounds a unit's light at full as a multiple of the key: more can
	// not be dimmed to it well.
	mostTooStrong = 6.0
	// Moving light covers a width with fields between these, in degrees.
	moveLeastDeg, moveMostDeg = 15.0, 45.0
)

// cover is a row of equal pools across a zone's width: back light behind it, or
// moving light.
type cover struct {
	z       *zoneWork
	purpose Purpose
	points  []geom.Vec
	spacing float64 // of neighbours, as a share of the field's diameter
	share   float64 // of the key
}

func (p *proposer) coverOf(z *zoneWork, purpose Purpose) *cover {
	c := &cover{z: z, purpose: purpose, spacing: backSpacingShare, share: 1}
	if purpose == BackLight && z.Separation == "strong" {
		c.spacing, c.share = strongSpacing, strongBack
	}
	mid, width := middle(z.faces), zoneWidthM(z.Zone, z.faces)
	n := int(math.Min(200, math.Ceil(width/coverStepM)))
	for i := 0; i <= n; i++ {
		at := mid
		if n > 0 {
			at.X += width * (float64(i)/float64(n) - 0.5)
		}
		c.points = append(c.points, at)
	}
	return c
}

// backStage decides the back light of all zones that want it, after their front
// light: rows of pools that cover each zone's width.
func (p *proposer) backStage() {
	b := p.newStageModel()
	var zones []*zoneWork
	for _, z := range p.zones {
		if !z.asksBack() || z.averageLx <= 0 || p.hasLocked(z.Name, BackLight) {
			continue
		}
		if p.addCover(b, p.coverOf(z, BackLight)) {
			zones = append(zones, z)
		}
	}
	if len(b.meaning) > 0 {
		p.takeCover(b.solve(StageBack, BackLight, zones))
	}
	// What is missing stands in the check's findings, with numbers.
}

// restStage decides what comes last and only if wanted: walls and movement.
func (p *proposer) restStage() {
	var walls, moving []*zoneWork
	for _, z := range p.zones {
		if z.wall {
			walls = append(walls, z)
		} else if z.asksRest() && !p.hasLocked(z.Name, Accent) {
			moving = append(moving, z)
		}
	}
	if len(walls)+len(moving) == 0 {
		return
	}
	p.washStage(StageRest, WallWash, walls, func(b *stageModel) []*zoneWork {
		var out []*zoneWork
		for _, z := range moving {
			if p.addCover(b, p.coverOf(z, Accent)) {
				out = append(out, z)
			}
		}
		return out
	})
}

func (p *proposer) hasLocked(zone string, purpose Purpose) bool {
	return slices.ContainsFunc(p.locked, func(u Placed) bool { return u.Zone == zone && u.Purpose == purpose })
}

func coverClass(c catalogue.Class, purpose Purpose) bool {
	if purpose == Accent {
		return c == catalogue.MovingWash
	}
	return c == catalogue.Wash || c == catalogue.PAR || c == catalogue.Fresnel
}

// addCover adds the columns and rows of a cover; false where nothing could give it.
func (p *proposer) addCover(b *stageModel, cov *cover) bool {
	z := cov.z
	ifRoom := cov.purpose == BackLight && z.BackLight == "if_room"
	n := len(b.meaning)
	for i := range p.options {
		o := &p.options[i]
		if !coverClass(o.Class, cov.purpose) || (cov.purpose == Accent && (o.beam.FieldDeg < moveLeastDeg || o.beam.FieldDeg > moveMostDeg)) {
			continue
		}
		if cov.purpose == BackLight && z.BackColourApart > 0 && p.colourApart(o) < z.BackColourApart {
			continue
		}
		for _, l := range p.in.Room.Lines {
			for _, c := range p.coverColumns(cov, o, l.Name, ifRoom) {
				b.add(c)
			}
		}
	}
	if len(b.meaning) == n {
		return false
	}
	price := coverWanted
	if ifRoom {
		price = coverIfRoom
	}
	word := map[Purpose]string{BackLight: "back light", Accent: "moving light"}[cov.purpose]
	mine := func(c *candidate) bool { return c.zone == z && c.cover != nil && c.cover.purpose == cov.purpose }
	for i, at := range cov.points {
		b.row(z, fmt.Sprintf("%s of %s at x %.2f m", word, z.Name, at.X), 1, math.Inf(1), price/float64(len(cov.points)), 0, func(c *candidate) float64 {
			if !mine(c) || !c.covers[i] {
				return 0
			}
			return 1
		})
	}
	if ifRoom {
		b.row(z, "at most so much "+word+" of "+z.Name, math.Inf(-1), mostIfRoom, 0, 0, func(c *candidate) float64 {
			if !mine(c) {
				return 0
			}
			return 1
		})
	}
	return true
}

// coverColumns returns the columns of one fixture and beam on one line: equal
// focus points across the width, as many as its pools need, each from the places
// nearest to straight behind it (for moving light: straight in line with it).
// Nothing where more than a church would hang are needed and, for back light that
// is wanted only if there is room, where any angle is outside 45° to 70°.
func (p *proposer) coverColumns(cov *cover, o *fixtureOption, line string, ifRoom bool) []*candidate {
	z := cov.z
	mid, width := middle(z.faces), zoneWidthM(z.Zone, z.faces)
	first := p.inLine(line, mid, cov.purpose)
	if len(first) == 0 {
		return nil
	}
	pool := fieldDiameterM(first[0].at.Sub(mid).Norm(), o.beam.FieldDeg)
	n := coverCount(width, pool, cov.spacing)
	if n == 0 || n > mostBack || (ifRoom && n > mostIfRoom) {
		return nil
	}
	var out []*candidate
	for i := range n {
		aim := mid
		aim.X += width * ((float64(i)+0.5)/float64(n) - 0.5)
		found := false
		for _, s := range p.inLine(line, aim, cov.purpose) {
			if c := p.coverColumn(cov, o, s, aim, width/float64(n)/2); c != nil {
				found = found || (c.elevationDeg >= backMinDeg && c.elevationDeg <= backMaxDeg)
				out = append(out, c)
			}
		}
		if ifRoom && !found {
			return nil
		}
	}
	return out
}

func (p *proposer) coverColumn(cov *cover, o *fixtureOption, s *site, aim geom.Vec, half float64) *candidate {
	z := cov.z
	if p.scene.Occluded(s.at, aim) {
		return nil
	}
	c := &candidate{zone: z, site: s, option: o, aim: aim, face: nearestKey(z, aim), elevationDeg: geom.ElevationDeg(aim, s.at),
		bearingDeg: geom.BearingDeg(aim, s.at), alike: true, cover: cov}
	e := c.elevationDeg
	switch behind := s.at.Y > aim.Y; {
	case behind && (e < backGlareDeg || e > backTopDeg), !behind && FrontBand(e) == BandRefuse:
		return nil
	case behind:
		c.merit = interpolate(e, [][2]float64{{40, 1}, {45, 0.2}, {50, 0}, {65, 0}, {70, 0.2}, {75, 1}})
	default:
		c.merit = 0.3 + elevationCost(e)
	}
	d := s.at.Sub(aim)
	c.normalLx = p.loss * o.beam.PeakCd / d.Dot(d)
	key := cov.share * z.averageLx
	if cov.purpose == BackLight && (c.normalLx < backLeast*key || c.normalLx > mostTooStrong*key) {
		return nil
	}
	c.level = math.Min(1, math.Max(levelStep, math.Round(key/c.normalLx/levelStep)*levelStep))
	c.merit += 0.3 * math.Abs(s.at.X-aim.X)
	if s.ask {
		c.merit += askCost
	}
	if s.line.State == survey.Planned {
		c.merit += buildCost
	}
	c.merit += 0.05 * o.Power.Watts() / 100
	if cov.purpose == BackLight && !o.ColourMix {
		c.merit += 1 // back light in colour separates better. Source: common practice
	}
	src := light.Source{At: s.at, Aim: aim, Dist: o.dist, Level: 1}
	p.fillDark(c, src, cutShare(o.Accessories))
	c.covers = make([]bool, len(cov.points))
	for i, at := range cov.points {
		c.covers[i] = math.Abs(at.X-aim.X) <= half+1e-6
	}
	c.priceUnits = priceCost * float64(o.priceMinor) / p.ref
	return c
}

// coverCount returns how many pools of a diameter in metres cover a width, their
// middles a share of the diameter apart; 1 for no width, 0 for no pool.
func coverCount(widthM, poolM, spacing float64) int {
	return backCount(widthM, poolM*spacing/backSpacingShare)
}

// colourApart returns the greatest difference Δu′v′ between the colours a fixture
// mixes and the white of the front light, of its emitters that have at least a
// quarter of the strongest one's flux; +Inf for one that mixes colours nobody has
// stated, 0 for white alone.
func (p *proposer) colourApart(o *fixtureOption) float64 {
	if !o.ColourMix {
		return 0
	}
	if len(o.Emitters) == 0 {
		return math.Inf(1)
	}
	white := colour.LampWhite(p.frontWhiteK())
	full := 0.0
	for _, e := range o.Emitters {
		full = math.Max(full, float64(e.Flux))
	}
	apart := 0.0
	for _, e := range o.Emitters {
		at := colour.XY{X: e.X, Y: e.Y}
		if at.Known() && float64(e.Flux) >= full/4 {
			apart = math.Max(apart, colour.DistanceUVPrime(at, white))
		}
	}
	return apart
}

// assumedWhiteK is the white of front light nobody has stated. Source: common
// practice, 3000 K to 5600 K.
const assumedWhiteK = 4000.0

func (p *proposer) frontWhiteK() float64 {
	for _, c := range p.chosen {
		if c.purpose == FrontWash && c.option.CCTK > 0 {
			return c.option.CCTK
		}
	}
	return assumedWhiteK
}

func middle(faces []facePoint) geom.Vec {
	lo, hi := faces[0].at, faces[0].at
	z := 0.0
	for _, f := range faces {
		lo.X, hi.X = math.Min(lo.X, f.at.X), math.Max(hi.X, f.at.X)
		lo.Y, hi.Y = math.Min(lo.Y, f.at.Y), math.Max(hi.Y, f.at.Y)
		z += f.at.Z / float64(len(faces))
	}
	return geom.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2, Z: z}
}

// inLine returns the free places on a line nearest to straight behind a point,
// or for moving light to straight in line with it, nearest first.
func (p *proposer) inLine(line string, aim geom.Vec, purpose Purpose) []*site {
	var out []*site
	for _, s := range p.sites {
		if s.line.Name != line || p.occupied(s.at) || math.Abs(s.at.X-aim.X) > math.Abs(s.at.Y-aim.Y) || (purpose == BackLight && s.at.Y <= aim.Y) {
			continue
		}
		out = append(out, s)
	}
	slices.SortStableFunc(out, func(a, b *site) int { return compareFloat(math.Abs(a.at.X-aim.X), math.Abs(b.at.X-aim.X)) })
	return out[:min(sitesPerAim, len(out))]
}

func (p *proposer) occupied(at geom.Vec) bool {
	for _, u := range p.locked {
		if tooNear(u.At, at) {
			return true
		}
	}
	for _, c := range p.chosen {
		if tooNear(c.site.at, at) {
			return true
		}
	}
	return false
}

// takeCover hangs what a stage's model chose of back and moving light.
func (p *proposer) takeCover(stage *stageChoice) {
	perZone := map[*cover]int{}
	var list []*candidate
	for _, j := range stage.chosen {
		if c := stage.meaning[j]; c.cover != nil {
			perZone[c.cover]++
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(a, b *candidate) int {
		if a.zone != b.zone {
			return slices.Index(p.zones, a.zone) - slices.Index(p.zones, b.zone)
		}
		return compareFloat(a.aim.X, b.aim.X)
	})
	for _, picked := range list {
		c := &choice{candidate: picked, zone: picked.zone, purpose: picked.cover.purpose, level: picked.level}
		if c.purpose == BackLight {
			c.id = p.ids.back()
			c.extra = p.backAccessories(c)
		} else {
			c.id = p.ids.moving()
		}
		c.reason = p.explainCover(stage, c, perZone[picked.cover])
		p.used[c.option.Code]++
		p.chosen = append(p.chosen, c)
	}
}

// explainCover says why a unit of back or moving light is what and where it is.
func (p *proposer) explainCover(stage *stageChoice, c *choice, n int) string {
	o, z := c.option, c.zone
	pool := fieldDiameterM(c.site.at.Sub(c.aim).Norm(), o.beam.FieldDeg)
	src := light.Source{At: c.site.at, Aim: c.aim, Dist: o.dist, Level: c.level}
	normal := p.loss * light.Direct(src, light.Point{At: c.aim, Normal: c.site.at.Sub(c.aim).Unit()}, p.scene).NormalLx
	var text string
	switch c.purpose {
	case Accent:
		text = fmt.Sprintf("Moving light for %s from %s, because the brief asks for movement; %s: a moving wash; at %.0f° its pool is %s, so %d across the width; it gives %.0f lx. It can stand still as white.",
			z.Name, c.site.line.Name, o.Name, o.beam.FieldDeg, p.length(pool), n, normal)
	default:
		text = fmt.Sprintf("Back light for %s from %s at %.0f° from behind (45° to 70° is usual); %s at %.0f° gives pools of %s, so %d across its width",
			z.Name, c.site.line.Name, c.elevationDeg, o.Name, o.beam.FieldDeg, p.length(pool), n)
		if z.Separation == "strong" {
			text += " with wide overlap, since people are to stand out strongly"
		}
		text += fmt.Sprintf("; at %.0f %% it gives %.0f lx, %.1f of the key. %s", c.level*100, normal, normal/z.averageLx, p.colourWords(z, o))
	}
	cost := stage.problem.Exchange(stage.chosen, stage.indexOf(c.candidate))
	least := math.Inf(1)
	var other *candidate
	for j, m := range stage.meaning {
		if m.cover == c.cover && m.option.Code != o.Code && (m.site == c.site || m.aim.Sub(c.aim).Norm() < stepM) {
			if v := cost(j); v < least {
				least, other = v, m
			}
		}
	}
	if other != nil {
		text += " " + p.runnerUp(other.option, o, other.normalLx-c.normalLx)
	}
	return strings.TrimSpace(text)
}

// colourWords says how a back light's colour stands to the front's.
func (p *proposer) colourWords(z *zoneWork, o *fixtureOption) string {
	apart := p.colourApart(o)
	switch {
	case !o.ColourMix:
		return "It is white like the front light: no colour-mixing wash came out better."
	case math.IsInf(apart, 1) && z.BackColourApart > 0:
		return fmt.Sprintf("It mixes colours and returns to white; whether they are Δu′v′ %.3f from the front light's white, as the brief asks, the maker has to say.", z.BackColourApart)
	case math.IsInf(apart, 1):
		return "It mixes colours and returns to white."
	case z.BackColourApart > 0:
		return fmt.Sprintf("Its colours reach Δu′v′ %.3f from the front light's white (the brief asks for %.3f), and it returns to white.", apart, z.BackColourApart)
	}
	return fmt.Sprintf("Its colours reach Δu′v′ %.3f from the front light's white, and it returns to white.", apart)
}

// nearestKey returns the key place a focus point coincides with, −1 for a point
// between places.
func nearestKey(z *zoneWork, aim geom.Vec) int {
	if i := nearestFace(z.faces, aim); i >= 0 && z.faces[i].at.Sub(aim).Norm() <= stepM {
		return i
	}
	return -1
}

// backAccessories shields the lens from eyes that see it low.
func (p *proposer) backAccessories(c *choice) []string {
	seen := false
	for _, e := range (&checker{in: CheckInput{Room: p.in.Room}}).viewers() {
		seen = seen || (e.Y < c.site.at.Y && geom.ElevationDeg(e, c.site.at) < seatGlareDeg)
	}
	if !seen {
		return nil
	}
	for _, name := range []string{"half_hat", "barn_doors", "top_hat"} {
		if slices.Contains(c.option.Accessories, name) {
			return []string{name}
		}
	}
	return nil
}
