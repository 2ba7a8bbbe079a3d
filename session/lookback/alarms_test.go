package lookback_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/sessiontest"
)

// alarm is one that was raised so many minutes after the day's start, rang so often and
// stood for so long; done says that somebody acted.
func alarm(k session.AlarmKind, p session.Priority, atMin float64, rings int, done, outdone bool, stoodMin float64) ledger.AlarmReview {
	a := ledger.AlarmReview{Done: done, StoodS: 60 * stoodMin}
	a.Kind, a.Priority, a.Rings, a.Outdone = k, p, rings, outdone
	a.RaisedAt = sessiontest.Dawn.Add(time.Duration(atMin * float64(time.Minute)))
	return a
}

// Worked out by hand beside each day.
func TestAlarmsJudged(t *testing.T) {
	day := session.Day{StartedAt: sessiontest.Dawn, EndedAt: sessiontest.Dawn.Add(4 * time.Hour)}
	var flood []ledger.AlarmReview
	for i := range 11 { // a minute apart: ten of them within ten minutes
		flood = append(flood, alarm(session.NotLifted, session.MediumPriority, float64(i), 1, true, false, 0.5))
	}
	var busy []ledger.AlarmReview
	for i := range 30 { // 30 in 4 h, 8 min apart: two within ten minutes, never two at once
		busy = append(busy, alarm(session.NotLifted, session.MediumPriority, 8*float64(i), 1, true, false, 2))
	}
	for name, c := range map[string]struct {
		alarms []ledger.AlarmReview
		want   []string
	}{
		"none": {nil, nil},
		// Gone at once, it stood all the same when it was raised.
		"a moment each": {[]ledger.AlarmReview{alarm(session.NotLifted, session.MediumPriority, 0, 1, true, false, 0), alarm(session.NotLifted, session.MediumPriority, 30, 1, true, false, 0)}, []string{
			"2 alarms in 4 h: 0.5 an hour, and one person can handle 6; 1 at most in ten minutes.",
			"2 acted on before they rang again.", "Never two at once; the longest stood for 0 s.",
		}},
		"one": {[]ledger.AlarmReview{alarm(session.NotLifted, session.MediumPriority, 0, 1, true, false, 2)}, []string{
			"1 alarm in 4 h: 0.2 an hour, and one person can handle 6; 1 at most in ten minutes.",
			"1 acted on before it rang again.", "It stood for 2 min.",
		}},
		// 6 in 4 h are 1.5 an hour; those at 10, 12 and 15 min lie within ten minutes, and stand
		// together from 15 to 16 min.
		"a mixed day": {[]ledger.AlarmReview{
			alarm(session.NotLifted, session.MediumPriority, 10, 2, false, true, 6), alarm(session.ReadingWanted, session.MediumPriority, 12, 3, false, false, 25),
			alarm(session.NearRelease, session.HighPriority, 15, 1, true, false, 2), alarm(session.ReadingWanted, session.MediumPriority, 80, 1, false, false, 5),
			alarm(session.OverLongest, session.MediumPriority, 100, 2, true, false, 8), alarm(session.LeftSoaking, session.LowPriority, 200, 1, false, false, 3), // once is no ground
		}, []string{
			"6 alarms in 4 h: 1.5 an hour, and one person can handle 6; 3 at most in ten minutes.",
			"1 acted on before it rang again, 1 after, 1 gave way to a worse one, nothing done after 3; 3 rang more than once.",
			"At most 3 at once; the longest stood for 25 min.",
			"Nothing was ever done after \"take a reading\": act on it, or turn it off for the day in the alarm list.",
		}},
		"a flood": {flood, []string{
			"11 alarms in 4 h: 10 in ten minutes, too many for one person. Fewer tubs at a time, or starts further apart.",
			"11 acted on before they rang again.", "Never two at once; the longest stood for 30 s.",
		}},
		"too many an hour": {busy, []string{
			"30 alarms in 4 h: 7.5 an hour, more than the 6 that one person can handle. Fewer tubs at a time.",
			"30 acted on before they rang again.", "Never two at once; the longest stood for 2 min.",
		}},
	} {
		t.Run(name, func(t *testing.T) {
			f := lookback.AlarmsOf(ledger.Review{Day: day, Alarms: c.alarms})
			sessiontest.Same(t, "they are judged", lookback.Words{}.Alarms(f), c.want)
		})
	}
}

// A day as it is lived: the soak's end is called at 20 min, the wash is not lifted until 44.
func TestAlarmsOfALivedDay(t *testing.T) {
	r := washed(t, 65)
	r.Wait(44).Next(0)
	f := lookback.AlarmsOf(ledger.ReviewOf(finished(r).Day))
	if f.N < 2 || f.Outdone == 0 || f.InTime+f.Outdone+f.Nothing > f.N || f.Hours <= 0 || f.Most10 > f.N || len(f.Useless) != 0 {
		t.Errorf("%+v", f)
	}
}
