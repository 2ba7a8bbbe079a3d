package session_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
)

// anyRun draws a day some way on, with at least one soak in it.
func anyRun(t *rapid.T) *run {
	r := start(t, anyPlan(t))
	for i := range r.day.Tubs {
		for range rapid.IntRange(0, 12).Draw(t, "acts") {
			if r.day.NextAction(i) == session.Wait {
				break
			}
			r.next(i)
			r.tick(rapid.SampledFrom([]time.Duration{0, 9 * time.Second, 3 * time.Minute}).Draw(t, "pause"))
			if rapid.IntRange(0, 5).Draw(t, "hold") == 0 && r.day.Tubs[i].Phase != session.Idle {
				r.do(session.Hold{Tub: i})
				break
			}
		}
	}
	return r
}

// A laptop that slept sees one late tick where another saw each second: the
// same alarms stand, though not since the same moment.
func TestLateTickComesToTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRun(t)
		end := r.now.Add(time.Duration(rapid.IntRange(0, 5*3600).Draw(t, "seconds")) * time.Second)
		small := *r
		stride := time.Duration(rapid.IntRange(20, 400).Draw(t, "stride")) * time.Second
		for small.now.Add(stride).Before(end) {
			small.tick(stride)
		}
		small.tick(end.Sub(small.now))
		r.tick(end.Sub(r.now))
		same(t, "standing alarms", standing(r.day), standing(small.day))
		same(t, "the rest of the day", bare(r.day), bare(small.day))
	})
}

// Looking at a day does nothing to it, and time alone moves no forecast.
func TestTimeAloneChangesOnlyAlarms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRun(t)
		before := bare(r.day)
		for range 20 {
			r.tick(time.Duration(rapid.IntRange(0, 1000).Draw(t, "seconds")) * time.Second)
			said(r.day, r.now)
			if _, recs := session.Tick(r.day, r.now); len(recs) > 0 {
				t.Fatalf("a second tick at the same moment finds %v", recs)
			}
		}
		same(t, "day", bare(r.day), before)
	})
}

// More minutes never end a soak sooner, and they are minutes from now on: a
// soak that is over starts afresh instead of ringing on. Fewer never end it
// later.
func TestAdjustedSoak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRun(t)
		r.tick(time.Duration(rapid.IntRange(0, 2*3600).Draw(t, "seconds")) * time.Second)
		by := rapid.Float64Range(-60, 60).Draw(t, "by")
		for i := range r.day.Tubs {
			was := r.day.Tubs[i]
			day, _, err := session.Do(r.day, session.AdjustSoak{Tub: i, ByMin: by}, r.now)
			if err != nil {
				sentence(t, err)
				continue
			}
			is := day.Tubs[i]
			if was.Phase != session.Soaking {
				if by > 0 && is.Bath.SoakMin < was.Bath.SoakMin || by < 0 && is.Bath.SoakMin > was.Bath.SoakMin {
					t.Fatalf("%+g min made %g min of %g", by, is.Bath.SoakMin, was.Bath.SoakMin)
				}
				continue
			}
			before, after := was.SoakEndAt(r.now), is.SoakEndAt(r.now)
			if by > 0 && (after.Before(before) || !after.After(r.now)) || by < 0 && after.After(before) {
				t.Fatalf("%+g min at %v moved the end from %v to %v", by, r.now, before, after)
			}
		}
	})
}

// Holding gives back exactly the time held, before the soak and in it.
func TestHoldStopsTheSoakClockOnly(t *testing.T) {
	for _, row := range []struct {
		name  string
		phase session.Phase
		moved time.Duration
	}{
		{"while waiting for water", session.ToFill, 0},
		{"while waiting for the fleece", session.ToSink, 0},
		{"while soaking", session.Soaking, 9 * time.Minute},
	} {
		r := start(t, oneTub()).until(0, row.phase).do(session.Hold{}).tick(9 * time.Minute).do(session.Resume{})
		r.until(0, session.Soaking)
		tub := r.day.Tubs[0]
		same(t, row.name, tub.SoakEndAt(r.now), tub.Bath.SunkAt.Add(20*time.Minute+row.moved))
	}
	r := start(t, oneTub()).until(0, session.Draining).do(session.Hold{}).tick(time.Hour).do(session.Resume{}).next(0)
	same(t, "held after the lift", r.day.Baths[0].HeldFor, 0)
}

// A clock that is set back stops the day's time until it has caught up.
func TestClockSetBack(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking).wait(5)
	last := r.now
	r.do(session.TakeReading{TempC: 61, Sure: true})
	r.now = r.now.Add(-3 * time.Hour)
	r.do(session.AddNote{Text: "the clock was wrong"})
	same(t, "the note's time", r.day.Notes[0].At, last)
	r.tick(time.Minute)
	same(t, "alarms", len(r.day.Alarms), 0)
	r.do(session.ResumeWatch{})
	same(t, "gap", r.day.Resumed[0], 0)
	r.now = last.Add(15 * time.Minute)
	r.tick(0)
	same(t, "alarms", standing(r.day), []string{"North: soak done"})
}

// A moment with a monotonic part or in another zone is kept as plain UTC.
func TestTimesAreKeptInUTC(t *testing.T) {
	zone := time.FixedZone("somewhere", 5*3600)
	day, recs, err := session.Do(session.Day{}, session.StartDay{Plan: oneTub()}, dawn.In(zone))
	if err != nil {
		t.Fatal(err)
	}
	if at := recs[0].At; at != dawn || day.StartedAt != dawn {
		t.Errorf("recorded at %v", at)
	}
	_, recs, err = session.Do(session.Day{}, session.StartDay{Plan: oneTub()}, time.Now())
	if err != nil || recs[0].At != recs[0].At.Round(0).UTC() {
		t.Errorf("a monotonic part is left: %v %v", recs, err)
	}
}

// Two continuations of one day, such as a press and the press that a test or a
// preview tries out, never write into what the other holds. Each list of a day
// has its row, for each grows in its own place.
func TestContinuationsShareNothing(t *testing.T) {
	note := func(text string) session.Command { return session.AddNote{Tub: -1, Text: text} }
	batch := func(g float64) session.Command {
		return session.AddBatch{Batch: session.Batch{FleeceID: "f1", RawG: g}}
	}
	animal := func(id string) session.Command {
		return session.AddBatch{Fleece: session.Fleece{ID: id, Animal: id, RawG: 500}, Batch: session.Batch{FleeceID: id, RawG: 100}}
	}
	for _, row := range []struct {
		name  string
		phase session.Phase
		pair  func(i int) (one, other session.Command)
	}{
		{"notes", session.ToFill, func(int) (a, b session.Command) { return note("one"), note("other") }},
		{"absences", session.ToFill, func(int) (a, b session.Command) { return session.ResumeWatch{}, session.ResumeWatch{} }},
		{"batches", session.ToFill, func(int) (a, b session.Command) { return batch(100), batch(101) }},
		{"fleeces", session.ToFill, func(i int) (a, b session.Command) {
			return animal(fmt.Sprint("n", i)), animal(fmt.Sprint("o", i))
		}},
		{"readings", session.Soaking, func(int) (a, b session.Command) { return read(0, 60), read(0, 61) }},
		{"changes", session.Soaking, func(i int) (a, b session.Command) {
			return session.SetCover{Cover: cooling.Cover(i % 2)}, session.SetCover{Cover: cooling.LidAndFilm}
		}},
		{"baths", session.Draining, func(int) (a, b session.Command) { return do(session.DrainTub), session.RepeatStep{} }},
		{"alarms", session.Soaking, func(int) (a, b session.Command) {
			return session.DoNext{Act: session.Lift, Sooner: true}, session.EndDay{Anyway: true}
		}},
	} {
		r := start(t, oneTub()).until(0, row.phase)
		for i := range 10 {
			if r.day.Tubs[0].Phase != row.phase { // once more round
				r.tick(time.Minute)
				if r.day.Tubs[0].Phase == session.ToFill && r.day.Tubs[0].At > 0 || r.day.Tubs[0].Phase == session.Draining {
					r.do(session.RepeatStep{})
				}
				r.until(0, row.phase)
			}
			if row.name == "alarms" {
				r.tick(25 * time.Minute)
			}
			one, other := row.pair(i)
			parent := *r
			parent.recs = slices.Clip(parent.recs)
			r.do(one)
			before := fmt.Sprintf("%+v", r.day.WithoutUndo())
			parent.tick(time.Second).do(other)
			if after := fmt.Sprintf("%+v", r.day.WithoutUndo()); after != before {
				t.Errorf("%s, round %d: another continuation wrote into this one:\n%s\n%s", row.name, i+1, before, after)
			}
		}
		replay(t, r, nil)
	}
}

// Undo reaches far enough back for anything a person would still want undone.
func TestUndoDepth(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking)
	for range 3 * session.UndoDepthKept {
		r.do(session.AddNote{Text: "still brown"})
		if n := r.day.UndoDepth(); n > 2*session.UndoDepthKept {
			t.Fatalf("%d days are kept", n)
		}
	}
	if n := r.day.UndoDepth(); n < session.UndoDepthKept {
		t.Errorf("%d can be undone", n)
	}
	replay(t, r, nil)
	for r.day.CanUndo() != "" {
		r.do(session.Undo{})
	}
	_ = r.refused(session.Undo{}, "nothing to undo")
}
