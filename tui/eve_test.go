package tui

import (
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/tuitest"
)

// eve is a plan of presoaks over the night before a day that is to begin tomorrow at 7:00.
func eve(t *testing.T) *person {
	p := planned(t)
	plan := &p.app.env.Planned.Plan
	for i := range plan.Batches {
		plan.Batches[i].Presoak = shed.PresoakOvernight
	}
	plan.Batches = plan.Batches[:3]
	p.press("esc", "p", "b")
	p.types("tomorrow 7:00")
	p.press("ctrl+s")
	return p
}

// TestPresoakedTheNightBefore: washing that is to begin in the morning has its presoak tonight, in the plan, when
// it is begun, and in the day that runs.
func TestPresoakedTheNightBefore(t *testing.T) {
	p := eve(t)
	p.resize(120, 40)
	p.says("Presoak goes in 19:00, washing begins tomorrow 07:00, done about 0")
	p.everySize()
	p.press("t")
	p.says("Start 19:00, done tomorrow 0")
	p.says("19:00 overnight presoak: A1, A2 and B1, each in its tub; lifted from Sun 07:00 on")
	p.press("esc", "s")
	p.says("planned start 19:00. Press s again to start now")
	p.wait(9*time.Hour + 45*time.Minute) // 18:45
	p.press("s")
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("no day runs:\n%s", p.view())
	}
	p.says("in the evening, from 19:00: it soaks until 07:00 Sun")
	p.wait(35 * time.Minute)
	p.says("soaks until 07:00 Sun") // and not the twelve hours of its method
	for range 3 {
		p.press("enter")
		p.wait(4 * time.Minute)
		p.press("enter")
		p.wait(4 * time.Minute)
	}
	for i := range p.day().Tubs {
		if end := p.day().Tubs[i].SoakEndAt(p.clock.At); !end.Equal(tuitest.StoryStart.Add(22 * time.Hour)) {
			t.Errorf("tub %d soaks till %s", i, end)
		}
	}
	for _, size := range [][2]int{{80, 24}, {120, 40}, {160, 50}, {40, 12}} { // 11 h 15 min to go say nothing of when
		p.resize(size[0], size[1])
		p.sees("07:00")
		p.seesNot("to go")
	}
	p.press("f")
	p.sees("until 07:00 Sun")
	p.press("esc")
	p.resize(120, 40)
	p.wait(11*time.Hour + 20*time.Minute)
	p.sees("FOR SOUTH'S FIRST HOT WASH", "lift and drain")
}

// TestPlanSaysWhoSoaksTonight: beside each batch stands the tub in which its timetable has it soak over the coming
// night; what else there is waits, or is washed in its tub before that.
func TestPlanSaysWhoSoaksTonight(t *testing.T) {
	p := eve(t)
	e := p.app.env
	p.resize(120, 40)
	p.says("A1 Old Grey, Invented Hill 225 g loose overnight North tonight")
	e.Planned.Plan.Batches[1].Presoak = shed.PresoakNone
	p.press("esc", "p")
	p.says("A1 Old Grey, Invented Hill 225 g loose overnight North tonight")
	p.says("A2 Old Grey, Invented Hill 225 g loose none waits") // and not in South, where it goes in the morning
	p.says("B1 Curly, Invented Hill 115 g locks overnight South tonight")
	p.press("t")
	p.says("South B1 presoak: fill, lower in")
	p.press("esc")
	e.Planned.Begin = time.Time{} // washing begins now
	p.press("esc", "p")
	p.says("A1 Old Grey, Invented Hill 225 g loose overnight North tonight")
	p.says("A2 Old Grey, Invented Hill 225 g loose none South")
	p.seesNot("South tonight")
	e.Planned.Begin = p.clock.At.AddDate(0, 0, 2)
	p.press("esc", "p")
	p.says("overnight North Sun night")
	e.Kit.BinL = 60
	e.Planned.Begin = time.Time{}
	p.wait(11 * time.Hour)
	p.press("esc", "p")
	p.says("B1 Curly, Invented Hill 115 g locks overnight bin tonight")
	p.seesNot("North tonight")
	p.everySize()
}

// TestNightStandsInALine: a lane of one line beside one of three tells it whole.
func TestNightStandsInALine(t *testing.T) {
	p := eve(t)
	p.press("s")
	p.wait(10*time.Hour + 1*time.Minute)
	p.press("s")
	e := p.app.env
	next := func(tub int) {
		if err := e.Live.Do(session.DoNext{Tub: tub, Act: e.Live.Day.NextAction(tub), Sooner: true}, e.Now); err != nil {
			t.Fatal(err)
		}
	}
	for _, tub := range []int{0, 0, 1, 1, 2, 2, 0, 0} { // North is lifted and emptied at once
		next(tub)
		p.wait(4 * time.Minute)
	}
	for w := 70; w <= 100; w += 10 {
		for h := 24; h < 40; h += 2 {
			p.resize(w, h)
			p.sees("07:00 Sun")
			p.seesNot("07:00⋯")
		}
	}
}

// TestAxisOverMidnight: midnight stands as the day that begins, and a clock of twelve hours says am and pm there.
func TestAxisOverMidnight(t *testing.T) {
	at := time.Date(2026, 6, 13, 19, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		u                     measure.System
		long                  time.Duration
		first, half, midnight string
	}{
		{measure.Metric, 14 * time.Hour, "19:00", "19:30", "Sun"},
		{measure.US, 14 * time.Hour, "7 pm", "7:30 pm", "Sun"},
		{measure.US, 2 * time.Hour, "7:00", "7:30", "Sun"},
		{measure.US, 30 * 24 * time.Hour, "7 pm", "7:30 pm", "Jun 14"},
	} {
		e := &base.Env{Kit: shed.Kit{Units: c.u}}
		e.Local = time.UTC
		clock := e.ClockAxis(at, at.Add(c.long))
		for after, want := range map[time.Duration]string{0: c.first, 30 * time.Minute: c.half, 5 * time.Hour: c.midnight} {
			if got := clock(at.Add(after)); got != want {
				t.Errorf("%v over %v: %q, want %q", c.u, c.long, got, want)
			}
		}
	}
}
