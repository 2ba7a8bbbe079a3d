package session

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Every figure that is written has its limits, and every limit a figure.
func TestEveryFigureHasLimits(t *testing.T) {
	used := map[string]bool{}
	for _, e := range append(anyOf(AllEvents()), shed.Kit{}, shed.Fleece{}, shed.Method{}) {
		eachField(reflect.TypeOf(e), map[reflect.Type]bool{}, func(of reflect.Type, f reflect.StructField) {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			for _, key := range []string{name, of.Name() + "." + name} {
				if _, ok := limits[key]; ok {
					used[key] = true
				}
			}
			if _, ok := limits.Of(of.Name(), name); !ok && figure(f.Type) {
				t.Errorf("%s.%s has no limits", of.Name(), name)
			}
		})
	}
	for key := range limits {
		if !used[key] {
			t.Errorf("the limits of %s are of nothing", key)
		}
	}
}

func anyOf(events []Event) []any {
	var out []any
	for _, e := range events {
		out = append(out, e)
	}
	return out
}

// figure says that a type holds a number that is no word.
func figure(t reflect.Type) bool {
	if _, word := reflect.Zero(t).Interface().(interface{ MarshalText() ([]byte, error) }); word {
		return false
	}
	return slices.Contains([]reflect.Kind{reflect.Float64, reflect.Int, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint64}, t.Kind())
}

func eachField(t reflect.Type, seen map[reflect.Type]bool, do func(of reflect.Type, f reflect.StructField)) {
	if t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct || t == reflect.TypeFor[time.Time]() || seen[t] {
		return
	}
	seen[t] = true
	for i := range t.NumField() {
		do(t, t.Field(i))
		eachField(t.Field(i).Type, seen, do)
	}
}

// What cannot be is refused with its place and what would be right.
func TestFiguresBeyondLimits(t *testing.T) {
	at := time.Date(2026, 6, 13, 7, 30, 0, 0, time.UTC)
	kit := shed.DefaultKit()
	big := kit
	big.Tubs = slices.Clone(kit.Tubs)
	big.Tubs[1].CapacityL = 1e6
	for _, c := range []struct {
		r    Recorded
		want string // "": it is fine
	}{
		{Recorded{At: at, Event: ReadingTaken{TempC: 62}}, ""},
		{Recorded{At: at, Event: ReadingTaken{TempC: 900}}, "temp_c: 900 °C; it must be between 0 and 100 °C"},
		{Recorded{At: at, Event: ReadingTaken{TempC: -3}}, "temp_c: -3 °C"},
		{Recorded{At: at, Event: BathFilled{VolumeL: 1e6}}, "volume_l: 1000000 L"},
		{Recorded{At: at, Event: KitChanged{Kit: big}}, "kit, tubs 2, capacity_l: 1000000 L; it must be between 1 and 200 L"},
		{Recorded{At: at, Event: BatchAdded{Fleece: shed.Fleece{RawG: 1e300}}}, "fleece, raw_g: 1e+300 g"},
		{Recorded{At: at, Event: BatchAdded{Fleece: shed.Fleece{RawG: -5}}}, "fleece, raw_g: -5 g"},
		{Recorded{At: at, Event: BatchAdded{Fleece: shed.Fleece{Wax: 99}}}, "fleece, wax: "},
		{Recorded{At: at, Event: TubHeld{Tub: shed.MaxTubs}}, "tub: 24"},
		{Recorded{Event: TubHeld{}}, "no time"},
		{Recorded{At: at.AddDate(173, 0, 0), Event: TubHeld{}}, "2199-06-13, which is still to come"},
		{Recorded{At: at.AddDate(-100, 0, 0), Event: TubHeld{}}, "1926-06-13"},
		{Recorded{At: at, Event: AlarmShelved{Until: at.AddDate(50, 0, 0)}}, "until: "},
	} {
		err := c.r.CheckFigures(at.AddDate(1, 0, 0))
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.r, err, c.want)
		}
	}
	if err := (measure.Limits{}).Check(DayStarted{}, at); err != nil {
		t.Error(err)
	}
}
