package lookback_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// How often times how long is how much in all, planned and as it was.
func TestTheTableOfHandsComputes(t *testing.T) {
	row := func(h lookback.HandsTiming) []string { return lookback.Words{}.HandsRow(h) }
	sessiontest.Same(t, "fill", row(lookback.HandsTiming{Act: shed.FillTub, PlannedTimes: 15, PlannedMin: 45, Times: 14, WasMin: 18.2}),
		[]string{"fill", "15 times", "3.0 min", "45 min", "14 times", "1.3 min", "18 min"})
	sessiontest.Same(t, "never", row(lookback.HandsTiming{Act: shed.Lift, PlannedTimes: 1, PlannedMin: 1.5}), []string{"lift", "1 time", "1.5 min", "2 min", "-", "-", "-"})
}

// A deed told with the one before it has no minutes of its own, and what matters of a step stands
// where nothing cuts it.
func TestWhatASingleAnswerTells(t *testing.T) {
	w := lookback.Words{Zone: time.UTC}
	at := sessiontest.Dawn
	row := func(s lookback.StepTiming) []string { return w.StepRow(session.Day{}, s)[:6] }
	rack, rinse := shed.Step{Name: "rack", Kind: shed.Rack}, shed.Step{Name: "first rinse", Kind: shed.Rinse}
	s := lookback.StepTiming{Step: rack, Tub: -1}
	s.Was = lookback.Stretch{From: at, To: at}
	sessiontest.Same(t, "told with the spinning", row(s), []string{"rack", "", "-", "-", "08:00", "-"})
	s.Was.To = at.Add(2 * time.Minute)
	sessiontest.Same(t, "told alone", row(s), []string{"rack", "", "-", "-", "08:00-08:02", "2"})
	s.Was.To = at.Add(45 * time.Second)
	sessiontest.Same(t, "within a minute", row(s), []string{"rack", "", "-", "-", "08:00", "1"})
	s.Was.To = at.Add(2 * time.Minute)
	sessiontest.Same(t, "skipped", row(lookback.StepTiming{Step: rinse, Tub: -1, LeftOut: true}), []string{"first rinse", "", "-", "-", "skipped", "-"})
	s.Step, s.Again = rinse, true
	sessiontest.Same(t, "again", row(s)[0], "again: first rinse")
}

// An alarm that nobody heard stands before the slowest of those that were, one that a worse took
// the place of too.
func TestAlarmsNeverHeardStandFirst(t *testing.T) {
	r := ledger.Review{Alarms: []ledger.AlarmReview{
		{Heard: true, Answered: true, HeardS: 360, Done: true, DoneS: 420}, {StoodS: 900}, {Alarm: session.Alarm{Outdone: true}, StoodS: 300},
	}}
	for n, want := range []string{"none", "1, the slowest heard after 6 min, the slowest done after 7 min",
		"2, 1 never heard, the slowest heard after 6 min, the slowest done after 7 min", "3, 2 never heard, the slowest heard after 6 min, the slowest done after 7 min"} {
		of := r
		of.Alarms = r.Alarms[:n]
		for _, row := range (lookback.Words{Zone: time.UTC}).Summary(of) {
			if row[0] == "alarms" {
				sessiontest.Same(t, "alarms", row[1], want)
			}
		}
	}
}
