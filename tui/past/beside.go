package past

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// besideScreen shows two days side by side.
type besideScreen struct {
	base.Page
	of   [2]shed.DayID
	days []ledger.Summary // the earlier first; none yet: they are being read
	was  map[shed.DayID]*lived
	err  error
}

var keyBeside = base.Bind("c", "beside another")

// beside marks the chosen day, and with one marked sets the two side by side.
func (s *pastScreen) beside() tea.Cmd {
	if len(s.days) == 0 {
		return nil
	}
	d := s.days[s.grid.At]
	switch {
	case d.EndedAt.IsZero():
		s.E.Refuse(errors.New("that day is still open: compare it once it has ended"))
		return nil
	case s.marked == 0:
		s.marked = d.ID
		s.E.Note("%s is marked: choose another day, then c", s.E.DayText(d.WashedOn()))
		return nil
	case s.marked == d.ID:
		s.marked = 0
		s.E.Note("%s is no longer marked", s.E.DayText(d.WashedOn()))
		return nil
	}
	cmd := openBeside(s.E, s.marked, d.ID)
	s.marked = 0
	return cmd
}

func openBeside(e *base.Env, one, other shed.DayID) tea.Cmd {
	s := &besideScreen{of: [2]shed.DayID{one, other}}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyScroll, keyCompare, base.KeyBack, base.KeyHelp}}
	s.Lines = s.text
	return base.Push(s)
}

func (s *besideScreen) Init() tea.Cmd {
	j, was := s.E.Journal, map[shed.DayID]*lived{}
	return measured(s, s.E, func() {
		for _, id := range s.of {
			if x, err := readLived(j, id); err == nil { // else the table says what it can
				was[id] = x
			}
		}
	}, func(days []ledger.Summary, err error) {
		for i := len(days) - 1; i >= 0; i-- { // the oldest is last
			if d := days[i]; slices.Contains(s.of[:], d.ID) {
				s.days = append(s.days, d)
			}
		}
		if s.err, s.was = err, was; len(s.days) < 2 && err == nil {
			s.err = errors.New("one of them is deleted")
		}
		s.Refill()
	})
}

func (s *besideScreen) Title() string { return "Past days: two side by side" }

func (s *besideScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnPage(msg)
	if !ok {
		return s, cmd
	}
	if key.Matches(k, keyCompare) {
		return s, openCompare(s.E, nil)
	}
	s.Move(k)
	return s, nil
}

// narrowBeside: below it the dates at the head of the table have no year.
const narrowBeside = 60

const meansOn = "From margin down, figures are means of the day's batches; forecast is how much later they cooled than forecast."

// besideGrid is the table of two days, and what they come to.
func besideGrid(w compare.Words, a, b ledger.Summary, width int) (base.Grid, []string) {
	layout := "2 Jan 2006"
	if width < narrowBeside {
		layout = "2 Jan"
	}
	head := func(d ledger.Summary) base.Column {
		return base.Column{Title: w.Units.Moment(d.WashedOn().In(w.Zone), layout), Right: true}
	}
	pairs, says := w.Beside(a, b)
	g := base.Grid{Cols: []base.Column{{Title: "", Name: true}, head(a), head(b), {Title: "apart", Right: true, Spare: 1}}}
	for _, p := range pairs {
		g.Rows = append(g.Rows, p.Row())
	}
	return g, says
}

// PlainBeside is two days side by side as text.
func PlainBeside(w compare.Words, a, b ledger.Summary, width int) []string {
	g, says := besideGrid(w, a, b, width)
	plain := func(s string) string { return strings.TrimRight(s, " ") }
	out := append([]string{w.Day(a.WashedOn()) + " and " + w.Day(b.WashedOn()), ""}, append(g.PlainLines(plain, plain, width), "")...)
	for _, text := range append([]string{meansOn}, says...) {
		out = append(out, draw.Wrapped(text, width)...)
	}
	return out
}

func (s *besideScreen) text() []string {
	t, u := s.E.Theme, s.E.Kit.Units
	if len(s.days) < 2 {
		if s.err != nil {
			return draw.Told(t.Warn, "the days couldn't be read: "+s.err.Error(), s.W)
		}
		return []string{"", t.Faint.Render("   reading the days")}
	}
	w := compare.Words{Words: lookback.Words{Units: u, Zone: s.E.Zone()}, Kit: s.E.Kit}
	a, b := s.days[0], s.days[1]
	g, says := besideGrid(w, a, b, s.W)
	out := draw.Told(t.Title, fmt.Sprintf("%s and %s", w.Day(a.WashedOn()), w.Day(b.WashedOn())), s.W)
	out = append(out, g.PlainLines(t.Faint.Render, t.Text.Render, s.W)...)
	for _, text := range says {
		out = append(out, draw.Told(t.Text, text, s.W)...)
	}
	out = append(out, draw.Told(t.Faint, meansOn+" m shows many days.", s.W)...)
	return append(out, s.bars((s.Room()-len(out))/2)...)
}

// bars draws the two days one over the other in so many lines each, to one scale.
func (s *besideScreen) bars(room int) (out []string) {
	var long time.Duration
	for _, x := range s.was {
		long = max(long, x.lasted())
	}
	for _, d := range s.days {
		x := s.was[d.ID]
		if x == nil {
			return nil
		}
		lines := x.drawn(s.E, s.W, room-2, long)
		if len(lines) == 0 { // one alone compares nothing
			return nil
		}
		out = append(append(out, "", s.E.Theme.Title.Render(" "+shortDay(s.E, d.WashedOn()))), lines...)
	}
	return out
}
