package washday

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestDeedIsToldByItsOwnKey: a deed that a sentence speaks of is told by the key that is
// bound to it, whichever that is, and every deed has one.
func TestDeedIsToldByItsOwnKey(t *testing.T) {
	k := newDayKeys()
	k.repeat.SetHelp("z", "bath again")
	k.reading.SetHelp("j", "reading")
	for deed, says := range map[coach.Deed]string{coach.Refill: "z empties it", coach.WashAgain: "z washes it again", coach.TakeTemp: "j takes a reading", coach.TellCover: "c records it", coach.EnterRaw: "d corrects its weight"} {
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

// TestTooMuchForATubNamesItsKey: a batch that won't open out in a tub is put right from there,
// by the key that the band names.
func TestTooMuchForATubNamesItsKey(t *testing.T) {
	p := tuitest.StoryPlan(3)
	p.Batches = p.Batches[:1]
	for range 3 {
		p.Batches = append(p.Batches, p.Batches[0])
	}
	for i := range p.Batches {
		p.Batches[i].ID, p.Batches[i].RawG = "", 220
	}
	s := storyScreen(tuitest.StartStory(t, p), tuitest.StoryStart, theme.Options{NoColor: true})
	for _, size := range tuitest.Sizes {
		h := &hand{t, s}
		s.SetSize(size[0], size[1])
		h.press("3")
		words := strings.Join(strings.Fields(h.view()), " ")
		if !strings.Contains(words, "take ") || !strings.Contains(words, " out, then d corrects its weight") {
			t.Errorf("%v names no remedy:\n%s", size, h.view())
		}
	}
	h := &hand{t, s}
	batch := s.glances[2].Prompt.Batch
	h.press("d")
	i := slices.Index(s.ask.picks, batch+"'s raw weight")
	if i < 0 {
		t.Fatalf("%v", s.ask.picks)
	}
	if err := s.e.Live.Do(session.WeighRaw{Batch: batch, RawG: 90, Sure: true}, s.e.Now); err != nil {
		t.Fatal(err)
	}
	h.press("esc", "3", "enter")
	if got := h.day().Tubs[2].Batch; got != batch {
		t.Errorf("%q in the tray after its weight was put right: %q", got, s.e.Say)
	}
}
