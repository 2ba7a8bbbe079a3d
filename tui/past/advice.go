package past

import (
	"errors"
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/gear"
)

// adviceDays is how many days before the one that is looked at an advice rests on; our own
// choice, no source.
const adviceDays = 6

// adviceScreen shows what a day and those before it speak for changing, and takes one into
// the kit or the method.
type adviceScreen struct {
	base.Frame
	grid   base.Grid
	of     *ReviewScreen
	list   []lookback.Advice
	taken  bool // one at least
	*lived      // the day, with the baths that the changes are about
}

var keyAdvice = base.Bind("t", "what to change")

// openAdvice shows what the day and those before it speak for.
func (s *ReviewScreen) openAdvice() tea.Cmd {
	if s.day == nil || !s.beside.ready {
		s.E.Note("reading earlier days: one moment")
		return nil
	}
	d := s.day.Day
	a := &adviceScreen{of: s, list: s.beside.advice, lived: &lived{s.seen, curvesOf(d, lookback.Baths(d))}}
	a.Frame = base.Frame{E: s.E, Own: []key.Binding{base.Bind("Enter", "take it", "enter"), base.KeyBack, base.KeyHelp, base.KeyMove}, Idle: func() []string {
		if len(a.list) == 0 || a.list[a.grid.At].Place() == lookback.Nowhere {
			return []string{"Enter"}
		}
		return a.grid.Idle()
	}}
	a.grid.Cols = []base.Column{{Title: "what to change", Name: true}}
	a.fill()
	return base.Push(a)
}

// DaysTo is a day and up to adviceDays before it, the latest first. What cannot be read is
// left out.
func DaysTo(j ledger.Journal, this session.Day) []session.Day {
	out := []session.Day{this}
	all, _ := j.Days(adviceDays + 1)
	if !slices.ContainsFunc(all, func(x ledger.Summary) bool { return x.StartedAt.Equal(this.StartedAt) }) { // an older day
		all, _ = j.Days(0)
	}
	for _, x := range all {
		if len(out) > adviceDays {
			break
		}
		if !x.StartedAt.Before(this.StartedAt) || x.EndedAt.IsZero() || !x.EnteredAt.IsZero() {
			continue
		}
		if d, err := j.Day(x.ID); err == nil {
			out = append(out, d)
		}
	}
	return out
}

// AdviceOf is what a day and those before it speak for that the kit or the method has not
// taken yet.
func AdviceOf(j ledger.Journal, l ledger.Ledger, d session.Day) []lookback.Advice {
	out := lookback.Advise(DaysTo(j, d))
	kit, ok, err := l.Kit()
	methods, not := l.Methods()
	if !ok || err != nil || not != nil { // then it is offered as it is
		return out
	}
	methods = append([]shed.Method{shed.BuiltInMethod()}, methods...)
	stand := out[:0]
	for _, a := range out {
		if a.Stands(kit, methods, d.Plan.Method.ID) {
			stand = append(stand, a)
		}
	}
	return stand
}

func (s *adviceScreen) Title() string { return "Looking back: what to change" }

// fill lists the changes, in a narrow window without what is set now.
func (s *adviceScreen) fill() {
	rows := make([][]string, len(s.list))
	for i, a := range s.list {
		what, _ := a.Say(s.E.Kit.Units)
		rows[i] = []string{draw.FirstFit(s.W-3, what, a.Brief(s.E.Kit.Units))}
	}
	s.grid.SetRows(rows)
}

// drawn is what a change is about, in so many lines: the bath that was most so, or the day.
func (s *adviceScreen) drawn(a *lookback.Advice, room int) []string {
	i, ofTheDay := a.About(s.baths)
	switch {
	case ofTheDay:
		if lines := s.bars(s.E, s.W, room-1, 0); lines != nil {
			return append([]string{""}, lines...)
		}
		return nil
	case i < 0 || room < leastCurve+2:
		return nil
	}
	return append([]string{"", s.E.Theme.Title.Render(" " + draw.Short(nameOf(&s.baths[i]), s.W-1))}, s.curve(s.E, i, s.W, room-2, false, map[string]bool{})...)
}

func (s *adviceScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	_, cmd, _ := s.OnList(msg, &s.grid, s.take)
	return s, cmd
}

// take puts the chosen change into the kit or the method. The method that comes with the
// program stays: the change makes one of the person's own.
func (s *adviceScreen) take() tea.Cmd {
	if len(s.list) == 0 {
		return nil
	}
	a := s.list[s.grid.At]
	what, _ := a.Say(s.E.Kit.Units)
	done := func() {
		s.taken = true
		s.list = slices.Delete(slices.Clone(s.list), s.grid.At, s.grid.At+1)
		s.fill()
		s.of.beside.advice = s.list
		s.of.Refill()
	}
	switch a.Place() {
	case lookback.Nowhere:
		s.E.Note("nothing to set for that: it's up to you, or automatic")
		return nil
	case lookback.TheKit:
		kit, ok := a.InKit(s.E.Kit)
		if !ok {
			s.E.Refuse(fmt.Errorf("the kit has no %s any more", a.TubName))
		} else if err := gear.SaveKit(s.E, kit); err != nil {
			s.E.Refuse(err)
		} else {
			s.E.Tell("kit changed: %s", what)
			done()
		}
		return nil
	case lookback.TheMethod:
	}
	methods, of := gear.MethodList(s.E), s.of.day.Day.Plan.Method
	i := slices.IndexFunc(methods, func(m shed.Method) bool { return m.ID == of.ID })
	if i < 0 {
		s.E.Refuse(fmt.Errorf("the method %s is no longer kept", of.Name))
		return nil
	}
	m, ok := a.InMethod(methods[i])
	if !ok {
		s.E.Refuse(errors.New("the method has no such step any more"))
		return nil
	}
	if m.ID == shed.BuiltInMethodID || a.Anew() {
		return gear.NameMethod(s.E, m, "A method of your own with this change", func(shed.Method) tea.Cmd { done(); return base.Pop() })
	}
	if _, err := gear.SaveMethod(s.E, m); err != nil {
		s.E.Refuse(err)
		return nil
	}
	s.E.Tell("%s changed: %s", m.Name, what)
	done()
	return nil
}

// howTaken says what Enter does with a change.
var howTaken = map[lookback.Place]string{lookback.TheKit: "Enter puts it into the kit; nothing changes by itself.",
	lookback.TheMethod: "Enter puts it into the method; nothing changes by itself.", lookback.Nowhere: "There's nothing to set."}

func (s *adviceScreen) View() string { c := *s; return c.Place() }

func (s *adviceScreen) Place() string {
	t := &s.E.Theme
	if len(s.list) == 0 {
		what, why := "Nothing to change.", "Nothing suggests washing differently."
		switch {
		case s.taken:
			what = "Nothing more to change."
		case slices.ContainsFunc(lookback.Of(s.of.day.Day), func(f lookback.Finding) bool { return f.Kind < lookback.Unread }):
			what, why = "Nothing to suggest yet.", "What went wrong is on the page before. It takes more than once to say what to change."
		}
		return s.Draw(s.Empty(nil, what, why,
			"Advice needs the same thing more than once: washes that began too cool, cooled too fast or came out waxy, lifts that came late, forecasts or minutes that were off.", nil))
	}
	s.fill()
	what, why := s.list[s.grid.At].Say(s.E.Kit.Units)
	if s.grid.Rows[s.grid.At][0] != what || ansi.StringWidthWc(what) > s.W-3 { // in full: a narrow list has less
		why = what + ". " + why
	}
	reason := draw.Told(t.Text, why, s.W)
	how := draw.Told(t.Faint, howTaken[s.list[s.grid.At].Place()], s.W)
	body := s.grid.Lines(t, 0, s.W, max(min(len(s.list)+1, 4), s.Room()-len(reason)-len(how)))
	body = append(body, draw.Whole(s.Room()-len(body), draw.Para{Lines: reason, Rank: 0}, draw.Para{Lines: how, Rank: 1})...)
	return s.Draw(append(body, s.drawn(&s.list[s.grid.At], s.Room()-len(body))...))
}
