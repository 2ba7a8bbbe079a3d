package tui

import (
	"io"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/tui/theme"
)

// handClock shows what it is set to.
type handClock struct{ at time.Time }

func (c *handClock) Now() time.Time { return c.at }

// TestFastRehearsalIsTheSameDay: the demonstration looked at every six seconds,
// as on a screen sixty times as fast, is the day that is played without one,
// event for event, and nothing the invented person does is refused.
func TestFastRehearsalIsTheSameDay(t *testing.T) {
	script := rehearse.Demo()
	var want []session.Recorded
	if _, err := rehearse.Play(script, func(r session.Recorded, _ session.Day) { want = append(want, r) }); err != nil {
		t.Fatal(err)
	}
	clock := &handClock{script.Start}
	journal := &keptDay{}
	app, err := New(Deps{Journal: journal, Ledger: keptLedger{script.Plan.Kit}, Clock: clock, Local: time.UTC, Pace: 60,
		Theme: theme.New(io.Discard, theme.Options{}), Rehearsal: &script.Plan, Hands: rehearse.NewPlayer(script)})
	if err != nil {
		t.Fatal(err)
	}
	last := want[len(want)-1].At
	for clock.at.Before(last.Add(time.Minute)) {
		clock.at = clock.at.Add(6 * time.Second)
		app.Update(tickMsg{})
		if app.env.bad {
			t.Fatalf("at %v: %s", clock.at, app.env.say)
		}
	}
	if err := app.Close(); err != nil {
		t.Fatal(err)
	}
	got, err := journal.Events(1)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(want) {
		t.Fatalf("%d events on the screen, %d without", len(got), len(want))
	}
	for i := range want {
		if session.KindOf(got[i].Event) != session.KindOf(want[i].Event) || got[i].At.Sub(want[i].At).Abs() > time.Second {
			t.Fatalf("event %d: %s at %v on the screen, %s at %v without", i+1, session.KindOf(got[i].Event), got[i].At, session.KindOf(want[i].Event), want[i].At)
		}
	}
}
