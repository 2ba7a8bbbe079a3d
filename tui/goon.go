package tui

import (
	"fmt"
	"math"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/keep"
)

// goOnScreen tells at the start of a day that was begun and not ended: what went
// on while nobody watched. The day is taken up at once, before any key: after a
// power cut fleece may lie in cooling water, and its alarm has to ring. Only a day
// that nobody has touched for longAway waits for Enter.
//
// A clock that is behind the last event (an empty clock battery, a board without
// one) cannot say how long that was. Then timers count on from the last event,
// which is a guess and called one until the person says how long it was.
type goOnScreen struct {
	frame
	id    shed.DayID
	day   session.Day   // as it was last written down
	left  bool          // it was left since, and no power cut or crash ended it
	seen  time.Time     // when it was left, else the last entry
	away  time.Duration // since then, by the clock
	taken bool          // it runs
	err   error
	off   key.Binding
	later key.Binding
	shut  key.Binding
}

// longAway: nobody is on the way to a tub that was left for so long.
const longAway = 24 * time.Hour

// openDay is a day that was begun and not ended, as it was last written down.
type openDay struct {
	id   shed.DayID
	day  session.Day
	left session.Left
}

func readOpen(j ledger.Journal, l ledger.Ledger, id shed.DayID) (o openDay, err error) {
	o.id = id
	if o.day, err = j.Day(id); err != nil {
		return o, fmt.Errorf("the open day could not be read: %w", err)
	}
	o.left, err = l.Left()
	if err != nil { // the last entry counts
		o.left = session.Left{}
	}
	return o, nil
}

// newGoOn shows an open day, or why it could not be read.
func newGoOn(e *env, o openDay, err error) screen {
	s := &goOnScreen{id: o.id, day: o.day, err: err, off: bind("m", "say how long it was off", "m"), later: bind("Esc", "later", "esc", "q", "l"), shut: bind("x", "close that day as it is", "x")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("go on"), s.later, s.shut, s.off, keyHelp}}
	if err != nil {
		return s
	}
	s.seen = s.day.LastAt
	if l := o.left; l.Day == o.id && l.Seq == s.day.LastSeq && l.At.After(s.seen) {
		s.left, s.seen = true, l.At
	}
	if s.away = e.now.Sub(s.seen); s.away < longAway {
		e.awayGuess = s.behind()
		s.err = s.take(max(0, s.away))
	}
	if s.day.MayDrop() {
		s.shut = bind("x", "drop that day", "x")
		s.keys[2] = s.shut
	}
	return s
}

// behind says that the clock is earlier than what it said last.
func (s *goOnScreen) behind() bool { return s.away < -keep.JumpMatters }

// take takes the day up, if it was not, as after so long.
func (s *goOnScreen) take(away time.Duration) error {
	if s.taken {
		return nil
	}
	s.e.keeper.Take(s.id, s.day)
	err := s.e.keeper.Wake(s.seen, away, s.e.now)
	s.e.look()
	if err != nil {
		return fmt.Errorf("the day could not be taken up: %w", err)
	}
	s.taken, s.err = true, nil
	s.keys[1].SetHelp("Esc", "home")
	return nil
}

// askAway asks how long the program was off, where the clock cannot say: of a
// running day (set is nil) or of one that is taken up with it.
func askAway(e *env, set func(time.Duration) error) screen {
	min := 0.0
	why := "from when it stopped until it was started again"
	if e.Elapsed != nil {
		if up := math.Ceil(e.Elapsed().Minutes()); up < longAway.Minutes() {
			min = up
			why += "; this machine has been on for " + minText(up)
		}
	}
	minField := numberField(e.kit.Units, duration, "How long was it off", why, &min, func(_ measure.System, v float64) error {
		if v < 0 || v > longestAwayMin {
			return fmt.Errorf("type a time from 0 to 31 days, such as 20 or 1 h 30 min")
		}
		return nil
	})
	return newForm(e, "How long was tubside off", []*page{{fields: []*field{minField}}}, func() (tea.Cmd, error) {
		away := time.Duration(min * float64(time.Minute))
		if err := set(away); err != nil {
			return nil, err
		}
		e.awayGuess = false
		e.tell("every timer counts %s more", minText(min))
		return pop(), nil
	})
}

const longestAwayMin = 31 * 24 * 60.0

// sayAway corrects the guess of a running day: it was off for so long.
func (e *env) sayAway(away time.Duration) error {
	if err := e.live.do(session.SetClock{By: -away}, e.now); err != nil {
		return err
	}
	return e.live.do(session.ResumeWatch{Away: away}, e.now)
}

func (s *goOnScreen) Title() string { return "A wash day is still open" }

func (s *goOnScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	k, ok := s.pressed(msg)
	if !ok {
		return s, nil
	}
	switch {
	case key.Matches(k, s.later):
		return s, pop()
	case key.Matches(k, keyHelp):
		return s, push(newHelp(s.e, s.keys))
	case !s.taken && s.busy():
		s.e.refuse(fmt.Errorf("the last entry is still being saved: press again in a moment"))
	case key.Matches(k, s.off) && (s.e.awayGuess || !s.taken):
		if s.taken {
			return s, push(askAway(s.e, s.e.sayAway))
		}
		return s, push(askAway(s.e, s.take))
	case k.String() == "enter":
		if err := s.take(max(0, s.away)); err != nil {
			s.e.refuse(err)
			return s, nil
		}
		return s, replace(newDayScreen(s.e))
	case key.Matches(k, s.shut):
		if s.day.MayDrop() {
			return s, s.dropOpen()
		}
		return s, s.close()
	}
	return s, nil
}

// busy says that something is still to be written, perhaps to this very day:
// it must be read only after that.
func (s *goOnScreen) busy() bool { return s.e.saving() > 0 }

// close ends the day as it stands, at the second press.
func (s *goOnScreen) close() tea.Cmd {
	question := "close that day, with whatever is not racked? x again does it"
	if back := goesBack(s.day); back != "" {
		question = "close that day? " + back + ". x again closes it"
	}
	if !s.again("close", "%s", question) {
		return nil
	}
	err := s.take(max(0, s.away))
	if err == nil && s.e.live.day.Running() {
		err = s.e.live.do(session.EndDay{Anyway: true}, s.e.now)
	}
	if err != nil {
		s.e.refuse(fmt.Errorf("the day could not be closed: %w", err))
		return nil
	}
	s.e.tell("the day is closed; look back at it under Past days")
	return pop()
}

func (s *goOnScreen) View() string {
	t, e := s.e.Theme, s.e
	if s.err != nil {
		return s.draw(whole(s.room(), para{told(t.Warn, s.err.Error(), s.w), 0}, para{[]string{""}, 1}, para{told(t.Text, "Esc goes to the other screens; the day stays as it is.", s.w), 0}))
	}
	d := s.day
	var begun []string
	if s.behind() {
		begun = told(t.Warn, fmt.Sprintf("The machine's clock is wrong: it says %s %s, but tubside was open until %s, %s.",
			e.dayText(e.now), e.clockText(e.now), e.dayText(s.seen), e.clockText(s.seen)), s.w)
		if e.awayGuess {
			begun = append(begun, told(t.Warn, "Every timer counts on from there. That is a guess: m says how long tubside was off.", s.w)...)
		}
	} else {
		stopped := "Last written down"
		if s.left {
			stopped = "Closed"
		}
		begun = told(t.Text, fmt.Sprintf("A wash day is still open, begun %s at %s. %s %s ago, at %s: nobody has watched since.",
			e.dayText(d.StartedAt), e.clockText(d.StartedAt), stopped, agoText(s.away), e.clockText(s.seen)), s.w)
		if !s.taken {
			begun = append(begun, told(t.Text, "If the clock is wrong, m says how long it really was.", s.w)...)
		}
	}
	var tubs [][]string
	for i := range d.Tubs {
		g := coach.GlanceAt(d, i, e.now)
		if s.taken {
			g = coach.GlanceAt(e.live.day, i, e.now)
		}
		if g.Phase == shed.Idle {
			continue
		}
		temp := ""
		if g.HasTemp {
			temp = ", now about " + d.Plan.Kit.Units.Temp(g.TempC)
		}
		style := t.Text
		if g.Prompt.Rank == coach.Harm {
			style = t.Warn
		}
		tubs = append(tubs, told(style, fmt.Sprintf("  %s: %s %s, %s%s", g.Name, g.Batch, g.StepName, g.Phase, temp), s.w))
	}
	next, leave := "Enter goes on; the cooling is counted.", "Esc leaves it for later."
	if s.taken {
		next, leave = "Enter: to the tubs", "The cooling is counted; alarms ring on every screen."
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
