package washday

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/tuitest"
)

// oneWash is a batch alone in its tub, without a presoak or a kettle to boil.
func oneWash(t *testing.T, w, h int) *hand {
	return washHand(t, 1, w, h, func(p *shed.Plan) { p.Batches, p.Kit.Kettle.CapacityL, p.Kit.HotTapC = p.Batches[:1], 0, 66 })
}

// until does what comes next at the first tub till its next act is such a one.
func (h *hand) until(act shed.Action) {
	for h.day().NextAction(0) != act {
		h.must(session.DoNext{Act: h.day().NextAction(0), Sooner: true})
		h.wait(60)
	}
}

// TestTheStepThatHasBegunIsNamed: fleece that goes into a rinse is not told to soak.
func TestTheStepThatHasBegunIsNamed(t *testing.T) {
	h := oneWash(t, 120, 40)
	h.press("enter")
	h.sees("North: the first hot wash has begun")
	h.until(shed.DrainTub)
	h.wait(600)
	for range 3 {
		h.press("enter")
		if h.day().Tubs[0].Phase == shed.Soaking {
			break
		}
		h.wait(3)
	}
	if want := "North: the " + h.day().Tubs[0].Step().Name + " has begun"; h.s.e.Say != want {
		t.Errorf("%q, want %q", h.s.e.Say, want)
	}
}

// TestSoakingLongerNamesItsKey: what the alarm of a soak offers beside the lift is told with its key.
func TestSoakingLongerNamesItsKey(t *testing.T) {
	h := oneWash(t, 80, 24)
	h.until(shed.Lift)
	h.wait(25 * 60)
	h.sees("or + soaks longer")
}

// TestTheEndIsAskedAboutOnce: however long the second Enter takes.
func TestTheEndIsAskedAboutOnce(t *testing.T) {
	h := oneWash(t, 80, 24)
	h.until(shed.RackFibre)
	h.press("enter")
	h.wait(5)
	h.press("enter")
	if !strings.Contains(h.s.e.Say, "Enter again to finish the day") {
		t.Fatalf("%q", h.s.e.Say)
	}
	h.wait(40)
	if h.press("enter"); h.day().EndedAt.IsZero() {
		t.Errorf("asked once more: %q", h.s.e.Say)
	}
}

// TestALaneSaysWhenItsFillIsDue: a fill of the evening does not stand beside now without its time.
func TestALaneSaysWhenItsFillIsDue(t *testing.T) {
	for _, size := range tuitest.Sizes {
		h := washHand(t, 1, size[0], size[1], func(p *shed.Plan) {
			p.Batches = p.Batches[:1]
			p.Batches[0].Presoak = shed.PresoakOvernight
		})
		c := h.s.glances[0].Prompt.Count
		if c.At.Before(h.s.e.Now.Add(time.Hour)) {
			t.Fatalf("due at %s", c.At)
		}
		if lane := strings.Join(h.s.lanes(), " "); size[0] >= 80 && !strings.Contains(lane, " at "+h.s.e.ClockText(c.At)) {
			t.Errorf("%v: %q", size, lane)
		}
	}
}

// TestHowMuchIsReadFromTheDoor: the big view says what is poured, where that makes no letter smaller.
func TestHowMuchIsReadFromTheDoor(t *testing.T) {
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		h := oneWash(t, size[0], size[1])
		h.s.far = true
		day := h.day()
		f := day.FillAt(0, h.s.e.Now)
		want := day.Plan.Kit.Units.Pour(f.VolumeL, day.Plan.Kit.JugL)
		if view := h.view(); !strings.Contains(view, want) {
			t.Errorf("%v: no %q\n%s", size, want, view)
		}
		p, _ := h.s.Prompt()
		if !slices.ContainsFunc(h.s.poured(), func(l string) bool { return strings.Contains(l, "stir in") }) {
			t.Errorf("%v: %q without its detergent", size, p.Details)
		}
	}
}

// TestNobodyIsCalledToAFillThatIsStopped: nor is it read from the door.
func TestNobodyIsCalledToAFillThatIsStopped(t *testing.T) {
	h := washHand(t, 1, 120, 40, func(p *shed.Plan) { p.Batches, p.Kit.Kettle.CapacityL, p.Kit.HotTapC = p.Batches[:1], 0, 51 })
	if c, ok := h.s.called(); !ok || c.deed != "wait" || c.figure != "" {
		t.Errorf("%s %s %s", c.name, c.deed, c.figure)
	}
}

// TestACurveIsDrawnAnewByItsWater: what a bath really holds shows at once.
func TestACurveIsDrawnAnewByItsWater(t *testing.T) {
	h := oneWash(t, 120, 40)
	h.until(shed.Lift)
	was := h.view()
	h.must(session.CorrectFill{LevelL: 4, Sure: true})
	if h.s.large = true; h.view() == was || h.s.lanesDrawn[0].of.volumeL != 4 {
		t.Errorf("%+v\n%s", h.s.lanesDrawn[0].of, h.view())
	}
}

// TestTheKettleIsTurned: at a tub in hand whose hot fleece cannot wait the kettle's key turns to it what is on
// for another, and asks first.
func TestTheKettleIsTurned(t *testing.T) {
	h := washHand(t, 2, 120, 40, func(p *shed.Plan) {
		p.Kit.HotTapC, p.Kit.Kettle = 48, shed.Kettle{CapacityL: 1.7, PowerW: 2200}
		p.Fleeces[0].Wax = shed.High
	})
	h.must(session.TellKettle{Tub: 0, Sure: true})
	h.wait(12 * 60)
	for range 4 { // out of its first wash
		if h.day().NextAction(0) == shed.Lift {
			h.wait(20 * 60)
		}
		h.must(session.DoNext{Tub: 0, Act: h.day().NextAction(0), Sooner: true})
	}
	h.must(session.TellKettle{Tub: 1, Sure: true})
	h.press("1")
	h.sees("the kettle is on for South")
	h.sees("o turns it here")
	h.sees("o turn kettle")
	h.press("o")
	if want := "the kettle is on for South. Press o again to turn it to North"; h.s.e.Say != want {
		t.Fatalf("%q", h.s.e.Say)
	}
	if h.press("o"); h.day().Kettle.Tub != 0 {
		t.Errorf("the kettle is for tub %d: %q", h.day().Kettle.Tub, h.s.e.Say)
	}
}
