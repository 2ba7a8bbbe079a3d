package base

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

const AgainWithin = 8 * time.Second // the second press of a deed that asks for one

// ReadFirst is the least a person takes to read a question: a key that comes
// sooner was on its way already.
const ReadFirst = 250 * time.Millisecond

// Twice is what has to be asked for twice in a row: the first time puts the question.
type Twice struct {
	asked       string    // the deed in question
	from, until time.Time // between these its answer counts
}

// Again says whether the deed was asked for a second time, once its question could be read.
func (t *Twice) Again(e *Env, deed, question string, args ...any) bool {
	if t.asked == deed && !e.Now.Before(t.from) && e.Now.Before(t.until) {
		*t = Twice{}
		return true
	}
	*t = Twice{deed, e.Now.Add(e.Real(ReadFirst)), e.Now.Add(e.Real(AgainWithin))}
	e.Question(question, args...)
	return false
}

// Out ends a rehearsal at the second press. Its question does not lapse when the band
// moves, as the day's own questions do: in a fast day that is at once.
func (t *Twice) Out(e *Env) tea.Cmd {
	if t.Again(e, "out", "End the rehearsal? The invented day is thrown away. Press Esc again") {
		return tea.Quit
	}
	return nil
}
