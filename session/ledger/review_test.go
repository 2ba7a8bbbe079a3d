package ledger_test

import (
	"math"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A reading minutes after the sink-in is none at it; the estimate there follows what was read,
// as the curve does.
func TestLookBackFollowsTheReadings(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	sunk := r.Day.Tubs[0].Bath.SunkAt
	guessed := r.Day.Tubs[0].Bath.SinkC
	r.Now = sunk.Add(3*time.Minute + 40*time.Second)
	r.Do(session.TakeReading{TempC: 50, Sure: true})
	look := func() ledger.BathReview { return ledger.ReviewOf(r.Day).Batches[0].Baths[0] }
	b := look()
	if !math.IsNaN(b.SinkReadC) {
		t.Errorf("read at the sink-in: %g", b.SinkReadC)
	}
	if b.SinkForecastC > 53 || b.SinkForecastC < 50 {
		t.Errorf("in at about %.1f °C, as guessed %.1f; 50 °C was read 3 min after", b.SinkForecastC, guessed)
	}
	h := r.Day.Heat(0)
	curve := h.Curve(sunk, sunk.Add(10*time.Minute), 2)
	sessiontest.Near(t, "the curve at the sink-in", b.SinkForecastC, curve[0].TempC, 1e-9)
	r.Now = sunk.Add(20 * time.Minute)
	at, _, _ := r.Day.TempNow(0, r.Now)
	r.Next(0)
	sessiontest.Near(t, "at the lift", look().LiftForecastC, at, 1e-6)
}

// A reading that was taken back has not cooled the bath: the look back does not say so.
// One that stands has.
func TestLookBackForgetsWhatWasTakenBack(t *testing.T) {
	washed := func(mistyped bool) []ledger.BelowSpan {
		r := inTheWash(t)
		r.Wait(2).Do(session.TakeReading{TempC: 47, Sure: true})
		r.Wait(1)
		if mistyped {
			r.Do(session.Undo{}, session.TakeReading{TempC: 61, Sure: true})
		}
		r.Wait(3).Do(session.DoNext{Act: shed.Lift, Sooner: true}).Next(0)
		return below(t, r)
	}
	if got := washed(true); len(got) != 0 {
		t.Errorf("taken back, and said all the same: %+v", got)
	}
	if got := washed(false); len(got) == 0 {
		t.Error("read below its release temperature, and not said")
	}
}

// A bath that was below its release temperature until hot water came in was so, though a
// later reading puts the whole of its curve higher.
func TestLookBackKeepsWhatAPourEnded(t *testing.T) {
	r := inTheWash(t)
	for r.Day.FindAlarm(session.BelowRelease, 0) < 0 {
		r.Wait(1)
	}
	r.Wait(20).Do(session.TopUp{VolumeL: 1.5, TempC: 98, BailL: 1.5}).Wait(2)
	at, _, _ := r.Day.TempNow(0, r.Now)
	r.Do(session.TakeReading{TempC: at + 1.2, Sure: true})
	if got := below(t, r); len(got) != 1 || got[0].By != "topped up" {
		t.Errorf("%+v", got)
	}
}

// A reading below the release temperature speaks for its own time, and not for a guess
// after hot water that the next reading has shown wrong.
func TestLookBackTakesAReadingForItsTime(t *testing.T) {
	r := inTheWash(t).Wait(2).Do(session.TakeReading{TempC: 47, Sure: true}).Wait(1).Do(session.TopUp{VolumeL: 2, TempC: 98, BailL: 2}).Wait(1)
	for r.Day.FindAlarm(session.BelowRelease, 0) < 0 {
		r.Wait(1)
	}
	r.Wait(1).Do(session.TakeReading{TempC: 54, Sure: true})
	if got := below(t, r); len(got) != 1 || got[0].By != "topped up" {
		t.Errorf("%+v", got)
	}
}

// inTheWash is a day whose fleece lies in its first bath with a release temperature.
func inTheWash(t *testing.T) *sessiontest.Run {
	t.Helper()
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	for !r.Day.Tubs[0].Step().HasRelease() {
		r.Next(0).Until(0, shed.Soaking)
	}
	return r
}

// below is when that bath was below it, by the look back.
func below(t *testing.T, r *sessiontest.Run) []ledger.BelowSpan {
	t.Helper()
	for _, b := range ledger.ReviewOf(r.Day).Batches[0].Baths {
		if b.Step.HasRelease() {
			return b.Below
		}
	}
	t.Fatal("no wash")
	return nil
}

// An alarm that only a mistyped reading raised is not told of, nor counted; one whose cause holds
// without the reading is.
func TestAnAlarmOfAMistypedReadingIsNotTold(t *testing.T) {
	kinds := func(r *sessiontest.Run) (out []session.AlarmKind) {
		for _, a := range ledger.ReviewOf(r.Day).Alarms {
			out = append(out, a.Kind)
		}
		sessiontest.Same(t, "counted", ledger.Summarise(1, r.Day).Alarms, len(out))
		return out
	}
	r := inTheWash(t)
	r.Wait(2).Do(session.TakeReading{TempC: 47, Sure: true}).Wait(1)
	sessiontest.Same(t, "rang", kinds(r), []session.AlarmKind{session.BelowRelease})
	r.Do(session.Undo{})
	sessiontest.Same(t, "taken back", kinds(r), []session.AlarmKind(nil))
	r.Do(session.TakeReading{TempC: 61, Sure: true}).Wait(1)
	sessiontest.Same(t, "read anew", kinds(r), []session.AlarmKind(nil))
	sessiontest.CheckReplay(t, r, nil)

	r = inTheWash(t)
	r.Wait(2).Do(session.TakeReading{TempC: 47, Sure: true}).Wait(1).Do(session.TakeReading{TempC: 46, Sure: true}).Wait(1).Do(session.Undo{})
	sessiontest.Same(t, "the first reading stands", kinds(r), []session.AlarmKind{session.BelowRelease})

	r = inTheWash(t)
	r.Wait(22).Do(session.TakeReading{TempC: 60, Sure: true}).Wait(4)
	late := kinds(r)
	r.Do(session.Undo{})
	sessiontest.Same(t, "late all the same", kinds(r), late)
	if len(late) == 0 {
		t.Error("nothing rang")
	}
}
