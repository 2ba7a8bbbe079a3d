package tui

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// soakToGo is how long the first tub's soak has still to go, min.
func (p *person) soakToGo() float64 {
	return p.day().Tubs[0].SoakEndAt(p.clock.At).Sub(p.clock.At).Minutes()
}

// behindPerson starts on a day in mid-soak with a clock that has fallen back to
// another year, as after a power cut on a board without a clock battery. After stop
// its elapsed time stands.
func behindPerson(t *testing.T) (p *person, toGo float64, stop func()) {
	gone := 3 * time.Minute
	p = newPerson(t, true, withOpenDay(1, 25), func(p *person, d *base.Deps) {
		recs, _ := p.journal.Events(1)
		last := session.Replay(recs)
		if last.Tubs[0].Phase != shed.Soaking {
			t.Fatalf("it does not soak: %v", last.Tubs[0].Phase)
		}
		toGo = last.Tubs[0].SoakEndAt(last.LastAt).Sub(last.LastAt).Minutes()
		p.clock.At = time.Date(2021, 1, 1, 0, 3, 0, 0, time.UTC)
		began := p.clock.At
		elapsed := func() time.Duration { return gone + p.clock.At.Sub(began) }
		d.Elapsed = func() time.Duration { return elapsed() }
		stop = func() {
			at := elapsed()
			elapsed = func() time.Duration { return at }
		}
	})
	return p, toGo, stop
}

func near(a, b float64) bool { return a-b < 0.2 && b-a < 0.2 }

// With a clock behind the last event timers count on from there, the screen says
// that it is a guess and asks; the answer moves them once.
func TestClockBehindAtTheStart(t *testing.T) {
	p, toGo, _ := behindPerson(t)
	p.says("The machine's clock is wrong")
	p.says("That is a guess: m says how long tubside was off")
	p.everySize()
	if got := p.soakToGo(); !near(got, toGo) {
		t.Errorf("%.1f min to go, %.1f when it was last written down", got, toGo)
	}
	p.press("enter")
	p.sees("TIMES A GUESS")
	p.press("m")
	p.says("this machine has been on for 4 min")
	p.types("9")
	p.press("enter")
	p.seesNot("TIMES A GUESS")
	seconds := p.clock.At.Sub(time.Date(2021, 1, 1, 0, 3, 0, 0, time.UTC)).Minutes()
	if got := p.soakToGo(); !near(got, toGo-9-seconds) {
		t.Errorf("%.1f min to go after 9 min off and %.1f min since, %.1f before", got, seconds, toGo)
	}
	if got := p.day().Resumed; len(got) != 2 || got[1] != 9*time.Minute {
		t.Errorf("the record says it was off %v", got)
	}
	p.press("m")
	p.seesNot("How long") // it is known now
}

// A clock that went back by minutes may have been set right: it is not called wrong, and that the
// day's past goes by it is said.
func TestClockWentBack(t *testing.T) {
	var began time.Time
	p := newPerson(t, true, withOpenDay(1, 25), func(p *person, _ *base.Deps) {
		recs, _ := p.journal.Events(1)
		last := session.Replay(recs)
		began, p.clock.At = last.StartedAt, last.LastAt.Add(-2*time.Minute)
	})
	p.says("The machine's clock went back")
	p.says("past times go by the clock of now")
	p.seesNot("is wrong")
	p.everySize()
	p.press("m")
	p.types("2")
	p.press("enter")
	if moved := p.day().StartedAt.Sub(began); !near(moved.Minutes(), -4) {
		t.Errorf("the day's begin moved by %v", moved)
	}
}

// Setting the clock right later moves no timer a second time.
func TestClockSetRightAfterAGuess(t *testing.T) {
	p, _, stop := behindPerson(t)
	stop()
	p.wait(0)
	was := p.soakToGo()
	p.clock.At = tuitest.StoryStart.Add(time.Hour) // somebody sets it
	p.wait(0)
	if got := p.soakToGo(); !near(got, was) {
		t.Errorf("%.1f min to go, %.1f before the clock was set right", got, was)
	}
}

// A clock years ahead is asked about before anything is counted.
func TestClockFarAheadAtTheStart(t *testing.T) {
	var toGo float64
	p := newPerson(t, true, withOpenDay(1, 25), func(p *person, _ *base.Deps) {
		recs, _ := p.journal.Events(1)
		last := session.Replay(recs)
		toGo = last.Tubs[0].SoakEndAt(last.LastAt).Sub(last.LastAt).Minutes()
		p.clock.At = time.Date(2038, 1, 19, 3, 0, 0, 0, time.UTC)
	})
	if p.day().Running() {
		t.Fatal("it was taken up as after twelve years")
	}
	p.says("If the clock is wrong, m says how long it really was")
	p.press("m")
	p.types("2")
	p.press("enter")
	if !p.day().Running() {
		t.Fatalf("it was not taken up:\n%s", p.view())
	}
	if got := p.soakToGo(); !near(got, toGo-2) {
		t.Errorf("%.1f min to go after 2 min off, %.1f before", got, toGo)
	}
}
