package session_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// told is every alarm event of a day, with the second it came.
func told(r *sessiontest.Run) []string {
	var out []string
	for _, rec := range r.Recs {
		at := int(rec.At.Sub(sessiontest.Dawn).Seconds())
		switch e := rec.Event.(type) {
		case session.AlarmRaised:
			out = append(out, fmt.Sprintf("%d raised %v", at, e.Alarm))
		case session.AlarmRepeated:
			out = append(out, fmt.Sprintf("%d again %v", at, e.Alarm))
		case session.AlarmEscalated:
			out = append(out, fmt.Sprintf("%d now %v: %v", at, e.Priority, e.Alarm))
		case session.AlarmShelved:
			out = append(out, fmt.Sprintf("%d put off %v: %s", at, e.Alarm, e.Why))
		case session.AlarmUnshelved:
			out = append(out, fmt.Sprintf("%d back %v", at, e.Alarm))
		case session.AlarmAcknowledged:
			out = append(out, fmt.Sprintf("%d heard %v", at, e.Alarm))
		case session.AlarmCleared:
			out = append(out, fmt.Sprintf("%d gone %v", at, e.Alarm))
		}
	}
	return out
}

// A whole life to the second: the soak ends at 20:00 and is called; nobody comes,
// it is an alarm at 23:00, is heard, comes back after five minutes, is put off for
// half a minute, comes back, gives way to the longest soak at 30:00, and goes with
// the lift at 31:00.
func TestAlarmLifeToTheSecond(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	r.Wait(23.5).Do(session.Acknowledge{Tub: 0})
	r.Wait(5.5) // back at 28:30
	r.Do(session.Shelve{Tub: 0, Kind: session.NotLifted, ForMin: 0.5, Why: "hands \x1b[31mfull"})
	r.Wait(2).Next(0)
	sessiontest.Same(t, "the life of an alarm", told(r), []string{
		"1200 raised soak done", "1380 gone soak done", "1380 raised wash not lifted", "1410 heard wash not lifted", "1710 again wash not lifted",
		"1740 put off wash not lifted: hands full", "1770 back wash not lifted",
		"1800 gone wash not lifted", "1800 raised soaked too long", "1860 gone soaked too long",
	})
	sessiontest.CheckReplay(t, r, nil)
}

// Nobody may sleep through the wax: an alarm of the release temperature is put
// off for minutes only, needs a reason, and cannot be taken out of service.
func TestWhatMayBePutOff(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.LongWash()).Until(0, shed.Soaking)
	for len(r.Day.Alarms) == 0 || r.Day.Alarms[0].Kind != session.NearRelease {
		r.Tick(10 * time.Second)
	}
	for _, c := range []struct {
		c    session.Command
		says string
	}{
		{session.Shelve{Kind: session.NearRelease, ForMin: 10, Why: "tea"}, "up to 3 min"},
		{session.Shelve{Kind: session.NearRelease, ForMin: 2}, "say why"},
		{session.Shelve{Kind: session.NearRelease, ForMin: -1, Why: "tea"}, "up to 3 min"},
		{session.Shelve{Kind: session.SoakDone, ForMin: 2, Why: "tea"}, "no such alarm"},
		{session.Unshelve{Kind: session.NearRelease}, "no such alarm is snoozed"},
		{session.SetService{Kind: session.BelowRelease, Out: true}, "stays on"},
		{session.SetService{Kind: session.KettleNow}, "is on already"},
		{session.SetService{Kind: session.AlarmKind(77), Out: true}, "no such alarm"},
	} {
		if _, _, err := session.Do(r.Day, c.c, r.Now); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v", c.c, err)
		}
	}
	r.Do(session.Shelve{Kind: session.NearRelease, ForMin: 3, Why: "on my way"})
	sessiontest.Same(t, "calls while it is put off", coach.Calls(r.Day, r.Now, session.AlarmSettings{}, 0), []coach.AlarmCall{})
	if _, _, err := session.Do(r.Day, session.Shelve{Kind: session.NearRelease, ForMin: 1, Why: "tea"}, r.Now); err == nil {
		t.Error("put off twice")
	}
	r.Wait(3.1)
	if calls := coach.Calls(r.Day, r.Now, session.AlarmSettings{}, 0); len(calls) != 1 || calls[0].Kind != session.NearRelease {
		t.Errorf("three minutes later %+v", calls)
	}
}

// A kind that is out of service rings no more today, and back in service it does.
func TestOutOfService(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakAsMethod })).Until(0, shed.Soaking)
	r.Do(session.SetService{Kind: session.KettleNow, Out: true}).Wait(16)
	sessiontest.Same(t, "standing", sessiontest.StandingAlarms(r.Day), nil)
	r.Do(session.SetService{Kind: session.KettleNow})
	sessiontest.Same(t, "standing", sessiontest.StandingAlarms(r.Day), []string{"North: kettle on now"})
	r.Do(session.SetService{Kind: session.KettleNow, Out: true})
	sessiontest.Same(t, "taken out while it rings", sessiontest.StandingAlarms(r.Day), nil)
	r.Do(session.Undo{})
	sessiontest.Same(t, "out when a deed before it is taken back", r.Day.Out, []session.AlarmKind{session.KettleNow})
	sessiontest.CheckReplay(t, r, nil)
}

// What happened while nobody was there stays in the list until it is seen: the
// bath was below its release temperature, and is not any more.
func TestReturnedUnheard(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.LongWash()).Until(0, shed.Soaking)
	for len(r.Day.Alarms) == 0 || r.Day.Alarms[0].Kind != session.NearRelease {
		r.Tick(10 * time.Second)
	}
	day, recs := r.Day, r.Recs
	// The cause goes by itself: written by hand, for water does not warm up alone.
	rec := session.Recorded{Seq: day.LastSeq + 1, At: r.Now, Event: session.AlarmCleared{Alarm: session.NearRelease, ByItself: true, Answered: true}}
	day = session.Apply(day, rec)
	if len(recs) == 0 || len(day.Alarms) != 1 || day.Alarms[0].Life.State != lifecycle.Returned || !day.Alarms[0].AnsweredAt.IsZero() {
		t.Fatalf("%+v", day.Alarms)
	}
	groups, _ := coach.AlarmGroups(day, r.Now)
	if len(groups) != 1 || len(groups[0].Alarms) != 1 {
		t.Errorf("listed as %+v", groups)
	}
	seen, _ := must.Get2(session.Do(day, session.Acknowledge{Tub: -1}, r.Now)).In(t)
	for _, a := range seen.Alarms {
		if a.Life.State == lifecycle.Returned {
			t.Errorf("seen, and still listed: %+v", a)
		}
	}
}

// A clock that is set moves what runs: no timer jumps, no bath cools by it.
func TestClockSetKeepsTimers(t *testing.T) {
	for _, by := range []time.Duration{time.Hour, -time.Hour, 37 * time.Second, -26 * time.Hour} {
		r := sessiontest.Start(t, sessiontest.ThreeTubs()).Until(0, shed.Soaking).Until(1, shed.Soaking).Wait(3)
		before, was := coach.Glances(r.Day, r.Now), r.Now
		r.Now = r.Now.Add(by)
		r.Do(session.SetClock{By: by})
		after := coach.Glances(r.Day, r.Now)
		for i := range before {
			if a, b := before[i].SoakEnd.Sub(was), after[i].SoakEnd.Sub(r.Now); before[i].Phase == shed.Soaking && a != b {
				t.Errorf("set by %v: %v left before, %v after", by, a, b)
			}
			if before[i].HasTemp && before[i].TempC != after[i].TempC {
				t.Errorf("set by %v: %g °C before, %g after", by, before[i].TempC, after[i].TempC)
			}
		}
		sessiontest.Same(t, "standing", sessiontest.StandingAlarms(r.Day), []string{"the day: clock jumped"})
		sessiontest.CheckReplay(t, r, nil)
		r.Wait(6)
		for _, s := range sessiontest.StandingAlarms(r.Day) {
			if strings.Contains(s, "clock") {
				t.Errorf("six minutes later %s still stands", s)
			}
		}
	}
}

// A break that was told of before the program was off comes sooner by as much as that turns out to
// be longer; one told of since comes when it was said.
func TestOffLongerMovesWhatIsFromBefore(t *testing.T) {
	for _, since := range []bool{false, true} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(3)
		told, back, end := session.TakeBreak{InMin: 30, ForMin: 20}, session.ResumeWatch{Away: 1}, r.Day.Tubs[0].SoakEndAt(r.Now)
		if since {
			r.Do(back).Wait(1).Do(told)
		} else {
			r.Do(told).Wait(1).Do(back)
		}
		r.Wait(1)
		was, longer := r.Day.ToldBreak(), 9*time.Minute
		r.Do(session.SetClock{Off: longer})
		moved := longer
		if since {
			moved = 0
		}
		if got := r.Day.ToldBreak(); was.From.Sub(got.From) != moved || was.To.Sub(got.To) != moved {
			t.Errorf("told since: %v, a break from %v to %v, before %v to %v", since, got.From, got.To, was.From, was.To)
		}
		if got := r.Day.Tubs[0].SoakEndAt(r.Now); end.Sub(got) != longer {
			t.Errorf("told since: %v, the soak ends %v, before %v", since, got, end)
		}
		sessiontest.CheckReplay(t, r, nil)
	}
}

// A snooze told before the program was off is over sooner by as much as that turns out to be longer,
// and its alarm rings at once; one told since lasts as it was said, though the alarm was heard before.
func TestOffLongerMovesASnooze(t *testing.T) {
	for _, longer := range []time.Duration{20 * time.Minute, -4 * time.Minute} {
		for _, since := range []bool{false, true} {
			r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0, 0, 0, 0).Wait(50) // a rinse that is forgotten
			shelve, back := session.Shelve{Kind: session.OverLongest, Tub: 0, ForMin: 30, Why: "on my way"}, session.ResumeWatch{Away: 10 * time.Minute}
			r.Do(session.Acknowledge{Tub: 0}).Wait(1)
			if since {
				r.Tick(10 * time.Minute).Do(back).Wait(1).Do(shelve)
			} else {
				r.Do(shelve).Tick(10 * time.Minute).Do(back)
			}
			a, _ := sessiontest.FindAlarm(r.Day, shelve.Kind)
			until, moved := a.Life.Until, longer
			if since {
				moved = 0
			}
			r.Wait(1).Do(session.SetClock{Off: longer})
			if a, _ = sessiontest.FindAlarm(r.Day, shelve.Kind); longer > 0 && !since {
				if !a.Unanswered() {
					t.Errorf("off %v longer, its snooze over: %+v", longer, a.Life)
				}
			} else if got := until.Sub(a.Life.Until); got != moved {
				t.Errorf("off %v longer, told since: %v, snoozed till %v, before %v", longer, since, a.Life.Until, until)
			}
			sessiontest.CheckReplay(t, r, nil)
		}
	}
}

// A snooze that was over while the program was off rings as it comes back.
func TestSnoozeIsOverWhileOff(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0, 0, 0, 0).Wait(50)
	r.Do(session.Shelve{Kind: session.OverLongest, Tub: 0, ForMin: 5, Why: "on my way"})
	r.Now = r.Now.Add(20 * time.Minute)
	back := r.Now
	r.Do(session.ResumeWatch{Away: 20 * time.Minute})
	if a, _ := sessiontest.FindAlarm(r.Day, session.OverLongest); !a.Unanswered() || !a.RungAt.Equal(back) {
		t.Errorf("back at %v: %+v, rang at %v", back, a.Life, a.RungAt)
	}
}

// What rings as the program comes back, and a deed told in the moment that its clock then stands at,
// is from since, however long the program turns out to have been off; the last deed before is not.
func TestOffLongerLeavesWhatIsSince(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(1).Do(session.AddNote{Tub: -1, Text: "before"})
	before := r.Now
	r.Do(session.ResumeWatch{Away: 1}).Do(session.AddNote{Tub: -1, Text: "since"}) // its clock is behind: no time has passed
	r.Wait(1).Do(session.SetClock{Off: 9 * time.Minute})
	if at := r.Day.Notes[0].At; !at.Equal(before.Add(-9 * time.Minute)) {
		t.Errorf("the note from before is of %v, want nine minutes sooner than %v", at, before)
	}
	if at := r.Day.Notes[1].At; at.Before(before) {
		t.Errorf("the note told since is of %v, the program back at %v", at, before)
	}
	sessiontest.CheckReplay(t, r, nil)

	r = sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	r.Now = r.Day.Tubs[0].SoakEndAt(r.Now).Add(time.Hour)
	back := r.Now
	r.Do(session.ResumeWatch{Away: time.Hour}).Wait(1).Do(session.SetClock{Off: 9 * time.Minute})
	for _, a := range r.Day.Alarms {
		if a.Kind != session.ClockJumped && (a.RaisedAt.Before(back) || a.RungAt.Before(back)) {
			t.Errorf("%v is of %v and rang at %v, the program was back at %v", a.Kind, a.RaisedAt, a.RungAt, back)
		}
	}
	if len(r.Day.Alarms) < 2 {
		t.Errorf("nothing rang: %v", sessiontest.StandingAlarms(r.Day))
	}
}

// A hold from before that was ended since lasted longer by as much, so that the soak ends when it did.
func TestOffLongerLengthensAHold(t *testing.T) {
	for _, longer := range []time.Duration{9 * time.Minute, -4 * time.Minute} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(3)
		r.Do(session.Hold{Tub: 0}).Wait(6).Do(session.ResumeWatch{Away: 5 * time.Minute}).Wait(1).Do(session.Resume{Tub: 0}).Wait(1)
		end := r.Day.Tubs[0].SoakEndAt(r.Now)
		r.Do(session.SetClock{Off: longer})
		if got := r.Day.Tubs[0].SoakEndAt(r.Now); !got.Equal(end) {
			t.Errorf("off %v longer: the soak ends %v, before %v", longer, got, end)
		}
		sessiontest.CheckReplay(t, r, nil)
	}
}

// Fleece that hangs wet is called late by when it was lifted, whatever the clock is set to.
func TestClockSetKeepsWetFleece(t *testing.T) {
	for _, by := range []time.Duration{time.Hour, -time.Hour} {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Draining).Wait(3)
		left := r.Day.Tubs[0].WetBy().Sub(r.Now)
		r.Now = r.Now.Add(by)
		r.Do(session.SetClock{By: by})
		sessiontest.Same(t, fmt.Sprintf("set by %v", by), r.Day.Tubs[0].WetBy().Sub(r.Now), left)
	}
}

// An answer at one tub never silences another, and a cause that holds is
// standing, put off or out of service, whatever is done.
func TestNoAlarmIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := &sessiontest.Run{T: nil, Day: session.Day{}, Now: sessiontest.Dawn}
		day, _ := must.Get2(session.Do(session.Day{}, session.StartDay{Plan: sessiontest.ThreeTubs()}, sessiontest.Dawn)).In(t)
		r.Day = day
		for range rapid.IntRange(1, 40).Draw(t, "steps") {
			r.Now = r.Now.Add(time.Duration(rapid.IntRange(1, 900).Draw(t, "seconds")) * time.Second)
			r.Day, _ = session.Tick(r.Day, r.Now)
			tub := rapid.IntRange(0, 2).Draw(t, "tub")
			kind := rapid.SampledFrom(session.AlarmKinds()).Draw(t, "kind")
			var c session.Command
			switch rapid.IntRange(0, 5).Draw(t, "what") {
			case 0:
				c = session.Acknowledge{Tub: tub}
			case 1:
				c = session.Shelve{Tub: tub, Kind: kind, ForMin: rapid.Float64Range(0, 70).Draw(t, "for"), Why: "invented"}
			case 2:
				c = session.Unshelve{Tub: tub, Kind: kind}
			case 3:
				c = session.SetService{Kind: kind, Out: rapid.Bool().Draw(t, "out")}
			default:
				c = session.DoNext{Tub: tub, Act: r.Day.NextAction(tub), Sooner: true}
			}
			before := ringingAt(r.Day)
			next, _, err := session.Do(r.Day, c, r.Now)
			if err != nil {
				continue
			}
			if a, ok := c.(session.Acknowledge); ok {
				for at := range before {
					if at != a.Tub && !ringingAt(next)[at] {
						t.Fatalf("hearing tub %d silenced %d", a.Tub, at)
					}
				}
			}
			r.Day = next
			if more := session.Evaluate(r.Day, r.Now); len(more) != 0 {
				t.Fatalf("a second look finds %v", more)
			}
			for i := range r.Day.Tubs {
				for _, k := range session.Causes(r.Day, i, r.Now) {
					stands := slices.ContainsFunc(r.Day.Alarms, func(a session.Alarm) bool { return a.Tub == i })
					if !stands && !slices.Contains(r.Day.Out, k) {
						t.Fatalf("%v holds at %d and nothing is listed there", k, i)
					}
				}
			}
		}
	})
}

func ringingAt(d session.Day) map[int]bool {
	out := map[int]bool{}
	for _, a := range d.Alarms {
		if a.Unanswered() {
			out[a.Tub] = true
		}
	}
	return out
}

// A hundred at once: every tub of a full kit rings again and again; the list is
// one group a tub, and a flood is said to be one.
func TestFlood(t *testing.T) {
	p := sessiontest.ThreeTubs()
	p.Kit.Tubs, p.Batches = nil, nil
	for i := range shed.MaxTubs {
		p.Kit.Tubs = append(p.Kit.Tubs, shed.Tub{Name: fmt.Sprint("Tub ", i), CapacityL: 12, FillL: 8})
		p.Batches = append(p.Batches, shed.Batch{FleeceID: p.Fleeces[0].ID, RawG: 5, Presoak: shed.PresoakQuick})
	}
	r := sessiontest.Start(t, p)
	for i := range p.Kit.Tubs {
		r.Next(i, i)
	}
	r.Wait(11)
	groups, flood := coach.AlarmGroups(r.Day, r.Now)
	calls := coach.Calls(r.Day, r.Now, session.AlarmSettings{}, 0)
	if !flood || len(groups) != shed.MaxTubs || len(calls) != shed.MaxTubs {
		t.Errorf("flood %v, %d groups, %d calls", flood, len(groups), len(calls))
	}
	for i := 1; i < len(calls); i++ {
		if calls[i].Priority > calls[i-1].Priority {
			t.Errorf("call %d is more urgent than the one before", i)
		}
	}
	r.Do(session.Acknowledge{Tub: -1})
	if got := coach.Calls(r.Day, r.Now, session.AlarmSettings{}, 0); len(got) != 0 {
		t.Errorf("%d calls after all were heard", len(got))
	}
}

// Quiet hours hold low and medium back, high ones never, over midnight too.
func TestQuietHours(t *testing.T) {
	s := session.AlarmSettings{QuietFromMin: 22 * 60, QuietToMin: 7 * 60}
	for _, c := range []struct {
		min   int
		p     session.Priority
		quiet bool
	}{
		{23 * 60, session.LowPriority, true}, {3 * 60, session.MediumPriority, true}, {3 * 60, session.HighPriority, false},
		{7 * 60, session.MediumPriority, false}, {22 * 60, session.MediumPriority, true}, {12 * 60, session.LowPriority, false},
	} {
		if got := s.Quiet(c.min, c.p); got != c.quiet {
			t.Errorf("minute %d, %v: quiet %v", c.min, c.p, got)
		}
	}
	if (session.AlarmSettings{}).Quiet(0, session.LowPriority) {
		t.Error("quiet without quiet hours")
	}
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20).Next(0, 0, 0, 0).Wait(50) // a rinse that is forgotten
	if got := coach.Calls(r.Day, r.Now, s, 3*60); len(got) != 0 || len(sessiontest.StandingAlarms(r.Day)) != 1 {
		t.Errorf("at night %v ring", got)
	}
	if got := coach.Calls(r.Day, r.Now, s, 8*60); len(got) != 1 {
		t.Errorf("in the morning %v ring", got)
	}
	for _, bad := range []session.AlarmSettings{{QuietFromMin: -1}, {QuietToMin: 1440}, {Hook: "a\nb"}, {Hook: strings.Repeat("x", 501)}} {
		if bad.Validate() == nil {
			t.Errorf("%+v is accepted", bad)
		}
	}
}

// The minutes that a call says are left run down to the harm, and below 0 once it is done.
func TestCallsCountDown(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.LongWash()).Until(0, shed.Soaking)
	leftOf := func(k session.AlarmKind) float64 {
		t.Helper()
		for range 18 * 60 {
			if _, ok := sessiontest.FindAlarm(r.Day, k); ok {
				break
			}
			r.Tick(10 * time.Second)
		}
		for _, c := range coach.Calls(r.Day, r.Now, session.AlarmSettings{}, 0) {
			if c.Kind == k && c.HasMinutes {
				return c.MinutesLeft
			}
		}
		t.Fatalf("no call says %s in minutes", k)
		return 0
	}
	near := leftOf(session.NearRelease)
	r.Wait(2)
	if left := leftOf(session.NearRelease); near <= 2 || math.Abs(near-left-2) > 0.1 {
		t.Errorf("%g min left, and %g two minutes later", near, left)
	}
	leftOf(session.BelowRelease)
	r.Wait(3)
	sessiontest.Near(t, "minutes below its release temperature", -leftOf(session.BelowRelease), 3, 0.2)
}

// What is said aloud.
func TestSpoken(t *testing.T) {
	for _, c := range []struct {
		call coach.AlarmCall
		want string
	}{
		{coach.AlarmCall{Tub: 0, Name: "North", Kind: session.NearRelease, MinutesLeft: 4.7, HasMinutes: true}, "north tub: lift the fleece now, four minutes left"},
		{coach.AlarmCall{Tub: 0, Name: "Tub 3", Kind: session.SoakDone, MinutesLeft: 1.2, HasMinutes: true}, "tub 3: lift the fleece, the soak is over, one minute left"},
		{coach.AlarmCall{Tub: 0, Name: "Tray", Kind: session.BelowRelease, MinutesLeft: -3, HasMinutes: true}, "tray tub: lift the fleece now, too cool"},
		{coach.AlarmCall{Tub: -1, Kind: session.ClockJumped}, "tubside: the clock changed, check the times"},
	} {
		if got := coach.Spoken(c.call); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}

}
