package washday

import (
	"math"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// farView is read from the door: one tub, one deed, one figure, as large as the window
// has room for; the words of it below, and the other tubs in small.
func (s *Screen) farView() string {
	w, h, t, keys := s.rooms.w, s.rooms.h, s.e.Theme, s.farKeys()
	s = s.aloud()
	style, big := t.Next, s.bigStyle()
	if s.bandRings() {
		style = s.alarmStyle()
	}
	word, unit, words := "", "", []string{"nothing to do"}
	c, called := s.called()
	if p, ok := s.Prompt(); ok && s.e.Live.Day.Running() {
		word, _ = s.bandWord(p)
		words, unit = nil, c.unit
		for _, o := range s.orders(p) {
			words = append(words, o.text)
		}
		if p.Tub >= 0 {
			word += "   " + s.glances[p.Tub].Name
		}
		if _, ok := s.boilFirst(); ok {
			word = "" // the letters say it
		}
		if p.Count.Of == coach.SinceBelow {
			words = []string{p.Details[0].Say(s.keys.tells), p.Details[1].Say(s.keys.tells)}
		}
	}
	over := s.otherAlarm(w)
	if len(over) == 0 {
		over = s.waits(w)
	}
	if text := s.lowAlarm(); text != "" && len(over) == 0 {
		over = draw.Told(t.Warn, text, w)
	}
	if text, why, warn := s.saved(); why != "" {
		if h < highFrom {
			why = ""
		}
		over = append(draw.Told(warn, text+why, w), over...)
	}
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
	foot := []string{draw.Fit(base.FootText(&t, base.FootItems(w, keys, s.keys.help)), w)}
	if s.e.Say != "" {
		foot = base.SayLines(s.e, w)
	}
	head := mid(style, strings.ToUpper(word))
	var deed []string
	if away := coach.SayBreak(&s.e.Live.Day, s.next, s.e.Now); away != "" {
		deed = mid(t.Title, strings.ToUpper(away))
	}
	for _, l := range words {
		deed = append(deed, mid(style, capitals(l))...)
	}
	room := h - len(foot) - len(over) - len(head) - len(deed)
	var said []string
	if unit != "" {
		if room--; len(c.large(w-1, room, t.ASCII)) == 0 { // the figure stands all the same
			unit = c.figure + " " + unit
		}
		said = mid(style, unit)
	}
	said = append(said, deed...)
	// The other tubs are in letters as far as leaves the call those of ten lines, which are read across the
	// shed; where that is not far enough, of five. Always smaller.
	var others []string
	large, of := -1, 0
	_, most := c.set(w-1, room)
	for goal := min(most, 2); goal >= min(most, 1) && large < of; goal-- {
		need := 0
		if called && goal >= 0 {
			need = math.MaxInt
			for _, way := range c.lines() {
				need = min(need, rowsOf(way, w-1, goal))
			}
		}
		for scale := max(0, goal-1); scale >= -1 && large < of; scale-- {
			if lines, n, all := s.others(w, scale, room-1-need); lines != nil && n > large {
				others, large, of = lines, n, all
			}
		}
	}
	if len(others) > 0 {
		room -= len(others) + 1
	}
	body := head
	if called {
		for _, l := range c.large(w-1, room, t.ASCII) {
			body = append(body, big.Render(draw.Fit(strings.Repeat(" ", max(0, (w-ansi.StringWidthWc(l))/2))+l, w)))
		}
	}
	body = append(body, said...)
	blank := style.Render(strings.Repeat(" ", w))
	lines, below := over, len(foot)
	if len(others) > 0 {
		below += len(others) + 1
	}
	for _, l := range s.poured() { // as far as leaves the letters as they are
		if more := mid(style, l); len(more) <= h-below-len(over)-len(body) {
			body = append(body, more...)
		}
	}
	for range max(0, (h-below-len(over)-len(body))/2) {
		lines = append(lines, blank)
	}
	lines = append(lines, body...)
	for len(lines) < h-below {
		lines = append(lines, blank)
	}
	lines = lines[:max(0, h-below)]
	if len(others) > 0 {
		lines = append(append(lines, s.rule()), others...)
	}
	return strings.Join(append(lines, foot...), "\n")
}

// poured is what goes into the bath that is called to be filled.
func (s *Screen) poured() (out []string) {
	p, _ := s.Prompt()
	a := s.calledAct(p)
	if _, boil := s.boilFirst(); boil || a.Boil || a.Kettle != coach.KettleReady || a.Act != shed.FillTub && !slices.Contains(a.Then, shed.FillTub) {
		return nil
	}
	for _, d := range a.Details {
		if d.Must {
			out = append(out, d.Say(s.keys.tells))
		}
	}
	return out
}

// farKeys are the keys of the view from the door.
func (s *Screen) farKeys() []key.Binding {
	var keys []key.Binding
	if p, ok := s.Prompt(); ok && s.calledAct(p).Boil {
		_, leads := s.boilFirst()
		if told, ok := s.kettleKey(); ok && !leads {
			keys = append(keys, base.Bind("o", told, "o"))
		}
	}
	esc := base.Bind("Esc", "full view", "esc")
	keys = append(keys, s.doKey())
	if _, away := s.e.Live.Day.Away(s.e.Now); away {
		if keys = append(keys, base.Bind("i", "back", "i")); s.rooms.w < narrowFoot {
			esc.SetHelp("Esc", "")
		}
	}
	keys = append(keys, esc)
	if s.ringing() || s.lowAlarm() != "" {
		keys = append([]key.Binding{base.Bind("Space", "heard", " ")}, keys...)
	}
	return keys
}
