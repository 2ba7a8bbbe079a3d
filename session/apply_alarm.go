package session

import (
	"maps"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session/lifecycle"
)

// applyAlarm changes the alarms; each change of state is one of the life cycle's.
func applyAlarm(d *Day, r Recorded) {
	switch e := r.Event.(type) {
	case AlarmRaised:
		d.raise(r, e)
	case AlarmRepeated:
		if i := d.FindAlarm(e.Alarm, e.Tub); i >= 0 {
			a := &d.Alarms[i]
			a.Life, _ = a.Life.Next(lifecycle.ComeBack, time.Time{}, "")
			a.AckedAt = time.Time{}
			d.sound(a, r.At)
		}
	case AlarmEscalated:
		if i := d.FindAlarm(e.Alarm, e.Tub); i >= 0 {
			d.Alarms[i].Priority = e.Priority
		}
	case AlarmCleared:
		d.clear(r, e)
	case AlarmAcknowledged:
		if i := d.FindAlarm(e.Alarm, e.Tub); i >= 0 {
			a := &d.Alarms[i]
			a.Life, _ = a.Life.Next(lifecycle.Acknowledge, time.Time{}, "")
			a.AckedAt = r.At
			a.heard(r.At)
			if !a.Life.Listed() {
				d.logAlarm(i)
			}
		}
	case AlarmShelved:
		if i := d.FindAlarm(e.Alarm, e.Tub); i >= 0 {
			a := &d.Alarms[i]
			a.Life, _ = a.Life.Next(lifecycle.Shelve, e.Until, e.Why)
			a.shelvedAt = r.At
			a.heard(r.At)
		}
	case AlarmUnshelved:
		if i := d.FindAlarm(e.Alarm, e.Tub); i >= 0 {
			a := &d.Alarms[i]
			if a.Life, _ = a.Life.Next(lifecycle.Unshelve, time.Time{}, ""); a.Life.Rings() {
				a.AckedAt = time.Time{}
				d.sound(a, r.At)
			}
			if !a.Life.Listed() {
				d.logAlarm(i)
			}
		}
	case AlarmService:
		d.service(r, e)
	}
}

// heard notes the first time that somebody said so. To be heard is an answer, not
// a deed.
func (a *Alarm) heard(at time.Time) {
	if a.HeardAt.IsZero() {
		a.HeardAt = at
	}
	if a.AnsweredAt.IsZero() {
		a.AnsweredAt = at
	}
}

// servesAlarm says that a deed may have taken the cause of an alarm away: it was
// done at its tub, or to all.
func servesAlarm(deed Event, e AlarmCleared) bool {
	tub := TubOf(deed)
	return tub < 0 || tub == e.Tub
}

// deedWord is a deed as the look-back has it: "lifted".
func deedWord(e Event) string {
	switch e.(type) {
	case FleeceLifted:
		return "lifted"
	case BathFilled:
		return "filled"
	case FleeceSunk:
		return "lowered in"
	case TubDrained:
		return "emptied"
	case ToppedUp:
		return "topped up"
	case FillCorrected:
		return "fill corrected"
	case CoverChanged:
		return "cover changed"
	case SoakChanged:
		return "soak changed"
	case ReadingTaken:
		return "reading taken"
	case KettlePutOn, KettleAgain:
		return "kettle put on"
	case KettleRefilled:
		return "kettle refilled"
	case TubHeld:
		return "put on hold"
	case StepSkipped:
		return "step skipped"
	case StepRepeated:
		return "bath repeated"
	case KitChanged:
		return "kit changed"
	default:
		return "done"
	}
}

func (d *Day) raise(r Recorded, e AlarmRaised) {
	i := d.FindAlarm(e.Alarm, e.Tub)
	if i < 0 {
		a := Alarm{Kind: e.Alarm, Tub: e.Tub}
		if e.Tub >= 0 {
			a.Batch, a.Step = d.Tubs[e.Tub].Batch, d.Tubs[e.Tub].Step().Name
		}
		d.Alarms = append(d.Alarms, a)
		i = len(d.Alarms) - 1
	}
	a := &d.Alarms[i]
	var why lifecycle.Reason
	if a.Life, why = a.Life.Next(lifecycle.Arise, time.Time{}, ""); why != lifecycle.Raised {
		return
	}
	a.Priority, a.RaisedAt, a.RungAt, a.Rings, a.AckedAt, a.ClearedAt = e.Alarm.Facts().Priority, r.At, time.Time{}, 0, time.Time{}, time.Time{}
	if a.Priority > d.Rang || r.At.Sub(d.RangAt) >= lifecycle.Apart {
		d.sound(a, r.At)
	}
}

// sound rings an alarm. One that is raised just after another of the same urgency stays
// silent: the person has been called already.
func (d *Day) sound(a *Alarm, at time.Time) {
	a.RungAt, d.RangAt, d.Rang = at, at, a.Priority
	a.Rings++
}

func (d *Day) clear(r Recorded, e AlarmCleared) {
	i := d.FindAlarm(e.Alarm, e.Tub)
	if i < 0 {
		return
	}
	a := &d.Alarms[i]
	a.Life, _ = a.Life.Next(lifecycle.Clear, time.Time{}, "")
	a.ClearedAt = r.At
	a.TakenBack = !r.At.After(a.doubtedAt)
	if e.Answered && !e.ByItself {
		u := d.undo
		served := u != nil && u.at.Equal(r.At) && servesAlarm(u.event, e)
		if a.AnsweredAt.IsZero() && (served || e.Alarm != KettleNow) { // a kettle put on for another tub answers nothing here
			a.AnsweredAt = r.At
		}
		if served {
			a.DoneAt, a.DoneBy = r.At, deedWord(u.event)
		}
	}
	a.Outdone = !e.Answered && !e.ByItself
	if a.Life.State == lifecycle.Returned && e.ByItself && e.Alarm.Facts().Unheard {
		return // it stays in the list until somebody has seen it
	}
	d.logAlarm(i)
}

// moveAlarms has the alarms of fleece out of the water go with its basket, which answers none.
func (d *Day) moveAlarms(from, to int, batch string) {
	for i := range d.Alarms {
		a := &d.Alarms[i]
		goes := a.Kind == WetWaiting || a.Kind == KettleNow && d.Kettle.Batch == batch
		if goes && a.Tub == from && d.FindAlarm(a.Kind, to) < 0 {
			a.Tub = to
		}
	}
}

// logAlarm moves an alarm that is over to the log.
func (d *Day) logAlarm(i int) {
	d.AlarmLog = append(d.AlarmLog, d.Alarms[i])
	d.Alarms = slices.Delete(d.Alarms, i, i+1)
}

// withoutDeed is the alarms and their log without the last deed: what it ended
// stands as before it, for nothing was done.
func (d Day) withoutDeed(before []Alarm) (standing, log []Alarm) {
	standing = slices.Clone(d.Alarms)
	for n, a := range d.AlarmLog {
		i := slices.IndexFunc(before, func(b Alarm) bool { return b.Kind == a.Kind && b.Tub == a.Tub && b.RaisedAt.Equal(a.RaisedAt) })
		if n < d.undo.alarms || i < 0 || !a.ClearedAt.Equal(d.undo.at) {
			log = append(log, a)
			continue
		}
		if !slices.ContainsFunc(standing, func(b Alarm) bool { return b.Kind == a.Kind && b.Tub == a.Tub }) { // not raised again since
			standing = append(standing, before[i])
			continue
		}
		a.DoneAt, a.DoneBy, a.AnsweredAt = time.Time{}, "", before[i].AnsweredAt
		log = append(log, a)
	}
	sort.SliceStable(standing, func(i, j int) bool { return standing[i].RaisedAt.Before(standing[j].RaisedAt) })
	return standing, log
}

// doubtAlarms marks alarms that a reading raised which is taken back, or doubtful, at a moment.
// Those of the cooling that are over were raised by it; of those that stand, what ends with it.
func (d *Day) doubtAlarms(at time.Time, since func(Alarm) bool) {
	d.AlarmLog = slices.Clone(d.AlarmLog) // shared with the days before
	for i, a := range d.AlarmLog {
		if (a.Kind == NearRelease || a.Kind == BelowRelease) && since(a) {
			d.AlarmLog[i].TakenBack = true
		}
	}
	for i, a := range d.Alarms {
		if since(a) {
			d.Alarms[i].doubtedAt = at
		}
	}
}

// service takes a kind out for the day, with what stands of it, or puts it back.
func (d *Day) service(r Recorded, e AlarmService) {
	d.Out = slices.DeleteFunc(slices.Clone(d.Out), func(k AlarmKind) bool { return k == e.Alarm })
	if !e.Out {
		return
	}
	d.Out = append(d.Out, e.Alarm)
	for i := len(d.Alarms) - 1; i >= 0; i-- {
		if a := &d.Alarms[i]; a.Kind == e.Alarm {
			a.Life, _ = a.Life.Next(lifecycle.Withdraw, time.Time{}, "")
			a.ClearedAt = r.At
			d.logAlarm(i)
		}
	}
}

// moveClock shifts every time of the day by as much as the machine's clock was set:
// water does not cool for an hour because somebody puts the clock forward by one.
// Finished times shift too, so that the day keeps its length and a batch on the rack
// the hours it has dried. Only what is from before the watch was resumed is longer ago by e.Off:
// what was done since was done just now.
func (d *Day) moveClock(e ClockSet, at time.Time) {
	back := d.BackAt
	moved := func(t, from time.Time) time.Time {
		if from.Before(back) {
			t = t.Add(-max(e.Off, from.Sub(back)))
		}
		return t.Add(e.By)
	}
	move := func(times ...*time.Time) {
		for _, t := range times {
			if !t.IsZero() {
				*t = moved(*t, *t)
			}
		}
	}
	moveBath := func(b *Bath) {
		move(&b.FilledAt, &b.SunkAt, &b.LiftedAt, &b.DrainedAt)
		b.Changes, b.Rooms, b.Readings = slices.Clone(b.Changes), slices.Clone(b.Rooms), slices.Clone(b.Readings)
		for j := range b.Changes {
			move(&b.Changes[j].At)
		}
		for j := range b.Rooms {
			move(&b.Rooms[j].At)
		}
		for j := range b.Readings {
			move(&b.Readings[j].At)
		}
	}
	for i := range d.Tubs {
		move(&d.Tubs[i].PhaseAt, &d.Tubs[i].HeldAt, &d.Tubs[i].WetSince)
		moveBath(&d.Tubs[i].Bath)
	}
	d.Baths = slices.Clone(d.Baths)
	for i := range d.Baths {
		moveBath(&d.Baths[i])
	}
	d.Fate = maps.Clone(d.Fate)
	for id, f := range d.Fate {
		f.Wet = slices.Clone(f.Wet)
		move(&f.LoadedAt, &f.SunkAt, &f.LiftedAt, &f.RackedAt, &f.DryAt)
		for j := range f.Wet {
			move(&f.Wet[j].At)
		}
		d.Fate[id] = f
	}
	d.Notes, d.AlarmLog = slices.Clone(d.Notes), slices.Clone(d.AlarmLog)
	for i := range d.Notes {
		move(&d.Notes[i].At)
	}
	for i := range d.AlarmLog {
		a := &d.AlarmLog[i]
		move(&a.RaisedAt, &a.RungAt, &a.AckedAt, &a.AnsweredAt, &a.HeardAt, &a.DoneAt, &a.ClearedAt)
	}
	move(&d.StartedAt)
	for i := range d.Alarms {
		a := &d.Alarms[i]
		if !a.Life.Until.IsZero() {
			a.Life.Until = moved(a.Life.Until, a.shelvedAt)
		}
		move(&a.shelvedAt, &a.RaisedAt, &a.RungAt, &a.AckedAt, &a.AnsweredAt, &a.HeardAt, &a.DoneAt, &a.ClearedAt)
	}
	move(&d.freeAt, &d.RangAt, &d.Kettle.OnAt, &d.Kettle.KeptAt, &d.Kettle.BoiledAt)
	told := d.Told()
	d.deeds = nil
	for _, r := range told {
		r.At = moved(r.At, r.At)
		d.deeds = &deedNode{r, d.deeds}
	}
	d.moveBreaks(e.By, moved)
	d.BackAt, d.ClockSetAt, d.LastAt = back.Add(e.By), at, at
	d.undo = nil // what was before it was by another clock
}

func applyProof(d *Day, r Recorded, e SoundChecked) {
	d.Sound = SoundProof{At: r.At, Heard: e.Heard, Path: e.Path}
}
