package tui

import (
	"fmt"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
)

// goOnScreen tells at the start of a day that was begun and not ended: what went
// on while nobody watched. The day is taken up at once, before any key: after a
// power cut fleece may lie in cooling water, and its alarm has to ring. Only a day
// that nobody has touched for longAway waits for Enter.
type goOnScreen struct {
	frame
	id     session.DayID
	day    session.Day // as it was last written down
	seenAt time.Time   // when it was looked at
	taken  bool        // it runs
	err    error
	later  key.Binding
	shut   key.Binding
}

// longAway: nobody is on the way to a tub that was left for so long.
const longAway = 24 * time.Hour

func newGoOn(e *env, id session.DayID) screen {
	s := &goOnScreen{id: id, seenAt: e.now, later: bind("Esc", "later", "esc", "q", "l"), shut: bind("x", "close that day as it is", "x")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("go on"), s.later, s.shut, keyHelp}}
	recs, err := e.Journal.Events(id)
	if err == nil && len(recs) == 0 {
		err = fmt.Errorf("it has no events")
	}
	if err != nil {
		s.err = fmt.Errorf("the open day could not be read: %w", err)
		return s
	}
	s.day = session.Replay(recs)
	if e.now.Sub(s.day.LastAt) < longAway {
		s.err = s.take()
	}
	return s
}

// take takes the day up, if it was not.
func (s *goOnScreen) take() error {
	if s.taken {
		return nil
	}
	if err := s.e.live.load(s.e.Journal, s.id, s.e.now, true); err != nil {
		return fmt.Errorf("the day could not be taken up: %w", err)
	}
	s.taken, s.err = true, nil
	s.keys[1].SetHelp("Esc", "home")
	return nil
}

func (s *goOnScreen) Title() string { return "A wash day is still open" }

func (s *goOnScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	if s.e.heard(msg) {
		return s, nil
	}
	k, ok := s.pressed(msg)
	if !ok {
		return s, nil
	}
	switch {
	case key.Matches(k, s.later):
		return s, toHome()
	case key.Matches(k, keyHelp):
		return s, push(newHelp(s.e, s.keys))
	case !s.taken && s.busy():
		s.e.refuse(fmt.Errorf("the last entry is still being saved: press again in a moment"))
	case k.String() == "enter":
		if err := s.take(); err != nil {
			s.e.refuse(err)
			return s, nil
		}
		return s, replace(newDayScreen(s.e))
	case key.Matches(k, s.shut):
		return s, s.close()
	}
	return s, nil
}

// busy says that something is still to be written, perhaps to this very day:
// it must be read only after that.
func (s *goOnScreen) busy() bool {
	waiting, _ := s.e.live.saver.status()
	return waiting > 0
}

// close ends the day as it stands, at the second press.
func (s *goOnScreen) close() tea.Cmd {
	if !s.again("close", "close that day, with whatever is not racked? x again does it") {
		return nil
	}
	err := s.take()
	if err == nil && s.e.live.day.Running() {
		err = s.e.live.do(session.EndDay{Anyway: true}, s.e.now)
	}
	if err != nil {
		s.e.refuse(fmt.Errorf("the day could not be closed: %w", err))
		return nil
	}
	s.e.tell("the day is closed; look back at it under Past days")
	return toHome()
}

// toHome goes back to home and has it look into the journal at once.
func toHome() tea.Cmd {
	return tea.Sequence(pop(), func() tea.Msg { return homeReadMsg{} })
}

func (s *goOnScreen) View() string {
	t, e := s.e.Theme, s.e
	if s.err != nil {
		return s.draw(whole(s.room(), para{told(t.Warn, s.err.Error(), s.w), 0}, para{[]string{""}, 1}, para{told(t.Text, "Esc goes to the other screens; the day stays as it is.", s.w), 0}))
	}
	d := s.day
	away := s.seenAt.Sub(d.LastAt)
	begun := told(t.Text, fmt.Sprintf("A wash day is still open, begun %s at %s. Last written down %s ago, at %s: nobody has watched since.",
		e.dayText(d.StartedAt), e.clockText(d.StartedAt), agoText(away), e.clockText(d.LastAt)), s.w)
	var tubs [][]string
	for i := range d.Tubs {
		g := d.Glance(i, e.now)
		if g.Phase == session.Idle {
			continue
		}
		temp := ""
		if g.HasTemp {
			temp = ", now about " + d.Plan.Kit.Units.Temp(g.TempC)
		}
		style := t.Text
		if g.Prompt.Rank == session.Harm {
			style = t.Warn
		}
		tubs = append(tubs, told(style, fmt.Sprintf("  %s: %s %s, %s%s", g.Name, g.Batch, g.StepName, g.Phase, temp), s.w))
	}
	next, leave := "Enter goes on with it: water went on cooling, and that is counted.", "Esc leaves it for later."
	if s.taken {
		next, leave = "Enter: to the tubs. The water went on cooling; that is counted.", "The timers run and alarms ring on every screen."
	}
	on := told(t.Next, next, s.w)
	// Of many tubs as many as have room; the others are counted.
	room, n, list := s.room()-len(begun)-len(on), 0, []string(nil)
	for ; n < len(tubs); n++ {
		last := n == len(tubs)-1
		if need := len(list) + len(tubs[n]); need > room || !last && need+1 > room {
			break
		}
		list = append(list, tubs[n]...)
	}
	if more := len(tubs) - n; more > 0 {
		list = append(list, told(t.Faint, "  and "+counted(more, "more tub", "more tubs"), s.w)...)
	}
	gap := []string{""}
	return s.draw(whole(s.room(), para{begun, 0}, para{gap, 9}, para{list, 0}, para{gap, 9}, para{on, 0}, para{told(t.Faint, leave, s.w), 3}))
}
