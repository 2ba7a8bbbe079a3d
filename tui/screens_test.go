package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/gear"
	"fleece.example/tubside/tui/tuitest"
	"fleece.example/tubside/tui/washday"
)

func TestKitScreen(t *testing.T) {
	p := newPerson(t, true)
	p.press("3") // home: the third line
	p.sees("hot tap 51 °C", "Tub Tray", "under a lid", "4.5 mL")
	p.everySize()
	p.press("u", "down", "enter")
	p.sees("hot tap 124 °F", "3 gal 1 qt")
	p.press("u", "up", "enter", "a")
	p.types("Zinc")
	p.press("ctrl+s")
	p.sees("Tub Zinc")
	if k := p.ledger.HasKit; len(k.Tubs) != 4 || k.Tubs[3].ID == "" || k.Tubs[3].Name != "Zinc" {
		t.Fatalf("tubs %+v", k.Tubs)
	}
	p.press("x")
	p.sees("x again")
	if len(p.ledger.HasKit.Tubs) != 4 {
		t.Fatal("one press took a tub out")
	}
	p.press("x", "up", "x", "x", "up", "x", "x")
	if n := len(p.ledger.HasKit.Tubs); n > 2 {
		t.Fatalf("%d tubs left:\n%s", n, p.view())
	}
	p.press("home", "x")
	p.says("only tubs can be removed")
	for range 4 {
		p.press("home", "down", "down", "down", "down", "x", "x")
	}
	p.says("a kit needs a tub")
	p.ledger.Err = errors.New("disk full")
	p.press("u", "down", "enter")
	p.says("couldn't be saved: disk full")
}

func TestHomeKeysAndMouse(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.says("No day is running")
	for _, way := range [][2]string{{"f", "Old Grey"}, {"k", "Room and water"}, {"m", "built in"}, {"d", "No day yet"}, {"?", "Keys on every"}, {"2", "Old Grey"}, {"6", "Nothing is drying"}, {"7", "No alarm"}, {"8", "Keys on every"}, {"r", "dry: weighed at two times of day"}} {
		p.press(way[0])
		p.sees(way[1])
		p.press("esc")
		p.sees("Plan a wash day")
	}
	p.press("home", "down", "down", "enter")
	p.sees("Room and water")
	p.press("esc")
	p.click("Methods")
	p.sees("built in")
	p.press("esc", "home", "enter")
	p.sees("No batch yet")
	p.press("esc", "q")
	if !p.quit {
		t.Error("q did not quit")
	}
}

// TestRunningDayUnderTheOtherScreens: the obvious line goes back to the tubs, a
// closed program is warned of, alarms show on top and Esc goes to them.
func TestRunningDayUnderTheOtherScreens(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.press("p", "enter", "enter", "enter", "enter", "2", "2", "5", "ctrl+s", "s")
	p.sees("FILL")
	if !p.app.env.Live.Day.Running() || len(p.app.stack) != 2 {
		t.Fatalf("the day is not on top of home: %d screens", len(p.app.stack))
	}
	if len(p.app.env.Planned.Plan.Batches) != 0 {
		t.Error("the plan was kept although its day has begun")
	}
	p.press("esc")
	p.sees("To the tubs", "A day is running")
	p.everySize()
	p.press("q")
	p.says("no alarms ring")
	if p.quit {
		t.Fatal("one q quit with a day running")
	}
	p.press("enter")
	p.sees("FILL")
	p.press("esc", "p") // more batches for the day
	p.press("ctrl+s")
	if n := len(p.app.env.Live.Day.Plan.Batches); n != 2 {
		t.Fatalf("%d batches in the day:\n%s", n, p.view())
	}
	p.press("f", "p", "enter", "enter", "enter", "4", "0", "0", "ctrl+s")
	if n := len(p.app.env.Live.Day.Plan.Batches); n != 4 {
		t.Fatalf("%d batches in the day:\n%s", n, p.view())
	}
	p.press("esc", "k", "1", "2", "2", "ctrl+s") // the room has warmed
	if got := p.app.env.Live.Day.Plan.Kit.RoomC; got != 22 {
		t.Errorf("the running day has a room of %v", got)
	}
	p.press("end", "up", "up", "up", "x", "x")
	p.says("part of the running day")
	p.press("esc", "enter", "enter", "enter") // fill, sink in
	for range 20 {                            // into the wash, and left there
		if tub := p.app.env.Live.Day.Tubs[0]; tub.Phase == shed.Soaking && tub.Bath.Step.HasRelease() {
			break
		}
		p.wait(20 * time.Minute)
		p.press("1", "enter", "enter")
	}
	p.press("esc", "esc", "esc", "f")
	p.wait(50 * time.Minute)
	p.sees("North: ")
	p.press("esc")
	p.sees("ALARM")
}

func TestGoOn(t *testing.T) {
	p := newPerson(t, true, withOpenDay(3, 50))
	p.sees("still open", "Sat 14 Mar 2026", "09:00", "North")
	p.says("Last written down 26 minutes ago, at 09:48")
	p.wait(5 * time.Minute)
	p.says("Last written down 31 minutes ago, at 09:48")
	p.everySize()
	p.press("enter")
	if !p.app.env.Live.Day.Running() || len(p.app.env.Live.Day.Resumed) != 1 {
		t.Fatalf("the day was not taken up:\n%s", p.view())
	}
	if _, ok := p.app.top().(*washday.Screen); !ok {
		t.Fatalf("not at the tubs:\n%s", p.view())
	}
}

func TestGoOnClosesTheDay(t *testing.T) {
	p := newPerson(t, true, withOpenDay(2, 30))
	p.press("x")
	p.says("x again")
	if _, open, _ := p.journal.OpenDay(); !open {
		t.Fatal("one press closed the day")
	}
	p.press("x")
	p.sees("Plan a wash day")
	if p.app.env.Live.Day.Running() {
		t.Fatal("the day still runs")
	}
	p.press("d", "enter")
	p.sees("ended early")
}

func TestFleeces(t *testing.T) {
	p := newPerson(t, true)
	p.press("f")
	p.sees("No fleece yet", "a adds the first one")
	p.everySize()
	p.press("a", "enter")
	p.says("needs a sheep's name")
	p.types("Old Grey")
	p.press("enter")
	p.types("Invented Hill")
	p.press("enter", "2", "0", "2", "5", "enter", "enter")
	p.says("type a ")
	p.types("3 lb")
	p.press("enter", "enter")
	p.types("shoulder 1 lb 4 oz, britch")
	p.press("enter")
	p.says("isn't a part with its weight")
	p.types("shoulder 1 lb 4 oz, britch 2 lb")
	p.press("enter")
	p.says("the parts of this fleece add up to 1.47 kg, but the fleece weighs 1.36 kg")
	p.types("shoulder 1 lb 4 oz; britch 0,3 kg")
	p.press("enter", "left", "enter", "right", "enter", "enter")
	p.types("9.5 cm")
	p.press("enter")
	p.types("moorit")
	p.press("enter")
	p.types("stained tips")
	p.press("enter")
	if len(p.ledger.Have) != 1 {
		t.Fatalf("no fleece:\n%s", p.view())
	}
	f := p.ledger.Have[0]
	if f.Animal != "Old Grey" || f.Year != 2025 || f.Notes != "stained tips" || f.Type != shed.Fine || f.Wax != shed.High || f.RawG < 1360 || f.RawG > 1361 || f.StapleMM != 95 || f.Colour != "moorit" || f.SkirtedG != 0 || len(f.Parts) != 2 || f.Parts[0].Name != "shoulder" || f.Parts[1] != (shed.FleecePart{Name: "britch", RawG: 300}) {
		t.Errorf("kept %+v", f)
	}
	p.sees("Old Grey", "1.36 kg", "stained tips")
	p.press("enter")
	p.sees("2025", "staple 95 mm, moorit", "1.36 kg still to wash", "shoulder 567 g, britch 300 g, not sorted 494 g", "nothing weighed dry yet", "none yet: p plans")
	p.everySize()
	p.press("esc")
	p.press("e", "enter", "enter", "ctrl+u", "enter", "ctrl+s") // the year is not known after all
	if f := p.ledger.Have[0]; f.Year != 0 || f.RawG < 1360 || f.ID == "" || len(p.ledger.Have) != 1 {
		t.Errorf("changed to %+v", f)
	}
	p.everySize()
}

func TestPlan(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.press("f", "down", "p") // with Old Grey
	p.sees("Which fleece")
	p.press("enter", "enter", "enter", "9", "0", "0", "ctrl+s")
	p.sees("A1", "A4", "waits", "North", "900 g of 3 kg", "is the hot tap still 51 °C today?")
	p.everySize()
	p.press("a", "home", "enter", "right", "tab", "tab", "3", "0", "0", "0", "tab", "3", "0", "0", "ctrl+s")
	p.says("add up to 3 kg, but the fleece weighs 2 kg")
	p.press("shift+tab", "shift+tab", "shift+tab")
	p.sees("> 3000", "> 300", "makes 10 batches of 300 g")
	p.press("shift+tab")
	p.types("britch")
	p.press("tab")
	p.types("115")
	p.press("tab", "tab", "tab")
	p.types("3")
	p.press("ctrl+s")
	p.sees("B1", "locks", "britch", "115 g")
	p.press("K", "K", "shift+up", "K", "K", "K") // to the top, and no further
	if b := p.app.env.Planned.Plan.Batches; b[0].FleeceID != "f2" || b[0].RawG != 115 || len(b) != 5 {
		t.Fatalf("the order is %+v", b)
	}
	p.press("J", "e", "enter", "1", "2", "0", "enter", "enter", "right", "enter", "enter")
	if b := p.app.env.Planned.Plan.Batches[1]; b.RawG != 120 || b.Presoak != shed.PresoakNone || b.Form != shed.Locks || b.Part != "britch" || b.Layers != 3 {
		t.Fatalf("changed to %+v", b)
	}
	p.press("d")
	p.says("d again")
	p.press("d")
	if n := len(p.app.env.Planned.Plan.Batches); n != 4 {
		t.Fatalf("%d batches", n)
	}
	p.press("w", "tab", "4", "8", "ctrl+s")
	p.sees("hot tap 48 °C; w changes them") // nobody asks for what was typed just now
	p.press("esc", "esc", "p")              // leaving loses nothing
	p.sees("A4")
	p.press("s")
	d := p.app.env.Live.Day
	if !d.Running() || len(d.Plan.Batches) != 4 || d.Plan.Batches[0].ID != "A1" || len(d.Plan.Fleeces) != 1 || d.Plan.Kit.HotTapC != 48 {
		t.Fatalf("the day is %+v", d.Plan)
	}
}

// TestPlanWithANewFleece leads through the fleece and comes back to its batches.
func TestPlanWithANewFleece(t *testing.T) {
	p := newPerson(t, true)
	p.press("p")
	p.sees("No batch yet")
	p.everySize()
	p.press("enter")
	p.types("Woolly")
	p.press("enter", "enter", "enter")
	p.types("0.4 kg")
	p.press("enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter", "enter")
	p.sees("How much of it", "> 400", "> 225")
	p.press("enter", "enter")
	p.types("450")
	p.press("ctrl+s")
	p.says("but the fleece weighs 400 g")
	p.press("shift+tab", "shift+tab")
	p.types("400")
	p.press("enter")
	p.sees("makes 2 batches of 200 g")
	p.press("enter", "enter")
	p.sees("A2", "Woolly", "200 g")
	if len(p.ledger.Have) != 1 {
		t.Errorf("fleeces %+v", p.ledger.Have)
	}
	p.press("m", "enter", "s")
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("the day did not start:\n%s", p.view())
	}
}

func TestPlanSaysWhatIsWrong(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.press("p", "s")
	p.says("the day has no batch: choose a fleece and put at least one batch in a basket")
	p.press("a", "ctrl+s")
	p.journal.Fail(errors.New("disk full"))
	p.press("s")
	p.says("disk full")
	p.journal.Fail(nil)
	p.journal.Sums[7] = ledger.Summary{ID: 7, StartedAt: tuitest.StoryStart}
	p.press("s")
	p.says("a day is still open")
	if p.app.env.Live.Day.Running() {
		t.Fatal("a day was started over an open one")
	}
	delete(p.journal.Sums, 7)
}

func TestMethods(t *testing.T) {
	p := newPerson(t, true)
	p.press("m")
	p.sees("Hot wash, two rinses", "built in")
	p.everySize()
	p.press("x")
	p.says("the built-in method stays")
	p.press("enter")
	p.sees("first rinse", "49 °C", "sink")
	p.everySize()
	p.press("down", "e") // the wash: a copy is named first
	p.types("Gentle")
	p.press("ctrl+s")
	p.sees("Gentle: hot wash")
	p.press("enter", "enter", "2", "5", "enter", "3", "0", "enter", "enter", "1", "5", "enter")
	p.says("shorter than the shortest allowed")
	p.press("shift+tab", "shift+tab", "ctrl+u", "1", "8", "enter", "enter", "enter")
	p.sees("Scour goes in")
	p.press("enter", "enter", "enter", "enter", "enter", "6", "3", "enter", "6", "4", "enter")
	p.says("is above the bath")
	p.types("60")
	p.press("enter", "6", "5", "enter")
	p.says("starts no warmer than its lift-by")
	p.press("5", "0", "enter", "right", "enter", "5", "0", "enter") // the first key replaces what was refused
	if len(p.ledger.Own) != 1 {
		t.Fatalf("methods %+v\n%s", p.ledger.Own, p.view())
	}
	w := p.ledger.Own[0].Steps[1]
	if w.SoakMin != 25 || w.ShortestMin != 18 || w.AimC != 63 || w.LowestSinkC != 60 || w.ReleaseC != 50 || w.TwiceForHighWax || w.HangMin != 15 || w.DosePart != 0.5 {
		t.Errorf("the wash is %+v", w)
	}
	if b := shed.BuiltInMethod().Steps[1]; b.SoakMin != 20 {
		t.Error("the built-in method has changed")
	}
	p.press("K", "K") // the wash first, and no further
	p.press("J", "end", "K")
	p.says("spin before you rack")
	p.press("home", "a", "ctrl+s")
	if s := p.ledger.Own[0].Steps; len(s) != 7 || s[1].Kind != shed.Rinse {
		t.Errorf("steps %+v", s)
	}
	p.press("x")
	p.says("x again")
	p.press("x", "n")
	p.types("Gentler")
	p.press("ctrl+s", "esc")
	p.sees("Gentler", "yours")
	p.press("c", "ctrl+s")
	p.sees("My Gentler")
	p.press("x", "x")
	p.seesNot("My Gentler  ")
	if len(p.ledger.Own) != 1 || len(p.ledger.Own[0].Steps) != 6 || p.ledger.Own[0].Name != "Gentler" {
		t.Errorf("methods %+v", p.ledger.Own)
	}
	p.press("esc", "p", "m", "down", "enter") // and a day can be planned with it
	p.sees("Method  Gentler")
}

func TestManyRows(t *testing.T) {
	p := newPerson(t, true)
	for i := range 120 {
		f := shed.Fleece{ID: fmt.Sprint("x", i), Animal: "Ewe " + string(rune('A'+i%26)) + strings.Repeat("'", i/26), RawG: 1000}
		p.ledger.Have = append(p.ledger.Have, f)
	}
	p.press("f", "end")
	for range 130 {
		p.press("up")
	}
	p.sees("101 more below")
	p.press("pgdown", "pgdown", "end")
	p.everySize()
	p.press("esc", "p", "a")
	p.press("end")
	p.sees("a new fleece")
	p.everySize()
	p.press("up")
	p.sees("> Ewe")
}

func TestGridGivesWay(t *testing.T) {
	g := base.Grid{Cols: []base.Column{{Title: "one", Name: true}, {Title: "two", Name: true, Spare: 2}, {Title: "n", Right: true}, {Title: "three", Name: true, Spare: 1}}}
	g.SetRows([][]string{{strings.Repeat("long ", 8), "second", "12 g", "third"}})
	for _, tt := range []struct {
		w    int
		want []int
	}{
		{100, []int{40, 6, 4, 5}}, {45, []int{24, 6, 4, 5}}, {30, []int{17, -1, 4, 5}}, {18, []int{12, -1, 4, -1}}, {12, []int{6, -1, 4, -1}},
	} {
		got := g.Widths(tt.w)
		for i := range got {
			if got[i] != tt.want[i] {
				t.Errorf("in %d cells: %v, want %v", tt.w, got, tt.want)
				break
			}
		}
	}
	// A name is not cut beside room that another column left.
	g = base.Grid{Cols: []base.Column{{Title: "method", Name: true}, {Title: "whose"}, {Title: "steps", Spare: 1}}}
	g.SetRows([][]string{{"Hot wash, two rinses", "built in", "presoak, hot wash, first rinse, second rinse, spin, rack"}})
	if got := g.Widths(40); !slices.Equal(got, []int{20, 8, -1}) {
		t.Errorf("beside free room: %v", got)
	}
}

func TestFigures(t *testing.T) {
	for _, tt := range []struct {
		q    form.Quantity
		u    measure.System
		text string
		want float64
	}{
		{form.TempStep, measure.US, "18", 10}, {form.TempStep, measure.US, "10 C", 10}, {form.TempStep, measure.Metric, "18 F", 10}, {form.TempStep, measure.Metric, "12", 12},
		{form.TempStep.OrNone(), measure.US, "none", 0}, {form.TempStep.OrNone(), measure.US, "", 0}, {gear.Percentage, measure.Metric, "95", 0.95},
		{form.Rate, measure.Metric, "4.5", 4.5}, {form.Rate, measure.US, "1", measure.MLPerUSTsp * 100 / (4 * measure.GPerOz)}, {form.Duration, measure.US, "1 h 30", 90},
	} {
		got, err := tt.q.Parse(tt.u, tt.text)
		if err != nil || got < tt.want-1e-9 || got > tt.want+1e-9 {
			t.Errorf("%q in %v is %v, %v; want %v", tt.text, tt.u, got, err, tt.want)
		}
		back, err := tt.q.Parse(tt.u, tt.q.Show(tt.u, tt.want))
		if err != nil || back < tt.want*0.99-1e-9 || back > tt.want*1.01+1e-9 {
			t.Errorf("%v in %v shows as %q, which reads as %v (%v)", tt.want, tt.u, tt.q.Show(tt.u, tt.want), back, err)
		}
	}
}

// TestKitBehindTheTubs: tank, rack and prices are typed once and kept; bad
// figures get their sentence.
func TestKitBehindTheTubs(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "end", "up", "up", "enter")
	p.sees("Hot water tank")
	p.types("150")
	p.press("tab")
	p.types("3000")
	p.press("ctrl+s")
	if k := p.ledger.HasKit; k.Tank != (shed.Tank{VolumeL: 150, HeaterW: 3000}) {
		t.Fatalf("tank %+v", k.Tank)
	}
	p.press("end", "up", "enter")
	p.types("top 2, the long middle one 3, top 1")
	p.press("ctrl+s")
	p.says("two trays are called top")
	for range 40 {
		p.press("backspace")
	}
	p.types("top 2, the long middle one 3, low")
	p.press("ctrl+s")
	want := []shed.Tray{{ID: "r1", Name: "top", Places: 2}, {ID: "r2", Name: "the long middle one", Places: 3}, {ID: "r3", Name: "low", Places: 1}}
	if got := p.ledger.HasKit.Trays; !slices.Equal(got, want) {
		t.Fatalf("trays %+v", got)
	}
	p.sees("top 2, the long middle one 3, low 1")
	p.press("end", "enter", "tab")
	p.types("x")
	p.press("ctrl+s")
	p.says("is not a number")
	p.press("backspace", "backspace", "2", ".", "5", " ", "€", "ctrl+s")
	if got := p.ledger.HasKit.Prices.PerM3; got != 2.5 {
		t.Fatalf("water costs %g", got)
	}
}
