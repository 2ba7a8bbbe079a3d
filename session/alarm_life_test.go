package session_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lifecycle"
)

// told is every alarm event of a day, with the second it came.
func told(r *run) []string {
	var out []string
	for _, rec := range r.recs {
		at := int(rec.At.Sub(dawn).Seconds())
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
	r := start(t, oneTub()).until(0, session.Soaking)
	r.wait(23.5).do(session.Acknowledge{Tub: 0})
	r.wait(5.5) // back at 28:30
	r.do(session.Shelve{Tub: 0, Kind: session.NotLifted, ForMin: 0.5, Why: "hands \x1b[31mfull"})
	r.wait(2).next(0)
	same(t, "the life of an alarm", told(r), []string{
		"1200 raised soak done", "1380 gone soak done", "1380 raised wash not lifted", "1410 heard wash not lifted", "1710 again wash not lifted",
		"1740 put off wash not lifted: hands full", "1770 back wash not lifted",
		"1800 gone wash not lifted", "1800 raised soaked too long", "1860 gone soaked too long",
	})
	replay(t, r, nil)
}

// Nobody may sleep through the wax: an alarm of the release temperature is put
// off for minutes only, needs a reason, and cannot be taken out of service.
func TestWhatMayBePutOff(t *testing.T) {
	r := start(t, longWash()).until(0, session.Soaking)
	for len(r.day.Alarms) == 0 || r.day.Alarms[0].Kind != session.NearRelease {
		r.tick(10 * time.Second)
	}
	for _, c := range []struct {
		c    session.Command
		says string
	}{
		{session.Shelve{Kind: session.NearRelease, ForMin: 10, Why: "tea"}, "up to 3 min"},
		{session.Shelve{Kind: session.NearRelease, ForMin: 2}, "say why"},
		{session.Shelve{Kind: session.NearRelease, ForMin: -1, Why: "tea"}, "up to 3 min"},
		{session.Shelve{Kind: session.SoakDone, ForMin: 2, Why: "tea"}, "no such alarm"},
		{session.Unshelve{Kind: session.NearRelease}, "no such alarm is put off"},
		{session.SetService{Kind: session.BelowRelease, Out: true}, "stays in service"},
		{session.SetService{Kind: session.KettleNow}, "is in service"},
		{session.SetService{Kind: session.AlarmKind(77), Out: true}, "no such alarm"},
	} {
		if _, _, err := session.Do(r.day, c.c, r.now); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v", c.c, err)
		}
	}
	r.do(session.Shelve{Kind: session.NearRelease, ForMin: 3, Why: "on my way"})
	same(t, "calls while it is put off", r.day.Calls(r.now, session.AlarmSettings{}, 0), []session.AlarmCall{})
	if _, _, err := session.Do(r.day, session.Shelve{Kind: session.NearRelease, ForMin: 1, Why: "tea"}, r.now); err == nil {
		t.Error("put off twice")
	}
	r.wait(3.1)
	if calls := r.day.Calls(r.now, session.AlarmSettings{}, 0); len(calls) != 1 || calls[0].Kind != session.NearRelease {
		t.Errorf("three minutes later %+v", calls)
	}
}

// A kind that is out of service rings no more today, and back in service it does.
func TestOutOfService(t *testing.T) {
	r := start(t, oneTub(func(p *session.Plan) { p.Batches[0].Presoak = session.PresoakAsMethod })).until(0, session.Soaking)
	r.do(session.SetService{Kind: session.KettleNow, Out: true}).wait(16)
	same(t, "standing", standing(r.day), nil)
	r.do(session.SetService{Kind: session.KettleNow})
	same(t, "standing", standing(r.day), []string{"North: kettle on now"})
	r.do(session.SetService{Kind: session.KettleNow, Out: true})
	same(t, "taken out while it rings", standing(r.day), nil)
	replay(t, r, nil)
}

// What happened while nobody was there stays in the list until it is seen: the
// bath was below its release temperature, and is not any more.
func TestReturnedUnheard(t *testing.T) {
	r := start(t, longWash()).until(0, session.Soaking)
	for len(r.day.Alarms) == 0 || r.day.Alarms[0].Kind != session.NearRelease {
		r.tick(10 * time.Second)
	}
	day, recs := r.day, r.recs
	// The cause goes by itself: written by hand, for water does not warm up alone.
	rec := session.Recorded{Seq: day.LastSeq + 1, At: r.now, Event: session.AlarmCleared{Alarm: session.NearRelease, ByItself: true, Answered: true}}
	day = session.Apply(day, rec)
	if len(recs) == 0 || len(day.Alarms) != 1 || day.Alarms[0].Life.State != lifecycle.Returned || !day.Alarms[0].AnsweredAt.IsZero() {
		t.Fatalf("%+v", day.Alarms)
	}
	groups, _ := day.AlarmGroups(r.now)
	if len(groups) != 1 || len(groups[0].Alarms) != 1 {
		t.Errorf("listed as %+v", groups)
	}
	seen, _, err := session.Do(day, session.Acknowledge{Tub: -1}, r.now)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range seen.Alarms {
		if a.Life.State == lifecycle.Returned {
			t.Errorf("seen, and still listed: %+v", a)
		}
	}
}

// A clock that is set moves what runs: no timer jumps, no bath cools by it.
func TestClockSetKeepsTimers(t *testing.T) {
	for _, by := range []time.Duration{time.Hour, -time.Hour, 37 * time.Second, -26 * time.Hour} {
		r := start(t, threeTubs()).until(0, session.Soaking).until(1, session.Soaking).wait(3)
		before, was := r.day.Glances(r.now), r.now
		r.now = r.now.Add(by)
		r.do(session.SetClock{By: by})
		after := r.day.Glances(r.now)
		for i := range before {
			if a, b := before[i].SoakEnd.Sub(was), after[i].SoakEnd.Sub(r.now); before[i].Phase == session.Soaking && a != b {
				t.Errorf("set by %v: %v left before, %v after", by, a, b)
			}
			if before[i].HasTemp && before[i].TempC != after[i].TempC {
				t.Errorf("set by %v: %g °C before, %g after", by, before[i].TempC, after[i].TempC)
			}
		}
		same(t, "standing", standing(r.day), []string{"the day: clock jumped"})
		replay(t, r, nil)
		r.wait(6)
		for _, s := range standing(r.day) {
			if strings.Contains(s, "clock") {
				t.Errorf("six minutes later %s still stands", s)
			}
		}
	}
}

// An answer at one tub never silences another, and a cause that holds is
// standing, put off or out of service, whatever is done.
func TestNoAlarmIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := &run{t: nil, day: session.Day{}, now: dawn}
		day, _, err := session.Do(session.Day{}, session.StartDay{Plan: threeTubs()}, dawn)
		if err != nil {
			t.Fatal(err)
		}
		r.day = day
		for range rapid.IntRange(1, 40).Draw(t, "steps") {
			r.now = r.now.Add(time.Duration(rapid.IntRange(1, 900).Draw(t, "seconds")) * time.Second)
			r.day, _ = session.Tick(r.day, r.now)
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
				c = session.DoNext{Tub: tub, Act: r.day.NextAction(tub), Sooner: true}
			}
			before := ringingAt(r.day)
			next, _, err := session.Do(r.day, c, r.now)
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
			r.day = next
			if more := session.Evaluate(r.day, r.now); len(more) != 0 {
				t.Fatalf("a second look finds %v", more)
			}
			for i := range r.day.Tubs {
				for _, k := range session.Causes(r.day, i, r.now) {
					stands := slices.ContainsFunc(r.day.Alarms, func(a session.Alarm) bool { return a.Tub == i })
					if !stands && !slices.Contains(r.day.Out, k) {
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
	p := threeTubs()
	p.Kit.Tubs, p.Batches = nil, nil
	for i := range session.MaxTubs {
		p.Kit.Tubs = append(p.Kit.Tubs, session.Tub{Name: fmt.Sprint("Tub ", i), CapacityL: 12, FillL: 8})
		p.Batches = append(p.Batches, session.Batch{FleeceID: p.Fleeces[0].ID, RawG: 5, Presoak: session.PresoakQuick})
	}
	r := start(t, p)
	for i := range p.Kit.Tubs {
		r.next(i, i)
	}
	r.wait(11)
	groups, flood := r.day.AlarmGroups(r.now)
	calls := r.day.Calls(r.now, session.AlarmSettings{}, 0)
	if !flood || len(groups) != session.MaxTubs || len(calls) != session.MaxTubs {
		t.Errorf("flood %v, %d groups, %d calls", flood, len(groups), len(calls))
	}
	for i := 1; i < len(calls); i++ {
		if calls[i].Priority > calls[i-1].Priority {
			t.Errorf("call %d is more urgent than the one before", i)
		}
	}
	r.do(session.Acknowledge{Tub: -1})
	if got := r.day.Calls(r.now, session.AlarmSettings{}, 0); len(got) != 0 {
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
	r := start(t, oneTub()).until(0, session.Soaking).wait(21)
	if got := r.day.Calls(r.now, s, 3*60); len(got) != 0 || len(standing(r.day)) != 1 {
		t.Errorf("at night %v ring", got)
	}
	if got := r.day.Calls(r.now, s, 8*60); len(got) != 1 {
		t.Errorf("in the morning %v ring", got)
	}
	for _, bad := range []session.AlarmSettings{{QuietFromMin: -1}, {QuietToMin: 1440}, {Hook: "a\nb"}, {Hook: strings.Repeat("x", 501)}} {
		if bad.Validate() == nil {
			t.Errorf("%+v is accepted", bad)
		}
	}
}

// What is said aloud.
func TestSpoken(t *testing.T) {
	for _, c := range []struct {
		call session.AlarmCall
		want string
	}{
		{session.AlarmCall{Tub: 0, Name: "North", Kind: session.NearRelease, MinutesLeft: 4.7, HasMinutes: true}, "north tub: lift the fleece now, four minutes left"},
		{session.AlarmCall{Tub: 0, Name: "Tub 3", Kind: session.SoakDone, MinutesLeft: 1.2, HasMinutes: true}, "tub 3: the soak is done, lift the fleece, one minute left"},
		{session.AlarmCall{Tub: 0, Name: "Tray", Kind: session.BelowRelease, MinutesLeft: -3, HasMinutes: true}, "tray tub: too cool, lift the fleece at once"},
		{session.AlarmCall{Tub: -1, Kind: session.ClockJumped}, "tubside: the clock was set, look at the times"},
	} {
		if got := session.Spoken(c.call); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	for _, k := range session.AlarmKinds() {
		if text := session.Spoken(session.AlarmCall{Tub: 0, Name: "North", Kind: k}); strings.Contains(text, k.String()) && k != session.OverLongest {
			t.Errorf("%v has no sentence of its own: %q", k, text)
		}
	}
}
