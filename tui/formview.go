package tui

import (
	"strings"

	"github.com/charmbracelet/huh"

	"fleece.example/tubside/tui/theme"
)

// formTheme says with our meanings how huh's fields look.
func formTheme(t theme.Theme) *huh.Theme {
	plain := t.Renderer.NewStyle()
	on := huh.FieldStyles{
		Base: plain, Title: t.Chosen, Description: t.Faint, ErrorIndicator: plain, ErrorMessage: t.Warn,
		SelectSelector: t.Key.SetString("> "), Option: t.Text, SelectedOption: t.Chosen, UnselectedOption: t.Text,
		PrevIndicator: t.Key.SetString("< "), NextIndicator: t.Key.SetString(" >"),
		TextInput: huh.TextInputStyles{Cursor: t.Chosen, CursorText: t.Chosen, Placeholder: t.Faint, Prompt: t.Key, Text: t.Chosen},
	}
	off := on
	off.Title, off.SelectedOption, off.UnselectedOption = t.Text, t.Text, t.Faint
	off.SelectSelector = t.Faint.SetString("> ")
	off.PrevIndicator, off.NextIndicator = t.Faint.SetString("  "), t.Faint.SetString("  ")
	off.TextInput = huh.TextInputStyles{Cursor: t.Text, CursorText: t.Text, Placeholder: t.Faint, Prompt: t.Faint, Text: t.Text}
	return &huh.Theme{Focused: on, Blurred: off}
}

func (f *formScreen) View() string {
	t, w := f.e.Theme, f.w
	room := f.room()
	var wrong []string
	if f.wrong != nil {
		wrong = told(t.Warn, f.wrong.Error(), w)
	}
	lines := f.matter()
	body := make([]string, 0, room)
	high := max(1, room-len(wrong)) // of a long sentence the field's name is left
	// The field in hand is in sight with all its lines, and if it can be, so is
	// what stands above it.
	at := f.spans[f.field]
	if f.field == 0 && at.top+at.height <= high {
		f.top = 0
	}
	if from := f.now().fromEnd; from != nil && at.height > high { // a long list: the chosen line
		at = span{at.top + at.height - from(), 1}
	}
	f.top = min(f.top, at.top)
	f.top = max(f.top, min(at.top, at.top+at.height-high))
	f.top = max(0, min(f.top, len(lines)-high))
	for i := f.top; i < len(lines) && len(body) < high; i++ {
		body = append(body, lines[i])
	}
	if len(wrong) > 0 { // right under the field it speaks of, if there is room
		cut := min(max(0, at.top+at.height-f.top), len(body))
		body = append(body[:cut:cut], append(wrong, body[cut:]...)...)
	}
	return f.draw(body)
}

// matter is the page in full, and where its fields lie in it.
func (f *formScreen) matter() []string {
	t, p := f.e.Theme, f.pages[f.page]
	var lines []string
	if head := f.pageHead(p); head != "" {
		lines = append(lines, t.Title.Render(short(" "+head, f.w)))
	}
	about := f.e.kit.Units.Spell(p.about)
	if f.small() {
		about, _, _ = strings.Cut(about, "\n")
	}
	if about != "" && !(f.small() && f.field > 0) {
		for _, l := range wrapped(about, f.w-4) {
			lines = append(lines, t.Text.Render("  "+l))
		}
	}
	gap := 1
	if f.small() {
		gap = 0
	}
	f.spans = f.spans[:0]
	for i, x := range p.fields {
		for range min(gap, len(lines)) {
			lines = append(lines, "")
		}
		s := span{top: len(lines)}
		for j, l := range strings.Split(x.View(), "\n") {
			lead := "   "
			if i == f.field && j == 0 {
				lead = t.Key.Render(" " + t.Mark(theme.MarkPick) + " ")
			}
			lines = append(lines, lead+strings.TrimRight(l, " "))
		}
		s.height = len(lines) - s.top
		f.spans = append(f.spans, s)
	}
	return lines
}

// pageHead names the page, and says how many there are.
func (f *formScreen) pageHead(p *page) string {
	n, at := 0, 0
	for i := f.nextPage(-1); i >= 0; i = f.nextPage(i) {
		n++
		if i == f.page {
			at = n
		}
	}
	if n < 2 { // the screen's title says it
		return ""
	}
	return p.title + pageOf(at, n)
}

// clickField goes to the field under line y of the screen.
func (f *formScreen) clickField(y int) {
	for i, s := range f.spans {
		if !s.has(y+f.top) || i == f.field {
			continue
		}
		if i < f.field {
			f.leaveBack()
		} else if !f.check() {
			return
		}
		f.field = i
		f.focus()
		return
	}
}
