package plan

import (
	"fmt"

	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// assumption is what the card takes for a size that nobody gave.
type assumption struct {
	about, ask, why string
	taken, sigma    si.Length
	byRoom          bool // the room declares it too, and asks
}

// What is taken where an answer is missing: a small church (common practice). How
// well it holds is the survey checklist's (R3, C2, S1); a width is as open as a
// length, and the platform's width goes with the room's.
const (
	assumedLengthM   = 18.0
	assumedWidthM    = 11.0
	assumedCeilingM  = 7.0
	assumedPlatformM = 3.0 // depth
	platformShare    = 0.6 // of the room's width
	assumedRaisedM   = 0.3 // height of the platform, as the room takes it
)

// assume fills in the sizes that nobody gave, and returns what was taken. Beams stay
// as they are: the room declares what it takes for them.
func (a *Answers) assume() []assumption {
	var out []assumption
	fill := func(l *survey.L, taken si.Length, sigma float64, about, ask, why string) {
		if l.Set && l.Value > 0 {
			return
		}
		*l = si.Known(taken)
		out = append(out, assumption{about, ask, why, taken, si.Length(sigma), false})
	}
	share := survey.AssumedSigma("R3")
	half := survey.AssumedSigma("S1")
	fill(&a.Length, assumedLengthM, share*assumedLengthM, "length of the room", "How long is the room, wall to wall? Pace it, or count the rows.", "throws and cables run along it")
	fill(&a.Width, assumedWidthM, share*assumedWidthM, "width of the room", "How wide is the room, wall to wall?", "beams and cables run across it")
	fill(&a.CeilingHeight, assumedCeilingM, survey.AssumedSigma("C2"), "height of the ceiling", "How high is the ceiling above the hall floor?", "lines hang under it and a lift must reach it")
	wide := platformShare * a.Width.Value
	fill(&a.PlatformWidth, wide, half*float64(wide), "width of the platform", "How wide is the platform?", "it says how many units stand abreast")
	fill(&a.PlatformDepth, assumedPlatformM, half*assumedPlatformM, "depth of the platform", "How deep is the platform?", "faces stand at its front, middle and back")
	if !a.PlatformHeight.Set {
		// The room takes it, with its standard deviation; here it is only told.
		out = append(out, assumption{about: "height of the platform", taken: assumedRaisedM, sigma: si.Length(half * assumedRaisedM), byRoom: true})
	}
	return out
}

// text says what was taken and how well it holds.
func (x assumption) text(d si.Display) string {
	return fmt.Sprintf("%s, give or take %s", si.FormatLength(x.taken, d), si.FormatLength(x.sigma, d))
}

// tell puts assumptions on the card: a line each, a finding, and the question first
// of all.
func (c *Card) tell(taken []assumption, book *finding.Book, d si.Display) {
	var ask []room.Question
	for _, x := range taken {
		c.Notes = append(c.Notes, CardNote{"assumed", fmt.Sprintf("The %s was not said: %s is taken.", x.about, x.text(d))})
		if x.byRoom {
			continue
		}
		c.Findings = append(c.Findings, book.New("SURVEY_ASSUMED", x.about, finding.Text("assumed", x.text(d)), finding.Text("why", x.why), finding.Text("who", "the church, by telephone")))
		ask = append(ask, room.Question{About: x.about, Ask: x.ask, Why: x.why, Assumed: x.text(d), Who: "the church, by telephone"})
	}
	c.Next = append(ask, c.Next...)
}

// sigmaOf returns the standard deviation of a size that was taken; not set where it
// was said.
func sigmaOf(taken []assumption, about string) survey.L {
	for _, x := range taken {
		if x.about == about {
			return si.Known(x.sigma)
		}
	}
	return survey.L{}
}
