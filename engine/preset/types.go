// Package preset proposes the looks a wall panel recalls.
package preset

// Set is what the wall panel by the entrance holds.
type Set struct {
	Looks []Look
	Panel string // where it stands
}

// Look is one recallable state.
type Look struct {
	Button   int // 1 first
	Name     string
	When     string
	Levels   []Level
	HousePct float64
	FadeS    float64
	Lines    []string // what it gives, for people: "table 32 lx"
	IfWrong  string
}

// Level of one unit in percent.
type Level struct {
	Unit string
	Pct  float64
}
