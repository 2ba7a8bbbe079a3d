package tui

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// together gives keys as a lagging link does: the letters of one read are one
// message, Enter comes at once behind it.
func (p *person) together(letters string, enter bool) {
	p.t.Helper()
	p.clock.Forward(time.Second)
	p.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(letters)})
	if enter {
		p.send(tea.KeyMsg{Type: tea.KeyEnter})
	}
}

// soakingPerson watches an invented day in which a tub soaks and rings.
func soakingPerson(t *testing.T) *person {
	plan := tuitest.StoryPlan(1)
	p := newPerson(t, true, func(_ *person, d *base.Deps) { d.Rehearsal = &plan })
	for p.day().Tubs[0].Phase != shed.Soaking || p.day().Tubs[0].Step().Kind != shed.Wash {
		p.wait(2 * time.Second)
		p.press("enter", "enter")
	}
	for {
		if a, ok := p.day().Pressing(); ok && a.Unanswered() {
			return p
		}
		p.wait(10 * time.Second)
	}
}

func (p *person) day() session.Day { return p.app.env.Live.Day }

// A reading whose keys arrive in one read is a reading; it lifts nothing.
func TestRunOfKeysIsAReading(t *testing.T) {
	p := soakingPerson(t)
	p.together("r63", true)
	tub := p.day().Tubs[0]
	if n := len(tub.Bath.Readings); n != 1 || tub.Bath.Readings[0].TempC != 63 {
		t.Errorf("readings: %v", tub.Bath.Readings)
	}
	if tub.Phase != shed.Soaking {
		t.Errorf("the fleece is %v", tub.Phase)
	}
	if _, ok := p.day().Pressing(); !ok {
		t.Error("no alarm stands any more")
	}
}

// A key that opens another screen ends the run; the Enter behind it does nothing
// there.
func TestRunOfKeysEndsAtAnotherScreen(t *testing.T) {
	p := soakingPerson(t)
	events := p.day().LastSeq
	for _, run := range []string{"lx", "?63", "pq"} {
		p.together(run, true)
		p.sees("keys came too fast")
		p.press("esc")
	}
	if got := p.day().LastSeq; got != events {
		t.Errorf("%d events were written", got-events)
	}
}

// What is asked is not confirmed by a key of the same read, nor sooner than it
// can be read.
func TestRunOfKeysConfirmsNothing(t *testing.T) {
	plan := tuitest.StoryPlan(1)
	p := newPerson(t, true, func(_ *person, d *base.Deps) { d.Rehearsal = &plan })
	p.wait(2 * time.Second)
	step := func() int { return p.day().Tubs[0].At }
	p.together("ss", false)
	if step() != 0 {
		t.Error("a step was skipped by one read")
	}
	p.send(tuitest.KeyOf("s"))
	if step() != 0 {
		t.Error("a step was skipped at once")
	}
	p.press("s")
	if step() != 1 {
		t.Error("s, and s again once it is read, does not skip")
	}
}

// A paste never acts, on any screen that takes keys.
func TestPasteNeverActs(t *testing.T) {
	p := soakingPerson(t)
	events, phase := p.day().LastSeq, p.day().Tubs[0].Phase
	for _, text := range []string{"s", "h", "\r", "\n", "r63\r", "ee", " "} {
		p.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text), Paste: true})
	}
	if p.day().LastSeq != events || p.day().Tubs[0].Phase != phase {
		t.Error("a paste was a deed")
	}
	home := newPerson(t, true)
	top := home.app.top()
	for _, text := range []string{"p", "f", "k", "q", "?"} {
		home.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(text), Paste: true})
	}
	if home.app.top() != top || home.quit {
		t.Error("a paste led to another screen")
	}
}

// What is typed fast into a field is text also where it is a key's name.
func TestRunIntoAFieldIsText(t *testing.T) {
	for _, word := range []string{"end", "up", "home", "enter", "esc", "tab", "left", "delete", "ctrl+u", "ctrl+s", "the end"} {
		p := newPerson(t, true, withRecord)
		p.resize(120, 40)
		p.press("r", "h", "n")
		p.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(word)})
		p.sees("In your own words", "> "+word+" ")
	}
}

// A note that is too long is refused, and stays to be shortened.
func TestNoteTooLongIsSaid(t *testing.T) {
	p := soakingPerson(t)
	p.press(" ") // else the first blank hears what rings
	events := p.day().LastSeq
	p.press("n")
	p.types(strings.Repeat("wool ", 90))
	p.press("enter")
	p.says("too long")
	if got := p.day().LastSeq; got != events {
		t.Errorf("%d events were written", got-events)
	}
	p.press("backspace")
	p.wait(time.Second)
	for range 60 {
		p.press("backspace")
	}
	p.press("enter")
	if n := len(p.day().Notes); n != 1 || len(p.day().Notes[0].Text) < 350 {
		t.Errorf("notes %v", p.day().Notes)
	}
}
