package past

import (
	"errors"
	"fmt"
	"maps"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/compare"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// compareScreen shows one measure of one tub, fleece, type, method or cover over the days.
type compareScreen struct {
	base.Page
	only   map[shed.DayID]bool // the days that were searched for; nil: all
	rows   []compare.Row
	by     compare.By
	of     compare.Measure
	groups []compare.Group
	group  int
	day    int // the chosen day of the group
	done   bool
	err    error
}

var (
	keyCompare = base.Bind("m", "over many days")
	keyBy      = base.Bind("b", "group by")
	keyOf      = base.Bind("o", "other figure")
	keyGroup   = base.Bind("Tab", "next group", "tab")
)

// openCompare shows what the days have in common, or those of them that were searched for.
func openCompare(e *base.Env, only map[shed.DayID]bool) tea.Cmd {
	s := &compareScreen{only: only}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("look back"), base.KeyBack, keyBy, keyOf, keyGroup, base.KeyHelp, base.Bind("Up Down", "day", "up", "down", "k", "j"), base.Bind("PgUp PgDn", "scroll", "pgup", "pgdown", "home", "end")}}
	s.Idle = func() []string {
		if len(s.rows) == 0 {
			return []string{"Enter", "b", "o", "Tab", "Up Down"}
		}
		if len(s.groups) < 2 {
			return []string{"Tab"}
		}
		return nil
	}
	s.Lines = s.text
	return base.Push(s)
}

// Init reads the days once the screen is there: an answer to one that is not yet is lost.
func (s *compareScreen) Init() tea.Cmd {
	return measured(s, s.E, func() {}, func(days []ledger.Summary, err error) {
		s.rows, s.err, s.done = nil, err, true
		for _, r := range compare.Rows(days, s.E.Record.Fleeces, s.E.Kit) {
			if s.only == nil || s.only[r.Day] {
				s.rows = append(s.rows, r)
			}
		}
		s.regroup()
	})
}

// measured gives the days of the record with their measures. Those that an older version
// wrote are worked out away from the screen, once while the program runs; so is what else there is to read.
func measured(s base.Screen, e *base.Env, read func(), take func([]ledger.Summary, error)) tea.Cmd {
	j, days, known := e.Journal, slices.Clone(e.Record.Days), maps.Clone(e.Measured)
	return base.Away(s, func() ([]ledger.Summary, error) {
		read()
		for i, d := range days {
			if compare.Lacks(d) {
				days[i].Measures = known[d.ID]
			}
		}
		return days, compare.Fill(j, days)
	}, func(days []ledger.Summary, err error) tea.Cmd {
		e.Measured = make(map[shed.DayID]string, len(days))
		for _, d := range days {
			e.Measured[d.ID] = d.Measures
		}
		take(days, err)
		return nil
	})
}

func (s *compareScreen) Title() string { return "Past days: over many days" }

// regroup holds the rows together anew; the latest day is chosen.
func (s *compareScreen) regroup() {
	s.groups = compare.Groups(s.rows, s.by, s.of)
	s.group = min(s.group, max(0, len(s.groups)-1))
	s.choose(s.group)
}

func (s *compareScreen) choose(group int) {
	s.group, s.day = group, 0
	if len(s.groups) > 0 {
		s.day = max(0, len(s.groups[group].Days)-1)
	}
	s.Refill()
}

func (s *compareScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, ok := s.Pressed(msg)
	if !ok {
		return s, nil
	}
	if cmd, done := s.Common(k); done || len(s.groups) == 0 {
		return s, cmd
	}
	days := s.groups[s.group].Days
	step := map[string]int{"up": 1, "k": 1, "down": -1, "j": -1}[k.String()]
	switch {
	case key.Matches(k, keyBy):
		s.by = (s.by + 1) % compare.By(compare.ByWords.Count())
		s.group = 0
		s.regroup()
	case key.Matches(k, keyOf):
		s.of = (s.of + 1) % compare.Measure(compare.MeasureWords.Count())
		s.regroup()
	case key.Matches(k, keyGroup):
		s.choose((s.group + 1) % len(s.groups))
	case k.String() == "enter" && len(days) > 0:
		return s, base.Push(NewReview(s.E, days[s.day].Day))
	case k.String() == "enter":
		s.E.Refuse(errors.New("no day has this figure: nothing to look back at"))
	case step == 0:
		s.Move(k)
	case s.day+step < 0:
		s.E.Note("this is the first day")
	case s.day+step >= len(days):
		s.E.Note("this is the last day")
	default:
		s.day += step
		s.Refill()
	}
	return s, nil
}

func (s *compareScreen) words() compare.Words {
	return compare.Words{Words: lookback.Words{Units: s.E.Kit.Units, Zone: s.E.Zone()}, Kit: s.E.Kit}
}

// leastControl is the lowest a chart with its axis can be read.
const leastControl = 7

// text is what is compared, the chart, the chosen day and what they say. In a low window the chart
// has the page that is seen first.
func (s *compareScreen) text() []string {
	t, w := s.E.Theme, s.words()
	switch {
	case !s.done:
		return []string{"", t.Faint.Render("   reading the days")}
	case len(s.groups) == 0 && s.err != nil:
		return draw.Told(t.Warn, "the days couldn't be read: "+s.err.Error(), s.W)
	case len(s.groups) == 0:
		return s.Middle(nil, draw.Told(t.Text, "No finished day has a washed batch yet: nothing to compare.", s.Column()), nil)
	}
	g := s.groups[s.group]
	title := draw.Told(t.Title, fmt.Sprintf("%s %d of %d: %s · %s", s.by, s.group+1, len(s.groups), g.Name, s.of), s.W)
	what := w.What(s.of) + ", mean of the day's batches"
	if s.only != nil {
		what += "; of the days searched for"
	}
	head := draw.Told(t.Faint, what, s.W)
	if s.err != nil {
		head = append(head, draw.Told(t.Warn, "a day couldn't be read and is left out: "+s.err.Error(), s.W)...)
	}
	var says []string
	for _, line := range w.Tell(g, s.of) {
		says = append(says, draw.Told(t.Text, line, s.W)...)
	}
	if text := w.CameOut(g); text != "" {
		says = append(says, draw.Told(t.Faint, text, s.W)...)
	}
	if len(g.Days) == 0 {
		return slices.Concat(title, head, says)
	}
	point := draw.Told(t.Next, w.Point(g.Days[s.day], s.of), s.W)
	h := s.Room() - len(title) - len(point)
	if high := h - len(head) - len(says); high >= leastControl {
		return slices.Concat(title, head, s.chart(g, high), point, says)
	}
	return slices.Concat(title, s.chart(g, max(leastControl, h)), point, head, says)
}

func (s *compareScreen) chart(g compare.Group, h int) []string {
	t, w := &s.E.Theme, s.words()
	legend := draw.Fewer(s.W-1, "  ", t.Mark(theme.MarkReading)+" a day", t.Mark(theme.MarkAlarm)+" unusual", t.Mark(theme.MarkRule)+" average", t.Mark(theme.MarkGone)+" limits")
	c := chart.Control{V: g.Chart.V, Unusual: g.Chart.Unusual, Mean: g.Chart.Mean, Low: g.Chart.Low, High: g.Chart.High, From0: s.of.Lopsided(), At: s.day,
		Label: func(v float64) string { return w.Value(s.of, v) },
		End:   func(i int) string { return s.E.Kit.Units.Moment(g.Days[i].At.In(s.E.Zone()), "2 Jan 2006") }}
	return append([]string{t.Faint.Render(draw.Fit(" "+legend, s.W))}, c.Lines(t, s.W, h-1)...)
}
