package washday

import (
	"fmt"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// storyScreen is the running day's screen over a canned day.
func storyScreen(d session.Day, now time.Time, o theme.Options) *Screen {
	s := New(tuitest.StoryEnv(d, now, o)).(*Screen)
	s.focusAt = time.Time{}
	return s
}

// pass lets time pass to the env's now, without a frame.
func (s *Screen) pass() {
	s.e.Keeper.Pass()
	s.e.Look()
}

// storyOf is the day's screen in a story.
func storyOf(t testing.TB, st tuitest.Story, o theme.Options) *Screen {
	d, now := st.Make(t)
	s := storyScreen(d, now, o)
	s.SetSize(200, 60)
	for _, k := range st.Keys {
		s.Update(tuitest.KeyOf(k))
	}
	return s
}

// TestDayFits: whatever the state, size and theme, the screen is exactly as
// large as the window, and plain characters stay plain.
func TestDayFits(t *testing.T) {
	if testing.Short() {
		t.Skip("draws a great deal and starts no goroutine")
	}
	tried := 0
	for _, o := range []theme.Options{{}, {ASCII: true}, {NoColor: true}, {Light: true}} {
		for _, st := range tuitest.Stories() {
			s := storyOf(t, st, o)
			for _, sz := range append(tuitest.Sizes, [2]int{47, 13}, [2]int{61, 18}, [2]int{76, 21}, [2]int{110, 33}, [2]int{160, 50}) {
				if tried++; !long.Turn(tried, 4) {
					continue
				}
				s.SetSize(sz[0], sz[1])
				tuitest.CheckFits(t, fmt.Sprintf("%s %v %+v", st.Name, sz, o), draw.Plain(s.View(), o.ASCII), sz[0], sz[1], o.ASCII)
			}
		}
	}
}
