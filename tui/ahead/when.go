package ahead

import (
	"errors"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// whenOf is when the day that is planned is to begin, or to be done: by whole minutes, so that
// what is said within one is the same everywhere.
func whenOf(e *base.Env) *planner.When {
	zone := e.Zone()
	return &planner.When{Now: e.Now.In(zone).Truncate(time.Minute), Begin: e.Planned.Begin.In(zone), By: e.Planned.ReadyBy.In(zone), Kit: e.Kit, Alarms: e.Keeper.Alarms(), Up: true}
}

// whenLine says when the planned day is to begin and to be done; "" where nothing was said.
func (s *PlanScreen) whenLine() string {
	w, tt := s.reckoned.when, s.outlook.Timetable
	w.Now = s.E.Now.In(s.E.Zone())
	night, soaks := s.outlook.FirstNight()
	switch {
	case s.why != nil || tt.From.IsZero():
		return ""
	case soaks:
		return fmt.Sprintf("Presoak goes in %s, washing begins %s, done about %s", w.Text(night.At), w.Text(night.Until), w.End(tt.Finish, night.Until))
	case w.By.After(w.Now):
		text, not := fmt.Sprintf("Begins %s at the latest, ", w.Text(tt.From)), w.Begin
		if not.After(w.Now) && tt.From.Sub(not) >= planner.Look {
			text += "not " + w.End(not, tt.From) + ", "
		}
		text += "to be ready by " + w.End(w.By, tt.From)
		if w.By.Sub(tt.Finish) > 2*planner.Look {
			if text += ": done about " + w.End(tt.Finish, tt.From); w.KeepsFree(tt.Finish, w.By) {
				text += ", before the hours you keep free"
			}
		}
		return text
	case w.Begin.After(w.Now):
		return fmt.Sprintf("Begins %s, done about %s", w.Text(tt.From), w.End(tt.Finish, tt.From))
	}
	return ""
}

// askWhen asks when the day is to begin, or to be done.
func (s *PlanScreen) askWhen() tea.Cmd {
	e, w := s.E, whenOf(s.E)
	begin, by, away := e.Planned.Begin, e.Planned.ReadyBy, e.Planned.Plan.Break
	clock := func(h int) string { return e.Kit.Units.Clock(time.Date(2000, 1, 1, h, 0, 0, 0, time.UTC)) }
	field := func(label, why, none string, into *time.Time) *form.Field {
		text := none
		if into.After(e.Now) {
			text = w.Text(*into)
		}
		was := text
		return form.CheckedField(label, why, text, func(text string) error {
			if text = measure.CleanText(text, 40); text == was {
				return nil
			}
			if *into = (time.Time{}); text == none || text == "" {
				return nil
			}
			now := w.Now
			at, dated, ok := form.Moment(e.Kit.Units, text, now, now)
			switch {
			case !ok:
				return fmt.Errorf("\"%s\" isn't a time: type one such as %s, or tomorrow %s", text, clock(16), clock(7))
			case !at.After(now) && dated:
				return errors.New("that time has passed: type a later one")
			case !at.After(now):
				at = at.AddDate(0, 0, 1)
			}
			*into = at
			return nil
		})
	}
	p := &form.Page{About: "The timetable and the hot water are worked out for that time.", Fields: []*form.Field{
		field("Begins", "now, or such as tomorrow "+clock(7), "now", &begin),
		field("Ready by", "such as "+clock(16)+": then it starts as late as it can; none if any time will do", "none", &by),
		form.HoursField(e.Kit.Units, "Breaks", "nothing is planned for you then", form.UsualBreaks, &away),
	}}
	return form.NewForm(e, "When", []*form.Page{p}, func() (tea.Cmd, error) {
		for by.After(e.Now) && !by.After(begin) { // 16:00 is of the day that it begins on
			by = by.AddDate(0, 0, 1)
		}
		e.Planned.Begin, e.Planned.ReadyBy, e.Planned.Plan.Break = begin, by, away
		s.fill()
		return base.Pop(), nil
	}).Over(func(w, room int) []string {
		o := &s.outlook
		if s.old() || s.why != nil || room < 3 {
			return nil
		}
		bars := TimetableBars(e, o.Plan.Kit.Tubs, &o.Timetable, w, room-1)
		if bars == nil {
			return nil
		}
		return append([]string{e.Theme.Title.Render(" As planned so far")}, bars...)
	})
}

// soonAfter is how long before its planned begin a day is started without a question.
const soonAfter = 15 * time.Minute
