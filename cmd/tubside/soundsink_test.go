//go:build linux

package main

import (
	"math"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/sound/soundtest"
)

// The delivered program plays through itself, asks, and ends with 0; muted it
// says so and does not.
func TestSoundCheckAtASink(t *testing.T) {
	t.Parallel()
	bin := program(t)
	s := soundtest.New(t)
	r := s.Record()
	from := r.Now()
	w := open(t, s.Env, bin, "soundcheck")
	for i, row := range []string{"low    alarm: ", "medium alarm: ", "high   alarm: "} {
		w.see(row + "played by sound server, output at 100 %")
		w.until("the question", func(screen string) bool { return strings.Count(screen, "did you hear it?") == i+1 })
		w.write("y\r")
	}
	if code := w.end(); code != 0 {
		t.Errorf("it ended with %d", code)
	}
	r.More(100 * time.Millisecond)
	loud := 0
	for _, v := range r.From(from) {
		if math.Abs(v) > 0.5 {
			loud++
		}
	}
	// Fifteen pulses of which far more than a tenth is above half the height.
	if loud < soundtest.Rate/10 {
		t.Errorf("%d loud samples came out", loud)
	}

	s.Pactl("set-sink-mute", "shed", "1")
	cmd := s.Command(bin, "soundcheck")
	out, err := cmd.CombinedOutput()
	if err == nil || cmd.ProcessState.ExitCode() != 1 || !strings.Contains(string(out), "the output is muted") || strings.Contains(string(out), "did you hear") {
		t.Errorf("muted: %v\n%s", err, out)
	}
}
