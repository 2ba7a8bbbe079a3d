package tui

import (
	"fmt"
	"regexp"
	"slices"
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
	e    *env
	w, h int
	keys []key.Binding
	help key.Binding // as the foot shows it; none set: keyHelp
	// idle are the labels of the keys that do nothing as things stand: the foot leaves
	// them out. nil: none.
	idle  func() []string
	asked string    // the deed in question
	from  time.Time // earlier, its question has not been read
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
func (f *frame) room() int { return max(0, f.h-1) }

// draw puts the matter above the foot, exactly as large as the screen.
func (f *frame) draw(body []string) string {
	foot := fit(footText(f.e.Theme, f.footItems()), f.w)
	if f.h < 2 {
		return block([]string{foot}, f.w, f.h)
	}
	return block(body, f.w, f.room()) + "\n" + foot
}

// footItems are the keys in the foot, with their places.
func (f *frame) footItems() []footItem {
	help := keyHelp
	if len(f.help.Keys()) > 0 {
		help = f.help
	}
	keys := f.keys
	if f.idle != nil {
		keys = without(keys, f.idle())
	}
	return footItems(f.w, keys, help)
}

// without are the keys but for those with these labels.
func without(keys []key.Binding, labels []string) []key.Binding {
	return slices.DeleteFunc(slices.Clone(keys), func(b key.Binding) bool { return slices.Contains(labels, b.Help().Key) })
}

// footItems are the keys that fit w cells, in their order, none half. How to
// leave stands whatever gives way, and so does help, which says where the other
// keys are if some found no room.
func footItems(w int, keys []key.Binding, help key.Binding) []footItem {
	isHelp := func(b key.Binding) bool { return b.Help().Key == help.Help().Key || b.Help().Key == keyHelp.Help().Key }
	all := newFootItem(help)
	kept := 0
	for _, b := range keys {
		if it := newFootItem(b); leaves(b) {
			kept += it.w + 2
		}
	}
	pick := func(help footItem) (out []footItem, whole bool) {
		x, room := 1, w-1-help.w-kept
		whole = true
		for _, b := range keys {
			it := newFootItem(b)
			switch {
			case isHelp(b):
				continue
			case leaves(b):
			case it.w+2 > room:
				whole = false
				continue
			default:
				room -= it.w + 2
			}
			it.x = x
			x += it.w + 2
			out = append(out, it)
		}
		help.x = x
		return append(out, help), whole
	}
	out, whole := pick(all)
	if !whole {
		out, _ = pick(footWords(all, "all keys"))
	}
	return out
}

// leaves says that a key is how to get away from where one is.
func leaves(b key.Binding) bool {
	return slices.ContainsFunc(b.Keys(), func(k string) bool { return k == "esc" || k == "q" || k == "ctrl+c" })
}

// footWords is a key of the foot with other words.
func footWords(it footItem, text string) footItem {
	it.text, it.w = text, ansi.StringWidth(it.key)+1+ansi.StringWidth(text)
	return it
}

// footText draws the keys of a foot.
func footText(t theme.Theme, items []footItem) string {
	var b strings.Builder
	b.WriteByte(' ')
	for i, it := range items {
		if i > 0 {
			b.WriteString("  ")
		}
		b.WriteString(t.Key.Render(it.key) + t.Faint.Render(" "+it.text))
	}
	return b.String()
}

var namedKeys = map[string]tea.KeyType{
	"up": tea.KeyUp, "down": tea.KeyDown, "tab": tea.KeyTab, "shift+tab": tea.KeyShiftTab,
	"ctrl+s": tea.KeyCtrlS, "ctrl+c": tea.KeyCtrlC, "f1": tea.KeyF1, "pgdown": tea.KeyPgDown,
}

// pressed is the key that a message means: a key itself, a click in the foot,
// or the wheel. Pasted text is no key, and Space silences before all else.
func (f *frame) pressed(msg tea.Msg) (tea.KeyMsg, bool) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return msg, !msg.Paste && !f.e.heard(msg)
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
	f.e.question(question, args...)
	return false
}

// wrapped is plain text in lines no wider than w. It breaks at spaces only, for a
// minus must not part from its figure, and not between a figure and its unit.
func wrapped(text string, w int) []string {
	if w < 1 {
		return nil
	}
	var out []string
	for _, para := range strings.Split(text, "\n") {
		line := ""
		for _, word := range unparted(strings.Fields(para)) {
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

// units are what stays on the line of its figure.
var units = []string{"°C", "°F", "L", "mL", "g", "kg", "oz", "lb", "min", "h", "s", "cups", "cup", "tsp", "tbsp", "W", "kW", "kWh", "%", "F", "C"}

// fraction is what a spoon or a cup is read to: the half of 2 1/2.
var fraction = regexp.MustCompile(`^[1-9]/[1-9]$`)

// unparted puts a figure and its unit together as one word.
func unparted(words []string) []string {
	var out []string
	for i, word := range words {
		bare := strings.TrimRight(word, ",.;:)")
		if i > 0 && (slices.Contains(units, bare) || fraction.MatchString(bare)) && strings.ContainsAny(words[i-1][len(words[i-1])-1:], "0123456789") {
			out[len(out)-1] += " " + word
			continue
		}
		out = append(out, word)
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
