package convert

import (
	"strings"
	"time"
	_ "time/tzdata" // zones are known also where the machine has no table of them

	"google.golang.org/protobuf/reflect/protoreflect"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/region"
)

// between checks what no rule of one field can: fields that bind one another, and
// names of tables outside the project.
func (n *normaliser) between(m protoreflect.Message, path string) {
	n.ordered(m, path)
	switch x := m.Interface().(type) {
	case *roodbeamv1.Measurement:
		n.unsigned(x, path)
		n.apart(x, path)
	case *roodbeamv1.Panel:
		if x.GetSpaces() > 0 && x.GetSpacesUsed() > x.GetSpaces() {
			n.add(Violation{Field: join(path, "spaces_used"), Code: OutOfRange, Given: number6(float64(x.GetSpacesUsed())),
				Reason: "is more than the panel's spaces", Allowed: "0 to " + number6(float64(x.GetSpaces())) + ", its spaces"})
		}
	case *roodbeamv1.ProjectSettings:
		n.zone(x.GetTimeZone(), join(path, "time_zone"))
	case *roodbeamv1.Brief:
		if id := x.GetRegion(); id != "" {
			if _, ok := region.Get(id); !ok {
				n.add(Violation{Field: join(path, "region"), Code: NothingThere, Given: id, Reason: "is not a region profile", Allowed: regions()})
			}
		}
	}
}

func regions() string {
	return strings.Join(each(region.Profiles(), func(p region.Profile) string { return p.ID }), ", ")
}

// ordered checks that of a least and a greatest value, "min_x" and "max_x", the
// least is less.
func (n *normaliser) ordered(m protoreflect.Message, path string) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		least := fields.Get(i)
		name, isLeast := strings.CutPrefix(least.TextName(), "min_")
		greatest := fields.ByTextName("max_" + name)
		if !isLeast || greatest == nil || !isQuantity(least) || !isQuantity(greatest) || !m.Has(least) || !m.Has(greatest) {
			continue
		}
		lo, hi := m.Get(least).Message().Interface().(*roodbeamv1.Quantity), m.Get(greatest).Message().Interface().(*roodbeamv1.Quantity)
		if lo.ValueSi == nil || hi.ValueSi == nil || lo.GetValueSi() < hi.GetValueSi() {
			continue
		}
		n.add(Violation{Field: join(path, least.TextName()), Code: OutOfRange, Given: shown(lo), Reason: "is not less than " + greatest.TextName() + ", " + shown(hi),
			Allowed: "a value below " + shown(hi) + ", or the two the other way round"})
	}
}

// shown is a quantity as it was typed, else its number.
func shown(q *roodbeamv1.Quantity) string {
	if t := strings.TrimSpace(q.GetTyped()); t != "" {
		return t
	}
	return number6(q.GetValueSi())
}

// withoutSign are the kinds of measurement that a tape reads from end to end.
var withoutSign = map[roodbeamv1.MeasurementKind]bool{
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_DISTANCE:   true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_HORIZONTAL: true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_OFFSET:     true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_SLOPE:      true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_DRAWN:      true,
}

// unsigned refuses a distance below nothing.
func (n *normaliser) unsigned(m *roodbeamv1.Measurement, path string) {
	if !withoutSign[m.GetKind()] || m.GetVoid() {
		return
	}
	check := func(q *roodbeamv1.Quantity, at string) {
		if q.ValueSi == nil || q.GetValueSi() >= 0 {
			return
		}
		n.add(Violation{Field: join(path, at), Code: OutOfRange, Given: shown(q), Reason: "is below nothing: a " + Word(m.GetKind()) + " has no direction",
			Allowed: Show(optionsv1.Dimension_DIMENSION_LENGTH, 0, n.units) + " to " + Show(optionsv1.Dimension_DIMENSION_LENGTH, longestM, n.units)})
	}
	if m.Value != nil {
		check(m.Value, "value")
	}
	for i, q := range m.GetRepeats() {
		check(q, "repeats["+number6(float64(i))+"]")
	}
}

// betweenTwo are the kinds of measurement that lie between two things.
var betweenTwo = map[roodbeamv1.MeasurementKind]bool{
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_DISTANCE:    true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_HORIZONTAL:  true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_RISE:        true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_SAME_HEIGHT: true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_SLOPE:       true,
	roodbeamv1.MeasurementKind_MEASUREMENT_KIND_DRAWN:       true,
}

// apart refuses what was measured from a thing to itself.
func (n *normaliser) apart(m *roodbeamv1.Measurement, path string) {
	from := strings.TrimSpace(m.GetFrom())
	if !betweenTwo[m.GetKind()] || m.GetVoid() || from == "" || !strings.EqualFold(from, strings.TrimSpace(m.GetTo())) {
		return
	}
	n.add(Violation{Field: join(path, "to"), Code: OutOfRange, Given: m.GetTo(), Reason: "is where it was measured from", Allowed: "another point than " + from})
}

// longestM is the longest measurement of the protos, m.
const longestM = 200

// zone checks that a time zone is one of the IANA database.
func (n *normaliser) zone(name, path string) {
	if name == "" || knownZone(name) || len(name) > maxZone {
		return
	}
	v := Violation{Field: path, Code: NothingThere, Given: name, Reason: "is no time zone of the IANA database", Allowed: "for example Europe/Lisbon or America/Chicago; empty: UTC"}
	if near := nearestZone(name); near != "" {
		v.Reason += "; did you mean \"" + near + "\"?"
	}
	n.add(v)
}

// maxZone bounds a zone's name: the longest of the database has 32 letters.
const maxZone = 64

func knownZone(name string) bool {
	if name == "Local" { // the machine's own zone is nobody's church
		return false
	}
	_, err := time.LoadLocation(name)
	return err == nil
}

// nearestZone returns a zone that is one slip of the pen away, "" where there is
// none: the library tells whether a zone is there, but lists none.
func nearestZone(name string) string {
	if upper := zoneCase(name); upper != name && knownZone(upper) {
		return upper
	}
	const letters = "abcdefghijklmnopqrstuvwxyz_"
	name = zoneCase(name)
	try := func(parts ...string) string {
		if z := strings.Join(parts, ""); knownZone(z) {
			return z
		}
		return ""
	}
	for i := range len(name) + 1 {
		head, tail := name[:i], name[i:]
		var found []string
		if len(tail) > 1 {
			found = append(found, try(head, tail[1:2], tail[:1], tail[2:]))
		}
		if tail != "" {
			found = append(found, try(head, tail[1:]))
		}
		for _, c := range letters {
			found = append(found, try(head, string(c), tail))
			if tail != "" {
				found = append(found, try(head, string(c), tail[1:]))
			}
		}
		for _, z := range found {
			if strings.Contains(z, "/") {
				return z
			}
		}
	}
	return ""
}

// zoneCase writes a zone as most are: words with a capital, _ between them.
func zoneCase(name string) string {
	start := true
	return strings.Map(func(r rune) rune {
		switch {
		case r == ' ':
			r = '_'
		case start && r >= 'a' && r <= 'z':
			r += 'A' - 'a'
		case !start && r >= 'A' && r <= 'Z':
			r += 'a' - 'A'
		}
		start = r == '/' || r == '_' || r == '-'
		return r
	}, name)
}
