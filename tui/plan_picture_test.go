package tui

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
)

// TestPlanShowsTheDay: under the plan stands the day as its timetable draws it, where a window has
// room for all of that, and not with hours that have passed.
func TestPlanShowsTheDay(t *testing.T) {
	p := planned(t)
	const legend = "▆ hands"
	for _, size := range [][2]int{{40, 12}, {120, 40}, {200, 60}, {80, 24}} {
		p.app.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		view := ansi.Strip(p.app.View())
		if strings.Contains(view, legend) != (size[1] > 12) {
			t.Errorf("%v:\n%s", size, view)
		}
		for _, tub := range p.ledger.HasKit.Tubs {
			if size[1] > 12 && !strings.Contains(view, "\n "+tub.Name) {
				t.Errorf("%v: no row of %s\n%s", size, tub.Name, view)
			}
		}
	}
	p.clock.Forward(time.Hour)
	p.wait(time.Second)
	p.app.Update(tea.WindowSizeMsg{Width: 120, Height: 40})
	if view := ansi.Strip(p.app.View()); strings.Contains(view, legend) {
		t.Errorf("an hour later it still begins then:\n%s", view)
	}
}
