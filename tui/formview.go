package tui

import (
	"fmt"
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

func (f *formScreen) View() string { c := *f; return c.place() }

func (f *formScreen) place() string {
	t, w := f.e.Theme, f.w
	room := f.room()
	var wrong []string
	if f.wrong != nil {
		wrong = told(t.Warn, refusedText(f.wrong, keyFormNext), w)
	}
	lines := f.matter()
	high := max(1, room-len(wrong)) // of a long sentence the field's name is left
	at := f.spans[f.field]
	more := len(lines) > high && high > at.height // a line says that there is more
	if more {
		high--
	}
	f.scroll(len(lines), high)
	end := min(len(lines), f.top+high)
	for i, s := range f.spans { // a name without its value is none
		if i != f.field && s.has(end-1) && !s.has(f.top) && s.top+s.height > end {
			end = s.top
		}
	}
	body := append(make([]string, 0, room), lines[f.top:end]...)
	f.seen = end - f.top
	if len(wrong) > 0 { // right under the field it speaks of, if there is room
		cut := min(max(0, at.top+at.height-f.top), len(body))
		body = append(body[:cut:cut], append(wrong, body[cut:]...)...)
	}
	if more {
		for len(body) < room-1 {
			body = append(body, "")
		}
		body = append(body, t.Faint.Render(short(f.unseen(end), w)))
	}
	return f.draw(body)
}

// scroll brings the field in hand into sight with all its lines, and if it can be, so is
// what stands above it.
func (f *formScreen) scroll(lines, high int) {
	at := f.spans[f.field]
	if f.field == 0 && at.top+at.height <= high {
		f.top = 0
	}
	if from := f.now().fromEnd; from != nil && at.height > high { // a long list: the chosen line
		at = span{at.top + at.height - from(), 1}
	}
	f.top = min(f.top, at.top)
	f.top = max(f.top, min(at.top, at.top+at.height-high))
	f.top = max(0, min(f.top, lines-high))
	for _, s := range f.spans[:f.field] { // a value without its name is none
		if s.has(f.top) && s.top < f.top {
			f.top = s.top + s.height
		}
	}
}

// unseen says how many fields stand above and below what is in sight, down to a line.
func (f *formScreen) unseen(end int) string {
	above, below := 0, 0
	for _, s := range f.spans {
		switch {
		case s.top < f.top:
			above++
		case s.top >= end:
			below++
		}
	}
	if above == 0 && below == 0 {
		return ""
	}
	return fmt.Sprintf("   %d above, %d below", above, below)
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
	f.spans = make([]span, 0, len(p.fields)) // not those of the last frame: View draws a copy
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
		if !s.has(y+f.top) || i == f.field || y >= f.seen {
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
