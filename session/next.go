package session

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// NextAct is one of the acts to come across all tubs, in the order in which they
// are best done.
type NextAct struct {
	Prompt
	// Boil: it is the kettle that has to be put on, for a bath of Prompt.Tub.
	Boil    bool
	BoilL   float64
	BoilFor string // the step
	// BoilOn: it is on, and boils at DueAt.
	BoilOn bool
	// PlanAt is when the timetable has it; zero if it has not.
	PlanAt time.Time
	// Spare is how long it may wait before a wash somewhere is spoilt; HasSpare
	// is false if none hangs on it. Late is by how much it cannot but be late.
	Spare    time.Duration
	HasSpare bool
	Late     time.Duration
	LateWash bool
}

// pressingSpare: an act with more time to spare than this presses nobody.
const pressingSpare = 30 * time.Minute

// Next is what to do across all tubs in the order of the timetable: what does
// harm first, then what can be done now, least time to spare first and then as
// the timetable has it, then what comes, the kettle among it. The timetable is of this day, at now or a little
// before.
func (d Day) Next(now time.Time, t Timetable) []NextAct {
	first := map[int]Piece{}
	var boils []Piece
	for _, p := range t.Pieces {
		if p.Boil() {
			boils = append(boils, p)
		} else if _, seen := first[p.Tub]; !seen {
			first[p.Tub] = p
		}
	}
	var out []NextAct
	for _, p := range d.Prompts(now) {
		a := NextAct{Prompt: p}
		if piece, ok := first[p.Tub]; ok && p.Tub >= 0 && slices.Contains(piece.Acts, p.Act) {
			a.planned(piece, t.From, now)
			if b, known := d.Batch(piece.Batch); known && p.Act == LoadNext {
				d.sayLoad(&a.Prompt, b, now)
			}
		} else if p.Act == LoadNext && len(t.Pieces) > 0 {
			a.Rank, a.PlanAt = Resting, t.Finish // the timetable does without this tub
		}
		d.together(&a.Prompt, t.Pieces, now)
		out = append(out, a)
	}
	for _, p := range boils {
		if p.On { // from the day itself: it may have boiled since
			if k, on := d.KettleOn(now); on && k.BoiledAt.IsZero() {
				out = append(out, NextAct{Prompt: Prompt{Tub: p.Tub, Act: Wait, DueAt: k.ReadyAt(), Count: Count{ToDue, k.ReadyAt()}, Rank: Coming,
					Title: "kettle on for the " + k.StepName}, Boil: true, BoilOn: true, BoilL: k.VolumeL, BoilFor: k.StepName, PlanAt: k.ReadyAt()})
			}
			continue
		}
		if minutesBetween(now, p.Start) > kettleSoonMin {
			continue
		}
		a := NextAct{Prompt: Prompt{Tub: p.Tub, Act: Wait, DueAt: p.Start, Count: Count{ToDue, p.Start}, Rank: Coming}, Boil: true, BoilL: p.BoilL, BoilFor: p.Name}
		a.Batch = p.Batch
		a.Title = fmt.Sprintf("boil %s for the %s", d.Plan.Kit.KettleText(p.BoilL), p.Name)
		a.planned(p, t.From, now)
		if !p.Start.After(now) {
			a.Rank, a.Count = Now, Count{}
		}
		out = append(out, a)
	}
	slices.SortStableFunc(out, compareActs)
	d.sayFirst(out, now)
	return out
}

// kettleSoonMin: the kettle is spoken of when it is this near.
const kettleSoonMin = 30.0

// LimitAt is when waiting longer does harm, at the tub itself or, as the timetable
// has it, to a wash elsewhere; zero if none is in sight.
func (a NextAct) LimitAt(now time.Time) time.Time {
	at := a.MustBy
	if a.HasSpare {
		begin := a.PlanAt
		if begin.Before(now) {
			begin = now
		}
		if spoilt := begin.Add(a.Spare); at.IsZero() || spoilt.Before(at) {
			at = spoilt
		}
	}
	if at.Sub(now) > limitSeen {
		return zeroTime
	}
	return at
}

// limitSeen: a limit further off than this presses nobody.
const limitSeen = 3 * time.Hour

// planned takes over what the timetable says of an act. Spare time shrinks as
// the act waits past its place.
func (a *NextAct) planned(p Piece, from, now time.Time) {
	a.PlanAt, a.Spare, a.HasSpare, a.Late, a.LateWash = p.Start, p.Spare, p.HasSpare, p.Late, p.LateWash
	if over := now.Sub(p.Start); over > 0 && now.After(from) {
		a.Spare = max(0, a.Spare-over)
	}
}

func (a NextAct) pressed() time.Duration {
	if a.Act == SinkIn { // what has been begun at a tub is finished first, unless a wash spoils
		return sinkSpare
	}
	if a.HasSpare && a.Spare < pressingSpare {
		return a.Spare
	}
	return pressingSpare
}

// sinkSpare: a filled tub waits for its fleece behind a lift that spoils sooner.
const sinkSpare = 2 * time.Minute

func compareActs(a, b NextAct) int {
	if a.Rank != b.Rank {
		return int(a.Rank) - int(b.Rank)
	}
	if a.Stopped() != b.Stopped() && a.Rank == Now { // another tub's turn
		if a.Stopped() {
			return 1
		}
		return -1
	}
	if a.Rank != Now || a.PlanAt.IsZero() || b.PlanAt.IsZero() {
		return a.pressing().Compare(b.pressing())
	}
	if c := cmp.Compare(a.pressed(), b.pressed()); c != 0 {
		return c
	}
	return a.PlanAt.Compare(b.PlanAt)
}

// sayFirst adds to the foremost act that another is due before it would be
// through: so nothing long is begun that a wash has to wait for.
func (d Day) sayFirst(acts []NextAct, now time.Time) {
	if len(acts) == 0 || acts[0].Rank != Now || acts[0].Act == Wait {
		return
	}
	takes, hands := time.Duration(0), d.Plan.HandsMin()
	for _, act := range append([]Action{acts[0].Act}, acts[0].Then...) {
		takes += minutes(hands[act])
	}
	for _, a := range acts[1:] {
		if a.Act == Lift && a.Rank == Coming && a.HasSpare && !a.DueAt.Add(a.Spare).After(now.Add(takes)) {
			acts[0].Details = append([]string{fmt.Sprintf("first lift at %s, due in %s: it will not wait for this", d.tubName(a.Tub), showMin(max(0, minutesBetween(now, a.DueAt))))}, acts[0].Details...)
			return
		}
	}
}
