package washday

import (
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
