package convert

import (
	"reflect"

	"google.golang.org/protobuf/reflect/protoreflect"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
)

// encodeQuantity fills a Quantity from an si.Typed of any dimension.
func encodeQuantity(v reflect.Value, m protoreflect.Message) {
	q := m.Interface().(*roodbeamv1.Quantity)
	q.Typed = v.FieldByName("Text").String()
	if v.FieldByName("Set").Bool() {
		x := v.FieldByName("Value").Float()
		q.ValueSi = &x
	}
	readings := v.FieldByName("Readings")
	for i := range readings.Len() {
		r := readings.Index(i)
		q.Readings = append(q.Readings, &roodbeamv1.QuantityReading{
			ValueSi: r.FieldByName("Value").Float(), As: r.FieldByName("As").String(),
		})
	}
}

// decodeQuantity fills an si.Typed of any dimension from a Quantity that has been normalised.
func decodeQuantity(m protoreflect.Message, v reflect.Value) {
	q := m.Interface().(*roodbeamv1.Quantity)
	v.FieldByName("Text").SetString(q.GetTyped())
	if q.ValueSi != nil {
		v.FieldByName("Value").SetFloat(q.GetValueSi())
		v.FieldByName("Set").SetBool(true)
	}
	if len(q.GetReadings()) == 0 {
		return
	}
	field := v.FieldByName("Readings")
	out := reflect.MakeSlice(field.Type(), len(q.GetReadings()), len(q.GetReadings()))
	for i, r := range q.GetReadings() {
		out.Index(i).FieldByName("Value").SetFloat(r.GetValueSi())
		out.Index(i).FieldByName("As").SetString(r.GetAs())
	}
	field.Set(out)
}
