package tui

import (
	"io"
	"math"
	"reflect"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/gear"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestFirstStartEnterAllTheWay: Enter alone gives a kit to begin with, in every
// window, and home after it.
func TestFirstStartEnterAllTheWay(t *testing.T) {
	for _, size := range tuitest.Sizes {
		p := newPerson(t, false)
		p.resize(size[0], size[1])
		p.says("which tub needs you next")
		presses := 0
		for p.ledger.HasKit == nil && presses < 60 {
			p.press("enter")
			presses++
		}
		if p.ledger.HasKit == nil {
			t.Fatalf("%v: sixty times Enter gave no kit:\n%s", size, p.view())
		}
		if !reflect.DeepEqual(*p.ledger.HasKit, shed.DefaultKit()) {
			t.Errorf("the kit is not the one offered: %+v", *p.ledger.HasKit)
		}
		p.sees("Plan a wash day")
	}
}

// TestFirstStartUnits: the units come first, the figures follow them: what the
// program proposes is round in both, what somebody typed is converted.
func TestFirstStartUnits(t *testing.T) {
	p := newPerson(t, false)
	p.press("down", "enter")
	p.sees("Room temperature, °F", "> 65 ", "> 125 ", "> 55 ")
	p.types("70")
	p.press("enter", "shift+tab", "shift+tab")
	p.sees("> US: °F, gal, oz")
	p.press("up", "enter") // and back: what was typed is converted too
	p.sees("> 21.1 ", "> 51 ", "> 12 ")
	p.press("shift+tab", "down", "enter", "tab", "tab", "tab", "tab", "tab")
	p.sees("> 3 gal 1 qt ")
	p.more()
	p.sees("> 2 gal ")
	p.press("ctrl+s")
	k := *p.ledger.HasKit
	if k.Kettle.PowerW != 1500 || k.Tank.HeaterW != 4500 {
		t.Errorf("kettle and heater are %v, %v", k.Kettle, k.Tank)
	}
	if k.Units != measure.US || math.Abs(k.RoomC-measure.FToC(70)) > 0.06 || k.HotTapC != measure.FToC(125) || k.Tubs[0].CapacityL != 3.25*measure.LPerUSGal {
		t.Errorf("the kit is %+v", k)
	}
	p.press("k", "2")
	p.sees("Kettle, cups", "> 7 ", "> 1500")
	p.press("esc", "u", "up", "enter", "u", "down", "enter") // changing the units of a kit moves nothing in it
	if got := *p.ledger.HasKit; !reflect.DeepEqual(got, k) {
		t.Errorf("units there and back: %+v, was %+v", got, k)
	}
}

func TestFirstStartMoreTubs(t *testing.T) {
	p := newPerson(t, false)
	p.press("enter", "enter", "enter", "enter")
	p.sees("How many tubs")
	p.press("5", "enter")
	p.sees("Tub 1: Size", "2 more below", "page 3 of 4")
	p.more()
	p.sees("Tub 1", "of 12")
	p.types("Zinc")
	p.press("enter", "2", "0", "enter", "9", "enter", "right", "enter", "right", "ctrl+s")
	k := *p.ledger.HasKit
	want := shed.Tub{ID: "t1", Name: "Zinc", CapacityL: 20, FillL: 9, Shape: cooling.Shallow, Cover: cooling.Film}
	if len(k.Tubs) != 5 || k.Tubs[0] != want {
		t.Errorf("tubs are %+v", k.Tubs)
	}
	if err := k.Validate(); err != nil {
		t.Error(err)
	}
}

// TestFirstStartSizesAnswered: the size of a tub goes on to those behind it, but not to one that
// Enter took as it stood.
func TestFirstStartSizesAnswered(t *testing.T) {
	p := newPerson(t, false)
	p.press("enter", "enter", "enter", "enter")
	p.sees("How many tubs")
	p.press("enter", "enter", "enter") // the third is asked for
	p.inField("Tubs", "Size")
	p.press("shift+tab", "shift+tab")
	p.types("20")
	p.press("ctrl+s")
	got := p.ledger.HasKit.Tubs
	if got[0].CapacityL != 20 || got[1].CapacityL != 12 || got[2].CapacityL != 20 {
		t.Errorf("tubs are %+v", got)
	}
}

// TestFirstStartEsc: there is nowhere to go back to, and it says so.
func TestFirstStartEsc(t *testing.T) {
	p := newPerson(t, false)
	p.press("esc")
	p.says("the kit comes first")
	p.press("enter", "7", "esc", "esc")
	p.says("the kit comes first")
	p.sees("> 7")
}

// TestFootFollowsTheChoice: Enter saves only while the choice in hand brings no further page.
func TestFootFollowsTheChoice(t *testing.T) {
	p := newPerson(t, false)
	for range 40 {
		if p.press("enter"); p.form().Now().Label == "More now?" {
			break
		}
	}
	p.sees("Enter save")
	p.press("left")
	p.sees("Enter next")
	p.press("right")
	p.sees("Enter save")
}

// more goes on to the pages of the first start that are asked for.
func (p *person) more() {
	p.t.Helper()
	for range 40 {
		if p.press("enter"); p.form().Now().Label == "More now?" {
			break
		}
	}
	p.press("left", "enter")
}

// form is the form on the screen.
func (p *person) form() *form.FormScreen {
	p.t.Helper()
	f, ok := p.app.top().(*form.FormScreen)
	if !ok {
		p.t.Fatalf("no form on the screen:\n%s", p.view())
	}
	return f
}

// isFigure says that a field is for a figure: it shows one, or has units.
func isFigure(x *form.Field) bool {
	text := x.Value()
	return x.Text && (x.Units != nil || text == "none" || text != "" && text[0] >= '0' && text[0] <= '9')
}

// badFigures types what cannot be into every figure of the form on the screen
// and goes on; each refusal says why and loses nothing.
func (p *person) badFigures() {
	p.t.Helper()
	for range 80 {
		f := p.form()
		x := f.Now()
		if isFigure(x) {
			good := x.Value()
			if good == "" {
				good = "130"
			}
			for _, bad := range []string{"wet", "-5000", "9999999", "12 parsecs"} {
				p.types(bad)
				p.press("enter")
				if p.app.top() != base.Screen(f) || f.Now() != x || f.Wrong == nil {
					p.t.Fatalf("%q was taken:\n%s", bad, p.view())
				}
				p.says(f.Wrong.Error())
				p.sees("> " + bad)
				if s := f.Wrong.Error(); strings.ContainsAny(s, "\n{%!") && !strings.Contains(s, "%") || len(s) < 20 {
					p.t.Errorf("not a sentence: %q", s)
				}
			}
			p.types(good)
		}
		if f.NextPage(f.Page) < 0 && f.Field == len(f.Pages[f.Page].Fields)-1 {
			return
		}
		p.press("enter")
	}
	p.t.Fatal("the form does not end")
}

func TestBadFiguresInEveryField(t *testing.T) {
	t.Parallel()
	for name, open := range map[string]func(p *person){
		"first start": func(*person) {},
		"water":       func(p *person) { p.press("k", "1") },
		"kettle":      func(p *person) { p.press("k", "2") },
		"scour":       func(p *person) { p.press("k", "3") },
		"lead":        func(p *person) { p.press("k", "4") },
		"tub":         func(p *person) { p.press("k", "5") },
		"fleece":      func(p *person) { p.press("f", "a"); p.types("Ewe 12") },
		"batches":     func(p *person) { p.press("p", "a") },
		"a step":      func(p *person) { p.press("m", "enter", "down", "e", "ctrl+s") },
		"weigh":       func(p *person) { p.press("d", "enter", "w") },
	} {
		t.Run(name, func(t *testing.T) {
			for i, size := range [][2]int{{40, 12}, {80, 24}} {
				if !long.Turn(len(name)+i, 2) {
					continue
				}
				p := newPerson(t, name != "first start", withFleeces, withPastDay(1))
				p.resize(size[0], size[1])
				open(p)
				p.badFigures()
			}
		})
	}
}

// TestKeyAfterEnter: a key typed right after Enter lands in the next field.
func TestKeyAfterEnter(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "1")
	for _, k := range []string{"2", "1", "enter", "5", "3", "tab", "9"} { // no command has run between them
		p.app.Update(tuitest.KeyOf(k))
	}
	p.press("enter")
	if k := p.ledger.HasKit; k.RoomC != 21 || k.HotTapC != 53 || k.ColdTapC != 9 {
		t.Errorf("room %v, hot %v, cold %v", k.RoomC, k.HotTapC, k.ColdTapC)
	}
}

// TestFormEscAsks: what was typed is dropped at the second Esc only.
func TestFormEscAsks(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "1", "2", "4", "esc")
	p.says("Press Esc again to leave")
	p.sees("> 24")
	p.press("5")
	p.sees("> 245")
	p.press("esc", "esc")
	p.sees("room 18 °C")
	p.press("1", "esc") // nothing typed: at once
	p.sees("alarms come")
}

func TestFormCrossChecks(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "1", "tab", "2", "0", "tab", "2", "5", "enter")
	p.says("isn't colder than the hot tap")
	p.sees("> 25", "> 20")
	p.press("esc", "esc", "5", "enter", "enter", "5", "0", "enter", "ctrl+s")
	p.says("runs over: fill less")
	p.press("esc", "esc", "5")
	p.types("South")
	p.press("ctrl+s")
	p.says("two tubs are called South")
	if p.ledger.HasKit.Tubs[0].Name != "North" {
		t.Error("a refused kit was saved")
	}
}

// TestFormMouse: a click goes to a field, one in the foot presses the key.
func TestFormMouse(t *testing.T) {
	p := newPerson(t, true)
	p.press("k")
	p.click("Kettle")
	p.click("Kettle")
	p.sees("gets the bath hotter")
	p.click("Its power")
	p.press("9", "0", "0")
	p.click("Ctrl+S save")
	if p.ledger.HasKit.Kettle.PowerW != 900 {
		t.Errorf("the kettle is %+v", p.ledger.HasKit.Kettle)
	}
}

// TestNamesFromOutside: control sequences, wide and joining characters.
func TestNamesFromOutside(t *testing.T) {
	p := newPerson(t, true)
	p.press("f", "a")
	p.send(tea.KeyMsg{Type: tea.KeyRunes, Paste: true, Runes: []rune("\x1b[31mq羊毛羊毛\u202e\n\x1b]0;x\a\x9b5m")})
	p.press("enter")
	p.types("ひつじの丘 Ünvented")
	p.press("enter", "enter")
	p.types("2.5 kg")
	p.everySize()
	p.press("ctrl+s")
	if len(p.ledger.Have) != 1 {
		t.Fatalf("no fleece was kept:\n%s", p.view())
	}
	f := p.ledger.Have[0]
	if !reflect.DeepEqual(f, f.Clean()) || strings.ContainsAny(f.Animal, "\x1b\u009b\u202e\n\a") || !strings.Contains(f.Animal, "羊毛羊毛") || f.RawG != 2500 {
		t.Errorf("kept %q of %q", f.Animal, f.Farm)
	}
	p.sees("羊毛羊毛")
	p.everySize()
	p.press("p")
	p.press("ctrl+s")
	p.everySize()
	if strings.ContainsRune(p.app.View(), '\u202e') {
		t.Error("an override reached the screen")
	}
	// What lies in the ledger already is not trusted either.
	p.ledger.Have = append(p.ledger.Have, shed.Fleece{ID: "f9", Animal: "Bad\x1b[2J", Farm: strings.Repeat("羊", 300), RawG: 1000})
	p.press("esc", "esc", "f")
	p.everySize()
	if strings.Contains(p.app.View(), "\x1b[2J") {
		t.Error("a control sequence reached the screen")
	}
}

// TestPlainCharacters: in plain characters nothing else is drawn, without
// colours no colour is, and all fits.
func TestPlainCharacters(t *testing.T) {
	ways := map[string][]string{
		"home": {}, "help": {"?"}, "fleeces": {"f"}, "fleece": {"f", "a"}, "kit": {"k"}, "tub": {"k", "5", "enter", "enter", "enter"},
		"methods": {"m"}, "steps": {"m", "enter"}, "step": {"m", "enter", "e", "ctrl+s"}, "plan": {"p"}, "batches": {"p", "a", "enter"},
		"planned": {"p", "a", "ctrl+s"}, "past": {"d"}, "review": {"d", "enter"}, "weigh": {"d", "enter", "w"},
	}
	for name, keys := range ways {
		t.Run(name, func(t *testing.T) {
			for _, o := range []theme.Options{{ASCII: true, NoColor: true}, {Light: true}} {
				p := newPerson(t, true, withFleeces, withPastDay(3), func(_ *person, d *base.Deps) { d.Theme = theme.New(io.Discard, o) })
				p.press(keys...)
				for _, s := range tuitest.Sizes {
					p.resize(s[0], s[1])
					if !o.ASCII {
						continue
					}
					for _, r := range p.view() {
						if r > 126 {
							t.Fatalf("%q is drawn at %v:\n%s", r, s, p.view())
						}
					}
					for _, colour := range []string{"\x1b[3", "38;5;", "48;5;"} {
						if strings.Contains(p.app.View(), colour) && colour != "\x1b[3" {
							t.Fatalf("a colour is drawn: %q", colour)
						}
					}
				}
			}
		})
	}
}

func TestHelpHasEverything(t *testing.T) {
	p := newPerson(t, true)
	p.press("k", "?")
	p.sees("add a tub", "Keys on every screen")
	all := p.view()
	for range 40 {
		p.press("pgdown")
		all += "\n" + p.view()
	}
	squeezed := strings.Join(strings.Fields(all), " ")
	for _, k := range session.AlarmKinds() {
		f := k.Facts()
		for _, text := range []string{k.Shown(), strings.Fields(f.Cause)[0], f.Else} {
			if !strings.Contains(squeezed, text) {
				t.Errorf("the help does not say %q", text)
			}
		}
	}
	for _, c := range coach.Cautions(measure.Metric) {
		if first, _, _ := strings.Cut(c, ":"); !strings.Contains(squeezed, first) {
			t.Errorf("the help does not say %q", first)
		}
	}
	for _, text := range []string{"you your hands; where a tub's line stops, it waits for them", "tank once the tank is hot (8 min): that fill waits so long", "a tub kept for rinses ends the day later"} {
		if !strings.Contains(squeezed, text) {
			t.Errorf("the help does not say %q", text)
		}
	}
	p.everySize()
	p.press("esc")
	p.sees("alarms come")
}

// TestNewTubsFollowTheirSize: the usual bath of a new tub follows the size that is typed,
// and so do the tubs after it, until they are typed; another unit moves neither.
func TestNewTubsFollowTheirSize(t *testing.T) {
	k := shed.DefaultKit()
	tubs := k.Tubs
	var pages []*form.Page
	var each []*shed.Tub
	for i := range tubs {
		each = append(each, &tubs[i])
		pages = append(pages, gear.TubPage(&k, &tubs[i], "Tub", func() []shed.Tub { return nil }))
	}
	follow := gear.FollowRims(&k.Units, each, pages)
	k.Units = measure.US
	tubs[0].CapacityL = 11.4 // round in the new units
	follow()
	if tubs[1].CapacityL != 12 || tubs[0].FillL != 8 {
		t.Errorf("another unit moves: %+v", tubs)
	}
	tubs[0].CapacityL = 18.9
	follow()
	if got, want := tubs[0].FillL, measure.US.RoundVolumeL(18.9*2/3); got != want {
		t.Errorf("a bath of %g L in a tub of 18.9 L, want %g", got, want)
	}
	if tubs[1].CapacityL != 18.9 || tubs[2].CapacityL != 18.9 {
		t.Errorf("those after it are not proposed alike: %+v", tubs)
	}
	tubs[2].CapacityL = 8
	follow()
	if tubs[2].FillL >= 8 || tubs[1].CapacityL != 18.9 || tubs[0].CapacityL != 18.9 {
		t.Errorf("the last one alone: %+v", tubs)
	}
}

// Units each by itself begin from those that stood before, not from the last that the arrow went past on its
// way there, whichever way that was.
func TestUnitsApartBeginFromOnesOwn(t *testing.T) {
	for _, own := range []measure.System{measure.Metric, measure.US, measure.Imperial, measure.US.Timed(measure.Metric)} {
		for _, arrow := range []string{"right", "left"} {
			p := newPerson(t, false, func(_ *person, d *base.Deps) { d.FirstUnits = own })
			p.press(arrow)
			for n := 0; p.form().Now().Value() != "each by itself" && n < 9; n++ {
				p.press(arrow)
			}
			p.press("enter")
			if p.form().Page != 1 {
				t.Fatalf("no page of its own:\n%s", p.view())
			}
			if now := p.app.env.Kit.Units; now != own {
				t.Errorf("%+v, %s: begins from %+v", own, arrow, now)
			}
		}
	}
}

// TestFormShowsWholeFields: in every window the field in hand stands with its name and
// its value, no other is cut in two, and what has no room is counted.
func TestFormShowsWholeFields(t *testing.T) {
	for _, u := range []measure.System{measure.Metric, measure.US} {
		for _, size := range [][2]int{{120, 40}, {100, 30}, {80, 24}, {60, 18}, {40, 12}} {
			p := newPerson(t, false, func(_ *person, d *base.Deps) { d.FirstUnits = u })
			p.resize(size[0], size[1])
			f := p.form()
			for range 80 {
				text := p.view()
				unseen := 0
				for i, s := range f.Spans {
					in := 0
					for y := s.Top; y < s.Top+s.Height; y++ {
						if y >= f.Top && y < f.Top+f.Seen {
							in++
						}
					}
					if in < s.Height {
						unseen++
					}
					if in != s.Height && (i == f.Field || in != 0) {
						t.Errorf("%v: %d of %d lines of %s:\n%s", size, in, s.Height, f.Pages[f.Page].Fields[i].Label, text)
					}
				}
				if label := f.Now().Label; !strings.Contains(strings.Join(strings.Fields(text), " "), label) {
					t.Errorf("%v: no %q in\n%s", size, label, text)
				}
				if said := strings.Contains(text, " more above") || strings.Contains(text, " more below"); said != (unseen > 0) {
					t.Errorf("%v: %d fields out of sight:\n%s", size, unseen, text)
				}
				if p.ledger.HasKit != nil {
					break
				}
				p.press("enter")
				if _, ok := p.app.top().(*form.FormScreen); !ok {
					break
				}
			}
		}
	}
}

// The usual bath that is offered for a tub can be measured with a jug.
func TestOfferedBathCanBeMeasured(t *testing.T) {
	p := newPerson(t, false)
	for range 40 {
		if strings.Contains(p.form().Now().Label, "Size, full to the rim") {
			break
		}
		p.press("enter")
	}
	p.types("20")
	p.more()
	p.sees("> 20 ", "> 13.5 ")
}
