package tui

import (
	"errors"

	tea "github.com/charmbracelet/bubbletea"
)

// Keys that arrive together, over a lagging link or on a busy machine, come as
// one message. `r63` is no key that any screen knows, and the Enter behind it
// would be a deed that nobody meant. So they are taken one by one, as they were
// typed. A key that is refused, or that leads to another screen, ends the run:
// what stands behind it was meant for something else, the Enter with it.

// errRun says why the rest of a run was left.
var errRun = errors.New("keys came too fast to follow: look, then press again")

// errPaste: pasted text is for questions and forms, and never a key.
var errPaste = errors.New("pasted text ignored: press a key")

// keyRun takes the first letter of several typed ones and then the rest; ok is
// false for any other key. A question or form gets them one by one too, or "end" would be
// the key of that name; none of them leads out of it, and a refusal that stands is of before.
func (a *App) keyRun(msg tea.KeyMsg) (cmd tea.Cmd, ok bool) {
	if msg.Type != tea.KeyRunes || msg.Paste || len(msg.Runes) < 2 {
		return nil, false
	}
	first, rest := msg, msg
	first.Runes, rest.Runes = msg.Runes[:1], msg.Runes[1:]
	top, typing := a.top(), a.top().Typing()
	_, cmd = a.Update(first)
	if a.led || a.top() != top || !typing && a.env.Bad && a.env.Say != "" {
		if a.leftRun = true; !a.env.Bad || a.env.Say == "" {
			a.env.Refuse(errRun)
		}
		return cmd, true
	}
	_, more := a.Update(rest)
	return tea.Batch(cmd, more), true
}

// endOfRun says that a key is the Enter of a run whose rest was left.
func (a *App) endOfRun(msg tea.KeyMsg) bool {
	left := a.leftRun
	a.leftRun = false
	if !left || msg.Type != tea.KeyEnter {
		return false
	}
	a.env.Refuse(errRun)
	return true
}
