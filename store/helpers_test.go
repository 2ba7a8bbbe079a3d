package store

import (
	"encoding"
	"fmt"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// All animals, farms and figures in these tests are invented.

// newStore opens a new file that is checked and closed when the test ends.
func newStore(t testing.TB) *Store {
	t.Helper()
	s, err := Open(filepath.Join(t.TempDir(), "wash.db"))
	if err != nil {
		t.Fatalf("open: %v", err)
	}
	t.Cleanup(func() { checkAndClose(t, s) })
	return s
}

// reopen opens a file that is there, to be checked and closed at the end.
func reopen(t testing.TB, path string) *Store {
	t.Helper()
	s, err := Open(path)
	if err != nil {
		t.Fatalf("open again: %v", err)
	}
	t.Cleanup(func() { checkAndClose(t, s) })
	return s
}

func checkAndClose(t sessiontest.Reporter, s *Store) {
	t.Helper()
	checkSound(t, s)
	if err := s.Close(); err != nil {
		t.Fatalf("close: %v", err)
	}
}

// checkSound looks through every page of the file, and checks that the notes
// of the store agree with each other. A closed store is sound.
func checkSound(t sessiontest.Reporter, s *Store) {
	t.Helper()
	if s.db.Path() == "" {
		return
	}
	err := s.db.View(func(tx *bolt.Tx) error {
		var first error
		for err := range tx.Check() {
			if first == nil {
				first = err
			}
		}
		return first
	})
	if err != nil {
		t.Fatalf("the file is not sound: %v", err)
	}
	days, err := s.Days(0)
	if err != nil {
		t.Fatalf("days: %v", err)
	}
	var running []shed.DayID
	for _, d := range days {
		if d.EndedAt.IsZero() {
			running = append(running, d.ID)
		}
	}
	id, ok, err := s.OpenDay()
	if err != nil || len(running) > 1 || ok != (len(running) == 1) || ok && id != running[0] {
		t.Fatalf("summaries without an end: %v; open day: %d %v %v", running, id, ok, err)
	}
}

var (
	morning = time.Date(2026, 6, 13, 7, 30, 0, 0, time.UTC)
	evening = morning.Add(9 * time.Hour)
)

// notes makes events first … last of a day.
func notes(first, last uint64) []session.Recorded {
	var out []session.Recorded
	for n := first; n <= last; n++ {
		out = append(out, session.Recorded{Seq: n, At: morning.Add(time.Duration(n) * time.Minute),
			Event: session.NoteAdded{Tub: -1, Text: fmt.Sprintf("note %d", n)}})
	}
	return out
}

func running(id shed.DayID) ledger.Summary {
	return ledger.Summary{ID: id, StartedAt: morning, Fleeces: []string{"Bramble, Ninefold Farm"}, Batches: 6}
}

func ended(id shed.DayID) ledger.Summary {
	d := running(id)
	d.EndedAt, d.Racked, d.RawG, d.DryG, d.WeighedG, d.Alarms = evening, 6, 1012.5, 587, 1012.5, 4
	return d
}

// startDay begins a day with n events.
func startDay(t sessiontest.Reporter, s *Store, n uint64) shed.DayID {
	return keepNotes(t, s, n, running)
}

// wholeDay keeps a day of n events that has ended.
func wholeDay(t sessiontest.Reporter, s *Store, n uint64) shed.DayID {
	return keepNotes(t, s, n, ended)
}

func keepNotes(t sessiontest.Reporter, s *Store, n uint64, sum func(shed.DayID) ledger.Summary) shed.DayID {
	t.Helper()
	id, err := s.NewDay()
	if err == nil {
		err = s.Append(id, notes(1, n), sum(id))
	}
	if err != nil {
		t.Fatalf("keep a day: %v", err)
	}
	return id
}

func wantEvents(t sessiontest.Reporter, s *Store, id shed.DayID, want []session.Recorded) {
	t.Helper()
	got, err := s.Events(id)
	if err != nil {
		t.Fatalf("events of day %d: %v", id, err)
	}
	if len(got) != len(want) {
		t.Fatalf("day %d has %d events, want %d", id, len(got), len(want))
	}
	for i := range got {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Fatalf("day %d, entry %d: %.500s, want %.500s", id, i, fmt.Sprint(got[i]), fmt.Sprint(want[i]))
		}
	}
}

var (
	timeType = reflect.TypeFor[time.Time]()
	textType = reflect.TypeFor[encoding.TextMarshaler]()
)

// draw fills v with random content that JSON can carry.
func draw(t *rapid.T, v reflect.Value, name string) {
	switch {
	case v.Type() == timeType:
		sec := rapid.Int64Range(0, 1<<34).Draw(t, name)
		v.Set(reflect.ValueOf(time.Unix(sec, rapid.Int64Range(0, 999_999_999).Draw(t, name+" ns")).UTC()))
		return
	case v.Type() == reflect.TypeFor[shed.Spot](): // others are dropped when they are read
		from := rapid.IntRange(1, 20).Draw(t, name)
		v.Set(reflect.ValueOf(shed.Spot{Place: rapid.IntRange(1, 50).Draw(t, name+" place"), From: from, To: rapid.IntRange(from, 20).Draw(t, name+" to")}))
		return
	case v.Type().Implements(textType):
		drawWord(t, v, name)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			draw(t, v.Field(i), name+"."+v.Type().Field(i).Name)
		}
		if k, ok := v.Interface().(shed.Kit); ok { // what a kit has besides texts is settled too
			v.Set(reflect.ValueOf(k.Clean()))
		}
	case reflect.Slice:
		// An empty list may come back as a nil one.
		n := rapid.IntRange(1, 3).Draw(t, name+" len")
		v.Set(reflect.MakeSlice(v.Type(), n, n))
		for i := range n {
			draw(t, v.Index(i), fmt.Sprintf("%s[%d]", name, i))
		}
	case reflect.String:
		// Texts are clean when they are saved, and cleaned when they are read.
		text := measure.CleanText(rapid.String().Draw(t, name), 40)
		if text == "" {
			text = "Bramble"
		}
		v.SetString(text)
	case reflect.Bool:
		v.SetBool(rapid.Bool().Draw(t, name))
	case reflect.Int, reflect.Int64:
		v.SetInt(rapid.Int64().Draw(t, name))
	case reflect.Int32, reflect.Int16:
		v.SetInt(int64(rapid.Int16().Draw(t, name)))
	case reflect.Uint64:
		v.SetUint(rapid.Uint64().Draw(t, name))
	case reflect.Float64:
		v.SetFloat(rapid.Float64().Draw(t, name))
	default:
		t.Fatalf("%s: no random content for %s", name, v.Type())
	}
}

// drawWord picks one of the values of an enumeration that is written as a word
// and read back from it.
func drawWord(t *rapid.T, v reflect.Value, name string) {
	var known []reflect.Value
	for i := range int64(64) {
		c := reflect.New(v.Type()).Elem()
		c.SetInt(i)
		text, err := c.Interface().(encoding.TextMarshaler).MarshalText()
		if err == nil && reflect.New(v.Type()).Interface().(encoding.TextUnmarshaler).UnmarshalText(text) == nil {
			known = append(known, c)
		}
	}
	if len(known) == 0 {
		t.Fatalf("%s: no word of %s reads back", name, v.Type())
	}
	v.Set(rapid.SampledFrom(known).Draw(t, name))
}

// drawn is a random T.
func drawn[T any](t *rapid.T, name string) T {
	var v T
	draw(t, reflect.ValueOf(&v).Elem(), name)
	return v
}

// drawEvent is a random event of the kind of e.
func drawEvent(t *rapid.T, e session.Event) session.Event {
	v := reflect.New(reflect.TypeOf(e)).Elem()
	draw(t, v, session.KindOf(e))
	return v.Interface().(session.Event)
}

// copyOf is a record with a day of n events, closed.
func copyOf(t *testing.T, n uint64) (path string, id shed.DayID) {
	t.Helper()
	path = filepath.Join(t.TempDir(), fmt.Sprintf("copy-%d.db", n))
	s := must.Get(Open(path)).In(t)
	id = startDay(t, s, n)
	checkAndClose(t, s)
	return path, id
}
