package tui

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/tuitest"
)

// TestNotWeighedYet: what was racked and not weighed has a forecast of its own, is to
// be weighed on the next morning, one time for all of them, and never at night.
func TestNotWeighedYet(t *testing.T) {
	p := newPerson(t, true, withOpenDay(3, 420))
	p.resize(120, 40)
	p.press("esc", "r")
	p.resize(80, 24)
	p.sees("A1", "A2", "A3", "B1") // a list of four has room
	p.resize(120, 40)
	for _, l := range strings.Split(p.view(), "\n") {
		if strings.Contains(l, "Invented Hill") && strings.Contains(l, " now ") {
			t.Errorf("to be weighed at once: %s", l)
		}
	}
	if n := strings.Count(p.view(), "Sun 07:00  Sun "); n != 4 {
		t.Errorf("%d of 4 batches are to be weighed on Sunday morning and dry on Sunday:\n%s", n, p.view())
	}
	p.says("not weighed yet; it should settle at about 119 g")
	p.says("weigh it Sun 07:00")
	p.everySize()
	for _, c := range []struct {
		day, hour   int
		wants, says string
	}{{15, 3, "07:00", "weigh it 07:00"}, {15, 9, "now", "weigh it now"}, {16, 3, "07:00", "weigh it 07:00"}, {18, 9, "now", "has passed: weigh it to be sure"}} {
		p.press("esc")
		p.clock.At = time.Date(2026, 3, c.day, c.hour, 0, 0, 0, time.UTC)
		p.press("r")
		for _, l := range strings.Split(p.view(), "\n") {
			if strings.Contains(l, "Invented Hill") && strings.Contains(l, "Sat 1") && !strings.Contains(l, " "+c.wants+" ") {
				t.Errorf("on %d March at %d: %s", c.day, c.hour, l)
			}
		}
		p.says(c.says)
	}
}

// TestWeighingNamesItsBatch: whose weight is asked for stands in large letters where there is
// room, and in the title everywhere.
func TestWeighingNamesItsBatch(t *testing.T) {
	for _, keys := range [][]string{{"r", "enter"}, {"r", "down", "enter"}, {"r", "d"}, {"d", "down", "enter", "w"}} {
		p := newPerson(t, true, withRecord)
		p.resize(80, 24)
		p.press(keys...)
		batch := "A1"
		if len(keys) == 3 {
			batch = "A2"
		}
		p.sees(paint.Figures(batch, 0, false)...)
		p.resize(40, 12)
		if len(keys) != 4 { // there it is a field
			p.sees("Weigh " + batch)
		}
	}
}

// TestRangeIsSaidAsARange: once a batch is likely dry, the end of the range is told as what
// it is: nine in ten are dry by then, not all.
func TestRangeIsSaidAsARange(t *testing.T) {
	p := newPerson(t, true, withOpenDay(3, 420))
	p.resize(140, 40)
	for h := range 48 {
		p.press("esc")
		p.clock.At = time.Date(2026, 3, 15, 9+h, 0, 0, 0, time.UTC)
		p.press("r")
		if view := p.view(); strings.Contains(view, ", nine in ten are dry by ") {
			return
		} else if strings.Contains(view, "at the latest") || h == 47 {
			t.Fatalf("after %d h:\n%s", h, view)
		}
	}
}

// TestWeighedAndSlept: a batch that was weighed is not asked for at night either.
func TestWeighedAndSlept(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.clock.At = time.Date(2026, 3, 18, 2, 0, 0, 0, time.UTC)
	p.press("r")
	p.sees("138 g  07:00", "200 g  07:00")
}

// TestCorrectionHoldsWhileItsFormIsOpen: a weight that is said to take the place of the
// last one does so, however long the person looks before Enter.
func TestCorrectionHoldsWhileItsFormIsOpen(t *testing.T) {
	for _, later := range []time.Duration{time.Second, 12 * time.Minute} {
		p := newPerson(t, true, withRecord)
		weigh := func(g string) {
			p.press("home", "enter") // A1: the list goes on to the next one
			p.sees("Weigh A1")
			p.types(g)
			p.press("enter", "enter")
		}
		p.press("r")
		weigh("136")
		p.settled()
		weigh("126")
		p.says("A1 was weighed just now: 136 g. 126 g takes its place. Right? Press Enter again")
		p.wait(later)
		p.press("enter")
		p.settled()
		recs, _ := p.journal.Events(2)
		wet := session.Replay(recs).Fate["A1"].Wet
		if n := len(wet); n != 3 || wet[n-1].MassG != 126 {
			t.Errorf("after %v: %+v", later, wet)
		}
	}
}

// TestRangeGoesOnPastTheLastWeight: the air that was dry at the last weight is damp some other
// day, so the range that is shown has its own upper end.
func TestRangeGoesOnPastTheLastWeight(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(160, 40)
	p.wait(50 * time.Hour)
	p.press("r", "home", "enter")
	p.types("108")
	p.press("enter", "enter")
	p.settled()
	p.says("A1: 108 g now, down 30 g since Mon 13:52; it should settle at about 10")
	m := regexp.MustCompile(`\(\d+ g to (\d+) g\)`).FindStringSubmatch(p.view())
	if m == nil || len(m[1]) != 3 || m[1] <= "108" {
		t.Errorf("the range ends at %v:\n%s", m, p.view())
	}
}

// TestAWeightPutRightNextDay: where a batch weighs far more than before, what the weight before
// was is asked: one that was mistyped is replaced, and nothing is said to have got wet.
func TestAWeightPutRightNextDay(t *testing.T) {
	for _, mistyped := range []bool{true, false} {
		p := newPerson(t, true, withRecord)
		p.resize(120, 40)
		p.wait(26 * time.Hour)
		p.press("r", "home", "enter")
		p.sees("Weigh A1")
		p.types("155")
		p.press("enter", "enter")
		p.sees("138 g on Mon 13:52, 155 g now")
		p.everySize()
		if mistyped {
			p.press("down", "enter")
		} else {
			p.press("enter")
			p.says("is it A1, not A2?")
			p.wait(3 * time.Second)
			p.press("enter")
		}
		p.settled()
		recs, _ := p.journal.Events(2)
		wet := session.Replay(recs).Fate["A1"].Wet
		if n := len(wet); mistyped != (n == 2) || wet[n-1].MassG != 155 || wet[0].MassG != 170 {
			t.Errorf("mistyped %t: %+v", mistyped, wet)
		}
		if mistyped {
			p.says("A1: 155 g now, in place of 138 g; it should settle at about")
			p.seesNot("got wet")
		} else {
			p.says("it got wet, or this is another batch")
		}
		p.wait(time.Hour) // a figure that is no longer heavier takes no place
		p.press("home", "enter")
		p.types("200")
		p.press("enter", "enter", "down", "shift+tab", "shift+tab")
		p.types("130")
		p.press("enter", "enter")
		p.wait(3 * time.Second)
		p.press("enter")
		p.settled()
		recs, _ = p.journal.Events(2)
		if now := session.Replay(recs).Fate["A1"].Wet; len(now) != len(wet)+1 {
			t.Errorf("mistyped %t, then a lighter one: %+v", mistyped, now)
		}
	}
}

// TestHowItCameOut: a key says how a batch came out; the look-back and its fleece's card
// have it.
func TestHowItCameOut(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("r", "down", "h")
	p.sees("How it came out", "A1", "A2")
	p.press("x")
	p.sees("still waxy")
	p.everySize()
	p.press("t", "c", "o", "n")
	p.types("britch end")
	p.press("enter")
	p.settled()
	p.sees("clean, tips stuck, soft; britch end")
	p.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("xf"), Paste: true}) // no finding
	p.press("up", "c", "c")                                                  // again: taken back
	p.settled()
	recs, _ := p.journal.Events(2)
	fate := session.Replay(recs).Fate
	if a1, a2 := fate["A1"].Out.String(), fate["A2"].Out.String(); a1 != "" || a2 != "clean, tips stuck, soft; britch end" {
		t.Errorf("A1 %q, A2 %q", a1, a2)
	}
	p.press("esc", "u", "u")
	p.says("undone: how A1 came out")
	p.settled()
	p.press("esc", "d", "enter")
	p.says("came out clean, tips stuck, soft; britch end")
	p.press("h", "s")
	p.settled()
	p.press("esc")
	p.says("came out clean, stained")
	p.press("esc", "esc", "f", "enter")
	p.sees("came out", "stained", "tips stuck", "britch end")
}

// TestDoubtIsReadFirst: an Enter that bounces does not answer what a weight is asked about.
func TestDoubtIsReadFirst(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("r", "d")
	p.types("150")
	p.press("enter", "enter", "enter", "down", "enter")
	p.send(tuitest.KeyOf("enter"))
	p.says("A1: 150 g dry is heavier than the 138 g it weighed on")
	p.press("enter")
	p.settled()
	p.says("A1: 150 g dry of 200 g raw, yield 75 %")
}

// TestNothingAsksForThePast: whatever the hour, no time that is to come is past.
func TestNothingAsksForThePast(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(140, 40)
	clockTime := regexp.MustCompile(`(\w{3} |today |)(\d\d:\d\d)`)
	recs, _ := p.journal.Events(2)
	var moments []time.Time
	for _, batch := range []string{"A1", "A2"} {
		x := must.Get(session.Replay(recs).Drying(batch)).In(t)
		for _, at := range []time.Time{x.WeighAt, x.DryAt, x.DryLatest} {
			for min := -9; min < 2; min++ {
				moments = append(moments, at.Add(time.Duration(min)*time.Minute))
			}
		}
	}
	for _, at := range moments {
		p.clock.At = at
		p.press("r")
		now := p.clock.At
		for _, l := range strings.Split(p.view(), "\n") {
			at := strings.Index(l, " weigh ")
			switch {
			case strings.Contains(l, "A1  ") || strings.Contains(l, "A2  "): // behind what it lies on and since when
				m := clockTime.FindStringIndex(l)
				if m == nil {
					continue
				}
				l = l[m[1]:]
			case strings.Contains(l, "rest at about"):
			case at < 0:
				continue
			}
			for _, m := range clockTime.FindAllStringSubmatch(l, -1) {
				day := strings.TrimSpace(m[1])
				past := (len(day) != 3 || day == now.Format("Mon")) && m[2] <= now.Format("15:04")
				for back := 1; back <= 3; back++ {
					past = past || day == now.AddDate(0, 0, -back).Format("Mon")
				}
				if past {
					t.Errorf("at %s: %s: %s", now.Format("Mon 15:04"), m[0], l)
				}
			}
		}
		p.press("esc")
	}
}

// withRack has so many batches of one fleece on the rack, and the next morning.
func withRack(n int) func(*person, *base.Deps) {
	return func(p *person, _ *base.Deps) {
		plan := tuitest.StoryPlan(2)
		plan.Kit.Scales = []shed.Scale{{Name: "kitchen", StepG: 1}}
		p.ledger.HasKit = &plan.Kit
		plan.Batches = nil
		for range n {
			plan.Batches = append(plan.Batches, shed.Batch{FleeceID: "f1", RawG: 200, Presoak: shed.PresoakNone})
		}
		sessiontest.StartAt(p.t, plan, tuitest.StoryStart).Rack(2).Do(session.EndDay{}).Keep(p.journal)
		p.clock.At = time.Date(2026, 3, 15, 8, 0, 0, 0, time.UTC)
	}
}

// TestNextToWeigh: the mark goes to the next batch that wants a weight, so that the
// weights of a rack are typed one after the other; all rows are in sight.
func TestNextToWeigh(t *testing.T) {
	for _, c := range []struct{ n, w, h int }{{7, 100, 30}, {5, 80, 24}} {
		p := newPerson(t, true, withRack(c.n))
		p.resize(c.w, c.h)
		p.press("r")
		for i := range c.n {
			p.sees(fmt.Sprintf(" A%d ", i+1))
		}
		p.seesNot(" below")
		for i := range c.n {
			p.sees(fmt.Sprintf("▸ A%d ", i+1))
			p.press("enter")
			p.sees(fmt.Sprintf("Weigh A%d", i+1))
			p.types(fmt.Sprint(150 + i))
			p.press("enter", "enter")
			p.settled()
			if i < c.n-1 { // the message says whose figure is asked for next
				p.says(fmt.Sprintf("Next: A%d, due ", i+2))
			}
			next := regexp.MustCompile(fmt.Sprintf(`Next: A%d, due ((?:\w{3} )?\d\d:\d\d)`, i+2)).FindStringSubmatch(strings.Join(strings.Fields(p.view()), " "))
			if i < c.n-1 && c.w == 100 && (next == nil || !regexp.MustCompile(fmt.Sprintf(`A%d +Old.* %s `, i+2, next[1])).MatchString(p.view())) { // as its own line has it
				t.Errorf("after A%d: %v\n%s", i+1, next, p.view())
			}
			p.wait(time.Second)
			for j := range c.n - 1 { // the list stays as it is under the hand
				if v := p.view(); strings.Index(v, fmt.Sprintf(" A%d     Old", j+1)) > strings.Index(v, fmt.Sprintf(" A%d     Old", j+2)) {
					t.Fatalf("after A%d:\n%s", i+1, v)
				}
			}
		}
		d, _ := p.journal.Day(1)
		for i, b := range d.Plan.Batches {
			if wet := d.Fate[b.ID].Wet; len(wet) != 1 || wet[0].MassG != float64(150+i) {
				t.Errorf("%s: %v", b.ID, wet)
			}
		}
	}
}

// TestHumidityOfTheLastHour: the room of the batch before is offered for the next one.
func TestHumidityOfTheLastHour(t *testing.T) {
	p := newPerson(t, true, withRack(3))
	p.wait(30 * time.Hour)
	p.press("r", "d")
	p.types("106")
	p.press("enter")
	p.types("62")
	p.press("enter")
	p.types("hanging 2 g")
	p.press("enter")
	p.says("A1: 106 g, one weight can't show it's dry. Should settle at about 106 g (100 g to 110 g). Weigh again Tue 07:00.")
	p.press("down", "enter")
	p.settled()
	p.says("A1: 106 g dry of 200 g raw, yield 53 %")
	p.wait(time.Second)
	p.sees("How it came out")
	p.press("esc", "d")
	p.sees("Weigh A2", "> 62", "> hanging 2 g")
	p.press("esc")
	p.wait(time.Hour)
	p.press("d")
	p.seesNot("> 62")
}

// TestTagAfterBagging: who has bagged a batch is told how to come by its tag, there and on
// the fleece's card.
func TestTagAfterBagging(t *testing.T) {
	p := newPerson(t, true, withRecord, withAlong)
	p.resize(40, 12)
	p.wait(40 * time.Hour)
	p.press("r", "d")
	p.types("122")
	p.press("enter", "enter", "enter", "down", "enter")
	p.settled()
	p.resize(120, 40)
	p.says("A1: 122 g dry of 200 g raw, yield 61 %. s on its fleece's card saves or prints tags to tie to the bags")
	p.sees("How it came out")
	p.press("x") // on its way already: no finding
	p.wait(time.Second)
	p.press("c", "esc", "esc", "f", "enter")
	p.says("s saves or prints tags to tie to the bags")
	p.sees("s save or print")
	p.says("clean")
	p.seesNot("still waxy")
}

// TestRackIsDrawnAsItIs: at every size each batch stands on its tray, the drawing takes the width there
// is, and a batch of which nobody knows that it is dry is never drawn dry to the edge.
func TestRackIsDrawnAsItIs(t *testing.T) {
	for _, later := range []bool{false, true} {
		sets := []func(*person, *base.Deps){withRecord}
		if later {
			sets = append(sets, weeksLater)
		}
		p := newPerson(t, true, sets...)
		p.press("r")
		p.settled()
		for _, sz := range slices.Concat(between, tuitest.Sizes) {
			p.resize(sz[0], sz[1])
			lines := strings.Split(p.view(), "\n")
			drawn := slices.DeleteFunc(slices.Clone(lines), func(l string) bool { return strings.Count(l, "│") != 2 })
			if len(drawn) == 0 {
				if sz[0] >= 80 && sz[1] >= 24 {
					t.Errorf("%v: no rack:\n%s", sz, p.view())
				}
				continue
			}
			for _, l := range drawn {
				if w := ansi.StringWidthWc(strings.TrimRight(l, " ")); w < sz[0]*9/10 {
					t.Errorf("%v: %d cells wide:\n%s", sz, w, p.view())
					break
				}
			}
			all := strings.Join(drawn, "\n")
			if strings.Count(all, "A1") != 1 || strings.Count(all, "A2") != 1 || strings.Index(all, "top") > strings.Index(all, "A1") || strings.Index(all, "tower") > strings.Index(all, "A2") {
				t.Errorf("%v: a batch does not stand once on its tray:\n%s", sz, p.view())
			}
			if !later && strings.Contains(all, "█│") {
				t.Errorf("%v: drawn dry:\n%s", sz, p.view())
			}
			if !strings.Contains(p.view(), "till dry") {
				t.Errorf("%v: nothing says what the signs mean:\n%s", sz, p.view())
			}
		}
	}
}

// TestListsAreDrawnBeside: where the columns of a list leave room, each fleece and day is a bar there,
// wider for more wool and no wider than the window.
func TestListsAreDrawnBeside(t *testing.T) {
	for _, key := range []string{"f", "d"} {
		p := newPerson(t, true, withRecord)
		p.press(key)
		p.settled()
		for _, sz := range [][2]int{{80, 24}, {120, 40}, {160, 50}, {200, 60}} {
			p.resize(sz[0], sz[1])
			rows, used := strings.Split(p.view(), "\n")[3:5], 0
			for _, l := range rows {
				used = max(used, ansi.StringWidthWc(strings.TrimRight(l, " ")))
			}
			if used < sz[0]*3/4 {
				t.Errorf("%s at %v: the list leaves %d cells empty:\n%s", key, sz, sz[0]-used, p.view())
			}
			if sz[0] >= 160 {
				if n := strings.Count(rows[0]+rows[1], "▆"); n < 5 {
					t.Errorf("%s at %v: %d cells of clean wool are drawn:\n%s", key, sz, n, p.view())
				}
			}
		}
	}
}

// TestBesideFitsAnyWidth: what the signs beside a list mean is told whole or not at all, however few
// cells the columns leave.
func TestBesideFitsAnyWidth(t *testing.T) {
	p := newPerson(t, true, withPastDay(2))
	p.press("d")
	for w := 80; w <= 140; w++ {
		p.resize(w, 24) // which holds that nothing is cut
	}
	p.sees("╍ not weighed")
}
