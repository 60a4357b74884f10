package preset

import (
	"fmt"
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/region"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
)

// lux returns each face's vertical illuminance in a look: the report's
// contributions, which are at the units' own levels, times the look's share of
// that level. Light adds up, so this is exact within the report's model. The
// report's loss factor is taken out again: levels are set, by eye or meter, on
// the day the units are new.
func lux(in Input, scale map[string]float64) []ZoneLx {
	meant := owners(in)
	asNew := 1.0
	if f := in.Light.LossFactor; f > 0 && f <= 1 {
		asNew = 1 / f
	}
	var out []ZoneLx
	for _, z := range in.Light.Zones {
		for _, f := range z.Faces {
			x := ZoneLx{Zone: z.Name, Face: f.Name}
			for _, c := range f.Contributions {
				lx := c.Lx * asNew * scale[c.Unit]
				if math.IsNaN(lx) || lx < 0 {
					continue
				}
				x.AllLx += lx
				if meant[c.Unit] == (place{z.Name, f.Name}) || meant[c.Unit] == (place{z.Name, ""}) {
					x.OwnLx += lx
				}
			}
			out = append(out, x)
		}
	}
	return out
}

// place is a face of a zone; an empty face stands for the whole zone.
type place struct{ zone, face string }

// sameAimM is how near a face a unit must be aimed to count as meant for it:
// half a person's width and the play of a focus by eye.
const sameAimM = 0.6

// owners tells which face each front unit is meant for: the one it names, else
// the one it is aimed at, else its whole zone.
func owners(in Input) map[string]place {
	faces := map[string][]light.Face{}
	for _, z := range in.Light.Zones {
		if !grid(in, z.Name) {
			faces[z.Name] = z.Faces
		}
	}
	out := map[string]place{}
	for _, u := range in.Placed {
		if u.Purpose == scheme.BackLight || u.Purpose == scheme.WallWash || u.Purpose == scheme.HouseLight {
			continue
		}
		p := place{u.Zone, u.Face}
		if grid(in, u.Zone) {
			p.face = ""
		}
		if p.face == "" {
			best := sameAimM
			for _, f := range faces[u.Zone] {
				if d := planDistance(u.Target, f.At); d <= best {
					best, p.face = d, f.Name
				}
			}
		}
		out[u.ID] = p
	}
	return out
}

// grid tells whether a zone has no key places, so that its faces are a grid over
// it and its units are meant for all of it.
func grid(in Input, zone string) bool {
	for _, z := range in.Brief.Zones {
		if z.Name == zone {
			return len(z.Faces) == 0
		}
	}
	return false
}

func planDistance(a, b geom.Vec) float64 { return a.Sub(b).Plan().Norm() }

// darkLx is the light below which a face counts as unlit: a candle across the
// room.
const darkLx = 0.5

// lines says what a look gives, for people: each key place, and zones without
// key places by their average and their darkest face. Unlit faces are left out.
func lines(in Input, l Look) []string {
	display := region.DisplayOf(in.Region)
	lx := func(v float64) string { return si.FormatIlluminance(si.Illuminance(v), display) }
	var out []string
	for i := 0; i < len(l.Zones); {
		z := l.Zones[i]
		if grid(in, z.Zone) {
			n := i
			sum, least := 0.0, math.Inf(1)
			for ; n < len(l.Zones) && l.Zones[n].Zone == z.Zone; n++ {
				sum += l.Zones[n].AllLx
				least = math.Min(least, l.Zones[n].AllLx)
			}
			if mean := sum / float64(n-i); mean >= darkLx {
				out = append(out, fmt.Sprintf("%s: %s on average, %s at least", z.Zone, lx(mean), lx(least)))
			}
			i = n
			continue
		}
		i++
		name := z.Zone
		if z.Face != "" && z.Face != z.Zone {
			name += ", " + z.Face
		}
		switch {
		case z.AllLx < darkLx:
		case z.OwnLx < darkLx:
			out = append(out, fmt.Sprintf("%s: %s from units meant for other places", name, lx(z.AllLx)))
		case z.AllLx-z.OwnLx < darkLx:
			out = append(out, fmt.Sprintf("%s: %s", name, lx(z.OwnLx)))
		default:
			out = append(out, fmt.Sprintf("%s: %s from its own units, %s in all", name, lx(z.OwnLx), lx(z.AllLx)))
		}
	}
	if l.HousePct > 0 {
		out = append(out, fmt.Sprintf("house lights at %.0f %%", l.HousePct))
	} else {
		out = append(out, "house lights off; exit and emergency lights are not touched")
	}
	return out
}
