package preset

import (
	"strings"

	"roodbeam/engine/finding"
)

// findings says what about the looks somebody must decide.
func findings(in Input, set Set, ds []draft, unknown []string, over int) []finding.Finding {
	var out []finding.Finding
	b := in.Book
	var dark []string
	for _, l := range set.Looks {
		if l.Flame {
			out = append(out, b.New("PRESET_FLAME", "look "+l.Name, finding.Percent("house", l.HousePct), finding.Text("detectors", detectors(in.Survey.Site.Detectors))))
		}
		for _, d := range ds {
			if d.name == l.Name && d.people && l.HousePct == 0 {
				dark = append(dark, l.Name)
				break
			}
		}
	}
	if len(dark) > 0 {
		out = append(out, b.New("PRESET_HOUSE_DARK", "look "+strings.Join(dark, ", ")))
	}
	for _, u := range unknown {
		out = append(out, b.New("PRESET_TARGET_UNKNOWN", "look "+u))
	}
	if over > 0 {
		out = append(out, b.New("PRESET_BUTTONS", "wall panel", finding.CountOf("over", over), finding.CountOf("buttons", maxButtons)))
	}
	if !houseControlled(in) {
		out = append(out, b.New("PRESET_HOUSE_BY_HAND", "house lights"))
	}
	finding.Sort(out)
	return out
}

func detectors(d string) string {
	if d == "" || d == "unknown" {
		return "of unknown kind"
	}
	return "of kind " + d
}

// houseControlled tells whether a panel can set the house lights at all.
func houseControlled(in Input) bool {
	if in.Brief.House.Slots > 0 || (in.Brief.House.DimBy != "" && in.Brief.House.DimBy != "none") {
		return true
	}
	for _, u := range in.Placed {
		if u.Purpose == "house" {
			return true
		}
	}
	return false
}
