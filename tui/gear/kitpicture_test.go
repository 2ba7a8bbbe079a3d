package gear

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// kitShown is the kit's screen in a window, under a title of two lines.
func kitShown(k shed.Kit, w, h int, o theme.Options) *kitScreen {
	e := tuitest.StoryEnv(session.Day{}, tuitest.StoryStart, o)
	e.Kit = k
	s := NewKit(e).(*kitScreen)
	s.SetSize(w, h-2)
	return s
}

// TestKitIsDrawnToScale: a tub of eight times the litres is twice as wide and as high, water stands as
// high as the bath does, a tray is lower than a bucket, and each has its litres under it.
func TestKitIsDrawnToScale(t *testing.T) {
	k := tuitest.StoryKit()
	k.Tubs = []shed.Tub{{Name: "Large", CapacityL: 40, FillL: 20}, {Name: "Small", CapacityL: 5, FillL: 5}, {Name: "Pan", CapacityL: 40, FillL: 20, Shape: cooling.Shallow}}
	k.Tank.VolumeL, k.Trays = 120, []shed.Tray{{Name: "top", Places: 2, Layers: 3}}
	s := kitShown(k, 120, 40, theme.Options{NoColor: true})
	of, highest := vessels(&s.E.Theme, &s.E.Kit, -1)
	size := map[string][3]int{}
	for _, v := range of {
		lines, w := v.drawn(10/highest, 10, false)
		water := 0
		for _, l := range lines {
			if strings.Contains(l, "█") {
				water++
			}
		}
		size[v.name] = [3]int{len(lines) - 1, w - 2, water}
	}
	if l, s := size["Large"], size["Small"]; l != [3]int{10, 20, 5} || s != [3]int{5, 10, 5} {
		t.Errorf("large %v, small %v: rows, cells, rows of water", l, s)
	}
	if p := size["Pan"]; p[0] >= 6 || p[1] <= 20 {
		t.Errorf("a pan is %v", p)
	}
	if len(of) != 6 {
		t.Error("a part of the kit is not drawn")
	}
	view := ansi.Strip(s.View())
	for _, want := range []string{"20 L of 40 L", "5 L of 5 L", "120 L", "room for 6", "kettle", "│ ─── ─── │"} {
		if !strings.Contains(view, want) {
			t.Errorf("no %q in\n%s", want, view)
		}
	}
}

// TestKitPictureFits: whatever the kit and the window, the picture is whole or not there.
func TestKitPictureFits(t *testing.T) {
	drawn := 0
	for tubs := 1; tubs <= 12; tubs++ {
		for _, size := range append(tuitest.Sizes, [2]int{79, 40}, [2]int{80, 30}, [2]int{100, 28}, [2]int{160, 50}) {
			for _, o := range []theme.Options{{}, {ASCII: true}} {
				k := tuitest.StoryPlan(tubs).Kit
				k.Trays = []shed.Tray{{Name: "tower", Places: 1, Layers: 9}}
				view := kitShown(k, size[0], size[1], o).View()
				tuitest.CheckFits(t, fmt.Sprint(tubs, " tubs ", size), view, size[0], size[1]-2, false)
				if got := strings.Count(ansi.Strip(view), "└"); got > 0 && got != tubs+1 {
					t.Errorf("%d tubs, %v: %d vessels\n%s", tubs, size, got, ansi.Strip(view))
				} else if got > 0 {
					drawn++
				}
			}
		}
	}
	if drawn < 40 {
		t.Errorf("drawn only %d times", drawn)
	}
}

// TestKitFillsItsWindow: where the kit is drawn it is as large as the width or the height lets it be.
func TestKitFillsItsWindow(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}, {160, 50}, {200, 60}} {
		s := kitShown(tuitest.StoryKit(), size[0], size[1], theme.Options{})
		lines := strings.Split(ansi.Strip(s.View()), "\n")[:size[1]-3] // without the foot
		wide, empty := 0, 0
		for _, l := range lines {
			wide = max(wide, ansi.StringWidthWc(strings.TrimRight(l, " ")))
			if strings.TrimSpace(l) == "" {
				empty++
			}
		}
		if wide < size[0]*9/10 && empty > 4 {
			t.Errorf("%v: %d cells wide, %d lines empty:\n%s", size, wide, empty, strings.Join(lines, "\n"))
		}
	}
}
