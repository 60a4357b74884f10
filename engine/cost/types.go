package cost

// Estimate is the money side.
type Estimate struct {
	Currency        string
	Lines           []Line
	Phases          []Phase
	Total           Amount
	ContingencyPct  float64
	WithContingency Amount
	CapMinor        int64
	VolunteerHours  float64
	Offer           *Offer
	Edition         string // of the price book
	// P80Minor is the sum, without contingency, under which four in five such
	// jobs would stay if the lines varied independently of one another.
	P80Minor int64
	// RangeNote says how Low and High were made, for people.
	RangeNote string
	// RulePct is the contingency the rule of the trade asks for here, with its
	// reasons; ContingencyPct is the one used.
	RulePct     float64
	RuleReasons []string
	NotIncluded []string
	// Open says what keeps the sums from being a price of what was asked for:
	// nothing hung yet, or lines that no price is known for and that count as
	// nothing. Empty when the sums hold everything that is planned.
	Open []string
}

// Amount is low, likely and high in minor units.
type Amount struct{ Low, Likely, High int64 }

// Line is one line of the bill.
type Line struct {
	Code      string
	Text      string
	Kind      string // fixtures, hanging, electrical, data, control, house, access, fees, building, labour
	Quantity  float64
	Unit      string
	UnitMinor int64
	Total     Amount
	Phase     string
	By        string // volunteers, electrician, rigger, hire, church …
	Ahead     bool   // may be done in an earlier phase
	Source    string // price book entry, project price, catalogue
	Hours     float64
	Generic   bool   // priced from the generic price book or the generic catalogue
	Unpriced  bool   // no price is known; the line counts as nothing
	Needs     string // gate it waits for: engineer, electrician_visit
}

// Phase is one install phase's sum.
type Phase struct {
	Name                      string
	Title                     string
	Subtotal, WithContingency Amount
}

// Offer is a better split of the phases: what to pull into an earlier one.
type Offer struct {
	Into, From                               string
	Lines                                    []string
	MovedMinor                               int64
	IntoWithContingency, FromWithContingency int64
	LeftMinor                                int64 // under the cap
	Note                                     string
}

// Price is one entry of a price book or of the project's own prices.
type Price struct {
	Code            string
	Text            string
	Kind            string
	Unit            string
	Minor           int64   // likely, per unit, minor units
	LowPct, HighPct float64 // range about the likely price, percent; 0: by kind
	Currency        string
	By              string
	Source          string
}
