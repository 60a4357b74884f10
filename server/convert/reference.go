package convert

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"roodbeam/api"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/survey"
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
	toThing // whatever a photograph may show
)

// nothing says what a name is not, for people.
var nothing = map[refKind]string{
	toStation: "names no station", toTarget: "names no station, hanging line or level", toLevel: "names no level",
	toLine: "names no hanging line", toZone: "names no zone", toFixture: "is the code of no fixture", toPanel: "names no panel",
	toLight: "names no existing light", toCircuit: "is the circuit of no unit of this scheme", toUnit: "is no unit of this scheme", toScheme: "names no scheme",
	toThing: "is nothing of this survey, its measurements, the brief's zones or the checklist (item C7)",
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
	"roodbeam.v1.FinishPhotoRequest.of":         toThing,
}

// ProposedScheme is the name under which clients keep what the engine proposes;
// a file may choose it before it is there.
const ProposedScheme = "proposed"

// References returns a violation for every name in msg that refers to nothing,
// in the order of the fields. Names are those declared in the files: the message
// itself where it is a file, and what a project holds already. A measurement that
// was struck out is left alone.
func References(msg proto.Message, files ...*roodbeamv1.ChurchFile) []Violation {
	r := &referrer{names: namesOf(files), heights: heightsOf(files), said: map[asked]*Violation{}}
	if m := msg.ProtoReflect(); m.IsValid() {
		r.message(m, "")
	}
	return r.found
}

// names are what there is to refer to.
type names struct {
	list    map[refKind][]string // in the order of the files
	has     map[refKind]map[string]bool
	unnamed map[refKind]bool // kinds of which one has no name: what it would be is anybody's guess
}

func (n *names) add(k refKind, all ...string) {
	if n.has[k] == nil {
		n.has[k] = map[string]bool{}
	}
	for _, name := range all {
		switch {
		case name == "":
			n.unnamed[k] = true
		case !n.has[k][name]:
			n.has[k][name] = true
			n.list[k] = append(n.list[k], name)
		}
	}
}

// forget takes a kind's names out.
func (n *names) forget(k refKind) { n.list[k], n.has[k] = nil, nil }

func namesOf(files []*roodbeamv1.ChurchFile) *names {
	n := &names{list: map[refKind][]string{}, has: map[refKind]map[string]bool{}, unnamed: map[refKind]bool{}}
	add := func(k refKind, name string) { n.add(k, name) }
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
			add(toLevel, survey.GalleryLevel(x.GetName()))
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
	// Nothing is measured to the hall floor: heights count from it.
	floors := slices.DeleteFunc(slices.Clone(n.list[toLevel]), survey.IsHallFloor)
	n.add(toTarget, slices.Concat(n.list[toStation], n.list[toLine], floors, []string{"ceiling", "eaves", "ridge", "crown"})...)
	n.add(toThing, things(files)...)
	return n
}

// heightsOf are the heights of the floors, where known.
func heightsOf(files []*roodbeamv1.ChurchFile) map[string]float64 {
	out := map[string]float64{}
	add := func(name string, q *roodbeamv1.Quantity) {
		if q != nil && q.ValueSi != nil {
			out[name] = q.GetValueSi()
		}
	}
	for _, f := range files {
		for _, x := range f.GetSurvey().GetLevels() {
			add(x.GetName(), x.GetHeight())
		}
		for _, x := range f.GetSurvey().GetGalleries() {
			add(survey.GalleryLevel(x.GetName()), x.GetFloor())
		}
	}
	return out
}

// things are the names of what a photograph may show: "line B1" for a line B1.
func things(files []*roodbeamv1.ChurchFile) []string {
	out := []string{"room", "outside"}
	seen := map[string]bool{"room": true, "outside": true}
	add := func(kind, name string) {
		if t := strings.TrimSpace(strings.ReplaceAll(kind, "_", " ") + " " + name); !seen[t] {
			seen[t] = true
			out = append(out, t)
		}
	}
	for _, f := range files {
		for _, x := range Features(f.GetSurvey()) {
			kind, name := FeatureKey(x)
			add(Word(kind), name)
		}
		for _, x := range f.GetSurvey().GetGalleries() {
			add("level", survey.GalleryLevel(x.GetName()))
		}
		for _, x := range f.GetSurvey().GetMeasurements() {
			add("measurement", x.GetId())
		}
		for _, x := range f.GetBrief().GetZones() {
			add("zone", x.GetName())
		}
	}
	for _, one := range []string{"ceiling", "platform", "floor", "supply", "site", "level platform"} {
		add(one, "")
	}
	for _, x := range survey.Checklist() {
		add("item", x.ID)
	}
	return out
}

type referrer struct {
	names     *names
	heights   map[string]float64   // of floors, m above the hall floor
	said      map[asked]*Violation // what was said of a name before, nil for nothing
	suggested int                  // how many names were held against all there are
	found     []Violation
}

// asked is a name where a kind of thing is wanted.
type asked struct {
	kind refKind
	name string
}

func (r *referrer) message(m protoreflect.Message, path string) {
	switch x := m.Interface().(type) {
	case *roodbeamv1.Measurement:
		if x.GetVoid() {
			return
		}
	case *roodbeamv1.Scheme:
		r.names.forget(toCircuit)
		r.names.forget(toUnit)
		maps.DeleteFunc(r.said, func(n asked, _ *Violation) bool { return n.kind == toCircuit || n.kind == toUnit })
		for _, u := range x.GetUnits() {
			if u.GetId() != "" {
				r.names.add(toUnit, u.GetId())
			}
			if u.GetCircuit() != "" {
				r.names.add(toCircuit, u.GetCircuit())
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
	if name == "" || r.names.has[kind][name] || r.guess(kind) {
		return
	}
	v, before := r.said[asked{kind, name}]
	if !before {
		v = r.say(kind, name)
		r.said[asked{kind, name}] = v
	}
	if v != nil {
		here := *v
		here.Field = at
		r.found = append(r.found, here)
	}
}

// say is what is wrong with a name that is not on the list of its kind, nil for
// nothing.
func (r *referrer) say(kind refKind, name string) *Violation {
	switch kind {
	case toThing:
		if _, ok := Thing(name, r.names.list[toThing]); ok {
			return nil
		}
	case toTarget:
		if r.part(name) {
			return nil
		}
		if survey.IsHallFloor(name) {
			return &Violation{Code: NothingThere, Given: name, Allowed: "a height, with `reference: hall floor`",
				Reason: "is where heights count from and is not measured to"}
		}
		fallthrough
	case toLevel:
		if strings.TrimSpace(name) != "" && survey.IsHallFloor(name) {
			return nil
		}
		switch floors := survey.FloorsCalled(name, r.names.list[toLevel]); {
		case r.oneHeight(floors):
			return nil
		case len(floors) > 1:
			return &Violation{Code: Ambiguous, Given: name,
				Reason: "is more than one floor, and they are not on one height", Allowed: strings.Join(floors, ", ")}
		}
	}
	near := ""
	if r.suggested < mostSuggested {
		r.suggested++
		near = nearest(name, r.names.list[kind])
	}
	v := noSuch(name, nothing[kind], r.names.list[kind], near)
	return &v
}

// oneHeight tells whether there are floors, and none of another height than the
// rest, as far as heights are known.
func (r *referrer) oneHeight(floors []string) bool {
	for _, f := range floors {
		for _, g := range floors {
			hf, f1 := r.heights[f]
			hg, g1 := r.heights[g]
			if f1 && g1 && hf != hg {
				return false
			}
		}
	}
	return len(floors) > 0
}

// Thing returns which of things a photograph's subject is: as it stands there, or
// its name alone where one thing has it. Case and spaces count for nothing.
func Thing(of string, things []string) (string, bool) {
	fold := func(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }
	want := fold(of)
	for _, t := range things {
		if fold(t) == want {
			return t, true
		}
	}
	var named []string
	for _, t := range things {
		if strings.HasSuffix(fold(t), " "+want) && slices.ContainsFunc(thingWords, func(w string) bool { return fold(t) == w+" "+want }) {
			named = append(named, t)
		}
	}
	if len(named) == 1 {
		return named[0], true
	}
	return "", false
}

// Things are the names of what a photograph may show.
func Things(files ...*roodbeamv1.ChurchFile) []string { return things(files) }

// thingWords stand before the name of a thing that may be named without them; an
// item of the checklist may not, for people call beams B1 too.
var thingWords = func() []string {
	out := []string{"measurement", "zone"}
	for kind := range featureLists {
		out = append(out, strings.ReplaceAll(string(kind), "_", " "))
	}
	slices.Sort(out)
	return out
}()

// guess tells whether a thing of the kind has no name yet.
func (r *referrer) guess(kind refKind) bool {
	u := r.names.unnamed
	return u[kind] || kind == toTarget && (u[toStation] || u[toLine] || u[toLevel])
}

// part tells whether a name is the ceiling, the ridge, or an end of a hanging
// line, in the words of the survey's network.
func (r *referrer) part(name string) bool {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "ceiling", "eaves", "ridge", "crown":
		return true
	}
	line, ok := strings.CutPrefix(name, "line ")
	if !ok {
		return false
	}
	has := r.names.has[toLine]
	return has[line] || has[strings.TrimSuffix(line, " from")] || has[strings.TrimSuffix(line, " to")]
}

// MayBeStation tells whether a name that refers to nothing stands where a new
// station would do.
func MayBeStation(v Violation) bool {
	return v.Code == NothingThere && (strings.HasPrefix(v.Reason, nothing[toTarget]) || strings.HasPrefix(v.Reason, nothing[toStation]))
}

// mostNames is how many names are listed, fewNames where one is near already.
// Finding the near one takes long: it is done for as many names of a message as
// anybody reads, and for none that is longer than names are.
const (
	fewNames      = 8
	mostNames     = 20
	mostSuggested = 100
	longestName   = 200 // bytes
)

// NoSuch is the violation of a name that refers to nothing: it names the nearest
// one there is, else all, or the first where they are very many.
func NoSuch(field, given, reason string, names []string) Violation {
	v := noSuch(given, reason, names, nearest(given, names))
	v.Field = field
	return v
}

func noSuch(given, reason string, names []string, near string) Violation {
	v := Violation{Code: NothingThere, Given: given, Reason: reason}
	switch {
	case near != "":
		v.Reason += fmt.Sprintf("; did you mean %q?", near)
	case len(names) == 0:
		v.Reason += "; there are none yet"
	}
	switch n := len(names); {
	case n == 0 || near != "" && n > fewNames:
	case n > mostNames:
		v.Allowed = strings.Join(names[:mostNames], ", ") + fmt.Sprintf(" and %d more", n-mostNames)
	default:
		v.Allowed = strings.Join(names, ", ")
	}
	return v
}

// nearest returns the name that a person most likely meant: the nearest in
// letters, the one that is short for it, as B3 is for "Beam 3", or the one that
// it begins.
func nearest(given string, names []string) string {
	if len(given) > longestName {
		return ""
	}
	if words := strings.Fields(given); len(words) > 1 {
		short := ""
		for _, w := range words {
			if _, err := strconv.Atoi(w); err != nil {
				w = string([]rune(w)[:1])
			}
			short += w
		}
		for _, n := range names {
			if strings.EqualFold(n, short) {
				return n
			}
		}
	}
	if near := api.Nearest(given, names); near != "" {
		return near
	}
	// Whoever writes "plat" began to write one name.
	begun := strings.ToLower(strings.TrimSpace(given))
	var found []string
	for _, n := range names {
		if len(begun) > 2 && strings.HasPrefix(strings.ToLower(n), begun) {
			found = append(found, n)
		}
	}
	if len(found) == 1 {
		return found[0]
	}
	return ""
}
