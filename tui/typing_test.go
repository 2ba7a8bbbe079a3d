package tui

import (
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/tuitest"
)

// TestDeleteWordAhead: in every kind of text the keys that delete the word ahead
// of the cursor end nothing.
func TestDeleteWordAhead(t *testing.T) {
	p := newPerson(t, true, withRecord)
	ahead := []tea.KeyMsg{{Type: tea.KeyRunes, Runes: []rune("d"), Alt: true}, {Type: tea.KeyDelete, Alt: true}}
	for _, way := range [][]string{{"k", "1"}, {"f", "/", "x"}, {"f", "a"}} {
		p.press(way...)
		p.press("left")
		for _, k := range ahead {
			p.send(k)
		}
		p.everySize()
		p.press("esc", "esc", "esc", "esc")
	}
}

// TestHoursOfTheDay: hours are read as people write them, or refused.
func TestHoursOfTheDay(t *testing.T) {
	night := shed.Hours{FromMin: 22 * 60, ToMin: 7 * 60}
	for text, want := range map[string]shed.Hours{
		"22:00-7:00": night, "22-7": night, "22.30-7": {FromMin: 22*60 + 30, ToMin: 7 * 60}, "10pm-7am": night,
		"10:30 pm – 7 AM": {FromMin: 22*60 + 30, ToMin: 7 * 60}, "10:30 pm to 7": {FromMin: 22*60 + 30, ToMin: 7 * 60}, "12am-12pm": {ToMin: 12 * 60}, "10-7": night, "9-5": {FromMin: 21 * 60, ToMin: 5 * 60}, "1-5": {FromMin: 60, ToMin: 5 * 60}, "none": {}, "": {},
	} {
		if got, err := form.ReadHours(measure.US, text, shed.Breaks{night}); err != nil || append(got, shed.Hours{})[0] != want || len(got) > 1 {
			t.Errorf("%q reads as %v (%v), want %v", text, got, err, want)
		}
	}
	for _, bad := range []string{"22:00x-7:5y", "22:00-7:5y", "13pm-7am", "0am-7", "24-7", "22:60-7", "22:5-7", "22", "22-", "-7", "ten-seven", "9-17-20", "7-7", "22-7, 12-13"} {
		if got, err := form.ReadHours(measure.US, bad, shed.Breaks{night}); err == nil || !strings.Contains(err.Error(), "such as 10:00 pm-7:00 am") {
			t.Errorf("%q reads as %v (%v)", bad, got, err)
		}
	}
}

// TestSeveralBreaks: breaks are read one behind the other, and told in the same way; together they
// leave half a day.
func TestSeveralBreaks(t *testing.T) {
	want := shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}, {FromMin: 16 * 60, ToMin: 16*60 + 20}}
	for _, text := range []string{"12:30-13:15, 16:00-16:20", "12.30 – 13.15,16-16:20", "12:30pm-1:15pm, 4 pm-4:20 pm"} {
		if got, err := form.ReadHours(measure.Metric, text, form.UsualBreaks); err != nil || !slices.Equal(got, want) {
			t.Errorf("%q reads as %v (%v)", text, got, err)
		}
	}
	for text, want := range map[string]shed.Hours{
		"12:30-1:15 pm": want[0], "12:30 pm-1:15": want[0], "12:30-1:15": want[0], "12:30 to 1:15 p.m.": want[0], "4-4:20pm": want[1], "4 pm-4:20": want[1],
		"11:30-12:15 pm": {FromMin: 11*60 + 30, ToMin: 12*60 + 15}, "10 am-4": {FromMin: 10 * 60, ToMin: 16 * 60}, "9-10:30 am": {FromMin: 9 * 60, ToMin: 10*60 + 30}, "1:30-2": {FromMin: 13*60 + 30, ToMin: 14 * 60}, "9-9:20": {FromMin: 9 * 60, ToMin: 9*60 + 20}, "4 am-5": {FromMin: 4 * 60, ToMin: 5 * 60},
	} {
		if got, err := form.ReadHours(measure.US, text, form.UsualBreaks); err != nil || !slices.Equal(got, shed.Breaks{want}) {
			t.Errorf("%q reads as %v (%v)", text, got, err)
		}
	}
	if got, err := form.ReadHours(measure.US, "6:00-13:00, 14:00-20:00", form.UsualBreaks); err == nil || !strings.HasSuffix(err.Error(), "such as 12:30 pm-1:15 pm, or none") {
		t.Errorf("read as %v (%v)", got, err)
	}
	for _, bad := range []string{"12:30-13:15,", "12:30-13:15, 16:00", "6:00-13:00, 14:00-20:00", strings.Repeat("1:00-1:10, ", 8) + "2-3"} {
		if got, err := form.ReadHours(measure.Metric, bad, form.UsualBreaks); err == nil {
			t.Errorf("%q reads as %v", bad, got)
		}
	}
	p := newPerson(t, true, withFleeces)
	p.press("p", "a", "enter", "ctrl+s", "b", "down", "down")
	p.types("12:30-13:15, 16:00-16:20")
	p.press("ctrl+s")
	if got := p.app.env.Planned.Plan.Break; !slices.Equal(got, want) {
		t.Errorf("the plan has %v:\n%s", got, p.view())
	}
	p.press("b")
	p.sees("12:30-13:15, 16:00-16:20")
}

// TestHoursUp: the hours at which one is up are read like any time of the day, and
// what falls between two says what will do.
func TestHoursUp(t *testing.T) {
	p := newPerson(t, true)
	for _, x := range []struct {
		up, bed   string
		upH, bedH int
	}{{"7 am", "10 pm", 7, 22}, {"6:00", "24", 6, 24}, {"7", "24:00", 7, 24}, {"5 a.m.", "12 am", 5, 24}, {"8", "1", 8, 1}} {
		p.press("k", "4", "enter")
		p.types(x.up)
		p.press("enter")
		p.types(x.bed)
		p.press("ctrl+s", "esc")
		if k := p.ledger.HasKit; k.UpH != x.upH || k.BedH != x.bedH {
			t.Errorf("%s to %s reads as %d to %d:\n%s", x.up, x.bed, k.UpH, k.BedH, p.view())
		}
	}
	p.press("k", "4", "enter")
	p.types("6:30 am")
	p.press("enter")
	p.sees(`"6:30 am" isn't a full hour`, "type 6:00 or 7:00")
	p = newPerson(t, true, func(p *person, _ *base.Deps) { p.ledger.HasKit.Units = measure.US })
	p.press("k", "4", "enter")
	p.types("6:30 am")
	p.press("enter")
	p.sees(`"6:30 am" isn't a full hour`, "type 6 am or 7 am")
	for _, bad := range []string{"25", "13 pm", "dawn", "24"} {
		p.types(bad)
		p.press("enter")
		p.sees("isn't an hour of the day")
	}
}

// TestScaleKeepsItsStep: shown in other units and left alone, a scale stays the
// one it was.
func TestScaleKeepsItsStep(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) { p.ledger.HasKit.Units = measure.US })
	p.press("r", "enter")
	p.types("4.6")
	p.press("enter")
	p.sees("kitchen 0.035 oz")
	p.press("enter")
	p.says("it should settle at about")
	if s := p.ledger.HasKit.Scale(); s != (shed.Scale{Name: "kitchen", StepG: 1}) {
		t.Errorf("the scale became %+v", s)
	}
}

// TestPastedDirections: what turns the direction of writing is never drawn, and
// a paste of nothing else is nothing.
func TestPastedDirections(t *testing.T) {
	p := newPerson(t, true)
	p.press("f", "a")
	p.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("Old \u202eGrey\u2066"), Paste: true})
	p.send(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("\u202e"), Paste: true})
	p.sees("Old Grey")
	if strings.ContainsAny(p.view(), "\u202e\u2066") {
		t.Errorf("drawn:\n%s", p.view())
	}
}

// TestHeardFromHome: the menu hears an alarm too.
func TestHeardFromHome(t *testing.T) {
	p, out := withOutside(t, 26)
	p.untilAlarm()
	p.press("esc")
	if p.press(" "); len(out.ringing) != 0 {
		t.Errorf("Space was not heard:\n%s", p.view())
	}
	p.says("Heard 2: North and South, ")
}

// TestSpaceHearsInMidText: Space at a question and in a form hears what rings although something was
// typed, and the blank stands: without it "1 1/2" is 11/2. One under way as it began to ring is a blank alone.
func TestSpaceHearsInMidText(t *testing.T) {
	for _, keys := range [][]string{{"1", "r", "5", "7"}, {"1", "n", "o", "x"}, {"1", "d", "5", "5", "7"}} {
		p := newPerson(t, true, withOpenDay(3, 28))
		p.press("enter", " ")
		p.press(keys...)
		typed := strings.Join(keys[len(keys)-2:], "")
		for range 900 { // till it rings again
			if slices.ContainsFunc(p.app.env.Live.Day.Alarms, unanswered) {
				break
			}
			p.wait(time.Second)
		}
		p.seesNot("o: it is on")
		p.send(tuitest.KeyOf(" "))
		p.sees(typed + " ")
		if !slices.ContainsFunc(p.app.env.Live.Day.Alarms, unanswered) {
			t.Errorf("%v: heard by a blank that was under way", keys)
		}
		p.press("backspace", "backspace", " ")
		p.says("Heard")
		if p.press("9"); !strings.Contains(p.view(), typed[:1]+" 9") || slices.ContainsFunc(p.app.env.Live.Day.Alarms, unanswered) {
			t.Errorf("%v: Space lost its blank, or did not hear:\n%s", keys, p.view())
		}
	}
}

func unanswered(a session.Alarm) bool { return a.Unanswered() }
