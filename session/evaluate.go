package session

import (
	"slices"
	"time"

	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// Evaluate says what time and temperature have done to a running day at now:
// alarms raised, rung again, cleared, off their shelf. It is a
// pure function of the day and now; a late call costs nothing but the lateness.
func Evaluate(d Day, now time.Time) []Event { return evaluate(d, now, false) }

// evaluate is Evaluate; acted says that it follows a person's deed, so that a
// cause that has gone was dealt with.
func evaluate(d Day, now time.Time, acted bool) []Event {
	if !d.Running() {
		return nil
	}
	var out []Event
	for tub := -1; tub < len(d.Tubs); tub++ {
		for _, e := range evaluateTub(d, tub, now, acted) {
			if e != (AlarmRaised{KettleNow, tub}) || !slices.ContainsFunc(out, callsKettle) { // there is one
				out = append(out, e)
			}
		}
	}
	for _, e := range out { // what stands now says which is the loudest
		d = Apply(d, Recorded{Seq: d.LastSeq + 1, At: now, Event: e})
	}
	if a, ok := d.Loudest(); ok && a.Unanswered() && d.ringsAgain(a, now) {
		out = append(out, AlarmRepeated{a.Kind, a.Tub})
	}
	return out
}

func evaluateTub(d Day, tub int, now time.Time, acted bool) []Event {
	var out []Event
	causes := alarmCauses(d, tub, now)
	cause, has := d.worst(causes, tub, now)
	for _, a := range d.Alarms {
		if a.Tub != tub {
			continue
		}
		switch {
		case a.Life.State == lifecycle.Shelved && !slices.Contains(causes, a.Kind):
			out = append(out, AlarmCleared{Alarm: a.Kind, Tub: tub, Answered: true})
		case a.Life.ShelfOver(now):
			out = append(out, AlarmUnshelved{Alarm: a.Kind, Tub: tub})
		case a.Stands() && (!has || a.Kind != cause):
			out = append(out, AlarmCleared{Alarm: a.Kind, Tub: tub, Answered: !has || cause > a.Kind, ByItself: !has && !acted})
		}
	}
	if !has {
		return out
	}
	j := d.FindAlarm(cause, tub)
	if j < 0 || d.Alarms[j].Life.State == lifecycle.Returned {
		return append(out, AlarmRaised{cause, tub})
	}
	a, back := d.Alarms[j], cause.Facts().Back
	if a.Life.State == lifecycle.Acknowledged && back > 0 && now.Sub(a.AckedAt) >= back {
		return append(out, AlarmRepeated{cause, tub})
	}
	return out
}

func callsKettle(e Event) bool {
	a, ok := e.(AlarmRaised)
	return ok && a.Alarm == KettleNow
}

// ringsAgain says that the loudest of all that stand unanswered, which speaks for
// the others, is due again. One that is not high waits while the person is at
// work: who does something at another tub has heard it.
func (d *Day) ringsAgain(a Alarm, now time.Time) bool {
	since := d.RangAt
	if a.Priority < HighPriority && d.freeAt.After(since) {
		since = d.freeAt
	}
	wait, more := lifecycle.RepeatAfter(int(a.Priority), a.Rings, now.Sub(a.RaisedAt))
	return more && now.Sub(since) >= wait
}

// worst is the one alarm that a tub has now: the worst cause that is neither
// put off nor out of service, so that one forgotten tub is one alarm and not three.
func (d Day) worst(causes []AlarmKind, tub int, now time.Time) (AlarmKind, bool) {
	for k := range alarmKinds {
		if !slices.Contains(causes, k) || slices.Contains(d.Out, k) {
			continue
		}
		if j := d.FindAlarm(k, tub); j >= 0 && d.Alarms[j].Life.State == lifecycle.Shelved && !d.Alarms[j].Life.ShelfOver(now) {
			continue
		}
		return k, true
	}
	return 0, false
}

// alarmCause is the worst cause that holds for a tub, put off or not.
func alarmCause(d Day, tub int, now time.Time) (AlarmKind, bool) {
	causes := alarmCauses(d, tub, now)
	for k := range alarmKinds {
		if slices.Contains(causes, k) {
			return k, true
		}
	}
	return 0, false
}

// What the alarms go by; our own choices.
const (
	readingTakes = 3 * time.Minute  // to get there, read and type it, or lift
	readingWide  = 15 * time.Minute // early to likely, at least
	clockShown   = 5 * time.Minute

	longestBoilMin = 60.0 // a kettle is not put on sooner
)

// alarmCauses are all causes that hold for a tub at now, or for the day (-1).
func alarmCauses(d Day, tub int, now time.Time) []AlarmKind {
	var out []AlarmKind
	if tub < 0 {
		if !d.ClockSetAt.IsZero() && now.Sub(d.ClockSetAt) < clockShown {
			out = append(out, ClockJumped)
		}
		return out
	}
	t := d.Tubs[tub]
	k, on := d.KettleOn()
	_, waits := d.FillWaits(tub, now)
	boils := on && k.IsFor(&t) && now.Before(k.ThroughAt()) // till then there is nothing to do for it
	if on && k.Tub == tub && !now.Before(k.ThroughAt()) {
		k, _ = d.KettleDue(now)
		if _, away := d.Away(now); k.Refills(now) && !away && !waits && (d.FindAlarm(KettleNow, tub) >= 0 || !now.Before(d.atWorkTill(now))) { // else they see it when they come from there
			out = append(out, KettleNow)
		}
	}
	switch t.Phase {
	case shed.Soaking:
		return append(out, d.soakCauses(tub, now)...)
	case shed.ToSink:
		if tempC, _, ok := d.TempNow(tub, now); ok && d.farFromLast(tub, tempC, now) {
			out = append(out, FarFromLast)
		}
	case shed.Idle, shed.ToFill, shed.Draining, shed.ToSpin, shed.ToRack:
	}
	if by := d.sooner(d.WetBy(tub, now), now); !by.IsZero() && !now.Before(by) && !boils && !waits && (d.FindAlarm(WetWaiting, tub) >= 0 || !now.Before(d.goesOnTill(tub))) {
		out = append(out, WetWaiting)
	}
	return out
}

// atWorkTill is until when the person may be at what they went to after their last deed.
func (d *Day) atWorkTill(now time.Time) time.Time {
	return d.freeAt.Add(liftsIn + measure.Lasting(d.busyMin(-1, now, now)))
}

// goesOnTill is until when the next act at a tub may be under way, where the last deed was
// at the same tub.
func (d *Day) goesOnTill(tub int) time.Time {
	t := d.Tubs[tub]
	if d.freeAt.After(t.PhaseAt) {
		return time.Time{}
	}
	return t.PhaseAt.Add(time.Minute + measure.Lasting(d.HandsMin()[d.NextAction(tub)]))
}

// sooner is when somebody who is away is called for what has its limit in a break: they have a way to go.
func (d *Day) sooner(by, now time.Time) time.Time {
	if s, ok := d.NextBreak(now); ok && s.Has(now) && !by.IsZero() && by.Before(s.To) {
		by = by.Add(-measure.Lasting(d.Plan.Kit.LeadMin))
	}
	return by
}

func (d Day) soakCauses(tub int, now time.Time) (out []AlarmKind) {
	t := d.Tubs[tub]
	end := t.SoakEndAt(now)
	var h HeatModel
	var cross Crossing
	if t.Bath.Step.HasRelease() {
		h = d.Heat(tub)
		cross = d.Release(tub, h)
	}
	if till, waits := d.LiftWaits(tub, cross, now); waits {
		if till.Equal(t.LongestAt()) {
			till = d.sooner(till, now)
		}
		if till.After(end) {
			end = till
		}
	}
	over := !t.Held() && !now.Before(end)
	if t.Bath.Step.HasRelease() {
		liftBy, readBy := d.LiftBy(tub, cross, now)
		switch {
		case cross.Below(now):
			out = append(out, BelowRelease)
		case !liftBy.IsZero() && !now.Before(liftBy):
			out = append(out, NearRelease)
		case !readBy.IsZero() && !now.Before(readBy):
			out = append(out, ReadingWanted)
		}
	}
	if at := t.LongestAt(); !at.IsZero() && !now.Before(at) {
		out = append(out, OverLongest)
	}
	if over {
		return append(out, d.overCauses(tub, now, end)...)
	}
	if !t.Held() && measure.MinutesBetween(now, end) <= longestBoilMin &&
		(d.FindAlarm(KettleNow, tub) >= 0 || d.kettleCalls(tub, now)) && d.kettleWanted(tub, now, h) { // what reckons comes last
		out = append(out, KettleNow)
	}
	return out
}

// LiftWaits is till when a lift waits for a break: one that is due in it, and one so near before it
// that fleece which comes hot from its bath would hang in it, for longer than it now soaks too
// long. A break does not put off what does harm: till is in it then. c is when the bath comes
// down to its release temperature.
func (d *Day) LiftWaits(tub int, c Crossing, now time.Time) (till time.Time, waits bool) {
	t, at := d.Tubs[tub], d.Tubs[tub].SoakEndAt(now)
	s, ok := d.NextBreak(at)
	if !ok || t.Phase != shed.Soaking || d.notLeft(tub, s) {
		return till, false
	}
	till = s.To
	if by := c.Early.Add(-measure.Lasting(d.Plan.Kit.LeadMin)); !c.Early.IsZero() && by.Before(till) {
		till = by
	}
	cools, longest := till.Before(s.To), t.LongestAt()
	if !longest.IsZero() && longest.Before(till) {
		till = longest
	}
	if d.GoesOn(tub, s, now) || d.RingsOn(tub, s) || till.Before(s.To) && d.FindAlarm(forgottenAlarm(t.Bath.Step.Kind), tub) >= 0 {
		return till, false
	}
	if s.Has(at) || !now.Before(s.From) {
		return till, till.After(at)
	}
	if at.Before(now) {
		at = now
	}
	_, hangs := t.Bath.Step.HangsMin(t.NextStep())
	hands := d.HandsMin()
	filled := at.Add(measure.Lasting(hands[shed.Lift] + hands[shed.DrainTub]))
	hung := at.Add(measure.Lasting(hands[shed.Lift] + hangs))
	if hangs <= 0 || cools || !hung.Before(till) {
		return till, false
	}
	if boiled := d.boiledFor(tub, now); boiled.After(filled) {
		filled = boiled
	}
	return till, filled.Add(measure.Lasting(hands[shed.FillTub] + hands[shed.SinkIn])).After(s.From)
}

// fillsAheadMin is how long before a break a fill may have to wait for it.
const fillsAheadMin = 4 * 60.0

// FillWaits is till when the fill of a wash waits for a break, as its fleece would not be in its rinse before that
// were it filled now, or once its kettle has boiled. Fleece that hangs takes no harm till then: the wash melts its wax again.
func (d *Day) FillWaits(tub int, now time.Time) (till time.Time, waits bool) {
	t := &d.Tubs[tub]
	s, ok := d.NextBreak(now)
	fromMin := measure.MinutesBetween(now, s.From)
	if !ok || !t.waitsForWash() || fromMin > fillsAheadMin || d.GoesOn(tub, s, now) {
		return till, false
	}
	if _, quiet := d.Plan.QuietIn(s); quiet { // they go on till the batch is through
		return till, false
	}
	step, hands := &t.Steps[t.At], d.HandsMin()
	fillsMin := hands[shed.FillTub] + hands[shed.SinkIn]
	inMin := fillsMin + max(0, measure.MinutesBetween(now, d.boiledFor(tub, now)))
	rinsedMin := inMin + step.SoakMin + hands[shed.Lift] + hands[shed.DrainTub] + fillsMin
	return s.To, inMin > fromMin || rinsedMin > fromMin && inMin+step.LongestMin < measure.MinutesBetween(now, s.To)
}

// WetBy is that of the tub; once it is past for fleece that was to wait for a break, the end of that.
func (d *Day) WetBy(tub int, now time.Time) time.Time {
	by := d.Tubs[tub].WetBy()
	if by.IsZero() || now.Before(by) {
		return by
	}
	if till, waits := d.FillWaits(tub, by); waits {
		return till
	}
	return by
}

// LiftBy is when a wash bath has to be lifted, and readBy when a reading of it has to
// be asked for; zero where there is nothing to wait for.
//
// The lift comes before the early bound of the crossing, with the person's minutes of warning. A bath that
// nobody has read has a wide bound, and nobody believes an alarm for a bath that is a third of the way down.
// So a reading comes first. It is asked for as late as leaves time for it, because a late reading says most
// about how fast the bath cools. A bath that is never read is lifted at the early bound: by then one in twenty
// is truly down, at the likely crossing it would be one in two.
func (d *Day) LiftBy(tub int, c Crossing, now time.Time) (liftBy, readBy time.Time) {
	if c.Early.IsZero() {
		return time.Time{}, time.Time{}
	}
	t, lead := d.Tubs[tub], measure.Lasting(d.Plan.Kit.LeadMin)
	liftBy = c.Early.Add(-lead)
	guess := len(t.Bath.Readings) == 0 && (c.Likely.IsZero() || c.Likely.Sub(c.Early) > readingWide)
	end := t.SoakEndAt(now)
	if !guess || !liftBy.Before(end) {
		return liftBy, time.Time{}
	}
	readBy = liftBy.Add(-readingTakes)
	if half := t.Bath.SunkAt.Add(liftBy.Sub(t.Bath.SunkAt) / 2); half.After(readBy) { // at the fill it says nothing
		readBy = half
	}
	if late := c.Early.Add(-readingTakes); late.After(liftBy) {
		liftBy = late
	}
	if end.Before(liftBy) {
		liftBy = end
	}
	return liftBy, readBy
}

// When the person is called to a soak that is over. For staysFor after a deed they have not sat down and see for
// themselves; they are called if the lift has not come liftsIn later. The time that they usually take counts
// between leastUsual and mostUsual. All our own choices.
const (
	staysFor   = 3 * time.Minute
	liftsIn    = 2 * time.Minute
	leastUsual = 3 * time.Minute
	mostUsual  = 10 * time.Minute
)

// overCauses are those of a soak that is over. First it is a call, if the person has
// nothing else to do. It becomes an alarm when the lift has not come in their usual
// minutes, and stays one until the lift.
func (d Day) overCauses(tub int, now, end time.Time) []AlarmKind {
	forgotten := forgottenAlarm(d.Tubs[tub].Bath.Step.Kind)
	callAt, calls := d.callAt(tub, end, now)
	from := callAt
	if !calls {
		if from = end; d.freeAt.After(from) {
			from = d.freeAt
		}
	}
	by := from.Add(d.usual())
	by = by.Add(measure.Lasting(d.busyMin(tub, by, now)))
	if longest := d.Tubs[tub].LongestAt(); !longest.IsZero() { // in time for it, however busy
		last := longest.Add(-measure.Lasting(d.Plan.Kit.LeadMin))
		if half := end.Add(longest.Sub(end) / 2); half.After(last) {
			last = half
		}
		// Who did something just now may be on the way: as long as the lift is in time.
		onWay, inTime := d.freeAt.Add(d.usual()), longest.Add(-measure.Lasting(d.HandsMin()[shed.Lift]))
		if onWay.After(inTime) {
			onWay = inTime
		}
		if onWay.After(last) {
			last = onWay
		}
		if last.Before(by) {
			by = last
		}
	}
	switch {
	case d.FindAlarm(forgotten, tub) >= 0 || !now.Before(by):
		return []AlarmKind{forgotten}
	case d.FindAlarm(SoakDone, tub) >= 0 || calls && !now.Before(callAt):
		return []AlarmKind{SoakDone}
	}
	return nil
}

// callAt is when the person is called to what a tub wants from at on. ok is false while
// another tub has wanted their hands for longer.
func (d *Day) callAt(tub int, at, now time.Time) (callAt time.Time, ok bool) {
	callAt = at
	if at.Sub(d.freeAt) < staysFor {
		if d.freeAt.After(at) {
			callAt = d.freeAt
		}
		callAt = callAt.Add(liftsIn)
	}
	return callAt, d.busyMin(tub, at, now) == 0
}

// usual is how long to wait for a lift before it counts as forgotten: twice what the
// person's lifts take, by past days and this one, within bounds.
func (d *Day) usual() time.Duration {
	return min(mostUsual, max(leastUsual, measure.Lasting(2*d.HandsMin()[shed.Lift])))
}

// busyMin is how long another tub may keep the person's hands: one between two deeds,
// or one whose soak was over before at. 0 if there is none.
func (d *Day) busyMin(tub int, at, now time.Time) float64 {
	most, hands := 0.0, d.HandsMin()
	for i, t := range d.Tubs {
		if i == tub || t.Held() {
			continue
		}
		if since := t.SoakEndAt(now); t.Phase == shed.Soaking && (since.After(at) || since.Equal(at) && i > tub) {
			continue
		}
		act := d.NextAction(i)
		switch act {
		case shed.LoadNext:
			if !d.Plan.FitsIn(d.NextFor(i), i) {
				continue
			}
		case shed.FillTub:
			if _, idle := d.IdleFill(i, now); idle {
				continue
			}
		case shed.Wait, shed.SinkIn, shed.Lift, shed.DrainTub, shed.SpinFibre, shed.RackFibre, shed.FinishDay:
		}
		most = max(most, hands[act])
	}
	return most
}

// forgottenAlarm is the alarm when nobody lifts the fleece after its soak.
func forgottenAlarm(k shed.StepKind) AlarmKind {
	if k.Facts().Release { // the wax sets again
		return NotLifted
	}
	return LeftSoaking
}

// kettleStays: a call for the kettle is not taken back when the list moves its boil by
// less than this; our own choice.
const kettleStays = 5 * time.Minute

// kettleWanted says that the kettle should go on now for the next bath of a tub: when
// the list has it, or without a list in time for the end of the soak.
func (d Day) kettleWanted(tub int, now time.Time, h HeatModel) bool {
	if _, on := d.KettleOn(); on {
		return false
	}
	if _, away := d.Away(now); away { // it waits for them
		return false
	}
	if d.boil != nil { // asked each second: the list says it without reckoning what a fill takes
		at := d.boil.At
		if d.FindAlarm(KettleNow, tub) >= 0 {
			at = at.Add(-kettleStays)
		}
		if d.boil.Batch == "" || now.Before(at) {
			return false
		}
	}
	w, ok := d.WantsKettle(tub, "", h, now)
	t := d.Tubs[tub]
	if !ok {
		return false
	} else if _, idle := d.IdleFill(tub, now); idle { // nobody boils for a bath that is not to be filled
		return false
	}
	switch {
	case d.boil != nil:
		return d.boil.Batch == w.Batch && d.boil.Step == w.Step
	}
	return t.Phase != shed.Soaking || !now.Before(t.SoakEndAt(now).Add(-measure.Lasting(w.BoilMin+2)))
}

// kettleCalls says that the person is called to the kettle for a tub. They are not
// while they have something else to do, or while another tub's call stands: there is
// one kettle.
func (d Day) kettleCalls(tub int, now time.Time) bool {
	for i := range d.Tubs {
		if i != tub && d.FindAlarm(KettleNow, i) >= 0 {
			return false
		}
	}
	callAt, ok := d.callAt(tub, now, now)
	return ok && !now.Before(callAt)
}
