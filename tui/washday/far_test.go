package washday

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestNextTubsCarryAcrossTheShed: with twelve tubs the big view sets the names and the minutes
// of the next three in large letters, smaller than the call.
func TestNextTubsCarryAcrossTheShed(t *testing.T) {
	s := storyOf(t, story(t, "far-many-tubs"), theme.Options{})
	for _, size := range [][2]int{{120, 40}, {200, 60}} {
		s.SetSize(size[0], size[1])
		view := ansi.Strip(s.View())
		found := 0
		for _, a := range s.next {
			g := s.glances[max(0, a.Tub)]
			figure, _, _ := s.laneFigure(g)
			if a.Boil || a.Tub < 0 || a.Tub == s.focus || figure == "" || found == 3 {
				continue
			}
			found++
			scale := size[1] / 60
			for _, l := range append(paint.Figures(g.Name, 0, false)[:2], paint.Figures(figure, scale, false)...) {
				if !strings.Contains(view, strings.TrimRight(l, " ")) {
					t.Fatalf("%v: %s with its %s min is not in large letters:\n%s", size, g.Name, figure, view)
				}
			}
		}
		if found < 3 {
			t.Fatalf("%d tubs count", found)
		}
		c, _ := s.called()
		if _, scale := c.set(size[0]-1, 40); scale <= size[1]/60 {
			t.Errorf("%v: the call is of scale %d", size, scale)
		}
	}
}

// TestFigureStandsInTheBigView: in every state and window the big view has the figure of the
// call, in letters or in words, and every word of the deed.
func TestFigureStandsInTheBigView(t *testing.T) {
	for _, st := range tuitest.Stories() {
		s := storyOf(t, st, theme.Options{})
		for _, sz := range append(tuitest.Sizes, [2]int{47, 13}, [2]int{61, 18}, [2]int{40, 16}) {
			s.SetSize(sz[0], sz[1])
			c, called := s.called()
			p, ok := s.Prompt()
			if !ok || !called || p.Count.Of == coach.SinceBelow {
				continue
			}
			view := ansi.Strip(s.farView())
			flat := strings.Join(strings.Fields(view), " ")
			for _, o := range s.orders(p) {
				if !strings.Contains(strings.ToLower(flat), strings.ToLower(o.text)) {
					t.Errorf("%s %v: %q is cut:\n%s", st.Name, sz, o.text, view)
				}
			}
			stands := c.unit == "" || strings.Contains(flat, c.figure+" "+c.unit)
			for scale := range 6 {
				stands = stands || strings.Contains(view, strings.TrimRight(paint.Figures(c.figure, scale, false)[0], " "))
			}
			if !stands {
				t.Errorf("%s %v: the figure %s %s is not there:\n%s", st.Name, sz, c.figure, c.unit, view)
			}
		}
	}
}

func story(t *testing.T, name string) tuitest.Story {
	t.Helper()
	for _, st := range tuitest.Stories() {
		if st.Name == name {
			return st
		}
	}
	t.Fatalf("no story %s", name)
	return tuitest.Story{}
}
