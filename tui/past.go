package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
)

// pastScreen lists the days, the newest first.
type pastScreen struct {
	frame
	grid grid
	reader
	days   []ledger.Summary
	remove key.Binding
}

func newPast(e *env) screen {
	s := &pastScreen{remove: bind("x", "delete", "x")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("look back"), keyBack, s.remove, keyHelp, keyMove}}
	s.idle = func() []string { return s.grid.idle("Enter", "x") }
	s.grid.cols = []column{{title: "day"}, {title: "from", spare: 4}, {title: "to", spare: 4}, {title: "fleeces", spare: 3, name: true}, {title: "racked", right: true, spare: 1}, {title: "raw", right: true, spare: 2}, {title: "yield", right: true}, {title: "alarms", right: true, spare: 5}}
	s.fill()
	return s
}

func (s *pastScreen) Title() string { return "Past days" }

func (s *pastScreen) read() tea.Cmd { return s.e.followRecord(&s.reader, s, s.fill) }

func (s *pastScreen) fill() {
	e := s.e
	s.days = e.record.days
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

func (s *pastScreen) Update(msg tea.Msg) (screen, tea.Cmd) { return s, s.act(msg) }

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
	return push(newReview(s.e, s.days[s.grid.at].ID))
}

func (s *pastScreen) View() string { c := *s; return c.place() }

func (s *pastScreen) place() string {
	t := s.e.Theme
	switch {
	case !s.e.record.ready:
		return s.draw([]string{"", t.Faint.Render("   reading the days")})
	case len(s.days) == 0:
		return s.draw(s.empty(nil, "No day yet.",
			"Each wash day is kept here, step by step, with its alarms and its yields. Dry fleece is weighed here, days later.",
			"Esc goes back; p there plans the first day."))
	}
	return s.draw(s.grid.lines(t, 0, s.w, s.room()))
}
