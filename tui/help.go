package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/viewport"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
)

// scroll is lines that may be more than the screen is high.
type scroll struct{ port viewport.Model }

// set gives the lines; the place read at is kept.
func (s *scroll) set(lines []string, w, h int) {
	at := s.port.YOffset
	s.port = viewport.New(w, h)
	s.port.SetContent(block(lines, w, len(lines)))
	s.port.SetYOffset(at)
}

// move scrolls; the keys are those of a page, not letters.
func (s *scroll) move(k tea.KeyMsg) bool {
	switch k.String() {
	case "up", "k":
		s.port.ScrollUp(1)
	case "down", "j":
		s.port.ScrollDown(1)
	case "pgup":
		s.port.PageUp()
	case "pgdown":
		s.port.PageDown()
	case "home":
		s.port.GotoTop()
	case "end":
		s.port.GotoBottom()
	default:
		return false
	}
	return true
}

var keyScroll = bind("Up Down PgDn", "scroll", "up", "down", "pgup", "pgdown", "home", "end")

// helpScreen is everything: keys, alarms, cautions.
type helpScreen struct {
	frame
	of []key.Binding
	scroll
}

func newHelp(e *env, keys []key.Binding) screen {
	s := &helpScreen{of: keys}
	s.frame = frame{e: e, keys: []key.Binding{keyScroll, bind("Esc", "back", "esc", "q", "?", "enter", "f1")}, help: bind("?", "close", "?")}
	return s
}

func (s *helpScreen) Title() string { return "Help" }

func (s *helpScreen) SetSize(w, h int) {
	s.frame.SetSize(w, h)
	s.set(s.text(), w, max(1, h-1))
}

func (s *helpScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	k, ok := s.pressed(msg)
	if !ok || s.move(k) {
		return s, nil
	}
	if key.Matches(k, s.keys[1]) { // also with an alarm standing: one screen back
		return s, pop()
	}
	return s, nil
}

func (s *helpScreen) View() string {
	return s.draw(strings.Split(s.port.View(), "\n"))
}

// text is the whole help, as wide as the screen.
func (s *helpScreen) text() []string {
	t, w := s.e.Theme, s.w
	var out []string
	head := func(text string) {
		if len(out) > 0 {
			out = append(out, "")
		}
		out = append(out, t.Title.Render(" "+text))
	}
	para := func(label, text string) {
		for _, l := range hung(label, s.e.kit.Units.Spell(text), w-3) {
			out = append(out, t.Text.Render("  "+l))
		}
	}
	head("Keys of the screen you came from")
	wide := 0
	for _, b := range s.of {
		wide = max(wide, len(b.Help().Key))
	}
	for _, b := range s.of {
		for i, l := range wrapped(b.Help().Desc, w-wide-6) {
			label := strings.Repeat(" ", wide)
			if i == 0 {
				label = fit(b.Help().Key, wide)
			}
			out = append(out, "  "+t.Key.Render(label)+"  "+t.Text.Render(l))
		}
	}
	head("Keys on every screen")
	para("? or F1   ", "this help (F1 while you type)")
	para("Esc       ", "back; a form with changes and a sentence half typed ask first, a short answer at a tub just goes")
	if s.e.Rehearsal != nil {
		para("Ctrl+C    ", "quit at once; the invented day is thrown away, as it is with Esc, which asks first")
	} else {
		para("Ctrl+C    ", "quit: what the screen calls saved is safe; a form half filled in and a plan not started are gone")
	}
	head("Figures")
	para("", "A reading is what the thermometer said. Everything else is an estimate from it, from the tub's size and its cover, and says about, or a range.")
	para("", "You may type a figure in other units: 145 F, 63 C, 8 oz, 225 g, 1 h 30 min, 2 US gal.")
	head("Alarms")
	para("", "A call sounds once: what you expected is due. An alarm sounds again until it is heard (Space on the tubs' screen), and comes back until someone has done what it asks for.")
	for _, f := range session.AlarmTable() {
		out = append(out, "", t.Chosen.Render(fmt.Sprintf("  %s (%s)", f.Kind, f.Priority)))
		para("because  ", f.Cause)
		para("else     ", f.Else)
		para("do       ", f.Do)
		para("time     ", f.Time)
		if f.Back > 0 {
			para("", "heard, but nothing done: it comes back after "+measure.Minutes(f.Back.Minutes()))
		} else {
			para("", "said once; no alarm")
		}
	}
	head("Cautions")
	for _, c := range coach.Cautions(s.e.kit.Units) {
		for _, l := range hung("- ", c, w-3) {
			out = append(out, t.Caution.Render("  "+l))
		}
	}
	if s.e.Where != "" {
		head("Where your days are kept")
		for _, l := range hung("", s.e.Where, w-3) { // a folder's name
			out = append(out, t.Text.Render("  "+l))
		}
	}
	return out
}
