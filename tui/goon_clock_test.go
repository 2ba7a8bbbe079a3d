package tui

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
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
	p.says("Which is right: now, Fri 1 Jan 2021 00:03 (n), or before, Sat 14 Mar 2026 09:")
	p.says("Until you say, times are a guess")
	p.everySize()
	if got := p.soakToGo(); !near(got, toGo) {
		t.Errorf("%.1f min to go, %.1f when it was last written down", got, toGo)
	}
	p.press("enter")
	p.sees("TIMES A GUESS")
	p.press("m")
	p.says("this machine has been on for 4 min")
	p.sees("before, Sat 14 Mar 2026 09:")
	p.everySize()
	p.press("right", "enter") // now
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

// TestGuessEndsWithItsDay: a guess that nobody has put right says nothing about the next day, and
// its key moves nothing there.
func TestGuessEndsWithItsDay(t *testing.T) {
	p, _, _ := behindPerson(t)
	p.press("enter")
	p.sees("TIMES A GUESS")
	e := p.app.env
	must.Do(t, e.Live.Do(session.EndDay{Anyway: true}, e.Now))
	must.Do(t, e.Keeper.Begin(tuitest.StoryPlan(1), e.Now))
	p.send(nil)
	p.run(base.ToTubs(e))
	p.sees("Wash day")
	p.seesNot("TIMES A GUESS")
	p.press("m")
	p.seesNot("How long")
}

// Which clock is right is asked where the clock went back: the past goes by that one, and what
// runs moves on once by the time that tubside was off. A wrong clock that is set right later
// moves nothing.
func TestClockWentBack(t *testing.T) {
	const offMin, backMin = 6, 120
	for _, way := range []struct {
		keys  []string
		moved float64 // the day's begin, min
		goes  float64 // the clock, from when the day was seen last
		blind bool    // the machine has no elapsed time
	}{
		{[]string{"n"}, -backMin - offMin, -backMin, false},
		{[]string{"b"}, 0, offMin, false},
		{[]string{"b"}, 0, offMin, true},
		{[]string{"enter", "m", "enter"}, -backMin - offMin, -backMin, false},
		{[]string{"enter", "m", "right", "enter"}, 0, offMin, false},
		{[]string{"enter", "m", "right", "enter"}, 0, offMin, true},
	} {
		var began, seen time.Time
		var toGo float64
		gone := 3 * time.Hour
		p := newPerson(t, true, withOpenDay(1, 25), func(p *person, d *base.Deps) {
			recs, _ := p.journal.Events(1)
			last := session.Replay(recs)
			began, seen, toGo = last.StartedAt, last.LastAt, last.Tubs[0].SoakEndAt(last.LastAt).Sub(last.LastAt).Minutes()
			p.clock.At = last.LastAt.Add(-backMin * time.Minute)
			if at := p.clock.At; !way.blind {
				d.Elapsed = func() time.Duration { return gone + p.clock.At.Sub(at) }
			}
		})
		p.says("The machine's clock went back 2 h. Which is right: now, 07:")
		p.sees("n now is right")
		p.says("(n), or before, 09:")
		p.everySize()
		p.press(way.keys...)
		p.says("How long was it off")
		p.types("6")
		p.press("enter")
		p.says("every timer moved on 6 min")
		for _, dead := range []string{"n now is right", "b before was right", "m say how long"} {
			p.seesNot(dead)
		}
		if way.keys[0] == "n" { // still at the open day
			p.press("?")
			p.sees("close that day as it is")
			for _, dead := range []string{"now is right", "before was right", "say how long"} {
				p.seesNot(dead)
			}
			p.press("esc")
		}
		check := func(when string) {
			t.Helper()
			d, now := p.app.env.Live.Day, p.app.env.Now
			if moved := d.StartedAt.Sub(began).Minutes(); !near(moved, way.moved) {
				t.Errorf("%v, %s: the day's begin moved by %.1f min, want %.0f", way.keys, when, moved, way.moved)
			}
			if goes := now.Sub(seen).Minutes() - p.clock.At.Sub(seen.Add(-backMin*time.Minute)).Minutes(); when == "answered" && !near(goes, way.goes) {
				t.Errorf("%v: the clock goes by %.1f min, want %.0f", way.keys, goes, way.goes)
			}
			if left := d.Tubs[0].SoakEndAt(now).Sub(now).Minutes() + p.clock.At.Sub(seen.Add(-backMin*time.Minute)).Minutes(); when == "answered" && !near(left, toGo-offMin) {
				t.Errorf("%v: %.1f min to go, want %.1f", way.keys, left, toGo-offMin)
			}
		}
		check("answered")
		if way.moved != 0 {
			continue
		}
		p.says("this machine's clock says 07:")
		left := p.app.env.Live.Day.Tubs[0].SoakEndAt(p.app.env.Now).Sub(p.app.env.Now)
		p.wait(0) // the keeper has looked at the clock
		by := (backMin + offMin) * time.Minute
		gone -= by
		p.clock.At = p.clock.At.Add(by) // somebody sets it right
		p.wait(0)
		p.wait(0)
		check("set right")
		if now := p.app.env.Live.Day.Tubs[0].SoakEndAt(p.app.env.Now).Sub(p.app.env.Now); !near(now.Minutes(), left.Minutes()) {
			t.Errorf("%v: %v to go, %v before the clock was set right", way.keys, now, left)
		}
		if !p.app.env.Now.Equal(p.clock.At) {
			t.Errorf("%v: it goes by %v, the clock by %v", way.keys, p.app.env.Now, p.clock.At)
		}
	}
}

// What was done while times are a guess was done just now, by whichever clock; only what is
// from before tubside was off is longer ago, once it is said for how long that was.
func TestDeedOnAGuessWasJustNow(t *testing.T) {
	const offMin = 9
	for _, right := range []string{"left", "right"} {
		p, _, _ := behindPerson(t)
		p.press("enter")
		p.sees("TIMES A GUESS")
		e := p.app.env
		for _, c := range []session.Command{session.AddNote{Tub: -1, Text: "now"}, session.DoNext{Tub: 0, Act: shed.Lift, Sooner: true}} {
			must.Do(t, e.Live.Do(c, e.Now))
		}
		ago := func() (note, lift, sink float64) {
			d := e.Live.Day
			min := func(at time.Time) float64 { return e.Now.Sub(at).Minutes() }
			return min(d.Notes[0].At), min(d.Tubs[0].Bath.LiftedAt), min(d.Tubs[0].Bath.SunkAt)
		}
		note, lift, sink := ago()
		at := p.clock.At
		p.press("m")
		p.press(right, "enter")
		p.types(fmt.Sprint(offMin))
		p.press("enter")
		since := p.clock.At.Sub(at).Minutes()
		if n, l, s := ago(); !near(n, note+since) || !near(l, lift+since) || !near(s, sink+since+offMin) {
			t.Errorf("%s: noted %.1f, lifted %.1f, lowered in %.1f min ago; before the answer %.1f, %.1f, %.1f, %.1f min since", right, n, l, s, note, lift, sink, since)
		}
		told := e.Live.Day.Told()
		for _, r := range told[len(told)-2:] {
			if was := e.Now.Sub(r.At).Minutes(); !near(was, note+since) {
				t.Errorf("%s: the look back has %T %.1f min ago", right, r.Event, was)
			}
		}
	}
}

// A clock corrected by less than a minute reads the same before and now: that is no question.
func TestClockCorrectedBySeconds(t *testing.T) {
	for _, by := range []time.Duration{3 * time.Second, 59 * time.Second, time.Minute} {
		p := newPerson(t, true, withOpenDay(1, 25), func(p *person, _ *base.Deps) {
			recs, _ := p.journal.Events(1)
			p.clock.At = session.Replay(recs).LastAt.Add(-by)
		})
		if asks := strings.Contains(p.view(), "Which is right"); asks != (by >= time.Minute) || !p.app.env.Live.Day.Running() {
			t.Errorf("back by %v, asks: %v:\n%s", by, asks, p.view())
		}
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
	if p.app.env.Live.Day.Running() {
		t.Fatal("it was taken up as after twelve years")
	}
	p.says("If the clock is wrong, m says how long it really was")
	p.press("m")
	p.sees("before, ") // far off: the one of now is not likely right
	p.press("enter")
	p.types("2")
	p.press("enter")
	if began := p.day().StartedAt; !began.Equal(tuitest.StoryStart) {
		t.Errorf("the day began %v", began)
	}
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("it was not taken up:\n%s", p.view())
	}
	if got := p.day().Tubs[0].SoakEndAt(p.app.env.Now).Sub(p.app.env.Now).Minutes(); !near(got, toGo-2) {
		t.Errorf("%.1f min to go after 2 min off, %.1f before", got, toGo)
	}
}

// What is told within the second after the clock was set, before the keeper's next look at it,
// happened now and not by so much later.
func TestDeedRightAfterTheClockWasSet(t *testing.T) {
	for _, by := range []time.Duration{time.Hour, -time.Hour} {
		var began time.Time
		p := newPerson(t, true, withOpenDay(1, 25), func(p *person, d *base.Deps) {
			began = p.clock.At
			d.Elapsed = func() time.Duration { return 3*time.Hour + p.clock.At.Sub(began) }
		})
		p.wait(0)
		p.clock.At, began = p.clock.At.Add(by), began.Add(by)
		p.send(nil)
		e := p.app.env
		must.Do(t, e.Live.Do(session.AddNote{Tub: -1, Text: "now"}, e.Now))
		p.wait(0)
		if at := p.day().Notes[0].At; at.Sub(p.clock.At).Abs() > time.Minute {
			t.Errorf("set by %v: noted %v, the clock says %v", by, at, p.clock.At)
		}
	}
}

// A clock that is set after the start says that how long tubside was off, which went by it, was
// wrong as well, or that the day's times were all along. Timers do not move, and it is asked; by
// what it proposes the past stays.
func TestClockSetSoonAfterTheStart(t *testing.T) {
	for _, c := range []struct {
		aheadMin, offMin float64 // the clock at the start, and how long it was off
		keys             []string
		off              string
		wantMin          float64 // how far the past has moved
	}{
		{-20, 21, []string{"enter"}, "", 0},
		{-20, 21, []string{"right", "enter"}, "1", 0}, // the clock of before: it was off for a minute
		{-20, 21, []string{"enter"}, "1", 20},         // wrong all along
		{120, 6, []string{"enter"}, "", 0},
		{120, 6, []string{"enter"}, "2 h 6 min", -120},
	} {
		var began, seen, start time.Time
		var toGo, gone float64
		p := newPerson(t, true, withOpenDay(1, 25), func(p *person, d *base.Deps) {
			recs, _ := p.journal.Events(1)
			last := session.Replay(recs)
			began, seen, toGo = last.StartedAt, last.LastAt, last.Tubs[0].SoakEndAt(last.LastAt).Sub(last.LastAt).Minutes()
			start = seen.Add(time.Duration((c.offMin + c.aheadMin) * float64(time.Minute)))
			p.clock.At = start
			d.Elapsed = func() time.Duration { return time.Minute + p.clock.At.Sub(start) }
		})
		p.press("enter")
		p.seesNot("TIMES A GUESS")
		e := p.app.env
		left := func() float64 { return e.Live.Day.Tubs[0].SoakEndAt(e.Now).Sub(e.Now).Minutes() }
		p.wait(0)
		was := left()
		by := time.Duration(-c.aheadMin * float64(time.Minute))
		p.clock.At, start = p.clock.At.Add(by), start.Add(by)
		p.wait(0)
		if now := left(); !near(now, was) {
			t.Errorf("%+v: %.1f min to go after the clock was set, %.1f before", c, now, was)
		}
		p.says("by " + measure.Minutes(by.Minutes()) + ": on the tubs' screen, m says how long tubside was off")
		p.sees("TIMES A GUESS")
		p.press("m")
		p.press(c.keys...)
		if c.off != "" {
			p.types(c.off)
		}
		p.press("enter")
		p.seesNot("TIMES A GUESS")
		if moved := e.Live.Day.StartedAt.Sub(began).Minutes(); !near(moved, c.wantMin) {
			t.Errorf("%+v: the past moved by %.1f min", c, moved)
		}
		gone = p.clock.At.Sub(start).Minutes()
		off := c.offMin
		if c.off == "1" {
			off = 1
		} else if c.off != "" {
			off = 126
		}
		if now := left(); !near(now, toGo-off-gone) {
			t.Errorf("%+v: %.1f min to go, want %.1f", c, now, toGo-off-gone)
		}
		p.clock.At, start = p.clock.At.Add(time.Hour), start.Add(time.Hour) // it is known now
		p.wait(0)
		p.seesNot("TIMES A GUESS")
	}
}

// A day that waits for Enter goes by the clock of when it is taken up.
func TestDayThatWaitsGoesByTheClockOfThen(t *testing.T) {
	for _, c := range []struct{ first, then, off time.Duration }{
		{30 * time.Hour, 30*time.Hour + 10*time.Minute, 30*time.Hour + 10*time.Minute},
		{12 * 365 * 24 * time.Hour, 7 * time.Minute, 7 * time.Minute}, // somebody sets it right
	} {
		var began, seen time.Time
		p := newPerson(t, true, withOpenDay(1, 25), func(p *person, _ *base.Deps) {
			recs, _ := p.journal.Events(1)
			last := session.Replay(recs)
			began, seen = last.StartedAt, last.LastAt
			p.clock.At = seen.Add(c.first)
		})
		if p.app.env.Live.Day.Running() {
			t.Fatalf("%v: it does not wait", c)
		}
		p.clock.At = seen.Add(c.then)
		p.wait(0)
		if runs := p.app.env.Live.Day.Running(); runs != (c.then < base.LongAway) {
			t.Errorf("%v: runs by itself: %v", c, runs)
		}
		p.press("enter")
		d := p.day()
		if !d.Running() || !d.StartedAt.Equal(began) || len(d.Resumed) != 1 || (d.Resumed[0]-c.off).Abs() > time.Minute {
			t.Errorf("%v: begun %v, off %v; it began %v", c, d.StartedAt, d.Resumed, began)
		}
	}
}
