// Package electrical turns hung units into circuits for a licensed electrician
// to judge: loads, breakers, conductors, voltage drop, the panel by leg and step.
package electrical

// Plan is what the panel must feed; every size is proposed only.
type Plan struct {
	Circuits                []Circuit
	Panels                  []PanelCheck
	Steps                   []Step
	House                   []DimmerCheck
	TotalW, TotalVA, TotalA float64 // new lighting, all on, at the nominal voltage
	SupplyNote              string
	Questions               []Question
	HeatBTUh                float64
	// TotalALL is the same load at the voltage between lines (240 V where split
	// phase has 120 V); NaN where the supply has one voltage only.
	TotalALL float64
	// BalancedA is the current of one line with the load spread evenly.
	BalancedA float64
	// Existing follows the load of surveyed outlet circuits, one leg named after
	// each: as used by the scheme, or tried with everything plugged in.
	Existing []Step
	// Supply is the supply the sizes rest on, with what was assumed.
	Supply System
	// Packing says per line and phase how few circuits were found and proven.
	Packing []Packing
	// Neutral is what flows back, without and with third harmonics.
	Neutral []NeutralCheck
	// Residual groups the circuits by residual-current device where the region
	// limits standing leakage.
	Residual []ResidualGroup
	// HouseJob is the conversion of the house lights.
	HouseJob HouseJob
	// Scenarios are the same steps with what runs in each; none where nothing
	// surveyed differs. Steps takes each leg at its highest of them.
	Scenarios []Scenario
}

// Scenario is the load of each leg through the works with what runs besides: a
// season, heating on or off.
type Scenario struct {
	Name  string
	Runs  []string // standing loads that run in it
	Off   []string // and those that do not
	Steps []Step
}

// NeutralCheck is the neutral of a group of circuits.
type NeutralCheck struct {
	Where        string
	FundamentalA float64 // A, linear loads
	ThirdPct     float64 // assumed share of third harmonics, %
	WithThirdA   float64
	SizedForA    float64 // what a shared cable's neutral is sized for
	Text         string
	// Circuits share it, as surveyed (Existing), or could; none: each keeps its own.
	// Opens says how all its lines must open, Faults what speaks against sharing.
	Circuits []string
	Existing bool
	Opens    string
	Faults   []string
}

// ResidualGroup is the circuits of one residual-current device.
type ResidualGroup struct {
	Name      string
	Circuits  []string
	RatedMA   float64
	LeakageMA float64 // standing
	LimitMA   float64 // the share of RatedMA standing leakage may take
	Existing  bool    // the device surveyed
	// Darkens names zones all of whose circuits hang on it.
	Darkens []string
}

// Circuit is one new final circuit.
type Circuit struct {
	Name                    string
	Units                   []string
	Places                  []Outlet
	Leg                     string // L1, L2, L3, L1-L2 …
	Panel                   string
	Phase                   string // install phase
	ConnectedW, ConnectedVA float64
	CurrentA                float64
	DesignA                 float64 // with the continuous-load factor
	BreakerA                float64
	BreakerPoles            int
	UsePct                  float64 // current over breaker rating
	Conductor               string
	Ground                  string  // equipment ground or protective conductor
	LengthM                 float64 // to the farthest place
	SigmaLengthM            float64
	DropV, DropPct          float64
	InrushA                 float64
	LeakageMA               float64
	Connector               string
	Zones                   []string
	Reason                  string
	Lines                   []string // hanging lines it serves
	VoltageV                float64
	Existing                bool   // an existing circuit that units are plugged into
	Protection              string // what the poles must do, for people
	Curve                   string // breaker type by its band: B, C, D; empty: not standardised
	InrushLimitA            float64
	PulseFactor             float64 // of the breaker by its maker; 1: not known
	DriversMost             int     // of its heaviest driver, by load and inrush
	AmbientC                float64
	Together                int     // circuits taken to run together
	AmpacityA               float64 // of the conductor, corrected
	Raceway                 string
	RacewayFillPct          float64
	Cable                   string
	// Fault loop, Ω at operating temperature: of this run, in all (NaN while the
	// outside is unknown), the limit, and what a cold measurement is held against.
	LoopRunOhm, LoopOhm, LoopLimitOhm, LoopTestOhm float64
	GrowthA                                        float64 // kept free for growth
	NeutralA                                       float64 // of the circuit's own neutral
	ResidualGroup                                  string
	// Approved and Installed are the electrician's; empty until written back.
	Approved, Installed string
}

// Outlet is one connection place.
type Outlet struct {
	Name    string
	X, Y, Z float64 // m
	Units   []string
	Spare   bool
}

// PanelCheck is a panel's room, as surveyed.
type PanelCheck struct {
	Name                                                     string
	RatingA, LimitA                                          float64
	Spaces, SpacesUsed, SpacesNeeded, SpacesLeft, SpacesBack int
	SpareAfterPct                                            float64
	FeederA                                                  float64
	// DemandA is each line's current reckoned from the recorded demand and the new
	// load, NaN where no demand was recorded; DemandNote says how.
	DemandA    float64
	DemandNote string
	Ways       []Way
}

// Way is one breaker in place.
type Way struct {
	Space          int
	RatingA, LoadA float64 // LoadA NaN where unknown
	Poles          int
	Leg            string // as surveyed, else as usual panels share their lines
	Feeds          string
	UsePct         float64 // NaN where unknown
	SharedNeutral  string  // name of the neutral it shares; empty: its own, or nobody looked
}

// Step is the load of each leg at one moment of the works.
type Step struct {
	Name         string // "today", "all new on, nothing removed", "after phase A" …
	Legs         []Leg
	ImbalancePct float64
	Allowed      bool // every leg within the panel's limit
	// Aside marks a comparison that is no moment of the works as phased.
	Aside bool
}

// Leg is one leg's or line's current.
type Leg struct {
	Name     string
	CurrentA float64
	LimitA   float64
}

// DimmerCheck is one channel of the old dimmers before and after.
type DimmerCheck struct {
	Channel                  string
	Feeds                    string
	Leg                      string
	RatingW, MinimumW        float64
	BeforeW, AfterW, AfterVA float64
	Lamps                    int
	Action                   string
	// LEDCapacityW is what the channel may carry of LED lamps where it is not
	// marked for them; CapacityUsePct is AfterW against it.
	LEDCapacityW   float64
	CapacityUsePct float64
	Edge           string
}

// Question is for the electrician to answer.
type Question struct {
	No   int
	Text string
	Why  string
	// Key stays the same as long as the same is asked.
	Key string
	// Answers are what came back; a transcribed answer clears nothing.
	Answers []Answer
}

// Answer is one answer to a question, as written down.
type Answer struct {
	Question string // its Key
	Text     string
	By       string // who answered
	Written  string // who wrote it down, empty: the same
	Day      string // 2006-01-02
}
