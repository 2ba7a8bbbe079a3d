package tui

import (
	"errors"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// After a power cut with fleece in a hot bath the alarm rings before anybody
// presses a key, on the screen that tells of the open day, at home too, and says
// how long nobody watched.
func TestGoOnRingsAtOnce(t *testing.T) {
	out := &fakeOutside{}
	p := newPerson(t, true, withOpenDay(1, 30), func(p *person, d *base.Deps) {
		d.Outside = out
		p.clock.Forward(65 * time.Minute) // 90 minutes in all
	})
	p.wait(time.Second)
	if len(out.ringing) == 0 {
		t.Fatalf("nothing rings, 90 minutes into a hot wash:\n%s", p.view())
	}
	p.says("still open")
	p.says("97 minutes ago")
	p.sees("North: cooling")
	p.press(" ")
	if len(out.ringing) != 0 {
		t.Error("Space does not hear it")
	}
	p.press("esc")
	p.says("A day is running")
	p.wait(3 * time.Minute)
	if len(out.ringing) == 0 {
		t.Errorf("at home it does not come back:\n%s", p.view())
	}
	p.sees("North")
}

// A day that was left for days rings at nobody: it waits for Enter.
func TestGoOnAfterDays(t *testing.T) {
	out := &fakeOutside{}
	p := newPerson(t, true, withOpenDay(1, 30), func(p *person, d *base.Deps) {
		d.Outside = out
		p.clock.Forward(3 * 24 * time.Hour)
	})
	p.wait(time.Second)
	if len(out.ringing) != 0 || p.app.env.Live.Day.Running() {
		t.Errorf("a day of three days ago was taken up by itself")
	}
	p.press("esc")
	p.says("still open: go on")
	p.press("p")
	p.seesNot("No batch yet") // the plan waits until the open day is dealt with
	p.press("enter")
	p.says("tubside was off since")
	p.press("enter")
	if !p.app.env.Live.Day.Running() {
		t.Errorf("Enter does not take it up:\n%s", p.view())
	}
}

// TestGoOnReadsOnce: a day that is shown is taken up as it was read, whatever has
// happened to the disk since.
func TestGoOnReadsOnce(t *testing.T) {
	var broken *person
	p := newPerson(t, true, withOpenDay(2, 30), func(p *person, _ *base.Deps) {
		p.clock.Forward(30 * time.Hour)
		broken = p
	})
	broken.journal.Fail(errors.New("page 7 is torn"))
	p.press("enter")
	broken.journal.Fail(nil)
	if !p.app.env.Live.Day.Running() {
		t.Fatal("the day was not taken up")
	}
}

// A day whose program was closed counts the gap from then; one that went without a word
// from its last entry.
func TestGapBeginsWhenItWasClosed(t *testing.T) {
	p := newPerson(t, true, withOpenDay(1, 30))
	p.press("enter")
	p.settled()
	last := p.app.env.Live.Day.LastAt
	start := func(closed bool) *App {
		if closed {
			must.Do(t, p.app.Close())
		}
		p.settled()
		p.clock.Forward(2 * time.Minute)
		return newPerson(t, true, func(again *person, d *base.Deps) {
			again.journal, again.ledger, again.clock = p.journal, p.ledger, p.clock
			d.Journal, d.Ledger, d.Clock = p.journal, p.ledger, p.clock
		}).app
	}
	p.clock.Forward(4 * time.Minute)
	p.ledger.WasLeft = session.Left{}
	app := start(true)
	p.app = app
	p.says("Closed 2 minutes ago, at " + last.Add(4*time.Minute).Format("15:04"))
	if got := app.env.Live.Day.Resumed; got[len(got)-1].Round(time.Minute) != 2*time.Minute {
		t.Errorf("gaps %v", got)
	}
	p.clock.Forward(4 * time.Minute) // and then a power cut
	app = start(false)
	p.app = app
	p.says("Last written down 6 minutes ago")
	if got := app.env.Live.Day.Resumed; got[len(got)-1].Round(time.Minute) != 6*time.Minute {
		t.Errorf("gaps %v", got)
	}
}

// A kettle that is on is named before the program is shut: nobody calls when it boils.
func TestShuttingNamesTheKettle(t *testing.T) {
	p := newPerson(t, true, withOpenDay(1, 0))
	p.press("enter")
	d := p.app.env.Live
	for range 60 {
		if _, wants := d.Day.WantsKettle(0, "", session.HeatModel{}, p.app.env.Now); wants {
			break
		}
		p.wait(time.Minute)
		p.press("1", "enter")
	}
	p.press("o")
	if _, on := d.Day.KettleOn(); !on {
		t.Fatalf("no kettle is on:\n%s", p.view())
	}
	p.press("ctrl+c")
	p.says("the kettle is on for North")
	if p.quit {
		t.Error("shut unasked")
	}
	p.press("ctrl+c")
	if !p.quit {
		t.Error("not shut at the second time")
	}
}

// A key that is held, or comes twice in one read, closes nothing: the question was not on
// the screen yet, or was just put.
func TestLeavingKeyHeldClosesNothing(t *testing.T) {
	for _, key := range []string{"ctrl+c", "ctrl+z"} {
		p := newPerson(t, true, withOpenDay(2, 40))
		p.press("enter", "esc")
		left := func() bool {
			_, cmd := p.app.Update(tuitest.KeyOf(key))
			if cmd == nil {
				return false
			}
			switch cmd().(type) {
			case tea.QuitMsg, tea.SuspendMsg:
				return true
			}
			return false
		}
		for range 60 {
			if left() {
				t.Fatalf("%s held leaves with fleece in the water", key)
			}
			p.clock.Forward(30 * time.Millisecond)
		}
		p.says("again to close it")
		p.clock.Forward(time.Second)
		if !left() {
			t.Errorf("%s does not leave once its question was read", key)
		}
		left()
		p.clock.Forward(base.AgainWithin + time.Second)
		if left() {
			t.Errorf("%s leaves long after its question", key)
		}
	}
}
