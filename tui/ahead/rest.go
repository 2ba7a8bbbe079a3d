package ahead

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// restScreen is the timetable of what is still to come of the running day, as it was made
// last.
type restScreen struct{ outlookScreen }

// NewRest shows the rest of the running day.
func NewRest(e *base.Env) base.Screen {
	s := &restScreen{outlookScreen{start: e.Now.In(e.Zone())}}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyScroll, base.KeyBack, base.KeyHelp}}
	s.take()
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
	if s.W <= 0 {
		return
	}
	t, tt := e.Theme, e.Live.Plan
	lines := draw.Told(t.Next, "All on the rack by about "+s.dated(tt.Finish), s.W)
	lines = append(lines, timetableBars(e, s.plan.Kit, tt, s.W)...)
	lines = append(lines, "", t.Title.Render(draw.Fit(" What to do when", s.W)))
	s.Set(append(lines, s.deeds()...), max(1, s.H-1))
}

func (s *restScreen) SetSize(w, h int) {
	s.Frame.SetSize(w, h)
	s.take()
}

func (s *restScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	s.take()
	k, cmd, ok := s.OnPage(msg)
	if !ok {
		return s, cmd
	}
	s.Move(k)
	return s, nil
}

func (s *restScreen) View() string { return s.Draw(s.Shown()) }
