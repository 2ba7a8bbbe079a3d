package washday

import (
	"strings"
	"testing"

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
