package planner

import (
	"math"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/timetable"
)

// mostBreaks are gone around: a day that was begun elsewhere may leave no time between them.
const mostBreaks = 14

// solveAround is solve with the breaks that the work reaches. Each is a task that begins then
// and nothing else, and keeps the person, and the kettle, which nobody is there to put on.
func (b *scheduler) solveAround(e Effort, was Timetable) (timetable.Solution, error) {
	plain := posed{b.p, b.of}
	at := b.now
	for {
		s, err := b.solve(e, was)
		for err == nil && plain.boilsBehind(b, &s) {
			b.p, b.of = plain.p, plain.of
			s, err = b.solve(e, was)
		}
		if len(b.breaks) == 0 {
			b.freeS = s.FinishS
		}
		next, ok := b.day.NextBreak(at)
		if err != nil || !ok || b.until(next.From) >= s.FinishS || len(b.breaks) == mostBreaks {
			return s, err
		}
		at = next.To
		b.p, b.of = plain.p, plain.of
		b.weigh()
		b.away(next)
		plain = posed{b.p, b.of}
		b.breaks = append(b.breaks, next)
	}
}

// boilsBehind puts behind a break what a solution boils in it, or before it for a fill behind it: nobody is
// there to watch the kettle, and the water would stand.
func (p *posed) boilsBehind(b *scheduler, s *timetable.Solution) (moved bool) {
	p.p.Tasks = slices.Clone(p.p.Tasks)
	for _, h := range p.p.Holds {
		for _, br := range b.breaks {
			if to := b.until(br.To) + 1; !p.of[h.From].on && s.Start[h.From] < to && s.Start[h.To] >= to {
				t := &p.p.Tasks[h.From]
				t.EarliestS, t.LatestS, moved = to, timetable.None, true
			}
		}
	}
	return moved
}

// weigh has what a break may make late, and does no harm, weigh less than hours of the day: a rinse that
// soaks too long, fleece that may hang, and a boil that was due.
func (b *scheduler) weigh() {
	harmless := func(task int) bool {
		of := b.of[task]
		return b.mayHang(of) || slices.Contains(of.acts, shed.Lift) && !b.jobs[of.job].steps[of.step].HasRelease()
	}
	for i := range b.p.Lags {
		if l := &b.p.Lags[i]; l.Class == timetable.Soft && !b.of[l.From].boil && harmless(l.To) {
			l.Class = timetable.Wish
		}
	}
	for i := range b.p.Tasks {
		if t := &b.p.Tasks[i]; t.LateClass == timetable.Soft && (b.of[i].boil || harmless(i)) {
			t.LateClass = timetable.Wish
		}
	}
}

// away adds a break. What cannot be lifted before it, and cannot wait, ends it; fleece that hangs hot is put
// into its bath first, and that which may hang is put there at no cost to other fleece. Quiet hours
// go on once the batch that ends them is through, and so does what a batch goes on in.
func (b *scheduler) away(s shed.Span) {
	from, to, keeps := b.until(s.From), b.until(s.To)+1, []int{person, kettle} // no second of it
	begin := from
	again := begin
	_, quiet := b.day.Plan.QuietIn(s)
	busyS, boiledS := 0, 0 // until when the hands, and the kettle, are at what is done first
	for i := range b.of {
		t := &b.p.Tasks[i]
		onS, readyS := b.boiled(i, boiledS)
		switch begins := max(busyS, t.EarliestS, readyS); {
		case t.LatestS == timetable.None:
		case b.mayHang(b.of[i]):
			t.LatestS = timetable.None
		case slices.Contains(b.of[i].acts, shed.FillTub) && t.LatestS < to && (busyS > 0 && onS < from || max(t.EarliestS, onS) < from):
			if busyS = begins + t.DurS; readyS > 0 {
				boiledS = begins
			}
			from, to = max(from, busyS), min(to, b.liftBy(i, busyS))
		}
		if t.Fixed { // one that this follows at once
			from = max(from, t.EarliestS+t.DurS)
		}
		if b.of[i].on {
			keeps = keeps[:1]
		}
		if slices.Contains(b.of[i].acts, shed.Lift) && t.LatestS != timetable.None && (t.LatestS > from || quiet && t.LatestS == from) && t.EarliestS+t.DurS > from {
			by := t.LatestS
			if t.LateClass == timetable.Hard {
				by = max(from+1, b.calledBy(by))
			}
			to = min(to, by)
			again = max(again, t.LatestS+b.throughS(i))
		}
	}
	for j, job := range b.jobs {
		if b.p.Jobs[j].Started && b.day.GoesOn(job.tubs[0], s, b.now) {
			to, quiet = min(to, b.p.Tasks[job.first].EarliestS), true
			again = max(again, b.p.Tasks[job.first].EarliestS+b.throughS(job.first))
		}
	}
	b.keepFree(from, to, keeps)
	if quiet && again > begin {
		b.keepFree(max(from, again), b.until(s.To)+1, keeps)
	}
}

// calledBy is when who is away is called for a lift that has to come by then.
func (b *scheduler) calledBy(byS int) int {
	return byS - secs(b.day.Plan.Kit.LeadMin-b.look.Hands[shed.Lift])
}

// liftBy is when who is away has to be back for what a fill puts in by a moment, far off where it is left.
func (b *scheduler) liftBy(fill, inS int) int {
	by := math.MaxInt32
	for _, l := range b.p.Lags {
		switch {
		case l.From != fill || l.MaxS == timetable.None:
		case l.Class == timetable.Hard:
			by = min(by, max(inS+l.MinS, b.calledBy(inS+l.MaxS)))
		case l.Class == timetable.Soft:
			by = min(by, inS+l.MaxS)
		}
	}
	return by
}

// boiled is when the kettle can go on for a fill, once it is free, and has boiled; 0 where nothing is to
// boil. One that is on for another fill is held for that.
func (b *scheduler) boiled(fill, freeS int) (onS, readyS int) {
	boil := -1
	for _, h := range b.p.Holds {
		switch {
		case h.To == fill:
			boil = h.From
		case b.of[h.From].on:
			freeS = math.MaxInt32 / 2
		}
	}
	if boil < 0 {
		return 0, 0
	}
	t := &b.p.Tasks[boil]
	if b.of[boil].on {
		return 0, t.DurS
	}
	onS = max(freeS, t.EarliestS)
	return onS, onS + t.DurS
}

// throughS is how long the batch of a task takes from its begin to the rack at the least, s.
func (b *scheduler) throughS(task int) int {
	s := b.p.Tasks[task].DurS
	for _, h := range b.p.Holds {
		if h.To == task {
			s += b.p.Tasks[h.From].DurS
		}
	}
	for _, l := range b.p.Lags {
		if l.From == task && b.p.Tasks[l.To].Job == b.p.Tasks[task].Job {
			return s + l.MinS + b.throughS(l.To)
		}
	}
	return s
}

// keepFree has nothing begin or go on from one second to another that needs these resources.
func (b *scheduler) keepFree(from, to int, keeps []int) {
	if to <= from {
		return
	}
	b.p.Tasks = append(slices.Clip(b.p.Tasks), timetable.Task{Job: timetable.None, Resources: keeps, DurS: to - from, EarliestS: from, LatestS: timetable.None, Fixed: true})
	b.of = append(slices.Clip(b.of), taskOf{job: -1, anchor: true, bath: -1})
	if len(b.p.WishS) > 0 {
		b.p.WishS = append(slices.Clip(b.p.WishS), from)
	}
}

// mayHang says that what a piece of work keeps waiting is fleece that takes no harm: its
// minutes are a wish.
func (b *scheduler) mayHang(of taskOf) bool {
	if of.job < 0 || !slices.Contains(of.acts, shed.FillTub) && !slices.Contains(of.acts, shed.SpinFibre) {
		return false
	}
	j := b.jobs[of.job]
	if of.step == j.from && b.p.Jobs[of.job].Started { // it may have come from another than the step before
		if t := b.day.Tubs[j.tubs[0]]; t.Phase == shed.ToFill && !t.WetSince.IsZero() {
			_, waits := b.day.FillWaits(j.tubs[0], b.now)
			return waits || t.WetBy().IsZero()
		}
	}
	if of.step < 1 {
		return false
	}
	_, longest := j.steps[of.step-1].HangsMin(&j.steps[of.step])
	return longest == 0
}

// longAfter: until when a soak may last that long after a break, nobody has to know.
const longAfter = 3 * time.Hour

// SayBreak says of a break what the timetable lifts before it or in it, what soaks on, and where
// something else waits that cannot: a bath for its fleece, or fleece that hangs. It has its day where not all
// of the breaks are of the day that the timetable begins on.
func (t *Timetable) SayBreak(s shed.Span, p *shed.Plan) string {
	clock := func(t time.Time) string { return p.Kit.Units.Clock(p.OnTheWall(t)) }
	var before, in, on, till, waits []string
	for i := range t.Soaks {
		k := &t.Soaks[i]
		if slices.ContainsFunc(t.Soaks[i+1:], func(o Soak) bool { return o.Tub == k.Tub && !o.Start.After(s.From) }) {
			continue // another bath by then
		}
		name, by := p.Kit.Tubs[k.Tub].Name, k.Release
		if !by.IsZero() {
			by = by.Add(-measure.Lasting(p.Kit.LeadMin))
		}
		if longest := k.Start.Add(measure.Lasting(k.Step.LongestMin)); k.Step.LongestMin > 0 && (by.IsZero() || longest.Before(by)) {
			by = longest
		}
		short := !by.IsZero() && by.Before(s.To)
		switch over := !k.End.After(s.From); {
		case over && short && by.After(s.From):
			before = append(before, name) // it could not have soaked on
		case over || k.Start.After(s.From):
		case short && k.Release.IsZero() && !k.End.Before(s.To): // worth it for hours of the day
			till = append(till, name+" soaks on till "+clock(k.End)+", "+measure.Minutes(math.Round(k.End.Sub(by).Minutes()))+" past its limit")
		case short && !by.After(s.From):
			before = append(before, name) // it cannot soak on
		case short:
			in = append(in, name+" by "+clock(by))
		case by.IsZero() || by.Sub(s.To) > longAfter:
			on = append(on, name)
		default:
			till = append(till, name+" may soak till "+clock(by))
		}
	}
	for i := range t.Pieces {
		w := &t.Pieces[i]
		name := p.Kit.Tubs[w.Tub].Name
		first := s.Meets(shed.Span{From: w.Start, To: w.End}) && slices.Contains(w.Acts, shed.FillTub) // the break begins behind it
		if (first || w.Late >= time.Minute && !w.Boil() && !w.Start.Before(s.To)) && !slices.Contains(waits, name) &&
			!slices.ContainsFunc(t.Soaks, func(k Soak) bool { return k.Tub == w.Tub && k.End.After(s.From) && k.Start.Before(w.Start) }) {
			waits = append(waits, name)
		}
	}
	say := func(lead string, names []string, behind string) {
		if len(names) > 0 {
			till = append(till, lead+listed(names)+behind)
		}
	}
	if slices.ContainsFunc(p.NightsOf(t.From), func(n shed.Night) bool { return n.BinL > 0 && n.At.Before(s.To) && n.Until.After(s.From) }) {
		on = append(on, "what is in the bin")
	}
	say("", on, " may soak on")
	say("be back to lift ", in, "")
	if len(before) > 0 && len(waits) > 0 {
		waits, before = []string{listed(waits) + " and lift " + listed(before)}, nil
	}
	say("lift ", before, " first")
	say("see to ", waits, " first")
	if len(till) == 0 {
		till = []string{"no fleece is in the water then"}
	}
	slices.Reverse(till)
	from := clock(s.From)
	for _, b := range t.Breaks {
		if p.OnTheWall(b.From).YearDay() != p.OnTheWall(t.From).YearDay() {
			from = p.Kit.Units.Moment(p.OnTheWall(s.From), "Mon 15:04")
		}
	}
	return p.SayAway(s) + " " + from + " to " + clock(s.To) + ": " + strings.Join(till, "; ") + t.sayCost(s, p)
}

// costsMore is how much longer than its breaks a day has to be for them before it is said why; our own choice.
const costsMore = 10 * time.Minute

// sayCost ends what is said of a break that costs more than its own time: since when nothing is begun before it.
func (t *Timetable) sayCost(s shed.Span, p *shed.Plan) string {
	cost, idle := t.Finish.Sub(t.Unbroken), t.From
	more := cost - costsMore
	for _, b := range t.Breaks {
		more -= b.To.Sub(b.From)
	}
	for i := range t.Pieces {
		if w := &t.Pieces[i]; !w.Boil() && w.End.After(idle) && !w.End.After(s.From) {
			idle = w.End
		}
	}
	if t.Unbroken.IsZero() || p.IsQuiet(s.From) || more < 0 || s.From.Sub(idle) < costsMore {
		return ""
	}
	say := "; it makes the day " + measure.Minutes(math.Round(cost.Minutes())) + " longer"
	if len(t.Breaks) > 1 {
		say = ""
	}
	return say + "; nothing begun after " + p.Kit.Units.Clock(p.OnTheWall(idle)) + " would be out before it"
}
