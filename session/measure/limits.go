package measure

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"
)

// Limits say what a figure can be, by the name of its field as it is written in JSON; of a
// list, how long it is. "Type.name" goes before "name". A name carries its unit at its
// end: room_c, volume_l.
type Limits map[string]Range

// Check goes through a value and refuses the first figure outside of its limits, a word
// that there is not, and a moment before 1970 or after latest; the error names the place.
// 0, a moment of zero and "" say nothing, and are let be.
func (l Limits) Check(v any, latest time.Time) error {
	return l.check(reflect.ValueOf(v), "", latest)
}

// Of is the limits of a field of a type; ok is false where it has none.
func (l Limits) Of(typeName, field string) (r Range, ok bool) {
	if r, ok = l[typeName+"."+field]; !ok {
		r, ok = l[field]
	}
	return r, ok
}

var momentType = reflect.TypeFor[time.Time]()

// check knows v by the place it is at.
func (l Limits) check(v reflect.Value, place string, latest time.Time) error {
	if v.Type() == momentType {
		return misplaced(place, CheckMoment(v.Interface().(time.Time), latest))
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			r, ok := l.Of(v.Type().Name(), name)
			if ok && !r.allows(v.Field(i)) {
				return misplaced(inside(place, name), fmt.Errorf("%s; it must be between %s and %s", shown(name, number(v.Field(i))), bare(r.Min), shown(name, r.Max)))
			}
			if err := l.check(v.Field(i), inside(place, name), latest); err != nil {
				return err
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			if err := l.check(v.Index(i), place+" "+strconv.Itoa(i+1), latest); err != nil {
				return err
			}
		}
	case reflect.Int:
		if word, ok := v.Interface().(encoding.TextMarshaler); ok {
			if _, err := word.MarshalText(); err != nil {
				return misplaced(place, err)
			}
		}
	default: // a text, a mark, or what was looked at as a field
	}
	return nil
}

func misplaced(place string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", place, err)
}

func inside(place, name string) string {
	if place == "" {
		return name
	}
	return place + ", " + name
}

// allows says that a figure, or the length of a list, is within the range, or 0.
func (r Range) allows(v reflect.Value) bool {
	n := number(v)
	return n == 0 || r.Contains(n)
}

func number(v reflect.Value) float64 {
	switch {
	case v.CanFloat():
		return v.Float()
	case v.CanInt():
		return float64(v.Int())
	case v.CanUint():
		return float64(v.Uint())
	case v.Kind() == reflect.Slice:
		return float64(v.Len())
	}
	return 0
}

// endings are the units that the names of figures end in, the longer ones first.
var endings = []struct{ name, unit string }{
	{"_ml", " mL"}, {"_mm", " mm"}, {"_min", " min"}, {"_ns", " ns"}, {"_c", " °C"}, {"_l", " L"}, {"_g", " g"}, {"_w", " W"}, {"_m", " m"}, {"_h", " h"},
}

func shown(name string, v float64) string {
	for _, e := range endings {
		if strings.HasSuffix(name, e.name) {
			return bare(v) + e.unit
		}
	}
	return bare(v)
}

func bare(v float64) string {
	if math.Abs(v) >= 1e9 || v != 0 && math.Abs(v) < 1e-3 {
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// firstYear is the first that a machine's clock knows.
const firstYear = 1970

// ErrToCome is of a moment after all that can have happened by now.
var ErrToCome = errors.New("still to come")

// CheckMoment refuses a moment that no clock has shown yet; a moment of zero says
// nothing.
func CheckMoment(t, latest time.Time) error {
	switch {
	case t.IsZero():
		return nil
	case t.UTC().Year() < firstYear:
		return fmt.Errorf("it is of %s, before there were such clocks", t.UTC().Format(time.DateOnly))
	case t.After(latest):
		return fmt.Errorf("it is of %s, which is %w", t.UTC().Format(time.DateOnly), ErrToCome)
	}
	return nil
}
