package washday

import (
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestLaneSaysTheReleaseWhole: beside a curve stands all of how long its bath stays warm enough,
// or none of it.
func TestLaneSaysTheReleaseWhole(t *testing.T) {
	seen, tried := 0, 0
	for _, st := range tuitest.Stories() {
		s := storyOf(t, st, theme.Options{NoColor: true})
		for h := 24; h <= 60; h += 3 {
			for _, w := range []int{80, 120, 200} {
				if tried++; !long.Turn(tried, 3) {
					continue
				}
				s.SetSize(w, h)
				if s.rooms.perTub < 2 || !s.rooms.axis {
					continue
				}
				_, axis := s.laneAxis()
				for i, g := range s.glances {
					words := ""
					for _, l := range s.curveLane(i, axis) {
						words += " " + strings.TrimSpace(string([]rune(ansi.Strip(l))[:s.curveWords()]))
					}
					release := s.releaseText(g)
					if release == "" {
						continue
					}
					first := draw.Wrapped(release, s.curveWords()-4)[0]
					if strings.Contains(words, first) {
						if seen++; !strings.Contains(words, release) {
							t.Fatalf("%s, %dx%d: of %q stands a part in %q", st.Name, w, h, release, words)
						}
					}
				}
			}
		}
	}
	if seen == 0 {
		t.Fatal("no lane says it")
	}
}

// TestLaneSaysADeedOnce: a lane of one line names what its tub waits for before the axis, not there again.
func TestLaneSaysADeedOnce(t *testing.T) {
	seen := 0
	for _, st := range tuitest.Stories() {
		s := storyOf(t, st, theme.Options{NoColor: true})
		s.SetSize(120, 24)
		_, axis := s.laneAxis()
		for i, g := range s.glances {
			if s.rooms.perTub > 1 || s.actOf(g.Prompt).Count.Of != coach.NoCount || g.Prompt.Kettle != coach.KettleReady {
				continue
			}
			line := s.lane(i, laneColumns(s.rooms.lanesW, s.longestName()), axis)
			if seen++; strings.Contains(line, g.Prompt.Title) {
				t.Errorf("%s: %s", st.Name, ansi.Strip(line))
			}
		}
	}
	if seen < 4 {
		t.Fatalf("only %d lanes wait for a deed", seen)
	}
}

// TestAlarmIsNoSmallerThanACall: in a high window an alarm's call has the letters that a quiet one has.
func TestAlarmIsNoSmallerThanACall(t *testing.T) {
	seen := 0
	for _, st := range tuitest.Stories() {
		s := storyOf(t, st, theme.Options{NoColor: true})
		for _, size := range [][2]int{{120, 34}, {120, 40}, {160, 50}, {200, 60}} {
			s.SetSize(size[0], size[1])
			c, ok := s.called()
			if !ok || !s.bandRings() || s.far || c.width(1) > size[0] {
				continue
			}
			if seen++; !strings.Contains(s.View(), paint.Figures(c.name+" "+c.deed, 1, false)[0]) {
				t.Errorf("%s, %v: small letters\n%s", st.Name, size, ansi.Strip(s.View()))
			}
		}
	}
	if seen == 0 {
		t.Fatal("no alarm rings")
	}
}

// TestLettersStandApart: two lines of large letters have air between them.
func TestLettersStandApart(t *testing.T) {
	c := call{name: "kettle", deed: "on", figure: "now"}
	for _, size := range [][2]int{{78, 14}, {78, 11}, {118, 26}} {
		lines := c.large(size[0], size[1], false)
		if len(lines) < 10 || !strings.Contains(strings.Join(lines, "\n"), "\n\n") {
			t.Errorf("%v:\n%s", size, strings.Join(lines, "\n"))
		}
	}
}

// TestMinutesOfLanesEndInOneColumn: of one digit or of two, in a lane of one line.
func TestMinutesOfLanesEndInOneColumn(t *testing.T) {
	for _, st := range tuitest.Stories() {
		s := storyOf(t, st, theme.Options{NoColor: true})
		s.SetSize(80, 24)
		_, axis := s.laneAxis()
		cols := laneColumns(s.rooms.lanesW, s.longestName())
		for i := range s.glances {
			before := []rune(ansi.Strip(s.lane(i, cols, axis)))[:cols.lead()]
			if at := strings.Index(string(before), " min "); at > 0 && ansi.StringWidthWc(string(before)[:at]) != cols.lead()-cols.left+1 {
				t.Errorf("%s: minutes end elsewhere in %q", st.Name, string(before))
			}
		}
	}
}

// TestCallIsNoOneWord: which deed and how soon stand well apart in large letters.
func TestCallIsNoOneWord(t *testing.T) {
	for _, name := range []string{"tub l", "tray", "north", "old blue", "m"} {
		c := call{name: name, deed: "empty", figure: "now"}
		left, right := c.sides(1)
		if gap := c.width(1) - left - right - 3; gap < 2*paint.FiguresWidth(" ", 0) {
			t.Errorf("%v: %d cells apart", c, gap)
		}
	}
}

// TestBandOfAnAlarmLooksLikeOne: where several tubs have alarms the band that speaks of one is in its
// colours, be it not the loudest.
func TestBandOfAnAlarmLooksLikeOne(t *testing.T) {
	for _, st := range tuitest.Stories() {
		if st.Name != "forgotten" {
			continue
		}
		s := storyOf(t, st, theme.Options{})
		s.SetSize(80, 24)
		for i, g := range s.glances {
			s.focus = i
			if !g.HasAlarm || !s.bandRings() || s.alarmStyle().Render("x") == s.e.Theme.Warn.Render("x") && s.e.Now.Unix()%2 == 0 {
				t.Errorf("%s has an alarm, and the band does not look like it", g.Name)
			}
		}
	}
}
