package tui

import (
	"fmt"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/theme"
)

// topLines is what the router draws above a screen that has a title.
const topLines = 2

// frame is what the plain screens share: size, keys, a foot with the keys that
// can also be clicked, help, and the deed that wants the same key twice.
type frame struct {
	e     *env
	w, h  int
	keys  []key.Binding
	help  key.Binding // as the foot shows it; none set: keyHelp
	asked string      // the deed in question
	from  time.Time   // earlier, its question has not been read
	until time.Time
}

func (f *frame) Init() tea.Cmd       { return nil }
func (f *frame) SetSize(w, h int)    { f.w, f.h = w, h }
func (f *frame) Keys() []key.Binding { return f.keys }
func (f *frame) Typing() bool        { return false }

// bind makes a key with its words for the foot and the help.
func bind(label, words string, keys ...string) key.Binding {
	return key.NewBinding(key.WithKeys(keys...), key.WithHelp(label, words))
}

// The keys that mean the same on each of the plain screens.
var (
	keyHelp  = bind("?", "help", "?", "f1")
	keyBack  = bind("Esc", "back", "esc", "q")
	keyMove  = bind("Up Down", "choose", "up", "down", "home", "end", "pgup", "pgdown")
	keyEnter = func(words string) key.Binding { return bind("Enter", words, "enter") }
)

// room is how many lines a screen has for its own matter.
func (f *frame) room() int { return max(0, f.h-1-len(f.rest())) }

// rest is a sentence in full that was too long for the line at the top.
func (f *frame) rest() []string {
	if ansi.StringWidth(f.e.say)+1 <= f.w {
		return nil
	}
	lines := wrapped(f.e.say, f.w-2)
	if most := max(1, f.h/2); len(lines) > most {
		lines = lines[:most]
	}
	style := f.e.Theme.Good
	if f.e.bad {
		style = f.e.Theme.Warn
	}
	for i, l := range lines {
		lines[i] = style.Render(fit(" "+l, f.w))
	}
	return lines
}

// draw puts the matter above the foot, exactly as large as the screen.
func (f *frame) draw(body []string) string {
	lines := make([]string, 0, f.h)
	room := f.room()
	for i := range room {
		if i < len(body) {
			lines = append(lines, body[i])
		} else {
			lines = append(lines, "")
		}
	}
	lines = append(lines, f.rest()...)
	lines = append(lines, f.footLine())
	return block(lines, f.w, f.h)
}

// footItems are the keys that fit, with their places; help is always among them.
func (f *frame) footItems() []footItem {
	help := footKey(keyHelp)
	if len(f.help.Keys()) > 0 {
		help = footKey(f.help)
	}
	var out []footItem
	x := 1
	for _, b := range f.keys {
		it := footKey(b)
		if b.Help().Key == keyHelp.Help().Key || x+it.w+2+help.w > f.w {
			continue
		}
		it.x = x
		x += it.w + 2
		out = append(out, it)
	}
	help.x = x
	return append(out, help)
}

func (f *frame) footLine() string {
	t := f.e.Theme
	var b strings.Builder
	b.WriteByte(' ')
	for i, it := range f.footItems() {
		if i > 0 {
			b.WriteString("  ")
		}
		b.WriteString(t.Key.Render(it.key) + t.Faint.Render(" "+it.text))
	}
	return b.String()
}

// footKey is a key as the foot shows it and as a click on it presses it.
func footKey(b key.Binding) footItem {
	it := newFootItem(b)
	if named, ok := namedKeys[b.Keys()[0]]; ok {
		it.msg = tea.KeyMsg{Type: named}
	}
	return it
}

var namedKeys = map[string]tea.KeyType{
	"up": tea.KeyUp, "down": tea.KeyDown, "tab": tea.KeyTab, "shift+tab": tea.KeyShiftTab,
	"ctrl+s": tea.KeyCtrlS, "f1": tea.KeyF1, "pgdown": tea.KeyPgDown,
}

// pressed is the key that a message means: a key itself, a click in the foot,
// or the wheel. Pasted text is no key.
func (f *frame) pressed(msg tea.Msg) (tea.KeyMsg, bool) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return msg, !msg.Paste
	case tea.MouseMsg:
		switch {
		case msg.Button == tea.MouseButtonWheelUp:
			return tea.KeyMsg{Type: tea.KeyUp}, true
		case msg.Button == tea.MouseButtonWheelDown:
			return tea.KeyMsg{Type: tea.KeyDown}, true
		case clicked(msg) && msg.Y == topLines+f.h-1:
			for _, it := range f.footItems() {
				if msg.X >= it.x && msg.X < it.x+it.w {
					f.e.say = ""
					return it.msg, true
				}
			}
		}
	}
	return tea.KeyMsg{}, false
}

// clicked says that the left button went down.
func clicked(msg tea.MouseMsg) bool {
	return msg.Action == tea.MouseActionPress && msg.Button == tea.MouseButtonLeft
}

// common does the keys of every plain screen; ok says the key was one of them.
func (f *frame) common(k tea.KeyMsg) (cmd tea.Cmd, ok bool) {
	switch {
	case key.Matches(k, keyHelp):
		return push(newHelp(f.e, f.keys)), true
	case key.Matches(k, keyBack):
		return f.back(), true
	}
	return nil, false
}

// onList does what is the same on every screen with a list: a click chooses a
// line, a second one opens it; help and back. ok says that the key is left for
// the screen itself.
func (f *frame) onList(msg tea.Msg, g *grid, open func() tea.Cmd) (k tea.KeyMsg, cmd tea.Cmd, ok bool) {
	if hit, again := g.click(msg); hit {
		if again {
			cmd = open()
		}
		return k, cmd, false
	}
	if k, ok = f.pressed(msg); !ok {
		return k, nil, false
	}
	cmd, done := f.common(k)
	return k, cmd, !done
}

// back leaves the screen; while an alarm stands it goes to the tubs at once,
// as the line at the top promises.
func (f *frame) back() tea.Cmd {
	if _, ringing := f.e.live.day.Pressing(); ringing && f.e.live.day.Running() {
		return toTubs(f.e)
	}
	return pop()
}

// toTubs puts the running day on top of home.
func toTubs(e *env) tea.Cmd {
	return tea.Sequence(root(newHome(e)), push(newDayScreen(e)))
}

// again says whether the deed was asked for a second time; the first time it
// puts the question.
func (f *frame) again(deed, question string, args ...any) bool {
	now := f.e.now
	if f.asked == deed && !now.Before(f.from) && now.Before(f.until) {
		f.asked = ""
		return true
	}
	f.asked, f.from, f.until = deed, now.Add(f.e.real(readFirst)), now.Add(f.e.real(againWithin))
	f.e.tell(question, args...)
	return false
}

// wrapped is plain text in lines no wider than w. It breaks at spaces only: a
// minus must not part from its figure.
func wrapped(text string, w int) []string {
	if w < 1 {
		return nil
	}
	var out []string
	for _, para := range strings.Split(text, "\n") {
		line := ""
		for _, word := range strings.Fields(para) {
			if line != "" && ansi.StringWidth(line)+1+ansi.StringWidth(word) <= w {
				line += " " + word
				continue
			}
			if line != "" {
				out = append(out, line)
			}
			pieces := strings.Split(ansi.Hardwrap(word, w, true), "\n")
			out = append(out, pieces[:len(pieces)-1]...)
			line = pieces[len(pieces)-1]
		}
		out = append(out, line)
	}
	return out
}

// hung is text wrapped behind a label, its further lines under the first.
func hung(label, text string, w int) []string {
	n := ansi.StringWidth(label)
	lines := wrapped(text, max(8, w-n))
	for i, l := range lines {
		if i == 0 {
			lines[i] = label + l
		} else {
			lines[i] = strings.Repeat(" ", n) + l
		}
	}
	return lines
}

// counted is a number with its noun.
func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// dayText is a day as a person says it.
func (e *env) dayText(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return t.In(e.zone()).Format("Mon 2 Jan 2006")
}

// agoText is how long ago something was, in the coarse words of a person.
func agoText(d time.Duration) string {
	switch {
	case d < time.Minute:
		return "less than a minute"
	case d < 2*time.Hour:
		return counted(int(d.Minutes()), "minute", "minutes")
	case d < 48*time.Hour:
		return counted(int(d.Hours()), "hour", "hours")
	}
	return counted(int(d.Hours()/24), "day", "days")
}

// repeatMark is a mark all along a line.
func repeatMark(t theme.Theme, m theme.Mark, w int) string {
	return strings.Repeat(t.Mark(m), max(0, w))
}
