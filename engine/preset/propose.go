package preset

import (
	"math"
	"sort"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// Fixtures finds a catalogue fixture by its code; catalogue.Set is one.
type Fixtures interface {
	Get(code string) (catalogue.Fixture, bool)
}

// Input is what Propose reads. The contributions of Light are at each unit's
// own level in the scheme.
type Input struct {
	Placed    []scheme.Placed
	Scheme    scheme.Scheme
	Brief     brief.Brief
	Survey    survey.Survey
	Light     light.Report
	Catalogue Fixtures
	Book      *finding.Book
	Region    string
}

// Fades in seconds (common practice: 3 s on stage, 5 s to 8 s for the house).
const (
	stageFadeS    = 3
	houseFadeS    = 5
	goodbyeFadeS  = 8 // to dark, and into quiet looks
	maxButtons    = 6 // common practice: 4 to 6 looks on a panel
	platformShare = 0.6
	restShare     = 0.3
	quietShare    = 0.25
	quietBack     = 0.4
)

// draft is a look before it has its light.
type draft struct {
	name, when, wrong string
	share             func(scheme.Placed) float64 // of the unit's own level, 0..1
	pct               map[string]float64          // levels asked for; wins over share
	housePct          float64
	fadeS, houseFadeS float64
	flame             bool
	people            bool // people are in the seats
}

// Propose returns the starting set of a wall panel by the entrance: house only,
// house and platform, service, a talk where somebody speaks, prayer or a look
// that was asked for, all off; and what each gives on the faces. Levels are in
// percent of a unit's full output. It is a start: levels are set in the room by
// eye. Without units there is nothing to recall and the set is empty.
func Propose(in Input) (Set, []finding.Finding) {
	set := Set{Panel: panel(in.Survey)}
	units := stageUnits(in)
	if len(units) == 0 {
		return set, nil
	}
	var unknown []string
	drafts := base(in)
	for _, l := range in.Brief.Looks {
		d, miss := wanted(l, units, in.Brief.Zones)
		for _, m := range miss {
			unknown = append(unknown, l.Name+": "+m)
		}
		drafts = append(drafts, d)
	}
	button := buttons(drafts, len(in.Brief.Looks))
	over := 0
	for i, d := range drafts {
		if d.name == "" {
			continue
		}
		l := look(in, units, d)
		l.Button = button[i]
		if l.Button == 0 {
			over++
		}
		set.Looks = append(set.Looks, l)
	}
	sort.SliceStable(set.Looks, func(i, j int) bool { return order(set.Looks[i]) < order(set.Looks[j]) })
	if in.Book == nil {
		return set, nil
	}
	return set, findings(in, set, drafts, unknown, over)
}

func order(l Look) int {
	if l.Button == 0 {
		return math.MaxInt
	}
	return l.Button
}

// panel says where the wall panel stands.
func panel(s survey.Survey) string {
	for _, d := range s.DataPlaces {
		if d.Kind == "wall_panel" && d.Name != "" {
			return d.Name
		}
	}
	return "by the entrance (place to be measured)"
}

// stageUnits are the units that looks set one by one; house units follow the
// house level.
func stageUnits(in Input) []scheme.Placed {
	var out []scheme.Placed
	for _, u := range in.Placed {
		if u.Purpose != scheme.HouseLight {
			out = append(out, u)
		}
	}
	return out
}

func levelPct(u scheme.Placed) float64 {
	if u.LevelPct > 0 && u.LevelPct <= 100 {
		return u.LevelPct
	}
	return 100
}

// base are the looks every room starts from.
func base(in Input) []draft {
	front := func(u scheme.Placed) bool {
		return u.Purpose == scheme.FrontWash || u.Purpose == scheme.Fill || u.Purpose == ""
	}
	speaking := map[string]bool{}
	for _, z := range in.Brief.Zones {
		switch z.Use {
		case "speaking", "reading":
			speaking[z.Name] = true
		}
	}
	out := []draft{
		{name: "House only", when: "Cleaning, setting up, before the doors open and after the last guest.",
			wrong:    "Still dark? Look at the breaker of the house lights, then at the wall switch; leave the stage lights alone.",
			housePct: 100, fadeS: stageFadeS, houseFadeS: houseFadeS},
		{name: "House and platform", when: "People come in and leave; notices.",
			wrong:    "Platform dark? Press the button again and wait five seconds; then look at the splitter's lamps.",
			share:    func(u scheme.Placed) float64 { return bit(front(u)) * platformShare },
			housePct: 80, fadeS: stageFadeS, houseFadeS: houseFadeS, people: true},
		{name: "Service", when: "The service as a rule: singing, readings, whatever happens all over the platform.",
			wrong:    "One light out? Carry on: its partner covers the place. Tell the person who keeps the lights.",
			share:    func(scheme.Placed) float64 { return 1 },
			housePct: 60, fadeS: stageFadeS, houseFadeS: houseFadeS, people: true},
	}
	talk := draft{}
	if len(speaking) > 0 {
		talk = draft{name: "Talk", when: "One person speaks to all.",
			wrong: "The face is dark? Ask the speaker to step back to the usual place before touching a level.",
			share: func(u scheme.Placed) float64 {
				if speaking[u.Zone] {
					return 1
				}
				return bit(front(u)) * restShare
			},
			housePct: 50, fadeS: stageFadeS, houseFadeS: houseFadeS, people: true}
	}
	return append(out, talk,
		draft{name: "Prayer", when: "Prayer, communion, quiet music.",
			wrong: "Too dark to read? Press House and platform.",
			share: func(u scheme.Placed) float64 {
				if u.Purpose == scheme.BackLight {
					return quietBack
				}
				return quietShare
			},
			housePct: 30, fadeS: goodbyeFadeS, houseFadeS: goodbyeFadeS, people: true},
		draft{name: "All off", when: "The last person is about to lock up and has a torch or a lit way out.",
			wrong: "Lights stay on? They are on a switch of their own. Exit and emergency lights always stay on: that is right.",
			share: func(scheme.Placed) float64 { return 0 }, fadeS: goodbyeFadeS, houseFadeS: goodbyeFadeS})
}

func bit(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// wanted turns a look of the brief into a draft. A level names a unit, a zone
// or the house lights; what is not named stays off. miss lists names that are
// none of these.
func wanted(l brief.Look, units []scheme.Placed, zones []brief.Zone) (d draft, miss []string) {
	d = draft{name: l.Name, when: l.Note, pct: map[string]float64{}, fadeS: goodbyeFadeS, houseFadeS: goodbyeFadeS, flame: l.Flame, people: true,
		wrong: "Anything odd, or somebody uneasy? Press House and platform: the room is light in five seconds."}
	if d.name == "" {
		d.name = "Look as asked for"
	}
	if d.when == "" {
		d.when = "As asked for: " + d.name + "."
	}
	isZone := map[string]bool{}
	for _, z := range zones {
		isZone[z.Name] = true
	}
	byUnit := map[string]float64{}
	for _, lv := range l.Levels {
		pct := math.Max(0, math.Min(100, lv.LevelPct))
		if math.IsNaN(pct) {
			pct = 0
		}
		hit := false
		if strings.EqualFold(lv.Target, "house") {
			d.housePct, hit = pct, true
		}
		for _, u := range units {
			switch {
			case u.ID == lv.Target:
				byUnit[u.ID], hit = pct, true
			case isZone[lv.Target] && u.Zone == lv.Target:
				d.pct[u.ID], hit = pct, true
			}
		}
		if !hit {
			miss = append(miss, lv.Target)
		}
	}
	for id, pct := range byUnit { // a unit by name wins over its zone
		d.pct[id] = pct
	}
	return d, miss
}

// buttons numbers the drafts for a panel of six. The first look that was asked
// for takes the button of Prayer; where more were asked for than fit, the later
// ones are recalled from the control surface. All off is the last button.
func buttons(ds []draft, asked int) []int {
	out := make([]int, len(ds))
	const prayer, off = 4, 5 // places in base
	if asked > 0 {
		ds[prayer].name = ""
	}
	for i := range ds[:off] {
		for _, w := range ds[off+1:] {
			if strings.EqualFold(ds[i].name, w.name) {
				ds[i].name = "" // asked for by the same name: the church's own levels win
			}
		}
	}
	n := 0
	for i := range ds {
		if ds[i].name == "" || i == off {
			continue
		}
		if n == maxButtons-1 {
			continue
		}
		n++
		out[i] = n
	}
	out[off] = n + 1
	return out
}

// look gives a draft its levels and its light.
func look(in Input, units []scheme.Placed, d draft) Look {
	l := Look{Name: d.name, When: d.when, IfWrong: d.wrong, HousePct: d.housePct, FadeS: d.fadeS, HouseFadeS: d.houseFadeS, Flame: d.flame}
	scale := map[string]float64{}
	for _, u := range units {
		pct := 0.0
		switch {
		case d.pct != nil:
			pct = d.pct[u.ID]
		case d.share != nil:
			pct = levelPct(u) * d.share(u)
		}
		pct = math.Round(pct*10) / 10
		l.Levels = append(l.Levels, Level{Unit: u.ID, Pct: pct})
		scale[u.ID] = pct / levelPct(u)
	}
	l.Zones = lux(in, scale)
	l.Lines = lines(in, l)
	return l
}
