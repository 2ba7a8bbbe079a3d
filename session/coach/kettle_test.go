package coach_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

func kettleAlarm(d session.Day) bool {
	return slices.Contains(sessiontest.StandingAlarms(d), "North: kettle on now")
}

// One command tells of the kettle: on, and then boiled. Its alarm ends as done,
// none comes while it boils, and the pour uses it up.
func TestKettleOnAndBoiled(t *testing.T) {
	r := sessiontest.StartPresoaked(t, oneBoil)
	if !kettleAlarm(r.Day) {
		t.Fatalf("no alarm: %v", sessiontest.StandingAlarms(r.Day))
	}
	raised := r.Now
	r.Wait(1).Do(session.TellKettle{})
	k, on := r.Day.KettleOn()
	if !on || k.Batch != "A1" || k.StepName != "hot wash" || k.VolumeL < 2 || k.BoilMin < 2 {
		t.Fatalf("%+v", k)
	}
	if kettleAlarm(r.Day) {
		t.Error("it still rings")
	}
	if text := sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)); !strings.Contains(text, "the kettle is on: ") || strings.Contains(text, "put the kettle on") {
		t.Errorf("%q", text)
	}
	_ = r.Refused(session.TellKettle{}, "boiled already") // a moment after: a slip
	for range 8 * 60 {                                    // the soak ends, the fleece drips: no second call
		r.Tick(1e9)
		if kettleAlarm(r.Day) {
			t.Fatalf("called again at %v", r.Now)
		}
	}
	r.Do(session.TellKettle{Sure: true})
	if k, on := r.Day.KettleOn(); !on || k.BoiledAt.IsZero() {
		t.Errorf("%+v", k)
	}
	_ = r.Refused(session.TellKettle{}, "the kettle has boiled: keep it for North's hot wash")
	sessiontest.Same(t, "undo", coach.CanUndo(r.Day), "kettle boiled")
	r.Do(session.Undo{})
	if k, on := r.Day.KettleOn(); !on || !k.BoiledAt.IsZero() {
		t.Errorf("undone: %+v", k)
	}
	r.Do(session.TellKettle{Sure: true}).Until(0, shed.ToFill)
	if text := sessiontest.PromptText(coach.PromptAt(r.Day, 0, r.Now)); !strings.Contains(text, "the kettle has boiled: ") {
		t.Errorf("%q", text)
	}
	r.Next(0)
	if k, on := r.Day.KettleOn(); on {
		t.Errorf("poured, and still there: %+v", k)
	}
	var done []session.Alarm
	for _, a := range r.Day.AlarmLog {
		if a.Kind == session.KettleNow {
			done = append(done, a)
		}
	}
	if len(done) != 1 || done[0].DoneBy != "kettle put on" || !done[0].HeardAt.IsZero() {
		t.Errorf("%+v", done)
	} else if !done[0].DoneAt.After(raised) || done[0].DoneAt.After(r.Now) {
		t.Errorf("done at %v", done[0].DoneAt)
	}
	again := session.Replay(r.Recs)
	sessiontest.Same(t, "replayed kettle", again.Kettle, r.Day.Kettle)
}

// An undone "on" calls again, and a kettle that has stood is nobody else's until it is
// poured.
func TestKettleUndoneAndPoured(t *testing.T) {
	r := sessiontest.StartPresoaked(t, oneBoil)
	r.Do(session.TellKettle{}, session.Undo{})
	if !kettleAlarm(r.Day) {
		t.Errorf("undone, and nobody calls: %v", sessiontest.StandingAlarms(r.Day))
	}
	r.Do(session.TellKettle{})
	r.Wait(2).Do(session.TopUp{VolumeL: 0.5, TempC: 97}) // poured into what stands there
	if _, on := r.Day.KettleOn(); on {
		t.Error("poured out, and still hot")
	}
}

// The timetable knows when the kettle was put on: it is busy from then, its boil
// ends when it will, and no second boil is planned for that bath.
func TestTimetableKnowsTheKettleIsOn(t *testing.T) {
	two := func(p *shed.Plan) {
		*p = sessiontest.ThreeTubs()
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], p.Batches[:2]
		p.Fleeces[1].Wax = shed.Average
		oneBoil(p)
	}
	r := sessiontest.Start(t, sessiontest.OneTub(two))
	r.Next(0, 0, 1, 1).Wait(4)
	boilsOf := func() (out []planner.Piece) {
		tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
		for _, p := range tt.Pieces {
			if p.Boil() {
				out = append(out, p)
			}
		}
		return out
	}
	before := boilsOf()
	r.Do(session.TellKettle{Tub: 1})
	put := r.Now
	r.Wait(2)
	after := boilsOf()
	if len(before) != 2 || len(after) != 2 {
		t.Fatalf("%d boils before, %d after", len(before), len(after))
	}
	var on, other planner.Piece
	for _, p := range after {
		if p.On {
			on = p
		} else {
			other = p
		}
	}
	k := r.Day.Kettle
	if on.Tub != 1 || !on.Start.Equal(put) || !on.End.Equal(k.ReadyAt()) {
		t.Errorf("%+v, put on %v, ready %v", on, put, k.ReadyAt())
	}
	tt, _ := planner.Schedule(r.Day, r.Now, planner.Quick)
	for _, b := range tt.Baths {
		if b.Batch == k.Batch && b.Step.Name == k.StepName {
			if b.FillAt.Before(k.ReadyAt().Add(-1e9)) {
				t.Errorf("filled at %v, the kettle is ready at %v", b.FillAt, k.ReadyAt())
			}
			if other.Start.Before(b.FillAt) {
				t.Errorf("the other boil begins at %v, before the kettle is poured at %v", other.Start, b.FillAt)
			}
		}
	}
	listed := 0
	for _, a := range coach.Next(r.Day, r.Now, tt) {
		if a.Boil && a.Tub == 1 {
			listed++
			if !a.BoilOn || !a.DueAt.Equal(k.ReadyAt()) || !strings.HasPrefix(a.Title, "kettle on for the ") {
				t.Errorf("%+v", a)
			}
		}
	}
	sessiontest.Same(t, "entries for the kettle that is on", listed, 1)
	if c, ok := coach.KettleKey(r.Day, r.Now, nil, 0); !ok || c.Tub != 1 {
		t.Errorf("the key tells %+v, %v", c, ok)
	}
}

// The key speaks of the bath whose alarm stands, and not at all where there is
// nothing to boil.
func TestKettleKey(t *testing.T) {
	r := sessiontest.StartPresoaked(t, oneBoil)
	if c, ok := coach.KettleKey(r.Day, r.Now, nil, -1); !ok || c.Tub != 0 {
		t.Errorf("%+v, %v", c, ok)
	}
	r = sessiontest.StartPresoaked(t, func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 66, shed.Kettle{} })
	if c, ok := coach.KettleKey(r.Day, r.Now, nil, 0); ok {
		t.Errorf("%+v", c)
	}
	_ = r.Refused(session.TellKettle{}, "the kit has no kettle")
	r = sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	_ = r.Refused(session.TellKettle{}, "North's next bath takes no kettle water")
}

// To hear an alarm is one thing, to do what it asks another: the look-back has
// both, each with its time.
func TestHeardAndDone(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	r.Do(sessiontest.ReadC(0, 66)).Wait(23)
	if len(r.Day.Alarms) != 1 || r.Day.Alarms[0].Kind != session.NotLifted {
		t.Fatalf("%v", sessiontest.StandingAlarms(r.Day))
	}
	raised := r.Day.Alarms[0].RaisedAt
	r.Wait(2).Do(session.Acknowledge{Tub: -1})
	heard := r.Now.Sub(raised).Seconds()
	if a := ledger.ReviewOf(r.Day).Alarms[0]; !a.Heard || a.Done || a.HeardS != heard {
		t.Errorf("heard only: %+v", a)
	}
	r.Wait(2).Next(0)
	if a := ledger.ReviewOf(r.Day).Alarms[0]; !a.Heard || !a.Done || a.DoneBy != "lifted" || a.HeardS != heard || a.DoneS != r.Now.Sub(raised).Seconds() {
		t.Errorf("heard and done: %+v", a)
	}
	// A worse one that takes its place is not a want of answer.
	r = sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Method.Steps[1].LongestMin = 22 })).Until(0, shed.Soaking)
	r.Do(sessiontest.ReadC(0, 66)).Wait(23).Next(0)
	all := ledger.ReviewOf(r.Day).Alarms
	if len(all) != 2 || !all[0].Outdone || all[0].Done || all[1].Outdone || !all[1].Done {
		t.Errorf("%+v", all)
	}
}

// A journal from before reads as it did, without the new figures.
func TestOldFillReads(t *testing.T) {
	var rec session.Recorded
	must.Do(t, json.Unmarshal([]byte(`{"seq":2,"at":"2026-05-16T08:00:00Z","event":"bath filled","body":{"tub":0,"volume_l":8,"temp_c":66,"read":true,"dose_ml":9}}`), &rec))
	sessiontest.Same[session.Event](t, "event", rec.Event, session.BathFilled{VolumeL: 8, TempC: 66, Read: true, DoseML: 9})
}

// A kettle that has stood since its boil, told of or not, is brought to the boil again
// before it is poured: that stands first of all.
func TestKettleThatHasStood(t *testing.T) {
	for told, want := range map[bool]string{true: "boil the kettle again", false: "check that the kettle boils before you pour"} {
		r := sessiontest.StartPresoaked(t, oneBoil)
		r.Wait(1).Do(session.TellKettle{}).Until(0, shed.ToFill)
		k, _ := r.Day.KettleOn()
		r.Now = k.ReadyAt()
		if told {
			r.Do(session.TellKettle{Sure: true})
		}
		r.Wait(3)
		if p := coach.PromptAt(r.Day, 0, r.Now); strings.Contains(sessiontest.PromptText(p), want) {
			t.Errorf("told %v: at once after its boil: %q", told, sessiontest.PromptText(p))
		}
		r.Wait(6)
		if p := coach.PromptAt(r.Day, 0, r.Now); !p.Details[1].Must || !strings.HasPrefix(sessiontest.DetailLines(p)[0], want) {
			t.Errorf("told %v: %q", told, p.Details)
		}
	}
}
