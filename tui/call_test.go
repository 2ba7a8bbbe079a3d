package tui

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/paint"
)

// TestCallStandsOnEveryPage: whatever page lies over a running day, it has the call: tub, deed and how
// soon of what comes first, in large letters where the window is high.
func TestCallStandsOnEveryPage(t *testing.T) {
	justNow := func(p *person, _ *base.Deps) { p.clock.Forward(-25 * time.Minute) }
	for _, way := range [][]string{{"d", "1"}, {"d", "5"}, {"d", "2"}, {"l"}, {"p"}, {"?"}, {"esc", "esc"}, {"esc", "esc", "f"}, {"esc", "esc", "k", "1"}} {
		p := newPerson(t, true, withFleeces, withOpenDay(3, 40), justNow)
		p.press("enter", "1")
		p.press(way...)
		d, now := p.app.env.Live.Day, p.app.env.Now
		first := coach.NextOf(d, now, p.app.env.Live.Plan, coach.Glances(d, now))[0]
		name := d.Plan.Kit.Tubs[first.Tub].Name
		large := name
		if first.Boil {
			large = "kettle"
		}
		for _, size := range [][2]int{{40, 12}, {40, 24}, {80, 24}, {120, 40}, {160, 50}, {200, 60}} {
			p.resize(size[0], size[1])
			if size[0] < 60 {
				p.says(name + ": ")
			} else if size[1] < 34 {
				p.says(name + ": " + first.Title)
			} else if row := paint.Figures(large, 0, false)[0]; !strings.Contains(p.view(), strings.TrimRight(row, " ")) {
				t.Errorf("%v %v: %s is not in large letters:\n%s", way, size, large, p.view())
			}
		}
	}
}
