package convert

import (
	"fmt"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/si"
)

// Normalise reads every quantity in the message as a person typed it, in place: value_si and readings are set
// from typed, empty quantities become absent, values are held against their field's range. It also checks that
// days are days and that no two elements of a list have the same key. units decide how text without unit is
// offered to be read. All violations come back at once, in the order of the fields; with any, nothing of the
// message may be used. Rules of protovalidate are not checked here.
func Normalise(msg proto.Message, units si.Display) []Violation {
	n := &normaliser{units: units}
	if r := msg.ProtoReflect(); r.IsValid() {
		n.message(r, "")
	}
	return n.found
}

// NormaliseFile is Normalise with the units the file itself chooses.
func NormaliseFile(f *roodbeamv1.ChurchFile) []Violation {
	return Normalise(f, DisplayOf(f.GetProject(), f.GetBrief()))
}

type normaliser struct {
	units si.Display
	found []Violation
}

func (n *normaliser) add(v Violation) { n.found = append(n.found, v) }

func (n *normaliser) message(m protoreflect.Message, path string) {
	fields := m.Descriptor().Fields()
	for i := range fields.Len() {
		fd := fields.Get(i)
		if !m.Has(fd) || fd.IsMap() {
			continue
		}
		at := join(path, fd.TextName())
		switch {
		case fd.IsList():
			n.list(m.Get(fd).List(), fd, at)
		case isQuantity(fd):
			q := m.Get(fd).Message().Interface().(*roodbeamv1.Quantity)
			if n.quantity(q, fd, at); q.GetTyped() == "" && q.ValueSi == nil {
				m.Clear(fd)
			}
		case fd.Message() != nil:
			n.message(m.Get(fd).Message(), at)
		case proto.GetExtension(fd.Options(), optionsv1.E_Date).(bool):
			n.day(m.Get(fd).String(), at)
		}
	}
	n.between(m, path)
}

func (n *normaliser) list(list protoreflect.List, fd protoreflect.FieldDescriptor, path string) {
	if fd.Message() == nil {
		return
	}
	key := keyField(fd.Message())
	seen := map[string]int{}
	for i := range list.Len() {
		at := fmt.Sprintf("%s[%d]", path, i)
		m := list.Get(i).Message()
		if isQuantity(fd) {
			q := m.Interface().(*roodbeamv1.Quantity)
			if n.quantity(q, fd, at); q.GetTyped() == "" && q.ValueSi == nil {
				n.add(Violation{Field: at, Code: Empty, Reason: "is empty"})
			}
			continue
		}
		if key != nil {
			k := m.Get(key).String()
			if first, twice := seen[k]; twice && k != "" {
				n.add(Violation{Field: join(at, key.TextName()), Code: Duplicate, Given: k,
					Reason: fmt.Sprintf("is given twice: %s[%d] has it too", path, first), Allowed: "a name used once"})
			} else {
				seen[k] = i
			}
		}
		n.message(m, at)
	}
}

func (n *normaliser) day(text, path string) {
	if text == "" {
		return
	}
	if _, err := time.Parse(dayLayout, text); err != nil {
		n.add(Violation{Field: path, Code: NotADay, Given: text, Reason: "is not a day of the calendar",
			Allowed: "year-month-day, as 2026-11-25"})
	}
}

func isQuantity(fd protoreflect.FieldDescriptor) bool {
	return fd.Message() != nil && fd.Message().FullName() == quantityName
}

// keyField returns the field by which elements of a list are told apart, nil when there is none.
func keyField(d protoreflect.MessageDescriptor) protoreflect.FieldDescriptor {
	for i := range d.Fields().Len() {
		fd := d.Fields().Get(i)
		if proto.GetExtension(fd.Options(), optionsv1.E_Key).(bool) {
			return fd
		}
	}
	return nil
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}
