package convert

import (
	"math"
	"reflect"
	"sync"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/timestamppb"

	"roodbeam/api"
	"roodbeam/engine/brief"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// dayLayout is how a calendar day is written.
const dayLayout = "2006-01-02"

const (
	timestampName = protoreflect.FullName("google.protobuf.Timestamp")
	quantityName  = protoreflect.FullName("roodbeam.v1.Quantity")
)

// documentPackages are the engine packages whose structs people write.
var documentPackages = map[string]bool{
	reflect.TypeFor[si.Typed[si.Length]]().PkgPath(): true,
	reflect.TypeFor[survey.Survey]().PkgPath():       true,
	reflect.TypeFor[brief.Brief]().PkgPath():         true,
	reflect.TypeFor[scheme.Scheme]().PkgPath():       true,
}

var timeType = reflect.TypeFor[time.Time]()

// pair is one engine field with its API field.
type pair struct {
	index int
	field protoreflect.FieldDescriptor
}

type pairKey struct {
	t reflect.Type
	m protoreflect.FullName
}

// paired caches the pairs of an engine type and a message; it depends on nothing but the two types.
var paired sync.Map // pairKey → []pair

func pairs(t reflect.Type, d protoreflect.MessageDescriptor) []pair {
	key := pairKey{t, d.FullName()}
	if got, ok := paired.Load(key); ok {
		return got.([]pair)
	}
	var out []pair
	for i := range t.NumField() {
		f := t.Field(i)
		name, ok := apiName(t, f)
		if !ok || !f.IsExported() {
			continue
		}
		if fd := d.Fields().ByName(protoreflect.Name(name)); fd != nil {
			out = append(out, pair{i, fd})
		}
	}
	paired.Store(key, out)
	return out
}

// encode fills m from the engine's struct.
func encode(v reflect.Value, m protoreflect.Message) {
	for _, p := range pairs(v.Type(), m.Descriptor()) {
		f := v.Field(p.index)
		if p.field.IsList() {
			encodeList(f, m, p.field)
			continue
		}
		if x, ok := encodeOne(f, p.field, m.NewField); ok {
			m.Set(p.field, x)
		}
	}
}

func encodeList(v reflect.Value, m protoreflect.Message, fd protoreflect.FieldDescriptor) {
	if v.Len() == 0 {
		return
	}
	list := m.Mutable(fd).List()
	elem := func(protoreflect.FieldDescriptor) protoreflect.Value { return list.NewElement() }
	for i := range v.Len() {
		e := v.Index(i)
		if e.Kind() == reflect.Array { // a matrix, row by row
			for j := range e.Len() {
				list.Append(protoreflect.ValueOfFloat64(e.Index(j).Float()))
			}
			continue
		}
		x, ok := encodeOne(e, fd, elem)
		if !ok { // an element keeps its place in the list even when it says nothing
			x = list.NewElement()
		}
		list.Append(x)
	}
}

// encodeOne returns the API value of one engine value, and false when it says nothing: the field stays absent.
func encodeOne(v reflect.Value, fd protoreflect.FieldDescriptor,
	fresh func(protoreflect.FieldDescriptor) protoreflect.Value) (protoreflect.Value, bool) {
	var none protoreflect.Value
	if v.Type() == timeType {
		return encodeTime(v.Interface().(time.Time), fd)
	}
	switch fd.Kind() {
	case protoreflect.MessageKind:
		if v.IsZero() && saysNothing(v.Type()) {
			return none, false
		}
		x := fresh(fd)
		switch {
		case fd.Message().FullName() == quantityName:
			encodeQuantity(v, x.Message())
		case v.Kind() == reflect.Slice: // a polygon: the message's only field is the list
			encodeList(v, x.Message(), fd.Message().Fields().Get(0))
		case v.Kind() == reflect.Pointer:
			encode(v.Elem(), x.Message())
		default:
			encode(v, x.Message())
		}
		return x, true
	case protoreflect.EnumKind:
		if shift, ok := numbered[v.Type()]; ok {
			return protoreflect.ValueOfEnum(protoreflect.EnumNumber(v.Int()) + shift), true
		}
		return protoreflect.ValueOfEnum(number(fd.Enum(), v.String())), true
	case protoreflect.DoubleKind:
		x := v.Float()
		if (math.IsNaN(x) || math.IsInf(x, 0)) && !fd.IsList() {
			return none, false
		}
		return protoreflect.ValueOfFloat64(x), true
	case protoreflect.Int32Kind:
		return protoreflect.ValueOfInt32(int32(max(math.MinInt32, min(math.MaxInt32, v.Int())))), true
	case protoreflect.Int64Kind:
		return protoreflect.ValueOfInt64(v.Int()), true
	case protoreflect.Uint64Kind:
		return protoreflect.ValueOfUint64(v.Uint()), true
	case protoreflect.BoolKind:
		return protoreflect.ValueOfBool(v.Bool()), true
	case protoreflect.StringKind:
		return protoreflect.ValueOfString(v.String()), true
	}
	return none, false
}

// saysNothing tells whether a zero value of the type is left out: unknown quantities, absent parts of documents,
// empty polygons and nil pointers. A point at the origin and a sum of nothing are results like others.
func saysNothing(t reflect.Type) bool {
	return t.Kind() != reflect.Struct || documentPackages[t.PkgPath()]
}

func encodeTime(t time.Time, fd protoreflect.FieldDescriptor) (protoreflect.Value, bool) {
	if t.IsZero() {
		return protoreflect.Value{}, false
	}
	if fd.Kind() == protoreflect.StringKind {
		return protoreflect.ValueOfString(t.Format(dayLayout)), true
	}
	return protoreflect.ValueOfMessage(timestamppb.New(t).ProtoReflect()), true
}

// decode fills the engine's struct from m. Absent fields stay zero.
func decode(m protoreflect.Message, v reflect.Value) {
	for _, p := range pairs(v.Type(), m.Descriptor()) {
		f := v.Field(p.index)
		switch {
		case !m.Has(p.field):
		case p.field.IsList():
			decodeList(m.Get(p.field).List(), p.field, f)
		default:
			decodeOne(m.Get(p.field), p.field, f)
		}
	}
}

func decodeList(list protoreflect.List, fd protoreflect.FieldDescriptor, v reflect.Value) {
	if list.Len() == 0 {
		return
	}
	out := reflect.MakeSlice(v.Type(), list.Len(), list.Len())
	for i := range list.Len() {
		decodeOne(list.Get(i), fd, out.Index(i))
	}
	v.Set(out)
}

func decodeOne(x protoreflect.Value, fd protoreflect.FieldDescriptor, v reflect.Value) {
	if v.Type() == timeType {
		v.Set(reflect.ValueOf(decodeTime(x, fd)))
		return
	}
	switch fd.Kind() {
	case protoreflect.MessageKind:
		switch {
		case fd.Message().FullName() == quantityName:
			decodeQuantity(x.Message(), v)
		default:
			decode(x.Message(), v)
		}
	case protoreflect.EnumKind:
		if shift, ok := numbered[v.Type()]; ok {
			v.SetInt(int64(max(0, x.Enum()-shift)))
			return
		}
		v.SetString(api.Word(fd.Enum(), x.Enum()))
	case protoreflect.DoubleKind:
		v.SetFloat(x.Float())
	case protoreflect.Int32Kind, protoreflect.Int64Kind:
		v.SetInt(x.Int())
	case protoreflect.Uint64Kind:
		v.SetUint(x.Uint())
	case protoreflect.BoolKind:
		v.SetBool(x.Bool())
	case protoreflect.StringKind:
		v.SetString(x.String())
	}
}

// decodeTime returns a day as midnight UTC; text that is no day gives the zero time, as Normalise has refused it.
func decodeTime(x protoreflect.Value, fd protoreflect.FieldDescriptor) time.Time {
	if fd.Kind() == protoreflect.StringKind {
		t, err := time.Parse(dayLayout, x.String())
		if err != nil {
			return time.Time{}
		}
		return t
	}
	ts := &timestamppb.Timestamp{}
	proto.Merge(ts, x.Message().Interface())
	return ts.AsTime()
}

// toAPI returns the message of an engine struct.
func toAPI[M proto.Message](v any, m M) M {
	encode(reflect.ValueOf(v), m.ProtoReflect())
	return m
}

// toEngine returns the engine struct of a message; a nil message gives the zero value.
func toEngine[T any](m proto.Message) T {
	var out T
	if r := m.ProtoReflect(); r.IsValid() {
		decode(r, reflect.ValueOf(&out).Elem())
	}
	return out
}

// each converts a list.
func each[A, B any](in []A, f func(A) B) []B {
	if len(in) == 0 {
		return nil
	}
	out := make([]B, len(in))
	for i, a := range in {
		out[i] = f(a)
	}
	return out
}
