package session_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
)

// longWash is one tub whose soak outlasts its bath: nothing but the water's
// temperature calls the person.
func longWash(change ...func(*session.Plan)) session.Plan {
	return oneTub(append([]func(*session.Plan){func(p *session.Plan) {
		p.Method.Steps[1].SoakMin, p.Method.Steps[1].LongestMin = 600, 0
	}}, change...)...)
}

// Each alarm at its second: a call at the end of the soak, an alarm when nobody
// has come in three minutes, again five minutes later, never more than medium.
func TestSoakDoneThenTooLong(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking).wait(36)
	same(t, "rings", r.rings(dawn), []string{
		"soak done@1200", "superseded@1380", "wash not lifted@1380", "again@1680", "superseded@1800", "soaked too long@1800", "again@2100"})
	same(t, "standing", standing(r.day), []string{"North: soaked too long"})
	same(t, "priority", r.day.Alarms[0].Priority, session.MediumPriority)
}

// A wash bath warns so many minutes before the early end of its forecast, and
// again when the estimate itself is down to the release temperature.
func TestCoolingWash(t *testing.T) {
	for _, lead := range []float64{1, 5, 12} {
		r := start(t, longWash(func(p *session.Plan) { p.Kit.LeadMin = lead })).until(0, session.Soaking)
		early := r.day.Glance(0, r.now).Release.Early
		readAt := int(math.Ceil(early.Add(-ago(lead + 3)).Sub(dawn).Seconds()))
		nearAt := int(math.Ceil(early.Add(-ago(min(lead, 3))).Sub(dawn).Seconds()))
		below := 0
		for ; ; below++ {
			if c, _, _ := r.day.TempNow(0, dawn.Add(time.Duration(below)*time.Second)); c <= 49 {
				break
			}
		}
		r.wait(float64(below+10) / 60)
		got := slices.DeleteFunc(r.rings(dawn), func(s string) bool { return s[:5] == "again" })
		// Nobody has measured it: a reading is asked for first.
		same(t, fmt.Sprintf("lead %g", lead), got, []string{
			fmt.Sprintf("reading wanted@%d", readAt), fmt.Sprintf("superseded@%d", nearAt),
			fmt.Sprintf("cooling: lift soon@%d", nearAt),
			fmt.Sprintf("superseded@%d", below), fmt.Sprintf("below release@%d", below),
		})
		if nearAt < 600 || below-nearAt < 600 {
			t.Errorf("near at %d, below at %d s: too close together to tell anything", nearAt, below)
		}
	}
}

// Only a wash has wax to lose: presoak and rinse may grow cold.
func TestOnlyWashesCool(t *testing.T) {
	plan := oneTub(func(p *session.Plan) {
		p.Kit.RoomC, p.Batches[0].Presoak = 2, session.PresoakAsMethod
	})
	for step, kind := range []session.StepKind{session.Presoak, session.Wash, session.Rinse, session.Rinse} {
		r := start(t, plan)
		for r.day.Tubs[0].At < step || r.day.Tubs[0].Phase != session.Soaking {
			r.next(0)
		}
		for range 20 * 60 {
			r.tick(time.Minute)
		}
		cooled := false
		for _, rec := range r.recs {
			if e, ok := rec.Event.(session.AlarmRaised); ok && (e.Alarm == session.NearRelease || e.Alarm == session.BelowRelease) {
				cooled = true
			}
		}
		if cooled != (kind == session.Wash) {
			t.Errorf("%s: cooling alarms %v", kind, cooled)
		}
		if len(r.day.AlarmLog) == 0 {
			t.Errorf("%s: left for a night and nothing rang", kind)
		}
	}
}

// An acknowledged alarm is quiet for its time, then rings again.
func TestAcknowledgedComesBack(t *testing.T) {
	back := map[session.AlarmKind]int{session.NotLifted: 300, session.OverLongest: 300, session.NearRelease: 120, session.BelowRelease: 120}
	for kind, seconds := range back {
		plan := longWash()
		if kind == session.NotLifted || kind == session.OverLongest {
			plan = oneTub(func(p *session.Plan) {
				p.Method.Steps[1].SoakMin, p.Method.Steps[1].LongestMin = 15, 0
				if kind == session.OverLongest {
					p.Method.Steps[1].LongestMin = 15
				}
			})
		}
		r := start(t, plan).until(0, session.Soaking)
		for standing := false; !standing; _, standing = find(r.day, kind) {
			r.tick(time.Second)
			if r.now.Sub(dawn) > 12*time.Hour {
				t.Fatalf("%s was never raised", kind)
			}
		}
		r.wait(0.2).do(session.Acknowledge{})
		_ = r.refused(session.Acknowledge{}, "no alarm is ringing")
		heard := r.now
		r.wait(float64(seconds+31) / 60)
		if got, want := r.ringsAfter(heard), []string{fmt.Sprintf("again@%d", seconds)}; !slices.Equal(got[:1], want) {
			t.Errorf("%s: %v, want %v first", kind, got, want)
		}
		a, _ := find(r.day, kind)
		if !a.Unanswered() || a.AnsweredAt != heard {
			t.Errorf("%s: rings again, first answered %v: %+v", kind, heard, a)
		}
	}
}

func (r *run) ringsAfter(from time.Time) []string {
	later := *r
	later.recs = slices.DeleteFunc(slices.Clone(r.recs), func(rec session.Recorded) bool { return !rec.At.After(from) })
	return append(later.rings(from), "silence")
}

func find(d session.Day, k session.AlarmKind) (session.Alarm, bool) {
	for _, a := range d.Alarms {
		if a.Kind == k {
			return a, true
		}
	}
	return session.Alarm{}, false
}

// What a person can do about an alarm ends it, and counts as an answer; a
// worse alarm in its place does not.
func TestWhatClearsAnAlarm(t *testing.T) {
	soakDone := func(t *testing.T) *run { return start(t, oneTub()).until(0, session.Soaking).wait(20.5) }
	cooling49 := func(t *testing.T) *run {
		r := start(t, longWash()).until(0, session.Soaking)
		for len(r.day.Alarms) == 0 || r.day.Alarms[0].Kind == session.ReadingWanted {
			r.tick(time.Second)
		}
		return r
	}
	cold := func(t *testing.T) *run {
		r := start(t, oneTub()).until(0, session.Soaking)
		return r.tick(3 * time.Hour)
	}
	for _, row := range []struct {
		name     string
		come     func(t *testing.T) *run
		kind     session.AlarmKind
		do       session.Command
		left     []string
		answered bool
	}{
		{"lift", soakDone, session.SoakDone, session.DoNext{Act: session.Lift}, nil, true},
		{"longer soak", soakDone, session.SoakDone, session.AdjustSoak{ByMin: 5}, nil, true},
		{"hold", soakDone, session.SoakDone, session.Hold{}, nil, true},
		{"undo of the sink-in", soakDone, session.SoakDone, session.Undo{}, nil, true},
		{"end of the day", soakDone, session.SoakDone, session.EndDay{Anyway: true}, nil, false},
		{"lift of a cooling bath", cooling49, session.NearRelease, session.DoNext{Act: session.Lift, Sooner: true}, nil, true},
		{"top-up", cooling49, session.NearRelease, session.TopUp{VolumeL: 2, TempC: 95}, nil, true},
		{"a reading that says it is warm", cooling49, session.NearRelease, session.TakeReading{TempC: 61, Sure: true}, nil, true},
		{"a reading that says it is cold", cooling49, session.NearRelease, session.TakeReading{TempC: 45, Sure: true}, []string{"North: below release"}, false},
		{"top-up of a cold bath that has soaked too long", cold, session.BelowRelease, session.TopUp{VolumeL: 3.7, TempC: 97}, []string{"North: soaked too long"}, true},
		{"a reading that lets it cool slower", cold, session.BelowRelease, session.TakeReading{TempC: 55, Sure: true}, []string{"North: soaked too long"}, true},
	} {
		r := row.come(t)
		if _, ok := find(r.day, row.kind); !ok || len(r.day.Alarms) != 1 {
			t.Fatalf("%s: standing %v, want %s", row.name, standing(r.day), row.kind)
		}
		logged := len(r.day.AlarmLog)
		r.do(row.do)
		same(t, row.name, standing(r.day), row.left)
		if len(r.day.AlarmLog) != logged+1 {
			t.Fatalf("%s: log %+v", row.name, r.day.AlarmLog)
		}
		a := r.day.AlarmLog[logged]
		if a.Kind != row.kind || a.ClearedAt != r.now || a.AnsweredAt.IsZero() == row.answered {
			t.Errorf("%s: %+v, want answered %v", row.name, a, row.answered)
		}
	}
}

// On hold the planned end does not ring; the water and the longest soak do.
func TestHoldIsNoShelf(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking).wait(10).do(session.Hold{}).wait(19)
	same(t, "on hold past the planned end", standing(r.day), nil)
	r.wait(1)
	same(t, "on hold for the longest soak", standing(r.day), []string{"North: soaked too long"})
	same(t, "the coach", r.day.Prompts(r.now)[0].Rank, session.Now)
	r.tick(3 * time.Hour)
	same(t, "on hold and cold", standing(r.day), []string{"North: below release"})
	same(t, "the coach", r.day.Prompts(r.now)[0].Rank, session.Harm)
	r.do(session.DoNext{Act: session.Lift})
	same(t, "lifted from hold", len(r.day.Alarms), 0)
	same(t, "held for", r.day.Tubs[0].Bath.HeldFor, 3*time.Hour+20*time.Minute)
}

// Nothing stands between a cooling bath and the lift that the coach asks for:
// no shortest soak.
func TestCoolBathMayBeLiftedSoon(t *testing.T) {
	r := start(t, oneTub()).next(0)
	_ = r.refused(session.DoNext{Act: session.Lift}, "next is sink in")
	r.next(0).wait(2)
	_ = r.refused(session.DoNext{Act: session.Lift}, "has soaked 2 min of 20 min")
	r.do(session.TakeReading{TempC: 47, Sure: true})
	same(t, "alarms", standing(r.day), []string{"North: below release"})
	r.do(session.DoNext{Act: session.Lift})
}

// The look back counts the seconds until somebody answered.
func TestSecondsUntilAnswered(t *testing.T) {
	two := threeTubs(func(p *session.Plan) {
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], p.Batches[:2]
		p.Batches[0].Presoak, p.Batches[1].Presoak = session.PresoakNone, session.PresoakNone
	})
	r := start(t, two).until(0, session.Soaking).wait(1).until(1, session.Soaking)
	r.wait(19).wait(0.7).do(session.Acknowledge{Tub: 0}) // North was called at 20:00: no alarm
	r.wait(2).next(0)                                    // South's soak was over at 21:00
	r.wait(5).next(1)                                    // it rang at 26:00, and was lifted, unheard, at 27:42
	// North's soak is over at 15:00, while South waits to be emptied, for which there
	// are 3 min, and for a lift twice what it has taken today: 5:21.
	r.until(0, session.Soaking).wait(23.6).do(session.EndDay{Anyway: true})
	type row struct {
		tub, step string
		kind      session.AlarmKind
		answered  bool
		seconds   float64
	}
	var got []row
	for _, a := range r.day.Review().Alarms {
		if a.Kind != session.KettleNow {
			got = append(got, row{a.TubName, a.Step, a.Kind, a.Answered, a.Seconds})
		}
	}
	same(t, "alarms of the day", got, []row{
		{"South", "first hot wash", session.NotLifted, true, 102},
		{"North", "first rinse", session.LeftSoaking, false, 15},
	})
}

// One acknowledgement for all tubs at once, and the loudest of several.
func TestSeveralTubs(t *testing.T) {
	r := start(t, threeTubs()).until(0, session.Soaking).until(1, session.Soaking).until(2, session.Soaking)
	r.until(1, session.Draining).until(1, session.ToFill).until(1, session.Soaking) // South is in the hot wash
	r.tick(26 * time.Minute)
	same(t, "standing", standing(r.day), []string{"North: left soaking", "South: wash not lifted", "Tray: left soaking"})
	r.do(session.TakeReading{Tub: 1, TempC: 48, Sure: true})
	r.tick(time.Second)
	loudest, ok := r.day.Loudest()
	if !ok || loudest.Tub != 1 || loudest.Kind != session.BelowRelease {
		t.Errorf("loudest is %+v", loudest)
	}
	r.do(session.Acknowledge{Tub: 1})
	if loudest, _ = r.day.Loudest(); loudest.Tub == 1 {
		t.Errorf("an acknowledged alarm is louder than one that rings: %+v", loudest)
	}
	r.do(session.Acknowledge{Tub: -1})
	for _, a := range r.day.Alarms {
		if a.Unanswered() {
			t.Errorf("%+v still rings", a)
		}
	}
	if _, ok := (session.Day{}).Loudest(); ok {
		t.Error("an empty day is loud")
	}
}

// Of alarms alike, the one that has stood longest is the loudest, wherever its
// tub stands in the kit.
func TestOldestIsLoudest(t *testing.T) {
	r := start(t, threeTubs())
	r.until(2, session.Soaking).wait(1).until(1, session.Soaking).wait(1).until(0, session.Soaking)
	r.wait(40)
	for _, want := range []int{2, 1, 0} {
		r.wait(1)
		loudest, ok := r.day.Loudest()
		if !ok || loudest.Tub != want {
			t.Errorf("loudest is tub %d, want %d: %v", loudest.Tub, want, standing(r.day))
		}
		r.next(want)
	}
}

// What an undo leaves alone: alarms that rang, standing still, and that the watch was away.
func TestUndoKeepsWhatHappened(t *testing.T) {
	r := start(t, oneTub()).until(0, session.Soaking).wait(21).do(session.ResumeWatch{}).next(0)
	same(t, "log", len(r.day.AlarmLog), 1)
	r.do(session.Undo{})
	same(t, "log after undo", []int{len(r.day.AlarmLog), len(r.day.Resumed)}, []int{0, 1})
	same(t, "the fleece is in again", standing(r.day), []string{"North: soak done"})
	r.do(session.EndDay{Anyway: true}, session.Undo{})
	same(t, "log after the end, undone", []int{len(r.day.AlarmLog), len(r.day.Alarms)}, []int{0, 1})
}

// Every alarm asks for an action (ISA-18.2: otherwise it is a message) and
// says so in words fit to be read out.
func TestAlarmTable(t *testing.T) {
	seen := map[session.AlarmKind]bool{}
	for i, f := range session.AlarmTable() {
		same(t, "order", f.Kind, session.AlarmKinds()[i])
		same(t, "row", f.Kind.Facts(), f)
		seen[f.Kind] = true
		for _, text := range []string{f.Cause, f.Else, f.Do, f.Time, f.Kind.String(), f.Priority.String()} {
			plain(t, text)
			if text == "" {
				t.Errorf("%s: a column is empty", f.Kind)
			}
		}
		if f.Back < time.Minute && f.Priority > session.CallPriority || f.Back > 10*time.Minute && f.Priority > session.LowPriority || f.Back > time.Hour {
			t.Errorf("%s comes back after %v", f.Kind, f.Back)
		}
		if i > 0 && f.Priority > session.AlarmTable()[i-1].Priority {
			t.Errorf("%s is listed behind less urgent ones", f.Kind)
		}
	}
	same(t, "rows", len(seen), len(session.AlarmKinds()))
}

// The cover on the tub is what the forecast goes by: open water warns sooner.
func TestCoverMovesTheWarning(t *testing.T) {
	last := time.Time{}
	for _, c := range []cooling.Cover{cooling.Open, cooling.Film, cooling.LidAndFilm} {
		r := start(t, longWash(func(p *session.Plan) { p.Kit.Tubs[0].Cover = c })).until(0, session.Soaking)
		early := r.day.Glance(0, r.now).Release.Early
		if !early.After(last) {
			t.Errorf("%s: %v, not after %v", c, early, last)
		}
		last = early
	}
}
