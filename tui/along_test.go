package tui

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/past"
	"github.com/charmbracelet/lipgloss"
)

// fakeAlong notes what is written.
type fakeAlong struct{ pages, cards []string }

func (a *fakeAlong) Place(name string) string { return "/home/invented/" + name }

func (a *fakeAlong) Page(path string, id shed.DayID, d session.Day, _ measure.System) error {
	if len(a.pages) > 0 && a.pages[0] == path {
		return errors.New(path + " exists already: give another name, nothing is written over")
	}
	a.pages = append(a.pages, path)
	if id == 0 || d.StartedAt.IsZero() {
		return errors.New("no day")
	}
	return nil
}

func (a *fakeAlong) Card(path, fleece string, _ measure.System) error {
	a.cards = append(a.cards, fleece+" "+path)
	return nil
}

func withAlong(_ *person, d *base.Deps) { d.Along = &fakeAlong{} }

// TestTakenAlong: a look back is saved as a page and a fleece's card as a sheet, into the file
// that is proposed or typed, never over another; Esc writes nothing.
func TestTakenAlong(t *testing.T) {
	p := newPerson(t, true, withRecord, withAlong)
	a := p.app.env.Along.(*fakeAlong)
	p.resize(120, 40)
	p.press("d", "enter", "s")
	p.sees("Save the page", "/home/invented/wash-day-2-2026-03-16.html")
	p.everySize()
	p.press("esc")
	if p.settled(); len(a.pages) > 0 {
		t.Fatalf("Esc wrote %q", a.pages)
	}
	p.press("s", "enter")
	p.settled()
	p.says("the page is in /home/invented/wash-day-2-2026-03-16.html")
	p.press("s", "enter")
	p.settled()
	p.says("exists already: give another name")
	p.press("s")
	p.types("x.html")
	p.press("enter")
	p.settled()
	p.says("the page is in x.html")
	p.press("esc", "esc", "f", "enter", "s", "enter")
	p.settled()
	p.says("the card is in /home/invented/fleece-f2.pdf")
	if len(a.pages) != 2 || len(a.cards) != 1 {
		t.Errorf("written: %q, %q", a.pages, a.cards)
	}
}

// TestPlainReview: without a screen the look back tells what to change itself, and names no key.
func TestPlainReview(t *testing.T) {
	p := newPerson(t, true, withPoorDays(false))
	last, err := p.journal.Day(3)
	if err != nil {
		t.Fatal(err)
	}
	review := func(wide int) []string {
		return past.PlainReview(3, past.DaysTo(p.journal, last), measure.Metric, time.UTC, p.clock.At, wide)
	}
	for _, wide := range []int{60, 80, 132} {
		for _, l := range review(wide) {
			if lipgloss.Width(l) > wide {
				t.Errorf("wider than %d: %q", wide, l)
			}
		}
	}
	text := strings.Join(review(100), "\n")
	if !strings.Contains(text, "Worth changing: Time you need to reach a tub: 10 min, not 5 min. You came late to") || strings.Contains(text, "t shows") || strings.Contains(text, "w weighs") {
		t.Error(text)
	}
}
