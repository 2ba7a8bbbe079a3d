package session_test

import (
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// The alarm of a soak that is too long rings when what the list had to spare is over.
func TestSpareAndAlarmAgree(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	for r.Prompt().Limit != coach.LongestSoak {
		r.Next().Until(0, shed.Soaking)
	}
	spare := r.Prompt().MustBy.Sub(r.Now)
	rings := func() bool { return slices.Contains(session.Causes(r.Day, 0, r.Now), session.OverLongest) }
	if r.Tick(spare - time.Second); rings() {
		t.Errorf("it rings while the list has time to spare: %v", sessiontest.StandingAlarms(r.Day))
	}
	if r.Tick(time.Second); !rings() {
		t.Errorf("the spare time is over and it does not ring: %v", sessiontest.StandingAlarms(r.Day))
	}
}
