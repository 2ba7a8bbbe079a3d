package washday

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// TestEnterIsOfTheDeedInHand: who goes to do what the screen says is back minutes later, and on the way
// silences what rings or tells of the kettle. Their first Enter writes down no deed at another tub,
// whatever the band has come to say, and however fast the clock runs.
func TestEnterIsOfTheDeedInHand(t *testing.T) {
	t.Parallel()
	type way struct {
		pace   float64
		before string
	}
	moved := 0
	for _, w := range long.Of([]way{{1, "o"}, {20, " "}}, []way{{1, ""}, {1, " "}, {1, "o"}, {20, ""}, {20, " "}, {20, "o"}}) {
		h := washHand(t, 3, 120, 40, func(*shed.Plan) {})
		h.s.e.Pace = w.pace
		later := func(by time.Duration) {
			h.s.e.Now = h.s.e.Now.Add(by)
			h.s.pass()
			h.s.Update(base.TickMsg{})
		}
		for enters := 0; !h.day().AllRacked() && enters < long.Of(18, 60); enters++ {
			var was offer
			for waited := 0; ; waited++ {
				p, ok := h.s.Prompt()
				if was = h.s.offered(p); ok && was.now && !was.boil {
					break
				} else if told := h.s.kettle.c; ok && was.boil && was.now {
					told.Sure = true
					h.must(told)
				} else if waited > 300 {
					t.Fatalf("nothing to do:\n%s", h.view())
				}
				later(20 * time.Second)
			}
			for range 8 {
				later(30 * time.Second)
			}
			if w.before != "" {
				h.s.Update(tuitest.KeyOf(w.before))
				h.s.withdraw()
				later(5 * time.Second)
				later(5 * time.Second)
			}
			if h.s.focus != was.tub {
				moved++
			}
			seq := h.day().LastSeq
			h.s.Update(tuitest.KeyOf("enter"))
			for _, r := range h.day().Told() {
				if act, tub := session.ActOf(r.Event); r.Seq > seq && act != shed.Wait && tub != was.tub {
					t.Errorf("%+v: one Enter did %v at tub %d for one who was at tub %d to %s", w, act, tub+1, was.tub+1, was.title)
				}
			}
			if h.s.withdraw(); h.day().NextAction(was.tub) == was.act {
				h.must(session.DoNext{Tub: was.tub, Act: was.act, Batch: was.batch, Sooner: true})
			}
		}
	}
	if moved < 3 {
		t.Errorf("the band moved %d times only", moved)
	}
}
