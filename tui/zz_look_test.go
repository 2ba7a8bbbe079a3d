package tui

import (
	"fmt"
	"os"
	"testing"
)

func TestLook(t *testing.T) {
	if os.Getenv("LOOK") == "" {
		t.Skip()
	}
	show := func(p *person, keys ...string) {
		p.press(keys...)
		fmt.Printf("== %v\n%s\n", keys, p.view())
	}
	if os.Getenv("LOOK") == "first" {
		p := newPerson(t, false)
		p.resize(40, 12)
		for range 30 {
			show(p, "enter")
		}
		return
	}
	p := newPerson(t, true, withFleeces, withPastDay(3))
	if os.Getenv("LOOK") == "small" {
		p.resize(40, 12)
	}
	show(p)
	show(p, "f")
	show(p, "esc", "p")
	show(p, "a")
	show(p, "enter", "4")
	show(p, "ctrl+s")
	show(p, "a", "down", "enter", "2", "enter", "right")
	show(p, "ctrl+s")
	show(p, "K")
	show(p, "w")
	show(p, "esc", "m")
	show(p, "esc", "esc", "m")
	show(p, "enter")
	show(p, "e")
	show(p, "enter", "enter")
	show(p, "enter", "enter")
	show(p, "enter", "enter", "enter")
	show(p, "esc", "esc", "esc", "d")
	show(p, "enter")
	show(p, "end")
	show(p, "w")
	show(p, "enter", "140")
	show(p, "enter")
	show(p, "esc", "home")
	show(p, "esc")
	show(p, "?")
	show(p, "pgdown")
}
