package tui

import (
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/tuitest"
)

// inField says that the keys go to the field of that label, on the page of that title.
func (p *person) inField(page, label string) {
	p.t.Helper()
	f := p.form()
	if got := f.Now().Label; !strings.Contains(got, label) || f.Pages[f.Page].Title != page {
		p.t.Fatalf("on the page %q in the field %q, want %q in %q:\n%s", f.Pages[f.Page].Title, got, label, page, p.view())
	}
}

// TestRefusedInItsOwnField: what contradicts something typed before is refused
// where it is typed, and on leaving the page where it was typed first.
func TestRefusedInItsOwnField(t *testing.T) {
	p := newPerson(t, false)
	p.more()
	p.press("enter", "enter", "enter", "enter", "enter")
	p.inField("Tub 2", "Name")
	p.types("north")
	p.press("enter")
	p.says("two tubs are called north: give each its own name")
	p.inField("Tub 2", "Name")
	p.types("South")
	p.press("shift+tab", "shift+tab", "shift+tab", "shift+tab", "shift+tab")
	p.inField("Tub 1", "Name")
	p.types("South") // its page is past when the second one says so
	p.press("ctrl+s")
	p.says("two tubs are called South")
	p.inField("Tub 2", "Name")

	p = newPerson(t, true)
	p.press("k", "a")
	p.types("tray")
	p.press("enter")
	p.says("two tubs are called tray")
	p.press("esc", "esc", "5", "enter", "enter", "5", "0", "enter")
	p.says("North holds 12 L, so a bath of 50 L runs over: fill less")
	p.inField("Tub North", "Usual bath")
	p.press("6", "enter", "shift+tab", "shift+tab", "5")
	p.click("Shape")
	p.press("enter", "enter")
	p.says("North holds 5 L, so a bath of 6 L runs over: fill less")
	p.inField("Tub North", "Usual bath")
	p.press("4", "ctrl+s")
	if k := p.ledger.HasKit; k.Tubs[0].FillL != 4 || k.Tubs[0].CapacityL != 5 {
		t.Errorf("tubs %+v", k.Tubs)
	}

	p = newPerson(t, true)
	p.resize(120, 40)
	p.press("f", "a")
	p.types("Ewe 12")
	p.press("tab", "tab", "tab")
	p.types("1 kg")
	p.press("enter", "1", "2", "0", "0", "enter")
	p.says("1.2 kg after skirting is more than the 1 kg before it: swap them, or weigh again")
	p.inField("Which sheep", "Raw weight after skirting")
	p.press("9", "0", "0", "enter", "shift+tab", "shift+tab")
	p.types("800")
	p.click("Sorted into parts")
	p.press("enter")
	p.says("900 g after skirting is more than the 800 g before it")
	p.inField("Which sheep", "Raw weight after skirting")
	p.press("7", "5", "0", "ctrl+s")
	if f := p.ledger.Have; len(f) != 1 || f[0].SkirtedG != 750 {
		t.Errorf("fleeces %+v", f)
	}
}

// TestFootSaysWhichKeysChoose: a list goes up and down and says so, a choice on
// a line sideways; a list takes both.
func TestFootSaysWhichKeysChoose(t *testing.T) {
	p := newPerson(t, false)
	p.resize(120, 40)
	p.sees("Up Down change")
	p.seesNot("Left Right")
	p.press("right", "enter")
	p.sees("Room temperature, °F")
	p.seesNot("change")
	p.press("shift+tab", "left", "enter")
	p.sees("Room temperature, °C")
	p.press("shift+tab")
	p.click("Up Down change")
	p.more()
	p.press("enter", "enter", "enter")
	p.sees("Shape", "Left Right change", "deep")
	p.seesNot("Up Down")
	p.click("Left Right change")
	p.sees("shallow")
}

// TestFirstKeyReplaces: the first key in a field replaces what stands there,
// however it came there; arrows, End and Backspace edit it.
func TestFirstKeyReplaces(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "1", "2", "1", "tab", "shift+tab", "1")
	p.sees("> 1 ")
	p.press("tab", "shift+tab", "end", "4")
	p.sees("> 14 ")
	p.press("tab", "shift+tab", "backspace", "6")
	p.sees("> 16 ")
	p.press("tab", "shift+tab", "left", "0", "enter")
	p.says("the room at 106 °C is out of range")
	p.sees("> 106 ")
	p.press("1", "5", "ctrl+s")
	if got := p.ledger.HasKit.RoomC; got != 15 {
		t.Errorf("the room is at %v", got)
	}
	p.press("end", "up", "up", "enter")
	p.sees("> none")
	p.press("1", "2", "0", "tab", "3", "k", "W", "ctrl+s")
	if got := p.ledger.HasKit.Tank; got != (shed.Tank{VolumeL: 120, HeaterW: 3000}) {
		t.Errorf("the tank is %+v", got)
	}
	p.press("5", "end", "e", "r", "n", "ctrl+s")
	if got := p.ledger.HasKit.Tubs[0].Name; got != "Northern" {
		t.Errorf("the tub is called %q", got)
	}
}

// forms is how a form asks for a field.
var forms = regexp.MustCompile(`(?i:numberField\([^"\n]*?|wordsField\(|countField\(|hourField\(|checkedField\()"([^"]+)"`)

// TestFirstKeyReplacesEverywhere goes to every field of every form:
// letter, figure, space and what is pasted replace what stands there, whether
// nobody has touched it, or it was typed, left and come back to, or refused.
// The program's text says which fields there are.
func TestFirstKeyReplacesEverywhere(t *testing.T) {
	seen := map[string]bool{}
	first := []tea.KeyMsg{tuitest.KeyOf("7"), tuitest.KeyOf("q"), tuitest.KeyOf(" "), {Type: tea.KeyRunes, Runes: []rune("8 oz"), Paste: true}}
	for name, way := range map[string][]string{
		"water": {"k", "1"}, "kettle": {"k", "2"}, "scour": {"k", "3"}, "lead": {"k", "4"}, "tub": {"k", "5"}, "new tub": {"k", "a"},
		"tank": {"k", "end", "up", "up", "up", "enter"}, "rack": {"k", "end", "up", "up", "enter"}, "prices": {"k", "end", "up", "enter"}, "scales": {"k", "end", "enter"},
		"fleece": {"f", "a"}, "batches": {"p", "a"}, "water today": {"p", "w"}, "when": {"p", "a", "ctrl+s", "b"}, "method": {"m", "enter", "e"},
		"step": {"m", "enter", "down", "e", "ctrl+s"}, "dry": {"d", "enter", "w"}, "wet": {"r", "enter"}, "own words": {"r", "h", "n"}, "file": {"d", "enter", "s"}, "part": {"d", "enter", "p"}, "old wash": {"d", "a"}, "alarms": {"a", "s"}, "first start": {}, "off": {"m"},
	} {
		var set []func(*person, *base.Deps)
		if name != "first start" {
			set = append(set, withRecord, withAlong)
		}
		if name == "off" {
			set = []func(*person, *base.Deps){withOpenDay(1, 25), func(p *person, _ *base.Deps) { p.clock.Forward(2 * base.LongAway) }}
		}
		p := newPerson(t, name != "first start", set...)
		p.press(way...)
		f, ok := p.app.top().(*form.FormScreen)
		if !ok {
			t.Errorf("%s: no form, but\n%s", name, p.view())
			continue
		}
		for f.Page = range f.Pages {
			for f.Field = range f.Pages[f.Page].Fields {
				x := f.Now()
				if !x.Text {
					continue
				}
				seen[x.Label] = true
				for _, come := range []func(){
					f.Focus,
					func() { f.Focus(); f.Key(tuitest.KeyOf("end")); f.Key(tuitest.KeyOf("z")); f.Focus() },
					func() {
						if f.Key(tuitest.KeyOf("z")); f.Check() {
							f.Focus()
						}
					},
				} {
					for _, k := range first {
						come()
						if f.Key(k); x.Value() != string(k.Runes) {
							t.Errorf("%s, %s: %q as the first key gives %q", name, x.Label, string(k.Runes), x.Value())
						}
					}
				}
			}
		}
	}
	for _, l := range tuitest.Labels(t, forms, "*.go", "*/*.go") {
		if !slices.ContainsFunc(slices.Collect(maps.Keys(seen)), func(s string) bool { return strings.HasPrefix(s, l) }) {
			t.Errorf("nobody has typed into %q", l)
		}
	}
}

// TestJugFollowsUnits: the usual mark is the usual one of the units that are
// chosen; any other stays what it is, and fills are told in its marks.
func TestJugFollowsUnits(t *testing.T) {
	p := newPerson(t, false)
	p.press("down")
	p.press("enter", "enter", "enter", "enter", "1", "enter", "enter")
	p.inField("Kettle and jug", "Kettle")
	p.press("enter", "enter")
	p.sees("Smallest mark of your measuring cup, cups", "> 1 ")
	p.press("ctrl+s")
	if got := p.ledger.HasKit.JugL; got != measure.LPerUSCup {
		t.Fatalf("the jug's mark is %v L", got)
	}
	p.press("k")
	p.sees("cup marks of 1 cup")
	p.press("u", "up", "enter")
	p.sees("jug marks of 250 mL")
	p.press("2", "tab", "tab", "tab", "0", ".", "2", "4", "ctrl+s", "u", "down", "enter")
	p.sees("cup marks of 8.1 fl oz")
	p.press("2", "tab", "tab", "tab")
	p.sees("> 1.014")
	p.press("1", "/", "2", "ctrl+s")
	p.sees("cup marks of 1/2 cup")
	if got := p.ledger.HasKit.JugL; got != measure.LPerUSCup/2 {
		t.Errorf("the jug's mark is %v L", got)
	}

	// A quarter litre that somebody has typed with US units in use.
	p = newPerson(t, false)
	p.press("down", "enter", "enter", "enter", "enter", "1", "enter", "enter", "enter", "enter")
	p.types("250 mL")
	p.press("ctrl+s")
	k := *p.ledger.HasKit
	if k.JugL != 0.25 {
		t.Fatalf("the jug's mark is %v L", k.JugL)
	}
	p.press("p", "a")
	p.types("Ewe 12")
	p.press("tab", "tab", "tab")
	p.types("1 lb")
	p.press("ctrl+s", "s")
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("no day runs:\n%s", p.view())
	}
	p.settled()
	p.says("30 marks from the cold tap")
	p.press("enter")
	for _, text := range []string{"7.4 fl oz", "1 1/2 cups"} {
		p.press("t")
		p.sees("HOW MUCH WATER WENT IN?")
		p.press("ctrl+u", text, "enter", "enter")
		p.seesNot("HOW MUCH WATER WENT IN?")
	}
	p.says("1 1/2 cups at 207 °F poured in")
}

// TestWaterTodayIsKept: the kit keeps what is given from the plan, and the form
// says so.
func TestWaterTodayIsKept(t *testing.T) {
	p := newPerson(t, true)
	p.press("p", "w")
	p.sees("Room and taps today")
	p.says("The kit keeps these for later days too, until you change them.")
	p.everySize()
	p.press("2", "3", "ctrl+s")
	if got := p.ledger.HasKit.RoomC; got != 23 {
		t.Errorf("the kit has a room of %v", got)
	}
}

// TestUSJugWords: a jug is told in the words of a US kitchen.
func TestUSJugWords(t *testing.T) {
	for typed, wantL := range map[string]float64{"1 qt": measure.LPerUSQuart, "2 cups": 2 * measure.LPerUSCup, "1/2 cup": measure.LPerUSCup / 2, "1/2": measure.LPerUSCup / 2} {
		first := newPerson(t, false)
		first.press("right", "enter", "enter", "enter", "enter")
		for _, p := range []*person{first, newPerson(t, true, func(p *person, _ *base.Deps) { p.ledger.HasKit.Units = measure.US })} {
			if p != first {
				p.press("k")
				p.click("Kettle")
				p.click("Kettle")
			}
			for range 80 {
				if strings.Contains(p.view(), "Smallest mark of your") && strings.Contains(p.app.top().(*form.FormScreen).Now().Why, "whole marks") {
					break
				}
				p.press("enter")
			}
			p.types(typed)
			p.press("ctrl+s")
			if got := p.ledger.HasKit; got == nil || got.JugL < wantL*0.9999 || got.JugL > wantL*1.0001 {
				t.Errorf("jug %q, first start %v: %+v\n%s", typed, p == first, got, p.view())
			}
		}
	}
}
