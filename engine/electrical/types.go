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
}

// Step is the load of each leg at one moment of the works.
type Step struct {
	Name         string // "today", "all new on, nothing removed", "after phase A" …
	Legs         []Leg
	ImbalancePct float64
	Allowed      bool // every leg within the panel's limit
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
}

// Question is for the electrician to answer.
type Question struct {
	No   int
	Text string
	Why  string
}
