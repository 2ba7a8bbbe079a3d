//go:build linux

package main

import (
	"math"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/sound/soundtest"
	"fleece.example/tubside/session/long"
)

// TestRehearsalAtASink: the alarm of a rehearsal sounds as that of a day, until it
// is heard; with --quiet it stands on the screen alone, and no bell rings. Esc
// asks before the invented day is thrown away.
func TestRehearsalAtASink(t *testing.T) {
	t.Parallel()
	bin := program(t)
	soundtest.Need(t)
	sink := soundtest.New(t)
	rec := sink.Record()
	for _, quiet := range []bool{false, true}[:long.Of(1, 2)] {
		args := []string{"rehearse", "--hands-on", "--pace", "300"}
		if quiet {
			args = append(args, "--quiet")
		}
		w := open(t, sink.Env, bin, args...)
		w.see("REHEARSAL, an invented day")
		w.see("in this order")
		time.Sleep(aMoment)
		w.press("1", "enter")
		w.see("has not boiled")
		time.Sleep(aMoment)
		w.press("enter")
		w.see("the fleece not in yet")
		time.Sleep(aMoment)
		w.press("1", "enter")
		w.see(" wash has begun")
		w.see("NEARLY TOO COOL")
		from := rec.Now()
		rec.More(3 * time.Second)
		peak := 0.0
		for _, v := range rec.From(from) {
			peak = math.Max(peak, math.Abs(v))
		}
		t.Logf("quiet %v: peak %.3f, bell %d times", quiet, peak, w.rang())
		switch {
		case !quiet && (peak < 0.1 || w.rang() == 0):
			t.Errorf("a standing alarm is not heard: peak %g, bell %d times", peak, w.rang())
		case quiet && (peak > 1e-3 || w.rang() > 0):
			t.Errorf("--quiet is heard: peak %g, bell %d times", peak, w.rang())
		}
		for range 4 { // out of a chosen tub first
			w.press("esc")
			time.Sleep(aMoment)
			if strings.Contains(w.text(), "End the rehearsal?") {
				break
			}
		}
		w.see("The invented day is thrown away. Press Esc again")
		w.press("esc")
		if code := w.end(); code != 0 {
			t.Errorf("it ended with %d", code)
		}
		rec.More(300 * time.Millisecond)
	}
}
