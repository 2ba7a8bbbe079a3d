package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/paint"
)

// farView is read from the door: one tub, one figure, one line of words.
func (s *dayScreen) farView() string {
	w, h, t := s.rooms.w, s.rooms.h, s.e.Theme
	style, big := t.Next, t.Big
	if s.ringing() {
		style, big = s.alarmStyle(), s.alarmStyle()
	}
	name, words, figures, unit := "", "nothing to do", "", ""
	if p, ok := s.prompt(); ok && s.e.live.day.Running() {
		word, _ := s.bandWord(p)
		name, words = word, headline(p)
		if p.Tub >= 0 {
			name = word + "   " + s.glances[p.Tub].Name
		}
		figures, unit = s.countdown(p)
		if figures == "" && p.Tub >= 0 {
			figures = fmt.Sprintf("%d", p.Tub+1)
			unit = "is the tub: now"
		}
	}
	scale := 1
	for next := scale + 1; paint.FiguresWidth(figures, next) <= w-2 && 5*next <= h-5; next++ {
		scale = next
	}
	fig := paint.Figures(figures, scale, t.ASCII)
	mid := func(text string) string {
		n := ansi.StringWidth(text)
		return fit(strings.Repeat(" ", max(0, (w-n)/2))+text, w)
	}
	body := []string{style.Render(mid(strings.ToUpper(name)))}
	if figures != "" {
		for _, l := range fig {
			body = append(body, big.Render(mid(l)))
		}
		body = append(body, style.Render(mid(unit)))
	}
	body = append(body, style.Render(mid(strings.ToUpper(words))))
	top := max(0, (h-1-len(body))/2)
	lines := make([]string, 0, h)
	for range top {
		lines = append(lines, style.Render(strings.Repeat(" ", w)))
	}
	lines = append(lines, body...)
	for len(lines) < h-1 {
		lines = append(lines, style.Render(strings.Repeat(" ", w)))
	}
	foot := " f near view   Enter done   Space alarm heard"
	if s.e.say != "" {
		foot = " " + s.e.say
	}
	return strings.Join(append(lines[:h-1], t.Faint.Render(fit(foot, w))), "\n")
}
