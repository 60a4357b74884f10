package planner

import (
	"reflect"
	"testing"
	"time"

	"roodbeam/engine/daylight"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
)

// TestYearKeyFollowsEveryNumber changes every value that a setting holds, one at
// a time by the smallest step it has, and wants another key each time.
func TestYearKeyFollowsEveryNumber(t *testing.T) {
	var s daylight.Setting
	fill(reflect.ValueOf(&s).Elem(), 0)
	s.Location = time.UTC
	tr := &light.Transport{}
	seen := map[key]string{yearKey(s, tr): "unchanged"}
	changed := func(where string) {
		k := yearKey(s, tr)
		if was, ok := seen[k]; ok {
			t.Errorf("%s gives the key of %s", where, was)
		}
		seen[k] = where
	}
	if n := nudge(reflect.ValueOf(&s).Elem(), "setting", changed); n < 100 {
		t.Errorf("%d values changed, want them all", n)
	}
	s.Location = nil
	changed("no zone")
	tr = nil
	changed("no reflected light")
}

// fill gives every slice two elements and every struct within its own.
func fill(v reflect.Value, depth int) {
	switch v.Kind() {
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			return
		}
		for i := range v.NumField() {
			fill(v.Field(i), depth)
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range v.Len() {
			fill(v.Index(i), depth+1)
		}
	}
}

// nudge changes every value in turn, calls changed, and puts it back; it returns
// how many there were.
func nudge(v reflect.Value, where string, changed func(string)) int {
	n := 0
	try := func(to reflect.Value) {
		was := reflect.ValueOf(v.Interface())
		v.Set(to.Convert(v.Type()))
		changed(where)
		v.Set(was)
		n++
	}
	switch v.Kind() {
	case reflect.Float64:
		try(reflect.ValueOf(5e-324)) // the smallest there is
	case reflect.Int, reflect.Int64:
		try(reflect.ValueOf(7))
	case reflect.Bool:
		try(reflect.ValueOf(true))
	case reflect.String:
		try(reflect.ValueOf("x"))
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			try(reflect.ValueOf(time.Unix(0, 1).UTC()))
			return n
		}
		for i := range v.NumField() {
			n += nudge(v.Field(i), where+"."+v.Type().Field(i).Name, changed)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			n += nudge(v.Index(i), where, changed)
		}
	case reflect.Pointer:
		if v.Type() != reflect.TypeFor[*time.Location]() {
			panic(where + " is a pointer: its address is no content")
		}
	default:
		panic(where + " is of a kind the key is not known to follow")
	}
	return n
}

// TestYearsAreShared: a setting's year is worked out once, another place anew.
func TestYearsAreShared(t *testing.T) {
	var c years
	s := daylight.Setting{Places: []daylight.Place{{Zone: "z", Name: "a", At: geom.Vec{X: 1}}}}
	a := c.of(s, nil)
	if c.of(s, nil) != a {
		t.Error("the same setting was worked out twice")
	}
	s.Places = []daylight.Place{{Zone: "z", Name: "a", At: geom.Vec{X: 1.0000000000000002}}}
	if c.of(s, nil) == a {
		t.Error("another place gives the same year")
	}
}
