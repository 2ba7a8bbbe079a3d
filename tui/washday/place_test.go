package washday

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
)

// The last digit of a figure that counts keeps its place from the first minute to the last,
// beside the band, under its call and in the lanes; and a count of more than 90 minutes
// is of hours and minutes in all of them.
func TestFiguresKeepTheirPlace(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		h := newHand(t, 1, 0)
		h.press("enter")
		h.must(session.AdjustSoak{Tub: 0, ByMin: 240})
		h.s.SetSize(size[0], size[1])
		edge, lane, seen := 0, 0, 0
		for h.s.glances[0].Prompt.Count.Of == coach.ToDue {
			p, _ := h.s.Prompt()
			figures, unit := h.s.countdown(p)
			left := p.Count.At.Sub(h.s.e.Now)
			if hours := strings.HasPrefix(unit, "h:min"); hours != (left >= 90*time.Minute) {
				t.Fatalf("%v: %q %q for %v", size, figures, unit, left)
			}
			if says := h.s.leftText(h.s.glances[0], 9); left >= 90*time.Minute && !strings.Contains(says, " h ") {
				t.Fatalf("%v: the lane says %q for %v", size, says, left)
			}
			rows := h.s.band()
			if end := len([]rune(strings.TrimRight(ansi.Strip(rows[0]), " "))); figures != "" && left >= time.Minute && !strings.ContainsAny(figures, "14") { // whose top row ends short
				seen++
				if edge > 0 && end != edge {
					t.Fatalf("%v: the figure %q ends at %d, before at %d\n%s", size, figures, end, edge, strings.Join(rows, "\n"))
				}
				edge = end
			}
			if figure, _, _ := h.s.laneFigure(h.s.glances[0]); left < 90*time.Minute && left > time.Minute {
				if w := ansi.StringWidth(laneLetters(figure, 0, false)[1]); lane > 0 && w != lane {
					t.Fatalf("%v: the lane's %q is %d wide, before %d", size, figure, w, lane)
				} else {
					lane = w
				}
			}
			h.s.e.Now = h.s.e.Now.Add(47 * time.Second)
			h.wait(1)
		}
		if seen < 10 {
			t.Errorf("%v: %d figures", size, seen)
		}
	}
}
