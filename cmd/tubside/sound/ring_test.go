//go:build linux

package sound

import (
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/sound/soundtest"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
)

// player is a player at a sink, closed with the test; its helper is the test's own
// binary.
func player(t *testing.T, s *soundtest.Sink, o Options) *Player {
	t.Helper()
	self := must.Get(os.Executable()).In(t)
	o.Self, o.Env = self, slices.Concat(s.Env, o.Env)
	if o.Log == nil {
		o.Log = func(s string) { t.Log("said: " + s) }
	}
	p := New(o)
	t.Cleanup(p.Close)
	return p
}

// eventually waits for a state; what it waits for is not a matter of time.
func eventually(t *testing.T, p *Player, what string, is func(State) bool) State {
	t.Helper()
	for began := time.Now(); ; time.Sleep(5 * time.Millisecond) {
		if s := p.State(); is(s) {
			return s
		}
		if time.Since(began) > 20*time.Second {
			t.Fatalf("never %s: %+v", what, p.State())
		}
	}
}

// Limits that the recording is held to, counted from the samples that had come
// when the call was made. The output renders up to 10 ms ahead (asked for), and
// the samples come in pieces of 10 ms: lead is added to what is measured.
const (
	startWithin  = 200 * time.Millisecond
	silentWithin = 300 * time.Millisecond
	lead         = 20 * time.Millisecond
)

// ringOnce rings for so long by the recording's own clock, and gives back what
// was heard from the ring on, and the sample at which it was silenced.
func ringOnce(t *testing.T, p *Player, r *soundtest.Recording, pr session.Priority, long time.Duration) (heard []float64, silencedAt int) {
	t.Helper()
	from := r.Now()
	p.Ring(pr)
	r.Until(from+count(long), 4*long+10*time.Second)
	silenced := r.Now()
	p.Silence()
	r.More(800 * time.Millisecond)
	return r.From(from), silenced - from
}

// onTime checks the start and the end of what was heard.
func onTime(heard []float64, silencedAt int) (start, end time.Duration, err error) {
	got := pulses(heard, 0.01)
	if len(got) == 0 {
		return 0, 0, fmt.Errorf("nothing is heard")
	}
	start = samplesLast(got[0].from) + lead
	end = samplesLast(got[len(got)-1].to-silencedAt) + lead
	if slowed {
		return start, end, nil
	}
	if start > startWithin {
		err = fmt.Errorf("it begins %v after the ring", start)
	}
	if end > silentWithin {
		err = fmt.Errorf("it is heard for %v after it was silenced", end)
	}
	return start, end, err
}

func samplesLast(n int) time.Duration {
	return (time.Duration(n) * time.Second / Rate).Round(time.Millisecond)
}

// tooBusy is the share of the time something waits for a processor, above which time
// cannot be measured: well over what all tests of this program do at once.
const tooBusy = 0.9

// thrice tries a measurement again when the machine was busy elsewhere: what fails is
// only time, and it fails each time where the program is slow. A time at which the
// machine had no processor left does not count; with nothing but such nothing is known.
func thrice(t *testing.T, measure func() error) {
	t.Helper()
	for counted, n := 0, 0; n < 5; n++ {
		began, waited := time.Now(), waitedForCPU()
		err := measure()
		if err == nil {
			return
		}
		busy := (waitedForCPU() - waited).Seconds() / time.Since(began).Seconds()
		if busy < tooBusy {
			counted++
		}
		if counted == 3 {
			t.Error(err)
			return
		}
		t.Logf("processors wanting %.0f %% of the time: %v", 100*busy, err)
	}
	t.Skip("this machine has no processor left to measure time by")
}

// waitedForCPU is for how long something has waited for a processor since the machine
// started; 0 where the kernel does not tell.
func waitedForCPU() (d time.Duration) {
	text, _ := os.ReadFile("/proc/pressure/cpu")
	for _, word := range strings.Fields(string(text)) {
		if us, ok := strings.CutPrefix(word, "total="); ok {
			n, _ := strconv.ParseInt(us, 10, 64)
			return time.Duration(n) * time.Microsecond
		}
	}
	return 0
}

// Each priority at a real output: it begins at once and is silent at once. That
// it sounds as it was made is TestCheck's.
func TestRing(t *testing.T) {
	t.Parallel()
	s := soundtest.New(t)
	r := s.Record()
	p := player(t, s, Options{})
	for _, pr := range priorities {
		t.Run(pr.String(), func(t *testing.T) {
			thrice(t, func() error {
				// Not at the end of a burst: a pulse is due when it is silenced.
				heard, silenced := ringOnce(t, p, r, pr, PatternOf(pr).Starts[1]+100*time.Millisecond)
				start, end, err := onTime(heard, silenced)
				t.Logf("heard at most %v after the ring, gone at most %v after the silence", start, end)
				return err
			})
			if st := p.State(); st.Path != "sound server" || !st.Working || st.Muted || st.Volume != 1 || st.Problem != "" {
				t.Errorf("state %+v", st)
			}
		})
	}
}

// An alarm lasts as long as it is wanted, in one unbroken rhythm.
func TestLength(t *testing.T) {
	t.Parallel()
	s := soundtest.New(t)
	for _, d := range long.Of([]time.Duration{3 * time.Second}, []time.Duration{3 * time.Second, 60 * time.Second}) {
		t.Run(d.String(), func(t *testing.T) {
			r := s.Record()
			p := player(t, s, Options{})
			thrice(t, func() error {
				heard, silenced := ringOnce(t, p, r, session.HighPriority, d)
				if _, _, err := onTime(heard, silenced); err != nil {
					return err
				}
				// Pulses that begin before the silence, from the first on.
				pattern, want := PatternOf(session.HighPriority), 0
				first := pulses(heard, 0.5)[0].from
				for at := 0; at < silenced-first; at += count(pattern.Period) {
					for _, st := range pattern.Starts {
						if at+count(st) < silenced-first-count(silentWithin) {
							want++
						}
					}
				}
				t.Logf("%d pulses are heard, %d or more are due", len(pulses(heard, 0.5)), want)
				return hold(heard, pattern, want)
			})
		})
	}
}

// Two alarms at once are one sound, the more urgent; the less urgent one does
// not take its place.
func TestMostUrgent(t *testing.T) {
	t.Parallel()
	s := soundtest.New(t)
	r := s.Record()
	p := player(t, s, Options{})
	thrice(t, func() error {
		from := r.Now()
		p.Ring(session.MediumPriority)
		r.Until(from+count(PatternOf(session.MediumPriority).Burst())+Rate/2, 20*time.Second)
		changed := r.Now() // in the pause
		p.Ring(session.HighPriority)
		p.Ring(session.LowPriority)
		r.More(PatternOf(session.HighPriority).Burst() + 300*time.Millisecond)
		heard := r.From(from)
		p.Silence()
		r.More(800 * time.Millisecond) // for the next time
		return errors.Join(
			hold(heard[:changed-from], PatternOf(session.MediumPriority), 3),
			hold(heard[changed-from:], PatternOf(session.HighPriority), 10))
	})
}

// The control: from an output that is muted, or so low that it might be, the
// same measurement fails; and the player says why.
func TestMutedIsSeen(t *testing.T) {
	t.Parallel()
	s := soundtest.New(t)
	r := s.Record()
	p := player(t, s, Options{})
	from := r.Now()
	r.More(time.Second)
	if _, _, err := onTime(r.From(from), 0); err == nil || hold(r.From(from), PatternOf(session.HighPriority), 1) == nil {
		t.Error("an output that nobody plays to passes")
	}
	s.Pactl("set-sink-mute", "shed", "1")
	heard, silenced := ringOnce(t, p, r, session.HighPriority, 2*time.Second)
	if _, _, err := onTime(heard, silenced); err == nil {
		t.Error("a muted output passes for one that plays")
	}
	if err := hold(heard, PatternOf(session.HighPriority), 1); err == nil {
		t.Error("a muted output passes for the pattern")
	}
	if st := p.State(); !st.Muted || !strings.Contains(st.Problem, "muted") {
		t.Errorf("state %+v", st)
	}
	if got := s.Pactl("get-sink-mute", "shed"); got != "Mute: yes" {
		t.Errorf("without consent the output was changed: %s", got)
	}
	result := p.Check(t.Context(), session.LowPriority)
	if result.Played || !result.Muted || result.Path != "sound server" {
		t.Errorf("the check says %+v", result)
	}
}

// Muted while it rings is seen as well, and low; without consent nothing is
// changed.
func TestMutedMeanwhile(t *testing.T) {
	t.Parallel()
	s := soundtest.New(t)
	p := player(t, s, Options{})
	p.Ring(session.HighPriority)
	eventually(t, p, "plays", func(s State) bool { return s.Working && !s.Muted })
	s.Pactl("set-sink-mute", "shed", "1")
	eventually(t, p, "seen to be muted", func(s State) bool { return s.Muted && s.Problem != "" })
	s.Pactl("set-sink-mute", "shed", "0")
	s.Pactl("set-sink-volume", "shed", "20%")
	st := eventually(t, p, "seen to be low", func(s State) bool { return !s.Muted && s.Volume < 0.25 })
	if math.Abs(st.Volume-0.2) > 0.01 || !strings.Contains(st.Problem, "20 %") {
		t.Errorf("state %+v", st)
	}
}

// With consent the output is turned up for the alarm and put back exactly,
// channel by channel.
func TestRaisedAndPutBack(t *testing.T) {
	t.Parallel()
	s := soundtest.New(t)
	s.Pactl("set-sink-volume", "shed", "7931", "13107")
	s.Pactl("set-sink-mute", "shed", "1")
	before := s.Pactl("get-sink-volume", "shed") + s.Pactl("get-sink-mute", "shed")
	after := func() string { return s.Pactl("get-sink-volume", "shed") + s.Pactl("get-sink-mute", "shed") }
	r := s.Record()
	p := player(t, s, Options{Consent: true})
	from := r.Now()
	p.Ring(session.HighPriority)
	eventually(t, p, "raised", func(s State) bool { return s.Working && s.Raised && !s.Muted && s.Volume == 1 })
	r.Until(from+2*Rate, 20*time.Second)
	if now := after(); now == before {
		t.Error("the output was not turned up")
	}
	p.Silence()
	eventually(t, p, "put back", func(s State) bool { return !s.Raised })
	if now := after(); now != before {
		t.Errorf("before:\n%s\nafter:\n%s", before, now)
	}
	// One channel is quieter than the other, as it was: the mean of the two.
	if got := pulses(r.From(from), 0.3); len(got) < 4 {
		t.Errorf("%d pulses are heard", len(got))
	}

	// A helper that dies with the output raised leaves it to the next.
	p.Ring(session.HighPriority)
	eventually(t, p, "raised", func(s State) bool { return s.Working && s.Raised })
	killHelpers(t, s)
	eventually(t, p, "played by another way", func(s State) bool { return s.Working && s.Path != "sound server" })
	p.Silence()
	eventually(t, p, "put back", func(s State) bool { return !s.Raised })
	if now := after(); now != before {
		t.Errorf("after the helper was killed:\n%s", now)
	}

	// What somebody changes meanwhile stays.
	s.Pactl("set-sink-mute", "shed", "0")
	p2 := player(t, s, Options{Consent: true})
	p2.Ring(session.HighPriority)
	eventually(t, p2, "raised", func(s State) bool { return s.Working && s.Raised })
	s.Pactl("set-sink-volume", "shed", "60%")
	p2.Silence()
	eventually(t, p2, "done", func(s State) bool { return !s.Raised })
	if now := after(); !strings.Contains(now, "60%") {
		t.Errorf("somebody's own change was undone: %s", now)
	}
}

// killHelpers kills this test's own helper processes: children of this process
// that were started as the helper, for this sink.
func killHelpers(t *testing.T, s *soundtest.Sink) { signalHelpers(t, s, syscall.SIGKILL) }

func signalHelpers(t *testing.T, s *soundtest.Sink, sig syscall.Signal) {
	t.Helper()
	dirs := must.Get(filepath.Glob("/proc/[0-9]*/stat")).In(t)
	found := 0
	for _, path := range dirs {
		b, err := os.ReadFile(path)
		if err != nil {
			continue // it has ended
		}
		var pid, parent int
		var state string
		if _, err := fmt.Sscanf(string(b), "%d", &pid); err != nil {
			continue
		}
		if _, err := fmt.Sscanf(string(b[strings.LastIndexByte(string(b), ')')+1:]), " %1s %d", &state, &parent); err != nil {
			continue
		}
		line, _ := os.ReadFile(fmt.Sprintf("/proc/%d/cmdline", pid))
		env, _ := os.ReadFile(fmt.Sprintf("/proc/%d/environ", pid))
		if parent == os.Getpid() && strings.Contains(string(line), HelperName) && strings.Contains(string(env), s.Env[0]+"\x00") {
			found++
			if err := syscall.Kill(pid, sig); err != nil {
				t.Log(err)
			}
		}
	}
	if found == 0 {
		t.Fatal("no helper runs")
	}
}

// nextPlayers makes a PATH of one folder, in which aplay is a player that writes
// what it is given to the file it returns, in real time, and paplay is as given:
// "" takes it away.
func nextPlayers(t *testing.T, paplay string) (file string, env []string) {
	t.Helper()
	self := must.Get(os.Executable()).In(t)
	dir := t.TempDir()
	file = filepath.Join(dir, "played.raw")
	script(t, dir, "aplay", fmt.Sprintf("exec '%s' as-player '%s'", self, file))
	if paplay != "" {
		script(t, dir, "paplay", paplay)
	}
	return file, []string{"PATH=" + dir}
}

func script(t *testing.T, dir, name, body string) {
	t.Helper()
	syscall.ForkLock.RLock() // a program that is started now would hold the file open, and it could not run
	defer syscall.ForkLock.RUnlock()
	must.Do(t, os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\n"+body+"\n"), 0o755))
}

// nextWithin is how soon the next player has to play.
const nextWithin = 3 * time.Second

// A sound server that is frozen when the alarm is to begin is passed over as
// soon.
func TestFrozenBefore(t *testing.T) {
	t.Parallel()
	thrice(t, func() error {
		s := soundtest.New(t)
		sleep := must.Get(exec.LookPath("sleep")).In(t)
		file, env := nextPlayers(t, "exec "+sleep+" 60")
		s.Signal(syscall.SIGSTOP)
		p := player(t, s, Options{Env: env})
		defer p.Close()
		rang := time.Now()
		p.Ring(session.HighPriority)
		eventually(t, p, "played by the next", func(State) bool { info, err := os.Stat(file); return err == nil && info.Size() > 0 })
		took := time.Since(rang)
		t.Logf("the next player played after %v", took.Round(time.Millisecond))
		if took > nextWithin {
			return fmt.Errorf("the next player played after %v", took)
		}
		return nil
	})
}

// A sound server that dies, freezes or loses its helper in the middle of an
// alarm: the next player plays within three seconds, the same pattern.
func TestFallsToTheNext(t *testing.T) {
	t.Parallel()
	for name, break1 := range map[string]func(*testing.T, *soundtest.Sink){
		"server killed": func(_ *testing.T, s *soundtest.Sink) { s.Signal(syscall.SIGKILL) },
		"server frozen": func(_ *testing.T, s *soundtest.Sink) { s.Signal(syscall.SIGSTOP) },
		"helper killed": func(t *testing.T, s *soundtest.Sink) { killHelpers(t, s) },
		"helper frozen": func(t *testing.T, s *soundtest.Sink) { signalHelpers(t, s, syscall.SIGSTOP) },
	} {
		if !long.Run() && (name == "server frozen" || name == "helper killed") {
			continue // each of them comes to harm in one way
		}
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			thrice(t, func() error {
				s := soundtest.New(t)
				sleep := must.Get(exec.LookPath("sleep")).In(t)
				// A player of the same server hangs where the server does.
				paplay := "exit 1"
				if name == "server frozen" {
					paplay = "exec " + sleep + " 60"
				}
				file, env := nextPlayers(t, paplay)
				p := player(t, s, Options{Env: env})
				defer p.Close()
				p.Ring(session.HighPriority)
				eventually(t, p, "plays", func(s State) bool { return s.Working && s.Path == "sound server" })
				broken := time.Now()
				break1(t, s)
				var took time.Duration
				for took == 0 {
					if info, err := os.Stat(file); err == nil && info.Size() > 0 {
						took = time.Since(broken)
					} else if time.Since(broken) > 20*time.Second {
						return fmt.Errorf("the next player never played: %+v", p.State())
					}
					time.Sleep(5 * time.Millisecond)
				}
				t.Logf("the next player played after %v", took.Round(time.Millisecond))
				eventually(t, p, "says so", func(s State) bool { return s.Working && s.Path == "aplay" && math.IsNaN(s.Volume) })
				time.Sleep(2 * time.Second) // for something to hear
				p.Silence()
				raw, err := os.ReadFile(file)
				if err != nil {
					return err
				}
				if err := hold(append(make([]float64, 480), decode(raw)...), PatternOf(session.HighPriority), 3); err != nil {
					return err
				}
				if took > nextWithin {
					return fmt.Errorf("the next player played after %v", took)
				}
				return nil
			})
		})
	}
}
