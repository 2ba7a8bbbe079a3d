package washday

import (
	"cmp"
	"runtime"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// raised counts the alarms in a journal.
type raised struct {
	tuitest.KeptDay
	of map[session.AlarmKind]int
}

func (j *raised) Append(id shed.DayID, recs []session.Recorded, sum ledger.Summary) error {
	for _, r := range recs {
		if a, ok := r.Event.(session.AlarmRaised); ok {
			j.of[a.Alarm]++
		}
	}
	return nil
}

// late says that a tub's bath has soaked too long, or that the fleece is only in cold
// water and comes out when it is time.
func late(d session.Day, tub int) bool {
	return d.FindAlarm(session.OverLongest, tub) >= 0 || d.Tubs[tub].Bath.Step.Kind == shed.Presoak
}

// A day and a night at twelve tubs, with a reading a minute, and somebody who lifts no
// wash or rinse before it has soaked too long: a thousand alarms, and the memory and what
// a frame costs stay as they were in the first hours.
func TestDayAndNightStaysLight(t *testing.T) {
	if !long.Run() {
		t.Skip("lives through 24 hours")
	}
	was := timetable.Memory // which tests alone have
	timetable.Memory = nil
	defer func() { timetable.Memory = was }()
	plan := sessiontest.ManyBatches(24, 12)
	for i, step := range plan.Method.Steps {
		if step.Kind == shed.Rinse {
			plan.Method.Steps[i].LongestMin = 22
		}
	}
	s := storyScreen(tuitest.StartStory(t, plan).Boiled(), tuitest.StoryStart, theme.Options{NoColor: true})
	journal := &raised{of: map[session.AlarmKind]int{}}
	tuitest.Keeps(s.e, s.e.Live.Day, journal)
	defer func() { _ = s.e.Keeper.Close() }()
	s.SetSize(200, 60)
	e, readings, deeds := s.e, 0, 0
	do := func(c session.Command) bool {
		_, err := e.Keeper.Do(e.Live.ID, e.Live.Day, c, e.Now)
		e.Look()
		return err == nil
	}
	type state struct {
		heap   uint64
		frame  time.Duration
		allocs float64
	}
	measure := func() (x state) {
		var took []time.Duration
		for range 101 {
			e.Now = e.Now.Add(time.Second)
			e.Keeper.Pass()
			e.Look()
			began := time.Now()
			s.Update(base.TickMsg{})
			_ = s.View()
			took = append(took, time.Since(began))
		}
		slices.Sort(took)
		x.frame = took[len(took)/2]
		x.allocs = testing.AllocsPerRun(20, func() { s.Update(base.TickMsg{}); _ = s.View() })
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		x.heap = m.HeapAlloc
		return x
	}
	var hourly []state
	for minute := range 24 * 60 {
		for range 6 {
			e.Now = e.Now.Add(10 * time.Second)
			s.pass()
			s.Update(base.TickMsg{})
		}
		for i := range 12 {
			tub := (minute + i) % 12
			if c, _, ok := e.Live.Day.TempNow(tub, e.Now); ok && do(session.TakeReading{Tub: tub, TempC: c, Sure: true}) {
				readings++
				break
			}
		}
		if len(e.Live.Day.Waiting()) < 12 {
			do(session.AddBatch{Batch: plan.Batches[0]})
		}
		for did := true; did; {
			did = false
			for _, p := range coach.Prompts(e.Live.Day, e.Now) {
				if p.Rank > coach.Now || p.Act == shed.Wait || p.Act == shed.FinishDay || p.Act == shed.Lift && !late(e.Live.Day, p.Tub) {
					continue
				}
				if do(session.DoNext{Tub: p.Tub, Act: p.Act, Batch: p.Batch, Sooner: true}) {
					deeds++
					did = true
					break
				}
			}
		}
		if minute%60 == 59 {
			hourly = append(hourly, measure())
		}
	}
	// The hours differ by what is due in them, and so a third of the day is taken together.
	third := func(of []state) (x state) {
		x.heap = slices.MinFunc(of, func(a, b state) int { return cmp.Compare(a.heap, b.heap) }).heap
		for _, h := range of {
			x.allocs += h.allocs / float64(len(of))
			x.frame += h.frame / time.Duration(len(of))
		}
		return x
	}
	first, last, alarms := third(hourly[:8]), third(hourly[16:]), 0
	for _, n := range journal.of {
		alarms += n
	}
	t.Logf("%d readings, %d deeds, %d alarms %v: least heap %.1f MB in the first eight hours, %.1f in the last; a frame %v and %v, %.0f and %.0f allocations",
		readings, deeds, alarms, journal.of, float64(first.heap)/1e6, float64(last.heap)/1e6, first.frame, last.frame, first.allocs, last.allocs)
	if readings < 1000 || alarms < 1000 {
		t.Errorf("only %d readings and %d alarms", readings, alarms)
	}
	if last.heap > first.heap+4e6 {
		t.Errorf("the heap went from %d to %d bytes", first.heap, last.heap)
	}
	if last.allocs > 1.1*first.allocs {
		t.Errorf("a frame went from %.0f to %.0f allocations", first.allocs, last.allocs)
	}
}
