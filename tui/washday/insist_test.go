package washday

import (
	"errors"
	"fmt"
	"testing"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// TestDeedIsToldByItsOwnKey: a deed that a sentence speaks of is told by the key that is
// bound to it, whichever that is, and every deed has one.
func TestDeedIsToldByItsOwnKey(t *testing.T) {
	k := newDayKeys()
	k.repeat.SetHelp("z", "bath again")
	k.reading.SetHelp("j", "reading")
	for deed, says := range map[coach.Deed]string{coach.Refill: "z empties it", coach.WashAgain: "z washes it again", coach.TakeTemp: "j takes a reading", coach.TellCover: "c records it"} {
		if got := k.tells(deed); got != says {
			t.Errorf("%s: %q, not %q", deed, got, says)
		}
	}
	if got, want := (coach.Lacks{Reason: "nobody can tell", Deed: coach.TakeTemp}).Say(k.tells), "nobody can tell: j takes a reading"; got != want {
		t.Errorf("%q, not %q", got, want)
	}
}

// TestInsistingNamesItsKey: the reason is the core's, the key the screen's.
func TestInsistingNamesItsKey(t *testing.T) {
	k := base.Bind("Ctrl+S", "save", "ctrl+s")
	for says, err := range map[string]error{
		"17 °C off. Right? Press Ctrl+S again":                 shed.Unlikely{Reason: "17 °C off"},
		"A1: is it the right batch? If so, press Ctrl+S again": fmt.Errorf("A1: %w", shed.Unlikely{Reason: "is it the right batch?", Asks: true}),
		"no bath: fill it first":                               errors.New("no bath: fill it first"),
	} {
		if got := base.RefusedText(err, k); got != says {
			t.Errorf("%q, not %q", got, says)
		}
	}
}
