package scheme

import (
	"roodbeam/engine/catalogue"
	"roodbeam/engine/colour"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/photometry"
)

// Sources returns the placed units as the light stage sees them, in their
// order: the fixture's distribution at the unit's field angle, behind its
// blades, at the share of full flux that its level gives on the fixture's
// dimming curve, in its white. A unit whose fixture is unknown, or has no known
// light, stays in the list without a distribution and gives none.
func Sources(placed []Placed, set catalogue.Set) []light.Source {
	out := make([]light.Source, len(placed))
	beams := map[beamKey]photometry.Distribution{}
	for i, p := range placed {
		out[i] = light.Source{ID: p.ID, Zone: p.Zone, Purpose: string(p.Purpose), At: p.At, Aim: p.Target, Circuit: p.Circuit,
			Level: levelShare(p.Unit), FieldDeg: p.FieldDeg, Face: p.Face, Line: p.Line, Accessories: p.Accessories}
		if p.Purpose == "" {
			out[i].Purpose = string(FrontWash)
		}
		f, ok := set.Get(p.Fixture)
		if !ok {
			continue
		}
		out[i].PowerW = f.Power.Watts()
		white := whiteOf(f, p.WhiteK)
		out[i].ChromaX, out[i].ChromaY = white.xy.X, white.xy.Y
		out[i].Level = f.Dimming.Output(out[i].Level) * white.share
		key := beamKey{p.Fixture, p.FieldDeg}
		d, known := beams[key]
		if !known {
			d, _ = set.Distribution(f, p.FieldDeg)
			beams[key] = d
		}
		if d != nil {
			out[i].Dist = photometry.NewCut(photometry.AtTilt(d, offDownDeg(p)), p.Blades...)
		}
	}
	return out
}

// offDownDeg returns the angle in degrees between a unit's aim and straight down.
func offDownDeg(p Placed) float64 {
	return 90 - geom.ElevationDeg(p.Target, p.At)
}

// beamKey is what a unit's uncut beam depends on.
type beamKey struct {
	fixture  string
	fieldDeg float64
}

// white is the light of a unit set to a white: its chromaticity and the share
// of the fixture's full flux that is left.
type white struct {
	xy    colour.XY
	share float64
}

// whiteOf returns the white of a fixture set to a colour temperature in kelvin,
// 0 for its own. A fixture that mixes emitters gives the most flux they can mix
// to it, of the flux with all of them full, for which its photometry stands; one
// without known emitters is taken to give it whole.
func whiteOf(f catalogue.Fixture, kelvin float64) white {
	if !(kelvin > 0) {
		return white{colour.LampWhite(f.CCTK), 1}
	}
	want := colour.LampWhite(kelvin)
	full := 0.0
	emitters := make([]colour.Emitter, len(f.Emitters))
	for i, e := range f.Emitters {
		emitters[i] = colour.Emitter{Name: e.Name, XY: colour.XY{X: e.X, Y: e.Y}, FluxLm: float64(e.Flux)}
		full += float64(e.Flux)
	}
	m, ok := colour.Mix(emitters, want)
	if !ok || !(full > 0) {
		return white{want, 1}
	}
	return white{m.XY, m.FluxLm / full}
}
