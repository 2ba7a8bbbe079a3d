package washday

import (
	"math"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// TestTopUpIsRound: what the top-up offers is what one reads off a jug and a
// thermometer, and what is typed instead is written down as it stands.
func TestTopUpIsRound(t *testing.T) {
	for _, c := range []struct {
		units       measure.System
		jugL, highM float64
		offers      []string
		typed       string
		wantL       float64
	}{
		{measure.Metric, 0.25, 0, []string{"water [0.5] L", "at 97 °C"}, "1", 1},
		{measure.Metric, 0, 1500, []string{"water [0.5] L", "at 92 °C"}, "250 mL", 0.25},
		{measure.US, measure.LPerUSCup, 0, []string{"water [2] cups", "at 207 °F"}, "2 cups", 2 * measure.LPerUSCup},
		{measure.US, measure.LPerUSCup, 0, []string{"water [2] cups"}, "1 1/2", 1.5 * measure.LPerUSCup},
		{measure.US, 0.25, 0, []string{"water [2] cups"}, "1 US qt", measure.LPerUSQuart},
	} {
		p := tuitest.StoryPlan(1)
		p.Kit.Units, p.Kit.JugL, p.Kit.AltitudeM = c.units, c.jugL, c.highM
		d, now := tuitest.PlayFor(t, tuitest.StartStory(t, p), tuitest.StoryStart, 34)
		h := &hand{t, storyScreen(d.Boiled(), now, theme.Options{NoColor: true})}
		h.s.SetSize(120, 40)
		h.press("1", "t")
		for _, text := range c.offers {
			h.sees(text)
		}
		h.write(c.typed)
		h.sees("water " + c.typed + "_")
		h.press("enter")
		h.write("60 C") // as warm as the bath, nearly
		h.press("enter")
		changes := h.day().Tubs[0].Bath.Changes
		if got := changes[len(changes)-1].AddL; got != c.wantL {
			t.Errorf("%v: %q is written as %v L, want %v", c.units, c.typed, got, c.wantL)
		}
	}

	// What brings a bath back is offered in the marks that w speaks of.
	h := newHand(t, 1, 34)
	for h.s.glances[0].Phase == shed.Soaking && h.s.glances[0].TempC > 52 {
		h.wait(60)
	}
	help, err := coach.HelpAt(h.day(), 0, h.s.e.Now)
	if err != nil || !help.HasRemedy {
		t.Fatalf("no remedy: %+v, %v", help, err)
	}
	h.press("1", "t")
	h.sees("water [" + measure.Metric.JugField(help.Remedy.PourL) + "] L")
	h.write("2")
	h.sees("water 2_ L")
}

// TestTopUpRefusedAtItsField: what is wrong is said before the next field is asked for.
func TestTopUpRefusedAtItsField(t *testing.T) {
	for _, typed := range []string{"1 l of it", "x", "0", "200", "40"} {
		h := newHand(t, 1, 34)
		h.press("1", "t")
		h.write(typed)
		h.press("enter")
		if a := h.s.ask; a.at != 0 || a.wrong == "" {
			t.Errorf("%q is taken, field %d: %q", typed, a.at, a.wrong)
		}
		h.write("2") // instead of it
		h.press("enter")
		if a := h.s.ask; a.at != 1 || a.wrong != "" {
			t.Errorf("2 after %q: field %d, %q", typed, a.at, a.wrong)
		}
	}
}

// TestUSTopUpWords: quarts, cups and fractions of one are read.
func TestUSTopUpWords(t *testing.T) {
	for typed, wantL := range map[string]float64{"1 qt": measure.LPerUSQuart, "2 cups": 2 * measure.LPerUSCup, "1/2 cup": measure.LPerUSCup / 2, "1 1/2 cups": 1.5 * measure.LPerUSCup, "1/2": measure.LPerUSCup / 2} {
		h := usHand(t, 1, 34)
		h.press("1", "t")
		h.write(typed)
		h.press("enter")
		h.write("60 C")
		h.press("enter")
		changes := h.day().Tubs[0].Bath.Changes
		if got := changes[len(changes)-1].AddL; got != wantL {
			t.Errorf("top-up %q: %v L: %q", typed, got, h.s.e.Say)
		}
	}
}

// TestTopUpTooHotIsAskedAbout: what would leave the bath too hot is written down at the
// second Enter only, and what is typed instead at the first.
func TestTopUpTooHotIsAskedAbout(t *testing.T) {
	for _, right := range []string{"", "60"} {
		h := newHand(t, 1, 34)
		h.press("1", "t")
		h.write("3")
		h.press("enter", "enter")
		h.sees("hotter than the 66 °C of its ")
		h.sees("Right? Press Enter again")
		if n := len(h.day().Tubs[0].Bath.Changes); n != 1 {
			t.Fatalf("%d changes: written down unasked", n)
		}
		wantC := h.day().Plan.Kit.KettleC()
		if right != "" {
			wantC = 60
			h.write(right)
		}
		h.press("enter")
		changes := h.day().Tubs[0].Bath.Changes
		if got := changes[len(changes)-1]; got.AddL != 3 || math.Abs(got.AddC-wantC) > 0.5 || h.s.ask != nil {
			t.Errorf("%+v written down, want 3 L at %v °C:\n%s", got, wantC, h.view())
		}
	}
}

// TestTooHotOffersColdWater: just after a reading that was too hot the cold tap is what
// is offered to pour.
func TestTooHotOffersColdWater(t *testing.T) {
	h := newHand(t, 1, 34)
	h.must(session.TakeReading{TempC: 72, Sure: true})
	h.press("1", "t")
	u := h.day().Plan.Kit.Units
	h.sees("at " + u.TempWhole(h.day().Plan.Kit.ColdTapC) + " " + u.TempUnit())
}

// TestTopUpSaysWhoseKettle: the question names the bath that waits for the kettle, and the answer, where it took that
// water, says to boil again; cold water takes none.
func TestTopUpSaysWhoseKettle(t *testing.T) {
	for _, fromKettle := range []bool{true, false} {
		h := newHand(t, 3, 34)
		other := 1
		for ; other < 3; other++ {
			if _, wants := h.day().WantsKettle(other, "", session.HeatModel{}, h.s.e.Now); wants {
				break
			}
		}
		h.press("1", "t")
		if text := h.view(); strings.Contains(text, "that's the kettle") {
			t.Errorf("nothing is on:\n%s", text)
		}
		h.press("esc")
		h.must(session.TellKettle{Tub: other})
		h.press("1", "t")
		h.sees("that's the kettle for " + h.s.glances[other].Name + "'s ")
		h.sees("boiling water scalds")
		h.write("0.3")
		h.press("enter")
		if !fromKettle {
			h.write("58 C")
		}
		h.press("enter")
		if said := h.s.e.Say; strings.Contains(said, "boil again for it") != fromKettle {
			t.Errorf("from the kettle: %v, said %q", fromKettle, said)
		}
	}
}
