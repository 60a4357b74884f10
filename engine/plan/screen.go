package plan

import (
	"cmp"
	"fmt"
	"math"

	"roodbeam/engine/finding"
	"roodbeam/engine/room"
)

// known is a word, or "unknown" for none.
func known(word string) string { return cmp.Or(word, "unknown") }

// owner says who owns the building, empty while nobody does.
func (a Answers) owner() string {
	switch a.Landlord {
	case "yes":
		return "somebody else owns it"
	case "no":
		return "the church owns it"
	}
	return ""
}

// hazard is what the screen found: how hard it makes the room, and why.
type hazard struct {
	visit bool // somebody of that trade has to see it first
	text  string
}

// hazards lists what the screen found, the weightiest first. Source: common
// practice; 29 CFR 1926.1101 for the year (from memory).
func (a Answers) hazards() []hazard {
	var out []hazard
	add := func(is, visit bool, format string, args ...any) {
		if is {
			out = append(out, hazard{visit, fmt.Sprintf(format, args...)})
		}
	}
	add(a.Damp == "yes", true, "The cellar or walls are damp: a licensed electrician looks at panels and wiring before anything is planned on them, and nobody promises a floor for a lift.")
	add(a.FireAlarm == "aspirating" || a.FireAlarm == "beam", false, "The fire alarm has %s detectors: dust of drilling and haze set it off; the fire-alarm contractor is asked first.", a.FireAlarm)
	add(a.Protected == "listed", false, "The building is protected: consent comes before anything is fixed, and lights may have to be hidden.")
	add(a.Protected == "worth_preserving", false, "The building is marked as worth preserving: ask whether fixings need consent.")
	add(a.Landlord == "yes", false, "Somebody else owns the building: written leave is needed before anything is fixed or wired.")
	add(a.Bats == "yes", false, "Bats or nesting birds were seen: an ecologist is asked, and work in the roof waits for the season.")
	year := a.YearBuilt
	add(year > 0 && year < asbestosYear, false, "Built before %d: an asbestos inspection comes before any work on the fabric.", asbestosYear)
	add(year >= asbestosYear && a.YearAltered > 0 && a.YearAltered < asbestosYear, false, "The years of building and alteration contradict each other: ask again.")
	return out
}

// manyHazards together call for a visit even where none does alone (common practice).
const manyHazards = 3

// judge gives the verdict of angles, supply and hazards together, with every
// reason, the weightiest first.
func (a Answers) judge(ps []CardPlace) (string, []string) {
	verdict, why := a.verdict(ps)
	hs := a.hazards()
	var first, later []string
	for _, h := range hs {
		if h.visit {
			first = append(first, h.text)
		} else {
			later = append(later, h.text)
		}
	}
	if verdict == "must_visit" {
		return verdict, append(append([]string{why}, first...), later...)
	}
	switch {
	case len(first) > 0:
		return "must_visit", append(append(first, why), later...)
	case len(hs) >= manyHazards:
		return "must_visit", append(append([]string{fmt.Sprintf("%d hazards at once: somebody has to see how they meet before a plan is made.", len(hs))}, why), later...)
	case verdict == "hard":
		return "hard", append([]string{why}, later...)
	case len(later) > 0:
		return "hard", append(later, why)
	}
	return verdict, []string{why}
}

// screenNotes are the card's lines about hazards, sun and money.
func (a Answers) screenNotes() []CardNote {
	var out []CardNote
	add := func(about, format string, args ...any) {
		out = append(out, CardNote{about, fmt.Sprintf(format, args...)})
	}
	for _, h := range a.hazards() {
		add("hazard", "%s", h.text)
	}
	for _, q := range []struct{ answer, text string }{
		{a.Protected, "Whether the building is protected is not known: taken as protected until somebody says otherwise."},
		{a.Landlord, "Who owns the building is not known: nothing is fixed before somebody signs for it."},
		{a.FireAlarm, "What detectors the fire alarm has is not known: no haze, and dust is kept down."},
		{a.Damp, "Whether cellar and walls are dry is not known: look at the walls round the panel, from outside."},
		{a.Bats, "Whether bats or birds nest in the roof is not known: ask before work up there is dated."},
	} {
		if known(q.answer) == "unknown" {
			add("hazard", "%s", q.text)
		}
	}
	if a.Facing {
		add("sun", "%s", a.sun())
	} else {
		add("sun", "Which way the congregation looks is not known: hold a telephone compass toward the platform, an arm's length from iron.")
	}
	if a.Trouble != "" {
		add("wish", "What is wrong today: %s", a.Trouble)
	}
	if a.Uses != "" {
		add("wish", "Used for: %s", a.Uses)
	}
	if a.Money != "" || a.Deadline != "" {
		const unsaid = "not said"
		add("money", "Money: %s. Date: %s.", cmp.Or(a.Money, unsaid), cmp.Or(a.Deadline, unsaid))
	}
	return out
}

// morningSun is the middle of the sun's way on a Sunday between nine and noon,
// degrees from north clockwise, north of the tropics; south of them it is
// mirrored about east (common practice).
const morningSun = 135.0

// sun says where the sun of a morning service stands as seen from the seats.
func (a Answers) sun() string {
	from := math.Mod(morningSun-a.FacingDeg+720, 360)
	where, so := "behind the seats", "it lights the platform and washes screens out"
	switch {
	case from < 45 || from >= 315:
		where, so = "behind the platform", "windows there put faces in shadow and dazzle seats and cameras"
	case from < 135:
		where, so = "on the right of the seats", "one side of every face is lit by the windows there"
	case from >= 225:
		where, so = "on the left of the seats", "one side of every face is lit by the windows there"
	}
	return fmt.Sprintf("The congregation looks toward %s (%.0f°). On a morning, north of the tropics, the sun stands %s: %s. Photographs at service time settle it.", compass(a.FacingDeg), a.FacingDeg, where, so)
}

// compass names a bearing by the nearest of eight points.
func compass(deg float64) string {
	names := [8]string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
	return names[int(math.Mod(math.Round(deg/45), 8)+8)%8]
}

// screenQuestions ask for what the screen could not answer.
func (a Answers) screenQuestions() []room.Question {
	var out []room.Question
	ask := func(answer, about, text, why, assumed, who string) {
		if known(answer) == "unknown" {
			out = append(out, room.Question{About: about, Ask: text, Why: why, Assumed: assumed, Who: who})
		}
	}
	ask(a.Damp, "damp", "Are the cellar and the walls round the panel dry?", "water and old wiring call for an electrician first", "damp where nobody looked", "a volunteer")
	ask(a.FireAlarm, "fire alarm", "What detectors are there, and who may isolate them?", "dust and haze set them off", "smoke detectors, no haze", "the church")
	ask(a.Protected, "protection", "Is the building listed or in a protected area?", "fixings may need consent", "protected", "the church")
	ask(a.Landlord, "owner", "Who owns the building, and is it rented?", "somebody has to sign for every fixing", "leave is not given", "the church")
	ask(a.Bats, "bats", "Were bats or nesting birds ever seen in the roof?", "work up there has seasons", "an ecologist is asked", "the church")
	if !a.Facing {
		out = append(out, room.Question{About: "north", Ask: "Hold a telephone compass toward the platform and read the degrees.", Why: "it tells at which services the sun meets faces and screens", Assumed: "no sun on the platform is ruled out", Who: "a volunteer"})
	}
	return out
}

// screenFindings are the hazards somebody saw.
func (a Answers) screenFindings(book *finding.Book) []finding.Finding {
	var out []finding.Finding
	if a.Damp == "yes" {
		out = append(out, book.New("SURVEY_HAZARD", "damp at cellar or walls", finding.Text("note", "told on the telephone")))
	}
	if a.Bats == "yes" {
		out = append(out, book.New("SURVEY_HAZARD", "bats at roof", finding.Text("note", "told on the telephone")))
	}
	return out
}
