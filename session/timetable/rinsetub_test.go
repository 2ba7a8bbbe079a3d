package timetable_test

import (
	"fmt"
	"testing"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/timetable"
)

// rinsing is a day of alike batches, the last of which are lifted over into another tub for
// their rinses: minutes as the planner has them for the usual method.
type rinsing struct {
	batches, tubs int
	baths         []bath
	rinses        int  // so many baths are, the last
	moved         int  // batches
	kept          bool // for their rinses the last tub is kept, in which no batch is washed
	bare          bool // no wash would last in the last tub
	filled        bool // the other tub is filled while they soak, else after the lift
}

// What the hands take, s, and for how long a filled bath may wait for its fleece.
const (
	loadS, fillS, sinkS, liftS, drainS, rackS = 90, 180, 60, 90, 180, 390
	readyS                                    = 8 * 60
)

// problem poses the day: a batch that is lifted over is two jobs with lags between them.
func (r rinsing) problem() timetable.Problem {
	d := day{}
	d.Resources, d.Tubs = things, r.tubs
	job := func(tubs ...int) int {
		d.Jobs = append(d.Jobs, timetable.Job{NeedsTub: true, Tubs: tubs})
		return len(d.Jobs) - 1
	}
	var washes, rinses []int // none named: any tub
	for t := range r.tubs - 1 {
		if r.kept || r.bare {
			washes = append(washes, t)
		}
	}
	if r.kept {
		rinses = []int{r.tubs - 1}
	}
	for batch := range r.batches {
		j, in := job(washes...), timetable.None // in: when the fleece went into its bath
		boil := func(b bath, fill int) {
			if b.hot {
				i := d.task("boil", timetable.None, 8*60, kettle)
				d.lag(i, fill, 0, 5*60, timetable.Soft)
				d.Holds = append(d.Holds, timetable.Hold{Resource: kettle, From: i, To: fill})
			}
		}
		for k, b := range r.baths {
			var before bath
			if k > 0 {
				before = r.baths[k-1]
			}
			hangS := 45 * 60
			if before.class == timetable.Hard || k > len(r.baths)-r.rinses {
				hangS = 10 * 60
			}
			switch over := k == len(r.baths)-r.rinses && batch >= r.batches-r.moved; {
			case k == 0:
				in = d.task("load, fill, sink in", j, loadS+fillS+sinkS, person)
				boil(b, in)
			case !over:
				lift := d.task("lift, drain", j, liftS+drainS, person)
				d.lag(in, lift, before.soakS, before.longestS, before.class)
				fill := d.task("fill, sink in", j, fillS+sinkS, person)
				d.lag(lift, fill, 0, hangS-drainS-fillS-sinkS, timetable.Soft)
				boil(b, fill)
				in = fill
			case r.filled:
				from, sunk := j, in
				j = job(rinses...)
				fill := d.task("fill", j, fillS, person)
				d.lag(sunk, fill, before.soakS-fillS-readyS, timetable.None, timetable.Soft)
				in = d.task("lift, sink in", j, liftS+sinkS, person)
				d.lag(fill, in, 0, readyS, timetable.Soft)
				d.lag(sunk, in, before.soakS, before.longestS, before.class)
				drain := d.task("drain", from, drainS, person)
				d.lag(sunk, drain, 0, timetable.None, timetable.Soft)
				d.lag(in, drain, 0, timetable.None, timetable.Soft)
			default:
				lift := d.task("lift", j, liftS, person)
				d.lag(in, lift, before.soakS, before.longestS, before.class)
				drain := d.task("drain", j, drainS, person)
				d.lag(lift, drain, 0, timetable.None, timetable.Soft)
				j = job(rinses...)
				in = d.task("fill, sink in", j, fillS+sinkS, person)
				d.lag(lift, in, 0, hangS-fillS-sinkS, timetable.Soft)
			}
		}
		last := r.baths[len(r.baths)-1]
		lift := d.task("lift, drain", j, liftS+drainS, person)
		d.lag(in, lift, last.soakS, last.longestS, last.class)
		d.lag(lift, d.task("spin, rack", j, rackS, person), 0, timetable.None, timetable.Soft)
	}
	return d.Problem
}

// finishMin is when the day is done, min, a minute past a soft limit as it weighs.
func (r rinsing) finishMin(t *testing.T) float64 {
	s := solve(t, r.problem(), long.Of(timetable.Budget{Places: 20_000, Nodes: 500}, timetable.Budget{Places: 600_000, Nodes: 1000}))
	at := s.FinishS
	for _, l := range s.Late {
		at += timetable.WishWeighs * l.ByS
	}
	return float64(at) / 60
}

// ways are what is compared with each batch in its own tub: all rinsed in the last tub, which is
// kept for that, and the last ones lifted over into any tub that is empty.
func (r rinsing) ways() (kept rinsing, over []rinsing) {
	kept = r
	kept.moved, kept.kept = r.batches, true
	for r.moved = 1; r.moved <= r.batches; r.moved++ {
		over = append(over, r)
	}
	return kept, over
}

// Days with rinses in another tub against every order and tub, timed by other code than the timetable's.
func TestRinsesInAnotherTubAgainstAllOrders(t *testing.T) {
	baths := []bath{{20 * 60, 30 * 60, timetable.Hard, true}, {15 * 60, 40 * 60, timetable.Soft, false}}
	for _, filled := range []bool{true, false} {
		for _, n := range long.Of([][2]int{{1, 2}, {2, 2}}, [][2]int{{1, 2}, {2, 2}, {2, 3}}) {
			own := rinsing{batches: n[0], tubs: n[1], baths: baths, rinses: 1, filled: filled}
			kept, over := own.ways()
			for _, r := range append(over, own, kept) {
				p := r.problem()
				isBest(t, leastFinish(p), solve(t, p, timetable.Budget{Places: 2000, Nodes: 20_000}))
			}
		}
	}
}

// What rinses in another tub gain: a tub that is kept for them makes every day longer but that of
// one batch. A basket lifted over into an empty tub gains what emptying and filling take, and
// nothing where each turn has a batch for each tub. Only a tub that does for no wash is worth more
// than that. At length and with -v the table is printed.
func TestWhatARinseTubGains(t *testing.T) {
	t.Parallel()
	for _, bare := range []bool{false, true} {
		for _, tubs := range []int{2, 3} {
			for batches := 1; batches <= long.Of(3, 6); batches++ {
				for _, filled := range []bool{true, false} {
					own := rinsing{batches: batches, tubs: tubs, baths: washing{}.baths(0), rinses: 2, filled: filled, bare: bare}
					kept, over := own.ways()
					ownMin, keptMin := own.finishMin(t), kept.finishMin(t)
					overMin := ownMin
					for _, r := range over {
						overMin = min(overMin, r.finishMin(t))
					}
					said := fmt.Sprintf("%d tubs (the last too bare to wash in: %5t), %d batches, filled before the lift %5t: each in its own %5.1f min, a tub kept %+5.1f, lifted over %+5.1f",
						tubs, bare, batches, filled, ownMin, keptMin-ownMin, overMin-ownMin)
					t.Log(said)
					swapMin := float64(drainS) / 60
					if filled {
						swapMin += float64(fillS) / 60
					}
					if batches == 1 && (keptMin != ownMin-swapMin || overMin != keptMin) ||
						!bare && (batches > 1 && keptMin <= ownMin || batches%tubs == 0 && overMin != ownMin || overMin < ownMin-2*swapMin) ||
						bare && batches >= tubs && overMin > 0.95*ownMin {
						t.Error(said)
					}
				}
			}
		}
	}
}
