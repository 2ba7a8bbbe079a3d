package store

import (
	"errors"
	"reflect"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// lived is a day with two batches, weights, a text that looks like an event and,
// if asked for, something taken back.
func lived(t *testing.T, undo bool) []session.Recorded {
	t.Helper()
	kit := shed.DefaultKit()
	kit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}}
	plan := shed.Plan{Kit: kit, Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{{ID: "f1", Animal: `"event":"undone"`, RawG: 900}}}
	for range 2 {
		plan.Batches = append(plan.Batches, shed.Batch{FleeceID: "f1", RawG: 200, Presoak: shed.PresoakNone})
	}
	r := sessiontest.StartAt(t, plan, morning).Do(session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: 150}}).Rack(3)
	r.Do(session.AddNote{Tub: -1, Text: `"event":"batch weighed"`}, session.WeighRaw{Batch: "A1", RawG: 210}, session.WeighWet{Batch: "A1", MassG: 160})
	if undo {
		r.Do(session.Undo{})
	}
	return r.Do(session.EndDay{}, session.Weigh{Batch: "A1", DryG: 120, Dry: true, RH: 0.5, Sure: true}).Recs
}

// An outline tells of the batches what the whole journal tells.
func TestOutline(t *testing.T) {
	for _, undo := range []bool{false, true} {
		s := newStore(t)
		recs := lived(t, undo)
		id := must.Get(s.NewDay()).In(t)
		whole := session.Replay(recs)
		must.Do(t, s.Append(id, recs, ledger.Summarise(id, whole)))
		got := must.Get(s.outline(id)).In(t)
		d := session.Replay(got)
		if !reflect.DeepEqual(d.Plan, whole.Plan) || !reflect.DeepEqual(d.Fate, whole.Fate) || d.StartedAt != whole.StartedAt || d.EndedAt != whole.EndedAt {
			t.Errorf("undone %v: the outline tells\n%+v, the journal\n%+v", undo, d.Fate, whole.Fate)
		}
		if whole := len(got) == len(recs); whole != undo {
			t.Errorf("undone %v: %d of %d events", undo, len(got), len(recs))
		}
		if _, err := s.Outline(99); !errors.Is(err, ErrUnknown) {
			t.Errorf("a day that is not there: %v", err)
		}
	}
}

// An event that changes what became of a batch, or the plan, says so, and no other does:
// one of each kind is put to each moment of a day. Some tell only later, when fleece goes
// into the bath that came next.
func TestOutlineReadsWhatChangesBatches(t *testing.T) {
	recs := lived(t, false)
	changes := map[string]bool{}
	var d session.Day
	for _, r := range recs {
		if d = session.Apply(d, r); !d.Running() {
			break
		}
		last := len(d.Tubs) - 1 // its batch is presoaked, that of the first is not
		for i, empty := range slices.Concat(session.AllEvents(), session.AllEvents()) {
			tub := 0
			if i >= len(session.AllEvents()) {
				if tub = last; session.TubOf(empty) < 0 {
					continue
				}
			}
			e, was := filled(empty, tub), session.Replay(recs[:d.LastSeq])
			next := session.Apply(session.Replay(recs[:d.LastSeq]), session.Recorded{Seq: d.LastSeq + 1, At: r.At.Add(time.Minute), Event: e})
			sunk := session.Recorded{Seq: d.LastSeq + 2, At: r.At.Add(2 * time.Minute), Event: session.FleeceSunk{Tub: tub}}
			if !reflect.DeepEqual(was.Fate, next.Fate) || !reflect.DeepEqual(was.Plan, next.Plan) || was.EndedAt != next.EndedAt ||
				!reflect.DeepEqual(session.Apply(was, sunk).Fate, session.Apply(next, sunk).Fate) {
				changes[session.KindOf(e)] = true
			}
		}
	}
	for _, e := range session.AllEvents() {
		if _, takesBack := e.(session.Undone); !takesBack && changes[session.KindOf(e)] != session.Outlines(e) {
			t.Errorf("%q changes the plan or what became of a batch: %v, and says %v", session.KindOf(e), changes[session.KindOf(e)], session.Outlines(e))
		}
	}
}

// filled is an event about the first batch and a tub, with figures that are no one's.
func filled(e session.Event, tub int) session.Event {
	v := reflect.New(reflect.TypeOf(e)).Elem()
	for i := range v.NumField() {
		switch f := v.Field(i); {
		case v.Type().Field(i).Name == "Batch" && f.Kind() == reflect.String:
			f.SetString("A1")
		case v.Type().Field(i).Name == "Kit":
			k := shed.DefaultKit()
			k.RoomC = 27
			f.Set(reflect.ValueOf(k))
		case f.Kind() == reflect.String:
			f.SetString("r1")
		case f.Kind() == reflect.Float64:
			f.SetFloat(61)
		case f.Kind() == reflect.Int && v.Type().Field(i).Name == "Tub":
			f.SetInt(int64(tub))
		case f.Kind() == reflect.Int:
			f.SetInt(1)
		}
	}
	return v.Interface().(session.Event)
}

// Of a batch that its day left in the water an outline tells which bath it came to.
func TestOutlineOfWhatWasLeftInTheWater(t *testing.T) {
	plan := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{{ID: "f1", Animal: "Bramble", RawG: 900}}}
	for range 2 {
		plan.Batches = append(plan.Batches, shed.Batch{FleeceID: "f1", RawG: 200, Presoak: shed.PresoakQuick})
	}
	r := sessiontest.StartAt(t, plan, morning)
	for _, a := range []shed.Action{shed.FillTub, shed.SinkIn} {
		r.Do(session.DoNext{Tub: 0, Act: a}, session.DoNext{Tub: 1, Act: a})
	}
	for r.Day.Fate["A1"].PresoakedOnly() {
		r.Next(0)
	}
	s := newStore(t)
	id := r.Do(session.EndDay{Anyway: true}).Keep(s)
	got, err := s.Outline(id)
	if err != nil || got.Fate["A1"].PresoakedOnly() || !got.Fate["A2"].PresoakedOnly() || !reflect.DeepEqual(got.Fate, session.Replay(r.Recs).Fate) {
		t.Errorf("%+v (%v)", got.Fate, err)
	}
}
