package tui

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/tuitest"
)

// planned is a person at a plan of four batches of two invented fleeces.
func planned(t *testing.T) *person {
	p := newPerson(t, true, withFleeces)
	plan := tuitest.StoryPlan(3)
	plan.Kit = *p.ledger.HasKit
	p.app.env.Planned.Plan = shed.Plan{Method: plan.Method, Fleeces: plan.Fleeces, Batches: plan.Batches}
	p.press("p")
	return p
}

// workedOut opens the timetable.
func (p *person) workedOut() {
	p.t.Helper()
	p.press("t")
	p.seesNot("working it out")
}

// TestOutlookScrolls: the timetable can be read on.
func TestOutlookScrolls(t *testing.T) {
	p := planned(t)
	p.workedOut()
	p.sees("Start now", "hands-on", "kettle", "you")
	p.press("end")
	p.sees("rack: spin, rack")
}

// The plan says what it comes to, and takes a better order over.
func TestPlanOutlook(t *testing.T) {
	p := planned(t)
	p.sees("t: timetable")
	p.press("e", "enter", "3", "0", "0", "ctrl+s") // A1, fuller than it opens out
	p.sees("A1 won't open out in North: take 60 g out")
	p.press("e", "enter", "2", "2", "5", "ctrl+s")
	if strings.Contains(p.view(), "open out") {
		t.Errorf("225 g in 8 L are as usual:\n%s", p.view())
	}
	p.workedOut()
	p.press("o")
	p.says("no order tried finishes sooner")
	p.press("esc", "esc", "k", "2", "0", "ctrl+s", "esc", "p") // no kettle
	p.sees("too cool to wash", "raise the tank to")
	p.workedOut()
	p.sees("This plan won't work")
	p.press("esc", "s")
	p.says("Press s again to start anyway")
	if p.app.env.Live.Day.Running() {
		t.Error("a plan that cannot be washed was started by one press")
	}
}

// The plan and its timetable say one figure for how long it takes, and so does the
// better order once it is taken over; the same key takes it back.
func TestOneLengthOfTheDay(t *testing.T) {
	length := func(p *person, pattern string) string {
		t.Helper()
		m := regexp.MustCompile(pattern).FindStringSubmatch(p.view())
		if m == nil {
			t.Fatalf("no %q:\n%s", pattern, p.view())
		}
		return m[1]
	}
	const head, table = `About ([^;]*); .* raw`, `Start now, done [^:]*:\d\d[^:]*: ([^,]*),`
	sooner := 0
	for _, presoaks := range [][]shed.PresoakChoice{
		{0, 0, 0, 0}, {shed.PresoakNone, 0, 0, shed.PresoakQuick}, {0, 0, 0, shed.PresoakNone, shed.PresoakNone}, {0, 0, 0, 0, shed.PresoakQuick, shed.PresoakNone},
	} {
		p := planned(t)
		p.resize(120, 40)
		batches := p.app.env.Planned.Plan.Batches
		var made []shed.Batch
		for i, presoak := range presoaks {
			b := batches[i%len(batches)]
			b.Presoak = presoak
			made = append(made, b)
		}
		p.app.env.Planned.Plan.Batches = made
		p.press("esc", "p")
		said := length(p, head)
		p.workedOut()
		if got := length(p, table); got != said {
			t.Errorf("%v: the plan says %s, its timetable %s", presoaks, said, got)
		}
		if !strings.Contains(p.view(), "o: another order") {
			p.seesNot("o put in")
			continue
		}
		sooner++
		by, done := length(p, `finishes (.*) sooner, at`), length(p, `sooner, at (\d+:\d+)`)
		p.press("o")
		p.says("the batches are now in the faster order: done at " + done + ", " + by + " sooner")
		said = length(p, head)
		p.workedOut()
		if got := length(p, table); got != said {
			t.Errorf("%v in order: the plan says %s, its timetable %s", presoaks, said, got)
		}
		p.sees("done "+done, "o: back to your own order")
		p.press("o")
		p.says("the batches are back in your own order")
		sessiontest.Same(t, "back", fmt.Sprint(p.app.env.Planned.Plan.Batches), fmt.Sprint(made))
	}
	if sooner == 0 {
		t.Error("no plan has a better order")
	}
}

// A plan with a break is shorter the later it begins: its head and the timetable say one length
// all the same, that between the times beside it.
func TestOneLengthAsTimePasses(t *testing.T) {
	p := planned(t)
	p.resize(120, 40)
	p.app.env.Planned.Plan.Break = shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}}
	p.press("esc", "p")
	said := func(pattern string) []string {
		t.Helper()
		m := regexp.MustCompile(pattern).FindStringSubmatch(p.view())
		if m == nil {
			t.Fatalf("no %q:\n%s", pattern, p.view())
		}
		return m[1:]
	}
	lengths := map[string]bool{}
	for n := range 9 {
		if n == 5 {
			p.app.env.Planned.Plan.Break = nil
			p.press("esc", "p")
		}
		p.wait(37 * time.Second)
		p.workedOut()
		now, end := said(`(\d\d:\d\d) *\n`)[0], said(`done (\d\d:\d\d): ([^,]*),`)
		at := func(clock string) time.Time {
			v := must.Get(time.Parse("15:04", clock)).In(t)
			return v
		}
		if want := measure.Minutes(at(end[0]).Sub(at(now)).Minutes()); end[1] != want {
			t.Errorf("%s to %s is said to be %s", now, end[0], end[1])
		}
		p.press("esc")
		if head := said(`About ([^;]*); .* raw`)[0]; head != end[1] {
			t.Errorf("the plan says %s, its timetable %s", head, end[1])
		}
		lengths[end[1]] = true
	}
	if len(lengths) < 3 {
		t.Errorf("%v: the break makes no day shorter", lengths)
	}
}

// A fleece is split into even baskets that add up to what is left of it.
func TestSplitFleece(t *testing.T) {
	p := planned(t)
	var before float64
	for _, b := range p.app.env.Planned.Plan.Batches {
		before += b.RawG
	}
	p.press("a", "enter")
	p.sees("How much of it")
	p.press("ctrl+s")
	if strings.Contains(p.view(), "Most in a basket") {
		t.Fatalf("refused:\n%s", p.view())
	}
	id := p.app.env.Planned.Plan.Batches[len(p.app.env.Planned.Plan.Batches)-1].FleeceID
	var whole, sum float64
	for _, f := range p.app.env.Planned.Plan.Fleeces {
		if f.ID == id {
			whole = f.RawG
		}
	}
	for _, b := range p.app.env.Planned.Plan.Batches {
		if b.FleeceID == id {
			sum += b.RawG
		}
	}
	if sum != whole || whole == 0 {
		t.Errorf("%g g in the plan of a fleece of %g g", sum, whole)
	}
	p.press("a", "enter", "tab", "tab", "1", "ctrl+s") // nothing is left of it: refused, not lost
	if got := len(p.app.env.Planned.Plan.Batches); got < 5 {
		t.Errorf("%d batches", got)
	}
}

// TestOnlyToday: what is more than a day's work can be left in its fleece, by one
// key, and is offered again.
func TestOnlyToday(t *testing.T) {
	p := newPerson(t, true, withFleeces)
	p.resize(120, 40)
	p.press("p", "l")
	p.says("nothing to leave for later")
	p.press("a", "end", "up", "ctrl+s") // all of the last fleece
	all := p.app.env.Planned.Plan.Batches
	p.sees("More than a day's work. l: only ")
	p.seesNot("split it over") // the same again
	p.everySize()
	p.press("l")
	p.says("stay in the fleece for another day")
	today := p.app.env.Planned.Plan.Batches
	if len(today) < len(all)/2 || len(today) > (len(all)+1)/2 {
		t.Fatalf("%d of %d batches today", len(today), len(all))
	}
	p.seesNot("ore than a day's work")
	p.press("a", "end", "up", "enter", "enter", "enter")
	rest := 0.0
	for _, b := range all {
		rest += b.RawG
	}
	for _, b := range today {
		rest -= b.RawG
	}
	p.sees(fmt.Sprintf("> %.0f", rest))
}
