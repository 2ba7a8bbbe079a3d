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
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/washday"
)

// dropOpen drops the open day that was found at the start, at the second press.
func (s *goOnScreen) dropOpen() tea.Cmd {
	if !s.Again("drop", "nothing went in on that day. Discard it, keeping nothing? Press x again") {
		return nil
	}
	if err := s.E.DeleteDay(s.id); err != nil {
		s.E.Refuse(fmt.Errorf("the day couldn't be discarded: %w", err))
		return nil
	}
	s.E.Tell("the day is discarded")
	return base.Pop()
}

// goOnScreen tells at the start of a day that was begun and not ended: what went
// on while nobody watched. The day is taken up at once, before any key: after a
// power cut fleece may lie in cooling water, and its alarm has to ring. Only a day
// that nobody has touched for LongAway waits for Enter.
//
// A clock that is behind the last event (an empty clock battery, a board without
// one) cannot say how long that was. Then timers count on from the last event,
// which is a guess and called one until the person says how long it was.
type goOnScreen struct {
	base.Frame
	id    shed.DayID
	day   session.Day   // as it was last written down
	left  bool          // it was left since, and no power cut or crash ended it
	seen  time.Time     // when it was left, else the last entry
	away  time.Duration // since then, by the clock
	taken bool          // it runs
	err   error
	off   key.Binding
	now   key.Binding // the clock is right, where it went back
	was   key.Binding // it was right before
	later key.Binding
	shut  key.Binding
}

// openDay is a day that was begun and not ended, as it was last written down.
type openDay struct {
	id   shed.DayID
	day  session.Day
	left session.Left
}

func readOpen(j ledger.Journal, l ledger.Ledger, id shed.DayID) (o openDay, err error) {
	o.id = id
	if o.day, err = j.Day(id); err != nil {
		return o, fmt.Errorf("the open day couldn't be read: %w", err)
	}
	o.left, err = l.Left()
	if err != nil { // the last entry counts
		o.left = session.Left{}
	}
	return o, nil
}

// newGoOn shows an open day, or why it could not be read.
func newGoOn(e *base.Env, o openDay, err error) base.Screen {
	s := &goOnScreen{id: o.id, day: o.day, err: err, off: base.Bind("m", "say how long it was off"), now: base.Bind("n", "now is right"), was: base.Bind("b", "before was right"), later: base.Bind("Esc", "later", "esc", "q", "l"), shut: base.Bind("x", "close that day as it is")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("go on"), s.later, s.shut, s.off, base.KeyHelp}}
	s.Idle = func() []string {
		if err != nil { // there is no day to do anything with
			return []string{"Enter", "m", "x"}
		}
		if s.taken && e.AwayGuess == nil { // nothing is left to say
			return []string{"m", "n", "b"}
		}
		return nil
	}
	if err != nil {
		return s
	}
	s.seen = s.day.LastAt
	if l := o.left; l.Day == o.id && l.Seq == s.day.LastSeq && l.At.After(s.seen) {
		s.left, s.seen = true, l.At
	}
	s.arrive()
	if s.day.MayDrop() {
		s.shut = base.Bind("x", "discard that day")
		s.Own[2] = s.shut
	}
	return s
}

// arrive looks at the clock while the day waits, and takes it up where that is not as after so long.
func (s *goOnScreen) arrive() {
	if s.away = s.E.Now.Sub(s.seen); s.away < base.LongAway {
		s.err = s.byClock()
	}
}

// byClock takes the day up, if it was not, by what the clock says of how long nobody watched.
func (s *goOnScreen) byClock() error {
	if s.taken {
		return nil
	}
	away := max(0, s.away)
	err := s.take(away, true)
	s.E.AwayGuess, s.E.ByClock = nil, &base.Guess{Seen: s.seen, Begun: s.day.StartedAt, Away: away} // behind the look at it, which drops another day's
	if s.behind() {
		s.E.AwayGuess = s.E.ByClock
		s.Own[3] = s.now
		s.Own = append(s.Own, s.was)
	}
	return err
}

// behind says that the clock is earlier than what it said last, by so much that both read differently.
func (s *goOnScreen) behind() bool { return s.away <= -time.Minute }

// take takes the day up, if it was not, as after so long. Where the clock of now is not the
// right one, that of before is.
func (s *goOnScreen) take(away time.Duration, nowRight bool) error {
	if s.taken {
		return nil
	}
	behind := time.Duration(0)
	if !nowRight {
		behind = s.seen.Add(away).Sub(s.E.Now)
		s.E.Now = s.E.Now.Add(behind)
	}
	err := s.E.Keeper.Wake(s.id, s.day, s.seen, away, behind, s.E.Now)
	s.E.Look()
	if err != nil {
		return fmt.Errorf("the day couldn't be resumed: %w", err)
	}
	s.taken, s.err = true, nil
	s.Own[1].SetHelp("Esc", "home")
	return nil
}

func (s *goOnScreen) Title() string { return "A wash day is still open" }

func (s *goOnScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	if !s.taken && s.err == nil && s.E.Saving() == 0 {
		s.arrive()
	}
	s.E.Live.Timetable(s.E.Now, 0)
	k, ok := s.Pressed(msg)
	if !ok {
		return s, nil
	}
	switch {
	case key.Matches(k, s.later):
		return s, base.Pop()
	case key.Matches(k, base.KeyHelp):
		return s, base.Push(base.NewHelp(s.E, base.Without(s.Own, s.Idle())))
	case !s.taken && s.E.Saving() > 0: // perhaps to this very day, which is read after that
		s.E.Refuse(fmt.Errorf("the last entry is still being saved: press again in a moment"))
	case key.Matches(k, s.off) && !s.taken:
		return s, base.Push(form.AskAway(s.E, s.seen, nil, s.take))
	case key.Matches(k, s.off) && s.E.AwayGuess != nil && !s.behind():
		return s, base.Push(form.AskAway(s.E, s.E.AwayGuess.Seen, nil, s.E.SayAway))
	case key.Matches(k, s.now, s.was) && s.behind() && s.taken && s.E.AwayGuess != nil:
		nowRight := key.Matches(k, s.now)
		return s, base.Push(form.AskAway(s.E, s.seen, &nowRight, s.E.SayAway))
	case k.String() == "enter":
		if err := s.byClock(); err != nil {
			s.E.Refuse(err)
			return s, nil
		}
		s.E.RefuseCommand()
		return s, base.Replace(washday.New(s.E))
	case key.Matches(k, s.shut):
		if s.day.MayDrop() {
			return s, s.dropOpen()
		}
		return s, s.close()
	}
	return s, nil
}

// close ends the day as it stands, at the second press.
func (s *goOnScreen) close() tea.Cmd {
	question := "close that day? "
	if left := base.AtTheEnd(s.day); left != "" {
		question += left + ". "
	}
	question += "Press x again"
	if !s.Again("close", "%s", question) {
		return nil
	}
	err := s.byClock()
	if err == nil && s.E.Live.Day.Running() {
		err = s.E.Live.Do(session.EndDay{Anyway: true}, s.E.Now)
	}
	if err != nil {
		s.E.Refuse(fmt.Errorf("the day couldn't be closed: %w", err))
		return nil
	}
	s.E.Tell("the day is closed; look back at it under Past days")
	return base.Pop()
}

func (s *goOnScreen) View() string {
	t, e, w := s.E.Theme, s.E, s.Column()
	if s.err != nil {
		return s.Draw(s.Middle(nil, draw.Whole(s.Room(), draw.Para{Lines: draw.Told(t.Warn, s.err.Error(), w), Rank: 0}, draw.Para{Lines: []string{""}, Rank: 1}, draw.Para{Lines: draw.Told(t.Text, "Esc goes to the other screens; the day stays as it is.", w), Rank: 0}), nil))
	}
	d := s.day
	var begun []string
	if s.behind() {
		back := base.AgoText(-s.away)
		if s.away > -base.LongAway {
			back = measure.Minutes(math.Round(-s.away.Minutes()))
		}
		text := fmt.Sprintf("The machine's clock went back %s. Which is right: now, %s (n), or before, %s (b)?", back, form.ClockOf(e, e.Now, s.seen), form.ClockOf(e, s.seen, e.Now))
		if e.AwayGuess == nil {
			text = fmt.Sprintf("The machine's clock went back %s: tubside goes by %s.", back, e.ClockText(e.Now))
		}
		begun = draw.Told(t.Warn, text, w)
		if e.AwayGuess != nil {
			begun = append(begun, draw.Told(t.Warn, "Until you say, times are a guess: every timer counts on as if tubside had never been off.", w)...)
		}
	} else {
		stopped := "Last written down"
		if s.left {
			stopped = "Closed"
		}
		begun = draw.Told(t.Text, fmt.Sprintf("A wash day is still open, begun %s at %s. %s %s ago, at %s: tubside was off since then.",
			e.DayText(d.StartedAt), e.ClockText(d.StartedAt), stopped, base.AgoText(max(s.away, e.Now.Sub(s.seen))), e.ClockText(s.seen)), w)
		if !s.taken {
			begun = append(begun, draw.Told(t.Text, "If the clock is wrong, m says how long it really was.", w)...)
		}
	}
	var tubs [][]string
	for i := range d.Tubs {
		if s.taken {
			d = e.Live.Day
		}
		if lines := tubNow(e, d, i, w); lines != nil {
			tubs = append(tubs, lines)
		}
	}
	next, leave := "Enter resumes; cooling is counted.", "Esc leaves it for later."
	if s.taken {
		next, leave = "Enter: to the tubs", "Cooling is counted; alarms ring on every screen."
	}
	on := draw.Told(t.Next, next, w)
	// Of many tubs as many as have room; the others are counted.
	room, n, list := s.Room()-len(begun)-len(on), 0, []string(nil)
	for ; n < len(tubs); n++ {
		last := n == len(tubs)-1
		if need := len(list) + len(tubs[n]); need > room || !last && need+1 > room {
			break
		}
		list = append(list, tubs[n]...)
	}
	if more := len(tubs) - n; more > 0 {
		says := "  and " + base.Counted(more, "more tub", "more tubs")
		if n == 0 {
			says = base.Counted(more, "tub", "tubs")
		}
		list = append(list, draw.Told(t.Faint, says, w)...)
	}
	gap := []string{""}
	return s.Draw(s.Middle(nil, draw.Whole(s.Room(), draw.Para{Lines: begun, Rank: 0}, draw.Para{Lines: gap, Rank: 9}, draw.Para{Lines: list, Rank: 0}, draw.Para{Lines: gap, Rank: 9}, draw.Para{Lines: on, Rank: 0}, draw.Para{Lines: draw.Told(t.Faint, leave, w), Rank: 3}), func(w, room int) []string { return ahead.RestBars(e, w, room) }))
}

// tubNow is what a tub holds as things stand; nil where that is nothing.
func tubNow(e *base.Env, d session.Day, i, w int) []string {
	g := coach.GlanceAt(d, i, e.Now)
	if g.Phase == shed.Idle {
		return nil
	}
	style, temp := e.Theme.Text, ""
	if g.HasTemp {
		temp = ", now about " + d.Plan.Kit.Units.Temp(g.TempC)
	}
	if g.Prompt.Rank == coach.Harm {
		style = e.Theme.Warn
	}
	return draw.Told(style, fmt.Sprintf("  %s: %s %s, %s%s", g.Name, g.Batch, g.StepName, g.Phase.Shown(), temp), w)
}
