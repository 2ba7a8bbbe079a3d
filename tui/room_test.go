package tui

import (
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/tuitest"
)

// at is the line and the cell of a text on the screen, -1 where it is not.
func (p *person) at(text string) (y, x int) {
	for y, line := range strings.Split(p.view(), "\n") {
		if before, _, ok := strings.Cut(line, text); ok {
			return y, ansi.StringWidthWc(before)
		}
	}
	return -1, -1
}

// TestFormStandsInTheMiddle: in a window of any width the form is a column in its middle, none of it
// moves while one goes through its fields, and a click finds the field under it.
func TestFormStandsInTheMiddle(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "5")
	p.settled()
	for _, sz := range slices.Concat(between, tuitest.Sizes) {
		p.resize(sz[0], sz[1])
		p.press("shift+tab", "shift+tab", "shift+tab", "shift+tab", "shift+tab", "shift+tab")
		y, x := p.at("Name")
		if free := sz[0] - 84; max(0, free/2)+3 != x {
			t.Errorf("%v: the form begins at %d:\n%s", sz, x, p.view())
		}
		if sz[1] < 30 {
			continue
		}
		for _, field := range []string{"Size, full", "Usual bath", "Shape", "Usual cover"} {
			was, _ := p.at(field)
			p.press("tab")
			if now, _ := p.at("Name"); now != y {
				t.Errorf("%v: in %s the first field went from line %d to %d", sz, field, y, now)
			}
			if now, _ := p.at(field); field != "Usual cover" && now != was {
				t.Errorf("%v: %s went from line %d to %d", sz, field, was, now)
			}
		}
		p.click("Usual bath")
		p.sees("▸ Usual bath")
	}
}

// TestFormShowsWhatItIsAbout: below a form of the kit, where there is room, stands the kit as it is
// typed, and that of the first start as far as it is told.
func TestFormShowsWhatItIsAbout(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "5")
	p.settled()
	p.resize(200, 60)
	p.sees("8 L of 12 L")
	p.press("tab", "tab", "4", "tab")
	p.sees("4 L of 12 L")
	p = newPerson(t, false)
	p.resize(200, 60)
	p.press("enter", "enter", "enter", "enter")
	if n := strings.Count(p.view(), "└"); n != 4 {
		t.Errorf("%d vessels for three tubs and a kettle:\n%s", n, p.view())
	}
	p.press("2", "enter")
	if n := strings.Count(p.view(), "└"); n != 3 {
		t.Errorf("%d vessels for two tubs and a kettle:\n%s", n, p.view())
	}
}

// TestHomeIsFull: home shows what the shed holds wherever that has room: the fleeces as bars, the rack,
// else the tubs; and of a day that runs, what is in each tub.
func TestHomeIsFull(t *testing.T) {
	for _, sz := range [][2]int{{80, 24}, {120, 40}, {160, 50}, {200, 60}} {
		p := newPerson(t, true, withRecord)
		p.settled()
		p.resize(sz[0], sz[1])
		p.sees("240 g clean, drying 400 g raw, 1 kg raw", "▆")
		if sz[1] >= 40 {
			p.sees("till dry")
		}
		p = newPerson(t, true)
		p.settled()
		p.resize(sz[0], sz[1])
		p.sees("North", "8 L of 12 L")
		p = newPerson(t, true, withOpenDay(3, 10))
		p.press("enter", "esc")
		p.settled()
		p.resize(sz[0], sz[1])
		p.seesNot("8 L of 12 L")
		p.sees("South: A2 presoak, soak, now about")
	}
}

// TestHomeTellsOfAllOrNone: what is said of the lines of home is a column, whole or not there, at any
// width and whether or not a day runs.
func TestHomeTellsOfAllOrNone(t *testing.T) {
	for _, p := range []*person{newPerson(t, true, withFleeces), newPerson(t, true, withOpenDay(3, 10))} {
		p.press("enter", "esc")
		for w := 40; w <= 100; w++ {
			p.resize(w, 40)
			if strings.Contains(p.view(), "keys, alarms, cautions") != strings.Contains(p.view(), "how they reach you, a sound check, the list") {
				t.Fatalf("%d cells:\n%s", w, p.view())
			}
		}
	}
}

// TestPlanIsDrawn: from 80x24 on the day of a plan stands below its batches, each tub, the kettle and
// the person once, and takes the room there is.
func TestPlanIsDrawn(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.app.env.Planned.Plan = tuitest.StoryPlan(3)
	p.app.env.Planned.Plan.Fleeces = p.ledger.Have
	p.press("p")
	p.settled()
	for _, sz := range [][2]int{{80, 24}, {90, 30}, {120, 40}, {160, 50}, {200, 60}} {
		p.resize(sz[0], sz[1])
		p.sees("hot wash", "09:00")
		_, day, _ := strings.Cut(p.view(), "09:00 ")
		_, day, _ = strings.Cut(day, "09:00 ") // behind the clock of the title
		for _, name := range []string{" North ", " South ", " Tray ", " kettle ", " you "} {
			if strings.Count(day, name) != 1 {
				t.Errorf("%v: %q stands %d times:\n%s", sz, name, strings.Count(day, name), p.view())
			}
		}
		empty := 0
		for _, l := range strings.Split(p.view(), "\n") {
			if strings.TrimSpace(l) == "" {
				empty++
			}
		}
		if empty > sz[1]/3 {
			t.Errorf("%v: %d lines are empty:\n%s", sz, empty, p.view())
		}
	}
}
