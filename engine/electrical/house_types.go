package electrical

// HouseJob is the conversion of the house lights, with what must be known and
// decided before a dimmer is touched.
type HouseJob struct {
	Traces  []Trace
	Groups  []HouseGroup
	Control HouseControl
	Saving  HouseSaving
	Light   []HouseLight
}

// Trace is one row of the tracing sheet: a control and what it was followed to.
type Trace struct {
	Control   string // empty: a channel or lights without a known control
	Kind      string // fader, button, switch, channel, lights
	Where     string
	Channel   string
	Lights    []string
	Panel     string
	Breaker   string
	Decision  string // keep, drop; empty: open
	DecidedBy string
	Missing   []string // what is not traced
}

// HouseGroup is one group of old lights before and after.
type HouseGroup struct {
	Name, Kind       string
	Count            int
	Channel          string
	Leg              string
	Fate             string
	Base             string // lamp base or module
	Lamp             string // code of the new lamp or luminaire
	BeforeW, AfterW  float64
	AfterVA          float64
	BeforeLm         float64 // of one lamp, assumed from its watts where not surveyed
	AfterLm          float64 // NaN where unknown
	NeedLm           float64 // least flux a replacement should have
	Proposed         string
	Keeps            string
	ClearanceM       float64 // NaN where unknown
	ClearanceMarkedM float64
}

// HouseControl is where and how the house lights are worked afterwards.
type HouseControl struct {
	From       string // where they are worked today
	To         string // where people are
	By         string // phase_cut, dmx, none
	Circuits   int    // old circuits that stay
	Slots      int
	WallPanels int
	Emergency  []string // lights that stay out of it
	Text       string
}

// HouseSaving is what the job saves a year; money in minor units. NaN where a
// price or the hours are not known.
type HouseSaving struct {
	HoursPerWeek                 float64
	BeforeW, AfterW              float64
	EnergyKWh                    float64
	EnergyMinor                  float64
	Lamps                        float64 // not burnt out, a year
	LampMinor                    float64
	CostMinor                    float64 // of the house job, from the estimate
	SimpleYears, DiscountedYears float64
	DiscountPct, EnergyRisePct   float64
	Net15Minor                   float64 // present value after 15 years less the cost
	Net20Minor                   float64
	Text                         string
}

// HouseLight is the light of a place before and after, lx, point by point or by
// the lumen method, as Basis says.
type HouseLight struct {
	Place               string
	BeforeLx, AfterLx   float64 // NaN where a flux is unknown
	TargetLx            float64 // NaN: none
	AreaM2              float64
	Utilisation         float64
	Maintenance         float64
	TargetSource, Basis string
	// Point by point: the least of the place, lx, the part of the mean that the
	// room's surfaces reflect, and over how many points; NaN and 0 for the lumen
	// method.
	BeforeMinLx, AfterMinLx             float64
	BeforeReflectedLx, AfterReflectedLx float64
	Points                              int
	// BeforeSigmaPct and AfterSigmaPct are the standard deviations of the means from
	// reflectances that nobody gave, in percent; NaN for the lumen method.
	BeforeSigmaPct, AfterSigmaPct float64
}
