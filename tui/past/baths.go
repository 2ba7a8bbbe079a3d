package past

import (
	"errors"
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// bathsScreen shows a past day's baths as curves, one at a time.
type bathsScreen struct {
	base.Page
	curves
	at   int
	high int // of each curve: baths are compared by height
}

// curves are baths of a day to be drawn.
type curves struct {
	day   session.Day
	baths []lookback.Bath
	reach [3][2]float64 // of each class
	read  bool          // one of them at least
	only  string        // the batch whose are drawn; "": any
}

func curvesOf(d session.Day, baths []lookback.Bath) curves {
	c := curves{day: d, baths: baths}
	for i := range baths {
		for _, m := range baths[i].Marks {
			c.read = c.read || m.Kind == lookback.WasRead
		}
	}
	for class := range c.reach {
		c.reach[class][0], c.reach[class][1] = lookback.Reach(baths, class)
	}
	return c
}

// openBaths shows the baths of the day that is looked back at.
func (s *ReviewScreen) openBaths() tea.Cmd {
	baths := lookback.Baths(s.day.Day)
	if len(baths) == 0 {
		s.E.Refuse(errors.New("no tub was filled on this day: no curve to show"))
		return nil
	}
	b := &bathsScreen{curves: curvesOf(s.day.Day, baths)}
	b.Lines = b.text
	b.Frame = base.Frame{E: s.E, Own: []key.Binding{base.Bind("PgUp PgDn", "scroll", "pgup", "pgdown", "home", "end"), base.Bind("Up Down", "bath", "up", "down", "k", "j"), base.KeyBack, base.KeyHelp}}
	return base.Push(b)
}

func (s *bathsScreen) Title() string { return "Looking back: baths" }

func (s *bathsScreen) SetSize(w, h int) {
	s.Frame.SetSize(w, h)
	s.high = s.Room()
	for i := range s.baths {
		c := *s
		c.at = i
		s.high = min(s.high, s.Room()-len(c.title())-len(c.figures())-min(len(c.marks()), s.Room()/3))
	}
	s.Refill()
}

func (s *bathsScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnPage(msg)
	if !ok {
		return s, cmd
	}
	step := map[string]int{"up": -1, "k": -1, "down": 1, "j": 1}[k.String()]
	switch to := s.at + step; {
	case step == 0:
		s.Move(k)
	case to < 0:
		s.E.Note("this is the first bath")
	case to >= len(s.baths):
		s.E.Note("this is the last bath")
	default:
		s.at = to
		s.Refill()
	}
	return s, nil
}

// leastCurve is the lowest a curve can be read, with its legend, axis and clock.
const leastCurve = 8

// text is the chosen bath: its name, its figures, its curve, and what happened to it. The curve
// takes what the list leaves, which has a third where it is long; the rest of it is scrolled to. In
// a low window the curve has the page that is seen first.
func (s *bathsScreen) text() []string {
	title, figures := s.title(), s.figures()
	if s.high >= leastCurve {
		return slices.Concat(title, figures, s.curve(s.E, s.at, s.W, s.high, true, map[string]bool{}), s.marks())
	}
	return slices.Concat(title, s.curve(s.E, s.at, s.W, max(leastCurve, s.Room()-len(title)), true, map[string]bool{}), figures, s.marks())
}

func (s *bathsScreen) words() lookback.Words {
	return lookback.Words{Units: s.E.Kit.Units, Zone: s.E.Zone(), Began: &s.day.StartedAt}
}

// nameOf is a bath as a person names it.
func nameOf(b *lookback.Bath) string {
	return fmt.Sprintf("%s's %s in %s", b.Batch, b.Step.Name, b.TubName)
}

// title names the bath, with its times where they have room.
func (s *bathsScreen) title() []string {
	b := s.baths[s.at]
	name := fmt.Sprintf("%d of %d: %s", s.at+1, len(s.baths), nameOf(&b))
	return draw.Told(s.E.Theme.Title, draw.FirstFit(s.W-2, name+", "+s.words().FromTo(b.Span), name), s.W)
}

// figures say how warm it was with the fleece in.
func (s *bathsScreen) figures() []string {
	t, w, b := s.E.Theme, s.words(), s.baths[s.at]
	if b.SunkAt.IsZero() {
		return draw.Told(t.Text, "No fleece went in.", s.W)
	}
	text := fmt.Sprintf("in %s, lowest %s", w.Known(b.In), w.Known(b.Lowest))
	if !b.Lowest.At.IsZero() {
		text += " at " + w.Clock(b.Lowest.At)
	}
	if !b.LiftedAt.IsZero() {
		text += ", out " + w.Known(b.Lift)
	}
	if !b.In.Read || !b.Lowest.Read || !b.Lift.Read {
		text += " (~ by the estimate)"
	}
	out := draw.Told(t.Text, text, s.W)
	if margin := w.Margin(b); margin != "" {
		style := t.Good
		if b.MarginC < 0 {
			style = t.Warn
		}
		out = append(out, draw.Told(style, "the lowest lay "+margin, s.W)...)
	}
	return out
}

// letters are the signs on the axis; the list says what each was.
var letters = map[lookback.MarkKind]string{lookback.Filled: "f", lookback.SunkIn: "i", lookback.Covered: "c", lookback.ToppedUp: "t", lookback.RoomSet: "m",
	lookback.Held: "h", lookback.Resumed: "h", lookback.SoakSet: "s", lookback.Lifted: "l", lookback.Emptied: "e"}

// sign is that of a mark, on the curve and in the list.
func signOf(t *theme.Theme, m lookback.Mark) (sign string, style *theme.Style) {
	switch m.Kind {
	case lookback.WasRead:
		if m.Doubt {
			return t.Mark(theme.MarkReading), &t.Faint
		}
		return t.Mark(theme.MarkReading), &t.Big
	case lookback.Rang:
		return t.Mark(theme.MarkAlarm), &t.Warn
	default:
		return letters[m.Kind], &t.Next
	}
}

// curve draws one of the baths; its letters where a list says what each was, what the signs mean as far
// as no curve beside it has said that and there is room.
func (s *curves) curve(e *base.Env, i, w, h int, letters bool, said map[string]bool) []string {
	t, b, u := &e.Theme, s.baths[i], e.Kit.Units
	c := chart.Curve{Units: u, From: b.Span.From.In(e.Zone()), To: b.Span.To, Points: b.Curve(2 * w), LowC: s.reach[b.Class()][0], HighC: s.reach[b.Class()][1]}
	if len(c.Points) == 0 {
		why := "Its fleece was out as soon as it was filled"
		if b.LiftedAt.IsZero() {
			why = "The day ended as its fleece went in"
		}
		return draw.Told(t.Faint, why+": nothing to draw.", w)
	}
	var means []string
	if b.Step.HasRelease() {
		c.ReleaseC = b.Step.ReleaseC
		means = append(means, t.Mark(theme.MarkGone)+" "+u.Temp(c.ReleaseC)+", wax sets")
	}
	means = append(means, t.LikelyWord()+" likely range")
	if end := b.SoakEnd(); !end.IsZero() && !end.After(b.Until()) {
		if f, ok := b.Stood(end); ok {
			endC, _ := f.Heat.At(end)
			c.Signs = append(c.Signs, chart.Sign{At: end, TempC: endC, Sign: t.Mark(theme.MarkEnd), Style: &t.Next})
			means = append(means, t.Mark(theme.MarkEnd)+" soak ends")
		}
	}
	if first, ok := b.AtSinkIn(); ok && b.Until().After(b.SunkAt) {
		c.First = first.Heat.Curve(b.SunkAt, b.Until(), 2*w)
		means = append(means, t.Mark(theme.MarkFirst)+" first forecast")
	}
	if s.read {
		means = append(means, t.Mark(theme.MarkReading)+" reading")
	}
	var over []chart.Sign // where several fall together these are seen
	for _, m := range b.Marks {
		sign, style := signOf(t, m)
		switch at := (chart.Sign{At: m.At, TempC: m.TempC, Sign: sign, Style: style}); m.Kind {
		case lookback.WasRead:
			c.Signs = append(c.Signs, at)
		case lookback.Rang, lookback.SunkIn, lookback.Lifted:
			over = append(over, at)
		case lookback.Covered, lookback.ToppedUp, lookback.RoomSet, lookback.Held, lookback.Resumed, lookback.SoakSet:
			c.Below = append(c.Below, at)
		case lookback.Filled, lookback.Emptied: // the ends of the axis
		}
	}
	c.Below = append(c.Below, over...)
	if !letters {
		c.To, c.Below = b.Until(), nil
	}
	legend := " " + u.TempUnit() + ":"
	for _, m := range means {
		if more := legend + "  " + m; !said[m] && ansi.StringWidthWc(more) <= w {
			legend, said[m] = more, true
		}
	}
	return c.Lines(t, legend, w, h, e.ClockAxis(c.From, c.To))
}

// marks are what happened to the bath, a line each, with what a forecast then said.
func (s *bathsScreen) marks() (out []string) {
	t, w, b := &s.E.Theme, s.words(), s.baths[s.at]
	for _, m := range b.Marks {
		sign, style := signOf(t, m)
		text := w.Mark(m)
		if f, ok := b.Stood(m.At); ok && f.Since.Equal(m.At) && f.By == m.Kind && m.Kind != lookback.Filled {
			if down := w.Down(f, b.Step.ReleaseC); down != "" {
				text += ": " + down
			}
		}
		lead := " " + style.Render(sign) + " "
		for _, l := range draw.Hung(w.Units.ClockColumn(m.At.In(w.Zone))+"  ", text, s.W-4) {
			out = append(out, lead+t.Text.Render(l))
			lead = "   "
		}
	}
	return out
}
