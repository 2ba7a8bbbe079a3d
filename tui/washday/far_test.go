package washday

import (
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestOtherTubsCarryAcrossTheShed: with twelve tubs the big view sets the name and the minutes of each
// that counts in large letters, smaller than the call; with three the call has letters of ten lines.
func TestOtherTubsCarryAcrossTheShed(t *testing.T) {
	for _, x := range []struct {
		story string
		tubs  int
		scale int // of the call at the least
		size  [2]int
	}{{"far-many-tubs", 8, 1, [2]int{120, 40}}, {"far-many-tubs", 8, 2, [2]int{200, 60}}, {"far", 2, 2, [2]int{120, 40}}, {"far-alarm", 2, 2, [2]int{120, 40}}} {
		s := storyOf(t, story(t, x.story), theme.Options{})
		s.SetSize(x.size[0], x.size[1])
		view := ansi.Strip(s.View())
		stands := func(text string, scale int) bool {
			return !slices.ContainsFunc(paint.Figures(text, scale, false), func(l string) bool { return !strings.Contains(view, strings.TrimRight(l, " ")) })
		}
		found := 0
		p, _ := s.Prompt()
		for i, g := range s.glances {
			figure, _, _ := s.laneFigure(g)
			if act := s.calledAct(p); act.Tub == i && !act.Boil || figure == "" {
				continue
			}
			if found++; !stands(s.callName(i), 0) && !stands(s.callName(i), 1) || !stands(figure, 0) && !stands(figure, 1) {
				t.Errorf("%s %v: %s with its %s min is not in large letters:\n%s", x.story, x.size, g.Name, figure, view)
			}
		}
		c, _ := s.called()
		scale := 5
		for scale > 0 && !stands(c.deed, scale) && !stands(c.name+" "+c.deed, scale) {
			scale--
		}
		if found < x.tubs || scale < x.scale {
			t.Errorf("%s %v: %d tubs count, the call is of scale %d:\n%s", x.story, x.size, found, scale, view)
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
