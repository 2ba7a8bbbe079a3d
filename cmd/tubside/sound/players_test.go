//go:build linux

package sound

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/sound/soundtest"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// The players that stand behind the helper, each alone at a real output.
func TestOtherPlayers(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"aplay", "paplay"}[:long.Of(1, 2)] {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			soundtest.Need(t, name)
			s := soundtest.New(t)
			if name == "aplay" { // by way of the same output: there is no other here
				must.Do(t, os.WriteFile(filepath.Join(s.Home(), ".asoundrc"), []byte("pcm.!default pulse\nctl.!default pulse\n"), 0o600))
				if out, err := s.Command("aplay", "-q", "-d", "1", "/dev/zero").CombinedOutput(); err != nil {
					if os.Getenv("TUBSIDE_NEED_SOUND") != "" {
						t.Fatalf("aplay does not reach the sound server: %s", out)
					}
					t.Skipf("aplay does not reach the sound server (apt-get install libasound2-plugins): %s", out)
				}
			}
			r := s.Record()
			p := only(t, s, name)
			thrice(t, func() error {
				heard, silenced := ringOnce(t, p, r, session.HighPriority, PatternOf(session.HighPriority).Starts[1]+100*time.Millisecond)
				start, end, err := onTime(heard, silenced)
				t.Logf("heard at most %v after the ring, gone at most %v after the silence", start, end)
				return err
			})
			thrice(t, func() error {
				heard, _ := ringOnce(t, p, r, session.HighPriority, PatternOf(session.HighPriority).Burst()+400*time.Millisecond)
				return hold(heard, PatternOf(session.HighPriority), 10)
			})
			if st := p.State(); st.Path != name || st.Problem != "" {
				t.Errorf("state %+v", st)
			}
		})
	}
}

// only is a player with one of the system's ways out.
func only(t *testing.T, s *soundtest.Sink, name string) *Player {
	t.Helper()
	var ways []path
	for _, w := range systemPaths(Options{Self: os.Args[0], Env: s.Env}, &debt{}) {
		if w.name == name {
			ways = append(ways, w)
		}
	}
	if len(ways) != 1 {
		t.Fatalf("%d ways out are named %s", len(ways), name)
	}
	return fake(t, nil, ways...)
}

// The sound check names the player that served, and a whole burst went out.
func TestCheck(t *testing.T) {
	t.Parallel()
	s := soundtest.New(t)
	r := s.Record()
	self := must.Get(os.Executable()).In(t)
	for _, pr := range priorities[:long.Of(1, 3)] { // TestSoundCheckAtASink hears all three
		var err error
		for range 3 { // a busy machine drops out now and then, which splits a pulse
			from := r.Now()
			got := Check(t.Context(), Options{Self: self, Env: s.Env}, pr)
			if !got.Played || got.Path != "sound server" || got.Muted || got.Volume != 1 || got.Problem != "" || got.Priority != pr {
				t.Errorf("%v: %+v", pr, got)
			}
			r.More(200 * time.Millisecond)
			if err = hold(r.From(from), PatternOf(pr), len(PatternOf(pr).Starts)); err == nil {
				break
			}
			t.Logf("%v: %v", pr, err)
		}
		if err != nil {
			t.Errorf("%v: %v", pr, err)
		}
	}
	p := player(t, s, Options{})
	p.Ring(session.HighPriority)
	if got := p.Check(t.Context(), session.LowPriority); got.Played || got.Problem == "" {
		t.Errorf("while an alarm rings: %+v", got)
	}
}

// A program that is killed while an alarm rings leaves neither a sound nor a
// raised output behind.
func TestProgramKilled(t *testing.T) {
	t.Parallel()
	s := soundtest.New(t)
	s.Pactl("set-sink-volume", "shed", "10%")
	s.Pactl("set-sink-mute", "shed", "1")
	state := func() string { return s.Pactl("get-sink-volume", "shed") + s.Pactl("get-sink-mute", "shed") }
	before := state()
	self := must.Get(os.Executable()).In(t)
	program := s.Command(self, "as-program")
	must.Do(t, program.Start())
	kill := func() { _ = program.Process.Kill(); _ = program.Wait() }
	t.Cleanup(kill)
	within := func(what string, is func() bool) {
		t.Helper()
		for began := time.Now(); !is(); time.Sleep(20 * time.Millisecond) {
			if time.Since(began) > 20*time.Second {
				t.Fatalf("never %s: %s", what, state())
			}
		}
	}
	within("raised", func() bool { return state() != before && s.Pactl("list", "short", "sink-inputs") != "" })
	kill()
	within("put back", func() bool { return state() == before })
	within("silent", func() bool { return s.Pactl("list", "short", "sink-inputs") == "" })
}
