package light

import (
	"math"
	"slices"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// defaultLoss is the loss factor taken where none is given: dirt and ageing of
// LED units. Source: common practice.
const defaultLoss = 0.9

// Input is what Evaluate needs. LossFactor multiplies every illuminance on
// zones, screens, walls and in eyes; 0 or less means 0.9. A nil Book means no
// findings.
type Input struct {
	Room       room.Room
	Brief      brief.Brief
	Survey     survey.Survey
	Sources    []Source
	Book       *finding.Book
	Region     string
	LossFactor float64
	// Transport is the room's interreflection, made once with NewTransport; nil
	// leaves reflected light out.
	Transport *Transport
	// Catalogue gives the watts of lamps that replace old ones; may be empty.
	Catalogue catalogue.Set
	// Today is the room as it stands, for what the zones receive now; nil: not asked.
	Today   *Today
	Ambient []Ambient // light that comes from no unit, for the cameras
	// Rays keeps the units' rays between the looks of one scheme; nil: not kept.
	Rays *Rays
}

// evaluator carries one evaluation: the input, the scene and what was found.
type evaluator struct {
	in       Input
	sc       Scene // with the people that are asked for
	bare     Scene // the room alone, for what eyes and cameras see
	rays     *Rays
	loss     float64
	rep      Report
	findings []finding.Finding
	field    Field                 // reflected light, without the loss factor
	fields   map[*Source]lampField // of lamps, by the first of them
}

// Evaluate returns what every face, screen, wall and eye receives from the
// sources at their levels, the units' own geometry, and the findings about it,
// sorted. What is held against a target is direct light alone; reflected light
// is given beside it where a transport is, and named in the report's limits. The order of zones, units and screens is the input's.
func Evaluate(in Input) (Report, []finding.Finding) { return evaluate(in, false) }

// evaluate leaves out what levels do not change where that is asked for.
func evaluate(in Input, levels bool) (Report, []finding.Finding) {
	e := &evaluator{in: in, rays: in.Rays, loss: in.LossFactor}
	if e.rays == nil {
		e.rays = &Rays{}
	}
	e.bare = e.rays.scene(in.Room)
	e.sc = e.withPeople()
	e.in.Sources = slices.Clone(in.Sources)
	for i := range e.in.Sources {
		s := &e.in.Sources[i]
		f := newFrame(s.Aim.Sub(s.At))
		s.axes = &f
	}
	if !(e.loss > 0) || math.IsInf(e.loss, 0) {
		e.loss = defaultLoss
	}
	e.rep.LossFactor = e.loss
	e.reflect()
	e.limit("Each unit is a point with the light of its photometric file, or a smooth beam of its stated angles without one; only blades that the scheme sets are cut out of it, no gobos.")
	for _, z := range in.Brief.Zones {
		e.rep.Zones = append(e.rep.Zones, e.zone(z))
	}
	if !levels {
		e.rep.Units = make([]Unit, len(in.Sources))
		parallel(len(in.Sources), func(i int) { e.rep.Units[i] = e.unit(e.in.Sources[i]) })
	}
	e.rep.Balance = balance(e.rep.Zones)
	e.today()
	e.screens()
	e.walls()
	e.spill()
	e.eyes()
	e.flares()
	e.camerasOf()
	if levels {
		return e.rep, nil
	}
	e.mirrors()
	e.sun()
	e.windows()
	e.keepClear()
	e.house()
	e.rep.Map = e.lightMap()
	if in.Book != nil {
		e.check()
		finding.Sort(e.findings)
	}
	return e.rep, e.findings
}

// limit adds a sentence to what the calculation leaves out or assumed, once.
func (e *evaluator) limit(text string) {
	for _, t := range e.rep.Limits {
		if t == text {
			return
		}
	}
	e.rep.Limits = append(e.rep.Limits, text)
}

// direct is Direct with the loss factor.
func (e *evaluator) direct(s Source, p Point) Contribution {
	c := Direct(s, p, e.sc)
	c.Lx *= e.loss
	c.NormalLx *= e.loss
	return c
}

// plane is the direct light on a point's plane, with the loss factor, without
// asking what blocks it where it is blocked.
func (e *evaluator) plane(s Source, p Point) float64 {
	if s.At.Sub(p.At).Dot(p.Normal) <= 0 {
		return 0
	}
	c := unblocked(s, p)
	if !(c.Lx > 0) || e.sc.Occluded(s.At, p.At) {
		return 0
	}
	return c.Lx * e.loss
}

// Purposes of a source, as scheme writes them; none stated means front wash.
const (
	frontWash = "front_wash"
	fill      = "fill"
	backLight = "back_light"
	accent    = "accent"
	house     = "house"
)

// isFront tells whether a source lights faces from the front.
func (s Source) isFront() bool {
	return s.isKey() || s.Purpose == fill || s.Purpose == accent
}

// isKey tells whether a source is a main light.
func (s Source) isKey() bool { return s.Purpose == "" || s.Purpose == frontWash }

// field returns the source's full field angle in degrees, 0 unknown.
func (s Source) field() float64 {
	if s.FieldDeg > 0 {
		return s.FieldDeg
	}
	if s.Dist != nil {
		return s.Dist.FieldDeg()
	}
	return 0
}

// offAxisDeg returns the angle in degrees between the source's aim and a point.
func (s Source) offAxisDeg(p geom.Vec) float64 {
	return angleDeg(s.Aim.Sub(s.At), p.Sub(s.At))
}

// angleDeg returns the angle between two directions, 0..180; 0 when one is zero.
func angleDeg(a, b geom.Vec) float64 {
	return math.Atan2(a.Cross(b).Norm(), a.Dot(b)) * 180 / math.Pi
}

// turnDeg returns the difference of two bearings, −180..180.
func turnDeg(fromDeg, toDeg float64) float64 {
	return math.Remainder(toDeg-fromDeg, 360)
}

// facing returns the level direction of a bearing in degrees, 0 toward the
// congregation, positive toward +x.
func facing(deg float64) geom.Vec {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return geom.Vec{X: sin, Y: -cos}
}

func finite(v geom.Vec) bool {
	s := v.X + v.Y + v.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}
