package ahead

import (
	"errors"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// when is when a planned day is to begin, or to be done, as one looks at it now.
type when struct {
	now, begin, by time.Time
	units          measure.System
	kit            shed.Kit
	alarms         session.AlarmSettings
}

func whenOf(e *base.Env) when {
	zone := e.Zone()
	return when{e.Now.In(zone), e.Planned.Begin.In(zone), e.Planned.ReadyBy.In(zone), e.Kit.Units, e.Kit, e.Keeper.Alarms()}
}

// look is how closely hours are looked at for those that are kept free of work.
const look = 5 * time.Minute

// kept says that a moment is kept free of work: in quiet hours, or while the person sleeps.
func (w when) kept(at time.Time) bool {
	at = at.In(w.now.Location())
	return w.alarms.Quiet(at.Hour()*60+at.Minute(), session.LowPriority) || w.kit.WhenUp(at).After(at)
}

// disturbs is when work first falls into such hours; zero: never.
func (w when) disturbs(o planner.Outlook) time.Time {
	for _, p := range o.Timetable.Pieces {
		for at := p.Start; len(p.Acts) > 0 && at.Before(p.End); at = at.Add(look) {
			if w.kept(at) {
				return at
			}
		}
	}
	return time.Time{}
}

// from is when the day begins: what was said, while that is to come, and once the hours that are
// kept free are over; else now.
func (w when) from() time.Time {
	if !w.begin.After(w.now) {
		return w.now
	}
	at := w.begin
	for range int(24 * time.Hour / look) {
		if !w.kept(at) {
			return at
		}
		at = at.Add(look).Truncate(look)
	}
	return w.begin // none are left
}

// caution says which work falls into such hours, and what would keep it out of them.
func (w when) caution(o planner.Outlook, do string) []string {
	at := w.disturbs(o)
	if at.IsZero() {
		return o.Cautions
	}
	why := "in your quiet hours"
	if up := w.kit.WhenUp(at.In(w.now.Location())); up.After(at) {
		why = "and you are up from " + w.units.Clock(up)
	}
	return append(o.Cautions, fmt.Sprintf("there is work at %s, %s: %stake batches out", w.text(at), why, do))
}

// plan works a plan out for that time, and gives when one has to look at it.
//
// Errors: those of planner.PlanAhead, and that it would have to have begun already.
func (w when) plan(p shed.Plan, order planner.Order) (o planner.Outlook, from time.Time, err error) {
	from = w.from()
	if !w.by.After(w.now) {
		do := ""
		if from.After(w.now) {
			do = "b begins it sooner, or "
		}
		if o, err = planner.PlanAhead(p, from, order, planner.Thorough); err == nil && !w.kept(from) {
			o.Cautions = w.caution(o, do)
		}
		return o, from, err
	}
	o, at, err := planner.ReadyBy(p, from, w.by, order)
	latest, latestAt := o, at
	for range 3 { // before the hours that are kept free, where it would fall into them
		by := w.disturbs(o).Truncate(look)
		if err != nil || by.IsZero() || at.Before(from) {
			break
		}
		for w.kept(by.Add(-look)) && by.After(from) {
			by = by.Add(-look)
		}
		o, at, err = planner.ReadyBy(p, from, by, order)
	}
	if err == nil && (at.Before(from) || !w.disturbs(o).IsZero()) { // no time before by is free
		o, at = latest, latestAt
		o.Cautions = w.caution(o, "b gives it more time, or ")
	}
	switch {
	case err != nil:
	case at.Before(from):
		err = fmt.Errorf("to be ready by %s the latest start is %s: b gives it more time, or take batches out", w.text(w.by), w.text(o.Timetable.From))
	case o.Timetable.Finish.After(w.by):
		err = fmt.Errorf("it is not ready by %s, but at %s: b gives it more time", w.text(w.by), w.text(o.Timetable.Finish))
	}
	return o, at, err
}

// text is a moment as one says it: its time, and the day where that is not today.
func (w when) text(at time.Time) string {
	at = at.In(w.now.Location())
	clock := w.units.Clock(at)
	switch day := time.DateOnly; at.Format(day) {
	case w.now.Format(day):
		return clock
	case w.now.AddDate(0, 0, 1).Format(day):
		return "tomorrow " + clock
	}
	return w.units.Moment(at, "15:04 on Mon 2 Jan")
}

// end is the text of a moment behind another, whose day need not be said twice.
func (w when) end(at, behind time.Time) string {
	at = at.In(w.now.Location())
	if at.Format(time.DateOnly) == behind.In(w.now.Location()).Format(time.DateOnly) {
		return w.units.Clock(at)
	}
	return w.text(at)
}

// clock is a full hour as an example.
func (w when) clock(h int) string {
	return w.units.Clock(time.Date(w.now.Year(), w.now.Month(), w.now.Day(), h, 0, 0, 0, w.now.Location()))
}

// whenLine says when the planned day is to begin and to be done; "" where nothing was said.
func (s *PlanScreen) whenLine() string {
	w, tt := whenOf(s.E), s.outlook.Timetable
	switch {
	case s.why != nil:
		return ""
	case w.by.After(w.now):
		text := fmt.Sprintf("Begins %s at the latest, to be ready by %s", w.text(tt.From), w.end(w.by, tt.From))
		if w.by.Sub(tt.Finish) > 2*look {
			text += ": done at " + w.end(tt.Finish, tt.From) + ", before the hours you keep free"
		}
		return text
	case w.begin.After(w.now):
		return fmt.Sprintf("Begins %s, done about %s", w.text(tt.From), w.end(tt.Finish, tt.From))
	}
	return ""
}

// askWhen asks when the day is to begin, or to be done.
func (s *PlanScreen) askWhen() tea.Cmd {
	e, w := s.E, whenOf(s.E)
	begin, by := e.Planned.Begin, e.Planned.ReadyBy
	field := func(label, why, none string, into *time.Time) *form.Field {
		text := none
		if into.After(e.Now) {
			text = w.text(*into)
		}
		was := text
		return form.CheckedField(label, why, text, func(text string) error {
			if text = measure.CleanText(text, 40); text == was {
				return nil
			}
			if *into = (time.Time{}); text == none || text == "" {
				return nil
			}
			now := w.now
			at, dated, ok := form.Moment(text, now, now)
			switch {
			case !ok:
				return fmt.Errorf("\"%s\" is no time: give one such as %s, or tomorrow %s", text, w.clock(16), w.clock(7))
			case !at.After(now) && dated:
				return errors.New("that time has passed: give one that is to come")
			case !at.After(now):
				at = at.AddDate(0, 0, 1)
			}
			*into = at
			return nil
		})
	}
	p := &form.Page{About: "The timetable, and what is said of the hot water, are for that time.", Fields: []*form.Field{
		field("Begins", "now, or such as tomorrow "+w.clock(7), "now", &begin),
		field("Ready by", "such as "+w.clock(16)+": then it begins as late as that allows; none if it does not matter", "none", &by),
	}}
	return base.Push(form.NewForm(e, "When", []*form.Page{p}, func() (tea.Cmd, error) {
		e.Planned.Begin, e.Planned.ReadyBy = begin, by
		s.fill()
		return base.Pop(), nil
	}))
}

// soonAfter is how long before its planned begin a day is started without a question.
const soonAfter = 15 * time.Minute
