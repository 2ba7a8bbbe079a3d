package washday

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// hand drives a day screen as a person does, with time passing between keys.
type hand struct {
	t *testing.T
	s *Screen
}

func newHand(t *testing.T, tubs int, playMin float64) *hand {
	d, now := tuitest.PlayFor(t, tuitest.StartStory(t, tuitest.StoryPlan(tubs)), tuitest.StoryStart, playMin)
	s := storyScreen(d.Boiled(), now, theme.Options{NoColor: true})
	s.SetSize(120, 40)
	return &hand{t, s}
}

// washHand is at the beginning of a day without presoaks.
func washHand(t *testing.T, tubs, w, h int, change func(*shed.Plan)) *hand {
	p := tuitest.StoryPlan(tubs)
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	change(&p)
	s := storyScreen(tuitest.StartStory(t, p), tuitest.StoryStart, theme.Options{NoColor: true})
	s.SetSize(w, h)
	return &hand{t, s}
}

// wait lets seconds pass, of the last minute each with a tick, as in the program.
func (h *hand) wait(seconds int) {
	for seconds > 0 {
		step := min(10, max(1, seconds-15)) // the last quarter minute second by second
		seconds -= step
		h.s.e.Now = h.s.e.Now.Add(time.Duration(step) * time.Second)
		h.s.pass()
		h.s.Update(base.TickMsg{})
	}
}

// press gives keys: single characters, or a name such as "enter" and "esc".
func (h *hand) press(keys ...string) {
	for _, k := range keys {
		h.wait(1)
		h.s.e.Say = ""
		msg := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)}
		switch k {
		case "enter":
			msg = tea.KeyMsg{Type: tea.KeyEnter}
		case "esc":
			msg = tea.KeyMsg{Type: tea.KeyEsc}
		case "space":
			msg = tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
		case "tab":
			msg = tea.KeyMsg{Type: tea.KeyTab}
		case "down":
			msg = tea.KeyMsg{Type: tea.KeyDown}
		}
		h.s.Update(msg)
	}
}

// write types text a character at a time.
func (h *hand) write(text string) {
	for _, r := range text {
		h.s.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
}

func (h *hand) day() session.Day { return h.s.e.Live.Day }

func (h *hand) view() string { return ansi.Strip(h.s.View()) }

func (h *hand) phase(i int) string { return h.day().Tubs[i].Phase.String() }

func (h *hand) sees(text string) {
	h.t.Helper()
	if !strings.Contains(h.view(), text) {
		h.t.Fatalf("the screen does not say %q:\n%s", text, h.view())
	}
}

// TestDayEnterGoesThroughATub: Enter alone takes a batch from the first fill to
// the rack, and each press is what the foot says of it; the full stop tells of its
// first part alone, and undo takes the last part back.
func TestDayEnterGoesThroughATub(t *testing.T) {
	t.Parallel()
	h := newHand(t, 1, 0)
	h.sees("Enter filled and in")
	h.press(".")
	if h.phase(0) != "sink in" {
		t.Fatalf("phase %q after the fill alone", h.phase(0))
	}
	h.press("enter")
	if h.phase(0) != "soak" {
		t.Fatalf("phase %q after the sink-in", h.phase(0))
	}
	h.press("u", "u")
	h.sees("Press u again")
	if h.phase(0) != "sink in" {
		t.Fatalf("phase %q: the second u took back what was done before", h.phase(0))
	}
	h.wait(2)
	h.press("u")
	if h.phase(0) != "fill" {
		t.Fatalf("phase %q after the answer", h.phase(0))
	}
	h.press("enter")
	if h.phase(0) != "soak" {
		t.Fatalf("phase %q after both in one", h.phase(0))
	}
	h.press("u")
	if h.phase(0) != "sink in" {
		t.Fatalf("phase %q after an undo", h.phase(0))
	}
	h.sees("undone: North: fleece lowered in; it stays filled")
	h.press("enter")
	h.sees("LIFT AND DRAIN")
	h.press("enter") // twenty minutes early: asks first
	h.sees("Enter again to lift it now")
	if h.phase(0) != "soak" {
		t.Fatal("one press lifted the fleece nineteen minutes early")
	}
	h.wait(20 * 60)
	h.sees("LIFT AND DRAIN, when you can")
	h.sees("over the soak")
	if a := h.day().Alarms; len(a) != 1 || !a[0].Call() {
		t.Fatalf("the end of the soak is no call: %+v", a)
	}
	h.press("enter")
	if h.phase(0) != "drain" {
		t.Fatalf("phase %q after the lift", h.phase(0))
	}
	if len(h.day().Alarms) != 0 {
		t.Fatalf("the lift did not clear the alarm: %+v", h.day().Alarms)
	}
	for range 60 {
		if h.day().AllRacked() {
			break
		}
		if h.phase(0) == "soak" {
			h.wait(21 * 60)
		}
		h.press("enter")
	}
	h.sees("FINISH THE DAY")
	h.press("enter", "enter")
	if h.s.e.Live.Day.Running() {
		t.Fatal("the day did not end")
	}
	if got := len(h.day().Baths); got != 10 { // two batches of a fleece with much wax: five baths each
		t.Errorf("%d baths on record, want 10", got)
	}
}

// TestDayBouncingEnter: one press that arrives twice does one thing.
func TestDayBouncingEnter(t *testing.T) {
	h := newHand(t, 1, 0)
	h.wait(2)
	for range 3 {
		h.s.Update(tea.KeyMsg{Type: tea.KeyEnter})
	}
	if h.phase(0) != "soak" || h.s.pending.cmd != nil {
		t.Fatalf("phase %q: three presses at one moment did more than one thing", h.phase(0))
	}
}

func TestDayReading(t *testing.T) {
	h := newHand(t, 3, 34)
	h.press("1", "r")
	h.sees("WHAT DOES THE THERMOMETER SAY?")
	h.write("62")
	h.press("enter")
	b := h.day().Tubs[0].Bath
	if len(b.Readings) != 1 || b.Readings[0].TempC != 62 {
		t.Fatalf("readings %+v", b.Readings)
	}
	h.press("r")
	h.write("26") // 62 turned round
	h.press("enter")
	h.sees("expected. Check it")
	h.sees("[26]") // nothing typed is lost
	if len(h.day().Tubs[0].Bath.Readings) != 1 {
		t.Fatal("an unlikely reading was kept without a question")
	}
	h.press("enter") // the same again insists
	if len(h.day().Tubs[0].Bath.Readings) != 2 {
		t.Fatal("insisting did not keep the reading")
	}
	h.press("u")
	if len(h.day().Tubs[0].Bath.Readings) != 1 {
		t.Fatal("undo did not take the reading back")
	}
	h.press("r")
	h.write("sixty")
	h.press("enter")
	h.sees("is not a temperature")
	h.press("esc")
	if h.s.ask != nil {
		t.Fatal("Esc did not leave the question")
	}
}

func TestDayTubKeys(t *testing.T) {
	h := newHand(t, 3, 34)
	h.press("2", "c", "4")
	if got := h.day().Tubs[1].Cover; got != cooling.LidAndFilm {
		t.Errorf("cover %v", got)
	}
	h.press("t", "enter", "enter")
	if got := h.day().Tubs[1].Bath.Changes; got[len(got)-1].AddL != topUpL {
		t.Errorf("top-up not written: %+v", got)
	}
	soak := h.day().Tubs[1].Bath.SoakMin
	h.press("+")
	if got := h.day().Tubs[1].Bath.SoakMin; got != soak+5 {
		t.Errorf("soak %g after +, want %g", got, soak+5)
	}
	h.press("-")
	if got := h.day().Tubs[1].Bath.SoakMin; got != soak {
		t.Errorf("soak %g after -, want %g", got, soak)
	}
	h.press("h")
	if !h.day().Tubs[1].Held() {
		t.Error("not held")
	}
	h.sees("ON HOLD")
	h.press("h")
	if h.day().Tubs[1].Held() {
		t.Error("still held")
	}
	h.press("s")
	if h.phase(1) != "soak" {
		t.Error("skip took a fleece out of the water by itself")
	}
	h.press("s")
	h.sees("lift it first")
	h.press("n")
	h.write("grey \x1b[31mtips, q and ?")
	h.press("enter")
	if n := h.day().Notes; len(n) != 1 || n[0].Tub != 1 || strings.ContainsRune(n[0].Text, 0x1b) {
		t.Errorf("notes %+v", n)
	}
	h.press("9")
	h.sees("there is no tub 9")
}

// lastBell keeps what it rang last, and how often it was rung.
type lastBell struct {
	last  session.Priority
	rings int
}

func (b *lastBell) Ring(p session.Priority) { b.last, b.rings = p, b.rings+1 }

func TestDayAlarmIsHeardAndComesBack(t *testing.T) {
	h, bell := newHand(t, 1, 0), &lastBell{last: session.HighPriority}
	h.s.e.Bell = bell
	tuitest.Keeps(h.s.e, h.day(), nil)
	h.press("enter", "enter")
	h.wait(20*60 + 1)
	if p := bell.last; p != session.CallPriority {
		t.Fatalf("no call at the end of the soak: %v", p)
	}
	h.press("enter", "enter", "enter") // lifted, emptied, into the wash
	h.wait(25*60 + 1)
	h.sees("ALARM WASH NOT LIFTED")
	if p := bell.last; p != session.MediumPriority {
		t.Fatalf("no ring at the raise: %v", p)
	}
	h.press("space")
	h.sees("heard")
	if a := h.day().Alarms[0]; a.Unanswered() {
		t.Fatal("still ringing")
	}
	rings := bell.rings
	h.wait(5 * 60)
	if bell.rings == rings {
		t.Fatal("an alarm heard but not acted on did not come back")
	}
}

func TestDayEndAsksForAWord(t *testing.T) {
	h := newHand(t, 3, 34)
	h.press("e")
	h.sees("END THE DAY WITH FLEECE IN THE WATER?")
	h.sees("still have fleece in")
	h.press("e", "e", "enter")
	if !h.s.e.Live.Day.Running() {
		t.Fatal("a key that bounced ended the day")
	}
	h.sees("type end to end the day")
	h.press("esc", "e", "e", "n", "d", "enter")
	if h.s.e.Live.Day.Running() {
		t.Fatal("the day did not end")
	}
	h.sees("THE DAY HAS ENDED")
	h.press("u")
	if !h.s.e.Live.Day.Running() {
		t.Fatal("undo did not take the end back")
	}
}

func TestDayMouse(t *testing.T) {
	h := newHand(t, 3, 34)
	h.s.SetSize(160, 40) // a kettle is due: its key is in the foot beside hold
	click := func(x, y int) {
		h.wait(1)
		h.s.Update(tea.MouseMsg{X: x, Y: y, Action: tea.MouseActionPress, Button: tea.MouseButtonLeft})
	}
	for i := range 3 {
		for y, l := range strings.Split(h.view(), "\n") {
			if words := draw.Fit(l, h.s.rooms.lanesW); strings.Contains(words, h.s.glances[i].Name+" ") && h.s.rooms.lanes.Has(y) {
				click(10, y)
				break
			}
		}
		if h.s.focus != i {
			t.Errorf("a click on lane %d chose %d", i, h.s.focus)
		}
	}
	for _, it := range h.s.foot() {
		if it.Key == "h" {
			click(it.X, h.s.rooms.h-1)
		}
	}
	if !h.day().Tubs[2].Held() {
		t.Error("a click on the foot's hold did nothing")
	}
	h.press("h")
	click(5, h.s.rooms.band.Top)
	click(5, h.s.rooms.band.Top)
	if h.phase(2) != "drain" {
		t.Errorf("two clicks on the band did not lift: %s", h.phase(2))
	}
}

// TestDayRefusedQuestionHearsNoFigures: what was meant for a question that was
// refused is no deed.
func TestDayRefusedQuestionHearsNoFigures(t *testing.T) {
	h := newHand(t, 3, 0)
	h.press("1", "r")
	h.sees("has no bath now")
	h.write("62")
	h.s.Update(tea.KeyMsg{Type: tea.KeyEnter})
	h.sees("key ignored")
	if h.s.focus != 0 || h.phase(0) != "fill" {
		t.Errorf("the figure chose tub %d or did %s", h.s.focus, h.phase(0))
	}
	h.wait(3)
	h.press("enter")
	if h.phase(0) != "soak" {
		t.Errorf("after a moment Enter does nothing: %s", h.phase(0))
	}
}

// TestDayOldDeedsAreAskedAbout: undo of something long past asks first.
func TestDayOldDeedsAreAskedAbout(t *testing.T) {
	h := newHand(t, 1, 0)
	h.press("enter", "enter")
	h.wait(6 * 60)
	h.press("u")
	h.sees("Press u again")
	if h.phase(0) != "soak" {
		t.Fatal("one key took back a sinking of six minutes ago")
	}
	h.press("u")
	if h.phase(0) != "sink in" {
		t.Errorf("two presses did not: %s", h.phase(0))
	}
}

// TestDayTooCoolToSinkAsks: a bath below the coolest start wants a second Enter.
func TestDayTooCoolToSinkAsks(t *testing.T) {
	p := tuitest.StoryPlan(1)
	p.Batches = p.Batches[:1]
	p.Batches[0].Presoak = shed.PresoakNone
	d := tuitest.StartStory(t, p)
	s := storyScreen(d.Boiled(), tuitest.StoryStart, theme.Options{NoColor: true})
	s.SetSize(120, 40)
	h := &hand{t, s}
	h.press(".")
	h.wait(40 * 60)
	h.sees("first boil")
	h.press("enter")
	h.sees("too cool to begin")
	if h.phase(0) != "sink in" {
		t.Fatal("one press sank the fleece into a cool bath")
	}
	h.press("enter")
	if h.phase(0) != "soak" {
		t.Errorf("two presses did not: %s", h.phase(0))
	}
}

// TestDayHelpAndCurve: w compares what can be done and goes with the next key,
// which does what it always does; v shows the curve in large and back.
func TestDayHelpAndCurve(t *testing.T) {
	h := newHand(t, 3, 34)
	h.press("1", "w")
	h.sees("WHAT HELPS")
	h.sees("at the earliest")
	h.press("c")
	h.sees("WHAT COVERS IT NOW?")
	h.press("esc", "v")
	h.sees("North, °C")
	if strings.Contains(h.view(), "in this order") {
		t.Errorf("the curve in large leaves the lanes standing:\n%s", h.view())
	}
	h.press("v")
	h.sees("in this order")
	h.press("3")
	h.s.run(session.SetCover{Tub: 2, Cover: cooling.Open}, "")
	h.press("w")
	h.sees("film on: 49 °C in")
}

// TestDayPasteIsNoKey: pasted text has no meaning as keys.
func TestDayPasteIsNoKey(t *testing.T) {
	h := newHand(t, 1, 0)
	h.s.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("u"), Paste: true})
	h.s.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("e"), Paste: true})
	if h.s.e.Say != "" || h.phase(0) != "fill" {
		t.Errorf("pasted text did something: %q", h.s.e.Say)
	}
}

// TestAnyKeyWhenAllIsRacked: the day's end is at no tub, and a tub that is looked at then,
// from near or from the door, in any window, speaks for itself.
func TestAnyKeyWhenAllIsRacked(t *testing.T) {
	h := newHand(t, 3, 0)
	for i := 0; !h.day().AllRacked(); i++ {
		if i > 1000 {
			t.Fatal("the day does not come to its end")
		}
		for _, a := range h.s.next {
			if !a.Boil && a.Rank <= coach.Now && a.Act != shed.FinishDay {
				h.must(session.DoNext{Tub: a.Tub, Act: a.Act, Batch: a.Batch, Sooner: true})
				break
			}
		}
		h.wait(30)
	}
	h.sees("FINISH THE DAY")
	h.press("3", "enter") // an empty tub in hand
	if !strings.Contains(h.s.e.Say, "Enter again to finish the day") {
		t.Errorf("Enter at an empty tub says %q", h.s.e.Say)
	}
	h.press("esc")
	for _, size := range tuitest.Sizes {
		h.s.SetSize(size[0], size[1])
		for _, k := range []string{"1", "2", "3", "esc", "down", "up", "f", "2", "f", "v", "v", "enter", ".", "o", "b", "s", "+", "esc"} {
			h.press(k)
			if h.view() == "" || !h.s.e.Live.Day.Running() {
				t.Fatalf("%s at %v: running %v", k, size, h.s.e.Live.Day.Running())
			}
		}
		h.press("esc", "esc")
	}
}

// A reading above what was planned may be misread: it is to be taken again before cold water goes in.
func TestHotReadingIsTakenAgain(t *testing.T) {
	h := newHand(t, 3, 34)
	h.press("1", "r")
	h.write("73")
	h.press("enter", "enter")
	h.sees("hotter than planned: read it again. If it is, ")
}
