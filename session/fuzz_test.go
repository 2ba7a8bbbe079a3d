package session_test

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// look asks a day for all that it can tell, from any journal whatever.
func look(t sessiontest.Reporter, d session.Day) {
	lookback.Of(d)
	lookback.TimingsBeside(d, planner.Timetable{})
	lookback.Baths(d)
	for _, now := range []time.Time{d.LastAt, sessiontest.Dawn, sessiontest.Dawn.Add(3 * time.Hour)} {
		for _, text := range sessiontest.EverythingSaid(d, now) {
			sessiontest.CheckPrintable(t, text)
		}
		for i := range d.Tubs {
			h := d.Heat(i)
			h.Curve(now, now.Add(time.Hour), 5)
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
	r := sessiontest.Start(f, sessiontest.ThreeTubs()).Next(0, 0, 1, 1).Wait(3)
	r.Do(sessiontest.ReadC(0, 13), session.Hold{Tub: 1}, session.TopUp{Tub: 0, VolumeL: 1, TempC: 60}, session.AddNote{Text: "brown"}, session.Undo{},
		session.ChangeKit{Kit: r.Day.Plan.Kit}, session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: 100}})
	r.Wait(20).Next(0, 0).Do(session.RepeatStep{}, session.SkipStep{}, session.ResumeWatch{}, session.EndDay{Anyway: true})
	whole := must.Get(json.Marshal(r.Recs)).In(f)
	f.Add(whole)
	f.Add(bytes.Replace(whole, []byte(`"at"`), []byte(`"t"`), 1)) // it began two thousand years before
	for i := range r.Recs {
		one := must.Get(json.Marshal(r.Recs[i : i+1])).In(f)
		f.Add(one)
	}
	for _, e := range session.AllEvents() {
		one := must.Get(json.Marshal([]session.Recorded{{Seq: 1, At: sessiontest.Dawn, Event: e}})).In(f)
		f.Add(one)
	}
	f.Add([]byte("[{\"seq\":1,\"at\":\"2026-\x7f5-16T08:00:00Z\",\"event\":\"tub held\",\"body\":{}}]")) // the decoder quotes it
	f.Add([]byte(`[{"seq":1,"at":"0000-01-01T00:00:00+14:00","event":"undone","body":{}},null]`))
	f.Fuzz(func(t *testing.T, text []byte) {
		var recs []session.Recorded
		if err := json.Unmarshal(text, &recs); err != nil {
			sessiontest.CheckPrintable(t, err.Error())
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
			sessiontest.CheckPrintable(t, session.KindOf(rec.Event))
		}
		look(t, session.Replay(recs))
	})
}

// FuzzPlanJSON reads any text as a plan; what passes as one can be washed.
func FuzzPlanJSON(f *testing.F) {
	for _, p := range []shed.Plan{sessiontest.ThreeTubs(), sessiontest.OneTub(), sessiontest.LongWash(), matrixPlan(), {}} {
		text := must.Get(json.Marshal(p)).In(f)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var p shed.Plan
		if json.Unmarshal(text, &p) != nil {
			return
		}
		clean := p.Clean()
		if again := clean.Clean(); !reflect.DeepEqual(again, clean) {
			t.Fatalf("cleaned twice:\n%+v\n%+v", again, clean)
		}
		if err := clean.Validate(); err != nil {
			sessiontest.CheckPrintable(t, err.Error())
			return
		}
		r := sessiontest.Start(t, p)
		for i := range 50 {
			r.Tick(sessiontest.Minutes(math.Mod(float64(i)*1.7, 9)))
			if tub := i % len(r.Day.Tubs); r.Day.NextAction(tub) != shed.Wait {
				r.Next(tub)
			}
			for _, text := range sessiontest.EverythingSaid(r.Day, r.Now) {
				sessiontest.CheckPrintable(t, text)
			}
		}
		sane(t, r.Day)
		sessiontest.CheckReplay(t, r, nil)
	})
}
