package session

import (
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// undoDepth is how many of the person's events can be taken back in a row.
const undoDepth = 50

// Apply is the day after one more event: the only place that changes state.
// Replaying a journal is a loop over it. It never changes the day it is given.
func Apply(d Day, r Recorded) Day {
	before := d
	d = d.clone()
	d.LastSeq, d.LastAt = r.Seq, r.At
	told := r
	if _, ok := r.Event.(DayStarted); !ok && d.StartedAt.IsZero() { // a journal that lost its first record
		return d
	}
	if tub := TubOf(r.Event); tub >= len(d.Tubs) { // a journal from elsewhere: nothing to change
		return d
	}
	if r.Event.kind().scope == ofAlarm {
		applyAlarm(&d, r)
		return d
	}
	switch e := r.Event.(type) {
	case DayStarted:
		return applyStart(r, e)
	case Undone:
		return applyUndo(d, r, e)
	case SoundChecked: // no deed to undo: it was heard or it was not
		applyProof(&d, r, e)
		return d
	case RackLookedOver: // it was done on another day
		d.Plan.OnRack = e.OnRack
		return d
	case WatchResumed:
		d.Resumed, d.BackAt = append(d.Resumed, e.Gap), r.At
		return d
	case ClockSet:
		if d.moveClock(e, r.At); e.Off != 0 {
			d.holdAnew()
		}
		return d
	case DayEnded:
		d.EndedAt, d.EndEarly = r.At, e.Early
		for _, a := range d.Alarms {
			a.ClearedAt = r.At
			d.AlarmLog = append(d.AlarmLog, a)
		}
		d.Alarms = nil
	case BreakTaken:
		d.takeBreak(e, r.At)
	case KettlePutOn:
		d.Kettle.putOn(e, d.Plan.Kit.Kettle.CapacityL, r.At)
	case KettleRefilled:
		if e.MoreL > 0 {
			d.Kettle.withMore(e.MoreL, d.Plan.Kit.Kettle.CapacityL)
		}
		d.Kettle.refill(r.At)
	case KettleAgain:
		d.Kettle.again(e.All, e.BoilMin, r.At)
	case KettleBoiled:
		if !d.Kettle.BoiledAt.IsZero() && d.Kettle.PailMin(r.At) > MostStoodMin { // an older record: all of it again
			d.Kettle.KeptAt = r.At
		}
		d.Kettle.BoiledAt, d.Kettle.AgainMin = r.At, 0
	case NoteAdded:
		d.Notes = append(d.Notes, shed.Note{At: r.At, Tub: e.Tub, Text: e.Text})
	case BatchWeighed:
		f := d.Fate[e.Batch]
		f.DryG, f.DryAt, f.DryScale, f.DryRH = e.DryG, r.At, e.Scale, e.RH
		d.setFate(e.Batch, f)
	case BatchWeighedWet:
		f := d.Fate[e.Batch].unbagged()
		if n := len(f.Wet); n > 0 && (e.InPlace || corrects(f, r.At)) {
			f.Wet = f.Wet[:n-1]
		}
		f.Wet = append(slices.Clip(f.Wet), shed.WetWeight{At: r.At, MassG: e.MassG, Scale: e.Scale})
		d.setFate(e.Batch, f)
	case BatchWeighedSoaked:
		f := d.Fate[e.Batch]
		f.SoakedG, f.SoakedOn = e.MassG, e.Scale
		d.setFate(e.Batch, f)
	case BatchMoved:
		f := d.Fate[e.Batch]
		if f.Tray, f.Spots = e.Tray, e.Spots; d.LiesWet(e.Batch) {
			f.RackedAt, f.Soaked, f.Tub = r.At, false, -1
		}
		d.setFate(e.Batch, f)
	case BatchJudged:
		f := d.Fate[e.Batch]
		if f.Out = (Outcome{e.Found, e.Note, e.Place}); e.OffTray {
			f.Tray, f.Spots = "", nil
		}
		d.setFate(e.Batch, f)
	case PartNamed:
		d.Plan.Batches = slices.Clone(d.Plan.Batches)
		for i := range d.Plan.Batches {
			if b := &d.Plan.Batches[i]; b.ID == e.Batch {
				b.Part = e.Part
			}
		}
	case BatchWeighedRaw:
		d.Plan.Batches = slices.Clone(d.Plan.Batches)
		for i := range d.Plan.Batches {
			if b := &d.Plan.Batches[i]; b.ID == e.Batch {
				b.RawG, b.RawScale = e.RawG, e.Scale
			}
		}
	case KitChanged:
		if len(e.Kit.Tubs) < len(d.Tubs) { // a journal from elsewhere: a tub of this day cannot go
			return d
		}
		d.changeRoom(e.Kit.RoomC, r.At)
		d.Plan.Kit = e.Kit
		if e.Kit.Kettle.AsideL > 0 {
			d.stopKettle()
		}
		for len(d.Tubs) < len(e.Kit.Tubs) {
			d.Tubs = append(d.Tubs, TubRun{PhaseAt: r.At})
		}
	case BatchAdded:
		d.Plan.Batches = append(slices.Clip(d.Plan.Batches), e.Batch)
		if _, known := d.Fleece(e.Batch.FleeceID); !known {
			d.Plan.Fleeces = append(slices.Clip(d.Plan.Fleeces), e.Fleece)
		}
		f := Fate{Tub: -1}
		if d.Plan.FromCards() { // washed and dried that day, as far as anybody knows
			f.LoadedAt, f.SunkAt, f.RackedAt, f.Washes = d.StartedAt, d.StartedAt, d.StartedAt, e.Batch.CardWashes()
		}
		d.setFate(e.Batch.ID, f)
	default:
		var boiledAt time.Time
		if poursKettle(r.Event) {
			boiledAt, d.Kettle = d.Kettle.ReadyAt(), KettleRun{}
		}
		r.At = d.doneAt(r)
		noteHands(&d, r, boiledAt)
		applyTub(&d, r)
	}
	d.freeAt, d.deeds = r.At, &deedNode{told, d.deeds}
	d.undo = &undoNode{before: before, seq: r.Seq, at: r.At, depth: 1, weight: r.Event.kind().scope == ofRecord, event: r.Event}
	if before.undo != nil {
		d.undo.depth = before.undo.depth + 1
	}
	d.undo.shorten()
	d.trimUndo()
	return d
}

// changeRoom keeps for each bath that stands what the room was until now: what has
// cooled in a cold shed does not warm again in the afternoon sun.
func (d *Day) changeRoom(roomC float64, at time.Time) {
	if roomC == d.Plan.Kit.RoomC {
		return
	}
	for i := range d.Tubs {
		if b := &d.Tubs[i].Bath; !b.FilledAt.IsZero() {
			b.Rooms = append(slices.Clip(b.Rooms), RoomAt{at, roomC})
		}
	}
}

// doneAt is when what an event tells was over: some are written down with what
// followed them. None was over before its tub was ready for it.
func (d Day) doneAt(r Recorded) time.Time {
	agoMin := 0.0
	switch e := r.Event.(type) {
	case BatchLoaded:
		agoMin = e.AgoMin
	case BathFilled:
		agoMin = e.AgoMin
	case TubDrained:
		agoMin = e.AgoMin
	case FibreSpun:
		agoMin = e.AgoMin
	default:
		return r.At
	}
	tub := TubOf(r.Event)
	if tub < 0 || !(agoMin > 0) {
		return r.At
	}
	at := r.At.Add(-measure.Lasting(min(agoMin, MostHandsMin*4)))
	if ready := d.Tubs[tub].PhaseAt; at.Before(ready) {
		return ready
	}
	return at
}

// shorten leaves of what a day only ever adds to how much of it there was: an hour's
// baths and alarms are kept once, however many deeds can be taken back.
func (n *undoNode) shorten() {
	b := &n.before
	n.baths, n.alarms, n.notes, n.acts = len(b.Baths), len(b.AlarmLog), len(b.Notes), len(b.worked)
	b.Baths, b.AlarmLog, b.Notes, b.worked = nil, nil, nil, nil
}

// beforeDeed is the day as it was before the last deed, with d's own start of what a
// day only adds to.
func (d Day) beforeDeed() Day {
	n := d.undo
	b := n.before
	b.Baths, b.AlarmLog = first(d.Baths, n.baths), first(d.AlarmLog, n.alarms)
	b.Notes, b.worked = first(d.Notes, n.notes), first(d.worked, n.acts)
	return b
}

// first is the first n of all; nil where that is none, as before any was added.
func first[T any](all []T, n int) []T {
	if n == 0 {
		return nil
	}
	return all[:n:n]
}

// trimUndo forgets the oldest once there are too many, so that a long day does
// not keep every state it ever had. It trims rarely: the chain is rebuilt from
// copies because other days may share it.
func (d *Day) trimUndo() {
	if d.undo == nil || d.undo.depth < 2*undoDepth {
		return
	}
	chain := make([]undoNode, 0, undoDepth)
	for n := d.undo; n != nil && len(chain) < undoDepth; n = n.before.undo {
		chain = append(chain, *n)
	}
	var older *undoNode
	for i := len(chain) - 1; i >= 0; i-- {
		n := chain[i]
		n.before.undo, n.depth = older, len(chain)-i
		older = &n
	}
	d.undo = older
}

func applyStart(r Recorded, e DayStarted) Day {
	d := Day{Plan: e.Plan, StartedAt: r.At, LastSeq: r.Seq, LastAt: r.At, freeAt: r.At, deeds: &deedNode{rec: r}}
	d.Tubs = make([]TubRun, len(e.Plan.Kit.Tubs))
	d.Fate = make(map[string]Fate, len(e.Plan.Batches))
	for _, b := range e.Plan.Batches {
		d.Fate[b.ID] = Fate{Tub: -1}
	}
	for i := range d.Tubs {
		d.Tubs[i].PhaseAt = r.At
	}
	for _, l := range e.Loads {
		if l.Tub >= 0 && l.Tub < len(d.Tubs) {
			applyLoad(&d, Recorded{r.Seq, r.At, l}, l)
		}
	}
	return d
}

// applyUndo goes back to before the person's last event. Alarms and what was
// said of them stay as they are: they happened; Evaluate puts them right. Only
// those that the event ended stand again.
func applyUndo(d Day, r Recorded, e Undone) Day {
	if d.undo == nil || d.undo.seq != e.Seq {
		return d
	}
	before := d.beforeDeed()
	b := before.clone()
	b.LastSeq, b.LastAt = r.Seq, r.At
	b.Alarms, b.AlarmLog = d.withoutDeed(b.Alarms)
	if _, ok := d.undo.event.(ReadingTaken); ok {
		tub := TubOf(d.undo.event)
		b.doubtAlarms(r.At, func(a Alarm) bool { // raised since
			return a.Tub == tub && !slices.ContainsFunc(slices.Concat(before.AlarmLog, before.Alarms), func(b Alarm) bool {
				return a.Kind == b.Kind && a.Tub == b.Tub && a.RaisedAt.Equal(b.RaisedAt)
			})
		})
	}
	b.Resumed, b.BackAt, b.RangAt, b.Rang = d.Resumed, d.BackAt, d.RangAt, d.Rang
	b.Sound, b.Out, b.ClockSetAt = d.Sound, d.Out, d.ClockSetAt
	b.Plan.OnRack = d.Plan.OnRack
	if moved, ok := d.undo.event.(BasketMoved); ok && moved.Tub >= 0 {
		b.moveAlarms(moved.To, moved.Tub, b.Tubs[moved.Tub].Batch)
	}
	if d.names != nil { // put right since
		b = b.Named(*d.names)
	}
	return b
}

func applyLoad(d *Day, r Recorded, e BatchLoaded) {
	t := &d.Tubs[e.Tub]
	*t = TubRun{Batch: e.Batch, Steps: e.Steps, At: -1, Used: t.Used}
	if b, ok := d.Batch(e.Batch); ok {
		came := d.Plan.FromBin(b)
		t.LastWet, t.LastLiftC, t.LastSankC = came.Wet, came.LiftC, came.SankC
	}
	f := d.Fate[e.Batch]
	f.Tub, f.LoadedAt = e.Tub, r.At
	d.setFate(e.Batch, f)
	t.enter(0, e.Tub, r)
}

// enter begins a step: a bath waits for its water, spin and rack for hands.
func (t *TubRun) enter(step, tub int, r Recorded) {
	t.At, t.PhaseAt, t.HeldAt, t.Bath = step, r.At, time.Time{}, Bath{}
	if step >= len(t.Steps) { // nothing left, and no rack step in this method
		t.Phase = shed.ToRack
		return
	}
	s := t.Steps[step]
	if t.Phase = s.Kind.Facts().Begins; s.Kind.IsBath() {
		t.Bath = Bath{Tub: tub, Batch: t.Batch, StepIndex: step, Step: s, PlanMin: s.SoakMin, SoakMin: s.SoakMin}
	}
}

func applyTub(d *Day, r Recorded) {
	tub := TubOf(r.Event)
	if tub < 0 {
		return
	}
	t := &d.Tubs[tub]
	switch r.Event.(type) {
	case BatchLoaded, TubHeld, TubResumed:
	default:
		if t.Batch == "" {
			return // a journal from elsewhere: nothing else happens at an idle tub
		}
	}
	change := func(c HeatChange) { // never into a slice that an older day shares
		t.Bath.Changes = append(slices.Clip(t.Bath.Changes), c)
	}
	switch e := r.Event.(type) {
	case BatchLoaded:
		applyLoad(d, r, e)
	case BathFilled:
		t.Bath.VolumeL, t.Bath.FillC, t.Bath.FillRead = e.VolumeL, e.TempC, e.Read
		t.Bath.DoseML, t.Bath.HotL, t.Bath.FilledAt = e.DoseML, e.HotL, r.At
		t.Bath.Rooms = []RoomAt{{r.At, d.Plan.Kit.RoomC}}
		t.Cover = 0 // open until the fleece is in
		t.Phase, t.Used = shed.ToSink, shed.Step{}
		t.PhaseAt = r.At
	case FleeceSunk:
		t.Bath.SunkAt, t.Bath.SinkC = r.At, e.ForecastC
		if e.SoakMin > 0 {
			t.Bath.SoakMin = e.SoakMin
		}
		f := d.Fate[t.Batch]
		soaks := t.Bath.Step.Kind.Facts().Weighed
		f.Soaked = soaks && (f.Soaked || f.SunkAt.IsZero())
		if f.SunkAt.IsZero() {
			f.SunkAt = r.At
		}
		if t.Bath.Step.Kind.Facts().Release {
			f.Washes++
		}
		d.setFate(t.Batch, f)
		t.Cover = e.Cover
		change(HeatChange{At: r.At, Cover: e.Cover, AddJPerK: e.WetJPerK, AddC: e.WetC})
		t.Phase, t.PhaseAt, t.WetSince = shed.Soaking, r.At, time.Time{}
	case ReadingTaken:
		t.Bath.Unread = false
		d.read(tub, Reading{At: r.At, TempC: e.TempC, ForecastC: e.ForecastC})
	case CoverChanged:
		t.Cover = e.Cover
		change(HeatChange{At: r.At, Cover: e.Cover})
	case ToppedUp:
		change(HeatChange{At: r.At, Cover: t.Cover, AddL: e.VolumeL, AddC: e.TempC, BailL: e.BailL})
	case FillCorrected:
		t.Bath.VolumeL, t.Bath.HotL = e.VolumeL, e.HotL
		t.Bath.Unread = !t.Bath.FillRead && len(t.Bath.Readings) == 0
	case SoakChanged:
		t.Bath.SoakMin = e.SoakMin
	case TubHeld:
		t.HeldAt = r.At
	case TubResumed:
		t.endHold(r)
	case FleeceLifted:
		t.endHold(r)
		t.Bath.LiftedAt, t.Bath.LiftC = r.At, e.ForecastC
		d.lifted(t, r.At)
		t.leave(e.ForecastC, t.Bath.SinkC)
		t.WetSince = r.At
		t.WetFrom = t.Bath.Step
		t.Phase, t.PhaseAt = shed.Draining, r.At
	case TubDrained:
		t.drain(d, tub, r)
	case StepSkipped:
		if e.Emptied {
			t.drain(d, tub, r)
		}
		t.leaveBath(d, r)
		t.enter(t.At+1, tub, r)
	case StepRepeated:
		to := max(t.repeatIndex(), 0)
		if e.Nth > 0 {
			to = min(e.Nth, len(t.Steps)) - 1
		}
		t.leaveBath(d, r)
		if e.DosePart > 0 && to < len(t.Steps) {
			t.Steps = slices.Clone(t.Steps)
			t.Steps[to].DosePart = e.DosePart
		}
		t.enter(to, tub, r)
		if k, s := &d.Kettle, t.Step(); k.Batch == t.Batch && k.Step > t.At && s.Water != shed.FromCold { // its next bath has come to be this one
			k.Step, k.StepName = t.At, s.Name
		}
		if f := d.Fate[t.Batch]; len(f.Wet) > 0 { // it gets wet again
			f.Wet = nil
			d.setFate(t.Batch, f)
		}
	case BasketMoved:
		d.moveBasket(tub, e.To, r)
	case FibreSpun:
		t.WetSince = time.Time{}
		t.enter(t.At+1, tub, r)
	case FibreRacked:
		f := d.Fate[t.Batch]
		f.RackedAt, f.Soaked, f.Tub, f.Tray, f.Spots = r.At, false, -1, e.Tray, e.Spots
		d.setFate(t.Batch, f)
		*t = TubRun{PhaseAt: r.At}
	}
}

// drain ends a bath, and the tub is empty for the next step.
func (t *TubRun) drain(d *Day, tub int, r Recorded) {
	t.Bath.DrainedAt = r.At
	d.Baths = append(d.Baths, t.Bath)
	t.enter(t.At+1, tub, r)
}

// moveBasket takes a batch on to an idle tub; the water of a bath that stood stays behind.
func (d *Day) moveBasket(from, to int, r Recorded) {
	if to < 0 || to >= len(d.Tubs) || to == from || d.Tubs[to].Phase != shed.Idle {
		return // a journal from elsewhere
	}
	run, left := d.Tubs[from], TubRun{PhaseAt: r.At}
	run.HeldAt = time.Time{}
	left.Used = run.Used
	if run.Phase == shed.Draining {
		left.Used = run.Bath.Step
		run.drain(d, to, r)
	} else {
		soakMin := run.Bath.SoakMin // the person may have set it
		run.enter(run.At, to, r)
		run.Bath.SoakMin = soakMin
	}
	run.Used, run.Cover = d.Tubs[to].Used, 0
	d.Tubs[from], d.Tubs[to] = left, run
	f := d.Fate[run.Batch]
	f.Tub = to
	d.setFate(run.Batch, f)
	d.moveAlarms(from, to, run.Batch)
}

// leaveBath keeps a bath that a skip or a repeat cuts short, if it had water.
func (t *TubRun) leaveBath(d *Day, r Recorded) {
	if t.Bath.FilledAt.IsZero() {
		return
	}
	b := t.Bath
	if _, again := r.Event.(StepRepeated); !again || t.Phase == shed.Draining { // a filled bath once more: the question said that it empties
		t.Used = b.Step
	}
	b.DrainedAt, b.Skipped = r.At, b.LiftedAt.IsZero()
	d.Baths = append(d.Baths, b)
}

// endHold takes a tub up again. Only what was held of a soak moves its end:
// a bath that waited for its fleece soaks no longer for that.
func (t *TubRun) endHold(r Recorded) {
	if t.Held() && t.Phase == shed.Soaking {
		t.Bath.HeldFor += max(0, r.At.Sub(t.HeldAt))
	}
	t.HeldAt = time.Time{}
}

// holdAnew has holds last as long as what was told says: one from before the program was off lasted
// otherwise than was known when it ended.
func (d *Day) holdAnew() {
	lived := Replay(d.Told())
	for i := range min(len(d.Tubs), len(lived.Tubs)) {
		d.Tubs[i].Bath.HeldFor = lived.Tubs[i].Bath.HeldFor
	}
	for i := range min(len(d.Baths), len(lived.Baths)) {
		d.Baths[i].HeldFor = lived.Baths[i].HeldFor
	}
}

// Replay is the day that a journal tells.
func Replay(recs []Recorded) Day {
	var d Day
	for _, r := range recs {
		d = Apply(d, r)
	}
	return d
}
