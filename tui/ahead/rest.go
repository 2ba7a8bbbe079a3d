package ahead

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// restScreen is the timetable of what is still to come of the running day, as it was made
// last.
type restScreen struct{ outlookScreen }

// NewRest shows the rest of the running day.
func NewRest(e *base.Env) base.Screen {
	s := &restScreen{outlookScreen{start: e.Now.In(e.Zone())}}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyScroll, base.KeyBack, form.KeyAlong, base.KeyHelp}}
	s.Idle = func() []string { return form.IdleAlong(e) }
	s.Lines = func() []string {
		s.take()
		return s.lines()
	}
	return s
}

func (s *restScreen) Init() tea.Cmd { return nil }

func (s *restScreen) Title() string { return "The rest of the day" }

// take shows the plan that was made last.
func (s *restScreen) take() {
	e := s.E
	e.Live.Timetable(e.Now, 0)
	s.plan = e.Live.Day.Plan
	s.shown = &worked{outlook: planner.Outlook{Plan: s.plan, Timetable: e.Live.Plan}}
}

// lines are the day's end, its tubs on one axis and what to do when.
func (s *restScreen) lines() []string {
	e := s.E
	t, tt := &e.Theme, e.Live.Plan
	lines := draw.Told(t.Next, "All on the rack by about "+s.dated(tt.Finish), s.W)
	for _, b := range tt.Breaks {
		lines = append(lines, draw.Told(t.Next, tt.SayBreak(b, &s.plan), s.W)...)
	}
	lines = append(lines, TimetableBars(e, s.plan.Kit.Tubs, &tt, s.W, 0)...)
	lines = append(lines, "", t.Title.Render(draw.Fit(" What to do when", s.W)))
	return append(lines, s.deeds()...)
}

func (s *restScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	s.Refill()
	k, cmd, ok := s.OnPage(msg)
	if !ok {
		return s, cmd
	}
	if !s.Move(k) && key.Matches(k, form.KeyAlong) && s.E.Along != nil {
		paper := *s
		paper.Frame = base.Frame{E: s.E, W: form.PaperColumns}
		return s, planOnPaper(s, s.E, s.plan, s.start, paper.lines())
	}
	return s, nil
}
