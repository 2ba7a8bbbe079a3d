package washday

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// farView is read from the door: one tub, one figure, one line of words.
func (s *Screen) farView() string {
	w, h, t := s.rooms.w, s.rooms.h, s.e.Theme
	style, big := t.Next, t.Big
	if s.bandRings() {
		style, big = s.alarmStyle(), s.alarmStyle()
	}
	name, figures, unit := "", "", ""
	words := []string{"nothing to do"}
	if p, ok := s.Prompt(); ok && s.e.Live.Day.Running() {
		word, _ := s.bandWord(p)
		name, words = word, nil
		for _, o := range s.orders(p) {
			words = append(words, o.text)
		}
		if p.Tub >= 0 {
			name = word + "   " + s.glances[p.Tub].Name
		}
		if boil, ok := s.boilFirst(); ok {
			name, _ = s.kettleWord(boil)
		}
		figures, unit = s.countdown(p)
		if figures == "" && p.Tub >= 0 {
			figures = fmt.Sprintf("%d", p.Tub+1)
			unit = "is the tub"
		}
		if p.Count.Of == coach.SinceBelow {
			words = []string{p.Details[0].Say(s.keys.tells), p.Details[1].Say(s.keys.tells)}
		}
	}
	over := s.otherAlarm(w)
	if len(over) == 0 {
		over = s.waits(w)
	}
	scale := 1
	for next := scale + 1; paint.FiguresWidth(figures, next) <= w-2 && 5*next <= h-4-len(words)-len(over); next++ {
		scale = next
	}
	fig := paint.Figures(figures, scale, t.ASCII)
	mid := func(st theme.Style, text string) (out []string) {
		lines := []string{text}
		if ansi.StringWidthWc(text) > w-2 {
			lines = draw.Wrapped(text, w-2)
		}
		for _, l := range lines {
			out = append(out, st.Render(draw.Fit(strings.Repeat(" ", max(0, (w-ansi.StringWidthWc(l))/2))+l, w)))
		}
		return out
	}
	body := mid(style, strings.ToUpper(name))
	if figures != "" {
		for _, l := range fig {
			body = append(body, big.Render(draw.Fit(strings.Repeat(" ", max(0, (w-ansi.StringWidthWc(l))/2))+l, w)))
		}
		body = append(body, mid(style, unit)...)
	}
	for _, l := range words {
		body = append(body, mid(style, capitals(l))...)
	}
	foot := []string{draw.Fit(base.FootText(t, base.FootItems(w, s.farKeys(), s.keys.help)), w)}
	if s.e.Say != "" {
		foot = base.SayLines(s.e, w)
	}
	blank := style.Render(strings.Repeat(" ", w))
	lines := over
	for range max(0, (h-len(foot)-len(body))/2-len(over)) {
		lines = append(lines, blank)
	}
	lines = append(lines, body...)
	for len(lines) < h-len(foot) {
		lines = append(lines, blank)
	}
	return strings.Join(append(lines[:max(0, h-len(foot))], foot...), "\n")
}

// farKeys are the keys of the view from the door.
func (s *Screen) farKeys() []key.Binding {
	keys := []key.Binding{s.doKey(), base.Bind("Esc", "near", "esc")}
	if s.ringing() {
		keys = append([]key.Binding{base.Bind("Space", "heard", " ")}, keys...)
	}
	return keys
}
