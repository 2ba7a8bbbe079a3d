package draw

import (
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
)

// IsText says that a key is a letter, figure or space rather than a command.
func IsText(k tea.KeyMsg) bool {
	return (k.Type == tea.KeyRunes || k.Type == tea.KeySpace) && !k.Alt
}

// TextLine is a line of text outside the forms. As in a form, the first key typed
// replaces what stands there; arrows, End and Backspace edit it.
type TextLine struct {
	input textinput.Model
	Fresh bool // just come to it: nothing was typed yet
}

// NewTextLine is a line with a text that is offered.
func NewTextLine(value string) TextLine {
	in := textinput.New()
	in.Prompt = ""
	in.CharLimit = 500 // more than is kept of anything: what is too long is refused, not cut
	in.SetValue(value)
	in.CursorEnd()
	in.Focus()
	return TextLine{in, true}
}

// Text is what stands there.
func (t *TextLine) Text() string { return t.input.Value() }

// Set puts a text there.
func (t *TextLine) Set(text string) {
	t.input.SetValue(text)
	t.input.CursorEnd()
}

// Key gives it a key.
func (t *TextLine) Key(k tea.KeyMsg) tea.Cmd {
	if t.Fresh && IsText(k) {
		t.input.SetValue("")
	}
	t.Fresh = false
	var cmd tea.Cmd
	t.input, cmd = t.input.Update(k)
	return cmd
}

// Shown is the text with its cursor; in brackets, what the first key replaces.
func (t *TextLine) Shown() string {
	if t.Fresh && t.Text() != "" {
		return "[" + t.Text() + "]"
	}
	return t.Text() + "_"
}
