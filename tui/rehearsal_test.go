package tui

import (
	"io"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// handClock shows what it is set to.
type handClock struct{ at time.Time }

func (c *handClock) Now() time.Time { return c.at }

// TestFastRehearsalIsTheSameDay: the demonstration looked at every six seconds,
// as on a screen sixty times as fast, is the day that is played without one,
// event for event, and nothing the invented person does is refused.
func TestFastRehearsalIsTheSameDay(t *testing.T) {
	t.Parallel()
	script := rehearse.Demo()
	var want []session.Recorded
	must.Get(rehearse.Play(script, func(r session.Recorded, _ session.Day) { want = append(want, r) })).In(t)
	clock := &handClock{script.Start}
	journal := &tuitest.KeptDay{}
	app := must.Get(New(base.Deps{Journal: journal, Ledger: &tuitest.FakeLedger{HasKit: &script.Plan.Kit}, Clock: clock, Local: time.UTC, Pace: 60,
		Theme: theme.New(io.Discard, theme.Options{}), Rehearsal: &script.Plan, Hands: rehearse.NewPlayer(script)})).In(t)
	last := want[len(want)-1].At
	for clock.at.Before(last.Add(time.Minute)) {
		clock.at = clock.at.Add(6 * time.Second)
		app.Update(base.TickMsg{})
		if app.env.Bad {
			t.Fatalf("at %v: %s", clock.at, app.env.Say)
		}
	}
	must.Do(t, app.Close())
	got := journal.Recs
	if len(got) != len(want) {
		t.Fatalf("%d events on the screen, %d without", len(got), len(want))
	}
	for i := range want {
		if session.KindOf(got[i].Event) != session.KindOf(want[i].Event) || got[i].At.Sub(want[i].At).Abs() > time.Second {
			t.Fatalf("event %d: %s at %v on the screen, %s at %v without", i+1, session.KindOf(got[i].Event), got[i].At, session.KindOf(want[i].Event), want[i].At)
		}
	}
}

// TestRehearsalIsLeftAtTheSecondEsc: one Esc asks, also while the band moves as
// fast as the day; another key between takes the question back; the help says
// what is lost.
func TestRehearsalIsLeftAtTheSecondEsc(t *testing.T) {
	script := rehearse.Demo()
	p := newPerson(t, true, func(p *person, d *base.Deps) {
		p.clock.At = script.Start
		d.Rehearsal, d.Pace, d.Hands = &script.Plan, 60, rehearse.NewPlayer(script)
	})
	p.resize(80, 24)
	fast := func(keys ...string) { // a second of a hand is a minute of the day
		for _, k := range keys {
			p.wait(time.Minute)
			p.send(tuitest.KeyOf(k))
		}
	}
	fast("esc")
	p.says("End the rehearsal? The invented day is thrown away. Press Esc again")
	if p.quit {
		t.Fatal("one Esc has ended it")
	}
	fast("+", "esc")
	if p.quit {
		t.Fatal("the question was taken back by another key, and Esc has ended it all the same")
	}
	p.wait(9 * time.Minute)
	fast("esc")
	if p.quit {
		t.Fatal("the question had lapsed, and Esc has ended it all the same")
	}
	fast("?")
	squeezed := strings.Join(strings.Fields(p.view()), " ")
	for range 10 {
		p.press("pgdown")
		squeezed += strings.Join(strings.Fields(p.view()), " ")
	}
	if strings.Contains(squeezed, "saved is safe") || !strings.Contains(squeezed, "the invented day is thrown away") {
		t.Errorf("the help of a rehearsal says otherwise: %s", squeezed)
	}
	fast("esc", "esc", "esc")
	if !p.quit {
		t.Fatalf("two Esc do not end it:\n%s", p.view())
	}
}

// TestRehearsedReviewAsksToo: nothing lies below the look-back of an invented day.
func TestRehearsedReviewAsksToo(t *testing.T) {
	script := rehearse.Demo()
	p := newPerson(t, true, func(p *person, d *base.Deps) {
		p.clock.At = script.Start
		d.Rehearsal, d.Pace = &script.Plan, 1
	})
	p.press("e", "e", "enter", "esc")
	if p.quit {
		t.Fatal("one Esc has ended it")
	}
	p.says("End the rehearsal?")
	p.press("esc")
	if !p.quit {
		t.Fatalf("two Esc do not end it:\n%s", p.view())
	}
}
