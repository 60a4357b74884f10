// Package preset proposes the looks a wall panel recalls.
package preset

// Set is what the wall panel by the entrance holds.
type Set struct {
	Looks []Look
	Panel string // where it stands
}

// Look is one recallable state.
type Look struct {
	Button   int // 1 first; 0: recalled from the control surface only
	Name     string
	When     string
	Levels   []Level
	HousePct float64
	FadeS    float64 // of the stage lights
	// HouseFadeS is the fade of the house lights, slower, so that eyes and feet
	// follow.
	HouseFadeS float64
	Lines      []string // what it gives, for people: "table 32 lx"
	IfWrong    string
	Flame      bool     // with open flame in the room
	Zones      []ZoneLx // vertical illuminance by face
}

// ZoneLx is what one face gets in a look, in lux toward its own facing, from
// units as new: without the light report's loss factor.
type ZoneLx struct {
	Zone, Face string
	OwnLx      float64 // from the units meant for this face
	AllLx      float64 // from every unit of the look
}

// Level of one unit in percent.
type Level struct {
	Unit string
	Pct  float64
}
