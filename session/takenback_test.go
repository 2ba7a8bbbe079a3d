package session_test

import (
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A lift written down by mistake and taken back answers no alarm: the look-back
// tells of the lift that was.
func TestTakenBackDeedAnswersNoAlarm(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	r.Wait(23.5)
	raised := r.Day.Alarms[0].RaisedAt
	r.Wait(2).Do(session.Acknowledge{Tub: 0})
	heard := r.Now
	r.Wait(1).Next(0)
	r.Wait(0.5).Do(session.Undo{})
	sessiontest.Same(t, "standing again", sessiontest.StandingAlarms(r.Day), []string{"North: wash not lifted"})
	r.Wait(1).Next(0)
	var soaks []ledger.AlarmReview
	for _, a := range ledger.ReviewOf(r.Day).Alarms {
		if a.Kind == session.NotLifted {
			soaks = append(soaks, a)
		}
	}
	if len(soaks) != 1 {
		t.Fatalf("%d soaks were done: %+v", len(soaks), soaks)
	}
	if a := soaks[0]; a.DoneBy != "lifted" || a.DoneS != r.Now.Sub(raised).Seconds() || a.HeardS != heard.Sub(raised).Seconds() || !a.RaisedAt.Equal(raised) {
		t.Errorf("%+v, lifted %v", a, r.Now)
	}
	sessiontest.CheckReplay(t, r, nil)
}

// Two deeds taken back in a row, the alarm rings on in between.
func TestDeedsTakenBackInARow(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	r.Wait(23.5).Next(0)
	r.Do(session.AddNote{Tub: -1, Text: "x"}, session.Undo{}, session.Undo{})
	sessiontest.Same(t, "standing again", sessiontest.StandingAlarms(r.Day), []string{"North: wash not lifted"})
	if log := r.Day.AlarmLog; len(log) != 1 || !log[0].Call() {
		t.Errorf("%+v", log)
	}
	r.Wait(1)
	rings := r.Day.Alarms[0].Rings
	if r.Wait(5); r.Day.Alarms[0].Rings <= rings {
		t.Error("it does not come back")
	}
}

// The end of a day that is taken back leaves its alarms standing.
func TestEndTakenBackLeavesAlarms(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	r.Wait(23.5).Do(session.EndDay{Anyway: true})
	sessiontest.Same(t, "ended", sessiontest.StandingAlarms(r.Day), []string(nil))
	r.Now = r.Now.Add(3 * time.Minute)
	r.Do(session.Undo{})
	sessiontest.Same(t, "goes on", sessiontest.StandingAlarms(r.Day), []string{"North: wash not lifted"})
	sessiontest.Same(t, "log", len(r.Day.AlarmLog), 1) // the call before it
}

// The look-back has all readings of a bath, when it was too cool, and the step that
// was left out.
func TestLookBackTellsOfABath(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Fleeces[0].Wax = shed.High })).Until(0, shed.Soaking)
	r.Wait(3).Do(session.TakeReading{TempC: 63, Sure: true})
	r.Wait(9).Do(session.TakeReading{TempC: 48, Sure: true})
	r.Wait(1)
	read := r.Now.Add(-time.Minute) // 15 °C in 9 min: it was below 49 °C a little before
	r.Do(session.TopUp{VolumeL: 1.5, TempC: 95})
	topped := r.Now
	r.Wait(1).Next(0, 0).Do(session.SkipStep{}).Until(0, shed.ToRack).Next(0)
	baths := ledger.ReviewOf(r.Day).Batches[0].Baths
	if len(baths) < 3 || !baths[1].LeftOut() || baths[1].Step.Kind != shed.Wash || baths[2].LeftOut() {
		t.Fatalf("%+v", baths)
	}
	if b := baths[0]; len(b.Readings) != 2 || len(b.Below) != 1 || b.Below[0].By != "topped up" || !b.Below[0].From.Before(read) || read.Sub(b.Below[0].From) > time.Minute || !b.Below[0].To.Equal(topped) {
		t.Errorf("%+v\n%+v", b.Readings, b.Below)
	}
}

// A skip from a bath that stands empties it too, and is one deed: one undo takes it back.
func TestSkipOfTheComingStepIsOneDeed(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.RecordPlan()).Until(0, shed.Draining)
	before := r.Day.Tubs[0]
	r.Do(session.SkipStep{Tub: 0})
	sessiontest.Same(t, "now at", r.Day.Tubs[0].Step().Name, "second rinse")
	sessiontest.Same(t, "the bath's end", r.Day.Baths[0].DrainedAt, r.Now)
	r.Do(session.Undo{})
	sessiontest.Same(t, "phase", r.Day.Tubs[0].Phase, before.Phase)
	sessiontest.Same(t, "baths", len(r.Day.Baths), 0)
}

// A reading that contradicts another marks alarms that are over in the day from then on, not in the days before.
func TestAMarkedAlarmIsOfTheDayFromThenOn(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	r.Wait(2).Do(session.TakeReading{Tub: 0, TempC: 50, Sure: true})
	r.Wait(1).Do(session.TakeReading{Tub: 0, TempC: 52, Sure: true})
	before := r.Day
	logged := slices.Clone(before.AlarmLog)
	r.Wait(1).Do(session.TakeReading{Tub: 0, TempC: 60, Sure: true})
	if !slices.ContainsFunc(r.Day.AlarmLog, func(a session.Alarm) bool { return a.TakenBack }) {
		t.Fatalf("none is marked: %+v, standing %+v", r.Day.AlarmLog, r.Day.Alarms)
	}
	sessiontest.Same(t, "the day before", before.AlarmLog, logged)
}
