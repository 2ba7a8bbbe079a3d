package tui

import (
	"time"

	"fleece.example/tubside/session"
)

// live is the running day: its state, and the way every change takes from a
// command to the journal.
type live struct {
	id    session.DayID
	day   session.Day
	saver *saver
	rung  session.Priority // the loudest ring since last asked
	rang  bool

	plan    session.Timetable // of the rest of the day
	planErr error
	planSeq uint64    // the event it was made after
	planAt  time.Time // and when
}

// rackDays is how many days back a batch may still lie on the rack.
const rackDays = 30

// replanAfter: without an event the rest of the day is planned anew this often.
const replanAfter = 30 * time.Second

// timetable plans the rest of the day as it stands: anew after every event, and
// once in a while as time passes.
func (l *live) timetable(now time.Time, every time.Duration) session.Timetable {
	if !l.day.Running() {
		return session.Timetable{}
	}
	if gone := now.Sub(l.planAt); l.planSeq != l.day.LastSeq || gone < 0 || gone >= every {
		effort := session.Quick
		if len(l.plan.Pieces) == 0 { // the first of the day is gone on from
			effort = session.Thorough
		}
		l.plan, l.planErr = l.day.Replan(now, effort, l.plan)
		l.planSeq, l.planAt = l.day.LastSeq, now
		l.day = l.day.Planned(l.plan)
	}
	return l.plan
}

// begin starts a new day.
func (l *live) begin(j session.Journal, p session.Plan, now time.Time) error {
	days, err := j.Days(0) // what they taught about tubs and hands
	if err != nil {
		return err
	}
	p.Heat, p.Hands = session.LearnFrom(days), session.LearnHands(days)
	// What still lies on the rack is of the last few days.
	recent := days[:min(len(days), rackDays)]
	if err := session.FillRows(j, recent); err != nil {
		return err
	}
	p.OnRack = session.StillDrying(recent)
	day, recs, err := session.Do(session.Day{}, session.StartDay{Plan: p}, now)
	if err != nil {
		return err
	}
	id, err := j.NewDay()
	if err != nil {
		return err
	}
	l.id, l.day = id, day
	l.keep(recs)
	return nil
}

// wake goes on with a loaded day after nobody watched for away, from when it was last
// seen. Where the clock says something else it is taken as set: what runs moves with it.
func (l *live) wake(seenAt time.Time, away time.Duration, now time.Time) error {
	if by := now.Sub(seenAt) - away; by.Abs() > jumpMatters {
		if err := l.do(session.SetClock{By: by}, now); err != nil {
			return err
		}
	}
	return l.do(session.ResumeWatch{Away: max(away, 1)}, now)
}

// do carries out a command; a refusal is a sentence and changes nothing.
func (l *live) do(c session.Command, now time.Time) error {
	day, recs, err := session.Do(l.day, c, now)
	if err != nil {
		return err
	}
	l.day = day
	l.keep(recs)
	return nil
}

// doTogether carries out the acts of one movement at a tub; what was done before
// a refusal stays.
func (l *live) doTogether(c session.DoNext, then []session.Action, now time.Time) error {
	day, recs, err := session.DoTogether(l.day, c, then, now)
	l.day = day
	l.keep(recs)
	return err
}

// tick lets time pass.
func (l *live) tick(now time.Time) {
	if !l.day.Running() {
		return
	}
	day, recs := session.Tick(l.day, now)
	l.day = day
	l.keep(recs)
}

func (l *live) keep(recs []session.Recorded) {
	if len(recs) == 0 {
		return
	}
	l.saver.save(l.id, recs, session.Summarise(l.id, l.day))
	for _, r := range recs {
		switch e := r.Event.(type) {
		case session.AlarmRaised:
			l.ring(e.Alarm, e.Tub, r.At)
		case session.AlarmRepeated:
			l.ring(e.Alarm, e.Tub, r.At)
		}
	}
}

// ring notes that an alarm sounded then; one raised just behind another keeps still.
func (l *live) ring(k session.AlarmKind, tub int, at time.Time) {
	for _, a := range l.day.Alarms {
		if a.Kind == k && a.Tub == tub && a.RungAt.Equal(at) {
			l.rung, l.rang = max(l.rung, a.Priority), true
		}
	}
}

// takeRing is the loudest ring since it was last asked; ok is false for silence.
func (l *live) takeRing() (p session.Priority, ok bool) {
	p, ok = l.rung, l.rang
	l.rung, l.rang = 0, false
	return p, ok
}
