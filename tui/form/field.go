package form

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// Field asks for a text or for one of some choices.
type Field struct {
	Label    string
	Of       string // before the label, where several have the same
	Why      string // a line that says what it is for
	Text     bool   // letters are text in it
	figure   bool   // it takes one
	Live     bool   // taken in with each key, for what another field says comes of it
	in       textinput.Model
	check    func(string) error
	inline   bool // a choice on one line: left and right
	choices  []string
	at       func() int
	choose   func(int)
	original string
	Answered bool                 // gone on from as it stands
	Units    func(measure.System) // shows the figure in other units; nil: it has none
	spelled  func(string) string  // what is typed as it was read; nil: as it was typed
	Usual    func(measure.System) // makes a figure that nobody has measured round in these units
	Offer    func(float64)        // another figure, if nobody has edited the one there
}

func (x *Field) dirty() bool { return x.Value() != x.original }

// Offers has names stand behind what is typed that begin so: Right takes the one that is shown.
func (x *Field) Offers(names []string) *Field {
	x.in.ShowSuggestions = true
	x.in.SetSuggestions(names)
	x.in.KeyMap.AcceptSuggestion = key.NewBinding(key.WithKeys("right"))
	return x
}

// Propose puts a text there if nobody has edited it.
func (x *Field) Propose(text string) {
	if !x.dirty() {
		x.in.SetValue(text)
		x.original = text
	}
}

// Value is what is typed or chosen.
func (x *Field) Value() string {
	if x.Text {
		return x.in.Value()
	}
	return x.choices[x.at()]
}

// store keeps what is typed, or says what is wrong with it.
func (x *Field) store() error {
	if !x.Text {
		return nil
	}
	if x.spelled != nil && x.dirty() {
		x.in.SetValue(x.spelled(x.in.Value()))
	}
	return x.check(x.in.Value())
}

// key gives it a key.
func (x *Field) key(k tea.KeyMsg) {
	if x.Text {
		x.in.KeyMap.AcceptSuggestion.SetEnabled(x.in.Position() == len([]rune(x.in.Value()))) // within it Right goes on
		name := x.in.CurrentSuggestion()
		if x.in, _ = x.in.Update(k); name != "" && name != x.in.Value() && strings.EqualFold(name, x.in.Value()) {
			x.in.SetValue(name) // with its capitals
			x.in.CursorEnd()
		}
		return
	}
	at, n := x.at(), len(x.choices)
	switch k.String() {
	case "up", "left", "k", "h", "ctrl+p":
		at += n - 1
	case "down", "right", "j", "l", "ctrl+n":
		at++
	case "home", "g":
		at = 0
	case "end", "G":
		at = n - 1
	case "y", "n":
		if i := slices.Index(x.choices, map[string]string{"y": "yes", "n": "no"}[k.String()]); i >= 0 {
			at = i
		}
	}
	x.choose(at % n)
}

// lines are its lines, and where among them the cursor or the chosen one is; in hand the
// keys go to it, and fresh the first one replaces what stands there.
func (x *Field) lines(t *theme.Theme, why string, width int, inHand, fresh bool) (out []string, hand draw.Span) {
	name, sign, chosen, other := t.Text, t.Faint, t.Text, t.Faint
	before, after := "  ", "  "
	if inHand {
		name, sign, chosen, other = t.Chosen, t.Key, t.Chosen, t.Text
		before, after = "< ", " >"
	}
	add := func(lead, rest, text string, style theme.Style) {
		w := width - len(rest)
		wrapped := strings.Split(ansi.WrapWc(text, w, ",.; "), "\n")
		if slices.ContainsFunc(wrapped, func(l string) bool { return ansi.StringWidthWc(l) > w }) { // it lets a comma stand out
			wrapped = draw.Wrapped(text, w)
		}
		for _, l := range wrapped {
			out, lead = append(out, lead+style.Render(l)), rest
		}
	}
	add("", "", x.Of+x.Label, name)
	if why != "" {
		add("", "", why, t.Faint)
	}
	switch {
	case x.Text:
		in := x.in
		if !inHand {
			in.Blur()
		}
		in.PromptStyle, in.TextStyle, in.Cursor.Style, in.Cursor.TextStyle = *sign.Of, chosen.Of.Reverse(inHand && fresh), *chosen.Of, *chosen.Of
		wrapped := func(text string) []string {
			for w := width; ; w-- { // lipgloss takes what is drawn together for one cell
				lines := strings.Split(t.Renderer.NewStyle().Width(w).Render(text), "\n")
				if w <= 1 || !slices.ContainsFunc(lines, func(l string) bool { return ansi.StringWidthWc(l) > width }) {
					return lines
				}
			}
		}
		if inHand {
			value, at := []rune(in.Value()), in.Position()
			word, _, _ := strings.Cut(string(value[at:]), " ")
			hand = draw.Span{Top: len(out) + len(wrapped(in.Prompt+string(value[:at])+word)) - 1, Height: 1}
		}
		return append(out, wrapped(in.View())...), hand
	case x.inline:
		return append(out, sign.Render(before)+chosen.Render(x.Value())+sign.Render(after)), draw.Span{Top: len(out), Height: 1}
	}
	for i, c := range x.choices {
		if i == x.at() {
			hand.Top = len(out)
			add(sign.Render("> "), "  ", c, chosen)
			hand.Height = len(out) - hand.Top
		} else {
			add("  ", "  ", c, other)
		}
	}
	return out, hand
}
