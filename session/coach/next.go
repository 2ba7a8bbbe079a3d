package coach

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// Prompts says what to do next across all tubs, most pressing first. Idle tubs
// with nothing to come are left out. Once all is racked the only prompt is to
// finish the day.
func Prompts(d session.Day, now time.Time) []Prompt {
	return prompts(d, now, func(tub int) Prompt { return PromptAt(d, tub, now) })
}

// prompts is Prompts with what the coach says of each tub.
func prompts(d session.Day, now time.Time, at func(tub int) Prompt) []Prompt {
	if !d.Running() {
		return nil
	}
	if d.AllRacked() {
		return []Prompt{{Tub: -1, Act: shed.FinishDay, Title: "finish the day", DueAt: now, Rank: Now,
			Details: []Line{{Text: "every batch is on the rack; weigh each once it's dry"}, {Text: "empty and rinse the tubs; turned the water heater up? Turn it back down"}}}}
	}
	var out []Prompt
	for i := range d.Tubs {
		if p := at(i); p.Act != shed.Wait {
			out = append(out, p)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return compareActs(actOf(d, out[i]), actOf(d, out[j]), now) < 0 })
	return out
}

func actOf(d session.Day, p Prompt) NextAct {
	return NextAct{Prompt: p, wash: p.Tub >= 0 && d.Tubs[p.Tub].Bath.Step.Kind.Facts().Release && p.Act == shed.Lift}
}

// Next is what to do across all tubs, the kettle among it, in the order of
// compareActs. The timetable is of this day, at now or a little before.
func Next(d session.Day, now time.Time, t planner.Timetable) []NextAct {
	return next(d, now, t, Prompts(d, now))
}

// NextOf is Next with the tubs as they were looked at, by Glances of the same day and moment.
func NextOf(d session.Day, now time.Time, t planner.Timetable, tubs []Glance) []NextAct {
	return next(d, now, t, prompts(d, now, func(tub int) Prompt {
		p := tubs[tub].Prompt
		p.Details = slices.Clip(p.Details) // what is added here is not of the glance
		return p
	}))
}

func next(d session.Day, now time.Time, t planner.Timetable, prompts []Prompt) []NextAct {
	first := map[int]planner.Piece{}
	var boils []planner.Piece
	for _, p := range t.Pieces {
		if p.Boil() {
			boils = append(boils, p)
		} else if _, seen := first[p.Tub]; !seen {
			first[p.Tub] = p
		}
	}
	var out []NextAct
	for _, p := range prompts {
		a := actOf(d, p)
		if piece, ok := first[p.Tub]; ok && p.Tub >= 0 && slices.Contains(piece.Acts, p.Act) {
			a.PlanAt, a.turn, a.Late, a.LateWash = piece.Start, t.Turn(p.Tub), piece.Late, piece.LateWash
			for _, s := range t.Breaks {
				if a.Late > 0 && now.Before(s.To) && s.From.Before(a.PlanAt) && a.MustBy.Before(a.PlanAt) && a.MustBy.After(s.From) {
					a.Away = d.Plan.SayAway(s)
				}
			}
			steps, hands := d.Tubs[p.Tub].Steps[min(d.Tubs[p.Tub].At, len(d.Tubs[p.Tub].Steps)):], d.Plan.HandsMin()
			if b, known := d.Batch(piece.Batch); known && p.Act == shed.LoadNext {
				sayLoad(d, &a.Prompt, b, now)
				steps = d.Plan.StepsOf(b)
			}
			a.waitFor(&d, t.Breaks, now, steps, hands[shed.LoadNext]+hands[shed.FillTub]+hands[shed.SinkIn])
			if a.Kettle == KettleFirst && a.DueAt.Before(piece.Start) { // another boil comes before
				a.DueAt = piece.Start
			}
		} else if p.Act == shed.LoadNext && len(t.Pieces) > 0 {
			a.Rank, a.PlanAt = Resting, t.Finish // the timetable does without this tub
		}
		together(d, &a.Prompt, t.Pieces, now)
		out = append(out, a)
	}
	k, busy := d.KettleDue(now) // there is one kettle
	free := k.ReadyBy(now).Add(time.Second)
	lateFirst(d, boils, now)
	for _, p := range boils {
		if p.On { // from the day itself: it may have boiled since
			if _, boiled := k.StandsMin(now); busy && !boiled {
				a := boilOn(p, k, d.Plan.Kit.KettleText(k.NextL()), now)
				if till, waits := d.FillWaits(k.Tub, now); a.Refill && waits {
					a.waitTill(till, Line{Text: "not now: it would stand till then"})
				} else if s, _ := d.NextBreak(now); a.Refill && s.Has(now) && !slices.ContainsFunc(t.Pieces, func(f planner.Piece) bool {
					return f.Batch == p.Batch && f.Step == p.Step && f.Start.Before(s.To) && slices.Contains(f.Acts, shed.FillTub)
				}) {
					a.waitTill(s.To, Line{Text: d.Plan.SayOver(s)})
				}
				out = append(out, a)
			}
			continue
		}
		if measure.MinutesBetween(now, p.Start) > kettleSoonMin || slices.ContainsFunc(prompts, func(x Prompt) bool { return x.Tub == p.Tub && x.Stopped() }) {
			continue // far off, or for a bath that is not to be filled: its own act says what would do
		}
		wish, ok := d.WantsKettle(p.Tub, p.Batch, session.HeatModel{}, now)
		if !ok || wish.Step != p.Step { // nobody could tell of it; behind another bath, nobody knows how much
			continue
		}
		a := NextAct{Prompt: Prompt{Tub: p.Tub, Act: shed.Wait, DueAt: p.Start, Count: Count{ToDue, p.Start}, Rank: Coming}, Boil: true, BoilL: wish.Fill.Pour.KettleL, BoilFor: wish.Name}
		if a.Batch = p.Batch; busy && a.DueAt.Before(free) { // there is one kettle
			a.DueAt, a.Count.At = free, free
		}
		how := session.SayHowToBoil(d.Plan.Kit, wish.Fill)
		if wish.AsItComes {
			how += "; tap water alone would be too cool after the last bath"
		}
		a.Details = append(a.Details, Line{Text: how, Brief: "about " + measure.Minutes(math.Ceil(session.FillBoilMin(d.Plan.Kit, wish.Fill)))})
		whose := "the"
		if p.Batch != d.Tubs[p.Tub].Batch { // the tub has another in it still
			whose = p.Batch + "'s"
		}
		a.Title = fmt.Sprintf("boil %s for %s %s", d.Plan.Kit.BoilText(a.BoilL), whose, a.BoilFor)
		a.PlanAt, a.turn, a.Late, a.LateWash = p.Start, p.Start, p.Late, p.LateWash
		a.limit(boilBy(d, p), HangsWet)
		if called := d.FindAlarm(session.KettleNow, p.Tub) >= 0 && d.Tubs[p.Tub].Batch == p.Batch; !busy && (called || !p.Start.After(now)) {
			a.Rank, a.Count, busy = Now, Count{}, true
		} else if busy && !p.Start.After(now) { // the water of the one before has to be poured first
			a.Behind, a.Count = true, Count{}
		}
		out = append(out, a)
	}
	hands := d.Plan.HandsMin()
	queueLifts(out, hands[shed.Lift])
	pourFirst(&d, out, now)
	sort.SliceStable(out, func(i, j int) bool { return compareActs(out[i].placed(), out[j].placed(), now) < 0 })
	sayFirst(d, out, now)
	return out
}

// waitFor puts an act off that the timetable has behind a break: a fill whose lift would be due
// in it, and what would fall in it itself, as far as its tub bears that. A fill whose fleece may
// lie in its bath of the step, and can be in before the break, waits for none.
func (a *NextAct) waitFor(d *session.Day, breaks []shed.Span, now time.Time, steps []shed.Step, inMin float64) {
	for _, s := range breaks {
		fills, at, in := (a.Act == shed.FillTub || a.Act == shed.LoadNext) && len(steps) > 0, s.To, now.Add(measure.Lasting(inMin))
		if fills {
			at = a.PlanAt
		}
		switch {
		case !now.Before(s.To) || a.PlanAt.Before(s.To) || a.Rank == Harm || a.Rank == Resting || d.RingsOn(a.Tub, s):
		case fills && !in.After(s.From) && steps[0].Water == shed.FromCold && !steps[0].Overnight() && (steps[0].LongestMin == 0 || in.Add(measure.Lasting(steps[0].LongestMin)).After(s.To)):
		case !fills && (!s.Has(a.DueAt) && !s.Has(now) || !a.MustBy.IsZero() && a.MustBy.Before(s.To)):
		case a.After: // it says why
			a.DueAt, a.Count = at, Count{ToDue, at}
		case a.DueAt.Before(at) && fills:
			a.waitTill(at, sayWaits(d, s, steps, now, inMin+max(0, measure.MinutesBetween(now, a.DueAt))))
		case a.DueAt.Before(at):
			a.waitTill(at, Line{Text: d.Plan.SayOver(s)})
		}
	}
}

// boilOn is a kettle that is on: how long it boils, or that it is to boil again, or the next so much.
func boilOn(p planner.Piece, k *session.KettleRun, next string, now time.Time) NextAct {
	a := NextAct{Prompt: Prompt{Tub: p.Tub, Act: shed.Wait, DueAt: k.ReadyBy(now), Rank: Coming, Title: "kettle on for the " + k.StepName},
		Boil: true, BoilOn: true, BoilL: k.VolumeL, BoilFor: k.StepName, PlanAt: k.ReadyBy(now)}
	if k.Loads() > 1 && now.Before(k.ReadyBy(now)) {
		a.Title = fmt.Sprintf("kettle %d of %d for the %s", k.Load+1, k.Loads(), k.StepName)
	}
	if k.Follows() {
		a.DueAt, a.PlanAt = k.RefillAt(), k.RefillAt()
	}
	if k.Refills(now) {
		a.Title = nextBoil(k, next, now) + " for the " + k.StepName
		a.BoilOn, a.Refill, a.Rank, a.BoilL = false, true, Now, k.NextL()
		a.Batch = k.Batch
		if a.Again = k.Cools(now); a.Again {
			a.add("it has stood for " + measure.Minutes(math.Floor(k.StoodMin(now))))
		} else {
			a.add("first pour what has boiled into a lidded pail")
		}
		return a
	}
	a.Count = Count{ToDue, a.DueAt}
	return a
}

// lateFirst puts a boil that fleece waits for which has hung its time where that was over, before
// others, but for one that comes behind a break.
func lateFirst(d session.Day, boils []planner.Piece, now time.Time) {
	s, rests := d.NextBreak(now)
	for i := range boils {
		p := &boils[i]
		if by := d.Tubs[p.Tub].WetBy(); !p.On && past(by, now) && !boilBy(d, *p).IsZero() && !(rests && p.Start.After(s.From)) {
			p.Start, p.End = by, p.End.Add(by.Sub(p.Start))
		}
	}
	sort.SliceStable(boils, func(i, j int) bool { return boils[i].Start.Before(boils[j].Start) })
}

// boilBy is when a boil has to be on for wet fleece that waits for it; zero if none
// hangs.
func boilBy(d session.Day, p planner.Piece) time.Time {
	t := d.Tubs[p.Tub]
	by := t.WetBy()
	next := t.At
	if t.Phase == shed.Draining {
		next++
	}
	if by.IsZero() || t.Batch != p.Batch || p.Step != next {
		return time.Time{}
	}
	hands := d.Plan.HandsMin()
	return by.Add(p.Start.Sub(p.End) - measure.Lasting(hands[shed.FillTub]+hands[shed.SinkIn]))
}

// kettleSoonMin: the kettle is spoken of when it is this near.
const kettleSoonMin = 30.0

// LimitAt is when waiting longer does harm at the act's tub; zero if none is in sight.
// It moves only when something is done or measured there. How long the timetable could
// put the act off changes with every order of work, so that is not shown.
func (a NextAct) LimitAt(now time.Time) time.Time {
	if a.MustBy.Sub(now) > limitSeen {
		return time.Time{}
	}
	return a.MustBy
}

// limitSeen: a limit further off than this is not shown; it hurries nobody.
const limitSeen = 3 * time.Hour

// queueLifts brings the limits of lifts from washes, where they have one, forward to where the hands can
// keep them one after the other.
func queueLifts(acts []NextAct, liftMin float64) {
	var lifts []*NextAct
	for i := range acts {
		if acts[i].wash && !acts[i].MustBy.IsZero() {
			lifts = append(lifts, &acts[i])
		}
	}
	sort.SliceStable(lifts, func(i, j int) bool { return lifts[j].MustBy.Before(lifts[i].MustBy) })
	for i := 1; i < len(lifts); i++ {
		if at := lifts[i-1].MustBy.Add(-measure.Lasting(liftMin)); at.Before(lifts[i].MustBy) {
			lifts[i].MustBy = at
		}
	}
}

// pourFirst puts first what has the hands pour water that has boiled and cools as it stands, unless what
// spoils meanwhile, or is due soon after, would come too late behind it.
func pourFirst(d *session.Day, acts []NextAct, now time.Time) {
	k, on := d.KettleOn()
	stands, _ := k.StandsMin(now)
	i := slices.IndexFunc(acts, func(a NextAct) bool {
		return a.Rank == Now && (a.Act == shed.FillTub || a.Act == shed.DrainTub) && a.Tub == k.Tub && a.Kettle == KettleReady && d.Tubs[a.Tub].Batch == k.Batch
	})
	s, rests := d.NextBreak(now)
	if !on || i < 0 || stands < 0 || stands > session.MostStoodMin || rests && s.From.Sub(now) < noHurry { // before a break the timetable has the order
		return
	}
	hands := d.HandsMin()
	at := now.Add(measure.Lasting(hands[shed.FillTub] + hands[shed.SinkIn]))
	if acts[i].Act == shed.DrainTub {
		at = at.Add(measure.Lasting(hands[shed.DrainTub]))
	}
	var others []*NextAct
	for i := range acts {
		if a := &acts[i]; a.Tub != k.Tub && !a.MustBy.IsZero() && !a.Boil {
			others = append(others, a)
		}
	}
	sort.SliceStable(others, func(i, j int) bool { return others[i].MustBy.Before(others[j].MustBy) })
	for _, a := range others {
		if a.Rank == Coming && a.DueAt.After(at) {
			at = a.DueAt
		}
		if at = at.Add(measure.Lasting(hands[a.Act])); at.After(a.MustBy) {
			return
		}
	}
	acts[i].Pours = true
}

// pressed is the moment by which acts that can be done now are put in order.
func (a NextAct) pressed(now time.Time) time.Time {
	at := a.MustBy
	if a.Act == shed.SinkIn || a.Boil && !a.Again || a.Pours { // what has been begun is finished first, and the kettle is a moment's work, unless a wash spoils
		if by := now.Add(sinkSpare); at.IsZero() || by.Before(at) {
			at = by
		}
	}
	if by := now.Add(noHurry); at.IsZero() || by.Before(at) { // it presses nobody
		at = by
	}
	return at
}

// noHurry is what there is to spare where nothing spoils.
const noHurry = 45 * time.Minute

// sinkSpare: fleece goes into its filled tub before all other acts, but for one whose
// harm begins sooner than this; so does boiled water that cools as it stands.
const sinkSpare = 2 * time.Minute

// compareActs is the order of all there is to do: what loses fibre first stands first. A wash
// near its release temperature, or below it, stands before all else. Of what is to be done now
// that with the least time to spare stands first, and of what is past its limit a wash, then
// fleece that hangs hot; then as the timetable has it; then what comes.
func compareActs(a, b NextAct, now time.Time) int {
	switch ra, rb := a.urgent(), b.urgent(); {
	case ra != rb:
		return int(ra) - int(rb)
	case ra > Now:
		return a.DueAt.Compare(b.DueAt)
	case a.Stopped() != b.Stopped(): // another tub's turn
		if a.Stopped() {
			return 1
		}
		return -1
	}
	sooner := a.pressed(now).Compare(b.pressed(now))
	if past(a.MustBy, now) && past(b.MustBy, now) {
		return cmp.Or(b.spoils()-a.spoils(), sooner, a.DueAt.Compare(b.DueAt))
	}
	return cmp.Or(sooner, b.spoils()-a.spoils(), a.turn.Compare(b.turn), a.DueAt.Compare(b.DueAt))
}

// urgent is the rank by which an act is put in order: a bath too cool to begin with spoils no
// fleece, which is not in it.
func (a NextAct) urgent() Rank {
	if a.Rank == Harm && a.Act != shed.Lift {
		return Now
	}
	return a.Rank
}

func past(limit, now time.Time) bool { return !limit.IsZero() && !limit.After(now) }

// spoils is how much fleece suffers that is past its limit.
func (a NextAct) spoils() int {
	switch {
	case a.wash:
		return 2
	case a.Limit == HangsWet:
		return 1
	}
	return 0
}

// placed is an act with its place in the list: one on hold stands by the limit that runs on.
func (a NextAct) placed() NextAct {
	if a.Held && a.Rank == Resting && !a.MustBy.IsZero() {
		a.Rank, a.DueAt = Coming, a.MustBy
	}
	return a
}

// sayFirst warns at the foremost act that a wash is due before that act would be
// through, so that nobody begins something long that a wash has to wait for.
func sayFirst(d session.Day, acts []NextAct, now time.Time) {
	if len(acts) == 0 || acts[0].Rank != Now || acts[0].Act == shed.Wait {
		return
	}
	takes, hands := time.Duration(0), d.Plan.HandsMin()
	for _, act := range append([]shed.Action{acts[0].Act}, acts[0].Then...) {
		takes += measure.Lasting(hands[act])
	}
	for _, a := range acts[1:] {
		if a.wash && a.Rank == Coming && !a.MustBy.Add(-measure.Lasting(hands[shed.Lift])).After(now.Add(takes)) {
			acts[0].first(Line{Text: fmt.Sprintf("first lift at %s, due in %s: it won't wait for this", d.TubName(a.Tub), measure.Minutes(max(0, measure.MinutesBetween(now, a.DueAt))))})
			return
		}
	}
}
