package tui

import (
	"testing"
	"time"

	"fleece.example/tubside/session/shed"
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
	p.says("19:00 overnight presoak: A1, A2 and B1, each in its tub; lifted Sun 07:00")
	p.press("esc", "s")
	p.says("planned start 19:00. Press s again to start now")
	p.wait(9*time.Hour + 45*time.Minute) // 18:45
	p.press("s")
	if !p.app.env.Live.Day.Running() {
		t.Fatalf("no day runs:\n%s", p.view())
	}
	p.says("in the evening, from 19:00: it soaks until 07:00 Sun")
	p.wait(35 * time.Minute)
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
	p.wait(11*time.Hour + 20*time.Minute)
	p.sees("FOR SOUTH'S FIRST HOT WASH", "lift and drain")
}
