// Command empty is the least program that ticks once a second on a full
// screen: what the idle cost of tubside is measured against.
package main

import (
	"os"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	_ "fleece.example/tubside/tui/early"
)

type model struct{ now time.Time }

type tick time.Time

func next() tea.Cmd { return tea.Every(time.Second, func(t time.Time) tea.Msg { return tick(t) }) }

func (m model) Init() tea.Cmd { return next() }

func (m model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tick:
		m.now = time.Time(msg)
		return m, next()
	case tea.KeyMsg:
		return m, tea.Quit
	}
	return m, nil
}

func (m model) View() string { return m.now.Format("15:04:05") + " empty" }

func main() {
	if _, err := tea.NewProgram(model{}, tea.WithAltScreen()).Run(); err != nil {
		os.Exit(1)
	}
}
