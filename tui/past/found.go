package past

import (
	"errors"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// foundScreen takes how the racked batches of a day came out, a key for each finding.
type foundScreen struct {
	base.Frame
	grid    base.Grid
	l       *base.Live
	batches []shed.Batch
}

// foundKeys say what is found, in the order of session.Found.
var foundKeys = []key.Binding{base.Bind("c", "clean", "c"), base.Bind("w", "still waxy", "w"), base.Bind("t", "tips stuck", "t"), base.Bind("f", "felted", "f"), base.Bind("s", "stained", "s")}

// keyFound opens the screen.
var keyFound = base.Bind("h", "how it came out", "h")

// askFound opens it for a day, at one of its batches or the first.
func askFound(e *base.Env, l *base.Live, batch string) tea.Cmd {
	s := &foundScreen{l: l}
	s.Frame = base.Frame{E: e, Own: append(append([]key.Binding{}, foundKeys...), base.KeyBack, base.KeyHelp, base.KeyMove), Idle: func() []string { return s.grid.Idle() }}
	s.grid.Cols = []base.Column{{Title: "batch"}, {Title: "fleece", Name: true}, {Title: "came out"}}
	at := 0
	for _, b := range l.Day.Plan.Batches {
		if !l.Day.Fate[b.ID].RackedAt.IsZero() {
			if s.batches = append(s.batches, b); b.ID == batch {
				at = len(s.batches) - 1
			}
		}
	}
	if len(s.batches) == 0 {
		e.Refuse(errors.New("no batch of this day is on the rack: how it came out is seen there"))
		return nil
	}
	s.fill()
	s.grid.At = at
	return base.Push(s)
}

func (s *foundScreen) Title() string { return "How it came out" }

func (s *foundScreen) fill() {
	rows := make([][]string, len(s.batches))
	for i, b := range s.batches {
		rows[i] = []string{b.ID, s.l.Day.FleeceOf(b.ID).Title(), orDash(s.l.Day.Fate[b.ID].Found.String())}
	}
	s.grid.SetRows(rows)
}

func (s *foundScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnList(msg, &s.grid, func() tea.Cmd { return nil })
	if !ok || s.grid.Move(k) {
		return s, cmd
	}
	for i, b := range foundKeys {
		if key.Matches(k, b) {
			c := session.Judge{Batch: s.batches[s.grid.At].ID, Found: session.Found(i + 1)}
			if s.l.Day.Fate[c.Batch].Found == c.Found { // again: taken back
				c.Found = session.NotSaid
			}
			if err := s.E.DoOn(s.l, c); err != nil {
				s.E.Refuse(err)
			}
		}
	}
	s.fill()
	return s, nil
}

func (s *foundScreen) View() string { c := *s; return c.Place() }

func (s *foundScreen) Place() string {
	says := make([]string, len(foundKeys)) // a narrow foot has not all of them
	for i, b := range foundKeys {
		says[i] = b.Help().Key + " " + b.Help().Desc
	}
	hint := draw.Told(s.E.Theme.Faint, "Of the chosen batch: "+strings.Join(says, ", ")+"; again takes it back.", s.W)
	return s.Draw(append(s.grid.Lines(s.E.Theme, 0, s.W, s.Room()-len(hint)), hint...))
}
