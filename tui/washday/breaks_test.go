package washday

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/tuitest"
)

// TestOnlyTheBreakOfferedIsCalledOff: 0 calls off the break that the question names, and not
// tomorrow's.
func TestOnlyTheBreakOfferedIsCalledOff(t *testing.T) {
	for inMin, offered := range map[int]bool{3 * 60: true, 20 * 60: false} {
		from := (tuitest.StoryStart.Hour()*60 + tuitest.StoryStart.Minute() + inMin) % (24 * 60)
		h := washHand(t, 2, 80, 24, func(p *shed.Plan) { p.Break = shed.Breaks{{FromMin: from, ToMin: from + 40}} })
		h.s.askBreak()
		if got := strings.Contains(h.s.ask.hint, "0 calls off"); got != offered {
			t.Fatalf("in %d min: %q", inMin, h.s.ask.hint)
		}
		err := h.s.ask.accept([]string{"0", "now"}, 0)
		if refused := err != nil && strings.Contains(err.Error(), "no break to end"); refused == offered {
			t.Errorf("a break in %d min: 0 says %v", inMin, err)
		}
	}
}

// TestQuietHoursAreNamed: who works in quiet hours, calls them off or is late because of them is not
// told of a break.
func TestQuietHoursAreNamed(t *testing.T) {
	for inMin, want := range map[int][]string{60: {"0 calls off the quiet hours at", "quiet hours called off"}, -5: {"", "quiet hours over: plan updated"}} {
		from := (tuitest.StoryStart.Hour()*60 + tuitest.StoryStart.Minute() + inMin + 24*60) % (24 * 60)
		h := washHand(t, 2, 80, 24, func(p *shed.Plan) { *p = p.WithQuiet(shed.Hours{FromMin: from, ToMin: from + 40}) })
		if h.s.askBreak(); want[0] != "" {
			if !strings.Contains(h.s.ask.hint, want[0]) {
				t.Errorf("the question says %q", h.s.ask.hint)
			}
			if err := h.s.ask.accept([]string{"0", "now"}, 0); err != nil {
				t.Error(err)
			}
		}
		if got := h.s.e.Say; !strings.Contains(got, want[1]) {
			t.Errorf("it said %q, want %q", got, want[1])
		}
		w := soon{rest: "within 9 min"}.because(coach.NextAct{Prompt: coach.Prompt{Limit: coach.LongestSoak}, Away: "quiet hours"})
		if full, brief := w.String(), w.brief().String(); full != "within 9 min (longest soak, your quiet hours)" || brief != "within 9 min (longest soak, quiet hours)" {
			t.Errorf("late because of them: %q, %q", full, brief)
		}
	}
}

// TestBackFromABreakThatIsOver: the key for being back, pressed a moment after the break was over by itself, says so; once
// more it asks for another.
func TestBackFromABreakThatIsOver(t *testing.T) {
	for _, told := range []bool{true, false} {
		h := washHand(t, 2, 80, 24, func(p *shed.Plan) {
			if from := tuitest.StoryStart.Hour()*60 + tuitest.StoryStart.Minute(); !told {
				p.Break = shed.Breaks{{FromMin: from, ToMin: from + 20}}
			}
		})
		if told {
			h.must(session.TakeBreak{ForMin: 20})
		}
		h.s.e.Now = tuitest.StoryStart.Add(21 * time.Minute)
		h.wait(1)
		seq := h.day().LastSeq
		if h.press("i"); h.s.ask != nil || h.day().LastSeq != seq || !strings.Contains(h.s.e.Say, "break over at 09:20") {
			t.Errorf("told %v: %q, asked %v", told, h.s.e.Say, h.s.ask != nil)
		}
		if h.press("i"); h.s.ask == nil {
			t.Errorf("told %v: once more it says %q", told, h.s.e.Say)
		}
		h.press("esc")
		h.must(session.AddNote{Text: "dry by the door"}) // who is at work again knows that they are back
		if h.press("i"); h.s.ask == nil {
			t.Errorf("told %v: at work again, it says %q", told, h.s.e.Say)
		}
		h.press("esc")
		h.s.e.Now = h.s.e.Now.Add(20 * time.Minute)
		h.wait(1)
		if h.press("i"); h.s.ask == nil {
			t.Errorf("told %v: long after it says %q", told, h.s.e.Say)
		}
	}
}
