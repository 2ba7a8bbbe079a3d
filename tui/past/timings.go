package past

import (
	"fmt"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// beside is the day's plan as it was, once it is worked out again: that takes longer than a
// frame, and what was stands meanwhile.
type beside struct {
	plan  planner.Timetable
	why   string // there is none
	ready bool
	asked bool
	// advice is what the day and those before it speak for.
	advice []lookback.Advice
}

// workOutPlan works the plan out, and what the days speak for, away from the screen.
func (s *ReviewScreen) workOutPlan() tea.Cmd {
	s.beside.asked = true
	d, j, l := s.day.Day.AsOf(s.E.Now), s.E.Journal, s.E.Ledger
	var advice []lookback.Advice
	return base.Away(s, func() (planner.Timetable, error) {
		advice = AdviceOf(j, l, d)
		return lookback.Planned(d)
	}, func(plan planner.Timetable, err error) tea.Cmd {
		s.beside.advice = advice
		s.takePlan(plan, err)
		s.Refill()
		return nil
	})
}

func (s *ReviewScreen) takePlan(plan planner.Timetable, err error) {
	s.beside.plan, s.beside.ready, s.seenAt = plan, true, 0
	if err != nil {
		s.beside.why = err.Error()
	}
}

// timings are the day beside its plan: figures, two bars for each tub, the kettle and the
// person, who waited for whom, and hands by deed.
func (s *ReviewScreen) timings(x lookback.Timings) []string {
	t, w := s.E.Theme, s.words()
	if !x.Day.Was.Known() { // its first record is lost
		return nil
	}
	out := []string{t.Title.Render(" Timings")}
	for _, row := range w.Timing(x) {
		out = append(out, draw.Labelled(t.Text, fmt.Sprintf("   %-9s", row[0]), row[1], s.W)...)
	}
	if !s.beside.ready {
		out = append(out, t.Faint.Render("   the plan is being worked out"))
	}
	out = append(out, (&lived{x, curves{day: s.day.Day}}).bars(s.E, s.W, 0, 0)...)
	return append(append(out, s.waits(x)...), s.hands(x)...)
}

// mostWaits are told one by one; of the others there is their sum.
const mostWaits = 8

func (s *ReviewScreen) waits(x lookback.Timings) []string {
	t, w := s.E.Theme, s.words()
	out := []string{"", t.Title.Render(" Who waited, the longest first")}
	if len(x.Waits) == 0 {
		return append(out, t.Text.Render("   nothing, for a minute or more"))
	}
	rest := 0.0
	for i, wait := range x.Waits {
		if i >= mostWaits {
			rest += wait.Min()
			continue
		}
		at := w.Units.ClockColumn(wait.From.In(w.Zone))
		if w.Clock(wait.From) != w.Hour(wait.From) { // after midnight, and the longest stands first
			at = w.Clock(wait.From)
		}
		out = append(out, draw.Labelled(t.Text, "   "+at+"  ", w.Wait(s.day.Day, wait), s.W)...)
	}
	if n := len(x.Waits) - mostWaits; n > 0 {
		out = append(out, t.Faint.Render(fmt.Sprintf("   and %s, %s in all", measure.Counted(n, "shorter one", "shorter ones"), measure.Minutes(rest))))
	}
	return out
}

func (s *ReviewScreen) hands(x lookback.Timings) []string {
	w := s.words()
	g := base.Grid{Cols: []base.Column{{}, {Right: true, Spare: 3}, {Right: true, Spare: 2}, {Right: true}, {Right: true, Spare: 3}, {Right: true, Spare: 1}, {Right: true}}}
	for i, title := range lookback.HandsColumns {
		g.Cols[i].Title = title
	}
	for _, h := range x.ByDeed {
		g.Rows = append(g.Rows, w.HandsRow(h))
	}
	if len(g.Rows) == 0 {
		return nil
	}
	return append([]string{""}, g.PlainLines(s.E.Theme.Title.Render, s.E.Theme.Text.Render, s.W)...)
}

// narrowSteps is below what width the names of steps need the room of am and pm.
const narrowSteps = 60

// steps are a batch's steps beside the plan, and what was read and done in its baths.
func (s *ReviewScreen) steps(x lookback.Timings, batch string) []string {
	t, w := &s.E.Theme, s.words()
	w.Bare = s.W < narrowSteps
	g := base.Grid{Cols: []base.Column{{Name: true}, {Spare: 4, Name: true}, {Spare: 2}, {Right: true, Spare: 6}, {}, {Right: true, Spare: 3}, {Right: true, Spare: 1}, {Right: true}, {Right: true, Spare: 5}}}
	for i, title := range lookback.StepColumns {
		g.Cols[i].Title = title
	}
	began := false
	for _, step := range x.Steps {
		if step.Batch == batch {
			began = began || step.LeftOut || step.Was.Known()
			g.Rows = append(g.Rows, w.StepRow(s.day.Day, step))
		}
	}
	if !began {
		return []string{t.Faint.Render("   no bath")}
	}
	return g.PlainLines(t.Faint.Render, t.Text.Render, s.W)
}

// happened is what is told of each bath besides.
func (s *ReviewScreen) happened(list []string, step string) (out []string) {
	if len(list) > 0 {
		out = append(out, draw.Labelled(s.E.Theme.Faint, "   "+step+": ", strings.Join(list, "; "), s.W)...)
	}
	return out
}
