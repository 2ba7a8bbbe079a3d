package tui

import (
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// slowly presses a key whose change of the plan takes long to reckon: what comes of it is held back.
func (p *person) slowly(key string) []tea.Msg {
	p.t.Helper()
	p.clock.Forward(time.Second)
	return p.pressHeld(key)
}

// TestPlanIsReckonedAway: a key that changes the plan is on the screen at once, the old figures
// are said to be old until the new ones come, and what was overtaken is dropped.
func TestPlanIsReckonedAway(t *testing.T) {
	p := planned(t)
	head := func() string {
		for l := range strings.Lines(p.view()) {
			if strings.Contains(l, " raw; ") {
				return strings.TrimSpace(l)
			}
		}
		t.Fatalf("no sums:\n%s", p.view())
		return ""
	}
	was := head()
	old := "Working it out; was " + strings.TrimSuffix(strings.TrimPrefix(was, "About "), "; t: timetable")
	p.press("down", "down", "down", "d")
	first := p.slowly("d")
	p.sees("▸ 3  B1", "450 g of 3 kg")
	if p.seesNot("A3"); len(first) != 1 || head() != old {
		t.Fatalf("%d answers on their way; %q, not %q", len(first), head(), old)
	}
	p.press("d")
	if more := p.slowly("d"); len(more) != 0 {
		t.Fatal("two are reckoned at once")
	}
	if p.seesNot("B1"); head() != old {
		t.Errorf("%q, not %q", head(), old)
	}
	_, cmd := p.app.Update(first[0])
	if head() != old {
		t.Errorf("what was overtaken is shown: %q", head())
	}
	second := p.held(cmd)
	if len(second) != 1 {
		t.Fatalf("%d answers on their way", len(second))
	}
	p.send(second[0])
	got := head()
	p.press("esc", "p")
	if want := head(); got != want || !strings.HasPrefix(got, "About ") || !strings.Contains(got, " 450 g raw") {
		t.Errorf("%q, and opened again %q", got, want)
	}
}

// TestPlanLeftWhileReckoned: what comes for a screen that was left says nothing on the next.
func TestPlanLeftWhileReckoned(t *testing.T) {
	p := planned(t)
	late := p.slowly("J")
	p.press("esc", "p")
	want := p.view()
	p.send(late[0])
	if p.view() != want {
		t.Errorf("%s\nand before that\n%s", p.view(), want)
	}
}

// TestDayIsBegunByThePlanAsItIs: s behind a change waits for what that comes to, and the keys
// behind wait with it; it neither asks what was to be asked before the change nor leaves out
// what is to be asked since.
func TestDayIsBegunByThePlanAsItIs(t *testing.T) {
	p := planned(t)
	e := p.app.env
	e.Planned.Plan.Batches = append(slices.Clone(e.Planned.Plan.Batches), e.Planned.Plan.Batches...)
	e.Planned.ReadyBy = e.Now.Add(4*time.Hour + 45*time.Minute)
	p.press("esc", "p")
	p.says("the latest start is")
	p.press("d", "d", "d", "d", "d", "d", "d")
	late := p.slowly("d")
	begin := p.slowly("s")
	if p.app.env.Live.Day.Running() || len(late) != 1 || len(begin) != 1 {
		t.Fatalf("running %v; %d and %d answers on their way", p.app.env.Live.Day.Running(), len(late), len(begin))
	}
	p.press("d")
	p.send(late[0])
	p.seesNot("out of the plan?")
	p.send(begin[0])
	if d := p.day(); !d.Running() || len(d.Plan.Batches) != 4 {
		t.Fatalf("running %v with %d batches:\n%s", d.Running(), len(d.Plan.Batches), p.view())
	}

	p = planned(t)
	p.press("b", "enter")
	p.types("13:00")
	late = p.slowly("ctrl+s")
	p.sees("Working it out; was")
	begin = p.slowly("s")
	if len(late) != 1 || len(begin) != 1 {
		t.Fatalf("%d and %d answers on their way:\n%s", len(late), len(begin), p.view())
	}
	p.press("s") // called off by the Esc behind it
	p.press("esc")
	p.send(begin[0])
	p.seesNot("Press s again")
	begin = p.slowly("s")
	p.send(begin[0])
	p.says("the latest start is 08:26 today: give it more time, or take batches out. Press s again to start anyway")
	p.send(late[0])
	if p.app.env.Live.Day.Running() {
		t.Error("it was begun although it takes too long, and nobody was asked")
	}
}

// TestLeftForLaterByThePlanAsItIs: l behind a change leaves out by what that comes to.
func TestLeftForLaterByThePlanAsItIs(t *testing.T) {
	p := planned(t)
	e := p.app.env
	for range 2 {
		e.Planned.Plan.Batches = append(slices.Clone(e.Planned.Plan.Batches), e.Planned.Plan.Batches...)
	}
	p.press("esc", "p")
	p.says("More than a day's work. l: only 8 batches today, the other 8 another day")
	p.press("d", "d", "d")
	late := p.slowly("d")
	left := p.slowly("l")
	if len(late) != 1 || len(left) != 1 || len(e.Planned.Plan.Batches) != 14 {
		t.Fatalf("%d and %d answers on their way, %d batches", len(late), len(left), len(e.Planned.Plan.Batches))
	}
	p.send(left[0])
	p.says("7 batches today; 1.35 kg stay in the fleece")
	p.send(late[0])
	if n := len(e.Planned.Plan.Batches); n != 7 {
		t.Errorf("%d batches today", n)
	}
}

// TestEarlyForABreak: a day that a break lets be done well before its time says so, and names no
// hours that nobody keeps free.
func TestEarlyForABreak(t *testing.T) {
	p := planned(t)
	e := p.app.env
	e.Planned.ReadyBy = tuitest.StoryStart.Add(6*time.Hour + 50*time.Minute)
	e.Planned.Plan.Break = shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}}
	p.press("esc", "p")
	p.says("to be ready by 15:50: done about ")
	p.seesNot("you keep free")
}

// TestReadyByIsAfterItBegins: a time of day to be ready by is of the day that was said it begins on.
func TestReadyByIsAfterItBegins(t *testing.T) {
	p := planned(t)
	p.press("b")
	p.types("tomorrow 7:00")
	p.press("enter")
	p.types("16:00")
	p.press("ctrl+s")
	p.says("Begins tomorrow 11:26 at the latest, not 07:00, to be ready by 16:00")
}

// TestRunningLateIsSaidOnce: a day that will not be ready by its time says so once, with what would
// help; one in time, or without a time, says nothing.
func TestRunningLateIsSaidOnce(t *testing.T) {
	for readyMin, late := range map[float64]bool{0: false, 6 * 60: true, 12 * 60: false} {
		p := planned(t)
		e := p.app.env
		e.Planned.ReadyBy = time.Time{}
		if readyMin > 0 {
			e.Planned.ReadyBy = e.Now.Add(time.Duration(readyMin) * time.Minute)
		}
		p.press("esc", "p", "s", "s")
		p.settled()
		if !e.Live.Day.Running() {
			t.Fatalf("no day runs:\n%s", p.view())
		}
		said := 0
		for range 8 {
			p.wait(30 * time.Minute)
			if strings.Contains(p.view(), "Running late: done about ") {
				said++
				p.everySize()
				p.wait(2 * time.Minute) // nobody has read it yet
				p.says("Running late")
				p.press("?", "esc")
				p.seesNot("Running late")
				if err := e.Live.Do(session.SetClock{By: time.Hour}, e.Now); err != nil { // the day's begin moves
					t.Fatal(err)
				}
			}
			p.seesNot("Running late")
		}
		if late != (said == 1) || said > 1 {
			t.Errorf("ready in %.0f min: said %d times", readyMin, said)
		}
	}
}

// BenchmarkPlanKey is a key that changes the plan to its frame: 12 batches on 3 tubs, with
// a break and a time to be ready by, while the plan before is being reckoned.
func BenchmarkPlanKey(b *testing.B) {
	e := &base.Env{Deps: base.Deps{Journal: tuitest.NewFakeJournal(), Ledger: tuitest.NewFakeLedger(), Theme: theme.New(io.Discard, theme.Options{}), Local: time.UTC},
		Now: tuitest.StoryStart, Kit: tuitest.StoryKit()}
	tuitest.Keeps(e, session.Day{}, nil)
	plan := tuitest.StoryPlan(3)
	e.Planned.Plan = shed.Plan{Method: plan.Method, Fleeces: plan.Fleeces, Break: shed.Breaks{{FromMin: 12*60 + 30, ToMin: 13*60 + 15}}}
	for len(e.Planned.Plan.Batches) < 12 {
		e.Planned.Plan.Batches = append(e.Planned.Plan.Batches, plan.Batches...)
	}
	e.Planned.ReadyBy = e.Now.Add(32 * time.Hour)
	s := ahead.NewPlan(e).(*ahead.PlanScreen)
	s.SetSize(80, 22)
	took, answers := make([]time.Duration, 0, b.N), make(chan base.Answer, 9)
	var ask func(tea.Cmd)
	ask = func(cmd tea.Cmd) {
		switch m := cmd().(type) {
		case base.Answer:
			answers <- m
		case tea.BatchMsg:
			for _, c := range m {
				ask(c)
			}
		}
	}
	b.ResetTimer()
	for i := range b.N {
		select {
		case a := <-answers:
			a.Take()
		default:
		}
		if cmd := s.Read(); cmd != nil {
			go ask(cmd)
		}
		began := time.Now()
		s.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{[]rune("JK")[i%2]}})
		s.Place()
		if len(s.View()) == 0 {
			b.Fatal("nothing was drawn")
		}
		took = append(took, time.Since(began))
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-median")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "ms-p99")
}

// TestQuietHoursThatLeaveNoDay: quiet hours which leave too little of the day are not planned
// around, and the plan says so.
func TestQuietHoursThatLeaveNoDay(t *testing.T) {
	for fromMin, says := range map[int]bool{14 * 60: true, 22 * 60: false} {
		p := newPerson(t, true, withFleeces, func(p *person, _ *base.Deps) {
			p.ledger.Alarms = session.AlarmSettings{QuietFromMin: fromMin, QuietToMin: 7 * 60}
		})
		p.resize(120, 200)
		p.press("p", "a", "enter", "ctrl+s", "t")
		if got := strings.Contains(strings.Join(strings.Fields(p.view()), " "), "the quiet hours are not kept free"); got != says {
			t.Errorf("from %d min: %v\n%s", fromMin, got, p.view())
		}
	}
}
