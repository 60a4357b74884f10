package colour

import (
	"fmt"
	"math"
	"slices"

	"roodbeam/engine/finding"
	"roodbeam/engine/light"
)

// Cameras returns the cameras' rows with the white of each zone and the spread
// between the zones filled in from their chromaticities, and the findings about
// it, sorted. when tells rows of one hour from others, as in light.CheckCameras.
// The rows given stay as they are; a nil book means no findings.
func Cameras(cams []light.Camera, when string, book *finding.Book, region string) ([]light.Camera, []finding.Finding) {
	out := make([]light.Camera, len(cams))
	var fs []finding.Finding
	for i, c := range cams {
		c.Zones = slices.Clone(c.Zones)
		whites(&c)
		out[i] = c
		if book != nil {
			fs = append(fs, checkCamera(c, c.Subject(when), book, region)...)
		}
	}
	finding.Sort(fs)
	return out, fs
}

// knownPct is the share of a zone's light whose white must be known for the
// mixture's to be told. A tenth of unknown white moves a mixture of two lamp
// whites by less than the smallest conversion filter (common practice).
const knownPct = 90

// whites fills in the whites of a camera's zones and their spread.
func whites(c *light.Camera) {
	warm, cool, known := math.Inf(-1), math.Inf(1), 0
	green, pink := math.Inf(-1), math.Inf(1)
	for i := range c.Zones {
		z := &c.Zones[i]
		k, duv, ok := CCT(XY{z.ChromaX, z.ChromaY})
		if !ok || z.KnownPct < knownPct {
			continue
		}
		known++
		z.CCTK, z.Mired, z.Duv = k, Mired(k), duv
		if z.Mired > warm {
			warm, c.Warmest = z.Mired, z.Zone
		}
		if z.Mired < cool {
			cool, c.Coolest = z.Mired, z.Zone
		}
		green, pink = math.Max(green, duv), math.Min(pink, duv)
	}
	c.SpreadMired, c.SpreadDuv = math.NaN(), math.NaN()
	if known > 1 {
		c.SpreadMired, c.SpreadDuv = warm-cool, green-pink
	}
}

// checkCamera holds the spreads against their limits.
func checkCamera(c light.Camera, subject string, book *finding.Book, region string) []finding.Finding {
	var fs []finding.Finding
	if math.IsNaN(c.SpreadMired) {
		return nil
	}
	kelvin := func(zone string) string {
		i := slices.IndexFunc(c.Zones, func(z light.CameraZone) bool { return z.Zone == zone })
		return fmt.Sprintf("%.0f K", math.Round(c.Zones[i].CCTK/50)*50)
	}
	if f, bad := book.Check("LIGHT_CAMERA_WHITE", region, subject, c.SpreadMired,
		finding.Text("warm", c.Warmest), finding.Text("warm_k", kelvin(c.Warmest)),
		finding.Text("cool", c.Coolest), finding.Text("cool_k", kelvin(c.Coolest))); bad {
		fs = append(fs, f)
	}
	if f, bad := book.Check("LIGHT_CAMERA_TINT", region, subject, c.SpreadDuv); bad {
		fs = append(fs, f)
	}
	return fs
}
