package base

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/draw"
)

// Scroll is lines that may be more than the screen is high.
type Scroll struct {
	lines  []string
	at, in int // the first in sight, and how many are
}

// Set gives the lines; the place read at is kept.
func (s *Scroll) Set(lines []string, h int) {
	s.lines, s.in = lines, h
	s.to(s.at)
}

// Shown are the lines in sight.
func (s *Scroll) Shown() []string { return s.lines[s.at:min(len(s.lines), s.at+s.in)] }

func (s *Scroll) to(at int) { s.at = max(0, min(at, len(s.lines)-s.in)) }

// Move scrolls; the keys are those of a page, not letters.
func (s *Scroll) Move(k tea.KeyMsg) bool {
	switch k.String() {
	case "up", "k":
		s.to(s.at - 1)
	case "down", "j":
		s.to(s.at + 1)
	case "pgup":
		s.to(s.at - s.in)
	case "pgdown":
		s.to(s.at + s.in)
	case "home":
		s.to(0)
	case "end":
		s.to(len(s.lines))
	default:
		return false
	}
	return true
}

// KeyScroll are the keys that Move takes.
var KeyScroll = Bind("Up Down PgDn", "scroll", "up", "down", "pgup", "pgdown", "home", "end")

// Page is a plain screen of lines that may be more than it is high.
type Page struct {
	Frame
	Scroll
	Lines func() []string // for its size as it is; nil: what it shows stays
}

func (p *Page) SetSize(w, h int) {
	p.Frame.SetSize(w, h)
	p.Refill()
}

// Refill takes the lines anew.
func (p *Page) Refill() {
	if p.W <= 0 {
		return
	}
	if lines := p.Lines(); lines != nil {
		p.Set(lines, max(1, p.Room()))
	}
}

func (p *Page) View() string { return p.Draw(p.Shown()) }

// helpScreen is everything: keys, alarms, cautions.
type helpScreen struct {
	Page
	of []key.Binding
}

// NewHelp is the help of a screen with these keys.
func NewHelp(e *Env, keys []key.Binding) Screen {
	s := &helpScreen{of: keys}
	s.Frame = Frame{E: e, Own: []key.Binding{KeyScroll, Bind("Esc", "back", "esc", "q", "?", "enter", "f1")}, Help: Bind("?", "close")}
	s.Lines = func() []string {
		cols := max(1, s.W/leastColumn)
		return columns(s.text(s.W/cols), s.W/cols, cols, max(1, s.Room()))
	}
	return s
}

func (s *helpScreen) Title() string { return "Help" }

// leastColumn is the width of a line that is read with ease.
const leastColumn = 58

// columns sets lines of width w in columns, page by page: so many of room lines lie beside each
// other, and on the last page as few lines as hold the rest.
func columns(lines []string, w, cols, room int) (out []string) {
	if cols == 1 {
		return lines
	}
	for len(lines) > 0 {
		page := lines[:min(len(lines), cols*room)]
		lines = lines[len(page):]
		rows := (len(page) + cols - 1) / cols
		for row := range rows {
			line := ""
			for at := row; at < len(page); at += rows {
				line += draw.Fit(page[at], w)
			}
			out = append(out, line)
		}
	}
	return out
}

func (s *helpScreen) Update(msg tea.Msg) (Screen, tea.Cmd) {
	k, ok := s.Pressed(msg)
	if !ok || s.Move(k) {
		return s, nil
	}
	if key.Matches(k, s.Own[1]) { // also with an alarm standing: one screen back
		return s, Pop()
	}
	return s, nil
}

// text is the whole help, in lines of w cells.
func (s *helpScreen) text(w int) []string {
	t := s.E.Theme
	var out []string
	head := func(text string) {
		if len(out) > 0 {
			out = append(out, "")
		}
		out = append(out, t.Title.Render(" "+text))
	}
	para := func(label, text string) {
		for _, l := range draw.Hung(label, s.E.Kit.Units.Spell(text), w-3) {
			out = append(out, t.Text.Render("  "+l))
		}
	}
	head("Keys of the screen you came from")
	wide := 0
	for _, b := range s.of {
		wide = max(wide, len(b.Help().Key))
	}
	for _, b := range s.of {
		for i, l := range draw.Wrapped(b.Help().Desc, w-wide-6) {
			label := strings.Repeat(" ", wide)
			if i == 0 {
				label = draw.Fit(b.Help().Key, wide)
			}
			out = append(out, "  "+t.Key.Render(label)+"  "+t.Text.Render(l))
		}
	}
	head("Keys on every screen")
	para("? or F1   ", "this help (F1 while you type)")
	para("Esc       ", "back; asks first if you'd lose changes in a form or a sentence half typed")
	if s.E.Rehearsal != nil {
		para("Ctrl+C    ", "quit at once; the invented day is thrown away, as it is with Esc, which asks first")
	} else {
		para("Ctrl+C    ", "quit: what the screen calls saved is safe; a half-filled form is lost")
	}
	head("Figures")
	para("", "A reading is what the thermometer said. Everything else is estimated from that, the tub's size and its cover; it says about, or gives a range.")
	para("", "You may type a figure in other units: 145 F, 63 C, 8 oz, 225 g, 1 h 30 min, 2 US gal.")
	head("Timetable")
	para("you      ", "your hands; where a tub's line stops, it waits for them, for the kettle or for the tank")
	para("tank     ", "once the tank is hot (8 min): that fill waits so long for the heater alone; draw no hot water meanwhile")
	head("Moving a basket")
	para("", "Each batch is planned in one tub. With several batches, a tub kept for rinses ends the day later: the baskets queue for it. But if a tub stands empty, fill it for the rinse while the basket soaks, lift the basket across (d on the tubs' screen tells it), then empty the first: that batch is on the rack minutes sooner.")
	for _, topic := range coach.TheJob(s.E.Kit.Units) {
		head(topic.Head)
		for _, said := range topic.Says {
			para("", said)
		}
	}
	head("Alarms")
	para("", "A call sounds once: what you expected is due. An alarm sounds again until you say you heard it (Space on the tubs' screen), and comes back until it's done.")
	for _, k := range session.AlarmKinds() {
		f := k.Facts()
		out = append(out, "", t.Chosen.Render(fmt.Sprintf("  %s (%s)", k.Shown(), f.Priority)))
		para("why      ", f.Cause)
		para("risk     ", f.Else)
		para("do       ", f.Do)
		para("time     ", f.Time)
		again := "no, a call sounds once"
		if f.Back > 0 {
			again = "in " + measure.Minutes(f.Back.Minutes()) + ", if heard but not done"
		}
		para("again    ", again)
	}
	head("Cautions")
	for _, c := range coach.Cautions(s.E.Kit.Units) {
		for _, l := range draw.Hung("- ", c, w-3) {
			out = append(out, t.Caution.Render("  "+l))
		}
	}
	if s.E.Where != "" {
		head("Where your days are kept")
		for _, l := range draw.Hung("", s.E.Where, w-3) { // a folder's name
			out = append(out, t.Text.Render("  "+l))
		}
		if s.E.Copies != "" {
			para("", s.E.Copies)
		}
		if s.E.Exposed != "" {
			out = append(out, draw.Told(t.Warn, s.E.Exposed, w)...)
		}
	}
	return out
}
