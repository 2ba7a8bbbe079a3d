package tui

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/tuitest"
)

// TestNotSavedIsOnEveryScreen: whatever is looked at says that the disk takes nothing, beside
// an alarm too, and in the view from the door.
func TestNotSavedIsOnEveryScreen(t *testing.T) {
	p := newPerson(t, true, withOpenDay(2, 28))
	p.press("enter", " ")
	p.journal.Fail(errors.New("the disk is full"))
	defer p.journal.Fail(nil)
	p.press("n", "a", "enter")
	p.failsToSave()
	p.wait(40 * time.Minute) // an alarm
	if _, rings := p.app.env.Live.Day.Pressing(); !rings {
		t.Fatal("no alarm rings")
	}
	for _, keys := range [][]string{{}, {"f"}, {"esc", "l"}, {"esc", "esc"}, {"?"}} {
		p.press(keys...)
		for _, sz := range tuitest.Sizes[1:] {
			p.resize(sz[0], sz[1])
			if view := ansi.Strip(p.app.View()); !strings.Contains(view, "NOT SAVED") {
				t.Errorf("%v, %v:\n%s", keys, sz, view)
			}
		}
	}
}
