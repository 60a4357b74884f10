package convert

import (
	"fmt"
	"slices"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"roodbeam/api"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/catalogue"
)

// NothingThere says that a name refers to nothing.
const NothingThere Code = "NOTHING_THERE"

// refKind is what a name may refer to.
type refKind int

const (
	toStation refKind = iota
	toTarget          // what a measurement may be taken from or to
	toLevel
	toLine
	toZone
	toFixture
	toPanel
	toLight   // existing lights
	toCircuit // circuits that units of the same scheme name
	toUnit    // units of the same scheme
	toScheme
	nameless // kinds of which one has no name
)

// nothing says what a name is not, for people.
var nothing = map[refKind]string{
	toStation: "names no station", toTarget: "names no station, hanging line or level", toLevel: "names no level",
	toLine: "names no hanging line", toZone: "names no zone", toFixture: "is the code of no fixture", toPanel: "names no panel",
	toLight: "names no existing light", toCircuit: "is the circuit of no unit of this scheme", toUnit: "is no unit of this scheme", toScheme: "names no scheme",
}

// references are the fields that hold the name of something else. Names in other
// fields are free text, or made by the engine.
var references = map[protoreflect.FullName]refKind{
	"roodbeam.v1.Survey.footprint":              toStation,
	"roodbeam.v1.Footprint.stations":            toStation,
	"roodbeam.v1.Place.station":                 toStation,
	"roodbeam.v1.Wall.from":                     toStation,
	"roodbeam.v1.Wall.to":                       toStation,
	"roodbeam.v1.Measurement.from":              toTarget,
	"roodbeam.v1.Measurement.at":                toTarget,
	"roodbeam.v1.Measurement.to":                toTarget,
	"roodbeam.v1.Measurement.with":              toTarget,
	"roodbeam.v1.Measurement.reference":         toLevel,
	"roodbeam.v1.Seating.level":                 toLevel,
	"roodbeam.v1.OldControl.panel":              toPanel,
	"roodbeam.v1.OldControl.lights":             toLight,
	"roodbeam.v1.Zone.level":                    toLevel,
	"roodbeam.v1.Camera.frames":                 toZone,
	"roodbeam.v1.Limits.no_hang":                toLine,
	"roodbeam.v1.Unit.line":                     toLine,
	"roodbeam.v1.Unit.zone":                     toZone,
	"roodbeam.v1.Unit.fixture":                  toFixture,
	"roodbeam.v1.Pipe.line":                     toLine,
	"roodbeam.v1.SchemeBranch.units":            toUnit,
	"roodbeam.v1.CircuitChoice.name":            toCircuit,
	"roodbeam.v1.CircuitChoice.panel":           toPanel,
	"roodbeam.v1.ProjectSettings.chosen_scheme": toScheme,
}

// ProposedScheme is the name under which clients keep what the engine proposes;
// a file may choose it before it is there.
const ProposedScheme = "proposed"

// References returns a violation for every name in msg that refers to nothing,
// in the order of the fields. Names are those declared in the files: the message
// itself where it is a file, and what a project holds already. A measurement that
// was struck out is left alone.
func References(msg proto.Message, files ...*roodbeamv1.ChurchFile) []Violation {
	r := &referrer{names: namesOf(files)}
	if m := msg.ProtoReflect(); m.IsValid() {
		r.message(m, "")
	}
	return r.found
}

type names map[refKind][]string

func namesOf(files []*roodbeamv1.ChurchFile) names {
	n := names{}
	add := func(k refKind, name string) {
		// Where a name is missing, what it would be is anybody's guess.
		if name == "" {
			n[nameless] = append(n[nameless], fmt.Sprint(k))
		}
		if name != "" && !slices.Contains(n[k], name) {
			n[k] = append(n[k], name)
		}
	}
	add(toScheme, ProposedScheme)
	for _, f := range files {
		s := f.GetSurvey()
		for _, x := range s.GetStations() {
			add(toStation, x.GetName())
		}
		for _, x := range s.GetLines() {
			add(toLine, x.GetName())
		}
		for _, x := range s.GetLevels() {
			add(toLevel, x.GetName())
		}
		for _, x := range s.GetGalleries() {
			add(toLevel, x.GetName())
		}
		for _, x := range s.GetPanels() {
			add(toPanel, x.GetName())
		}
		for _, x := range s.GetExistingLights() {
			add(toLight, x.GetName())
		}
		for _, x := range f.GetBrief().GetZones() {
			add(toZone, x.GetName())
		}
		for _, x := range f.GetFixtures() {
			add(toFixture, x.GetCode())
		}
		for _, x := range f.GetSchemes() {
			add(toScheme, x.GetName())
		}
	}
	for _, x := range []string{"hall floor", "platform"} {
		add(toLevel, x)
	}
	for _, x := range catalogue.Generic() {
		add(toFixture, x.Code)
	}
	n[toTarget] = slices.Concat(n[toStation], n[toLine], n[toLevel], []string{"ceiling", "eaves", "ridge", "crown"})
	return n
}

type referrer struct {
	names names
	found []Violation
}

func (r *referrer) message(m protoreflect.Message, path string) {
	switch x := m.Interface().(type) {
	case *roodbeamv1.Measurement:
		if x.GetVoid() {
			return
		}
	case *roodbeamv1.Scheme:
		r.names[toCircuit], r.names[toUnit] = nil, nil
		for _, u := range x.GetUnits() {
			r.names[toUnit] = append(r.names[toUnit], u.GetId())
			if c := u.GetCircuit(); c != "" && !slices.Contains(r.names[toCircuit], c) {
				r.names[toCircuit] = append(r.names[toCircuit], c)
			}
		}
	}
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		fd := fields.Get(i)
		if !m.Has(fd) || fd.IsMap() || isQuantity(fd) {
			continue
		}
		at := join(path, fd.TextName())
		kind, refers := references[fd.FullName()]
		if fd.IsList() {
			for k := range m.Get(fd).List().Len() {
				in := fmt.Sprintf("%s[%d]", at, k)
				switch v := m.Get(fd).List().Get(k); {
				case refers:
					r.check(kind, v.String(), in)
				case fd.Message() != nil:
					r.message(v.Message(), in)
				}
			}
			continue
		}
		switch {
		case refers:
			r.check(kind, m.Get(fd).String(), at)
		case fd.Message() != nil:
			r.message(m.Get(fd).Message(), at)
		}
	}
}

func (r *referrer) check(kind refKind, name, at string) {
	if name == "" || slices.Contains(r.names[kind], name) || r.guess(kind) {
		return
	}
	if (kind == toLevel || kind == toTarget) && r.level(name) || kind == toTarget && r.part(name) {
		return
	}
	r.found = append(r.found, NoSuch(at, name, nothing[kind], r.names[kind]))
}

// guess tells whether a thing of the kind has no name yet.
func (r *referrer) guess(kind refKind) bool {
	has := func(k refKind) bool { return slices.Contains(r.names[nameless], fmt.Sprint(k)) }
	return has(kind) || kind == toTarget && (has(toStation) || has(toLine) || has(toLevel))
}

// level tells whether a name is read as a level: people say "the hall", or
// "gallery" for the left and the right one.
func (r *referrer) level(name string) bool {
	key := levelKey(name)
	if key == "" || key == "hall" || key == "ground" || key == "main" {
		return strings.TrimSpace(name) != ""
	}
	return slices.ContainsFunc(r.names[toLevel], func(l string) bool {
		k := levelKey(l)
		return k != "" && (strings.Contains(k, key) || strings.Contains(key, k))
	})
}

func levelKey(name string) string {
	n := strings.TrimPrefix(strings.ToLower(strings.TrimSpace(name)), "the ")
	return strings.Trim(strings.TrimSuffix(n, "floor"), " _-")
}

// part tells whether a name is the ceiling, the ridge, or an end of a hanging
// line, in the words of the survey's network.
func (r *referrer) part(name string) bool {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "ceiling", "eaves", "ridge", "crown":
		return true
	}
	return slices.ContainsFunc(r.names[toLine], func(l string) bool {
		return name == "line "+l || name == "line "+l+" from" || name == "line "+l+" to"
	})
}

// MayBeStation tells whether a name that refers to nothing stands where a new
// station would do.
func MayBeStation(v Violation) bool {
	return v.Code == NothingThere && (strings.HasPrefix(v.Reason, nothing[toTarget]) || strings.HasPrefix(v.Reason, nothing[toStation]))
}

// fewNames is how many names are listed where none is near what was given.
const fewNames = 8

// NoSuch is the violation of a name that refers to nothing: it names the nearest
// one there is, else all when they are few.
func NoSuch(field, given, reason string, names []string) Violation {
	v := Violation{Field: field, Code: NothingThere, Given: given, Reason: reason}
	near := api.Nearest(given, names)
	switch {
	case near != "":
		v.Reason += fmt.Sprintf("; did you mean %q?", near)
	case len(names) == 0:
		v.Reason += "; there are none yet"
	}
	if len(names) > 0 && len(names) <= fewNames {
		v.Allowed = strings.Join(names, ", ")
	}
	return v
}
