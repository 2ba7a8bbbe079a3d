package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
)

// pastScreen lists the days, the newest first.
type pastScreen struct {
	frame
	grid  grid
	days  []session.DaySummary
	found chan daysFound // what a reader of the journal has found
	ready bool           // read at least once
	stale bool           // a day may have changed since

	remove key.Binding
}

type daysFound struct {
	days []session.DaySummary
	err  error
}

// daysReadMsg says that the list of days has been read.
type daysReadMsg struct{}

func newPast(e *env) screen {
	s := &pastScreen{found: make(chan daysFound, 1), remove: bind("x", "delete", "x")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("look back"), keyBack, s.remove, keyHelp, keyMove}}
	s.idle = func() []string { return s.grid.idle("Enter", "x") }
	s.grid.cols = []column{{title: "day"}, {title: "from", spare: 4}, {title: "to", spare: 4}, {title: "fleeces", spare: 3, name: true}, {title: "racked", right: true, spare: 1}, {title: "raw", right: true, spare: 2}, {title: "yield", right: true}, {title: "alarms", right: true, spare: 5}}
	return s
}

func (s *pastScreen) Title() string { return "Past days" }

func (s *pastScreen) Init() tea.Cmd { return s.read() }

// read looks into the journal away from the screen: there may be many days.
func (s *pastScreen) read() tea.Cmd {
	// What is still being written may be missing from this reading: then it is
	// read once more with the next message.
	waiting, _ := s.e.live.saver.status()
	s.stale = waiting > 0
	j, found, rows := s.e.Journal, s.found, &s.e.rows
	return func() tea.Msg {
		days, err := rows.read(j)
		select {
		case <-found: // an older answer that nobody has taken
		default:
		}
		select {
		case found <- daysFound{days, err}:
		default:
		}
		return daysReadMsg{}
	}
}

func (s *pastScreen) take() {
	select {
	case f := <-s.found:
		s.ready = true
		if f.err != nil {
			s.e.refuse(fmt.Errorf("the days could not be read: %w", f.err))
			return
		}
		s.days = f.days
		s.fill()
	default:
	}
}

func (s *pastScreen) SetSize(w, h int) {
	s.frame.SetSize(w, h)
	s.take()
}

func (s *pastScreen) fill() {
	e := s.e
	rows := make([][]string, len(s.days))
	for i, d := range s.days {
		end := e.clockText(d.EndedAt)
		if d.EndedAt.IsZero() {
			end = "open"
		}
		rows[i] = []string{
			e.dayText(d.StartedAt), e.clockText(d.StartedAt), end, strings.Join(d.Fleeces, "; "),
			fmt.Sprintf("%d of %d", d.Racked, d.Batches), e.kit.Units.Mass(d.RawG), yieldText(d.WeighedG, d.DryG), fmt.Sprint(d.Alarms),
		}
	}
	s.grid.setRows(rows)
}

// yieldText is dry by raw in per cent, "-" where nothing was weighed.
func yieldText(rawG, dryG float64) string {
	if rawG <= 0 || dryG <= 0 {
		return "-"
	}
	return fmt.Sprintf("%.0f %%", 100*dryG/rawG)
}

func (s *pastScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	s.take()
	var again tea.Cmd
	// Not on its own answer: a disk that takes no writes would make it go round.
	if _, answer := msg.(daysReadMsg); s.stale && !answer {
		again = s.read()
	} else if _, saved := msg.(saveStatusMsg); saved {
		again = s.read()
	}
	return s, tea.Batch(again, s.act(msg))
}

func (s *pastScreen) act(msg tea.Msg) tea.Cmd {
	k, cmd, ok := s.onList(msg, &s.grid, s.open)
	if !ok {
		return cmd
	}
	switch {
	case s.grid.move(k):
	case k.String() == "enter":
		return s.open()
	case key.Matches(k, s.remove):
		return s.delete()
	}
	return nil
}

func (s *pastScreen) open() tea.Cmd {
	if len(s.days) == 0 {
		return nil
	}
	s.stale = true // it may be weighed there
	return push(newReview(s.e, s.days[s.grid.at].ID))
}

func (s *pastScreen) View() string {
	t := s.e.Theme
	switch {
	case !s.ready:
		return s.draw([]string{"", t.Faint.Render("   reading the days")})
	case len(s.days) == 0:
		return s.draw(s.empty(nil, "No day yet.",
			"Each wash day is kept here, step by step, with its alarms and its yields. Dry fleece is weighed here, days later.",
			"Esc goes back; p there plans the first day."))
	}
	return s.draw(s.grid.lines(t, 0, s.w, s.room()))
}
