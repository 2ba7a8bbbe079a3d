package base

import (
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// FootItem is a key shown in the foot, with its place.
type FootItem struct {
	Key, Text string
	X, W      int
	Msg       tea.KeyMsg
}

// newFootItem is a key as the foot shows it and as a click on it presses it.
func newFootItem(b key.Binding) FootItem {
	h := b.Help()
	it := FootItem{Key: h.Key, Text: h.Desc, W: len(strings.TrimSpace(h.Key + " " + h.Desc))}
	switch first := b.Keys()[0]; first {
	case "enter":
		it.Msg = tea.KeyMsg{Type: tea.KeyEnter}
	case " ":
		it.Msg = tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
	case "esc":
		it.Msg = tea.KeyMsg{Type: tea.KeyEsc}
	default:
		it.Msg = tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(first)}
		if named, ok := namedKeys[first]; ok {
			it.Msg = tea.KeyMsg{Type: named}
		}
	}
	return it
}

// Empty says on an empty screen what it is for and which key begins, over a picture (nil: none).
func (f *Frame) Empty(head []string, what, why, begin string, picture func(w, room int) []string) []string {
	t, w, gap := &f.E.Theme, f.Column(), []string{""}
	return f.Middle(head, draw.Whole(f.Room()-len(head), draw.Para{Lines: gap, Rank: 3}, draw.Para{Lines: draw.Told(t.Next, " "+what, w), Rank: 0}, draw.Para{Lines: draw.Told(t.Text, why, w), Rank: 1}, draw.Para{Lines: gap, Rank: 2}, draw.Para{Lines: draw.Told(t.Key, begin, w), Rank: 0}), picture)
}

// Column is how wide words are set that are read line by line, and a form; a wider window has them in its middle.
func (f *Frame) Column() int { return min(f.W, 84) }

// Over is how many lines of a high window stand empty above such words, where they leave as many: a fixed place,
// so nothing moves with what is typed.
func (f *Frame) Over(words int) int {
	if f.H < 30 {
		return 0
	}
	return max(0, min(f.H/10, f.Room()-words))
}

// Middle sets words that were drawn for the column in the middle of the window, under lines that are as wide as it,
// and at its foot the picture of what they are about, in no more than half of it; nil: none.
func (f *Frame) Middle(head, words []string, picture func(w, room int) []string) []string {
	room, left := f.Room(), strings.Repeat(" ", (f.W-f.Column())/2)
	out := append(slices.Clone(head), make([]string, f.Over(len(head)+len(words)))...)
	for _, l := range words {
		out = append(out, left+l)
	}
	if picture != nil {
		lines := picture(f.W, min(room/2, room-len(out)-1))
		out = append(append(out, make([]string, max(0, room-len(out)-len(lines)))...), lines...)
	}
	return out
}

// TopLines is what the router draws above a screen that has a title.
const TopLines = 2

// Frame is what the plain screens share: size, keys, a foot with the keys that
// can also be clicked, help, and the deed that wants the same key twice.
type Frame struct {
	E    *Env
	W, H int
	Own  []key.Binding
	Help key.Binding // as the foot shows it; none set: KeyHelp
	// Idle are the labels of the keys that do nothing as things stand: the foot leaves
	// them out. nil: none.
	Idle  func() []string
	Asked Twice
}

func (f *Frame) Init() tea.Cmd { return nil }

func (f *Frame) SetSize(w, h int) { f.W, f.H = w, h }

func (f *Frame) Keys() []key.Binding { return f.Own }

func (f *Frame) Typing() bool { return false }

// Bind makes a key with its words for the foot and the help; without keys its label is one.
func Bind(label, words string, keys ...string) key.Binding {
	if keys == nil {
		keys = []string{label}
	}
	return key.NewBinding(key.WithKeys(keys...), key.WithHelp(label, words))
}

// The keys that mean the same on each of the plain screens.
var (
	KeyHelp  = Bind("?", "help", "?", "f1")
	KeyBack  = Bind("Esc", "back", "esc", "q")
	KeyMove  = Bind("Up Down", "choose", "up", "down", "home", "end", "pgup", "pgdown")
	KeyEnter = func(words string) key.Binding { return Bind("Enter", words, "enter") }
)

// Room is how many lines a screen has for its own matter.
func (f *Frame) Room() int { return max(0, f.H-1) }

// Draw puts the matter above the foot, exactly as large as the screen.
func (f *Frame) Draw(body []string) string {
	foot := draw.Fit(FootText(&f.E.Theme, f.FootItems()), f.W)
	if f.H < 2 {
		return draw.Block([]string{foot}, f.W, f.H)
	}
	return draw.Block(body, f.W, f.Room()) + "\n" + foot
}

// FootItems are the keys in the foot, with their places.
func (f *Frame) FootItems() []FootItem {
	help := KeyHelp
	if len(f.Help.Keys()) > 0 {
		help = f.Help
	}
	keys := f.Own
	if f.Idle != nil {
		keys = Without(keys, f.Idle())
	}
	return FootItems(f.W, keys, help)
}

// Without are the keys but for those with these labels.
func Without(keys []key.Binding, labels []string) []key.Binding {
	return slices.DeleteFunc(slices.Clone(keys), func(b key.Binding) bool { return slices.Contains(labels, b.Help().Key) })
}

// FootItems are the keys that fit w cells, in their order, none half. How to
// leave stands whatever gives way, and so does help, which says where the other
// keys are if some found no room.
func FootItems(w int, keys []key.Binding, help key.Binding) []FootItem {
	isHelp := func(b key.Binding) bool { return b.Help().Key == help.Help().Key || b.Help().Key == KeyHelp.Help().Key }
	all, brief := newFootItem(help), false
	item := func(b key.Binding) FootItem {
		it := newFootItem(b)
		if brief && leaves(b) {
			it.Text, it.W = "", ansi.StringWidthWc(it.Key)
		}
		return it
	}
	pick := func(help FootItem) (out []FootItem, whole bool) {
		x, room := 1, w-1-help.W
		for _, b := range keys {
			if leaves(b) {
				room -= item(b).W + 2
			}
		}
		whole = true
		for _, b := range keys {
			it := item(b)
			switch {
			case isHelp(b):
				continue
			case leaves(b):
			case it.W+2 > room:
				whole = false
				continue
			default:
				room -= it.W + 2
			}
			it.X = x
			x += it.W + 2
			out = append(out, it)
		}
		help.X = x
		return append(out, help), whole
	}
	out, whole := pick(all)
	if !whole {
		out, _ = pick(footWords(all, "all keys"))
	}
	// Before a key for what is next goes, and the kettle's behind it, the words of the others do.
	lacks := func() bool {
		for i, b := range keys {
			k := b.Help().Key
			if (k == "Enter" || k == "o" && i > 0 && keys[i-1].Help().Key == "Enter") && !slices.ContainsFunc(out, func(it FootItem) bool { return it.Key == k }) {
				return true
			}
		}
		return false
	}
	if lacks() {
		brief = true
		if out, _ = pick(footWords(all, "keys")); lacks() {
			all.Text, all.W = "", ansi.StringWidthWc(all.Key)
			out, _ = pick(all)
		}
	}
	return out
}

// leaves says that a key is how to get away from where one is.
func leaves(b key.Binding) bool {
	return slices.ContainsFunc(b.Keys(), func(k string) bool { return k == "esc" || k == "q" || k == "ctrl+c" })
}

// footWords is a key of the foot with other words.
func footWords(it FootItem, text string) FootItem {
	it.Text, it.W = text, ansi.StringWidthWc(it.Key)+1+ansi.StringWidthWc(text)
	return it
}

// FootText draws the keys of a foot.
func FootText(t *theme.Theme, items []FootItem) string {
	var b strings.Builder
	b.WriteByte(' ')
	for i, it := range items {
		if i > 0 {
			b.WriteString("  ")
		}
		b.WriteString(t.Key.Render(it.Key))
		if it.Text != "" {
			b.WriteString(t.Faint.Render(" " + it.Text))
		}
	}
	return b.String()
}

var namedKeys = map[string]tea.KeyType{
	"up": tea.KeyUp, "down": tea.KeyDown, "tab": tea.KeyTab, "shift+tab": tea.KeyShiftTab,
	"ctrl+s": tea.KeyCtrlS, "ctrl+c": tea.KeyCtrlC, "f1": tea.KeyF1, "pgdown": tea.KeyPgDown,
}

// Pressed is the key that a message means: a key itself, a click in the foot,
// or the wheel. Pasted text is no key, and Space silences before all else.
func (f *Frame) Pressed(msg tea.Msg) (tea.KeyMsg, bool) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return msg, !msg.Paste && !f.E.Heard(msg, false)
	case tea.MouseMsg:
		switch {
		case msg.Button == tea.MouseButtonWheelUp:
			return tea.KeyMsg{Type: tea.KeyUp}, true
		case msg.Button == tea.MouseButtonWheelDown:
			return tea.KeyMsg{Type: tea.KeyDown}, true
		case Clicked(msg) && msg.Y == TopLines+f.H-1:
			for _, it := range f.FootItems() {
				if msg.X >= it.X && msg.X < it.X+it.W {
					f.E.Say = ""
					return it.Msg, true
				}
			}
		}
	}
	return tea.KeyMsg{}, false
}

// Clicked says that the left button went down.
func Clicked(msg tea.MouseMsg) bool {
	return msg.Action == tea.MouseActionPress && msg.Button == tea.MouseButtonLeft
}

// Common does the keys of every plain screen; ok says the key was one of them.
func (f *Frame) Common(k tea.KeyMsg) (cmd tea.Cmd, ok bool) {
	switch {
	case key.Matches(k, KeyHelp):
		return Push(NewHelp(f.E, f.Own)), true
	case key.Matches(k, KeyBack):
		return f.Back(), true
	}
	return nil, false
}

// OnPage is a key for a page of text, after what every screen does; without ok there is
// nothing left for the screen to do.
func (f *Frame) OnPage(msg tea.Msg) (k tea.KeyMsg, cmd tea.Cmd, ok bool) {
	if k, ok = f.Pressed(msg); !ok {
		return k, nil, false
	}
	cmd, done := f.Common(k)
	return k, cmd, !done
}

// OnList does what is the same on every screen with a list: keys and a click choose a
// line, Enter or a second click opens it; help and back. ok says that the key is left for
// the screen itself.
func (f *Frame) OnList(msg tea.Msg, g *Grid, open func() tea.Cmd) (k tea.KeyMsg, cmd tea.Cmd, ok bool) {
	if hit, again := g.click(msg); hit {
		if again {
			cmd = open()
		}
		return k, cmd, false
	}
	k, cmd, ok = f.OnPage(msg)
	switch {
	case !ok:
	case g.Move(k):
		ok = false
	case k.String() == "enter":
		return k, open(), false
	}
	return k, cmd, ok
}

// Back leaves the screen; while an alarm stands it goes to the tubs at once,
// as the line at the top promises.
func (f *Frame) Back() tea.Cmd {
	if _, ringing := f.E.Live.Day.Pressing(); ringing && f.E.Live.Day.Running() {
		return ToTubs(f.E)
	}
	return Pop()
}

// ToTubs puts the running day on top of home.
func ToTubs(e *Env) tea.Cmd {
	return tea.Sequence(Root(e.Doors.Home(e)), Push(e.Doors.Day(e)))
}

// Again says whether the deed was asked for a second time; the first time it
// puts the question.
func (f *Frame) Again(deed, question string, args ...any) bool {
	return f.Asked.Again(f.E, deed, question, args...)
}

// Counted is a number with its noun.
var Counted = measure.Counted

// DayText is a day as a person says it.
func (e *Env) DayText(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return e.Kit.Units.Moment(t.In(e.Zone()), "Mon 2 Jan 2006")
}

// AgoText is how long ago something was, in the coarse words of a person.
func AgoText(d time.Duration) string {
	switch {
	case d < time.Minute:
		return "less than a minute"
	case d < 2*time.Hour:
		return Counted(int(d.Minutes()), "minute", "minutes")
	case d < 48*time.Hour:
		return Counted(int(d.Hours()), "hour", "hours")
	}
	return Counted(int(d.Hours()/24), "day", "days")
}

// RepeatMark is a mark all along a line.
func RepeatMark(t *theme.Theme, m theme.Mark, w int) string {
	return strings.Repeat(t.Mark(m), max(0, w))
}

// TubDigit is the tub that a digit key chooses: 1 … 9, 0 for the tenth.
func TubDigit(k string) (int, bool) {
	if len(k) != 1 || k[0] < '0' || k[0] > '9' {
		return 0, false
	}
	return (int(k[0]-'0') + 9) % 10, true
}
