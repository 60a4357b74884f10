package daylight

import (
	"fmt"
	"math"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// checker holds a scheme's report against what it must not be.
type checker struct {
	in       Input
	rep      Report
	findings []finding.Finding
}

func (c *checker) add(code, subject string, args ...finding.Arg) {
	c.findings = append(c.findings, c.in.Book.New(code, subject, args...))
}

// check turns the report into findings.
func (c *checker) check() {
	if c.in.Book == nil {
		return
	}
	if c.rep.placeUnknown {
		c.add("DAYLIGHT_PLACE_UNKNOWN", "daylight")
	}
	for _, h := range c.rep.Hours {
		if h.Window == "" || h.Blind {
			continue
		}
		c.add("DAYLIGHT_SUN_ON_FACE", h.Service, finding.Text("service", h.Service), finding.Text("when", h.When.Format("2 January 2006, 15:04")),
			finding.Text("face", h.Face), finding.Text("window", h.Window), finding.Lux("sun", si.Illuminance(h.SunLx)),
			finding.Percent("share", 100*float64(h.SunHours)/float64(max(1, h.HoursSeen))))
	}
	for _, z := range c.rep.Zones {
		if f, bad := c.in.Book.Check("DAYLIGHT_OVER_KEY", c.in.Region, "zone "+z.Name, z.KeyPct,
			finding.Lux("daylight", si.Illuminance(z.TotalLx)), finding.Lux("overcast", si.Illuminance(z.OvercastLx)),
			finding.Text("when", c.worstWhen())); bad && !math.IsNaN(z.KeyPct) {
			c.findings = append(c.findings, f)
		}
	}
	area, when, count := 0.0, "", 0
	for _, p := range c.rep.Patches {
		if !p.Blind {
			area += p.AreaM2
			when, count = fmt.Sprintf("%s, %s", p.Service, p.When.Format("2 January 2006, 15:04")), count+1
		}
	}
	if count > 0 {
		c.add("DAYLIGHT_SUN_PATCH", "platform", finding.Num("area", area, "m²"), finding.Text("when", when), finding.CountOf("count", count))
	}
}

func (c *checker) worstWhen() string {
	for _, h := range c.rep.Hours {
		if h.Service == c.rep.Worst {
			return fmt.Sprintf("%s, %s", h.Service, h.When.Format("2 January 2006, 15:04"))
		}
	}
	return ""
}
