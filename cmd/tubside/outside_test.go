package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/machine"
	"fleece.example/tubside/cmd/tubside/reach"
	"fleece.example/tubside/cmd/tubside/sound"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
)

func call(kind session.AlarmKind, p session.Priority) coach.AlarmCall {
	return coach.AlarmCall{Tub: 0, Name: "North", Kind: kind, Priority: p, Level: 1, Rings: 1, Words: kind.String(), Do: kind.Facts().Do, MinutesLeft: 4.2, HasMinutes: true}
}

// Of what rings at once the most urgent sounds, in whichever order it comes.
func TestMostUrgentSounds(t *testing.T) {
	low, high := call(session.ClockJumped, session.LowPriority), call(session.BelowRelease, session.HighPriority)
	for _, rung := range [][]coach.AlarmCall{{low, high}, {high, low}} {
		o := newOutside(&lockedBuffer{}, sound.Options{}, mine(t), func() {})
		o.mu.Lock()
		o.sound(rung, rung)
		loudest := o.loudest
		o.mu.Unlock()
		if loudest != session.HighPriority {
			t.Errorf("%v sounds", loudest)
		}
		o.close()
	}
}

// The person's own command is run at each raise, worsening and end, with the
// facts; the terminal's own notices go out with them.
func TestOutsideTells(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a script for a POSIX shell")
	}
	log := filepath.Join(t.TempDir(), "log")
	var term lockedBuffer
	s := session.AlarmSettings{Hook: "cat >> " + log, Notify: true}
	own := mine(t, s.Hook)
	must.Do(t, own.Confirm("", machine.Ways{Notify: true}))
	o := newOutside(&term, sound.Options{}, own, func() {})
	defer o.close()
	now := time.Date(2026, 5, 16, 9, 0, 0, 0, time.UTC)
	waitFor := func(n int) []map[string]any {
		for range 200 {
			raw, _ := os.ReadFile(log)
			if lines := strings.Split(strings.TrimSpace(string(raw)), "\n"); len(raw) > 0 && len(lines) >= n {
				var out []map[string]any
				for _, l := range lines {
					var m map[string]any
					if err := json.Unmarshal([]byte(l), &m); err != nil {
						t.Fatalf("%q: %v", l, err)
					}
					out = append(out, m)
				}
				return out
			}
			time.Sleep(50 * time.Millisecond)
		}
		t.Fatalf("the command was not run %d times: %v", n, o.State())
		return nil
	}
	o.Call(nil, 0, s, now)
	o.Call([]coach.AlarmCall{call(session.SoakDone, session.MediumPriority)}, 1, s, now)
	waitFor(1)
	for range 5 { // the same again is no news
		o.Call([]coach.AlarmCall{call(session.SoakDone, session.MediumPriority)}, 1, s, now)
	}
	o.Call([]coach.AlarmCall{call(session.BelowRelease, session.HighPriority)}, 1, s, now)
	waitFor(3)
	o.Call(nil, 0, s, now)
	got := waitFor(4)
	var whats []string
	for _, m := range got {
		whats = append(whats, m["what"].(string))
	}
	slices.Sort(whats) // each is a run of its own: which ends first is not told
	if strings.Join(whats, ",") != "cleared,cleared,escalated,raised" || got[0]["tub"] != "North" || got[0]["do"] == "" || got[0]["left_min"] == nil {
		t.Errorf("%v", got)
	}
	if text := term.String(); !strings.Contains(text, "\x1b]9;north tub") || !strings.Contains(text, "\x1b]777;") {
		t.Errorf("the terminal was told %q", text)
	}
}

// A command that is no good is said on the screen, and the rest goes on.
func TestOutsideTroubleIsSaid(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a line for a POSIX shell")
	}
	o := newOutside(&lockedBuffer{}, sound.Options{}, mine(t, "exit 7"), func() {})
	defer o.close()
	s := session.AlarmSettings{Hook: "exit 7"}
	o.Call([]coach.AlarmCall{call(session.SoakDone, session.MediumPriority)}, 1, s, time.Now())
	for range 100 {
		for _, p := range o.State().Problems {
			if strings.HasPrefix(p, "your own command: ") && strings.Contains(p, "7") {
				return
			}
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("nothing is said: %+v", o.State())
}

// mine is a machine on which some commands were confirmed.
func mine(t *testing.T, commands ...string) *machine.File {
	t.Helper()
	f := machine.At(filepath.Join(t.TempDir(), "machine.json"))
	for _, c := range commands {
		must.Do(t, f.Confirm(c, machine.Ways{}))
	}
	return f
}

// comes says whether a file comes, and takes it away.
func comes(file string, within time.Duration) bool {
	for deadline := time.Now().Add(within); time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		if os.Remove(file) == nil {
			return true
		}
	}
	return false
}

// A command that came with the record is run once the person has confirmed it on this
// machine, and only there.
func TestForeignCommand(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("a line for a POSIX shell")
	}
	ran := filepath.Join(t.TempDir(), "ran")
	s := session.AlarmSettings{Hook: "echo >> " + ran}
	here := mine(t, "echo")
	ring := func(own *machine.File, confirm bool, within time.Duration) (unconfirmed string, runs bool) {
		o := newOutside(&lockedBuffer{}, sound.Options{}, own, func() {})
		defer o.close()
		o.Call(nil, 0, s, time.Now())
		if confirm {
			must.Do(t, o.Confirm(s))
		}
		unconfirmed = o.State().Unconfirmed.Hook
		o.Call([]coach.AlarmCall{call(session.SoakDone, session.MediumPriority)}, 1, s, time.Now())
		return unconfirmed, comes(ran, within)
	}
	if asks, runs := ring(here, false, time.Second); asks != s.Hook || runs {
		t.Errorf("not confirmed: %q is asked about, run: %v", asks, runs)
	}
	if asks, runs := ring(here, true, 20*time.Second); asks != "" || !runs {
		t.Errorf("confirmed: %q is asked about, run: %v", asks, runs)
	}
	if asks, runs := ring(here, false, 20*time.Second); asks != "" || !runs {
		t.Errorf("confirmed before: %q is asked about, run: %v", asks, runs)
	}
	if asks, runs := ring(mine(t), false, time.Second); asks != s.Hook || runs {
		t.Errorf("on another machine: %q is asked about, run: %v", asks, runs)
	}
}

// What a record from elsewhere switches on besides is not done either until the person
// has confirmed it here: no output is turned up, nothing said, no notice shown.
func TestForeignWays(t *testing.T) {
	s := session.AlarmSettings{RaiseVolume: true, Speak: true, Notify: true}
	here := mine(t)
	follows := func(own *machine.File, confirm session.AlarmSettings) (may, asks session.AlarmSettings, notices bool) {
		term := &lockedBuffer{}
		o := newOutside(term, sound.Options{}, own, func() {})
		defer o.close()
		o.Call(nil, 0, s, time.Now())
		if confirm != (session.AlarmSettings{}) {
			must.Do(t, o.Confirm(confirm))
		}
		o.mu.Lock()
		may = o.follow(s)
		if o.play.Consent != may.RaiseVolume {
			t.Errorf("the output may be turned up: %v, by the settings %v", o.play.Consent, may.RaiseVolume)
		}
		o.raised(reach.Raised, call(session.SoakDone, session.MediumPriority), 1, may, time.Now())
		o.mu.Unlock()
		return may, o.State().Unconfirmed, term.String() != ""
	}
	none, only := session.AlarmSettings{}, session.AlarmSettings{RaiseVolume: true}
	if may, asks, notices := follows(here, none); may != none || asks != s || notices {
		t.Errorf("not confirmed: %+v is done and %+v asked about, notices: %v", may, asks, notices)
	}
	rest := s
	rest.RaiseVolume = false
	if may, asks, _ := follows(here, only); may != only || asks != rest {
		t.Errorf("one of them confirmed: %+v is done and %+v asked about", may, asks)
	}
	quiet := session.AlarmSettings{RaiseVolume: true, Notify: true}
	if may, _, notices := follows(here, quiet); may != quiet || !notices {
		t.Errorf("two of them confirmed: %+v is done, notices: %v", may, notices)
	}
	if may, _, _ := follows(here, none); may != quiet {
		t.Errorf("confirmed before: %+v is done", may)
	}
	if may, asks, _ := follows(mine(t), none); may != none || asks != s {
		t.Errorf("on another machine: %+v is done and %+v asked about", may, asks)
	}
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}
