package washday

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/tuitest"
)

// TestDayAsksForEachTubAnew: a deed that was asked about at one tub is not done
// at another by the same key.
func TestDayAsksForEachTubAnew(t *testing.T) {
	h := newHand(t, 3, 0)
	step := func(i int) int { return h.day().Tubs[i].At }
	h.press("1", "s")
	h.sees("Press s again")
	h.press("2", "s")
	h.sees("Press s again")
	if step(1) != 0 || step(0) != 0 {
		t.Fatalf("steps %d and %d: one press skipped", step(0), step(1))
	}
	h.press("s")
	if step(1) != 1 || step(0) != 0 {
		t.Fatalf("steps %d and %d after two presses at the second tub", step(0), step(1))
	}

	h = newHand(t, 3, 12)
	var soaking []string
	for i, tub := range h.day().Tubs {
		if tub.Phase == shed.Soaking {
			soaking = append(soaking, string(rune('1'+i)))
		}
	}
	if len(soaking) < 2 {
		t.Fatalf("only %v soak", soaking)
	}
	h.press(soaking[0], "enter")
	h.sees("Enter again to lift it now")
	h.press(soaking[1], "enter")
	h.sees("Enter again to lift it now")
	for i, tub := range h.day().Tubs {
		if tub.Phase == shed.Draining {
			t.Errorf("tub %d was lifted by one press", i+1)
		}
	}
	h.wait(10) // the question has lapsed
	h.press("enter")
	h.sees("Enter again to lift it now")
}

// TestAskedIsOfThatDeed: the same key answers for the deed that was asked about alone.
func TestAskedIsOfThatDeed(t *testing.T) {
	h := newHand(t, 2, 0)
	h.s.confirmed("s", session.SkipStep{Tub: 0}, "sure?")
	h.s.e.Now = h.s.pending.from
	if !h.s.asked("s", session.SkipStep{Tub: 0}) || h.s.asked("s", session.SkipStep{Tub: 1}) || h.s.asked("b", session.SkipStep{Tub: 0}) {
		t.Error("the answer to another question counts, or none does")
	}
}

// TestDayHoldTwice: the same key takes up the tub that it held.
func TestDayHoldTwice(t *testing.T) {
	h := newHand(t, 3, 0)
	h.press("h")
	held := h.s.focus
	if !h.s.glances[held].Held {
		t.Fatalf("tub %d is not held", held+1)
	}
	h.press("h")
	for i, g := range h.s.glances {
		if g.Held {
			t.Errorf("tub %d is held after two presses", i+1)
		}
	}
	h.wait(12)
	if h.s.chosen != -1 {
		t.Error("the band stays with the tub for ever")
	}
}

// TestKeyAfterTheBandMoved: a key pressed as the band goes to another tub, or a habit's
// second press a second later, does nothing there until it is pressed again; nobody who chose the tub
// or waited is asked.
func TestKeyAfterTheBandMoved(t *testing.T) {
	moved := func() *hand {
		h := newHand(t, 3, 0)
		h.wait(2)
		first := h.s.focus
		for range 4 { // fills and sinks: the band goes on
			if h.s.Update(tuitest.KeyOf("enter")); h.s.focus != first {
				return h
			}
			h.wait(2)
		}
		t.Fatal("the band has not moved")
		return nil
	}
	key := func(h *hand, k string, after time.Duration) {
		h.s.e.Now = h.s.e.Now.Add(after)
		h.s.Update(tuitest.KeyOf(k))
	}
	for _, k := range []string{"enter", ".", "h", "s", "b"} {
		for _, after := range []time.Duration{0, 300 * time.Millisecond, time.Second, 2400 * time.Millisecond} {
			h := moved()
			seq := h.day().LastSeq
			if key(h, k, after); h.day().LastSeq != seq {
				t.Errorf("%s %v after the move: %q", k, after, h.s.e.Say)
			}
			if after < time.Second {
				continue
			}
			said := h.s.e.Say
			if k != "s" && k != "b" && !strings.HasPrefix(said, "North is filled and in. ") || !strings.Contains(said, h.s.glances[h.s.focus].Name) && k != "b" || !strings.Contains(said, " again") && k != "b" {
				t.Errorf("%s %v after the move asks %q", k, after, said)
			}
			if key(h, k, 20*time.Millisecond); h.day().LastSeq != seq {
				t.Errorf("%s that bounces answers: %q", k, h.s.e.Say)
			}
			if key(h, k, 400*time.Millisecond); h.day().LastSeq == seq && k != "b" {
				t.Errorf("%s again does nothing: %q", k, h.s.e.Say)
			}
		}
		for _, own := range []bool{true, false} {
			h := moved()
			seq, waits := h.day().LastSeq, 3*time.Second
			if own {
				key(h, "2", 600*time.Millisecond)
				waits = 300 * time.Millisecond
			} else if k == "h" { // it could be meant for the tub of the deed
				waits = stillThere
			}
			if key(h, k, waits); h.day().LastSeq == seq && k != "s" && k != "b" && !(own && k == ".") {
				t.Errorf("%s, chosen %v: asked %q", k, own, h.s.e.Say)
			}
		}
	}
}

// TestDigitAndItsKey: a tub's digit and a key right behind it are heard, whatever was
// refused before; a full stop behind a digit may be a figure's, and is asked about.
func TestDigitAndItsKey(t *testing.T) {
	for _, before := range []string{"", "r", "w"} {
		h := ringingHand(t, 3) // the first tub soaks, the others have no water
		h.press("3")
		h.wait(1)
		if before != "" {
			h.press(before)
		}
		if h.quick("1", "r"); h.s.ask == nil || h.s.ask.tub != 0 {
			t.Errorf("after %q: 1 r does not ask: %q", before, h.s.e.Say)
		}
	}
	h := newHand(t, 3, 0)
	seq := h.day().LastSeq
	if h.quick("2", "."); h.day().LastSeq != seq || h.s.e.Say != "South: filled only? Press . again" {
		t.Errorf("%q", h.s.e.Say)
	}
	if h.quick("."); h.phase(1) != "sink in" {
		t.Errorf("%s, %q", h.phase(1), h.s.e.Say)
	}
	h = newHand(t, 3, 0)
	if h.quick("3", ".", "5", "u", "enter"); h.day().LastSeq != seq {
		t.Errorf("3.5 u Enter did something: %q", h.s.e.Say)
	}
}

// TestSoakKeysStayAtTheirTub: the same key again is for the same tub, though the band would
// go on to another.
func TestSoakKeysStayAtTheirTub(t *testing.T) {
	h := newHand(t, 3, 12)
	h.wait(8 * 60) // the first soak is about to end
	at := h.s.focus
	soak := h.day().Tubs[at].Bath.SoakMin
	h.quick("+", "+", "+")
	if got := h.day().Tubs[at].Bath.SoakMin; h.phase(at) != "soak" || got != soak+15 {
		t.Errorf("%s, soak %v to %v: %q", h.s.glances[at].Name, soak, got, h.s.e.Say)
	}
}

// TestDayEscClosesTheView: Esc in the big view or the large curve goes back to
// the tubs, not home.
func TestDayEscClosesTheView(t *testing.T) {
	h := newHand(t, 1, 20)
	for _, k := range []string{"f", "v"} {
		h.press(k)
		if !h.s.far && !h.s.large {
			t.Fatalf("%s shows nothing else", k)
		}
		h.press("esc")
		if h.s.far || h.s.large {
			t.Errorf("Esc does not close what %s showed", k)
		}
		h.sees("1 North")
	}
}

// TestDayFillsAnew: b at a filled tub says what it does there.
func TestDayFillsAnew(t *testing.T) {
	h := newHand(t, 1, 0)
	h.press(".")
	if h.phase(0) != "sink in" {
		t.Fatal(h.phase(0))
	}
	h.press("b")
	h.sees("empty North and refill for the ")
	h.press("b")
	if h.phase(0) != "fill" {
		t.Errorf("phase %s", h.phase(0))
	}
}

// TestDayListAgrees: the band speaks of the tub that the list begins with; and where nothing else needs the room, all there is to do is in sight.
func TestDayListAgrees(t *testing.T) {
	t.Parallel()
	h := newHand(t, 3, 34)
	seconds := long.Of(1, 6) * 30 * 60
	for range seconds {
		first := h.s.prompts[0]
		if h.s.focus != first.Tub {
			t.Fatalf("the band speaks of tub %d, the list begins with %d", h.s.focus+1, first.Tub+1)
		}
		h.wait(1)
	}

	h = newHand(t, 5, 0) // no bath: no curve
	h.s.SetSize(120, 40)
	if view := h.view(); strings.Contains(view, "more") || strings.Count(view, "fill for the presoak") < 5 {
		t.Errorf("not all there is to do is in sight:\n%s", view)
	}
}

// TestDayFigureStaysTrue: the large figure of a bath that may be too cool never
// turns to the soak that is over.
func TestDayFigureStaysTrue(t *testing.T) {
	t.Parallel()
	h := newHand(t, 1, 34)
	seen := map[string]bool{}
	h.pass(4*60, func() {
		g := h.s.glances[0]
		if !g.HasAlarm || g.Alarm.Kind != session.NearRelease && g.Alarm.Kind != session.BelowRelease {
			return
		}
		p, _ := h.s.Prompt()
		_, unit := h.s.countdown(p)
		seen[unit] = true
		if strings.Contains(unit, "soak") {
			t.Fatalf("%v shows %q", g.Alarm.Kind, unit)
		}
	})
	for _, want := range []string{"min left", "min below 49 °C"} {
		if !seen[want] {
			t.Errorf("never %q, but %v", want, seen)
		}
	}
}

// TestDayNoteIsNotDroppedByOneKey: a sentence takes two Esc, a figure one.
func TestDayNoteIsNotDroppedByOneKey(t *testing.T) {
	h := newHand(t, 1, 34)
	h.press("n")
	h.write("long note about burrs")
	h.press("esc")
	h.sees("Press Esc again to drop what you typed; Enter keeps it")
	h.press("enter")
	if n := h.day().Notes; len(n) != 1 || n[0].Text != "long note about burrs" {
		t.Errorf("notes %+v", n)
	}
	h.press("n")
	h.write("long note about burrs")
	h.press("esc")
	h.s.Update(tuitest.KeyOf("esc")) // held: the question was not read yet
	h.sees("Press Esc again to drop what you typed")
	h.press("esc", "r")
	h.write("62")
	h.press("esc")
	if h.s.ask != nil || len(h.day().Notes) != 1 {
		t.Errorf("still asked, or noted: %+v", h.day().Notes)
	}
}

// TestBandLosesNoLetter: a line that is broken is whole in its parts.
func TestBandLosesNoLetter(t *testing.T) {
	text := "leave the locks in their layers on the tray tower, place 1, layers 1-4, place 2, layers 1-3; tag: 12345678901234567890"
	for w := 24; w < 130; w++ {
		lines := wrapBand([]bandLine{{s: " " + text}}, w, 40)
		all := ""
		for _, l := range lines {
			if draw.Fit(l.s, w) != l.s+strings.Repeat(" ", max(0, w-len(l.s))) {
				t.Fatalf("at %d: %q is cut", w, l.s)
			}
			all += strings.TrimSpace(l.s)
		}
		if none := strings.NewReplacer(" ", ""); none.Replace(all) != none.Replace(text) {
			t.Fatalf("at %d: %q", w, all)
		}
	}
}

// TestNoQuestionForWhatIsRefused: what cannot be done is refused at the first press,
// and not asked about.
func TestNoQuestionForWhatIsRefused(t *testing.T) {
	h := newHand(t, 1, 34)
	h.press("1", "s")
	if h.s.pending.cmd != nil {
		t.Errorf("asked:\n%s", h.view())
	}
	h.sees("lift it first")
}

// TestNoteIsNeverRefused: a note touches no tub, so that its text is never keys.
func TestNoteIsNeverRefused(t *testing.T) {
	h := newHand(t, 3, 0)
	h.s.focusAt = h.s.e.Now // the band has just moved by itself
	h.press("n")
	if h.s.ask == nil {
		t.Errorf("no question for the note:\n%s", h.view())
	}
}

// TestEmptiedRightAfterTheLift: nobody empties a tub a second after its lift; a press by habit
// is asked about, a later one is heard.
func TestEmptiedRightAfterTheLift(t *testing.T) {
	for _, waits := range []int{0, 3} {
		h := newHand(t, 1, 0)
		h.press("enter")
		h.wait(25 * 60)
		h.press("enter") // lifted
		if h.phase(0) != "drain" {
			t.Fatalf("phase %q after the lift", h.phase(0))
		}
		h.wait(waits)
		h.press("enter")
		if asked := h.phase(0) == "drain"; asked != (waits == 0) {
			t.Errorf("%d s more: phase %q\n%s", waits, h.phase(0), h.view())
		} else if asked {
			h.sees("North is lifted. Enter again if ")
		}
	}
}
