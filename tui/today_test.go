package tui

import (
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/tuitest"
)

// TestTodayFromTheDay: raw weight, room and taps are put right, the kettle goes off and is back, batches are added, the timetable
// seen and a basket moved without leaving the day, in every window.
func TestTodayFromTheDay(t *testing.T) {
	t.Parallel()
	plan := tuitest.StoryPlan(2)
	plan.Batches = plan.Batches[:1]
	p := newPerson(t, true, withFleeces, withOpenDayOf(plan, 10))
	p.press("enter", "1", "d")
	p.says("CHANGE WHAT?")
	p.everySize()
	p.press("1")
	p.says("Room and taps today")
	p.types("21")
	p.everySize()
	p.press("ctrl+s")
	p.says("from here on: room 21 °C")
	if got := p.day().Plan.Kit.RoomC; got != 21 {
		t.Errorf("room %g", got)
	}
	p.press("1", "d", "2")
	p.sees("The rest of the day", "What to do when")
	p.everySize()
	p.press("esc", "1", "d", "3")
	p.says("Which fleece")
	full := p.day().Plan.Kit.Kettle
	p.press("esc", "1", "d", "4")
	p.says("no kettle until you say under d it's back")
	p.press("d", "1")
	p.types("20")
	p.press("ctrl+s")
	if got := p.day().Plan.Kit; got.Kettle != full.Aside() || got.RoomC != 20 || p.app.env.Kit.Kettle != full {
		t.Errorf("the kettle of the day is %+v, that of the kit %+v", got.Kettle, p.app.env.Kit.Kettle)
	}
	p.press("1", "d", "4")
	p.says("kettle back in use")
	if got := p.day().Plan.Kit.Kettle; got != full {
		t.Errorf("back is %+v, %+v before", got, full)
	}
	p.press("1", "d", "5")
	p.says("What A1 weighs raw")
	p.everySize()
	raw := p.day().Plan.Batches[0].RawG
	p.types("201")
	p.press("ctrl+s")
	if got := p.day().Plan.Batches[0].RawG; got != 201 {
		t.Errorf("raw %g, was %g", got, raw)
	}
	p.press("1", "d", "6")
	p.says("How much water is in North")
	p.everySize()
	p.types("15")
	p.press("ctrl+s")
	p.says("North holds 11.8 L to the rim with the fleece in it")
	p.press("ctrl+u")
	p.types("10")
	p.press("ctrl+s")
	p.says("North: 10 L in the bath, forecast updated")
	if got := p.day().Tubs[0].Bath.VolumeL; got != 10 {
		t.Errorf("%g L in North", got)
	}
	p.press("u")
	p.says("undone: North: fill corrected")
	p.press("1", "enter", "1", "d", "7") // lifted
	p.says("A1 goes on in South; empty North, water outdoors")
	p.settled()
	p.press("1")
	p.seesNot("EMPTY IT") // no key tells of it
	p.sees("NO BATCH WAITING", "if you haven't emptied it yet: water outdoors")
	if got := p.day(); got.Tubs[1].Batch != "A1" || got.Tubs[0].Batch != "" {
		t.Errorf("in North %q, in South %q", got.Tubs[0].Batch, got.Tubs[1].Batch)
	}
}

// TestABreakOnTheSpot: one key says that the person goes, for how long and from when, and is told
// what may be left alone; the same key says that they are back.
func TestABreakOnTheSpot(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withFleeces, withOpenDay(2, 10))
	p.press("enter", "i")
	p.says("HOW LONG ARE YOU AWAY?")
	p.everySize()
	p.types("x")
	p.press("enter")
	p.says("HOW LONG ARE YOU AWAY?")
	p.types("12:30")
	p.press("enter")
	p.says("type how many minutes you are away, such as 40")
	p.types("25")
	p.press("enter")
	p.types("yesterday")
	p.press("enter")
	p.says("type when you go: now, or a time to come")
	p.press("ctrl+u")
	p.types("now")
	p.press("enter")
	p.says("break ")
	p.sees("i break over")
	if view := p.view(); strings.Count(view, "break till ") != 1 || strings.Contains(view, "when your break is over") {
		t.Errorf("till when the break lasts is not said once:\n%s", view)
	}
	if b := p.day().ToldBreak(); b.To.Sub(b.From) != 25*time.Minute {
		t.Errorf("a break %v", b)
	}
	p.everySize()
	p.press("i")
	p.says("break over: plan updated")
	p.seesNot("break till ")
	p.press("i", "2", "5", "enter")
	later := p.clock.Now().In(p.app.env.Zone()).Add(2 * time.Hour).Truncate(time.Minute)
	p.types(later.Format("15:04"))
	p.press("enter")
	if b := p.day().ToldBreak(); !b.From.Equal(later) || b.To.Sub(b.From) != 25*time.Minute {
		t.Errorf("a break at %v: %v to %v", later, b.From, b.To)
	}
}

// TestABreakIsCalledOff: of one that is to come nothing is left.
func TestABreakIsCalledOff(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withFleeces, withOpenDay(2, 10))
	p.press("enter", "i", "2", "5", "enter")
	at := p.app.env.Now.Add(2 * time.Hour)
	p.types(at.Format("15:04"))
	p.press("enter", "i")
	p.says("0 calls off the break at " + p.app.env.ClockText(at))
	p.everySize()
	p.press("ctrl+u", "0", "enter", "enter")
	p.says("break called off")
	if s, ok := p.app.env.Live.Day.NextBreak(p.app.env.Now); ok {
		t.Errorf("a break %v", s)
	}
	plan := p.app.env.Live.Day
	wall := plan.Plan.OnTheWall(p.app.env.Now)
	plan.Plan.Break = shed.Breaks{{FromMin: wall.Hour()*60 + wall.Minute() - 40, ToMin: wall.Hour()*60 + wall.Minute() - 20}}
	tuitest.Keeps(p.app.env, plan, nil)
	p.press("i")
	p.seesNot("calls off") // that one is tomorrow's
	p.press("esc")
}

// TestABreakOfTheWholeDay: a break that ends before it begins is a slip, and is asked for again.
func TestABreakOfTheWholeDay(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withFleeces)
	p.press("p", "a", "ctrl+s", "b", "tab", "tab", "ctrl+u")
	p.types("12:30-12:15")
	p.press("ctrl+s")
	p.says("a break lasts up to 12 h")
}

// TestCorrectedBathIsLeft: a tub that was chosen to put its figure right is let go a moment after that is done: band and
// large letters are of what comes first again.
func TestCorrectedBathIsLeft(t *testing.T) {
	t.Parallel()
	plan := tuitest.StoryPlan(2)
	plan.Batches = plan.Batches[:1]
	for _, corrects := range []bool{true, false} {
		p := newPerson(t, true, withFleeces, withOpenDayOf(plan, 10))
		p.press("enter", "1", "d", "6")
		p.says("How much water is in North")
		if p.types("10"); corrects {
			p.press("ctrl+s")
			p.says("North: 10 L in the bath, forecast updated")
		} else {
			p.press("esc", "esc")
		}
		p.wait(10 * time.Second)
		p.press("esc")
		if kept := strings.Contains(p.view(), "back to what comes next"); kept == corrects {
			t.Errorf("corrected: %v, kept: %v:\n%s", corrects, kept, p.view())
		}
	}
}
