package keep

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lifecycle"
)

// A ring is as urgent as its own alarm, not as one before it, and quiet hours are those
// of the person's own clock: they hold back all but a high one.
func TestBellRingsAsUrgentAsItsAlarm(t *testing.T) {
	zone := time.FixedZone("", 5*3600+30*60)
	now := time.Date(2026, 3, 14, 18, 0, 0, 0, time.UTC) // 23:30 there
	b := &bell{}
	k := New(With{Clock: &fixedClock{now}, Bell: b, Local: zone})
	ring := func(p session.Priority) (rings int) {
		was := b.count()
		k.mu.Lock()
		k.day.Alarms = []session.Alarm{{Kind: session.NearRelease, Priority: p, RungAt: now}}
		k.ring(session.NearRelease, 0, now)
		k.mu.Unlock()
		k.tell()
		return b.count() - was
	}
	if n := ring(session.HighPriority); n != 1 || b.last != session.HighPriority {
		t.Errorf("high: %d rings, %v", n, b.last)
	}
	if n := ring(session.LowPriority); n != 1 || b.last != session.LowPriority {
		t.Errorf("low behind it: %d rings, %v", n, b.last)
	}
	k.settings = session.AlarmSettings{QuietFromMin: 23 * 60, QuietToMin: 7 * 60}
	if n := ring(session.MediumPriority); n != 0 {
		t.Error("a medium one rings in quiet hours")
	}
	if n := ring(session.HighPriority); n != 1 {
		t.Error("a high one is held back")
	}
	k.settings = session.AlarmSettings{QuietFromMin: 17 * 60, QuietToMin: 20 * 60} // by the person's clock over
	if n := ring(session.MediumPriority); n != 1 {
		t.Error("held back by another clock than the person's")
	}
}

// An alarm that rang with the output muted is held against the sound until a check of
// it was heard; one that was not heard changes nothing.
func TestSoundCheckAnswersWhatRangUnheard(t *testing.T) {
	o := &outside{state: OutsideState{Muted: true}}
	k := New(With{Clock: &fixedClock{time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)}, Outside: o})
	k.day = session.Day{StartedAt: k.with.Clock.Now(), Alarms: []session.Alarm{{Kind: session.ClockJumped, Tub: -1, Life: lifecycle.Alarm{State: lifecycle.Unacknowledged, Holds: true}}}}
	k.tell()
	k.day = session.Day{}
	for _, x := range []struct{ heard, unheard bool }{{false, true}, {true, false}, {false, false}} {
		if err := k.Prove(session.ProveSound{Heard: x.heard}, k.with.Clock.Now()); err != nil {
			t.Error(err)
		}
		if got := k.RangUnheard(); got != x.unheard {
			t.Errorf("a check with heard %v leaves it at %v", x.heard, got)
		}
	}
}

// fixedClock stands still.
type fixedClock struct{ at time.Time }

func (c *fixedClock) Now() time.Time { return c.at }
