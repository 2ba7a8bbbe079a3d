package washday

import (
	"runtime"
	"slices"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// A day and a night at twelve tubs, with a reading a minute and twenty deeds in a row each
// hour, and then nobody: the memory stays as it was after the first hour, and
// so does what a frame costs.
func TestDayAndNightStaysLight(t *testing.T) {
	if !long.Run() {
		t.Skip("lives through 24 hours")
	}
	was := timetable.Memory // which tests alone have
	timetable.Memory = nil
	defer func() { timetable.Memory = was }()
	s := storyScreen(tuitest.StartStory(t, sessiontest.ManyBatches(100, 12)).Boiled(), tuitest.StoryStart, theme.Options{NoColor: true})
	tuitest.Keeps(s.e, s.e.Live.Day, &tuitest.KeptDay{})
	defer func() { _ = s.e.Keeper.Close() }()
	s.SetSize(200, 60)
	e, readings, alarms, deeds := s.e, 0, 0, 0
	raised := map[time.Time]map[int]bool{}
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
	var first state
	for minute := range 24 * 60 {
		for range 6 {
			e.Now = e.Now.Add(10 * time.Second)
			s.pass()
			s.Update(base.TickMsg{})
		}
		for _, a := range e.Live.Day.Alarms {
			at := raised[a.RaisedAt]
			if at == nil {
				at = map[int]bool{}
				raised[a.RaisedAt] = at
			}
			if n := int(a.Kind)*100 + a.Tub; !at[n] {
				at[n] = true
				alarms++
			}
		}
		for i := range 12 {
			tub := (minute + i) % 12
			if c, _, ok := e.Live.Day.TempNow(tub, e.Now); ok && do(session.TakeReading{Tub: tub, TempC: c, Sure: true}) {
				readings++
				break
			}
		}
		if minute%60 < 20 {
			for _, p := range coach.Prompts(e.Live.Day, e.Now) {
				if p.Rank <= coach.Now && p.Act != shed.Wait && p.Act != shed.FinishDay && do(session.DoNext{Tub: p.Tub, Act: p.Act, Batch: p.Batch, Sooner: true}) {
					deeds++
					break
				}
			}
		}
		if minute == 60 {
			first = measure()
		}
	}
	last := measure()
	t.Logf("%d readings, %d alarms, %d deeds: heap %.1f MB after an hour, %.1f after 24; a frame %v and %v, %.0f and %.0f allocations",
		readings, alarms, deeds, float64(first.heap)/1e6, float64(last.heap)/1e6, first.frame, last.frame, first.allocs, last.allocs)
	if readings < 1000 || alarms < 100 {
		t.Errorf("only %d readings and %d alarms", readings, alarms)
	}
	if last.heap > first.heap+24e6 {
		t.Errorf("the heap went from %d to %d bytes", first.heap, last.heap)
	}
	if last.allocs > 2*first.allocs {
		t.Errorf("a frame went from %.0f to %.0f allocations", first.allocs, last.allocs)
	}
}
