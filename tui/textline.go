package tui

import (
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
)

// isText says that a key is a letter, figure or space rather than a command.
func isText(k tea.KeyMsg) bool {
	return (k.Type == tea.KeyRunes || k.Type == tea.KeySpace) && !k.Alt
}

// textLine is a line of text outside the forms. As in a form, the first key typed
// replaces what stands there; arrows, End and Backspace edit it.
type textLine struct {
	input textinput.Model
	fresh bool // just come to it: nothing was typed yet
}

func newTextLine(value string) textLine {
	in := textinput.New()
	in.Prompt = ""
	in.CharLimit = 200
	in.SetValue(value)
	in.CursorEnd()
	in.Focus()
	return textLine{in, true}
}

func (t *textLine) text() string { return t.input.Value() }

func (t *textLine) set(text string) {
	t.input.SetValue(text)
	t.input.CursorEnd()
}

func (t *textLine) key(k tea.KeyMsg) tea.Cmd {
	if t.fresh && isText(k) {
		t.input.SetValue("")
	}
	t.fresh = false
	var cmd tea.Cmd
	t.input, cmd = t.input.Update(k)
	return cmd
}

// shown is the text with its cursor; in brackets, what the first key replaces.
func (t *textLine) shown() string {
	if t.fresh && t.text() != "" {
		return "[" + t.text() + "]"
	}
	return t.text() + "_"
}
