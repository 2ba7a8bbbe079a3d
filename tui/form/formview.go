package form

import (
	"strings"

	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

func (f *FormScreen) View() string { c := *f; return c.Place() }

func (f *FormScreen) Place() string {
	t, w := &f.E.Theme, f.Column()
	room := f.Room()
	var wrong []string
	if f.Wrong != nil {
		wrong = draw.Told(t.Warn, base.RefusedText(f.Wrong, keyFormNext), w)
	}
	lines := f.matter()
	high := max(1, room-len(wrong)) // of a long sentence the field's name is left
	at := f.Spans[f.Field]
	more := len(lines) > high && high > at.Height // a line says that there is more
	if more {
		high--
	}
	f.scroll(len(lines), high)
	end := min(len(lines), f.Top+high)
	for i, s := range f.Spans { // a name without its value is none
		if i != f.Field && s.Has(end-1) && !s.Has(f.Top) && s.Top+s.Height > end {
			end = s.Top
		}
	}
	body := append(make([]string, 0, room), lines[f.Top:end]...)
	f.Seen = end - f.Top
	if len(wrong) > 0 { // right under the field it speaks of, if there is room
		cut := min(max(0, at.Top+at.Height-f.Top), len(body))
		body = append(body[:cut:cut], append(wrong, body[cut:]...)...)
	}
	if more {
		for len(body) < room-1 {
			body = append(body, "")
		}
		body = append(body, t.Faint.Render(draw.Short(f.unseen(end), w)))
	}
	f.over = f.Frame.Over(len(body))
	return f.Draw(f.Middle(nil, body, f.Below))
}

// scroll brings the field in hand into sight with all its lines, and if it can be, so is
// what stands above it.
func (f *FormScreen) scroll(lines, high int) {
	at := f.Spans[f.Field]
	if f.Field == 0 && at.Top+at.Height <= high {
		f.Top = 0
	}
	if at.Height > high { // of a long list the chosen line, of a long text that of the cursor
		at = f.hand
	}
	f.Top = min(f.Top, at.Top)
	f.Top = max(f.Top, min(at.Top, at.Top+at.Height-high))
	f.Top = max(0, min(f.Top, lines-high))
	for _, s := range f.Spans[:f.Field] { // a value without its name is none
		if s.Has(f.Top) && s.Top < f.Top {
			f.Top = s.Top + s.Height
		}
	}
}

// unseen says how many fields stand above and below what is in sight, down to a line.
func (f *FormScreen) unseen(end int) string {
	above, below := 0, 0
	for _, s := range f.Spans {
		switch {
		case s.Top < f.Top:
			above++
		case s.Top >= end:
			below++
		}
	}
	return base.More(above, below)
}

// matter is the page in full, and where its fields lie in it.
func (f *FormScreen) matter() []string {
	t, p := f.E.Theme, f.Pages[f.Page]
	var lines []string
	if head := f.pageHead(p); head != "" {
		lines = append(lines, t.Title.Render(draw.Short(" "+head, f.Column())))
	}
	about := f.E.Kit.Units.Spell(p.About)
	if f.small() {
		about, _, _ = strings.Cut(about, "\n")
	}
	if about != "" && !(f.small() && f.Field > 0) {
		for _, l := range draw.Wrapped(about, f.Column()-4) {
			lines = append(lines, t.Text.Render("  "+l))
		}
	}
	if p.Of != nil && f.H >= 20 && paint.Has(p.Of()) {
		for _, l := range paint.Figures(p.Of(), 0, t.ASCII) {
			lines = append(lines, t.Big.Render("  "+l))
		}
	}
	gap := 1
	if f.small() {
		gap = 0
	}
	f.Spans = make([]draw.Span, 0, len(p.Fields)) // not those of the last frame: View draws a copy
	for i, x := range p.Fields {
		for range min(gap, len(lines)) {
			lines = append(lines, "")
		}
		s := draw.Span{Top: len(lines)}
		why := f.E.Kit.Units.Spell(x.Why)
		if f.small() && i != f.Field { // only of the field in hand, where there is little room
			why = ""
		}
		of, hand := x.lines(&t, why, max(10, min(f.Column()-4, 76)), i == f.Field, f.fresh)
		if i == f.Field {
			f.hand = draw.Span{Top: s.Top + hand.Top, Height: hand.Height}
		}
		for j, l := range of {
			lead := "   "
			if i == f.Field && j == 0 {
				lead = t.Key.Render(" " + t.Mark(theme.MarkPick) + " ")
			}
			lines = append(lines, lead+strings.TrimRight(l, " "))
		}
		s.Height = len(lines) - s.Top
		f.Spans = append(f.Spans, s)
	}
	return lines
}

// pageHead names the page, and says how many there are.
func (f *FormScreen) pageHead(p *Page) string {
	n, at := 0, 0
	for i := f.NextPage(-1); i >= 0; i = f.NextPage(i) {
		n++
		if i == f.Page {
			at = n
		}
	}
	if n < 2 { // the screen's title says it
		return ""
	}
	return f.E.Kit.Units.Spell(p.Title) + pageOf(at, n)
}

// clickField goes to the field under line y of the screen.
func (f *FormScreen) clickField(y int) {
	y -= f.over
	for i, s := range f.Spans {
		if !s.Has(y+f.Top) || i == f.Field || y >= f.Seen {
			continue
		}
		if i < f.Field {
			f.leaveBack()
		} else if !f.Check() {
			return
		}
		f.Field = i
		f.Focus()
		return
	}
}
