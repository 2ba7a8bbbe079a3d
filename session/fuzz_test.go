package session_test

import (
	"encoding/json"
	"math"
	"reflect"
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// look asks a day for all that it can tell, from any journal whatever.
func look(t reporter, d session.Day) {
	for _, now := range []time.Time{d.LastAt, dawn, dawn.Add(3 * time.Hour)} {
		for _, text := range said(d, now) {
			printable(t, text)
		}
		for i := range d.Tubs {
			d.Curve(i, now, now.Add(time.Hour), 5)
			d.Fill(i)
			d.TempNow(i, now)
		}
		d.Loudest()
		after, _ := session.Tick(d, now)
		session.Tick(after, now.Add(time.Minute))
	}
}

// FuzzRecorded reads any text as a journal: an error or a day that can be
// looked at, and a record that can be written again as it was read.
func FuzzRecorded(f *testing.F) {
	r := start(f, threeTubs()).next(0, 0, 1, 1).wait(3)
	r.do(read(0, 13), session.Hold{Tub: 1}, session.TopUp{Tub: 0, VolumeL: 1, TempC: 60}, session.AddNote{Text: "brown"}, session.Undo{},
		session.ChangeKit{Kit: r.day.Plan.Kit}, session.AddBatch{Batch: session.Batch{FleeceID: "f1", RawG: 100}})
	r.wait(20).next(0, 0).do(session.RepeatStep{}, session.SkipStep{}, session.ResumeWatch{}, session.EndDay{Anyway: true})
	whole, err := json.Marshal(r.recs)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	for i := range r.recs {
		one, err := json.Marshal(r.recs[i : i+1])
		if err != nil {
			f.Fatal(err)
		}
		f.Add(one)
	}
	for _, e := range session.AllEvents() {
		one, err := json.Marshal([]session.Recorded{{Seq: 1, At: dawn, Event: e}})
		if err != nil {
			f.Fatal(err)
		}
		f.Add(one)
	}
	f.Add([]byte("[{\"seq\":1,\"at\":\"2026-\x7f5-16T08:00:00Z\",\"event\":\"tub held\",\"body\":{}}]")) // the decoder quotes it
	f.Add([]byte(`[{"seq":1,"at":"0000-01-01T00:00:00+14:00","event":"undone","body":{}},null]`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var recs []session.Recorded
		if err := json.Unmarshal(text, &recs); err != nil {
			printable(t, err.Error())
			return
		}
		again, err := json.Marshal(recs)
		if err != nil {
			t.Fatalf("cannot be written again: %v", err)
		}
		var back []session.Recorded
		if err := json.Unmarshal(again, &back); err != nil || len(recs) > 0 && !reflect.DeepEqual(back, recs) {
			t.Fatalf("read back as %+v, %v", back, err)
		}
		for _, rec := range recs {
			session.Apply(session.Day{}, rec)
			printable(t, session.KindOf(rec.Event))
		}
		look(t, session.Replay(recs))
	})
}

// FuzzPlanJSON reads any text as a plan; what passes as one can be washed.
func FuzzPlanJSON(f *testing.F) {
	for _, p := range []session.Plan{threeTubs(), oneTub(), longWash(), matrixPlan(), {}} {
		text, err := json.Marshal(p)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var p session.Plan
		if json.Unmarshal(text, &p) != nil {
			return
		}
		clean := p.Clean()
		if again := clean.Clean(); !reflect.DeepEqual(again, clean) {
			t.Fatalf("cleaned twice:\n%+v\n%+v", again, clean)
		}
		if err := clean.Validate(); err != nil {
			printable(t, err.Error())
			return
		}
		r := start(t, p)
		for i := range 50 {
			r.tick(ago(math.Mod(float64(i)*1.7, 9)))
			if tub := i % len(r.day.Tubs); r.day.NextAction(tub) != session.Wait {
				r.next(tub)
			}
			for _, text := range said(r.day, r.now) {
				printable(t, text)
			}
		}
		sane(t, r.day)
		replay(t, r, nil)
	})
}
