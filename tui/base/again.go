package base

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

const AgainWithin = 8 * time.Second // the second press of a deed that asks for one

// ReadFirst is the least a person takes to read a question: a key that comes
// sooner was on its way already.
const ReadFirst = 250 * time.Millisecond

// Leaving is the question before a rehearsal is left. It does not lapse
// when the band moves, as the day's own questions do: in a fast day that is at once.
type Leaving struct{ from, until time.Time }

// Out ends the program at the second press; the first one asks.
func (l *Leaving) Out(e *Env) tea.Cmd {
	if !e.Now.Before(l.from) && e.Now.Before(l.until) {
		return tea.Quit
	}
	*l = Leaving{e.Now.Add(e.Real(ReadFirst)), e.Now.Add(e.Real(AgainWithin))}
	e.Question("End the rehearsal? The invented day is thrown away. Press Esc again")
	return nil
}
