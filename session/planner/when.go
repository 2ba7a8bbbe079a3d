package planner

import (
	"fmt"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// When is when a day is to begin, or to be done, as one looks at it now, by the clock of its
// location.
type When struct {
	Now, Begin, By time.Time
	Kit            shed.Kit
	Alarms         session.AlarmSettings // their quiet hours are kept free of work
	Up             bool                  // the person is up now, whatever the hour
}

// Look is how closely hours are looked at for those that are kept free of work.
const Look = 5 * time.Minute

// kept says that a moment is kept free of work: in quiet hours, or while the person sleeps.
func (w *When) kept(at time.Time) bool {
	at = at.In(w.Now.Location())
	return w.Alarms.Quiet(at.Hour()*60+at.Minute(), session.LowPriority) || w.Kit.WhenUp(at).After(at)
}

// KeepsFree says that hours which are kept free of work lie between two moments.
func (w *When) KeepsFree(from, to time.Time) bool {
	for ; from.Before(to); from = from.Add(Look) {
		if w.kept(from) {
			return true
		}
	}
	return false
}

// disturbs is when work first falls into such hours; zero: never.
func (w *When) disturbs(o Outlook) time.Time {
	for _, p := range o.Timetable.Pieces {
		for at := p.Start; len(p.Acts) > 0 && at.Before(p.End); at = at.Add(Look) {
			if w.kept(at) {
				return at
			}
		}
	}
	return time.Time{}
}

// From is when the day begins: what was said, while that is to come, and once the hours that are
// kept free are over; else now.
func (w *When) From() time.Time {
	if !w.Begin.After(w.Now) {
		return w.Now
	}
	at := w.Begin
	for range int(24 * time.Hour / Look) {
		if !w.kept(at) {
			return at
		}
		at = at.Add(Look).Truncate(Look)
	}
	return w.Begin // none are left
}

// caution says which work falls into such hours, and what would keep it out of them.
func (w *When) caution(o Outlook, do string) []string {
	at := w.disturbs(o)
	if at.IsZero() || len(o.ByDays) > 0 && len(o.Nights) == 0 { // that the day is too long is said
		return o.Cautions
	}
	why, asleep := w.why(at)
	if asleep {
		why = "and " + why
	}
	return append(o.Cautions, fmt.Sprintf("there is work %s, %s: %stake batches out", w.At(at), why, do))
}

// why says of such hours why they are.
func (w *When) why(at time.Time) (text string, asleep bool) {
	up := w.Kit.WhenUp(at.In(w.Now.Location()))
	if !up.After(at) {
		return "in your quiet hours", false
	}
	from, to := w.Kit.Waking()
	bed := up.Add(time.Duration((to-from+24)%24) * time.Hour)
	return fmt.Sprintf("you are up from %s to %s", w.Kit.Units.Clock(up), w.Kit.Units.Clock(bed)), true
}

// sayMoved says of a day that begins otherwise than was said what was put off, and why; "" where it does not.
func (w *When) sayMoved(o *Outlook, wash time.Time) string {
	if !wash.After(w.Now) {
		return ""
	}
	n, night := o.FirstNight()
	if night = night && n.At.Sub(wash) > eveningBegins; !night && len(o.Nights) > 0 && o.Nights[0].BinL > 0 {
		n, night = o.Nights[0], o.Timetable.From.After(wash) // all of it
	}
	if night {
		return fmt.Sprintf("no overnight presoak fits before %s: it goes in %s, and washing begins %s", w.Text(w.Begin), w.Text(n.At), w.Text(n.Until))
	}
	if wash.Equal(w.Begin) {
		return ""
	}
	what := "it"
	if o.Plan.WashInMin > 0 {
		what = "washing"
	}
	why, _ := w.why(w.Begin)
	return fmt.Sprintf("%s begins %s, not %s: %s", what, w.At(wash), w.At(w.Begin), why)
}

// eveningBegins: a day that is to begin no longer than this before its presoak goes in begins with that.
const eveningBegins = 4 * time.Hour

// Plan works a plan out for that time, and gives when one has to look at it.
//
// Errors: those of PlanAhead, and that it would have to have begun already.
func (w *When) Plan(p shed.Plan, order Order) (o Outlook, from time.Time, err error) {
	p.GoBy(w.Now)
	from = w.From()
	wash := from
	if from.After(w.Now) { // it is when washing begins
		if evening, ok := p.SinkFor(from, w.Now); ok {
			p.WashInMin, from = measure.MinutesBetween(evening, from), evening.In(w.Now.Location())
		}
	}
	if !w.By.After(w.Now) || p.WashInMin > 0 {
		do := ""
		if wash.After(w.Now) {
			do = "begin sooner, or "
		}
		if o, err = PlanAhead(p, from, order, Thorough); err == nil && (!w.Up || !w.kept(from)) {
			o.Cautions = w.caution(o, do)
		}
		if say := w.sayMoved(&o, wash); err == nil && say != "" {
			o.Cautions = append(o.Cautions, say)
		}
		if err == nil && w.By.After(w.Now) && o.Timetable.Finish.After(w.By) {
			err = w.late(o, do)
		}
		return o, from, err
	}
	o, at, err := ReadyBy(p, from, w.By, order)
	latest, latestAt := o, at
	for range 3 { // before the hours that are kept free, where it would fall into them
		by := w.disturbs(o).Truncate(Look)
		if err != nil || by.IsZero() || at.Before(from) {
			break
		}
		for w.kept(by.Add(-Look)) && by.After(from) {
			by = by.Add(-Look)
		}
		o, at, err = ReadyBy(p, from, by, order)
	}
	if err == nil && (at.Before(from) || !w.disturbs(o).IsZero()) { // no time before by is free
		o, at = latest, latestAt
		o.Cautions = w.caution(o, "give it more time, or ")
	}
	switch {
	case err != nil:
	case at.Before(from):
		latest := w.Text(o.Timetable.From)
		if latest == w.Kit.Units.Clock(o.Timetable.From.In(w.Now.Location())) { // else taken for tomorrow's
			latest += " today"
		}
		err = fmt.Errorf("to be ready by %s the latest start is %s: give it more time, or take batches out", w.Text(w.By), latest)
	case o.Timetable.Finish.After(w.By):
		err = w.late(o, "")
	}
	return o, at, err
}

// late says that a day is not ready by then, and when it is.
func (w *When) late(o Outlook, do string) error {
	return fmt.Errorf("it won't be ready by %s, but %s: %sgive it more time", w.Text(w.By), w.At(o.Timetable.Finish), do)
}

// Better is an outlook's plan in the order that is done earliest. It stays as it is where that is paid for with
// as many hours of work more, as on the evening before, or with work in hours that are kept free.
func (w *When) Better(o *Outlook, start time.Time) (Outlook, error) {
	better, err := PlanAhead(o.Plan, start, Earliest, Thorough)
	if err != nil {
		return better, err
	}
	worksMin, _ := o.Timetable.works()
	moreMin, _ := better.Timetable.works()
	moreMin -= worksMin
	if moreMin > 0 && moreMin >= measure.ShownMin(better.Timetable.Finish, o.Timetable.Finish) || w.disturbs(*o).IsZero() && !w.disturbs(better).IsZero() {
		return *o, nil
	}
	return better, nil
}

// At is Text with its "at": tomorrow at 9:43 am.
func (w *When) At(at time.Time) string {
	if at = at.In(w.Now.Location()); at.Format(time.DateOnly) == w.Now.AddDate(0, 0, 1).Format(time.DateOnly) {
		return "tomorrow at " + w.Kit.Units.Clock(at)
	}
	return "at " + w.Text(at)
}

// Text is a moment as one says it: its time, and the day where that is not today.
func (w *When) Text(at time.Time) string {
	at = at.In(w.Now.Location())
	clock := w.Kit.Units.Clock(at)
	switch day := time.DateOnly; at.Format(day) {
	case w.Now.Format(day):
		return clock
	case w.Now.AddDate(0, 0, 1).Format(day):
		return "tomorrow " + clock
	}
	return w.Kit.Units.Moment(at, "15:04 on Mon 2 Jan")
}

// End is the text of a moment behind another, whose day need not be said twice.
func (w *When) End(at, behind time.Time) string {
	at = at.In(w.Now.Location())
	if at.Format(time.DateOnly) == behind.In(w.Now.Location()).Format(time.DateOnly) {
		return w.Kit.Units.Clock(at)
	}
	return w.Text(at)
}
