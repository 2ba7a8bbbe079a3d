package washday

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/base"
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

// TestBigViewTellsOfTheBreak: whoever is away reads from the door till when, what to be back for and the key that
// ends it, whatever has the letters.
func TestBigViewTellsOfTheBreak(t *testing.T) {
	for _, size := range [][2]int{{40, 16}, {80, 24}, {160, 50}} {
		h := newHand(t, 3, 12)
		h.must(session.TakeBreak{ForMin: 30})
		h.s.SetSize(size[0], size[1])
		h.press("f")
		flat := strings.Join(strings.Fields(h.view()), " ")
		if says := coach.SayBreak(&h.s.e.Live.Day, h.s.next, h.s.e.Now); says == "" || !strings.Contains(flat, strings.ToUpper(says)) || !strings.Contains(flat, " i back") {
			t.Errorf("%v, %q:\n%s", size, says, h.view())
		}
	}
}

// TestMinutesStandOffTheirName: of the other tubs the widest figure stands off the widest name by more than a letter does
// from the next, at every size of letters.
func TestMinutesStandOffTheirName(t *testing.T) {
	h := newHand(t, 3, 12)
	for scale := range 3 {
		lines, n, _ := h.s.others(400, scale, 60)
		if n == 0 {
			t.Fatalf("scale %d: no tub has its minutes in letters", scale)
		}
		widest := 0
		for _, g := range h.s.glances {
			if figure, _, _ := h.s.laneFigure(g); figure != "" {
				widest = max(widest, paint.FiguresWidth(g.Name, scale))
			}
		}
		at, gap := 0, 400
		for i, l := range lines {
			row := []rune(ansi.Strip(l))
			if i == 0 {
				for at = 0; row[at] == ' '; at++ {
				}
			}
			blank := 0
			for at+widest+blank < len(row) && row[at+widest+blank] == ' ' {
				blank++
			}
			gap = min(gap, blank)
		}
		if least := 3 * max(1, 2*scale); gap < least {
			t.Errorf("scale %d: %d cells between, want %d:\n%s", scale, gap, least, ansi.Strip(strings.Join(lines, "\n")))
		}
	}
}

// TestNoSecondsPassForMinutes: the last minute of a tub's large figure has the form of minutes and seconds.
func TestNoSecondsPassForMinutes(t *testing.T) {
	h := newHand(t, 3, 12)
	g := h.s.glances[0]
	at := h.s.actOf(g.Prompt).Count.At
	for left, want := range map[time.Duration]string{12 * time.Minute: "12", 59 * time.Second: "0:59", 12 * time.Second: "0:12"} {
		h.s.e.Now = at.Add(-left)
		if figure, unit, _ := h.s.laneFigure(g); figure != want || unit != "min" {
			t.Errorf("%v: %q %q", left, figure, unit)
		}
	}
}

// TestAnAlarmIsNoCountdown: where a bath cools too far soon, or may have, the letters say to lift now; the minutes that
// are left stand in words.
func TestAnAlarmIsNoCountdown(t *testing.T) {
	s := storyOf(t, story(t, "far-alarm"), theme.Options{})
	seen := map[coach.CountOf]bool{}
	for range 90 {
		s.e.Now = s.e.Now.Add(30 * time.Second)
		s.pass()
		s.Update(base.TickMsg{})
		p, _ := s.Prompt()
		if of := p.Count.Of; of == coach.ToRelease || of == coach.MayBeBelow {
			figure, unit := s.figure(p, "")
			c, _ := s.called()
			if seen[of] = true; c.figure != "now" || !strings.Contains(c.unit, figure+" "+unit) {
				t.Fatalf("%v: %q %q %q", of, c.deed, c.figure, c.unit)
			}
		}
	}
	if len(seen) != 2 {
		t.Errorf("of a bath that cools: %v", seen)
	}
}
