package session_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session"
)

// soaking is North in its presoak, a quarter of an hour in; the hot wash
// after it wants the kettle.
func soaking(t *testing.T, change ...func(*session.Plan)) *run {
	r := start(t, oneTub(append([]func(*session.Plan){func(p *session.Plan) { p.Batches[0].Presoak = session.PresoakAsMethod }}, change...)...))
	r.next(0, 0)
	return r.wait(15)
}

func kettleAlarm(d session.Day) bool {
	return slices.Contains(standing(d), "North: kettle on now")
}

// One command tells of the kettle: on, and then boiled. Its alarm ends as done,
// none comes while it boils, and the pour uses it up.
func TestKettleOnAndBoiled(t *testing.T) {
	r := soaking(t)
	if !kettleAlarm(r.day) {
		t.Fatalf("no alarm: %v", standing(r.day))
	}
	raised := r.now
	r.wait(1).do(session.TellKettle{})
	k, on := r.day.KettleOn(r.now)
	if !on || k.Batch != "A1" || k.StepName != "hot wash" || k.VolumeL < 2 || k.BoilMin < 2 {
		t.Fatalf("%+v", k)
	}
	if kettleAlarm(r.day) {
		t.Error("it still rings")
	}
	if text := details(r.day.Prompt(0, r.now)); !strings.Contains(text, "the kettle is on: ") || strings.Contains(text, "put the kettle on") {
		t.Errorf("%q", text)
	}
	_ = r.refused(session.TellKettle{}, "boiled already") // a moment after: a slip
	for range 8 * 60 {                                    // the soak ends, the fleece drips: no second call
		r.tick(1e9)
		if kettleAlarm(r.day) {
			t.Fatalf("called again at %v", r.now)
		}
	}
	r.do(session.TellKettle{Sure: true})
	if k, on := r.day.KettleOn(r.now); !on || k.BoiledAt.IsZero() {
		t.Errorf("%+v", k)
	}
	_ = r.refused(session.TellKettle{}, "the kettle has boiled: keep it for North's hot wash")
	same(t, "undo", r.day.CanUndo(), "the kettle boiled")
	r.do(session.Undo{})
	if k, on := r.day.KettleOn(r.now); !on || !k.BoiledAt.IsZero() {
		t.Errorf("undone: %+v", k)
	}
	r.do(session.TellKettle{Sure: true}).until(0, session.ToFill)
	if text := details(r.day.Prompt(0, r.now)); !strings.Contains(text, "the kettle has boiled: ") {
		t.Errorf("%q", text)
	}
	r.next(0)
	if k, on := r.day.KettleOn(r.now); on {
		t.Errorf("poured, and still there: %+v", k)
	}
	var done []session.Alarm
	for _, a := range r.day.AlarmLog {
		if a.Kind == session.KettleNow {
			done = append(done, a)
		}
	}
	if len(done) != 1 || done[0].DoneBy != "kettle put on" || !done[0].HeardAt.IsZero() {
		t.Errorf("%+v", done)
	} else if !done[0].DoneAt.After(raised) || done[0].DoneAt.After(r.now) {
		t.Errorf("done at %v", done[0].DoneAt)
	}
	again := session.Replay(r.recs)
	same(t, "replayed kettle", again.Kettle, r.day.Kettle)
}

// An undone "on" calls again, and a kettle that has stood for half an hour after
// its boil is cold.
func TestKettleUndoneAndCold(t *testing.T) {
	r := soaking(t)
	r.do(session.TellKettle{}, session.Undo{})
	if !kettleAlarm(r.day) {
		t.Errorf("undone, and nobody calls: %v", standing(r.day))
	}
	r.do(session.TellKettle{})
	k := r.day.Kettle
	if _, on := r.day.KettleOn(k.ReadyAt().Add(ago(29))); !on {
		t.Error("cold after 29 min")
	}
	if _, on := r.day.KettleOn(k.ReadyAt().Add(ago(30))); on {
		t.Error("hot after half an hour")
	}
	r.wait(2).do(session.TopUp{VolumeL: 0.5, TempC: 97}) // poured into what stands there
	if _, on := r.day.KettleOn(r.now); on {
		t.Error("poured out, and still hot")
	}
}

// The timetable knows when the kettle was put on: it is busy from then, its boil
// ends when it will, and no second boil is planned for that bath.
func TestTimetableKnowsTheKettleIsOn(t *testing.T) {
	two := func(p *session.Plan) {
		*p = threeTubs()
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], p.Batches[:2]
		p.Fleeces[1].Wax = session.Average
	}
	r := start(t, oneTub(two))
	r.next(0, 0, 1, 1).wait(4)
	boilsOf := func() (out []session.Piece) {
		tt, err := r.day.Timetable(r.now, session.Quick)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range tt.Pieces {
			if p.Boil() {
				out = append(out, p)
			}
		}
		return out
	}
	before := boilsOf()
	r.do(session.TellKettle{Tub: 1})
	put := r.now
	r.wait(2)
	after := boilsOf()
	if len(before) != 2 || len(after) != 2 {
		t.Fatalf("%d boils before, %d after", len(before), len(after))
	}
	var on, other session.Piece
	for _, p := range after {
		if p.On {
			on = p
		} else {
			other = p
		}
	}
	k := r.day.Kettle
	if on.Tub != 1 || !on.Start.Equal(put) || !on.End.Equal(k.ReadyAt()) {
		t.Errorf("%+v, put on %v, ready %v", on, put, k.ReadyAt())
	}
	tt, _ := r.day.Timetable(r.now, session.Quick)
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
	for _, a := range r.day.Next(r.now, tt) {
		if a.Boil && a.Tub == 1 {
			listed++
			if !a.BoilOn || !a.DueAt.Equal(k.ReadyAt()) || !strings.HasPrefix(a.Title, "kettle on for the ") {
				t.Errorf("%+v", a)
			}
		}
	}
	same(t, "entries for the kettle that is on", listed, 1)
	if c, ok := r.day.KettleKey(r.now, nil, 0); !ok || c.Tub != 1 {
		t.Errorf("the key tells %+v, %v", c, ok)
	}
}

// The key speaks of the bath whose alarm stands, and not at all where there is
// nothing to boil.
func TestKettleKey(t *testing.T) {
	r := soaking(t)
	if c, ok := r.day.KettleKey(r.now, nil, -1); !ok || c.Tub != 0 {
		t.Errorf("%+v, %v", c, ok)
	}
	r = soaking(t, func(p *session.Plan) { p.Kit.HotTapC, p.Kit.Kettle = 66, session.Kettle{} })
	if c, ok := r.day.KettleKey(r.now, nil, 0); ok {
		t.Errorf("%+v", c)
	}
	_ = r.refused(session.TellKettle{}, "the kit has no kettle")
	r = start(t, oneTub()).until(0, session.Soaking)
	_ = r.refused(session.TellKettle{}, "North's next bath takes no kettle water")
}

// To hear an alarm is one thing, to do what it asks another: the look-back has
// both, each with its time.
func TestHeardAndDone(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking)
	r.do(read(0, 66)).wait(23)
	if len(r.day.Alarms) != 1 || r.day.Alarms[0].Kind != session.NotLifted {
		t.Fatalf("%v", standing(r.day))
	}
	raised := r.day.Alarms[0].RaisedAt
	r.wait(2).do(session.Acknowledge{Tub: -1})
	heard := r.now.Sub(raised).Seconds()
	if a := r.day.Review().Alarms[0]; !a.Heard || a.Done || a.HeardS != heard {
		t.Errorf("heard only: %+v", a)
	}
	r.wait(2).next(0)
	if a := r.day.Review().Alarms[0]; !a.Heard || !a.Done || a.DoneBy != "lifted" || a.HeardS != heard || a.DoneS != r.now.Sub(raised).Seconds() {
		t.Errorf("heard and done: %+v", a)
	}
	// A worse one that takes its place is not a want of answer.
	r = start(t, oneTub(func(p *session.Plan) { p.Method.Steps[1].LongestMin = 22 })).until(0, session.Soaking)
	r.do(read(0, 66)).wait(23).next(0)
	all := r.day.Review().Alarms
	if len(all) != 2 || !all[0].Outdone || all[0].Done || all[1].Outdone || !all[1].Done {
		t.Errorf("%+v", all)
	}
}

// A journal from before reads as it did, without the new figures.
func TestOldFillReads(t *testing.T) {
	var rec session.Recorded
	if err := json.Unmarshal([]byte(`{"seq":2,"at":"2026-05-16T08:00:00Z","event":"bath filled","body":{"tub":0,"volume_l":8,"temp_c":66,"read":true,"dose_ml":9}}`), &rec); err != nil {
		t.Fatal(err)
	}
	same[session.Event](t, "event", rec.Event, session.BathFilled{VolumeL: 8, TempC: 66, Read: true, DoseML: 9})
}

// A kettle that has stood since its boil, told of or not, is brought to the boil again
// before it is poured: that stands first of all.
func TestKettleThatHasStood(t *testing.T) {
	for told, want := range map[bool]string{true: "bring the kettle back to the boil", false: "see that the kettle boils before you pour"} {
		r := soaking(t)
		r.wait(1).do(session.TellKettle{}).until(0, session.ToFill)
		k, _ := r.day.KettleOn(r.now)
		r.now = k.ReadyAt()
		if told {
			r.do(session.TellKettle{Sure: true})
		}
		r.wait(3)
		if p := r.day.Prompt(0, r.now); strings.Contains(details(p), want) {
			t.Errorf("told %v: at once after its boil: %q", told, details(p))
		}
		r.wait(6)
		if p := r.day.Prompt(0, r.now); !p.Details[1].Must || !strings.HasPrefix(says(p)[0], want) {
			t.Errorf("told %v: %q", told, p.Details)
		}
	}
}
