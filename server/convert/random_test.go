package convert

import (
	"fmt"
	"reflect"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"pgregory.net/rapid"

	"roodbeam/api"
	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
)

// fill draws a value for every field of an engine struct; words of enums come from the API's message.
func fill(t *rapid.T, v reflect.Value, d protoreflect.MessageDescriptor) {
	for _, p := range pairs(v.Type(), d) {
		f := v.Field(p.index)
		if !p.field.IsList() {
			fillOne(t, f, p.field)
			continue
		}
		n := rapid.IntRange(0, 2).Draw(t, "n")
		if n == 0 {
			continue
		}
		f.Set(reflect.MakeSlice(f.Type(), n, n))
		for i := range n {
			fillOne(t, f.Index(i), p.field)
		}
	}
}

func fillOne(t *rapid.T, v reflect.Value, fd protoreflect.FieldDescriptor) {
	name := string(fd.Name())
	if v.Type() == timeType {
		v.Set(reflect.ValueOf(drawTime(t, fd)))
		return
	}
	switch fd.Kind() {
	case protoreflect.MessageKind:
		if isQuantity(fd) {
			decodeQuantity(drawQuantity(t).ProtoReflect(), v)
			return
		}
		if rapid.Bool().Draw(t, name) {
			fill(t, v, fd.Message())
		}
	case protoreflect.EnumKind:
		n := fd.Enum().Values().Get(rapid.IntRange(0, fd.Enum().Values().Len()-1).Draw(t, name)).Number()
		if shift, ok := numbered[v.Type()]; ok {
			v.SetInt(int64(max(0, n-shift)))
			return
		}
		v.SetString(api.Word(fd.Enum(), n))
	case protoreflect.DoubleKind:
		v.SetFloat(drawFloat(t, name))
	case protoreflect.Int32Kind:
		v.SetInt(int64(rapid.Int32().Draw(t, name)))
	case protoreflect.Int64Kind:
		v.SetInt(rapid.Int64().Draw(t, name))
	case protoreflect.Uint64Kind:
		v.SetUint(rapid.Uint64().Draw(t, name))
	case protoreflect.BoolKind:
		v.SetBool(rapid.Bool().Draw(t, name))
	case protoreflect.StringKind:
		v.SetString(rapid.String().Draw(t, name))
	default:
		t.Fatalf("%s: no way to draw a %s", fd.FullName(), fd.Kind())
	}
}

// drawTime draws the zero time, a day, or an instant to the microsecond, as the store keeps it.
func drawTime(t *rapid.T, fd protoreflect.FieldDescriptor) time.Time {
	days := rapid.IntRange(0, 20000).Draw(t, "days")
	if days == 0 {
		return time.Time{}
	}
	day := time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, days)
	if fd.Kind() == protoreflect.StringKind {
		return day
	}
	return day.Add(time.Duration(rapid.IntRange(0, 86_399_999_999).Draw(t, "µs")) * time.Microsecond)
}

// drawFloat draws a number, never the negative zero, which a message may hold or drop.
func drawFloat(t *rapid.T, label string) float64 {
	x := rapid.Float64Range(-1e6, 1e6).Draw(t, label)
	if x == 0 {
		return 0
	}
	return x
}

// drawQuantity draws an unknown, a computed, a typed or an ambiguous quantity.
func drawQuantity(t *rapid.T) *roodbeamv1.Quantity {
	q := &roodbeamv1.Quantity{}
	x := drawFloat(t, "value")
	switch rapid.SampledFrom([]string{"unknown", "computed", "typed", "ambiguous"}).Draw(t, "quantity") {
	case "computed":
		q.ValueSi = &x
	case "typed":
		q.Typed, q.ValueSi = fmt.Sprint(x, " m"), &x
	case "ambiguous":
		q.Typed = "86"
		q.Readings = []*roodbeamv1.QuantityReading{{ValueSi: x, As: "in"}, {ValueSi: 2 * x, As: "cm"}}
	}
	return q
}

// fillMessage draws a document message in the form Normalise leaves behind: no empty parts, valid days,
// defined words, different keys.
func fillMessage(t *rapid.T, m protoreflect.Message, serial *int) {
	fields := m.Descriptor().Fields()
	key := keyField(m.Descriptor())
	for i := range fields.Len() {
		fd := fields.Get(i)
		if fd == key {
			*serial++
			m.Set(fd, protoreflect.ValueOfString(fmt.Sprint("name ", *serial)))
			continue
		}
		if fd.IsList() {
			list := m.Mutable(fd).List()
			for range rapid.IntRange(0, 2).Draw(t, "n") {
				list.Append(drawValue(t, fd, list.NewElement, serial))
			}
			continue
		}
		if x := drawValue(t, fd, func() protoreflect.Value { return m.NewField(fd) }, serial); !isEmpty(x) {
			m.Set(fd, x)
		}
	}
}

func isEmpty(v protoreflect.Value) bool {
	m, ok := v.Interface().(protoreflect.Message)
	return ok && proto.Size(m.Interface()) == 0
}

func drawValue(t *rapid.T, fd protoreflect.FieldDescriptor, fresh func() protoreflect.Value, serial *int) protoreflect.Value {
	switch fd.Kind() {
	case protoreflect.MessageKind:
		x := fresh()
		switch {
		case isQuantity(fd):
			proto.Merge(x.Message().Interface(), drawQuantity(t))
		case fd.Message().FullName() == timestampName:
			if ts, ok := encodeTime(drawTime(t, fd), fd); ok {
				return ts
			}
		default:
			fillMessage(t, x.Message(), serial)
		}
		return x
	case protoreflect.EnumKind:
		first := 0
		if fd.Enum().Name() == "Weekday" {
			first = 1
		}
		values := fd.Enum().Values()
		return protoreflect.ValueOfEnum(values.Get(rapid.IntRange(first, values.Len()-1).Draw(t, "enum")).Number())
	case protoreflect.DoubleKind:
		return protoreflect.ValueOfFloat64(drawFloat(t, "double"))
	case protoreflect.Int32Kind:
		return protoreflect.ValueOfInt32(rapid.Int32().Draw(t, "int32"))
	case protoreflect.Int64Kind:
		return protoreflect.ValueOfInt64(rapid.Int64().Draw(t, "int64"))
	case protoreflect.Uint64Kind:
		return protoreflect.ValueOfUint64(rapid.Uint64().Draw(t, "uint64"))
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(rapid.Bool().Draw(t, "bool"))
	}
	if proto.GetExtension(fd.Options(), optionsv1.E_Date).(bool) {
		day, _ := encodeTime(drawTime(t, fd), fd)
		if !day.IsValid() {
			return protoreflect.ValueOfString("")
		}
		return day
	}
	return protoreflect.ValueOfString(rapid.String().Draw(t, "string"))
}

// brim fills every field of an engine struct with something that is not its zero value, lists with one element.
func brim(v reflect.Value, d protoreflect.MessageDescriptor, serial *float64) {
	for _, p := range pairs(v.Type(), d) {
		f := v.Field(p.index)
		if p.field.IsList() && f.Kind() == reflect.Slice {
			f.Set(reflect.MakeSlice(f.Type(), 1, 1))
			f = f.Index(0)
		}
		brimOne(f, p.field, serial)
	}
}

func brimOne(v reflect.Value, fd protoreflect.FieldDescriptor, serial *float64) {
	*serial++
	switch {
	case v.Type() == timeType:
		v.Set(reflect.ValueOf(time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC)))
	case strings.HasPrefix(v.Type().Name(), "Typed["):
		v.FieldByName("Set").SetBool(true)
		v.FieldByName("Value").SetFloat(*serial)
	case v.Kind() == reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		brim(v.Elem(), fd.Message(), serial)
	case v.Kind() == reflect.Struct:
		brim(v, fd.Message(), serial)
	case v.Kind() == reflect.Slice: // a polygon
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		brimOne(v.Index(0), fd.Message().Fields().Get(0), serial)
	case v.Kind() == reflect.Array:
		for i := range v.Len() {
			brimOne(v.Index(i), fd, serial)
		}
	case fd.Kind() == protoreflect.EnumKind && v.Kind() == reflect.String:
		v.SetString(api.Word(fd.Enum(), 1))
	case v.Kind() == reflect.String:
		v.SetString(fmt.Sprint("text ", *serial))
	case v.Kind() == reflect.Bool:
		v.SetBool(true)
	case v.CanFloat():
		v.SetFloat(*serial)
	case v.CanInt():
		v.SetInt(1)
	case v.CanUint():
		v.SetUint(1)
	}
}
