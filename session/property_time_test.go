package session_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// anyRun draws a day some way on, with at least one soak in it.
func anyRun(t *rapid.T) *sessiontest.Run {
	r := sessiontest.Start(t, anyPlan(t))
	for i := range r.Day.Tubs {
		for range rapid.IntRange(0, 12).Draw(t, "acts") {
			if r.Day.NextAction(i) == shed.Wait {
				break
			}
			r.Next(i)
			r.Tick(rapid.SampledFrom([]time.Duration{0, 9 * time.Second, 3 * time.Minute}).Draw(t, "pause"))
			if rapid.IntRange(0, 5).Draw(t, "hold") == 0 && r.Day.Tubs[i].Phase != shed.Idle {
				r.Do(session.Hold{Tub: i})
				break
			}
		}
	}
	return r
}

// A laptop that slept sees one late tick where another saw each second: the
// same alarms stand, though not since the same moment.
func TestLateTickComesToTheSame(t *testing.T) {
	long.Check(t, 40, func(t *rapid.T) {
		r := anyRun(t)
		end := r.Now.Add(time.Duration(rapid.IntRange(0, 5*3600).Draw(t, "seconds")) * time.Second)
		small := *r
		stride := time.Duration(rapid.IntRange(20, 400).Draw(t, "stride")) * time.Second
		for small.Now.Add(stride).Before(end) {
			small.Tick(stride)
		}
		small.Tick(end.Sub(small.Now))
		r.Tick(end.Sub(r.Now))
		sessiontest.Same(t, "standing alarms", sessiontest.StandingAlarms(r.Day), sessiontest.StandingAlarms(small.Day))
		sessiontest.Same(t, "the rest of the day", bare(r.Day), bare(small.Day))
	})
}

// Looking at a day does nothing to it, and time alone moves no forecast.
func TestTimeAloneChangesOnlyAlarms(t *testing.T) {
	t.Parallel()
	long.Check(t, 40, func(t *rapid.T) {
		r := anyRun(t)
		before := bare(r.Day)
		for range 20 {
			r.Tick(time.Duration(rapid.IntRange(0, 1000).Draw(t, "seconds")) * time.Second)
			sessiontest.EverythingSaid(r.Day, r.Now)
			if _, recs := session.Tick(r.Day, r.Now); len(recs) > 0 {
				t.Fatalf("a second tick at the same moment finds %v", recs)
			}
		}
		sessiontest.Same(t, "day", bare(r.Day), before)
	})
}

// More minutes never end a soak sooner, and they are minutes from now on: a
// soak that is over starts afresh instead of ringing on. Fewer never end it
// later.
func TestAdjustedSoak(t *testing.T) {
	long.Check(t, 40, func(t *rapid.T) {
		r := anyRun(t)
		r.Tick(time.Duration(rapid.IntRange(0, 2*3600).Draw(t, "seconds")) * time.Second)
		by := rapid.Float64Range(-60, 60).Draw(t, "by")
		for i := range r.Day.Tubs {
			was := r.Day.Tubs[i]
			day, _, err := session.Do(r.Day, session.AdjustSoak{Tub: i, ByMin: by}, r.Now)
			if err != nil {
				sessiontest.CheckSentence(t, err)
				continue
			}
			is := day.Tubs[i]
			if was.Phase != shed.Soaking {
				if by > 0 && is.Bath.SoakMin < was.Bath.SoakMin || by < 0 && is.Bath.SoakMin > was.Bath.SoakMin {
					t.Fatalf("%+g min made %g min of %g", by, is.Bath.SoakMin, was.Bath.SoakMin)
				}
				continue
			}
			before, after := was.SoakEndAt(r.Now), is.SoakEndAt(r.Now)
			if by > 0 && (after.Before(before) || !after.After(r.Now)) || by < 0 && after.After(before) {
				t.Fatalf("%+g min at %v moved the end from %v to %v", by, r.Now, before, after)
			}
		}
	})
}

// Holding gives back exactly the time held, before the soak and in it.
func TestHoldStopsTheSoakClockOnly(t *testing.T) {
	for _, row := range []struct {
		name  string
		phase shed.Phase
		moved time.Duration
	}{
		{"while waiting for water", shed.ToFill, 0},
		{"while waiting for the fleece", shed.ToSink, 0},
		{"while soaking", shed.Soaking, 9 * time.Minute},
	} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, row.phase).Do(session.Hold{}).Tick(9 * time.Minute).Do(session.Resume{})
		r.Until(0, shed.Soaking)
		tub := r.Day.Tubs[0]
		sessiontest.Same(t, row.name, tub.SoakEndAt(r.Now), tub.Bath.SunkAt.Add(20*time.Minute+row.moved))
	}
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Draining).Do(session.Hold{}).Tick(time.Hour).Do(session.Resume{}).Next(0)
	sessiontest.Same(t, "held after the lift", r.Day.Baths[0].HeldFor, 0)
}

// A clock that is set back stops the day's time until it has caught up.
func TestClockSetBack(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(5)
	last := r.Now
	r.Do(session.TakeReading{TempC: 61, Sure: true})
	r.Now = r.Now.Add(-3 * time.Hour)
	r.Do(session.AddNote{Text: "the clock was wrong"})
	sessiontest.Same(t, "the note's time", r.Day.Notes[0].At, last)
	r.Tick(time.Minute)
	sessiontest.Same(t, "alarms", len(r.Day.Alarms), 0)
	r.Do(session.ResumeWatch{})
	sessiontest.Same(t, "gap", r.Day.Resumed[0], 0)
	r.Now = last.Add(15 * time.Minute)
	r.Tick(0)
	sessiontest.Same(t, "alarms", sessiontest.StandingAlarms(r.Day), []string{"North: soak done"})
}

// A moment with a monotonic part or in another zone is kept as plain UTC.
func TestTimesAreKeptInUTC(t *testing.T) {
	zone := time.FixedZone("somewhere", 5*3600)
	day, recs, err := session.Do(session.Day{}, session.StartDay{Plan: sessiontest.OneTub()}, sessiontest.Dawn.In(zone))
	if err != nil {
		t.Fatal(err)
	}
	if at := recs[0].At; at != sessiontest.Dawn || day.StartedAt != sessiontest.Dawn {
		t.Errorf("recorded at %v", at)
	}
	_, recs, err = session.Do(session.Day{}, session.StartDay{Plan: sessiontest.OneTub()}, time.Now())
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
		return session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: g}}
	}
	animal := func(id string) session.Command {
		return session.AddBatch{Fleece: shed.Fleece{ID: id, Animal: id, RawG: 500}, Batch: shed.Batch{FleeceID: id, RawG: 100}}
	}
	for _, row := range []struct {
		name  string
		phase shed.Phase
		pair  func(i int) (one, other session.Command)
	}{
		{"notes", shed.ToFill, func(int) (a, b session.Command) { return note("one"), note("other") }},
		{"absences", shed.ToFill, func(int) (a, b session.Command) { return session.ResumeWatch{}, session.ResumeWatch{} }},
		{"batches", shed.ToFill, func(int) (a, b session.Command) { return batch(100), batch(101) }},
		{"fleeces", shed.ToFill, func(i int) (a, b session.Command) {
			return animal(fmt.Sprint("n", i)), animal(fmt.Sprint("o", i))
		}},
		{"readings", shed.Soaking, func(int) (a, b session.Command) { return sessiontest.ReadC(0, 60), sessiontest.ReadC(0, 61) }},
		{"changes", shed.Soaking, func(i int) (a, b session.Command) {
			return session.SetCover{Cover: cooling.Cover(i % 2)}, session.SetCover{Cover: cooling.LidAndFilm}
		}},
		{"baths", shed.Draining, func(int) (a, b session.Command) { return do(shed.DrainTub), session.RepeatStep{} }},
		{"alarms", shed.Soaking, func(int) (a, b session.Command) {
			return session.DoNext{Act: shed.Lift, Sooner: true}, session.EndDay{Anyway: true}
		}},
	} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, row.phase)
		for i := range 10 {
			if r.Day.Tubs[0].Phase != row.phase { // once more round
				r.Tick(time.Minute)
				if r.Day.Tubs[0].Phase == shed.ToFill && r.Day.Tubs[0].At > 0 || r.Day.Tubs[0].Phase == shed.Draining {
					r.Do(session.RepeatStep{})
				}
				r.Until(0, row.phase)
			}
			if row.name == "alarms" {
				r.Tick(25 * time.Minute)
			}
			one, other := row.pair(i)
			parent := *r
			parent.Recs = slices.Clip(parent.Recs)
			r.Do(one)
			before := fmt.Sprintf("%+v", r.Day.WithoutUndo())
			parent.Tick(time.Second).Do(other)
			if after := fmt.Sprintf("%+v", r.Day.WithoutUndo()); after != before {
				t.Errorf("%s, round %d: another continuation wrote into this one:\n%s\n%s", row.name, i+1, before, after)
			}
		}
		sessiontest.CheckReplay(t, r, nil)
	}
}

// Undo reaches far enough back for anything a person would still want undone.
func TestUndoDepth(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	for range 3 * session.UndoDepthKept {
		r.Do(session.AddNote{Text: "still brown"})
		if n := r.Day.UndoDepth(); n > 2*session.UndoDepthKept {
			t.Fatalf("%d days are kept", n)
		}
	}
	if n := r.Day.UndoDepth(); n < session.UndoDepthKept {
		t.Errorf("%d can be undone", n)
	}
	sessiontest.CheckReplay(t, r, nil)
	for coach.CanUndo(r.Day) != "" {
		r.Do(session.Undo{})
	}
	_ = r.Refused(session.Undo{}, "nothing to undo")
}
