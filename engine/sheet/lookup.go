package sheet

import (
	"math"
	"sort"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/network"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// lookup answers by unit what the results hold by circuit, branch or line.
type lookup struct {
	light    map[string]light.Unit
	circuit  map[string]int // index into Load.Circuits
	outlet   map[string]electrical.Outlet
	branch   map[string]int // index into Network.Branches
	order    map[string]int // place on the branch, 1 first
	address  map[string]network.Address
	along    map[string]si.Length
	stations map[string]geom.Vec
	codes    map[string]bool
}

func newLookup(in *Input) *lookup {
	l := &lookup{
		light: map[string]light.Unit{}, circuit: map[string]int{}, outlet: map[string]electrical.Outlet{},
		branch: map[string]int{}, order: map[string]int{}, address: map[string]network.Address{},
		along: map[string]si.Length{}, stations: map[string]geom.Vec{}, codes: map[string]bool{},
	}
	for _, u := range in.Light.Units {
		l.light[u.ID] = u
	}
	for i, c := range in.Load.Circuits {
		for _, u := range c.Units {
			l.circuit[u] = i
		}
		for _, o := range c.Places {
			for _, u := range o.Units {
				l.outlet[u] = o
			}
		}
	}
	for i, b := range in.Network.Branches {
		for k, u := range b.Units {
			l.branch[u], l.order[u] = i, k+1
			if k < len(b.Places) {
				l.order[u] = b.Places[k]
			}
		}
	}
	for _, a := range in.Network.Addresses {
		l.address[a.Unit] = a
	}
	for _, h := range in.Hanging.Lines {
		for _, p := range h.Loads {
			l.along[p.Unit] = p.Along
		}
	}
	for _, p := range in.Placed {
		if p.Along.Set {
			l.along[p.ID] = p.Along.Value
		}
	}
	for _, s := range in.Room.Stations {
		l.stations[s.Name] = s.At
	}
	if in.Book != nil {
		for _, c := range in.Book.Codes() {
			l.codes[c.Code] = true
		}
	}
	return l
}

// lookups returns the tables, made on first need for a scene built by itself.
func (in *Input) lookups() *lookup {
	if in.look == nil {
		in.look = newLookup(in)
	}
	return in.look
}

func (in *Input) fixture(code string) (catalogue.Fixture, bool) {
	if in.Catalogue == nil {
		return catalogue.Fixture{}, false
	}
	return in.Catalogue.Get(code)
}

func (in *Input) fixtureName(code string) string {
	if f, ok := in.fixture(code); ok && f.Name != "" {
		return f.Name
	}
	return code
}

// place returns where a surveyed place is; a coordinate nobody gave is NaN.
func (in *Input) place(p survey.Place) geom.Vec {
	nan := math.NaN()
	at := geom.Vec{X: nan, Y: nan, Z: nan}
	if s, ok := in.lookups().stations[p.Station]; ok && p.Station != "" {
		at = s
	}
	for _, c := range []struct {
		typed survey.L
		to    *float64
	}{{p.X, &at.X}, {p.Y, &at.Y}, {p.Z, &at.Z}} {
		if c.typed.Set {
			*c.to = c.typed.Value.Metres()
		}
	}
	return at
}

// rendered is a finding's text; a code the book does not know speaks for itself.
func (in *Input) rendered(f finding.Finding) finding.Rendered {
	if in.Book == nil || !in.lookups().codes[f.Code] {
		return finding.Rendered{Title: f.Code, Text: f.Subject}
	}
	r := in.Book.Render(f, in.Display)
	return finding.Rendered{Title: whole(r.Title), Text: whole(r.Text), Advice: whole(r.Advice)}
}

// linesInUse are the names of the hanging lines that carry units, sorted.
func (in *Input) linesInUse() []string {
	seen := map[string]bool{}
	var out []string
	for _, p := range in.Placed {
		if p.Line != "" && !seen[p.Line] {
			seen[p.Line] = true
			out = append(out, p.Line)
		}
	}
	sort.Strings(out)
	return out
}
