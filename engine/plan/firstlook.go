package plan

import (
	"fmt"
	"math"
	"sort"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Answers are those of a telephone call: eight questions (the room's size; its
// beams; the platform; the supply; the way in; cameras; what the room is for and
// what is wrong with its light; money and date), a screen for hazards, and which
// way the congregation looks. Every one may be unknown. Lengths are paced or
// remembered, so they carry a guess's uncertainty.
type Answers struct {
	Length, Width, CeilingHeight survey.L
	Beams                        []BeamAnswer
	PlatformWidth, PlatformDepth survey.L
	PlatformHeight               survey.L
	Supply                       survey.Supply
	DoorWidth, DoorHeight        survey.L
	Steps, YearBuilt, Cameras    int
	Profile                      region.Profile
	YearAltered                  int
	// The screen for hazards. Protected and FireAlarm take the words of
	// survey.Site; Landlord, Damp and Bats are yes, no, or unknown.
	Protected, FireAlarm           string
	Landlord, Damp, Bats           string
	FacingDeg                      float64 // compass bearing toward which the congregation looks, from north clockwise
	Facing                         bool    // FacingDeg is known
	Uses, Trouble, Money, Deadline string
}

// BeamAnswer is one beam: its height above the hall floor and its distance from
// the platform's front edge, toward the seats positive.
type BeamAnswer struct {
	Name                 string
	Height, FromPlatform survey.L
}

// Card is the one-page answer: what is possible, how sure that is, what stands
// in the way and what to measure next.
type Card struct {
	Verdict  string // simple, hard, must_visit
	Why      string
	Places   []CardPlace
	Notes    []CardNote
	Next     []room.Question
	Findings []finding.Finding
	// Reasons are all reasons for the verdict, the weightiest first; Why is the
	// first of them.
	Reasons []string
}

// CardPlace is what one beam gives one zone.
type CardPlace struct {
	Beam, Zone             string
	ElevationDeg, SigmaDeg float64
	ThrowM, SigmaThrowM    float64
	Band                   string
	Best, Behind           bool
}

// CardNote is one line about power, access, a blocker or the cameras.
type CardNote struct{ About, Text string }

// FirstLook turns ten answers into a card. It stands on the same engine as a
// full plan: a survey is made of the answers, every length with the standard
// deviation of a guess, and solved.
func FirstLook(a Answers, book *finding.Book) Card {
	taken := a.assume()
	sv, br := a.survey(taken), a.brief()
	rm, fs := room.Solve(sv, book, a.Profile.ID)
	c := Card{Findings: fs}
	c.Places = places(scheme.Lines(rm, br))
	c.Notes = a.notes(rm, book, sv, br)
	c.Next = next(c.Places, rm.Questions, a.Profile.Display)
	c.Notes = append(c.Notes, a.screenNotes()...)
	c.Next = append(c.Next, a.screenQuestions()...)
	c.Verdict, c.Reasons = a.judge(c.Places)
	c.Why = c.Reasons[0]
	c.Findings = append(c.Findings, a.screenFindings(book)...)
	c.tell(taken, book, a.Profile.Display)
	finding.Sort(c.Findings)
	return c
}

// faceHeightM is the height of a standing person's face (common practice).
const faceHeightM = 1.65

// survey makes a box room of the answers, of which some were taken.
func (a Answers) survey(taken []assumption) survey.Survey {
	length, width, depth := a.Length.Value, a.Width.Value, a.PlatformDepth.Value
	front := depth + 0.3
	corner := func(name string, x, y si.Length) survey.Station {
		return survey.Station{Name: name, NearX: si.Known(x), NearY: si.Known(y), FixedZ: si.Known(si.Length(0))}
	}
	s := survey.Survey{
		Stations: []survey.Station{
			corner("front left", -width/2, front), corner("front right", width/2, front),
			corner("rear right", width/2, front-length), corner("rear left", -width/2, front-length)},
		Footprint: []string{"front left", "front right", "rear right", "rear left"},
		Levels:    []survey.Level{{Name: "platform", Height: a.PlatformHeight}},
		Ceiling:   survey.Ceiling{Shape: "flat", Height: a.CeilingHeight},
		Platform:  survey.Platform{Width: a.PlatformWidth, Depth: a.PlatformDepth, Height: a.PlatformHeight},
		Supply:    a.Supply,
		Floor:     survey.Floor{Kind: "unknown"},
		Site: survey.Site{YearBuilt: a.YearBuilt, YearAltered: a.YearAltered, Protected: known(a.Protected), Sprinklers: "unknown", Detectors: known(a.FireAlarm), Lease: a.owner(),
			CongregationFacingDeg: a.FacingDeg, Orientation: a.Facing},
	}
	measure := func(kind survey.Kind, to string, v si.Length, sigma survey.L) {
		s.Measurements = append(s.Measurements, survey.Measurement{ID: fmt.Sprintf("a%d", len(s.Measurements)+1), Kind: kind, To: to,
			Value: si.Known(v), Sigma: sigma, Instrument: survey.Guess, By: "by telephone"})
	}
	across, along := sigmaOf(taken, "width of the room"), sigmaOf(taken, "length of the room")
	across.Value /= 2 // each wall is half a width from the middle
	for _, st := range s.Stations {
		measure(survey.OffsetX, st.Name, st.NearX.Value, across)
		sigma := along
		if st.NearY.Value > 0 {
			sigma = sigmaOf(taken, "depth of the platform")
		}
		measure(survey.OffsetY, st.Name, st.NearY.Value, sigma)
	}
	for _, b := range a.Beams {
		y := b.FromPlatform // unknown: the room declares what it takes
		y.Value = -y.Value
		end := func(x si.Length) survey.Place {
			return survey.Place{X: si.Known(x), Y: y, Z: b.Height, Instrument: survey.Guess}
		}
		s.Lines = append(s.Lines, survey.HangingLine{Name: b.Name, Kind: "beam", From: end(-width / 2), To: end(width / 2),
			Material: "unknown", Condition: "unknown", Permission: "ask", Drill: "ask", Access: "lift"})
	}
	if a.DoorWidth.Set || a.DoorHeight.Set {
		s.Routes = []survey.AccessRoute{{Name: "way in", DoorWidth: a.DoorWidth, DoorHeight: a.DoorHeight, Steps: a.Steps}}
	}
	return s
}

// brief asks for the usual zones: the floor before the platform, its front,
// middle and back.
func (a Answers) brief() brief.Brief {
	depth := a.PlatformDepth.Value
	zone := func(name, level string, y si.Length) brief.Zone {
		return brief.Zone{Name: name, Use: "speaking", Level: level, FaceHeight: si.Known(si.Length(faceHeightM)),
			MinX: si.Known(si.Length(-1)), MaxX: si.Known(si.Length(1)), MinY: si.Known(y), MaxY: si.Known(y),
			Faces: []brief.Face{{Name: name, X: si.Known(si.Length(0)), Y: si.Known(y)}}}
	}
	return brief.Brief{Region: a.Profile.ID, Zones: []brief.Zone{
		zone("floor before the platform", "hall floor", -1),
		zone("front of the platform", "platform", 0.2*depth),
		zone("middle of the platform", "platform", 0.5*depth),
		zone("back of the platform", "platform", 0.85*depth)}}
}

// places reads the table of hanging lines and marks the best of each zone.
func places(rows []scheme.LineRow) []CardPlace {
	var out []CardPlace
	best := map[string]int{}
	for _, r := range rows {
		if r.Place != "" {
			continue
		}
		for _, z := range r.Zones {
			p := CardPlace{Beam: r.Line, Zone: z.Zone, ElevationDeg: z.ElevationDeg, SigmaDeg: z.SigmaDeg, ThrowM: z.ThrowM, SigmaThrowM: z.SigmaThrowM,
				Band: z.Band, Behind: z.Behind}
			out = append(out, p)
			if z.Behind || r.Verdict == "refused" {
				continue
			}
			i, seen := best[z.Zone]
			if !seen || math.Abs(p.ElevationDeg-idealDeg) < math.Abs(out[i].ElevationDeg-idealDeg) {
				best[z.Zone] = len(out) - 1
			}
		}
	}
	for _, i := range best {
		out[i].Best = out[i].ElevationDeg >= workableLow && out[i].ElevationDeg <= workableHigh
	}
	return out
}

// Elevations of front light, degrees. Source: common practice, about 45° at the
// face, 35° to 55° usable, under 30° or over 60° not as main light.
const (
	idealDeg                  = 45.0
	usableLowDeg, usableHigh  = 35.0, 55.0
	workableLow, workableHigh = 30.0, 60.0
)

// verdict says whether the room can be planned from measurements.
func (a Answers) verdict(ps []CardPlace) (string, string) {
	usable, workable, zones := 0, 0, map[string]bool{}
	for _, p := range ps {
		zones[p.Zone] = true
		if !p.Best {
			continue
		}
		if p.ElevationDeg >= usableLowDeg && p.ElevationDeg <= usableHigh {
			usable++
		}
		if p.ElevationDeg >= workableLow && p.ElevationDeg <= workableHigh {
			workable++
		}
	}
	switch {
	case len(a.Beams) == 0:
		return "must_visit", "Nothing to hang from is known: somebody must look at the ceiling, or send photographs of it with a stick of known length."
	case workable == 0:
		return "must_visit", "No beam reaches any zone between 30° and 60°: other structure has to be found on site."
	case usable < len(zones):
		return "hard", fmt.Sprintf("%d of %d zones can be reached between 35° and 55° from a known beam; the rest needs cross light, another place or a compromise.", usable, len(zones))
	case !a.Supply.Main.Set:
		return "hard", "The angles are good; nothing is known of the supply, which is often the largest hidden cost."
	}
	return "simple", "Every usual zone can be reached between 35° and 55° from a known beam."
}

// leastBetweenLegs is the voltage from which that of a split-phase supply is taken
// as given between the legs: 100 to 127 V stand to neutral, 200 to 254 V between.
// Source: ANSI C84.1, table 1; from memory.
const leastBetweenLegs = 190

// amps says what a load in volt-amperes draws at a supply's voltage as people gave
// it, in V: if all were on one conductor to neutral, and where the supply has
// several, on each of them spread evenly.
func (a Answers) amps(lowVA, highVA, volts float64) string {
	share, word := 0.0, "line" // of the load, on one conductor when spread evenly
	switch a.Supply.System {
	case "single_phase_3w":
		share, word = 1./2, "leg"
		if volts >= leastBetweenLegs {
			volts /= 2
		}
	case "three_phase_3w":
		share = 1 / math.Sqrt(3)
	case "three_phase_4w":
		share = 1. / 3
		// People give either voltage of a four-wire supply. Those between lines are
		// 200 and 208 V, and 380 V and more; those to neutral, up to 347 V, lie in
		// between or below. Source: IEC 60038, table 1; ANSI C84.1, table 1; CSA C235;
		// from memory.
		if volts >= 190 && volts <= 215 || volts >= 360 {
			volts /= math.Sqrt(3)
		}
	}
	text := fmt.Sprintf("%.0f to %.0f A at %.0f V", lowVA/volts, highVA/volts, volts)
	if share == 0 {
		return text
	}
	return text + fmt.Sprintf(" if all were on one %s, %.0f to %.0f A per %s spread evenly", word, share*lowVA/volts, share*highVA/volts, word)
}

// asbestosYear: buildings of this year and older are presumed to contain it.
// Source: 29 CFR 1926.1101 (presumption for 1980 and older), from memory.
const asbestosYear = 1981

// notes are the lines about power, access, blockers and cameras.
func (a Answers) notes(rm room.Room, book *finding.Book, sv survey.Survey, br brief.Brief) []CardNote {
	d := a.Profile.Display
	var out []CardNote
	add := func(about, format string, args ...any) {
		out = append(out, CardNote{about, fmt.Sprintf(format, args...)})
	}
	need, high := a.powerW(rm)
	switch {
	case a.Supply.Main.Set && a.Supply.Voltage.Set:
		add("power", "New stage light about %.0f to %.0f W, that is %s; main %.0f A. What runs beside it on a Sunday decides: ask for twelve months of demand, not a spot reading.",
			need, high, a.amps(need/planPF, high/planPF, float64(a.Supply.Voltage.Value)), float64(a.Supply.Main.Value))
	default:
		add("power", "New stage light about %.0f to %.0f W. Voltage, lines and main are not known: photograph the panel label and its directory, door open only, no tools.", need, high)
	}
	switch {
	case !a.DoorWidth.Set:
		add("access", "The narrowest door is not known: measure clear width and height with the leaf open before a lift is promised.")
	case a.DoorWidth.Value < compactLiftM+doorClearanceM:
		add("access", "Narrowest door %s: a compact lift of %s and %s clearance does not pass; a tower has to be carried in.",
			si.FormatLength(a.DoorWidth.Value, d), si.FormatLength(compactLiftM, d), si.FormatLength(doorClearanceM, d))
	default:
		add("access", "Narrowest door %s: a compact lift of %s may pass; weight on the floor is to be asked.", si.FormatLength(a.DoorWidth.Value, d), si.FormatLength(compactLiftM, d))
	}
	if a.Steps > 0 {
		add("access", "Steps on the way in: %d. A lift needs a ramp, about twelve times as long as the rise.", a.Steps)
	}
	add("blocker", "What the beams may carry is not known: no load, however small, without a structural engineer.")
	if a.YearBuilt == 0 || a.YearBuilt < asbestosYear {
		add("blocker", "Asbestos is presumed until an inspection says otherwise: nothing is drilled, scraped or opened.")
	}
	if a.Cameras > 0 {
		add("camera", "%d cameras: plan 600 to 1 000 lx on faces, even within 20 %%, and one white for all front light (common practice).", a.Cameras)
	} else {
		add("camera", "No cameras: 380 lx on faces is a least, 540 to 650 lx comfortable (common practice).")
	}
	return out
}

const (
	compactLiftM   = si.Length(0.76)  // width of compact scissor lifts, from memory
	doorClearanceM = si.Length(0.075) // common practice
	planPF         = 0.95             // of LED stage fixtures, common practice
)

// powerW is a range for the stage light: platform area times 60 to 120 W/m².
// Source: common practice, 500 lx on faces by LED at the throws of small rooms.
func (a Answers) powerW(rm room.Room) (low, high float64) {
	area := rm.Platform.Width.Metres() * (rm.Platform.Depth.Metres() + 1.5)
	return math.Round(area*60/50) * 50, math.Round(area*120/50) * 50
}

// laserSigmaM is what a height reading from the floor would bring.
// Source: common practice, ±2 to 3 mm by laser plus aiming, here with the sag
// of the beam and the floor's own level.
const laserSigmaM = 0.02

// next ranks what to measure: first the beam heights that move a best angle
// most, then what the survey itself asks for.
func next(ps []CardPlace, qs []room.Question, d si.Display) []room.Question {
	type gain struct {
		beam          string
		before, after float64
	}
	best := map[string]gain{}
	for _, p := range ps {
		if !p.Best || p.ThrowM == 0 {
			continue
		}
		after := math.Cos(p.ElevationDeg*math.Pi/180) * laserSigmaM / p.ThrowM * 180 / math.Pi
		if g, ok := best[p.Beam]; !ok || p.SigmaDeg-after > g.before-g.after {
			best[p.Beam] = gain{p.Beam, p.SigmaDeg, after}
		}
	}
	var gains []gain
	for _, g := range best {
		gains = append(gains, g)
	}
	sort.Slice(gains, func(i, j int) bool {
		if a, b := gains[i].before-gains[i].after, gains[j].before-gains[j].after; a != b {
			return a > b
		}
		return gains[i].beam < gains[j].beam
	})
	var out []room.Question
	for _, g := range gains {
		out = append(out, room.Question{About: "beam " + g.beam, Who: "volunteer",
			Ask:     fmt.Sprintf("Height of the underside of %s above the hall floor, and its distance from the platform's edge plumbed down to the floor, with a laser or tape from the floor.", g.beam),
			Why:     fmt.Sprintf("The angle to the face is now known to ±%.1f°; a laser reading of the height would bring about ±%.1f°.", g.before, g.after),
			Assumed: "what was said on the telephone"})
	}
	return append(out, qs...)
}
