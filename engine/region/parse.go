package region

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"sort"
	"strconv"

	"roodbeam/engine/si"
)

// MM2PerCmil is the area of one circular mil in mm²: a circle of 0.001 in
// diameter, π/4·0.0254².
const MM2PerCmil = math.Pi / 4 * 0.0254 * 0.0254

// kmPerKft is 1000 ft in kilometres.
const kmPerKft = 0.3048

type file struct {
	ID       string `json:"id"`
	Edition  string `json:"edition"`
	Title    string `json:"title"`
	Display  string `json:"display"`
	Paper    string `json:"paper"`
	Gauges   string `json:"gauges"`
	Breakers struct {
		Source       string    `json:"source"`
		Ratings      []float64 `json:"ratings_a"`
		Branch       []float64 `json:"branch_a"`
		BranchSource string    `json:"branch_source"`
	} `json:"breakers"`
	Continuous struct {
		Factor float64 `json:"factor"`
		Source string  `json:"source"`
	} `json:"continuous"`
	Conductors struct {
		Source         string         `json:"source"`
		AreaUnit       string         `json:"area_unit"`
		ResistanceUnit string         `json:"resistance_unit"`
		TerminalC      float64        `json:"terminal_c"`
		InsulationC    float64        `json:"insulation_c"`
		Rows           []conductorRow `json:"rows"`
	} `json:"conductors"`
	Ambient struct {
		Source  string                  `json:"source"`
		Columns map[string][][2]float64 `json:"columns"`
	} `json:"ambient"`
	Grouping struct {
		Source  string       `json:"source"`
		Per     string       `json:"per"`
		Factors [][2]float64 `json:"factors"`
	} `json:"grouping"`
	SmallConductor struct {
		Source   string `json:"source"`
		Smallest string `json:"smallest"`
		Rows     []struct {
			Name string  `json:"name"`
			MaxA float64 `json:"max_a"`
		} `json:"rows"`
	} `json:"small_conductor"`
	EquipmentGround struct {
		Source string `json:"source"`
		AsLine bool   `json:"as_line"`
		Rows   []struct {
			UpToA float64 `json:"up_to_a"`
			Name  string  `json:"name"`
		} `json:"rows"`
	} `json:"equipment_ground"`
	VoltageDrop struct {
		LimitPct float64 `json:"limit_pct"`
		Source   string  `json:"source"`
	} `json:"voltage_drop"`
	Connectors []struct {
		Name    string  `json:"name"`
		MaxA    float64 `json:"max_a"`
		Volts   float64 `json:"volts"`
		Poles   int     `json:"poles"`
		Locking bool    `json:"locking"`
		Source  string  `json:"source"`
	} `json:"connectors"`
	Conventions struct {
		Asbestos struct {
			From   int    `json:"from_year"`
			To     int    `json:"to_year"`
			Source string `json:"source"`
		} `json:"asbestos"`
		DataSlack struct {
			M      float64 `json:"m"`
			Source string  `json:"source"`
		} `json:"data_slack"`
		HouseLight struct {
			WM2    float64 `json:"w_per_m2"`
			Source string  `json:"source"`
		} `json:"house_light"`
		PriceBook string `json:"price_book"`
	} `json:"conventions"`
	Notes  []string `json:"notes"`
	Supply struct {
		System    string  `json:"system"`
		VoltageV  float64 `json:"voltage_v"`
		Frequency float64 `json:"frequency_hz"`
		Source    string  `json:"source"`
	} `json:"supply"`
	Raceway       raceways `json:"raceway"`
	Protection    protect  `json:"protection"`
	Installations []struct {
		ID     string `json:"id"`
		Title  string `json:"title"`
		Source string `json:"source"`
		Loaded int    `json:"loaded"`
		Rows   []row  `json:"rows"`
	} `json:"installations"`
	Harmonics struct {
		Source string `json:"source"`
		Rows   []struct {
			UpToPct float64 `json:"up_to_pct"`
			Factor  float64 `json:"factor"`
			On      string  `json:"on"`
		} `json:"rows"`
	} `json:"harmonics"`
	Tables []struct {
		ID     string `json:"id"`
		Title  string `json:"title"`
		Unit   string `json:"unit"`
		Source string `json:"source"`
		Rows   []row  `json:"rows"`
	} `json:"tables"`
}

type conductorRow struct {
	Name        string             `json:"name"`
	Area        float64            `json:"area"`
	AmpacityA   map[string]float64 `json:"ampacity_a"`
	Ampacity3A  float64            `json:"ampacity3_a"`
	Resistance  float64            `json:"resistance"`
	Resistance3 float64            `json:"resistance3"`
	Reactance   float64            `json:"reactance"`
}

// Parse reads one profile's data file (JSON). It returns every fault it finds,
// joined; a profile with a fault is not returned.
func Parse(raw []byte) (Profile, error) {
	var f file
	dec := json.NewDecoder(bytes.NewReader(raw))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&f); err != nil {
		return Profile{}, fmt.Errorf("region: %w", err)
	}
	var faults []error
	bad := func(format string, a ...any) { faults = append(faults, fmt.Errorf("region: "+format, a...)) }
	p := Profile{
		ID: f.ID, Edition: f.Edition, Title: f.Title, Paper: f.Paper, Gauges: f.Gauges,
		Breakers: f.Breakers.Ratings, BreakersSource: f.Breakers.Source,
		BranchBreakers: f.Breakers.Branch, BranchBreakersSource: f.Breakers.BranchSource,
		ContinuousFactor: f.Continuous.Factor, ContinuousSource: f.Continuous.Source,
		ConductorsSource: f.Conductors.Source, TerminalC: f.Conductors.TerminalC, InsulationC: f.Conductors.InsulationC,
		AmbientSource: f.Ambient.Source, GroupingSource: f.Grouping.Source, GroupingPer: f.Grouping.Per,
		SmallConductorSource: f.SmallConductor.Source, SmallestConductor: f.SmallConductor.Smallest,
		EquipmentGroundSource: f.EquipmentGround.Source, GroundAsLine: f.EquipmentGround.AsLine,
		VoltageDropPct: f.VoltageDrop.LimitPct, VoltageDropSource: f.VoltageDrop.Source, Notes: f.Notes,
	}
	switch f.Display {
	case "us":
		p.Display = si.US
	case "metric":
		p.Display = si.Metric
	default:
		bad("display %q, want us or metric", f.Display)
	}
	if p.ID == "" || p.Edition == "" || p.Title == "" {
		bad("id, edition and title are needed")
	}
	if p.Paper != "Tabloid" && p.Paper != "A3" {
		bad("paper %q, want Tabloid or A3", p.Paper)
	}
	v := f.Conventions
	p.Conventions = Conventions{AsbestosFrom: v.Asbestos.From, AsbestosTo: v.Asbestos.To, AsbestosSource: v.Asbestos.Source,
		DataSlackM: v.DataSlack.M, DataSlackSource: v.DataSlack.Source,
		HouseLightWM2: v.HouseLight.WM2, HouseLightSource: v.HouseLight.Source, PriceBook: v.PriceBook}
	if v.Asbestos.From < 0 || v.Asbestos.To < v.Asbestos.From || v.Asbestos.To == 0 {
		bad("asbestos from year %d to %d", v.Asbestos.From, v.Asbestos.To)
	}
	if !(v.DataSlack.M > 0) || !(v.HouseLight.WM2 > 0) {
		bad("data slack %v m and house light %v W/m² must be positive", v.DataSlack.M, v.HouseLight.WM2)
	}
	for _, s := range []struct{ name, source string }{
		{"asbestos", v.Asbestos.Source}, {"data slack", v.DataSlack.Source}, {"house light", v.HouseLight.Source}, {"price book", v.PriceBook},
		{"breakers", p.BreakersSource}, {"branch breakers", p.BranchBreakersSource}, {"continuous", p.ContinuousSource},
		{"conductors", p.ConductorsSource}, {"ambient", p.AmbientSource}, {"grouping", p.GroupingSource},
		{"small conductor", p.SmallConductorSource}, {"equipment ground", p.EquipmentGroundSource}, {"voltage drop", p.VoltageDropSource},
	} {
		if s.source == "" {
			bad("%s: no source", s.name)
		}
	}
	if len(p.Breakers) == 0 || !ascending(p.Breakers) {
		bad("breaker ratings must be positive and ascending")
	}
	if len(p.BranchBreakers) == 0 || !ascending(p.BranchBreakers) || !subset(p.BranchBreakers, p.Breakers) {
		bad("branch ratings must be ascending and among the breaker ratings")
	}
	if !(p.ContinuousFactor >= 1 && p.ContinuousFactor <= 2) {
		bad("continuous factor %v, want 1 to 2", p.ContinuousFactor)
	}
	if !(p.VoltageDropPct > 0 && p.VoltageDropPct < 100) {
		bad("voltage drop limit %v %%", p.VoltageDropPct)
	}
	if f.Grouping.Per != "conductors" && f.Grouping.Per != "circuits" {
		bad("grouping per %q, want conductors or circuits", f.Grouping.Per)
	}
	p.Grouping = factors(f.Grouping.Factors)
	checkFactors("grouping", p.Grouping, bad)
	for _, key := range sortedKeys(f.Ambient.Columns) {
		t, err := strconv.ParseFloat(key, 64)
		if err != nil {
			bad("ambient column %q is not a temperature", key)
			continue
		}
		col := AmbientColumn{TempC: t, Factors: factors(f.Ambient.Columns[key])}
		checkFactors("ambient "+key, col.Factors, bad)
		p.AmbientColumns = append(p.AmbientColumns, col)
		if t == p.InsulationC {
			p.Ambient = col.Factors
		}
	}
	sort.Slice(p.AmbientColumns, func(i, j int) bool { return p.AmbientColumns[i].TempC < p.AmbientColumns[j].TempC })
	if p.Ambient == nil {
		bad("no ambient column for the insulation temperature %v °C", p.InsulationC)
	}
	p.Conductors = conductors(f, bad)
	names := map[string]bool{}
	for _, c := range p.Conductors {
		names[c.Name] = true
	}
	if p.SmallestConductor != "" && !names[p.SmallestConductor] {
		bad("smallest conductor %q is not in the table", p.SmallestConductor)
	}
	for _, r := range f.SmallConductor.Rows {
		if !names[r.Name] || !(r.MaxA > 0) {
			bad("small conductor row %q, %v A", r.Name, r.MaxA)
		}
		p.SmallConductor = append(p.SmallConductor, Factor{UpTo: r.MaxA, Value: r.MaxA, Name: r.Name})
	}
	last := 0.0
	for _, r := range f.EquipmentGround.Rows {
		if !names[r.Name] || !(r.UpToA > last) {
			bad("equipment ground row %q up to %v A", r.Name, r.UpToA)
		}
		last = r.UpToA
		p.EquipmentGround = append(p.EquipmentGround, Factor{UpTo: r.UpToA, Value: r.UpToA, Name: r.Name})
	}
	if len(p.EquipmentGround) == 0 {
		bad("no equipment ground table")
	}
	for _, c := range f.Connectors {
		if c.Name == "" || c.Source == "" || !(c.MaxA > 0) || !(c.Volts > 0) || c.Poles < 1 {
			bad("connector %q needs name, source, amperes, volts and poles", c.Name)
		}
		p.Connectors = append(p.Connectors, Connector{c.Name, c.MaxA, c.Volts, c.Poles, c.Locking, c.Source})
	}
	readTables(f, &p, names, bad)
	if len(faults) > 0 {
		return Profile{}, errors.Join(faults...)
	}
	return p, nil
}

func conductors(f file, bad func(string, ...any)) []Conductor {
	var out []Conductor
	area, seen := 0.0, map[string]bool{}
	for _, r := range f.Conductors.Rows {
		c := Conductor{Name: r.Name, Ampacity3A: r.Ampacity3A}
		if r.Name == "" || seen[r.Name] {
			bad("conductor %q is named twice or not at all", r.Name)
		}
		seen[r.Name] = true
		switch f.Conductors.AreaUnit {
		case "cmil":
			c.AreaMM2 = r.Area * MM2PerCmil
		case "mm2":
			c.AreaMM2 = r.Area
		default:
			bad("area unit %q, want cmil or mm2", f.Conductors.AreaUnit)
		}
		switch f.Conductors.ResistanceUnit {
		case "ohm_per_kft":
			c.OhmPerKm, c.ReactPerKm = r.Resistance/kmPerKft, r.Reactance/kmPerKft
		case "mv_per_a_m":
			// A tabulated two-wire drop counts both conductors.
			c.MVAM, c.MVAM3, c.OhmPerKm, c.ReactPerKm = r.Resistance, r.Resistance3, r.Resistance/2, r.Reactance/2
		case "ohm_per_km":
			c.OhmPerKm, c.ReactPerKm = r.Resistance, r.Reactance
		default:
			bad("resistance unit %q, want ohm_per_kft, ohm_per_km or mv_per_a_m", f.Conductors.ResistanceUnit)
		}
		if !(c.AreaMM2 > area) || !(c.OhmPerKm > 0) || r.Reactance < 0 {
			bad("conductor %q: areas must ascend, resistance be positive", r.Name)
		}
		area = c.AreaMM2
		for _, key := range sortedKeys(r.AmpacityA) {
			t, err := strconv.ParseFloat(key, 64)
			if err != nil || !(r.AmpacityA[key] > 0) {
				bad("conductor %q: ampacity column %q", r.Name, key)
				continue
			}
			c.Columns = append(c.Columns, Column{t, r.AmpacityA[key]})
		}
		sort.Slice(c.Columns, func(i, j int) bool { return c.Columns[i].TempC < c.Columns[j].TempC })
		c.AmpacityA = c.column(f.Conductors.TerminalC)
		if c.AmpacityA == 0 || c.column(f.Conductors.InsulationC) == 0 {
			bad("conductor %q: no ampacity in the terminal or insulation column", r.Name)
		}
		if n := len(out); n > 0 && c.AmpacityA < out[n-1].AmpacityA {
			bad("conductor %q: ampacity falls with area", r.Name)
		}
		out = append(out, c)
	}
	if len(out) == 0 {
		bad("no conductors")
	}
	return out
}

func factors(rows [][2]float64) []Factor {
	out := make([]Factor, len(rows))
	for i, r := range rows {
		out[i] = Factor{UpTo: r[0], Value: r[1]}
	}
	return out
}

func checkFactors(name string, fs []Factor, bad func(string, ...any)) {
	if len(fs) == 0 {
		bad("%s: no factors", name)
	}
	for i, f := range fs {
		if !(f.Value > 0) || f.Value > 2 || (i > 0 && (f.UpTo <= fs[i-1].UpTo || f.Value > fs[i-1].Value)) {
			bad("%s: row %d must ascend and its factor not rise", name, i)
		}
	}
}

func ascending(v []float64) bool {
	for i, x := range v {
		if !(x > 0) || (i > 0 && x <= v[i-1]) {
			return false
		}
	}
	return true
}

func subset(part, whole []float64) bool {
	in := map[float64]bool{}
	for _, w := range whole {
		in[w] = true
	}
	for _, p := range part {
		if !in[p] {
			return false
		}
	}
	return true
}

func sortedKeys[V any](m map[string]V) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	return keys
}
