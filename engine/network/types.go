// Package network lays out the control data: a splitter with separate data
// branches, units in cable order, addresses without overlap.
package network

// Plan is the data network.
type Plan struct {
	Splitter    Splitter
	Branches    []Branch
	Addresses   []Address
	Universes   []Universe
	TotalCableM float64 // of the branches, with slack
	// FeedM is the run from the booth to the splitter, with slack; 0 where a
	// patch lead reaches or the booth is not surveyed.
	FeedM      float64
	FeedSigmaM float64
}

// Splitter stands where the branches start.
type Splitter struct {
	X, Y, Z              float64
	SigmaM               float64 // of its place
	From                 string  // scheme, survey, booth or assumed
	Outputs, Used, Spare int
}

// Branch is one daisy chain from the splitter.
type Branch struct {
	Name      string
	Units     []string // in cable order
	Legs      []Leg
	SlackM    float64
	LengthM   float64
	SigmaM    float64
	UnitLoads int
	Terminate string // unit that carries the terminator
	Phase     string
	Line      string
	Universe  int  // 0 while no unit has an address
	Slots     int  // used by its units
	Typed     bool // the legs are the designer's
	// Places are the units' numbers on the branch, as labelled; a unit taken out
	// leaves a gap, a new one counts on.
	Places []int
}

// Leg is one straight run of a branch.
type Leg struct {
	Along   string // x, y, z or free text
	LengthM float64
}

// Address is a unit's start address.
type Address struct {
	Unit     string
	Universe int
	Start    int // 1..512
	Slots    int
	End      int
	Pinned   bool
}

// Universe is one set of 512 slots.
type Universe struct {
	Number, Used, Free int
	UsedPct            float64
}
