package tui

import (
	"errors"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// foundScreen takes how the racked batches of a day came out, a key for each finding.
type foundScreen struct {
	frame
	grid    grid
	l       *live
	batches []shed.Batch
}

// foundKeys say what is found, in the order of session.Found.
var foundKeys = []key.Binding{bind("c", "clean", "c"), bind("w", "still waxy", "w"), bind("t", "tips stuck", "t"), bind("f", "felted", "f"), bind("s", "stained", "s")}

// keyFound opens the screen.
var keyFound = bind("h", "how it came out", "h")

// askFound opens it for a day, at one of its batches or the first.
func askFound(e *env, l *live, batch string) tea.Cmd {
	s := &foundScreen{l: l}
	s.frame = frame{e: e, keys: append(append([]key.Binding{}, foundKeys...), keyBack, keyHelp, keyMove), idle: func() []string { return s.grid.idle() }}
	s.grid.cols = []column{{title: "batch"}, {title: "fleece", name: true}, {title: "came out"}}
	at := 0
	for _, b := range l.day.Plan.Batches {
		if !l.day.Fate[b.ID].RackedAt.IsZero() {
			if s.batches = append(s.batches, b); b.ID == batch {
				at = len(s.batches) - 1
			}
		}
	}
	if len(s.batches) == 0 {
		e.refuse(errors.New("no batch of this day is on the rack: how it came out is seen there"))
		return nil
	}
	s.fill()
	s.grid.at = at
	return push(s)
}

func (s *foundScreen) Title() string { return "How it came out" }

func (s *foundScreen) fill() {
	rows := make([][]string, len(s.batches))
	for i, b := range s.batches {
		rows[i] = []string{b.ID, s.l.day.FleeceOf(b.ID).Title(), orDash(s.l.day.Fate[b.ID].Found.String())}
	}
	s.grid.setRows(rows)
}

func (s *foundScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	k, cmd, ok := s.onList(msg, &s.grid, func() tea.Cmd { return nil })
	if !ok || s.grid.move(k) {
		return s, cmd
	}
	for i, b := range foundKeys {
		if key.Matches(k, b) {
			c := session.Judge{Batch: s.batches[s.grid.at].ID, Found: session.Found(i + 1)}
			if s.l.day.Fate[c.Batch].Found == c.Found { // again: taken back
				c.Found = session.NotSaid
			}
			if err := s.e.doOn(s.l, c); err != nil {
				s.e.refuse(err)
			}
		}
	}
	s.fill()
	return s, nil
}

func (s *foundScreen) View() string { c := *s; return c.place() }

func (s *foundScreen) place() string {
	says := make([]string, len(foundKeys)) // a narrow foot has not all of them
	for i, b := range foundKeys {
		says[i] = b.Help().Key + " " + b.Help().Desc
	}
	hint := told(s.e.Theme.Faint, "Of the chosen batch: "+strings.Join(says, ", ")+"; again takes it back.", s.w)
	return s.draw(append(s.grid.lines(s.e.Theme, 0, s.w, s.room()-len(hint)), hint...))
}
