package session_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// A lift written down by mistake and taken back answers no alarm: the look-back
// tells of the lift that was.
func TestTakenBackDeedAnswersNoAlarm(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking)
	r.wait(23.5)
	raised := r.day.Alarms[0].RaisedAt
	r.wait(2).do(session.Acknowledge{Tub: 0})
	heard := r.now
	r.wait(1).next(0)
	r.wait(0.5).do(session.Undo{})
	same(t, "standing again", standing(r.day), []string{"North: wash not lifted"})
	r.wait(1).next(0)
	var soaks []session.AlarmReview
	for _, a := range r.day.Review().Alarms {
		if a.Kind == session.NotLifted {
			soaks = append(soaks, a)
		}
	}
	if len(soaks) != 1 {
		t.Fatalf("%d soaks were done: %+v", len(soaks), soaks)
	}
	if a := soaks[0]; a.DoneBy != "lifted" || a.DoneS != r.now.Sub(raised).Seconds() || a.HeardS != heard.Sub(raised).Seconds() || !a.RaisedAt.Equal(raised) {
		t.Errorf("%+v, lifted %v", a, r.now)
	}
	replay(t, r, nil)
}

// Two deeds taken back in a row, the alarm rings on in between.
func TestDeedsTakenBackInARow(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking)
	r.wait(23.5).next(0)
	r.do(session.AddNote{Tub: -1, Text: "x"}, session.Undo{}, session.Undo{})
	same(t, "standing again", standing(r.day), []string{"North: wash not lifted"})
	if log := r.day.AlarmLog; len(log) != 1 || !log[0].Call() {
		t.Errorf("%+v", log)
	}
	r.wait(1)
	rings := r.day.Alarms[0].Rings
	if r.wait(5); r.day.Alarms[0].Rings <= rings {
		t.Error("it does not come back")
	}
}

// The end of a day that is taken back leaves its alarms standing.
func TestEndTakenBackLeavesAlarms(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking)
	r.wait(23.5).do(session.EndDay{Anyway: true})
	same(t, "ended", standing(r.day), []string(nil))
	r.now = r.now.Add(3 * time.Minute)
	r.do(session.Undo{})
	same(t, "goes on", standing(r.day), []string{"North: wash not lifted"})
	same(t, "log", len(r.day.AlarmLog), 1) // the call before it
}

// The look-back has all readings of a bath, when it was too cool, and the step that
// was left out.
func TestLookBackTellsOfABath(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Fleeces[0].Wax = session.High })).until(0, session.Soaking)
	r.wait(3).do(session.TakeReading{TempC: 63, Sure: true})
	r.wait(9).do(session.TakeReading{TempC: 48, Sure: true})
	r.wait(1)
	below := r.now.Add(-time.Minute)
	r.do(session.TopUp{VolumeL: 1.5, TempC: 95})
	topped := r.now
	r.wait(1).next(0, 0).do(session.SkipStep{}).until(0, session.ToRack).next(0)
	baths := r.day.Review().Batches[0].Baths
	if len(baths) < 3 || !baths[1].LeftOut() || baths[1].Step.Kind != session.Wash || baths[2].LeftOut() {
		t.Fatalf("%+v", baths)
	}
	if b := baths[0]; len(b.Readings) != 2 || len(b.Below) != 1 || b.Below[0].By != "topped up" || b.Below[0].From.Sub(below).Abs() > 2*time.Second || !b.Below[0].To.Equal(topped) {
		t.Errorf("%+v\n%+v", b.Readings, b.Below)
	}
}
