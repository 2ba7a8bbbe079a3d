package session_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Each alarm at its second: a call at the end of the soak, an alarm when nobody
// has come in three minutes, again five minutes later, never more than medium.
func TestSoakDoneThenTooLong(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(36)
	sessiontest.Same(t, "rings", r.Rings(sessiontest.Dawn), []string{
		"soak done@1200", "superseded@1380", "wash not lifted@1380", "again@1680", "superseded@1800", "soaked too long@1800", "again@2100"})
	sessiontest.Same(t, "standing", sessiontest.StandingAlarms(r.Day), []string{"North: soaked too long"})
	sessiontest.Same(t, "priority", r.Day.Alarms[0].Priority, session.MediumPriority)
}

// A wash bath warns so many minutes before the early end of its forecast, and
// again when the estimate itself is down to the release temperature.
func TestCoolingWash(t *testing.T) {
	for _, lead := range []float64{1, 5, 12} {
		r := sessiontest.Start(t, sessiontest.LongWash(func(p *shed.Plan) { p.Kit.LeadMin = lead })).Until(0, shed.Soaking)
		r.Step = time.Second
		early := coach.GlanceAt(r.Day, 0, r.Now).Release.Early
		readAt := int(math.Ceil(early.Add(-sessiontest.Minutes(lead + 3)).Sub(sessiontest.Dawn).Seconds()))
		nearAt := int(math.Ceil(early.Add(-sessiontest.Minutes(min(lead, 3))).Sub(sessiontest.Dawn).Seconds()))
		below := 0
		for ; ; below++ {
			if c, _, _ := r.Day.TempNow(0, sessiontest.Dawn.Add(time.Duration(below)*time.Second)); c <= 49 {
				break
			}
		}
		r.Wait(float64(below+10) / 60)
		got := slices.DeleteFunc(r.Rings(sessiontest.Dawn), func(s string) bool { return s[:5] == "again" })
		// Nobody has measured it: a reading is asked for first.
		sessiontest.Same(t, fmt.Sprintf("lead %g", lead), got, []string{
			fmt.Sprintf("reading wanted@%d", readAt), fmt.Sprintf("superseded@%d", nearAt),
			fmt.Sprintf("cooling: lift soon@%d", nearAt),
			fmt.Sprintf("superseded@%d", below), fmt.Sprintf("below release@%d", below),
		})
		if nearAt < 600 || below-nearAt < 600 {
			t.Errorf("near at %d, below at %d s: too close together to tell anything", nearAt, below)
		}
	}
}

// A bath that nobody has read is lifted three minutes before it may be down, or with the
// person's warning where that is shorter, or as its soak ends if that comes between. One
// that outlasts its soak is not hurried.
func TestLiftByOfAnUnreadBath(t *testing.T) {
	for _, x := range []struct{ leadMin, soakToEarlyMin, wantMin float64 }{
		{12, 8, 0}, {12, 2, -1}, {12, -20, -23}, {2, -20, -22}, {12, 30, 18},
	} {
		r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.LeadMin = x.leadMin })).Until(0, shed.Soaking)
		end := r.Day.Tubs[0].SoakEndAt(r.Now)
		early := end.Add(sessiontest.Minutes(x.soakToEarlyMin))
		liftBy, _ := r.Day.LiftBy(0, session.Crossing{Early: early, Likely: early.Add(time.Hour)}, r.Now)
		sessiontest.Near(t, fmt.Sprintf("%g min of warning, the bath may be down %g min after its soak: lift, min after it", x.leadMin, x.soakToEarlyMin), liftBy.Sub(end).Minutes(), x.wantMin, 1e-6)
	}
}

// Only a wash has wax to lose: presoak and rinse may grow cold.
func TestOnlyWashesCool(t *testing.T) {
	plan := sessiontest.OneTub(func(p *shed.Plan) {
		p.Kit.RoomC, p.Batches[0].Presoak = 2, shed.PresoakAsMethod
	})
	for step, kind := range []shed.StepKind{shed.Presoak, shed.Wash, shed.Rinse, shed.Rinse} {
		r := sessiontest.Start(t, plan)
		for r.Day.Tubs[0].At < step || r.Day.Tubs[0].Phase != shed.Soaking {
			r.Next(0)
		}
		for range 20 * 60 {
			r.Tick(time.Minute)
		}
		cooled := false
		for _, rec := range r.Recs {
			if e, ok := rec.Event.(session.AlarmRaised); ok && (e.Alarm == session.NearRelease || e.Alarm == session.BelowRelease) {
				cooled = true
			}
		}
		if cooled != (kind == shed.Wash) {
			t.Errorf("%s: cooling alarms %v", kind, cooled)
		}
		if len(r.Day.AlarmLog) == 0 {
			t.Errorf("%s: left for a night and nothing rang", kind)
		}
	}
}

// An acknowledged alarm is quiet for its time, then rings again.
func TestAcknowledgedComesBack(t *testing.T) {
	back := map[session.AlarmKind]int{session.NotLifted: 300, session.OverLongest: 300, session.NearRelease: 120, session.BelowRelease: 120}
	for kind, seconds := range back {
		plan := sessiontest.LongWash()
		if kind == session.NotLifted || kind == session.OverLongest {
			plan = sessiontest.OneTub(func(p *shed.Plan) {
				p.Method.Steps[1].SoakMin, p.Method.Steps[1].LongestMin = 15, 0
				if kind == session.OverLongest {
					p.Method.Steps[1].LongestMin = 15
				}
			})
		}
		r := sessiontest.Start(t, plan).Until(0, shed.Soaking)
		for standing := false; !standing; _, standing = sessiontest.FindAlarm(r.Day, kind) {
			r.Tick(time.Second)
			if r.Now.Sub(sessiontest.Dawn) > 12*time.Hour {
				t.Fatalf("%s was never raised", kind)
			}
		}
		r.Wait(0.2).Do(session.Acknowledge{})
		_ = r.Refused(session.Acknowledge{}, "no alarm is ringing")
		heard := r.Now
		r.Wait(float64(seconds+31) / 60)
		if got, want := r.RingsAfter(heard), []string{fmt.Sprintf("again@%d", seconds)}; !slices.Equal(got[:1], want) {
			t.Errorf("%s: %v, want %v first", kind, got, want)
		}
		a, _ := sessiontest.FindAlarm(r.Day, kind)
		if !a.Unanswered() || a.AnsweredAt != heard {
			t.Errorf("%s: rings again, first answered %v: %+v", kind, heard, a)
		}
	}
}

// What a person can do about an alarm ends it, and counts as an answer; a
// worse alarm in its place does not.
func TestWhatClearsAnAlarm(t *testing.T) {
	soakDone := func(t *testing.T) *sessiontest.Run {
		return sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(20.5)
	}
	cooling49 := func(t *testing.T) *sessiontest.Run {
		r := sessiontest.Start(t, sessiontest.LongWash()).Until(0, shed.Soaking)
		for len(r.Day.Alarms) == 0 || r.Day.Alarms[0].Kind == session.ReadingWanted {
			r.Tick(time.Second)
		}
		return r
	}
	cold := func(t *testing.T) *sessiontest.Run {
		r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
		return r.Tick(3 * time.Hour)
	}
	for _, row := range []struct {
		name     string
		come     func(t *testing.T) *sessiontest.Run
		kind     session.AlarmKind
		do       session.Command
		left     []string
		answered bool
	}{
		{"lift", soakDone, session.SoakDone, session.DoNext{Act: shed.Lift}, nil, true},
		{"longer soak", soakDone, session.SoakDone, session.AdjustSoak{ByMin: 5}, nil, true},
		{"hold", soakDone, session.SoakDone, session.Hold{}, nil, true},
		{"undo of the sink-in", soakDone, session.SoakDone, session.Undo{}, nil, true},
		{"end of the day", soakDone, session.SoakDone, session.EndDay{Anyway: true}, nil, false},
		{"lift of a cooling bath", cooling49, session.NearRelease, session.DoNext{Act: shed.Lift, Sooner: true}, nil, true},
		{"top-up", cooling49, session.NearRelease, session.TopUp{VolumeL: 2, TempC: 95}, nil, true},
		{"a reading that says it is warm", cooling49, session.NearRelease, session.TakeReading{TempC: 61, Sure: true}, nil, true},
		{"a reading that says it is cold", cooling49, session.NearRelease, session.TakeReading{TempC: 45, Sure: true}, []string{"North: below release"}, false},
		{"top-up of a cold bath that has soaked too long", cold, session.BelowRelease, session.TopUp{VolumeL: 3.8, TempC: 97}, []string{"North: soaked too long"}, true},
		{"a reading that lets it cool slower", cold, session.BelowRelease, session.TakeReading{TempC: 55, Sure: true}, []string{"North: soaked too long"}, true},
	} {
		r := row.come(t)
		if _, ok := sessiontest.FindAlarm(r.Day, row.kind); !ok || len(r.Day.Alarms) != 1 {
			t.Fatalf("%s: standing %v, want %s", row.name, sessiontest.StandingAlarms(r.Day), row.kind)
		}
		logged := len(r.Day.AlarmLog)
		r.Do(row.do)
		sessiontest.Same(t, row.name, sessiontest.StandingAlarms(r.Day), row.left)
		if len(r.Day.AlarmLog) != logged+1 {
			t.Fatalf("%s: log %+v", row.name, r.Day.AlarmLog)
		}
		a := r.Day.AlarmLog[logged]
		if a.Kind != row.kind || a.ClearedAt != r.Now || a.AnsweredAt.IsZero() == row.answered {
			t.Errorf("%s: %+v, want answered %v", row.name, a, row.answered)
		}
	}
}

// On hold the planned end does not ring; the water and the longest soak do.
func TestHoldIsNoShelf(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(10).Do(session.Hold{}).Wait(19)
	sessiontest.Same(t, "on hold past the planned end", sessiontest.StandingAlarms(r.Day), nil)
	r.Wait(1)
	sessiontest.Same(t, "on hold for the longest soak", sessiontest.StandingAlarms(r.Day), []string{"North: soaked too long"})
	sessiontest.Same(t, "the coach", coach.Prompts(r.Day, r.Now)[0].Rank, coach.Now)
	r.Tick(3 * time.Hour)
	sessiontest.Same(t, "on hold and cold", sessiontest.StandingAlarms(r.Day), []string{"North: below release"})
	sessiontest.Same(t, "the coach", coach.Prompts(r.Day, r.Now)[0].Rank, coach.Harm)
	r.Do(session.DoNext{Act: shed.Lift})
	sessiontest.Same(t, "lifted from hold", len(r.Day.Alarms), 0)
	sessiontest.Same(t, "held for", r.Day.Tubs[0].Bath.HeldFor, 3*time.Hour+20*time.Minute)
}

// Nothing stands between a cooling bath and the lift that the coach asks for:
// no shortest soak.
func TestCoolBathMayBeLiftedSoon(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Next(0)
	_ = r.Refused(session.DoNext{Act: shed.Lift}, "next is lower in")
	r.Next(0).Wait(2)
	_ = r.Refused(session.DoNext{Act: shed.Lift}, "has soaked 2 min of 20 min")
	r.Do(session.TakeReading{TempC: 47, Sure: true})
	sessiontest.Same(t, "alarms", sessiontest.StandingAlarms(r.Day), []string{"North: below release"})
	r.Do(session.DoNext{Act: shed.Lift})
}

// The look back counts the seconds until somebody answered.
func TestSecondsUntilAnswered(t *testing.T) {
	two := sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], p.Batches[:2]
		p.Batches[0].Presoak, p.Batches[1].Presoak = shed.PresoakNone, shed.PresoakNone
	})
	r := sessiontest.Start(t, two).Until(0, shed.Soaking).Wait(1).Until(1, shed.Soaking)
	r.Step = time.Second
	r.Wait(19).Wait(0.7).Do(session.Acknowledge{Tub: 0}) // North was called at 20:00: no alarm
	r.Wait(2).Next(0)                                    // South's soak was over at 21:00
	r.Wait(5).Next(1)                                    // it rang at 26:30, for the hands might have come, and was lifted, unheard, at 27:42
	// North's soak is over at 15:00, while South waits to be emptied, for which there
	// are 3 min, and for a lift twice what it has taken today: 5:21.
	r.Until(0, shed.Soaking).Wait(23.6).Do(session.EndDay{Anyway: true})
	type row struct {
		tub, step string
		kind      session.AlarmKind
		answered  bool
		seconds   float64
	}
	var got []row
	for _, a := range ledger.ReviewOf(r.Day).Alarms {
		if a.Kind != session.KettleNow {
			got = append(got, row{a.TubName, a.Step, a.Kind, a.Answered, a.Seconds})
		}
	}
	sessiontest.Same(t, "alarms of the day", got, []row{
		{"South", "first hot wash", session.NotLifted, true, 72},
		{"South", "first hot wash", session.WetWaiting, false, 216}, // from 47:42, when it had hung for 20 min, to the end
		{"North", "first rinse", session.LeftSoaking, false, 15},
	})
}

// One acknowledgement for all tubs at once, and the loudest of several.
func TestSeveralTubs(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs()).Until(0, shed.Soaking).Until(1, shed.Soaking).Until(2, shed.Soaking)
	r.Until(1, shed.Draining).Until(1, shed.ToFill).Until(1, shed.Soaking) // South is in the hot wash
	r.Tick(26 * time.Minute)
	sessiontest.Same(t, "standing", sessiontest.StandingAlarms(r.Day), []string{"North: left soaking", "South: wash not lifted", "Tray: left soaking"})
	r.Do(session.TakeReading{Tub: 1, TempC: 48, Sure: true})
	r.Tick(time.Second)
	loudest, ok := r.Day.Loudest()
	if !ok || loudest.Tub != 1 || loudest.Kind != session.BelowRelease {
		t.Errorf("loudest is %+v", loudest)
	}
	r.Do(session.Acknowledge{Tub: 1})
	if loudest, _ = r.Day.Loudest(); loudest.Tub == 1 {
		t.Errorf("an acknowledged alarm is louder than one that rings: %+v", loudest)
	}
	r.Do(session.Acknowledge{Tub: -1})
	for _, a := range r.Day.Alarms {
		if a.Unanswered() {
			t.Errorf("%+v still rings", a)
		}
	}
	if _, ok := (session.Day{}).Loudest(); ok {
		t.Error("an empty day is loud")
	}
}

// Who works at another tub has heard what is not urgent; a high alarm rings on.
func TestHighRingsWhileHandsWork(t *testing.T) {
	for _, x := range []struct {
		readC float64
		kind  session.AlarmKind
		rings int // in two minutes of work, after the first
	}{{48, session.BelowRelease, 4}, {66, session.OverLongest, 0}} {
		r := sessiontest.Start(t, sessiontest.LongWash(func(p *shed.Plan) { p.Method.Steps[1].LongestMin = 600 })).Until(0, shed.Soaking)
		r.Do(session.TakeReading{TempC: x.readC, Sure: true})
		if x.kind == session.OverLongest {
			r.Day.Tubs[0].Bath.Step.LongestMin, r.Day.Tubs[0].Bath.SoakMin = 1, 600
			r.Wait(1)
		}
		r.Tick(time.Second)
		a, ok := sessiontest.FindAlarm(r.Day, x.kind)
		if !ok {
			t.Fatalf("%s does not stand: %v", x.kind, sessiontest.StandingAlarms(r.Day))
		}
		for range 12 {
			r.Wait(1.0 / 6).Do(session.AddNote{Tub: -1, Text: "at work"})
		}
		is, _ := sessiontest.FindAlarm(r.Day, x.kind)
		sessiontest.Same(t, x.kind.String()+" rang again", is.Rings-a.Rings, x.rings)
	}
}

// Of alarms alike, the one that has stood longest is the loudest, wherever its
// tub stands in the kit.
func TestOldestIsLoudest(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs())
	r.Until(2, shed.Soaking).Wait(1).Until(1, shed.Soaking).Wait(1).Until(0, shed.Soaking)
	r.Wait(40)
	for _, want := range []int{2, 1, 0} {
		r.Wait(1)
		loudest, ok := r.Day.Loudest()
		if !ok || loudest.Tub != want {
			t.Errorf("loudest is tub %d, want %d: %v", loudest.Tub, want, sessiontest.StandingAlarms(r.Day))
		}
		r.Next(want)
	}
}

// What an undo leaves alone: alarms that rang, standing still, and that the watch was away.
func TestUndoKeepsWhatHappened(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking).Wait(21).Do(session.ResumeWatch{}).Next(0)
	sessiontest.Same(t, "log", len(r.Day.AlarmLog), 1)
	r.Do(session.Undo{})
	sessiontest.Same(t, "log after undo", []int{len(r.Day.AlarmLog), len(r.Day.Resumed)}, []int{0, 1})
	sessiontest.Same(t, "the fleece is in again", sessiontest.StandingAlarms(r.Day), []string{"North: soak done"})
	r.Do(session.EndDay{Anyway: true}, session.Undo{})
	sessiontest.Same(t, "log after the end, undone", []int{len(r.Day.AlarmLog), len(r.Day.Alarms)}, []int{0, 1})
}

// Every alarm asks for an action (ISA-18.2: otherwise it is a message) and
// says so in words fit to be read out.
func TestAlarmTable(t *testing.T) {
	last := session.HighPriority
	for _, k := range session.AlarmKinds() {
		f := k.Facts()
		for _, text := range []string{f.Cause, f.Else, f.Do, f.Time, k.String(), k.Shown(), f.Spoken, f.Priority.String()} {
			sessiontest.CheckPlain(t, text)
			if text == "" {
				t.Errorf("%s: a column is empty", k)
			}
		}
		if f.Back < time.Minute && f.Priority > session.CallPriority || f.Back > 10*time.Minute && f.Priority > session.LowPriority || f.Back > time.Hour {
			t.Errorf("%s comes back after %v", k, f.Back)
		}
		if f.Priority > last {
			t.Errorf("%s is listed behind less urgent ones", k)
		}
		last = f.Priority
	}
}

// The cover on the tub is what the forecast goes by: open water warns sooner.
func TestCoverMovesTheWarning(t *testing.T) {
	last := time.Time{}
	for _, c := range []cooling.Cover{cooling.Open, cooling.Film, cooling.LidAndFilm} {
		r := sessiontest.Start(t, sessiontest.LongWash(func(p *shed.Plan) { p.Kit.Tubs[0].Cover = c })).Until(0, shed.Soaking)
		early := coach.GlanceAt(r.Day, 0, r.Now).Release.Early
		if !early.After(last) {
			t.Errorf("%s: %v, not after %v", c, early, last)
		}
		last = early
	}
}
