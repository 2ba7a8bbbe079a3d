package tui

import (
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/keep"
)

// fakeOutside keeps what it was told.
type fakeOutside struct {
	mu       sync.Mutex
	ringing  []coach.AlarmCall
	standing int
	played   []session.Priority
	result   keep.Played
	state    keep.OutsideState
	word     []session.AlarmSettings // the commands that were confirmed
	refuses  error
}

func (f *fakeOutside) Call(c []coach.AlarmCall, standing int, _ session.AlarmSettings, _ time.Time) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.ringing, f.standing = c, standing
}

func (f *fakeOutside) Play(p session.Priority, _ session.AlarmSettings) keep.Played {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.played = append(f.played, p)
	return f.result
}

func (f *fakeOutside) Confirm(s session.AlarmSettings) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.word = append(f.word, s)
	if f.state.Unconfirmed == s {
		f.state.Unconfirmed = session.AlarmSettings{}
	}
	return f.refuses
}

func (f *fakeOutside) State() keep.OutsideState { return f.state }

// withOutside is a person with a day that has run for so many minutes, and
// someone outside to call them.
func withOutside(t *testing.T, playMin float64) (*person, *fakeOutside) {
	out := &fakeOutside{result: keep.Played{Path: "an invented player", OK: true}}
	p := newPerson(t, true, withOpenDay(2, playMin), func(_ *person, d *base.Deps) { d.Outside = out })
	p.press("enter")
	return p, out
}

// What rings is told outside, with every message; heard is silence there too.
func TestCallOut(t *testing.T) {
	p, out := withOutside(t, 26)
	for range 40 {
		p.wait(time.Minute)
		if len(out.ringing) > 0 && out.ringing[0].Priority > session.LowPriority {
			break
		}
	}
	if len(out.ringing) == 0 || out.standing == 0 || out.ringing[0].Do == "" {
		t.Fatalf("nothing was called: %+v", out.ringing)
	}
	p.press(" ")
	if len(out.ringing) != 0 {
		t.Errorf("heard, and still called: %+v", out.ringing)
	}
}

// The sound check plays all three, asks each time, and is kept with the day;
// until then the day says that nothing is proved.
func TestSoundCheckScreen(t *testing.T) {
	p, out := withOutside(t, 5)
	p.sees("SOUND NOT CHECKED")
	p.press(" ", "p", "enter")
	p.sees("DID YOU HEAR IT?", "played by an invented player")
	p.press("y", "y", "y")
	p.says("all three were heard")
	p.sees("Enter goes back", "Enter go back")
	if d := p.app.env.Live.Day; !d.Sound.Heard || d.Sound.Path != "an invented player" || len(out.played) != 3 {
		t.Fatalf("%+v after %v", d.Sound, out.played)
	}
	p.press("enter")
	p.sees("sound heard")
	p.press("p", "enter", "y", "n", "y")
	p.says("not all alarms were heard")
	p.sees("Turn the volume up", "cable", "command of your own", "kitchen timer")
	p.press("enter")
	p.sees("SOUND NOT HEARD: p")
	out.result = keep.Played{Problem: "nothing here makes a sound"}
	p.press("p", "enter")
	p.sees("not played", "nothing here makes a sound")
	p.press("y")
	p.says("nothing was played")
	out.state = keep.OutsideState{Muted: true}
	p.press("esc")
	p.sees("SOUND MUTED")
}

// An alarm that rang while the sound failed is told until a sound check was
// heard: who comes back later has to learn that nothing rang.
func TestRangUnheard(t *testing.T) {
	p, out := withOutside(t, 26)
	out.state = keep.OutsideState{Problems: []string{"the player is gone"}}
	p.untilAlarm()
	p.sees("SOUND NOT HEARD: p")
	p.press(" ")
	out.state = keep.OutsideState{}
	p.wait(time.Minute)
	p.sees("SOUND NOT HEARD: p")
	check := func(answers ...string) {
		t.Helper()
		p.press(" ", "p", " ", "enter") // one may ring anew, on either screen
		p.sees("DID YOU HEAR IT?")
		p.press(answers...)
	}
	check("y", "n", "y")
	p.says("not all alarms were heard")
	p.press("enter", " ")
	p.sees("SOUND NOT HEARD: p")
	check("y", "y", "y")
	p.says("all three were heard")
	p.press("enter", " ")
	p.sees("sound heard")
	out.result = keep.Played{Problem: "nothing here makes a sound"}
	p.press(" ", "p", " ", "enter")
	p.sees("NO SOUND CAME OUT")
	p.press("n", "n", "n")
	p.says("no sound can be played here")
	p.sees("Turn the volume up", "kitchen timer")
	p.press("enter", " ")
	p.sees("SOUND NOT HEARD: p")
}

// A sound that failed while nothing rang has cost nobody an alarm.
func TestFailedWhileNothingRang(t *testing.T) {
	p, out := withOutside(t, 5)
	for range 3 {
		p.press(" ")
		if len(out.ringing) > 0 {
			t.Fatalf("it rings: %+v", out.ringing)
		}
		out.state = keep.OutsideState{Problems: []string{"the player is gone"}}
		p.wait(time.Second)
		p.sees("SOUND NOT HEARD: p")
		out.state = keep.OutsideState{}
		p.wait(time.Second)
		p.sees("SOUND NOT CHECKED")
	}
}

// untilAlarm waits for one that takes the screen over.
func (p *person) untilAlarm() {
	p.t.Helper()
	for range 60 {
		p.wait(time.Minute)
		if a, ok := p.app.env.Live.Day.Pressing(); ok && a.Unanswered() {
			return
		}
	}
	p.t.Fatal("no alarm in an hour")
}

// The list: heard, put off with a reason, taken back, out of service and back.
func TestAlarmList(t *testing.T) {
	p, _ := withOutside(t, 26)
	for range 60 {
		p.wait(time.Minute)
		if a, ok := p.app.env.Live.Day.Pressing(); ok && a.Unanswered() {
			break
		}
	}
	p.press("l")
	p.sees("not heard", "priority")
	p.everySize()
	p.press("o", "enter", "enter")
	p.press("ctrl+s")
	p.sees("snoozed till")
	p.press("end", "o")
	p.says("no longer snoozed")
	p.press(" ")
	p.says("heard")
	p.press("x", "x")
	p.sees("off today")
	p.press("end", "x")
	p.says("back on")
	p.press("s", "s", "o", "o", "n") // the first key replaces "none"
	p.press("ctrl+s")
	p.says(`"soon" isn't two times`)
	p.press("2", "2", "-", "7")
	p.press("ctrl+s")
	p.says("saved: quiet hours 22:00-7:00")
	if a := p.ledger.Alarms; a.QuietFromMin != 22*60 || a.QuietToMin != 7*60 {
		t.Errorf("%+v", a)
	}
}

// Empty, the list says what it is for.
func TestAlarmListEmpty(t *testing.T) {
	p := newPerson(t, true)
	p.press("a")
	p.sees("No alarm", "off today")
	p.press("o", "x", " ", "enter")
	p.settled()
}

// A day that cannot be saved rings, until it is heard or saved.
func TestNotSavedRings(t *testing.T) {
	p, out := withOutside(t, 5)
	p.journal.Fail(errors.New("disk full"))
	p.press("+")
	p.failsToSave()
	for range 8 {
		p.wait(time.Second)
	}
	if len(out.ringing) == 0 || out.ringing[0].Kind != session.NotSaved || out.ringing[0].Priority != session.HighPriority {
		t.Fatalf("%+v", out.ringing)
	}
	p.press(" ")
	for _, c := range out.ringing {
		if c.Kind == session.NotSaved {
			t.Error("heard, and it still rings")
		}
	}
	p.journal.Fail(nil)
}

// A clock that is set moves the timers; one that slept does not.
func TestSetClockIsToldFromSleep(t *testing.T) {
	var gone time.Duration
	p := newPerson(t, true, withOpenDay(2, 5), func(_ *person, d *base.Deps) { d.Elapsed = func() time.Duration { return gone } })
	p.press("enter")
	tick := func(wall, elapsed time.Duration) {
		gone += elapsed
		p.clock.Forward(wall)
		p.send(base.TickMsg{Gen: p.app.gen})
	}
	tick(time.Second, time.Second)
	left := func() time.Duration {
		for _, g := range coach.Glances(p.app.env.Live.Day, p.app.env.Now) {
			if !g.SoakEnd.IsZero() {
				return g.SoakEnd.Sub(p.app.env.Now)
			}
		}
		t.Fatal("nothing soaks")
		return 0
	}
	before := left()
	tick(time.Hour+time.Second, time.Second)
	p.says("the machine's clock changed by 1 h")
	if got := left(); before-got != time.Second {
		t.Errorf("%v were left, %v after the clock was set", before, got)
	}
	tick(-2*time.Hour+time.Second, time.Second)
	p.says("changed by -2 h")
	if got := left(); before-got != 2*time.Second {
		t.Errorf("%v were left, %v after it was set back", before, got)
	}
	tick(7*time.Minute, 7*time.Minute) // asleep: the water went on cooling
	if got := left(); before-got != 7*time.Minute+2*time.Second {
		t.Errorf("%v were left, %v after a sleep of seven minutes", before, got)
	}
	if !strings.Contains(strings.Join(kinds(p), " "), "clock set") {
		t.Error("the journal does not say so")
	}
}

// kinds are the events in the person's journal.
func kinds(p *person) []string {
	p.settled()
	recs, err := p.journal.Events(p.app.env.Live.ID)
	if err != nil {
		p.t.Fatal(err)
	}
	var out []string
	for _, r := range recs {
		out = append(out, session.KindOf(r.Event))
	}
	return out
}

// In quiet hours neither bell nor call; they come when the hours are over.
func TestQuietHoursHoldTheBell(t *testing.T) {
	out := &fakeOutside{}
	p := newPerson(t, true, withOpenDay(2, 26), func(p *person, d *base.Deps) {
		p.ledger.Alarms = session.AlarmSettings{QuietFromMin: 1, QuietToMin: 0} // all but one minute of the day
		d.Outside, d.Bell = out, quietBell{t}
	})
	p.press("enter")
	for range 40 {
		p.wait(time.Minute)
		if a, ok := p.app.env.Live.Day.Pressing(); ok && a.Priority == session.HighPriority {
			break // a high one rings at any time
		}
		if len(out.ringing) > 0 {
			t.Fatalf("it rings: %+v", out.ringing)
		}
		p.app.env.Bell = nil
	}
	if a, ok := p.app.env.Live.Day.Pressing(); !ok || a.RungAt.IsZero() {
		t.Fatal("nothing stands that could have rung")
	}
	p.app.env.Keeper.SetAlarms(session.AlarmSettings{})
	p.wait(time.Second)
	if len(out.ringing) == 0 {
		t.Error("the quiet is over and nothing calls")
	}
}

// quietBell is a bell that must not ring.
type quietBell struct{ t *testing.T }

func (b quietBell) Ring(p session.Priority) {
	if p < session.HighPriority {
		b.t.Errorf("the bell rings in quiet hours: %v", p)
	}
}

// What came with the record is asked about where a day begins and among the alarms; it
// is confirmed by its key once it was read in full, or by being typed.
func TestForeignCommandIsAsked(t *testing.T) {
	const foreign = "curl https://invented.example/ring"
	p, out := withOutside(t, 5)
	strange := session.AlarmSettings{Hook: foreign, RaiseVolume: true, Notify: true}
	out.state.Unconfirmed = strange
	p.press("l")
	p.sees(foreign, "low output up, show notices and run")
	p.press("c")
	if len(out.word) != 1 || out.word[0] != strange {
		t.Fatalf("confirmed: %+v", out.word)
	}
	p.says("from now on")
	p.seesNot(foreign)

	out.word = nil
	p.press("s", "enter", "enter", "enter")
	p.press("ctrl+s")
	if len(out.word) != 0 {
		t.Errorf("saved as it was, and confirmed: %+v", out.word)
	}
	p.press("s", "enter", "enter", "enter", "down")
	p.types("ring.sh")
	p.press("ctrl+s")
	if len(out.word) != 1 || out.word[0] != (session.AlarmSettings{Hook: "ring.sh"}) {
		t.Errorf("typed, and confirmed: %+v", out.word)
	}
	out.word = nil
	p.press("s", "down", "right", "ctrl+s")
	if len(out.word) != 1 || out.word[0] != (session.AlarmSettings{RaiseVolume: true}) {
		t.Errorf("switched on, and confirmed: %+v", out.word)
	}
	p.press("s", "down", "right", "ctrl+s")
	if len(out.word) != 1 {
		t.Errorf("switched off, and confirmed: %+v", out.word)
	}
}

// What does not fit the window is not confirmed unread.
func TestForeignCommandIsReadFirst(t *testing.T) {
	p, out := withOutside(t, 5)
	out.state.Unconfirmed.Hook = strings.Repeat("ring the bell; ", 30) + "and more"
	p.resize(40, 12)
	p.press("l")
	p.sees("Make the window")
	p.press("c")
	if len(out.word) != 0 {
		t.Fatalf("confirmed unread: %+v", out.word)
	}
	p.resize(120, 40)
	p.sees("and more")
	p.press("c")
	if len(out.word) != 1 {
		t.Error("it cannot be confirmed")
	}
}
