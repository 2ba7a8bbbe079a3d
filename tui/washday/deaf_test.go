package washday

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/tuitest"
)

// quick gives keys 0.4 s apart, as fingers that know what they want.
func (h *hand) quick(keys ...string) {
	for _, k := range keys {
		h.s.e.Now = h.s.e.Now.Add(400 * time.Millisecond)
		h.s.e.Say = ""
		h.s.Update(tuitest.KeyOf(k))
	}
}

// ringingHand has an alarm that rings at the first tub.
func ringingHand(t *testing.T, tubs int) *hand {
	h := newHand(t, tubs, 0)
	for h.phase(0) != "soak" || h.day().Tubs[0].Bath.Step.Kind != shed.Rinse { // whose longest soak comes soon
		if h.phase(0) == "soak" {
			h.s.e.Now = h.s.e.Now.Add(20 * time.Minute)
			h.wait(1)
		}
		h.press("1", "enter")
	}
	for range 60 {
		if a, ok := h.day().Pressing(); ok && a.Unanswered() && a.Tub == 0 {
			h.press("1")
			return h
		}
		h.s.e.Now = h.s.e.Now.Add(59 * time.Second)
		h.wait(1)
	}
	t.Fatal("no alarm in an hour")
	return nil
}

// TestRefusedKeyLocksNothing: after a key that was refused Space silences at once,
// and two seconds later Enter and the digits mean what they always do.
func TestRefusedKeyLocksNothing(t *testing.T) {
	t.Parallel()
	for _, refused := range [][]string{{"w"}, {"g"}, {"+", "5"}, {"5"}, {"r", "esc", "9"}} {
		h := ringingHand(t, 3)
		h.press(refused...)
		if !h.s.e.Bad {
			t.Fatalf("%q is not refused: %q", refused, h.s.e.Say)
		}
		h.quick(" ")
		if a := h.day().Alarms; len(a) == 0 || a[0].Unanswered() {
			t.Errorf("%q: Space does not silence: %+v, %q", refused, a, h.s.e.Say)
		}
		h = ringingHand(t, 3)
		h.press(refused...)
		h.wait(1)
		h.press("enter")
		if refused[0] == "+" {
			h.press("enter") // the soak is longer: it asks first
		}
		if got := h.phase(0); got != "drain" && !(refused[0] == "+" && got == "soak") {
			t.Errorf("%q: two seconds later Enter does nothing: %s, %q", refused, got, h.s.e.Say)
		}
		h = ringingHand(t, 3)
		h.press(refused...)
		h.wait(1)
		if h.press("2"); h.s.focus != 1 {
			t.Errorf("%q: two seconds later 2 does not choose: %q", refused, h.s.e.Say)
		}
		h = ringingHand(t, 3)
		h.press(refused...)
		h.wait(1)
		h.press("o")
		if strings.Contains(h.s.e.Say, "gnored") {
			t.Errorf("%q: o is not heard: %q", refused, h.s.e.Say)
		}
	}
	h := ringingHand(t, 3) // w takes no figure: nothing waits for one
	h.press("w")
	if h.quick("enter"); h.phase(0) != "drain" {
		t.Errorf("Enter after w: %s, %q", h.phase(0), h.s.e.Say)
	}
	h = ringingHand(t, 3) // a letter is not ignored twice
	h.press("g", "5", "c", "c")
	if h.s.ask == nil {
		t.Errorf("c pressed again does not ask: %q", h.s.e.Say)
	}
}

// TestFigureWithoutAQuestion: two digits in one go are a figure, not two tubs, and
// the Enter behind them is no deed.
func TestFigureWithoutAQuestion(t *testing.T) {
	h := ringingHand(t, 5)
	seq := h.day().LastSeq
	h.quick("5", "5", "enter")
	if h.day().LastSeq != seq {
		t.Errorf("55 Enter did something: %q", h.s.e.Say)
	}
	h.sees("key ignored")
	h.wait(2)
	if h.press("1", "enter"); h.phase(0) != "drain" {
		t.Errorf("%s after a pause: %q", h.phase(0), h.s.e.Say)
	}
}

// A digit alone is a tub: the key behind it is heard, a second later and where there is no such tub,
// unless a unit begins with it or it would be for a tub that was not meant.
func TestKeyBehindADigit(t *testing.T) {
	for _, before := range [][]string{{"4"}, {"t", "2"}} {
		for _, k := range []string{"d", "u", "e", "v", "i", "?", "r", "b", "h", "s", "y", "w", "n", "+", "-"} {
			h := newHand(t, 3, 12)
			if before[0] == "t" { // before its first bath: refused
				h = newHand(t, 3, 0)
			}
			h.press(before...)
			h.press(k)
			noTub := before[0] == "4" && strings.Contains("rbhsywn+-", k)
			if ignored := strings.Contains(h.s.e.Say, "key ignored"); ignored != noTub {
				t.Errorf("%q, and a second later %s: %q", before, k, h.s.e.Say)
			} else if !noTub && before[0] != "4" && h.s.focus != 1 {
				t.Errorf("%q, and a second later %s: at tub %d", before, k, h.s.focus+1)
			}
		}
	}
}

// TestOneEnterTooMany: for a second after an answer Enter does nothing, and says so; what the answer has told stands.
func TestOneEnterTooMany(t *testing.T) {
	h := ringingHand(t, 3)
	h.press("t")
	h.write("1.7")
	h.quick("enter", "enter")
	h.sees("poured in")
	seq := h.day().LastSeq
	h.quick("enter")
	h.sees("that Enter came too soon")
	h.sees("poured in")
	h.quick("enter")
	if h.day().LastSeq != seq || h.phase(0) != "soak" {
		t.Fatalf("the third Enter did something: %s", h.phase(0))
	}
	h.wait(1)
	if h.press("enter"); h.phase(0) != "drain" {
		t.Errorf("%s, %q", h.phase(0), h.s.e.Say)
	}
}

// TestEscSaysWhatItLets: Esc with a tub in hand says that the list leads again.
func TestEscSaysWhatItLets(t *testing.T) {
	h := newHand(t, 3, 12)
	h.press("2", "esc")
	h.sees("back to what comes next")
	if h.s.chosen >= 0 {
		t.Error("it is still chosen")
	}
}

// TestSpaceNamesWhatWasHeard: tub and deed of the alarm, though the band is at
// another tub.
func TestSpaceNamesWhatWasHeard(t *testing.T) {
	h := ringingHand(t, 3)
	a, _ := h.day().Pressing()
	deed := coach.WhatToDo(h.day(), a, h.s.e.Now).String()
	h.press("3", "space")
	h.sees("Heard: North")
	h.sees(deed)
}

// TestSpaceCountsWhatWasHeard: of several alarms, most of them out of sight in a small window,
// it says how many and at which tubs.
func TestSpaceCountsWhatWasHeard(t *testing.T) {
	h := newHand(t, 5, 60)
	h.s.SetSize(40, 12)
	var rang []string
	for len(rang) < 3 {
		h.s.e.Now = h.s.e.Now.Add(time.Minute)
		h.wait(1)
		rang = nil
		for _, a := range h.day().Alarms {
			if a.Unanswered() {
				rang = append(rang, h.s.glances[a.Tub].Name)
			}
		}
	}
	h.press("space")
	h.sees(fmt.Sprintf("Heard %d: ", len(rang)))
	for _, name := range rang {
		h.sees(name)
	}
	h.sees("until done")
}

// TestQuestionGoes: the sentence of a question goes with it: when it lapses, and
// when its deed is done by whomever.
func TestQuestionGoes(t *testing.T) {
	h := newHand(t, 1, 12)
	h.press("enter")
	h.sees("Enter again")
	h.wait(7)
	h.sees("Enter again")
	h.wait(3)
	if strings.Contains(h.view(), "Enter again") {
		t.Errorf("it stands after it has lapsed:\n%s", h.view())
	}
	h.press("enter")
	h.sees("Enter again")
	h.must(session.DoNext{Tub: 0, Act: shed.Lift, Batch: h.day().Tubs[0].Batch, Sooner: true})
	if strings.Contains(h.view(), "Enter again") {
		t.Errorf("it stands after the deed:\n%s", h.view())
	}
}

// TestSpaceSilencesBesideAQuestion: as the line above promises, while nothing is
// typed yet.
func TestSpaceSilencesBesideAQuestion(t *testing.T) {
	for _, k := range []string{"r", "c", "t", "n"} {
		h := ringingHand(t, 1)
		h.press(k, "space")
		if a, ok := h.day().Pressing(); ok && a.Unanswered() || h.s.ask == nil {
			t.Errorf("%s: still rings, or the question has gone", k)
		}
	}
	h := ringingHand(t, 1)
	h.press("n", "a", "space", "b")
	if got := h.s.ask.fields[0].line.Text(); got != "a b" {
		t.Errorf("typed %q", got)
	}
}

// TestNoBathSaysWhatToDo: a tub that stands full of the water of its last bath is not to be filled first.
func TestNoBathSaysWhatToDo(t *testing.T) {
	h := ringingHand(t, 3)
	h.press("1", "enter")
	if h.phase(0) != "drain" {
		t.Fatal(h.phase(0))
	}
	for _, k := range []string{"r", "c", "t"} {
		if h.press("1", k); h.s.ask != nil || h.s.e.Say != "North's bath is over: empty the tub" {
			t.Errorf("%s: %q", k, h.s.e.Say)
		}
		h.wait(3)
	}
}

// TestDigitAndEnterAreAnAnswer: behind a key that opened no question a digit and Enter are its
// answer, though one stands that Enter would answer.
func TestDigitAndEnterAreAnAnswer(t *testing.T) {
	h := newHand(t, 3, 0)
	h.press("1", "enter", "1", "enter")
	h.sees("Enter again to lift it now")
	h.wait(1)
	seq := h.day().LastSeq
	if h.quick("y"); h.s.pending.cmd == nil || !h.s.e.Bad {
		t.Fatalf("%q", h.s.e.Say)
	}
	h.quick("2", "enter")
	if h.sees("key ignored"); h.day().LastSeq != seq || h.s.focus == 1 {
		t.Errorf("2 Enter is heard at tub %d: %q", h.s.focus+1, h.s.e.Say)
	}
}
