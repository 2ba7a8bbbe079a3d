//go:build linux

package main

import (
	"math"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/sound"
	"fleece.example/tubside/cmd/tubside/sound/soundtest"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
)

// At a real output: an alarm sounds until it is heard, the worst of several, and
// a check says what served.
func TestOutsideSounds(t *testing.T) {
	t.Parallel()
	soundtest.Need(t)
	sink := soundtest.New(t)
	rec := sink.Record()
	rec.More(300 * time.Millisecond)
	o := newOutside(&lockedBuffer{}, sound.Options{Self: program(t), Env: sink.Env}, mine(t), func() {})
	defer o.close()
	now := time.Now()
	loud := func(from int) float64 {
		sum, x := 0.0, rec.From(from)
		for _, v := range x {
			sum += v * v
		}
		return math.Sqrt(sum / math.Max(1, float64(len(x))))
	}
	before := rec.Now()
	rec.More(500 * time.Millisecond)
	if got := loud(before); got > 1e-3 {
		t.Fatalf("it sounds before anything rings: %g", got)
	}
	ringing := rec.Now()
	o.Call([]coach.AlarmCall{call(session.NearRelease, session.HighPriority), call(session.SoakDone, session.MediumPriority)}, 2, session.AlarmSettings{}, now)
	rec.More(3 * time.Second)
	if got := loud(ringing); got < 0.05 {
		t.Fatalf("an alarm of the release temperature is not heard: %g, %+v", got, o.State())
	}
	o.Call(nil, 2, session.AlarmSettings{}, now)
	rec.More(time.Second) // it dies away
	quiet := rec.Now()
	rec.More(time.Second)
	if got := loud(quiet); got > 1e-3 {
		t.Errorf("heard, and it goes on: %g", got)
	}
	if r := o.Play(session.LowPriority, session.AlarmSettings{}); !r.OK || r.Path == "" {
		t.Errorf("sound check: %+v", r)
	}
	sink.Pactl("set-sink-mute", "@DEFAULT_SINK@", "1")
	if r := o.Play(session.LowPriority, session.AlarmSettings{}); r.OK {
		t.Errorf("a muted output is said to have played: %+v", r)
	}
}
