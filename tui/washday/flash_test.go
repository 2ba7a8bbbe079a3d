package washday

import (
	"io"
	"testing"
	"time"

	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/theme"
)

// An unanswered alarm flashes once in two seconds, never faster; without
// colours it stands, and the words are there in both.
func TestAlarmFlashesSlowly(t *testing.T) {
	h := newHand(t, 1, 26)
	h.s.e.Theme = theme.New(io.Discard, theme.Options{})
	for range 60 {
		h.wait(60)
		if a, ok := h.day().Pressing(); ok && a.Unanswered() {
			break
		}
	}
	s := h.s
	at := s.e.Now.Truncate(2 * time.Second)
	var styles []string
	for i := range 8 {
		s.e.Now = at.Add(time.Duration(i) * 250 * time.Millisecond)
		styles = append(styles, s.alarmStyle().Render("x"))
	}
	changes := 0
	for i := 1; i < len(styles); i++ {
		if styles[i] != styles[i-1] {
			changes++
		}
	}
	if changes != 1 {
		t.Errorf("%d changes in two seconds: %q", changes, styles)
	}
	h.sees("ALARM")
	s.e.Theme.Steady = true
	s.e.Now = at.Add(time.Second)
	if a, _ := h.day().Pressing(); s.alarmStyle().Render("x") != base.AlarmStyle(&s.e.Theme, a).Render("x") {
		t.Error("it flashes without colours")
	}
	h.sees("ALARM")
}
