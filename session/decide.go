package session

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// ErrTooSoon is wrapped by the refusal of a lift before the shortest soak; the
// same command with Sooner set is accepted.
var ErrTooSoon = errors.New("too soon")

// ErrWorkLeft is wrapped by the refusal to end a day with work left; the same
// command with Anyway set is accepted.
var ErrWorkLeft = errors.New("work left")

// Decide says what a command does to the day at now. A refusal is an error
// whose text is a sentence for the person: what is wrong and what would be right.
func Decide(d Day, c Command, now time.Time) ([]Event, error) {
	switch c := c.(type) {
	case StartDay:
		return decideStart(d, c, now)
	case Weigh:
		return decideWeigh(d, c, now)
	case WeighWet:
		return decideWeighWet(d, c, now)
	case WeighRaw:
		return decideWeighRaw(d, c)
	case WeighSoaked:
		return decideWeighSoaked(d, c)
	case MoveOnRack:
		return decideMove(d, c)
	case Judge:
		return decideJudge(d, c)
	case NamePart:
		return decideNamePart(d, c)
	case EnterCard:
		return decideCard(d, c)
	case Undo:
		if d.undo == nil {
			return nil, fmt.Errorf("there is nothing to undo")
		}
		return []Event{Undone{d.undo.seq}}, nil
	}
	if _, note := c.(AddNote); !note || d.StartedAt.IsZero() { // what it came to is seen days later
		if err := d.checkRunning(); err != nil {
			return nil, err
		}
	}
	if tub, ok := tubOfCommand(c); ok && (tub < 0 || tub >= len(d.Tubs)) {
		return nil, fmt.Errorf("there is no such tub: this day has %d", len(d.Tubs))
	}
	switch c := c.(type) {
	case DoNext:
		return decideNext(d, c, now)
	case TakeReading:
		return decideReading(d, c, now)
	case SetCover:
		return decideCover(d, c)
	case TopUp:
		return decideTopUp(d, c, now)
	case CorrectFill:
		return decideCorrectFill(d, c)
	case AdjustSoak:
		return decideSoak(d, c, now)
	case TellKettle:
		return decideKettle(d, c, now)
	case Hold:
		return decideHold(d, c)
	case Resume:
		if !d.Tubs[c.Tub].Held() {
			return nil, fmt.Errorf("%s is not on hold", d.TubName(c.Tub))
		}
		return []Event{TubResumed{c.Tub}}, nil
	case SkipStep:
		return decideSkip(d, c)
	case RepeatStep:
		return decideRepeat(d, c)
	case MoveBasket:
		return decideMoveBasket(d, c)
	case AddNote:
		return decideNote(c)
	case TakeBreak:
		return decideBreak(d, c, now)
	case Acknowledge:
		return decideAcknowledge(d, c)
	case EndDay:
		return decideEnd(d, c)
	case ChangeKit:
		return decideKit(d, c, now)
	case AddBatch:
		return decideAddBatch(d, c)
	case Shelve:
		return decideShelve(d, c, now)
	case Unshelve:
		return decideUnshelve(d, c)
	case SetService:
		return decideService(d, c)
	case LookOverRack:
		return []Event{RackLookedOver{OnRack: shed.CleanLying(c.OnRack)}}, nil
	case SetClock:
		return []Event{ClockSet(c)}, nil
	case ProveSound:
		return decideProof(c)
	case ResumeWatch:
		if c.Away > 0 {
			return []Event{WatchResumed{c.Away}}, nil
		}
		return []Event{WatchResumed{max(0, now.Sub(d.LastAt))}}, nil
	}
	return nil, fmt.Errorf("the day does not know how to do %T", c)
}

func (d Day) checkRunning() error {
	switch {
	case d.StartedAt.IsZero():
		return fmt.Errorf("the day has not begun: plan it and start it first")
	case !d.EndedAt.IsZero():
		return fmt.Errorf("this day has ended: enter dry weights or notes, or undo the end")
	}
	return nil
}

// tubOfCommand is the tub a command must name; ok is false for those of the whole day.
func tubOfCommand(c Command) (tub int, ok bool) {
	if c == nil {
		return 0, false
	}
	f := reflect.ValueOf(c).FieldByName("Tub")
	if !f.IsValid() {
		return 0, false
	}
	tub = int(f.Int())
	switch c := c.(type) {
	case DoNext:
		return tub, c.Act != shed.FinishDay
	case AddNote, Acknowledge, Shelve, Unshelve: // -1 is the whole day
		return tub, tub != -1
	}
	return tub, true
}

func decideStart(d Day, c StartDay, now time.Time) ([]Event, error) {
	if !d.StartedAt.IsZero() {
		return nil, fmt.Errorf("this day has begun already")
	}
	plan := c.Plan.Clean()
	if err := plan.Validate(); err != nil {
		return nil, err
	}
	e := DayStarted{Plan: plan}
	at := plan.FirstTubs(now)
	for tub := range plan.Kit.Tubs {
		if i := slices.Index(at, tub); i >= 0 {
			e.Loads = append(e.Loads, loadFor(plan, tub, &plan.Batches[i]))
		}
	}
	return []Event{e}, nil
}

func decideNext(d Day, c DoNext, now time.Time) ([]Event, error) {
	want := d.NextAction(c.Tub)
	if c.Act == shed.FinishDay {
		want = shed.FinishDay
	}
	switch {
	case want == shed.Wait:
		return nil, fmt.Errorf("%s is empty: nothing to do there", d.TubName(c.Tub))
	case c.Act != want:
		return nil, fmt.Errorf("not yet at %s: next is %s", d.TubName(c.Tub), want.Shown())
	}
	if c.HasTemp && c.Act == shed.FillTub {
		if err := d.checkBathC(c.Tub, "a reading", c.TempC); err != nil {
			return nil, err
		}
	}
	// A lift takes a held tub up by itself: the bath cools on hold too, and
	// nothing should stand between an alarm and the basket.
	if c.Act != shed.FinishDay && c.Act != shed.Lift && d.Tubs[c.Tub].Aside() {
		return nil, fmt.Errorf("%s is set aside: resume it first", d.TubName(c.Tub))
	}
	if c.Act != shed.FinishDay && c.Act != shed.Lift && d.Tubs[c.Tub].Held() {
		return nil, fmt.Errorf("%s is on hold: resume it first", d.TubName(c.Tub))
	}
	switch c.Act {
	case shed.LoadNext:
		b := d.NextFor(c.Tub)
		if c.Batch != "" && c.Batch != b.ID {
			i := slices.IndexFunc(d.Waiting(), func(w shed.Batch) bool { return w.ID == c.Batch })
			if i < 0 {
				return nil, fmt.Errorf("%s isn't next for a tub: %s is", measure.CleanText(c.Batch, shed.MaxName), b.ID)
			}
			b = &d.Waiting()[i]
		}
		load := loadFor(d.Plan, c.Tub, b)
		load.AgoMin = c.AgoMin
		return []Event{load}, nil
	case shed.FillTub:
		p := d.FillAt(c.Tub, now)
		if c.TapOnly {
			p = d.FillFromTap(c.Tub, now)
		}
		e := BathFilled{Tub: c.Tub, VolumeL: p.VolumeL, TempC: p.WaterC, DoseML: p.DoseML, HotL: FillTapL(p), KettleL: p.Pour.KettleL, AgoMin: c.AgoMin}
		if c.HasTemp {
			e.TempC, e.Read = c.TempC, true
		}
		return []Event{e}, nil
	case shed.SinkIn:
		return decideSink(d, c.Tub, now), nil
	case shed.Lift:
		t := d.Tubs[c.Tub]
		soaked := t.soaked(now)
		short := measure.Lasting(min(t.Bath.Step.ShortestMin, t.Bath.SoakMin))
		if soaked < short && !c.Sooner && !d.coolAlarm(c.Tub, now) {
			return nil, refusal{fmt.Sprintf("%s has soaked %s of %s: leave it in, or lift sooner if you must", d.TubName(c.Tub),
				measure.Minutes(soaked.Minutes()), measure.Minutes(t.Bath.SoakMin)), ErrTooSoon}
		}
		h := d.Heat(c.Tub)
		tempC, sdC := h.At(now)
		return []Event{FleeceLifted{Tub: c.Tub, ForecastC: tempC, SdC: sdC}}, nil
	case shed.DrainTub:
		return []Event{TubDrained{c.Tub, c.AgoMin}}, nil
	case shed.SpinFibre:
		return []Event{FibreSpun{c.Tub, c.AgoMin}}, nil
	case shed.RackFibre:
		return decideRack(d, c)
	case shed.FinishDay:
		return decideEnd(d, EndDay{})
	case shed.Wait:
	}
	return nil, fmt.Errorf("nothing to do at %s", d.TubName(c.Tub))
}

// coolAlarm says that the coach asks for a lift because the bath cools: then
// no soak is too short.
func (d Day) coolAlarm(tub int, now time.Time) bool {
	cause, has := alarmCause(d, tub, now)
	return has && (cause == NearRelease || cause == BelowRelease)
}

func decideReading(d Day, c TakeReading, now time.Time) ([]Event, error) {
	u := d.Plan.Kit.Units
	if err := d.HasBath(c.Tub); err != nil {
		return nil, err
	}
	if err := d.checkBathC(c.Tub, "a reading", c.TempC); err != nil {
		return nil, err
	}
	h := d.Heat(c.Tub)
	tempC, sdC := h.At(now)
	if off := math.Abs(c.TempC - tempC); !c.Sure {
		meant, odd, other := d.suspect(c, now)
		if odd || !other && off > max(8, 4*sdC) {
			side := "below"
			if c.TempC > tempC {
				side = "above"
			}
			return nil, shed.Unlikelyf("%s: %s is %s %s the %s expected. Check it%s",
				d.TubName(c.Tub), u.TempRead(c.TempC), u.TempApart(c.TempC, tempC), side, u.Temp(tempC), meant)
		}
	}
	return []Event{ReadingTaken{Tub: c.Tub, TempC: c.TempC, ForecastC: tempC}}, nil
}

// suspect says whether a reading does not go with the bath and the readings
// before it, and what may have been meant; other, that it is one of those that does not.
func (d *Day) suspect(c TakeReading, now time.Time) (meant string, odd, other bool) {
	b, u := d.Tubs[c.Tub].Bath, d.Plan.Kit.Units
	cb, readings, ok := BathModel(&d.Plan, &b)
	if !ok {
		return "", false, false
	}
	readings = append(readings, cooling.Reading{AtMin: measure.MinutesBetween(b.FilledAt, now), TempC: c.TempC})
	for _, s := range cb.Suspect(readings, readingSdC) {
		if s.Index != len(readings)-1 {
			other = true
			continue
		}
		if u.Fahrenheit() {
			s.ReadInF(readings[s.Index], readingSdC)
		}
		if s.Meant != cooling.Unexplained {
			meant = fmt.Sprintf(" (did you mean %s, %s?)", u.TempRead(s.MeantC), s.Meant)
		}
		return meant, true, false
	}
	return "", false, other
}

func decideCover(d Day, c SetCover) ([]Event, error) {
	if c.Cover < cooling.Open || c.Cover > cooling.LidAndFilm {
		return nil, fmt.Errorf("that isn't a cover: use open, lid, film, or lid and film")
	}
	if err := d.HasBath(c.Tub); err != nil {
		return nil, err
	}
	if d.Tubs[c.Tub].Cover == c.Cover {
		return nil, fmt.Errorf("%s is %s already", d.TubName(c.Tub), CoverPhrase(c.Cover))
	}
	return []Event{CoverChanged{c.Tub, c.Cover}}, nil
}

func decideSoak(d Day, c AdjustSoak, now time.Time) ([]Event, error) {
	t := d.Tubs[c.Tub]
	if t.Phase != shed.Soaking && t.Phase != shed.ToSink && t.Phase != shed.ToFill {
		return nil, fmt.Errorf("%s has no soak to change", d.TubName(c.Tub))
	}
	if !(math.Abs(c.ByMin) >= aSecond && math.Abs(c.ByMin) <= 24*60) {
		return nil, fmt.Errorf("say how many minutes longer or shorter to soak %s, such as 5", d.TubName(c.Tub))
	}
	soaked := 0.0
	if t.Phase == shed.Soaking {
		soaked = t.soaked(now).Minutes()
	}
	if c.ByMin > 0 {
		return lengthenSoak(d, c, soaked)
	}
	const shortest = 0.5
	switch least := max(shortest, soaked); {
	case t.Bath.SoakMin > least:
		return []Event{SoakChanged{c.Tub, max(t.Bath.SoakMin+c.ByMin, least)}}, nil
	case t.Phase == shed.Soaking:
		return nil, fmt.Errorf("%s's soak is over: lift it", d.TubName(c.Tub))
	}
	return nil, fmt.Errorf("%s's soak is as short as it gets: %s", d.TubName(c.Tub), measure.Minutes(shortest))
}

const aSecond = 1.0 / 60 // in minutes; less is no change that anyone meant

// lengthenSoak adds minutes to the planned soak, or from now on if that is
// over: minutes that ended in the past would leave the alarm ringing.
func lengthenSoak(d Day, c AdjustSoak, soaked float64) ([]Event, error) {
	b := d.Tubs[c.Tub].Bath
	from := max(b.SoakMin, soaked)
	want := from + c.ByMin
	if limit := b.Step.LongestMin; limit > 0 && want > limit {
		if limit-from < aSecond {
			return nil, fmt.Errorf("%s: %s is the longest soak of the %s: lift it when it is done", d.TubName(c.Tub), measure.Minutes(limit), b.Step.Name)
		}
		want = limit
	}
	return []Event{SoakChanged{c.Tub, want}}, nil
}

func decideHold(d Day, c Hold) ([]Event, error) {
	if d.Tubs[c.Tub].Held() {
		return nil, fmt.Errorf("%s is on hold already", d.TubName(c.Tub))
	}
	return []Event{TubHeld{c.Tub}}, nil
}

// decideSkip leaves out the step that the tub waits for; of a bath that still stands,
// the one after it, and the tub is emptied with it.
func decideSkip(d Day, c SkipStep) ([]Event, error) {
	switch t := d.Tubs[c.Tub]; t.Phase {
	case shed.ToFill, shed.ToSink, shed.ToSpin:
		return []Event{StepSkipped{Tub: c.Tub}}, nil
	case shed.Soaking:
		return nil, fmt.Errorf("%s has fleece in the water: lift it first", d.TubName(c.Tub))
	case shed.Draining:
		if next := t.NextStep(); next.Name != "" && next.Kind.Facts().Begins != shed.ToRack {
			return []Event{StepSkipped{c.Tub, true}}, nil
		}
		return nil, errRackSkipped(d, c.Tub)
	case shed.ToRack:
		return nil, errRackSkipped(d, c.Tub)
	case shed.Idle:
	}
	return nil, fmt.Errorf("%s is empty: there is no step to skip", d.TubName(c.Tub))
}

func errRackSkipped(d Day, tub int) error {
	return fmt.Errorf("%s: can't skip the rack, the batch needs a place and a tag", d.TubName(tub))
}

func decideRepeat(d Day, c RepeatStep) ([]Event, error) {
	t := d.Tubs[c.Tub]
	switch {
	case t.Phase == shed.Soaking:
		return nil, fmt.Errorf("%s is in the %s now: to repeat it, lift and drain first", d.TubName(c.Tub), t.Step().Name)
	case t.repeatIndex() < 0:
		return nil, fmt.Errorf("%s has no bath to repeat yet", d.TubName(c.Tub))
	}
	e := StepRepeated{Tub: c.Tub, DosePart: c.DosePart}
	if c.Wash {
		at, ok := t.WashBehind()
		if !ok {
			return nil, fmt.Errorf("%s has no wash to repeat yet", d.TubName(c.Tub))
		}
		e.Nth = at + 1
	}
	if !shed.DosePart.Contains(c.DosePart) {
		return nil, fmt.Errorf("%s: the dose should be between none and twice the usual", d.TubName(c.Tub))
	}
	return []Event{e}, nil
}

func decideMoveBasket(d Day, c MoveBasket) ([]Event, error) {
	t := d.Tubs[c.Tub]
	b, _ := d.Batch(t.Batch)
	switch {
	case t.Phase == shed.Idle:
		return nil, fmt.Errorf("%s is empty: there is no basket to move", d.TubName(c.Tub))
	case t.Phase == shed.Soaking || t.Phase == shed.ToSink:
		return nil, fmt.Errorf("%s has its bath ready or the fleece in it: lift the basket first", d.TubName(c.Tub))
	case !t.NextStep().Kind.IsBath():
		return nil, fmt.Errorf("%s has had its last bath: it needs no other tub", d.TubName(c.Tub))
	case c.To < 0 || c.To >= len(d.Tubs):
		return nil, fmt.Errorf("%s: choose the tub it goes to", d.TubName(c.Tub))
	case d.Tubs[c.To].Aside():
		return nil, fmt.Errorf("%s is set aside: resume it first", d.TubName(c.To))
	case d.Tubs[c.To].Phase != shed.Idle:
		return nil, fmt.Errorf("%s has a batch of its own: %s's basket needs an empty tub", d.TubName(c.To), d.TubName(c.Tub))
	case !d.Plan.FitsIn(b, c.To):
		return nil, fmt.Errorf("%s is too small for the basket of %s", d.TubName(c.To), d.TubName(c.Tub))
	}
	return []Event{BasketMoved{c.Tub, c.To}}, nil
}

func decideNote(c AddNote) ([]Event, error) {
	text, err := noteText(c.Text)
	if err == nil && text == "" {
		err = fmt.Errorf("the note is empty: write a few words")
	}
	return []Event{NoteAdded{c.Tub, text}}, err
}

func decideEnd(d Day, c EndDay) ([]Event, error) {
	early := !d.AllRacked()
	if !c.Anyway {
		for i, t := range d.Tubs {
			if t.fleeceIn() {
				return nil, refusal{fmt.Sprintf("%s still has fleece in the water: lift it first, or end anyway", d.TubName(i)), ErrWorkLeft}
			}
		}
		if early {
			return nil, refusal{"not every batch is on the rack: finish them, or end the day early anyway", ErrWorkLeft}
		}
	}
	return []Event{DayEnded{Early: early}}, nil
}
