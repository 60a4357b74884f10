package region

import "math"

// row is one named value; a name and its value, as printed.
type row struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
}

type raceways struct {
	Kind       string  `json:"kind"`
	Wire       string  `json:"wire"`
	AreaUnit   string  `json:"area_unit"`
	Source     string  `json:"source"`
	FillSource string  `json:"fill_source"`
	WireSource string  `json:"wire_source"`
	OnePct     float64 `json:"one_pct"`
	TwoPct     float64 `json:"two_pct"`
	MorePct    float64 `json:"more_pct"`
	NipplePct  float64 `json:"nipple_pct"`
	RoundUpAt  float64 `json:"round_up_at"`
	Sizes      []row   `json:"sizes"`
	Wires      []row   `json:"wires"`
}

type protect struct {
	Source       string `json:"source"`
	DefaultCurve string `json:"default_curve"`
	Multiwire    string `json:"multiwire"`
	Curves       []struct {
		Name  string  `json:"name"`
		Low   float64 `json:"low"`
		High  float64 `json:"high"`
		Mean  float64 `json:"mean"`
		Pulse float64 `json:"pulse_factor"`
	} `json:"curves"`
	Loop struct {
		Source       string  `json:"source"`
		CMin         float64 `json:"c_min"`
		TestPct      float64 `json:"test_pct"`
		CopperFactor float64 `json:"copper_factor"`
		TouchV       float64 `json:"touch_v"`
		Milliohm     []row   `json:"milliohm_per_m"`
		TypicalZe    []row   `json:"typical_ze_ohm"`
	} `json:"loop"`
	Residual struct {
		Source    string    `json:"source"`
		SharePct  float64   `json:"share_pct"`
		RatingsMA []float64 `json:"ratings_ma"`
	} `json:"residual"`
}

// readTables reads the parts of a profile that a region may go without; what is
// given must be whole and carry its source.
func readTables(f file, p *Profile, conductor map[string]bool, bad func(string, ...any)) {
	known := func(what string, rows []row) {
		for _, r := range rows {
			if !conductor[r.Name] {
				bad("%s: conductor %q is not in the table", what, r.Name)
			}
		}
	}
	if s := f.Supply; s.System != "" {
		switch s.System {
		case "single_phase_2w", "single_phase_3w", "three_phase_4w", "three_phase_3w":
		default:
			bad("supply system %q", s.System)
		}
		if !(s.VoltageV > 0) || !(s.Frequency > 0) || s.Source == "" {
			bad("supply needs voltage, frequency and source")
		}
		p.DefaultSupply = Supply{s.System, s.VoltageV, s.Frequency, s.Source}
	}
	if r := f.Raceway; r.Kind != "" {
		unit := map[string]float64{"in2": MM2PerSquareInch, "mm2": 1}[r.AreaUnit]
		if unit == 0 {
			bad("raceway area unit %q, want in2 or mm2", r.AreaUnit)
		}
		if r.Source == "" || r.FillSource == "" || r.WireSource == "" || r.Wire == "" {
			bad("raceway needs source, fill source, wire and wire source")
		}
		for _, pct := range []float64{r.OnePct, r.TwoPct, r.MorePct, r.NipplePct} {
			if !(pct > 0 && pct <= 100) {
				bad("raceway fill of %v %%", pct)
			}
		}
		if !(r.RoundUpAt > 0 && r.RoundUpAt <= 1) {
			bad("raceway rounds up at %v", r.RoundUpAt)
		}
		known("raceway", r.Wires)
		p.Raceways = Raceways{Kind: r.Kind, Wire: r.Wire, Source: r.Source, FillSource: r.FillSource, WireSource: r.WireSource,
			OnePct: r.OnePct, TwoPct: r.TwoPct, MorePct: r.MorePct, NipplePct: r.NipplePct, RoundUpAt: r.RoundUpAt,
			Sizes: rising("raceway size", r.Sizes, unit, bad), Wires: rising("raceway wire", r.Wires, unit, bad)}
	}
	readProtection(f.Protection, p, known, bad)
	for _, i := range f.Installations {
		if i.ID == "" || i.Title == "" || i.Source == "" || (i.Loaded != 2 && i.Loaded != 3) {
			bad("installation %q needs id, title, source and 2 or 3 loaded conductors", i.ID)
		}
		if _, twice := p.Installation(i.ID, i.Loaded); twice {
			bad("installation %q with %d loaded conductors is given twice", i.ID, i.Loaded)
		}
		known("installation "+i.ID, i.Rows)
		p.Installations = append(p.Installations, Installation{i.ID, i.Title, i.Source, i.Loaded, rising("installation "+i.ID, i.Rows, 1, bad)})
	}
	last := 0.0
	for _, r := range f.Harmonics.Rows {
		if !(r.UpToPct > last) || !(r.Factor > 0 && r.Factor <= 1) || (r.On != "line" && r.On != "neutral") || f.Harmonics.Source == "" {
			bad("harmonics row up to %v %%: must ascend, with a factor, line or neutral, and a source", r.UpToPct)
		}
		last = r.UpToPct
		p.Harmonics = append(p.Harmonics, Factor{r.UpToPct, r.Factor, r.On})
	}
	p.HarmonicsSource = f.Harmonics.Source
	for _, t := range f.Tables {
		if _, twice := p.Table(t.ID); t.ID == "" || t.Title == "" || t.Unit == "" || t.Source == "" || len(t.Rows) == 0 || twice {
			bad("table %q needs its own id, title, unit, source and rows", t.ID)
		}
		out := Table{ID: t.ID, Title: t.Title, Unit: t.Unit, Source: t.Source}
		for _, r := range t.Rows {
			if _, again := out.Value(r.Name); r.Name == "" || again || math.IsNaN(r.Value) || math.IsInf(r.Value, 0) {
				bad("table %q: row %q", t.ID, r.Name)
			}
			out.Rows = append(out.Rows, Row(r))
		}
		p.Tables = append(p.Tables, out)
	}
}

func readProtection(f protect, p *Profile, known func(string, []row), bad func(string, ...any)) {
	if len(f.Curves) > 0 && f.Source == "" {
		bad("protection: no source")
	}
	out := Protection{Source: f.Source, DefaultCurve: f.DefaultCurve, Multiwire: f.Multiwire}
	for _, c := range f.Curves {
		if c.Name == "" || !(c.Low > 0) || !(c.High >= c.Low) || !(c.Mean >= c.Low && c.Mean <= c.High) {
			bad("protection curve %q: want low ≤ mean ≤ high", c.Name)
		}
		if !(c.Pulse == 0 || c.Pulse >= 1 && c.Pulse <= 50) {
			bad("protection curve %q: a pulse factor is 1 to 50, or left out", c.Name)
		}
		out.Curves = append(out.Curves, Curve{c.Name, c.Low, c.High, c.Mean, c.Pulse})
	}
	l := f.Loop
	if l.CMin != 0 {
		if !(l.CMin > 0 && l.CMin <= 1) || !(l.TestPct > 0 && l.TestPct <= 100) || !(l.CopperFactor >= 1) || !(l.TouchV > 0) || l.Source == "" {
			bad("protection loop needs c_min, test_pct, copper_factor, touch_v and a source")
		}
		known("protection loop", l.Milliohm)
	}
	out.Loop = Loop{Source: l.Source, CMin: l.CMin, TestPct: l.TestPct, CopperFactor: l.CopperFactor, TouchV: l.TouchV}
	for _, r := range l.Milliohm {
		if !(r.Value > 0) {
			bad("protection loop: %q has %v mΩ/m", r.Name, r.Value)
		}
		out.Loop.MilliohmPerM = append(out.Loop.MilliohmPerM, Row(r))
	}
	for _, r := range l.TypicalZe {
		if r.Name == "" || !(r.Value > 0) {
			bad("protection loop: typical impedance %q %v Ω", r.Name, r.Value)
		}
		out.Loop.TypicalZe = append(out.Loop.TypicalZe, Row(r))
	}
	if r := f.Residual; r.SharePct != 0 {
		if !(r.SharePct > 0 && r.SharePct <= 100) || r.Source == "" || len(r.RatingsMA) == 0 || !ascending(r.RatingsMA) {
			bad("residual needs a share of 0 to 100 %%, ascending ratings and a source")
		}
		out.Residual = Residual{r.Source, r.SharePct, r.RatingsMA}
	}
	p.Protection = out
	if _, ok := p.Curve(out.DefaultCurve); out.DefaultCurve != "" && !ok {
		bad("protection: default curve %q is not among the curves", out.DefaultCurve)
	}
}

// rising converts rows whose values must be positive and ascend.
func rising(what string, rows []row, unit float64, bad func(string, ...any)) []Row {
	var out []Row
	last := 0.0
	for _, r := range rows {
		if r.Name == "" || !(r.Value > last) {
			bad("%s: %q must be above %v", what, r.Name, last)
		}
		last = r.Value
		out = append(out, Row{r.Name, r.Value * unit})
	}
	return out
}
