package washday

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// letters says that a text stands on the screen in large letters of some size.
func (h *hand) letters(text string) bool {
	for size := range 4 {
		if strings.Contains(h.view(), strings.TrimRight(paint.Figures(text, size, false)[1], " ")) {
			return true
		}
	}
	return false
}

// TestAlarmTakesTheLetters: the large letters of a tub chosen by hand are an alarm's while it rings at
// another, and the chosen tub's again when it was heard. Enter stays the chosen tub's, and asks once.
func TestAlarmTakesTheLetters(t *testing.T) {
	for _, size := range [][2]int{{40, 24}, {80, 24}, {120, 40}, {160, 50}, {200, 60}} {
		h := ringingHand(t, 2)
		h.press("space", "2")
		h.s.SetSize(size[0], size[1])
		if own := h.s.glances[1].Name; !h.letters(own) {
			t.Fatalf("%v: no letters of %s:\n%s", size, own, h.view())
		}
		for range 600 {
			if a, ok := h.day().Pressing(); ok && a.Unanswered() {
				break
			}
			h.wait(1)
		}
		for _, far := range []bool{false, true} {
			if h.s.far = far; !h.letters("North") || h.letters("South") && !far || h.s.focus != 1 {
				t.Errorf("%v far %v: the alarm has not the letters:\n%s", size, far, h.view())
			}
			if size[0] >= 80 {
				h.sees("Enter South: ")
			}
			if size[0] >= 120 && !far { // the words beside what the letters count are South's
				h.sees(": North")
			}
		}
		h.s.far = false
		phase := h.phase(1)
		if h.press("enter"); h.phase(1) != phase || !strings.Contains(h.s.e.Say, "North has an alarm, 1 goes there") {
			t.Errorf("%v: one Enter told of South: %q", size, h.s.e.Say)
		}
		if h.press("space"); !h.letters("South") {
			t.Errorf("%v: heard, and the letters are not South's again:\n%s", size, h.view())
		}
	}
}

// TestBandHasLetters: however much a band has to say, from 22 lines on its call is in large letters: two
// deeds with their water, a tub with a long name, an alarm.
func TestBandHasLetters(t *testing.T) {
	p := tuitest.StoryPlan(3)
	p.Kit.Tubs[1].Name = "Blue bowl"
	for _, playMin := range []float64{0, 21, 34, 44} {
		d, now := tuitest.PlayFor(t, tuitest.StartStory(t, p), tuitest.StoryStart, playMin)
		s := storyScreen(d.Boiled(), now, theme.Options{})
		for tub := range d.Tubs {
			for _, size := range [][2]int{{60, 24}, {80, 24}, {120, 40}, {160, 50}, {200, 60}} {
				s.choose(tub)
				s.look(0)
				s.SetSize(size[0], size[1])
				if c, ok := s.called(); ok {
					text, _, _ := s.bandText()
					if s.calledBand(text, s.e.Theme.Text, false) == nil {
						t.Errorf("%v min, %v: %s %s is not in large letters:\n%s", playMin, size, c.name, c.deed, ansi.Strip(s.View()))
					}
				}
			}
		}
	}
	if callWords[shed.DrainTub] == idleText {
		t.Error("the deed of emptying reads as a state")
	}
}

// TestAlarmSaysItsDeedOnce: over its words and under its figure an alarm says once to lift.
func TestAlarmSaysItsDeedOnce(t *testing.T) {
	r := &sessiontest.Run{T: t}
	r.Day, r.Now = tuitest.PlayFor(t, tuitest.StartStory(t, tuitest.StoryPlan(1)), tuitest.StoryStart, 30)
	seen := map[session.AlarmKind]bool{}
	for range 90 {
		r.Tick(time.Minute)
		s := storyScreen(r.Day, r.Now, theme.Options{})
		s.SetSize(80, 24)
		a, ok := r.Day.Pressing()
		if seen[a.Kind] = seen[a.Kind] || ok; !ok {
			continue
		}
		text, _, unit := s.bandText()
		for _, l := range text {
			unit += l.s
		}
		g := s.glances[0]
		_, under, _ := s.laneFigure(g)
		if n := strings.Count(strings.ReplaceAll(strings.ToLower(unit), "not lifted", ""), "lift"); n != 1 || strings.Contains(under+s.leftText(g, 12), "lift") {
			t.Fatalf("%s: it says %d times to lift:\n%s", a.Kind, n, ansi.Strip(s.View()))
		}
	}
	if !seen[session.NearRelease] || !seen[session.NotLifted] {
		t.Errorf("only %v", seen)
	}
}

// TestLettersAheadSayWhatTheyCount: over another page the figure in letters has its unit beside the line
// below, which is of other tubs.
func TestLettersAheadSayWhatTheyCount(t *testing.T) {
	for _, w := range []int{80, 120, 200} {
		h := newHand(t, 3, 12)
		unit := ""
		for range 60 {
			if c, _ := h.s.called(); c.unit != "" {
				unit = c.unit
				break
			}
			h.wait(30)
		}
		lines := Ahead(h.s.e, w, 40, true)
		if len(lines) < 4 || unit == "" {
			t.Fatalf("%d lines, unit %q", len(lines), unit)
		}
		for i, l := range lines {
			if l = ansi.Strip(l); ansi.StringWidthWc(l) != w || (i == 3) != strings.HasSuffix(strings.TrimSpace(l), " "+unit) {
				t.Errorf("%d wide, line %d: %q, want %q", w, i, l, unit)
			}
		}
	}
}

// TestLettersHurryNobody: a deed that its words have for when one can has no "now" in the letters.
func TestLettersHurryNobody(t *testing.T) {
	may, now := 0, 0
	for _, st := range tuitest.Stories() {
		s := storyOf(t, st, theme.Options{})
		p, ok := s.Prompt()
		c, called := s.called()
		if !ok || !called {
			continue
		}
		if can := s.soonOf(s.calledAct(p)).lead == whenYouCan; can && c.figure == "now" {
			t.Errorf("%s: %s %s %s, %s", st.Name, c.name, c.deed, c.figure, s.whenText(s.calledAct(p)))
		} else if can {
			may++
		} else if c.figure == "now" {
			now++
		}
	}
	if may == 0 || now == 0 {
		t.Errorf("%d when one can, %d now", may, now)
	}
}

// TestLettersNameWhatEnterWrites: one Enter tells of no deed that the letters, the first line and the foot, however
// narrow, have not named: who tips a tub out by its letters has not filled it.
func TestLettersNameWhatEnterWrites(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	h := newHand(t, 1, 0)
	for presses := 0; !h.day().AllRacked() && presses < 80; presses++ {
		h.wait(4)
		if h.phase(0) == "soak" {
			h.s.e.Now = h.day().Tubs[0].SoakEndAt(h.s.e.Now)
			h.wait(1)
		}
		p, _ := h.s.Prompt()
		c, called := h.s.called()
		first, foot := h.s.orders(p)[0].text, ""
		h.s.SetSize(40, 16)
		for _, it := range h.s.foot() {
			foot += it.Text + "  "
		}
		h.s.SetSize(120, 40)
		before := h.day().LastSeq
		_, boils := h.s.boilFirst()
		h.s.Update(tuitest.KeyOf("enter"))
		for _, r := range h.day().Told() {
			act, tub := session.ActOf(r.Event)
			says := map[shed.Action][3]string{
				shed.FillTub: {"fill", "FILL FOR", "filled"}, shed.SinkIn: {"", "LOWER", "in"}, shed.DrainTub: {"", "EMPTY", "emptied"},
				shed.SpinFibre: {"spin", "SPIN", "spun"}, shed.RackFibre: {"rack", "RACK", "on the rack"},
			}[act]
			if r.Seq <= before || tub < 0 || says[2] == "" || boils || !called {
				continue
			}
			if seen[says[2]] = true; !strings.Contains(c.deed, says[0]) && c.deed != callWords[shed.LoadNext] || !strings.Contains(first, says[1]) || !strings.Contains(foot, says[2]) && !strings.Contains(foot, "done") {
				t.Errorf("Enter wrote %q: letters %q, %q, foot %q", says[2], c.name+" "+c.deed, first, foot)
			}
		}
	}
	if len(seen) != 5 {
		t.Errorf("only %v", seen)
	}
}
