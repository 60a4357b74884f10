package daylight

import (
	"math"
	"slices"
	"time"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
)

const (
	// weeksSeen is the year looked at; momentsSeen the moments of each service:
	// its beginning, quarters and end.
	weeksSeen, momentsSeen = 52, 5
	// groundReflectance of what lies before the windows. Source: common
	// practice, BRE Digest 310 takes 0.1 to 0.2.
	groundReflectance = 0.2
	// beforeGlassM is how far before the glass a ray's path is checked: reveals
	// and mullions are not surveyed.
	beforeGlassM = 0.05
	// eyeM is the height of a standing person's eyes. Source: EN 12464-1.
	eyeM = 1.6
)

// face is a key place with what it sees of the windows.
type face struct {
	zone, name string
	at, normal geom.Vec
	parts      [][]geom.Polygon // the parts of each window that it sees
	factors    []float64        // view factor of each window's visible part
	toward     []geom.Vec
}

// turned returns the face looking another way.
func (f face) turned(normal geom.Vec) face {
	f.normal = normal
	f.factors = make([]float64, len(f.parts))
	for i, parts := range f.parts {
		for _, p := range parts {
			f.factors[i] += light.PointToPolygon(f.at, normal, p)
		}
	}
	return f
}

// pane is a window with its glass.
type pane struct {
	room.Window
	glass   Glass
	assumed bool
	normal  geom.Vec // into the room
	centre  geom.Vec
	area    float64
	viewer  geom.Vec
}

type evaluator struct {
	in        Setting
	transport *light.Transport
	sc        light.Scene
	faces     []face
	panes     []pane
	rep       Report
	ratios    map[Sky][]float64 // HorizontalRatio every ratioStepDeg of zenith angle
}

// Evaluate returns the daylight on faces and platform at the hours of the
// services over a year from in.From: the moment of each service with most
// daylight on a face is found among all its weeks, at its beginning, quarters
// and end, under a clear sky with the sun.
//
// Clear glass shows the sky or the ground behind it in the direction seen;
// diffusing glass shines evenly with what falls on its outside. Trees and
// buildings outside are left out. Source: IES 1984 for the brightness of sun and
// sky, ISO 15469 types 12 and 1 for its spread, view factors for windows.
func Evaluate(in Input) (Report, []finding.Finding) {
	s := SettingOf(in)
	year := in.Year
	if year == nil {
		year = NewYear
	}
	c := checker{in: in, rep: year(s, in.Transport).with(in.Light.Zones)}
	c.check()
	finding.Sort(c.findings)
	return c.rep, c.findings
}

// openings lists the windows with their glass.
func (e *evaluator) openings() {
	for _, w := range e.in.Room.Windows {
		n := w.Polygon.Normal()
		if len(w.Polygon) < 3 || n == (geom.Vec{}) || !(w.Polygon.Area() > 0) || math.IsInf(w.Polygon.Area(), 0) {
			continue
		}
		g, known := GlassOf(w.Glass)
		g = g.read(w.Transmittance, w.TintX, w.TintY)
		p := pane{Window: w, glass: g, assumed: !known && !g.Measured, normal: n, centre: w.Polygon.Centroid(), area: w.Polygon.Area()}
		p.viewer = e.viewer(p)
		e.panes = append(e.panes, p)
	}
}

// averageFactor returns the room's average daylight factor in percent with the
// whole half sky open, 90°, before upright windows.
func (e *evaluator) averageFactor() float64 {
	through, area, reflected := 0.0, 0.0, 0.0
	for _, p := range e.panes {
		through += p.area * p.glass.DiffuseTransmittance()
	}
	for _, s := range e.in.Room.Surfaces {
		if s.Kind != "window" && s.Kind != "opening" && s.Kind != "screen" && len(s.Polygon) >= 3 {
			a := s.Polygon.Area()
			area += a
			reflected += a * s.Reflectance
		}
	}
	if !(area > 0) {
		return math.NaN()
	}
	return AverageDaylightFactorPct(through, 1, 90, 1, area, reflected/area)
}

// places lists the faces with the part of every window that each sees.
func (e *evaluator) places() {
	for _, f := range e.in.Places {
		p := face{zone: f.Zone, name: f.Name, at: f.At, normal: f.Normal}
		for _, w := range e.panes {
			p.parts = append(p.parts, e.visible(f.At, w))
			p.toward = append(p.toward, w.centre.Sub(f.At).Unit())
		}
		e.faces = append(e.faces, p.turned(f.Normal))
	}
}

// visible returns the parts of a window that a point sees from the window's
// inside: quarters, each seen or not at its middle.
func (e *evaluator) visible(at geom.Vec, w pane) []geom.Polygon {
	if w.centre.Sub(at).Dot(w.normal) >= 0 {
		return nil
	}
	var out []geom.Polygon
	n := len(w.Polygon)
	for k, v := range w.Polygon {
		part := geom.Polygon{w.centre, w.Polygon[(k+n-1)%n].Lerp(v, 0.5), v, v.Lerp(w.Polygon[(k+1)%n], 0.5)}
		to := w.centre.Lerp(v, 0.5)
		if !e.sc.Occluded(at, to.Add(w.normal.Scale(beforeGlassM))) {
			out = append(out, part)
		}
	}
	return out
}

// moment is the sky at one time.
type moment struct {
	when    time.Time
	sun     Sun
	toward  geom.Vec // the sun, in the room's axes
	out     Exterior
	sky     Sky
	lz      float64              // zenith luminance, cd/m²
	upright map[geom.Vec]float64 // illuminance on the outside of panes by normal, memo
	white   [2]float64           // CIE 1931 chromaticity of sun and sky together
}

// The whites of sun and sky together, CIE 1931: the daylight locus at 5600 K, as
// cameras' daylight setting, and D65. Source: CIE 15; that a clear day has the one
// and a dull day the other is common practice.
var clearWhite, dullWhite = [2]float64{.33016, .34555}, [2]float64{.31271, .32902}

// through returns the CIE 1931 chromaticity of what a pane lets through at a moment.
func (m *moment) through(p pane) (x, y float64) {
	if p.glass.X > 0 {
		return p.glass.X, p.glass.Y
	}
	return m.white[0], m.white[1]
}

func (e *evaluator) moment(t time.Time, w Weather) moment {
	site := e.in.Site
	m := moment{when: t, sun: SunAt(t, site.LatitudeDeg, site.LongitudeDeg), sky: Clear, white: clearWhite, upright: map[geom.Vec]float64{}}
	apparent := m.sun.ElevationDeg + Refraction(m.sun.ElevationDeg)
	m.toward = light.SunDirection(m.sun.AzimuthDeg, apparent, site.CongregationFacingDeg)
	m.out = Outside(w, t.YearDay(), apparent)
	if w == OvercastDay {
		m.sky, m.white = Overcast, dullWhite
	}
	if m.out.SkyLx > 0 {
		m.lz = m.out.SkyLx / e.ratio(m.sky, 90-apparent)
	}
	return m
}

// ratioStepDeg is the spacing at which the sky's ratio is known; between two the
// straight line is within 0.5 % (a test holds this).
const ratioStepDeg = 2

// ratio returns HorizontalRatio at a zenith angle in degrees.
func (e *evaluator) ratio(s Sky, zenithDeg float64) float64 {
	if e.ratios == nil {
		e.ratios = map[Sky][]float64{}
	}
	r, ok := e.ratios[s]
	if !ok {
		for deg := 0; deg <= 90; deg += ratioStepDeg {
			r = append(r, s.HorizontalRatio(float64(deg)*rad))
		}
		e.ratios[s] = r
	}
	x := math.Max(0, math.Min(zenithDeg/ratioStepDeg, float64(len(r)-1)))
	i := min(int(x), len(r)-2)
	return r[i] + (r[i+1]-r[i])*(x-float64(i))
}

// luminance returns what stands behind a pane in a direction out of the room:
// sky above the horizon, ground below, cd/m².
func (m *moment) luminance(dir geom.Vec) float64 {
	if dir.Z <= 0 {
		return groundReflectance * (m.out.SunLx + m.out.SkyLx) / math.Pi
	}
	sun := math.Acos(math.Max(-1, math.Min(1, m.toward.Z)))
	turn := math.Atan2(dir.Y, dir.X) - math.Atan2(m.toward.Y, m.toward.X)
	return m.lz * m.sky.Relative(math.Acos(math.Min(1, dir.Z)), sun, turn)
}

// outside returns the illuminance on a pane's outside from sky and ground, and
// from the sun, lx.
func (m *moment) outside(p pane) (sky, sun float64) {
	outward := p.normal.Scale(-1)
	sun = m.out.NormalLx * math.Max(0, m.toward.Dot(outward))
	sky, ok := m.upright[outward]
	if !ok {
		zs := math.Acos(math.Max(-1, math.Min(1, m.toward.Z)))
		off := math.Atan2(outward.Y, outward.X) - math.Atan2(m.toward.Y, m.toward.X)
		sky = m.lz*m.sky.VerticalRatio(zs, off) + groundReflectance*(m.out.SunLx+m.out.SkyLx)/2
		m.upright[outward] = sky
	}
	return sky, sun
}

// seen returns a pane's luminance from a place inside in cd/m², dir from the
// place toward it.
func (m *moment) seen(p pane, dir geom.Vec) float64 {
	cos := math.Max(0, dir.Dot(p.normal.Scale(-1)))
	if !p.glass.Diffusing {
		return m.luminance(dir) * p.glass.Transmittance(math.Acos(math.Min(1, cos)))
	}
	sky, sun := m.outside(p)
	i := math.Acos(math.Min(1, math.Max(0, m.toward.Dot(p.normal.Scale(-1)))))
	return (sky*p.glass.DiffuseTransmittance() + sun*p.glass.Transmittance(i)) / math.Pi
}

// sunOn returns the sun's light on a face's plane through a clear window, and
// which, −1 none.
func (e *evaluator) sunOn(m *moment, f face) (lx float64, through int) {
	if !(m.out.NormalLx > 0) {
		return 0, -1
	}
	for i, p := range e.panes {
		if p.glass.Diffusing || m.toward.Dot(p.normal) >= 0 {
			continue
		}
		at, ok := meets(f.at, m.toward, p.Polygon)
		if !ok || e.sc.Occluded(f.at, at.Add(p.normal.Scale(beforeGlassM))) {
			continue
		}
		cos := -m.toward.Dot(p.normal)
		return m.out.NormalLx * p.glass.Transmittance(math.Acos(cos)) * math.Max(0, m.toward.Dot(f.normal)), i
	}
	return 0, -1
}

// meets returns where the ray from a point meets a convex polygon.
func meets(at, dir geom.Vec, poly geom.Polygon) (geom.Vec, bool) {
	n := poly.Normal()
	den := dir.Dot(n)
	if math.Abs(den) < 1e-12 {
		return geom.Vec{}, false
	}
	t := poly[0].Sub(at).Dot(n) / den
	p := at.Add(dir.Scale(t))
	if !(t > 0) {
		return p, false
	}
	for i, a := range poly {
		if n.Cross(poly[(i+1)%len(poly)].Sub(a)).Dot(p.Sub(a)) < 0 {
			return p, false
		}
	}
	return p, true
}

// year goes through every service of the year.
func (e *evaluator) year() {
	var best Hour
	for _, s := range e.in.Services {
		var worst Hour
		found := false
		hours, sunny := 0, 0
		for week := range weeksSeen {
			day := e.in.From.AddDate(0, 0, 7*week+(int(s.Weekday)-int(e.in.From.Weekday())+7)%7)
			for k := range momentsSeen {
				minutes := s.Minute + s.Minutes*k/(momentsSeen-1)
				t := time.Date(day.Year(), day.Month(), day.Day(), s.Hour, minutes, 0, 0, e.zone())
				m := e.moment(t, ClearDay)
				h := e.hour(s.Name, &m)
				e.sunTime(s.Name, &m)
				hours++
				if h.SunLx > 0 {
					sunny++
				}
				if !found || h.worse(worst) {
					worst, found = h, true
				}
			}
		}
		worst.SunHours, worst.HoursSeen = sunny, hours
		e.rep.Hours = append(e.rep.Hours, worst)
		if e.rep.Worst == "" || worst.worse(best) {
			best, e.rep.Worst = worst, s.Name
		}
		m := e.moment(worst.When, ClearDay)
		e.rep.Patches = append(e.rep.Patches, e.patches(s.Name, &m)...)
	}
}

// worse tells whether an hour brings more daylight on a face than another or,
// where neither brings any, a brighter window into view.
func (h Hour) worse(than Hour) bool {
	if h.FaceLx != than.FaceLx {
		return h.FaceLx > than.FaceLx
	}
	return h.WindowCdM2 > than.WindowCdM2
}

// viewer returns from where a window is seen: the middle of the seats, or of the
// platform for one that faces away from them.
func (e *evaluator) viewer(p pane) geom.Vec {
	var sum geom.Vec
	n := 0.0
	for _, s := range e.in.Room.Seating {
		for _, r := range s.Rows {
			sum, n = sum.Add(r.Left.Lerp(r.Right, 0.5)), n+1
		}
	}
	if n > 0 {
		if at := sum.Scale(1 / n); at.Sub(p.centre).Dot(p.normal) > 0 && p.normal.Y < 0.5 {
			return at
		}
	}
	return e.in.Room.Platform.Outline.Centroid().Add(geom.Vec{Z: eyeM})
}

// hour returns the brightest face of one moment.
func (e *evaluator) hour(service string, m *moment) Hour {
	h := Hour{Service: service, When: m.when, SunElevationDeg: m.sun.ElevationDeg, SunAzimuthDeg: m.sun.AzimuthDeg}
	if !(m.out.SkyLx > 0) {
		return h
	}
	for _, p := range e.panes {
		if cd := m.seen(p, p.centre.Sub(p.viewer).Unit()); cd > h.WindowCdM2 {
			h.WindowCdM2, h.BrightWindow = cd, p.Name
		}
	}
	for _, f := range e.faces {
		sun, through := e.sunOn(m, f)
		lx := sun + e.skyOn(m, f)
		if lx > h.FaceLx {
			h.FaceLx, h.SunLx, h.Zone, h.Face, h.Window, h.Blind = lx, sun, f.zone, f.name, "", false
			if through >= 0 && sun > 0 {
				h.Window, h.Blind = e.panes[through].Name, e.panes[through].Blind
			}
		}
	}
	return h
}

// skyOn returns the light of the windows in view on a face's plane, lx.
func (e *evaluator) skyOn(m *moment, f face) float64 {
	sum := 0.0
	for i, p := range e.panes {
		if f.factors[i] > 0 {
			sum += math.Pi * m.seen(p, f.toward[i]) * f.factors[i]
		}
	}
	return sum
}

// leastPatchM2 leaves out slivers of sun that nobody notices.
const leastPatchM2 = 0.05

// sunTime adds a moment to the list when the sun stands on the platform.
func (e *evaluator) sunTime(service string, m *moment) {
	out := SunTime{Service: service, When: m.when, Blind: true}
	for _, p := range e.patches(service, m) {
		out.AreaM2 += p.AreaM2
		out.MostLx = math.Max(out.MostLx, p.Lx)
		out.Windows = append(out.Windows, p.Window)
		out.Blind = out.Blind && p.Blind
	}
	if out.AreaM2 >= leastPatchM2 {
		slices.Sort(out.Windows)
		e.rep.Sun = append(e.rep.Sun, out)
	}
}

// patches returns the sun's patches on the platform at a moment.
func (e *evaluator) patches(service string, m *moment) []SunPatch {
	var all []SunPatch
	outline := e.in.Room.Platform.Outline
	if !(m.out.NormalLx > 0) || m.toward.Z < 0.02 || len(outline) < 3 {
		return nil
	}
	z := outline[0].Z
	for _, p := range e.panes {
		cos := -m.toward.Dot(p.normal)
		if p.glass.Diffusing || cos <= 0 {
			continue
		}
		foot := make(geom.Polygon, len(p.Polygon))
		for i, v := range p.Polygon {
			foot[i] = v.Sub(m.toward.Scale((v.Z - z) / m.toward.Z))
		}
		if foot.Normal().Z < 0 {
			for i, j := 0, len(foot)-1; i < j; i, j = i+1, j-1 {
				foot[i], foot[j] = foot[j], foot[i]
			}
		}
		on := clipPlan(foot, outline)
		if len(on) < 3 || !(on.Area() > 1e-3) {
			continue
		}
		c := on.Centroid()
		back := c.Add(m.toward.Scale(p.centre.Sub(c).Norm() * 2))
		if at, ok := meets(c, m.toward, p.Polygon); ok {
			back = at.Add(p.normal.Scale(beforeGlassM))
		}
		if e.sc.Occluded(c, back) {
			continue
		}
		out := SunPatch{Service: service, When: m.when, Window: p.Name, AreaM2: on.Area(), Blind: p.Blind,
			Lx: m.out.SunLx * p.glass.Transmittance(math.Acos(math.Min(1, cos)))}
		for _, v := range on {
			out.Polygon = append(out.Polygon, Corner{v.X, v.Y})
		}
		all = append(all, out)
	}
	return all
}

// clipPlan returns the part of a level polygon inside a convex one seen from
// above. Source: Sutherland & Hodgman, CACM 17(1), 1974 (from memory).
func clipPlan(p, by geom.Polygon) geom.Polygon {
	for k, a := range by {
		b := by[(k+1)%len(by)]
		side := func(v geom.Vec) float64 { return (b.X-a.X)*(v.Y-a.Y) - (b.Y-a.Y)*(v.X-a.X) }
		var out geom.Polygon
		for i, v := range p {
			w := p[(i+1)%len(p)]
			dv, dw := side(v), side(w)
			if dv >= 0 {
				out = append(out, v)
			}
			if dv*dw < 0 {
				out = append(out, v.Lerp(w, dv/(dv-dw)))
			}
		}
		p = out
	}
	return p
}

// worstHour fills zones and windows at the year's worst hour, with the light the
// room reflects.
func (e *evaluator) worstHour() {
	var h Hour
	for _, x := range e.rep.Hours {
		if x.Service == e.rep.Worst {
			h = x
		}
	}
	if h.When.IsZero() || !(h.WindowCdM2 > 0) {
		return
	}
	clear, over := e.moment(h.When, ClearDay), e.moment(h.When, OvercastDay)
	spread := e.spread()
	field, fields := e.reflected(&clear, spread)
	grey, _ := e.reflected(&over, spread)
	for i, p := range e.panes {
		dir := p.centre.Sub(p.viewer).Unit()
		sky, sun := clear.outside(p)
		x, y := clear.through(p)
		e.rep.Windows = append(e.rep.Windows, Window{Name: p.Name, Glass: p.glass.Kind, Transmittance: p.glass.Transmittance(0), Assumed: p.assumed,
			Measured: p.glass.Measured, Low: p.glass.Low, High: p.glass.High, ChromaX: x, ChromaY: y, OutsideLx: sky + sun, LuminanceCdM2: clear.seen(p, dir), OvercastCdM2: over.seen(p, dir), FluxLm: fields[i]})
	}
	for _, name := range e.in.Zones {
		out := Zone{Name: name, KeyPct: math.NaN()}
		n := 0.0
		for _, f := range e.faces {
			if f.zone != name {
				continue
			}
			n++
			sun, _ := e.sunOn(&clear, f)
			out.SunLx = math.Max(out.SunLx, sun)
			sky := e.skyOn(&clear, f)
			grayLx := e.skyOn(&over, f)
			reflected := 0.0
			if e.transport != nil {
				p := e.transport.Probe(f.at)
				reflected = p.Plane(field, f.normal)
				grayLx += p.Plane(grey, f.normal)
			}
			out.SkyLx += sky
			out.ReflectedLx += reflected
			out.TotalLx += sun + sky + reflected
			out.OvercastLx += grayLx
		}
		if n == 0 {
			continue
		}
		out.SkyLx, out.ReflectedLx, out.TotalLx, out.OvercastLx = out.SkyLx/n, out.ReflectedLx/n, out.TotalLx/n, out.OvercastLx/n
		e.rep.Zones = append(e.rep.Zones, out)
	}
	e.cameras(&clear, field, fields)
}

// cameras fills the daylight toward every camera at a moment. The light that the
// room throws back is taken to have the white of all the windows together.
func (e *evaluator) cameras(m *moment, field light.Field, fluxes []float64) {
	var back light.Mixture
	for i, p := range e.panes {
		x, y := m.through(p)
		back.Add(fluxes[i], x, y)
	}
	backX, backY, _ := back.Chromaticity()
	for _, c := range e.in.Cameras {
		for _, zone := range c.Zones {
			var mix light.Mixture
			sum, n := 0.0, 0.0
			for _, f := range e.faces {
				if f.zone != zone {
					continue
				}
				n++
				f = f.turned(c.At.Sub(f.at).Plan().Unit())
				if lx, through := e.sunOn(m, f); through >= 0 {
					x, y := m.through(e.panes[through])
					mix.Add(lx, x, y)
					sum += lx
				}
				for i, p := range e.panes {
					if f.factors[i] > 0 {
						lx := math.Pi * m.seen(p, f.toward[i]) * f.factors[i]
						x, y := m.through(p)
						mix.Add(lx, x, y)
						sum += lx
					}
				}
				if e.transport != nil {
					p := e.transport.Probe(f.at)
					lx := p.Plane(field, f.normal)
					mix.Add(lx, backX, backY)
					sum += lx
				}
			}
			if n == 0 {
				continue
			}
			out := Camera{Camera: c.Name, Zone: zone, Lx: sum / n}
			out.ChromaX, out.ChromaY, _ = mix.Chromaticity()
			e.rep.Cameras = append(e.rep.Cameras, out)
		}
	}
}

// reflected returns the light that goes round in the room at a moment, and each
// window's flux in lumens. The sun through clear glass lands where its beam
// does; all else leaves the windows evenly, as spread says.
func (e *evaluator) reflected(m *moment, spread [][]float64) (light.Field, []float64) {
	flux := make([]float64, len(e.panes))
	t := e.transport
	var first []float64
	if t != nil {
		first = make([]float64, t.Patches())
	}
	for i, p := range e.panes {
		sky, sun := m.outside(p)
		diffuse := WindowFluxLm(p.area, sky, p.glass.DiffuseTransmittance())
		beam := WindowFluxLm(p.area, sun, p.glass.Transmittance(math.Acos(math.Min(1, math.Max(0, -m.toward.Dot(p.normal))))))
		flux[i] = diffuse + beam
		if t == nil {
			continue
		}
		if p.glass.Diffusing {
			diffuse, beam = flux[i], 0
		}
		for j, share := range spread[i] {
			first[j] += share * diffuse
		}
		n := len(p.Polygon)
		for k := range p.Polygon {
			at := p.centre.Lerp(p.Polygon[k], 0.5)
			if beam > 0 {
				t.Beam(at.Add(p.normal.Scale(beforeGlassM)), m.toward.Scale(-1), beam/float64(n), first)
			}
		}
	}
	if t == nil {
		return light.Field{}, flux
	}
	return t.Spread(first), flux
}

// spread returns for every window the shares of its even light that first reach
// the room's patches.
func (e *evaluator) spread() [][]float64 {
	out := make([][]float64, len(e.panes))
	if e.transport == nil {
		return out
	}
	for i, p := range e.panes {
		out[i] = e.transport.DiffuseShares(p.Polygon, p.normal)
	}
	return out
}
