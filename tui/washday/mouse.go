package washday

import (
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// mouse: a click on a lane chooses it, on the band does the next action, on a
// key in the foot presses it; the wheel goes through the tubs.
func (s *Screen) mouse(msg tea.MouseMsg) tea.Cmd {
	switch {
	case msg.Button == tea.MouseButtonWheelUp:
		s.step(-1)
	case msg.Button == tea.MouseButtonWheelDown:
		s.step(1)
	case msg.Action != tea.MouseActionPress || msg.Button != tea.MouseButtonLeft || s.ask != nil:
	case s.far || s.rooms.band.Has(msg.Y):
		return s.question(tea.KeyMsg{Type: tea.KeyEnter})
	case s.rooms.lanes.Has(msg.Y):
		if tub, ok := s.laneAt(msg.Y); ok {
			s.choose(tub)
		}
	case msg.Y >= s.rooms.h-s.rooms.footLines:
		if k, ok := s.footAt(msg.X); ok {
			return s.question(k)
		}
	}
	return nil
}

// choose makes the band speak of a tub until its deed, Esc or another choice.
func (s *Screen) choose(tub int) {
	if tub >= len(s.glances) {
		s.e.Refuse(fmt.Errorf("there is no tub %d: this day has %d", tub+1, len(s.glances)))
		s.typingOn, s.held = true, tub+1
		s.deafen() // more likely a figure than a tub
		return
	}
	if tub != s.focus {
		s.withdraw()
	}
	s.chosen, s.lent = tub, time.Time{}
	s.focusAt, s.movedAt, s.turnedAt = time.Time{}, time.Time{}, time.Time{} // by hand: no need to wait
	if tub != s.left.tub {                                                   // chosen from memory, it may say more by now
		s.left = offer{}
	}
	s.focus = tub
}

func (s *Screen) step(by int) {
	n := len(s.glances)
	if n == 0 {
		return
	}
	at := max(s.focus, 0)
	s.choose((at + by + n) % n)
}
