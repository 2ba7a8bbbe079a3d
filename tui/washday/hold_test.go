package washday

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
)

// A tub on hold says so, with the limit that runs on: in its lane, in its place of the list, before
// that limit and after. The foot offers to take it up, not the deed that would be refused.
func TestHeldTubSaysItsLimit(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		h := newHand(t, 3, 0)
		h.s.SetSize(size[0], size[1])
		for tub := range 3 {
			h.press(string(rune('1'+tub)), "enter")
		}
		h.press("1")
		for h.phase(0) != "drain" || h.day().Tubs[0].Bath.Step.Kind != shed.Wash {
			if h.phase(0) == "soak" {
				h.s.e.Now = h.s.e.Now.Add(10 * time.Minute)
				h.wait(1)
			}
			h.press("1", "enter")
		}
		h.press("1", "h")
		looks := func(listed string) {
			t.Helper()
			h.s.e.Say = ""
			if !h.day().Tubs[0].Held() {
				t.Fatalf("not held: %s", h.phase(0))
			}
			if size[0] == 200 { // no lane: its figure
				if figure, unit, _ := h.s.laneFigure(h.s.glances[0]); figure == "" || !strings.HasSuffix(unit, "held") {
					t.Errorf("%v: the lane has %q %q", size, figure, unit)
				}
			} else if text := h.s.leftText(h.s.glances[0], 11); !strings.Contains(text, " held") {
				t.Errorf("%v: the lane says %q, want %q", size, text, "held")
			}
			if text := strings.Join(h.listed(), "\n"); !strings.Contains(text, listed) {
				t.Errorf("%v: the list has not %q:\n%s", size, listed, text)
			}
			view := strings.Split(strings.TrimSpace(h.view()), "\n")
			if foot := view[len(view)-1]; !strings.Contains(foot, "h resume") || strings.Contains(foot, "Enter emptied") || strings.Contains(foot, "h hold") {
				t.Errorf("%v: the foot says %q", size, foot)
			}
		}
		if text := h.view(); !strings.Contains(text, "ON HOLD, THEN EMPTY THE TUB, within ") {
			t.Errorf("%v: the band does not say how long:\n%s", size, text)
		}
		for tub := 1; tub < 3; tub++ { // nothing to do at the others before that limit
			h.must(session.AdjustSoak{Tub: tub, ByMin: 240})
		}
		if h.press("esc"); h.s.focus == 0 || !strings.Contains(h.listed()[0], "North") {
			t.Errorf("%v: the band leads with tub %d, the list with %q", size, h.s.focus+1, h.listed()[0])
		}
		h.press("1")
		by := h.s.glances[0].Prompt.MustBy
		looks("empty the tub")
		if text := strings.Join(h.listed(), "\n"); !strings.Contains(text, "on hold, within ") {
			t.Errorf("%v: the list does not say how long:\n%s", size, text)
		}
		h.s.e.Now = by.Add(5 * time.Minute)
		h.wait(1)
		h.press("1")
		if of := h.s.glances[0].Prompt.Count.Of; of != coach.SinceWet {
			t.Fatalf("%v: %v", size, of)
		}
		looks("empty the tub")
		h.press("h")
		if h.day().Tubs[0].Held() {
			t.Error("h does not take it up")
		}
	}
}

// A cold presoak on hold does not cool; a hot wash does.
func TestOnlyAWarmBathCoolsOn(t *testing.T) {
	h := newHand(t, 1, 0)
	for _, step := range []shed.StepKind{shed.Presoak, shed.Wash} {
		for h.phase(0) != "soak" || h.day().Tubs[0].Bath.Step.Kind != step {
			if h.phase(0) == "soak" {
				h.s.e.Now = h.s.e.Now.Add(25 * time.Minute)
				h.wait(1)
			}
			h.press("1", "enter")
		}
		h.press("1", "h")
		if cools := strings.Contains(h.s.e.Say, "keeps cooling"); cools != (step == shed.Wash) || !h.day().Tubs[0].Held() {
			t.Errorf("%v: %q", step, h.s.e.Say)
		}
		h.press("1", "h")
	}
}
