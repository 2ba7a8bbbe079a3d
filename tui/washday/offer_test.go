package washday

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// atTheTub lets two seconds pass at a time, up to so many minutes, until ready.
func (h *hand) atTheTub(minutes int, ready func() bool) bool {
	for range minutes * 30 {
		if ready() {
			return true
		}
		h.s.e.Now = h.s.e.Now.Add(2 * time.Second)
		h.s.pass()
		h.s.Update(base.TickMsg{})
	}
	return ready()
}

// TestEnterTellsOfWhatWasSeen: who is at one tub while the band goes to another by
// itself is asked before Enter writes down a deed of the other.
func TestEnterTellsOfWhatWasSeen(t *testing.T) {
	h := newHand(t, 2, 0)
	var was offer
	for range 40 { // until a tub that hands are at is left by the band
		p, _ := h.s.Prompt()
		was = offerOf(p)
		if h.atTheTub(30, func() bool { return h.s.focus != was.tub }) && was.now && h.s.left.title != "" {
			break
		}
		h.press("enter")
		if h.s.pending.cmd != nil {
			h.press("enter")
		}
	}
	if h.s.left.tub != was.tub || h.s.left.title == "" {
		t.Fatalf("the screen never left a deed that could be done: %+v", was)
	}
	to := h.s.focus
	h.wait(3)
	h.press("space", "o") // neither says that she has read it
	h.s.withdraw()
	h.wait(40)
	seq := h.day().LastSeq
	if h.s.focus != to {
		t.Fatal("the screen moved once more")
	}
	h.press("enter")
	if h.day().LastSeq != seq {
		t.Fatalf("one press told of something at tub %d, for one who was at tub %d", to+1, was.tub+1)
	}
	h.sees(". Enter again for " + h.s.glances[to].Name)
	h.press(string(rune('1'+was.tub)), "enter") // back to the one she was at
	if h.day().LastSeq == seq || h.s.e.Live.Day.NextAction(was.tub) == was.act {
		t.Errorf("the deed that was seen is not told of by choosing its tub:\n%s", h.view())
	}
}

// TestEnterAsksWhenMoreIsMeant: an Enter that has come to tell of more at the same tub
// asks, and the full stop does not.
func TestEnterAsksWhenMoreIsMeant(t *testing.T) {
	h := newHand(t, 1, 0)
	p, _ := h.s.Prompt()
	if len(p.Then) == 0 {
		t.Fatal("one deed alone")
	}
	h.s.stands = offer{p.Tub, p.Act, p.Batch, "[]", "fill for the presoak", true, false}
	h.wait(1)
	seq := h.day().LastSeq
	h.quick("enter") // as it grows
	h.sees("the screen has just changed")
	if h.day().LastSeq != seq {
		t.Fatal("more is told of than stood there")
	}
	h.s.withdraw()
	h.s.stands, h.s.keyAt = offer{p.Tub, p.Act, p.Batch, "[]", "fill for the presoak", true, false}, time.Time{}
	h.wait(3) // longer than a line counts as just changed
	h.press("enter")
	h.sees("the screen said only fill for the presoak. Enter again for ")
	if h.day().LastSeq != seq {
		t.Fatal("it is told of at once")
	}
	h.press("enter")
	if h.day().LastSeq == seq {
		t.Fatal("it is not told of at the second press")
	}
	h = newHand(t, 1, 0)
	for _, pause := range []time.Duration{300 * time.Millisecond, 3 * time.Second} { // a tub chosen from memory, and one that was read
		h.s.stands, h.s.keyAt = offer{p.Tub, p.Act, p.Batch, "[]", "fill for the presoak", true, false}, time.Time{}
		h.wait(2)
		seq = h.day().LastSeq
		h.quick("1")
		h.s.e.Now = h.s.e.Now.Add(pause)
		h.quick("enter")
		if asked := h.day().LastSeq == seq; asked != (pause < time.Second) {
			t.Fatalf("Enter %v after the digit: asked %v\n%s", pause, asked, h.view())
		}
		h.s.withdraw()
	}
	h = newHand(t, 1, 0)
	h.s.stands = offer{p.Tub, p.Act, p.Batch, "[]", "fill for the presoak", true, false}
	h.wait(2)
	h.press(".")
	if h.phase(0) != shed.ToSink.String() {
		t.Errorf("after the full stop it is at %s", h.phase(0))
	}
}

// TestFewEntersAreAsked: a hand that does what the band says, and takes its time, is
// seldom asked; one whose screen stands still never is.
func TestFewEntersAreAsked(t *testing.T) {
	t.Parallel()
	for _, takes := range long.Of([]int{4}, []int{1, 4}) {
		h := newHand(t, 3, 0)
		enters, asked := 0, 0
		for !h.day().AllRacked() && enters < 400 {
			if !h.atTheTub(120, func() bool { p, ok := h.s.Prompt(); return ok && offerOf(p).now }) {
				t.Fatalf("nothing to do:\n%s", h.view())
			}
			h.atTheTub(takes, func() bool { return false })
			h.press("enter")
			enters++
			if strings.Contains(h.s.e.Say, "Enter again") {
				if strings.Contains(h.s.e.Say, "the screen ") {
					asked++
				}
				h.press("enter")
			}
		}
		t.Logf("%d min for each deed: asked at %d of %d presses", takes, asked, enters)
		if asked*4 > enters {
			t.Errorf("%d min for each deed: asked at %d of %d presses", takes, asked, enters)
		}
	}
}

// TestKettleIsAnOffer: who was told to put the kettle on is asked before Enter lifts a
// fleece, and who was told to lift before it puts the kettle on.
func TestKettleIsAnOffer(t *testing.T) {
	for _, first := range []bool{true, false} {
		h := kettleHand(t, 80, 24)
		if !h.atTheTub(90, func() bool {
			boil, ok := h.s.boilFirst()
			return ok && boil.Rank == coach.Now
		}) {
			t.Fatal("the kettle never leads")
		}
		if first && !h.atTheTub(60, func() bool { p, _ := h.s.Prompt(); return p.Act == shed.Lift && p.Rank == coach.Now }) {
			t.Fatal("the soak never ends")
		}
		p, _ := h.s.Prompt()
		seq := h.day().LastSeq
		if first { // it was on the screen; meanwhile the lift leads
			h.s.stands = offer{p.Tub, shed.Wait, "", "", "boil 3 L", true, true}
			h.s.chosen = p.Tub
		} else {
			h.s.stands = offer{p.Tub, shed.Lift, "", "[]", "lift and drain", true, false}
		}
		h.s.keyAt = h.s.e.Now.Add(-time.Minute)
		h.wait(1)
		h.press("enter")
		if h.day().LastSeq != seq {
			t.Errorf("kettle first %v: one press told of something:\n%s", first, h.view())
		}
		h.sees(" again ")
	}
}

// TestWhatNobodyCouldReadIsNotAsked: a deed that stood in the band for half a second sent nobody
// to a tub, and Enter for the one that came back is asked about no other.
func TestWhatNobodyCouldReadIsNotAsked(t *testing.T) {
	for stood, asked := range map[time.Duration]bool{500 * time.Millisecond: false, 2 * time.Second: true} {
		for _, boil := range []bool{false, true} {
			h := newHand(t, 2, 0)
			h.wait(5)
			p, _ := h.s.Prompt()
			is := h.s.offered(p)
			h.s.stands = offer{1, h.day().NextAction(1), "", "[]", "fill", true, false}
			if boil {
				h.s.stands = offer{1, shed.Wait, "", "", "boil 3 L", true, true}
			}
			h.s.standsAt = h.s.e.Now.Add(-stood)
			h.s.watchBand()
			if !h.s.stands.same(is) {
				t.Fatalf("%+v", h.s.stands)
			}
			h.s.e.Now = h.s.e.Now.Add(4 * time.Second)
			if said := h.s.changedQuestion(p, true); (said != "") != asked {
				t.Errorf("boil %v stood for %v: asked %q", boil, stood, said)
			}
		}
	}
}

// TestAskedAtOnce: a press at a line that has only just turned is asked at once what it is for, not told
// to look first and asked when it has; a bounce answers nothing.
func TestAskedAtOnce(t *testing.T) {
	h := newHand(t, 2, 0)
	h.wait(5)
	h.s.stands = offer{1, h.day().NextAction(1), "", "[]", "fill", true, false}
	h.s.watchBand()
	seq := h.day().LastSeq
	for range 2 {
		h.s.e.Now = h.s.e.Now.Add(200 * time.Millisecond)
		if h.s.Update(tuitest.KeyOf("enter")); h.day().LastSeq != seq || !strings.Contains(h.s.e.Say, "Enter again") {
			t.Fatalf("%q", h.s.e.Say)
		}
	}
	h.s.e.Now = h.s.e.Now.Add(time.Second)
	if h.s.Update(tuitest.KeyOf("enter")); h.day().LastSeq == seq {
		t.Errorf("asked, and pressed again: %q", h.s.e.Say)
	}
}

// TestAskedOnceIsEnough: a hand that was asked, goes to look at its tub and comes back when the
// question has lapsed is not asked again about the deed that stands.
func TestAskedOnceIsEnough(t *testing.T) {
	for _, away := range []int{4, 12, 30, 180} {
		h := newHand(t, 2, 0)
		h.wait(5)
		h.s.stands = offer{1, h.day().NextAction(1), "", "[]", "fill", true, false}
		h.s.watchBand()
		h.wait(12)
		seq := h.day().LastSeq
		if h.press("enter"); h.day().LastSeq != seq || !strings.Contains(h.s.e.Say, "Enter again") {
			t.Fatalf("not asked: %q", h.s.e.Say)
		}
		h.wait(away)
		if h.press("enter"); h.day().LastSeq == seq {
			t.Errorf("%d s later: %q", away, h.s.e.Say)
		}
	}
}

// TestEnterMeetsALineThatTurned: a line that has turned by itself, or since the kettle was told
// of, is not what a press a moment later was for, though the hands were at the keys; a press
// once it can be read is heard.
func TestEnterMeetsALineThatTurned(t *testing.T) {
	late := func(h *hand) offer { p, _ := h.s.Prompt(); return offerOf(p) }
	for name, turn := range map[string]func(h *hand){
		"the kettle was next": func(h *hand) { h.s.stands = offer{h.s.focus, shed.Wait, "", "", "boil 3 L", false, true} },
		"nothing to do here":  func(h *hand) { h.s.stands = offer{h.s.focus, shed.Wait, "", "", "wait", false, false} },
		"nothing to do": func(h *hand) {
			h.s.focus, h.s.prompts = -1, nil
			h.s.watchBand()
			h.s.standsAt = h.s.standsAt.Add(-time.Minute)
		},
	} {
		for _, k := range []string{"enter", "."} {
			for after, heard := range map[time.Duration]bool{500 * time.Millisecond: false, 1300 * time.Millisecond: false, 3 * time.Second: true} {
				h := newHand(t, 2, 0)
				h.wait(5)
				turn(h)
				h.s.keyAt = h.s.e.Now
				h.s.Update(base.TickMsg{})
				seq := h.day().LastSeq
				h.s.e.Now = h.s.e.Now.Add(after - 400*time.Millisecond)
				if h.quick(k); h.day().LastSeq != seq != heard {
					t.Errorf("%s, %s %v after it turned to %s: %q", name, k, after, late(h).title, h.s.e.Say)
				}
				if said := h.s.e.Say; !heard && after > time.Second && !strings.Contains(said, " again if "+h.s.glances[h.s.focus].Name+" is filled") {
					t.Errorf("%s, %s %v after it turned: asked %q", name, k, after, said)
				}
			}
		}
	}
	for after, heard := range map[time.Duration]bool{1300 * time.Millisecond: false, 3 * time.Second: true} {
		h := kettleHand(t, 80, 24)
		if !h.atTheTub(90, func() bool {
			boil, ok := h.s.boilFirst()
			p, _ := h.s.Prompt()
			return ok && boil.Rank == coach.Now && p.Act == shed.Lift && p.Rank == coach.Now
		}) {
			t.Fatal("the kettle never leads a lift that is due")
		}
		h.quick("o")
		seq := h.day().LastSeq
		h.s.e.Now = h.s.e.Now.Add(after - 400*time.Millisecond)
		if h.quick("enter"); h.day().LastSeq != seq != heard {
			t.Errorf("Enter %v after the kettle was told of: %q", after, h.s.e.Say)
		}
	}
}

// TestKettleKeyMeetsAnotherTub: where the list has come to boil for another tub by itself, the
// kettle's key asks which is meant.
func TestKettleKeyMeetsAnotherTub(t *testing.T) {
	h := kettleHand(t, 80, 24)
	h.wait(17 * 60)
	h.s.kettle.c.Tub = 5 // a moment ago
	h.s.Update(base.TickMsg{})
	h.s.e.Now = h.s.e.Now.Add(1300 * time.Millisecond)
	h.quick("o")
	if !h.day().Kettle.OnAt.IsZero() || !strings.Contains(h.s.e.Say, "again if it's on for North") {
		t.Fatalf("%q", h.s.e.Say)
	}
	h.s.e.Now = h.s.e.Now.Add(time.Second)
	h.quick("o")
	if h.day().Kettle.OnAt.IsZero() {
		t.Errorf("the same key again: %q", h.s.e.Say)
	}

	h = kettleHand(t, 80, 24) // Enter has asked, and o is not asked for besides
	for i := 0; i < 40; i++ {
		if boil, ok := h.s.boilFirst(); ok && boil.Rank == coach.Now {
			break
		}
		h.wait(60)
	}
	h.s.kettleFor, h.s.acting = h.s.e.Now, h.s.e.Now
	h.wait(1)
	h.quick("enter")
	if !h.day().Kettle.OnAt.IsZero() || !strings.Contains(h.s.e.Say, "again") {
		t.Fatalf("%q", h.s.e.Say)
	}
	h.wait(1)
	h.s.kettleFor = h.s.e.Now
	h.quick("enter")
	if h.day().Kettle.OnAt.IsZero() {
		t.Errorf("Enter again: %q", h.s.e.Say)
	}
}

// TestChosenTubIsNotAskedAboutAfterTheKettle: a tub chosen by hand right after the kettle's key is
// meant; the one that the band goes on to by itself is asked about.
func TestChosenTubIsNotAskedAboutAfterTheKettle(t *testing.T) {
	for chosen, asks := range map[bool]bool{true: false, false: true} {
		h := newHand(t, 2, 0)
		h.wait(20)
		p, ok := h.s.Prompt()
		if !ok {
			t.Fatal("nothing to do")
		}
		h.s.kettleAt, h.s.keyAt = h.s.e.Now, h.s.e.Now
		if h.s.left = offerOf(p); chosen {
			h.s.chosen = p.Tub
		}
		if q := h.s.changedQuestion(p, false); (q != "") != asks {
			t.Errorf("chosen %v: %q", chosen, q)
		}
	}
}
