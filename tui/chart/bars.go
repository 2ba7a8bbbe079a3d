package chart

import (
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/paint"
	"fleece.example/tubside/tui/theme"
)

// Bar is a stretch of a row, drawn with a mark.
type Bar struct {
	From, To time.Time
	Mark     theme.Mark
	Word     string // written at its beginning, where there is room
}

// Row is a line of bars on the shared axis. A second row of the same name has none.
type Row struct {
	Name  string
	Of    string // behind the name: "plan"
	Bars  []Bar  // later ones over earlier ones
	Over  bool   // words stand in a line above, else in the bars
	Faint bool
	Note  string // stands where there is no bar
}

const (
	leastBars = 20 // in fewer cells bars tell nothing
	mostHigh  = 5  // lines of a bar
)

// High is how many lines the bars of n rows have, of so many lines with axis and legend (0: it does not
// matter); 0 where those are too few.
func High(n, lines int) int {
	if lines > 0 && lines < n+2 {
		return 0
	}
	return max(1, min(mostHigh, (lines-2)/max(1, n)))
}

// meanings are what marks stand for in bars, in the order of the legend.
var meanings = []struct {
	mark theme.Mark
	word string
}{{theme.MarkHands, "hands"}, {theme.MarkSoak, "soak"}, {theme.MarkWash, "hot wash"}, {theme.MarkAlarm, "rings"}, {theme.MarkLate, "heard, not done"}}

// Bars draws rows on one axis of time, high lines each, its clock above and what the marks mean below;
// nil where the window is too narrow.
func Bars(th *theme.Theme, from, to time.Time, rows []Row, w, high int, clock func(time.Time) string) []string {
	name, of := 4, 0
	for _, r := range rows {
		name, of = max(name, min(12, ansi.StringWidthWc(r.Name))), max(of, len(r.Of)+1)
	}
	if of == 1 {
		of = 0
	}
	name = min(name, max(4, w/5))
	lead := name + of + 2
	cells := w - lead - 1
	if cells < leastBars || !to.After(from) || high < 1 || len(rows) == 0 {
		return nil
	}
	ax, used := NewTime(from, to, cells), map[theme.Mark]bool{}
	out := []string{draw.Fit(strings.Repeat(" ", lead)+ax.Labels(th, time.Time{}, clock), w)}
	for _, r := range rows {
		for _, b := range r.Bars {
			used[b.Mark] = true
		}
		middle, words := r.drawn(th, ax, false, high/2 > 0)
		if r.Over {
			out = append(out, th.Faint.Render(draw.Fit(strings.Repeat(" ", lead)+words, w)))
		}
		label := " " + draw.Short(r.Name, name) + " "
		if of > 0 {
			label += draw.Fit(r.Of, of-1) + " "
		}
		text := th.Text
		if r.Faint {
			text = th.Faint
		}
		for y := range high { // a soak is a line through the middle of what hands do
			if y == high/2 {
				out = append(out, text.Render(label)+middle+" ")
				continue
			}
			thick, _ := r.drawn(th, ax, true, y > 0)
			out = append(out, strings.Repeat(" ", lead)+thick+" ")
		}
	}
	legend := ""
	for _, m := range meanings {
		if used[m.mark] {
			legend += " " + barStyle(th, m.mark).Render(th.Mark(m.mark)) + th.Faint.Render(" "+m.word+"  ")
		}
	}
	return append(out, draw.Fit(legend, w))
}

// barStyle is the colour of a stretch: water as it is, hands to be seen first.
func barStyle(th *theme.Theme, mark theme.Mark) *theme.Style {
	switch mark {
	case theme.MarkSoak:
		return &th.Cool
	case theme.MarkWash:
		return &th.Hot
	case theme.MarkAlarm:
		return &th.Warn
	default:
		return &th.Bar
	}
}

// drawn is a line of a row as cells, or as no more than what hands do there, and its words as a line of as many; below
// is one that is not its first.
func (r Row) drawn(th *theme.Theme, ax Time, hands, below bool) (cells, words string) {
	row, over, said := paint.NewSheet(ax.Cols, 1), blank(ax.Cols), ""
	style := func(m theme.Mark) *theme.Style {
		if r.Faint {
			return &th.Faint
		}
		return barStyle(th, m)
	}
	for _, b := range r.Bars {
		from, to, mark := ax.Cell(b.From), ax.Cell(b.To), th.Mark(b.Mark)
		switch {
		case b.Mark == theme.MarkHands && below:
			mark = th.Mark(theme.MarkBlock)
		case b.Mark != theme.MarkHands && hands:
			mark = " "
		}
		for i := from; i <= max(from, to-1); i++ {
			row.Set(float64(i), 0, mark, style(b.Mark))
		}
	}
	for _, b := range r.Bars {
		switch from, to := ax.Cell(b.From), ax.Cell(b.To); {
		case b.Word == "" || hands:
		case r.Over:
			place(over, from, b.Word, " ")
		case b.Word != said && to-from >= len(b.Word)+2 && row.Place(from+1, 0, b.Word, th.Mark(b.Mark), style(b.Mark)): // with a cell of the bar at either side
			said = b.Word
		}
	}
	if len(r.Bars) == 0 {
		row.Place(0, 0, r.Note, " ", &th.Faint)
	}
	return row.Row(0), strings.Join(over, "")
}

func blank(n int) []string { return strings.Split(strings.Repeat(" ", n), "") }

// place writes a word into a row of cells where there is nothing but a sign.
func place(cells []string, at int, word, on string) {
	if at+len(word) > len(cells) {
		return
	}
	for i := range len(word) {
		if cells[at+i] != on {
			return
		}
	}
	for i, r := range word {
		cells[at+i] = string(r)
	}
}
