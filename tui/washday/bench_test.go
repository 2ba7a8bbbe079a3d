package washday

import (
	"runtime"
	"slices"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// busyDay is twelve soaking tubs with a few readings each.
func busyDay(b *testing.B) *Screen {
	b.Helper()
	d, now := tuitest.PlayFor(b, tuitest.StartStory(b, tuitest.StoryPlan(12)), tuitest.StoryStart, 50)
	for range 6 {
		now = now.Add(20 * time.Second)
		for i := range d.Tubs {
			if c, _, ok := d.TempNow(i, now); ok {
				if next, _, err := session.Do(d, session.TakeReading{Tub: i, TempC: c, Sure: true}, now); err == nil {
					d = next
				}
			}
		}
	}
	s := storyScreen(d, now, theme.Options{})
	tuitest.Keeps(s.e, s.e.Live.Day, &tuitest.KeptDay{})
	b.Cleanup(func() {
		if err := s.e.Keeper.Close(); err != nil {
			b.Error(err)
		}
	})
	s.SetSize(200, 60)
	return s
}

// ownTime is the processor time of this thread, which others on the machine do not make
// longer; nil where nobody tells.
var ownTime func() time.Duration

// frames times one message with its frame and reports the median and p99, by the clock
// and in processor time of its own.
func frames(b *testing.B, s *Screen, msg func(i int) tea.Msg) {
	b.Helper()
	took, own := make([]time.Duration, 0, b.N), make([]time.Duration, 0, b.N)
	if ownTime != nil {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
	}
	lines := 0
	for i := range b.N {
		m := msg(i)
		began, used := time.Now(), time.Duration(0)
		if ownTime != nil {
			used = ownTime()
		}
		s.Update(m)
		lines += len(s.View())
		took = append(took, time.Since(began))
		if ownTime != nil {
			own = append(own, ownTime()-used)
		}
	}
	if lines == 0 {
		b.Fatal("nothing was drawn")
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-median")
	b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "ms-p99")
	if slices.Sort(own); len(own) > 0 {
		b.ReportMetric(float64(own[len(own)*99/100].Microseconds())/1000, "ms-own-p99")
		took = own // what others do is no part of the ratio
	}
	b.ReportMetric(float64(took[len(took)*99/100])/float64(took[len(took)/2]), "x-median")
}

// BenchmarkKeyToFrame is a key with 12 tubs at 200x60: going through the tubs,
// so that the curve is drawn anew each time.
func BenchmarkKeyToFrame(b *testing.B) {
	s := busyDay(b)
	b.ResetTimer()
	frames(b, s, func(int) tea.Msg { return tea.KeyMsg{Type: tea.KeyDown} })
}

// BenchmarkTickToFrame is a second passing with 12 tubs at 200x60, while the keeper has
// time pass and plans the rest of the day by itself, as in the program.
func BenchmarkTickToFrame(b *testing.B) {
	s := busyDay(b)
	clock := &benchClock{at: s.e.Now}
	s.e.Keeper = keep.New(keep.With{Journal: &tuitest.KeptDay{}, Clock: clock, Every: 50 * time.Millisecond})
	s.e.Keeper.Take(1, s.e.Live.Day)
	s.e.Live.Keeper = s.e.Keeper
	s.e.Keeper.Run()
	b.ResetTimer()
	frames(b, s, func(int) tea.Msg {
		time.Sleep(5 * time.Millisecond) // of the second between two ticks
		s.e.Now = clock.forward(time.Second)
		s.e.Look()
		return base.TickMsg{}
	})
}

// benchClock goes as it is told.
type benchClock struct {
	mu sync.Mutex
	at time.Time
}

func (c *benchClock) Now() time.Time { return c.forward(0) }

func (c *benchClock) forward(by time.Duration) time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(by)
	return c.at
}
