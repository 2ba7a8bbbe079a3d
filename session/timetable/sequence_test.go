package timetable

import (
	"math/rand/v2"
	"slices"
	"testing"

	"fleece.example/tubside/session/must"
)

// sequenceDay is a day of random jobs in tubs, with short and long waits, limits of
// both classes and a kettle for some tasks.
func sequenceDay(rng *rand.Rand) *Problem {
	p := &Problem{Resources: 2, Tubs: 1 + rng.IntN(3)}
	for j := range 2 + rng.IntN(6) {
		p.Jobs = append(p.Jobs, Job{NeedsTub: true})
		for k := range 2 + rng.IntN(5) {
			i := len(p.Tasks)
			p.Tasks = append(p.Tasks, Task{Job: j, Resources: []int{0}, DurS: 1 + rng.IntN(6), LatestS: None})
			if rng.IntN(10) == 0 {
				p.Tasks[i].LatestS = 20 + rng.IntN(80)
			}
			if k == 0 {
				continue
			}
			l := Lag{From: i - 1, To: i, Limits: Limits{rng.IntN(12), None}, Class: Class(rng.IntN(2))}
			if rng.IntN(2) == 0 {
				l.MaxS = l.MinS + rng.IntN(10)
			}
			p.Lags = append(p.Lags, l)
		}
	}
	for i := range p.Tasks {
		if rng.IntN(4) == 0 {
			boil := len(p.Tasks)
			p.Tasks = append(p.Tasks, Task{Job: None, Resources: []int{1}, DurS: 2 + rng.IntN(4), LatestS: None})
			p.Lags = append(p.Lags, Lag{From: boil, To: i, Limits: Limits{0, rng.IntN(6)}, Class: Soft})
			p.Holds = append(p.Holds, Hold{1, boil, i})
		}
	}
	return p
}

// Whatever is moved, a sequence has the cost of its starts, which keep all but the
// limits, and the starts of one arranged from nothing in the same order. A move
// that was not taken leaves nothing behind.
func TestSequenceChangedIsTheSequenceFromNothing(t *testing.T) {
	kept, dropped := 0, 0
	for seed := uint64(1); seed <= 150; seed++ {
		p := sequenceDay(rand.New(rand.NewPCG(seed, 3)))
		m := must.Get(compile(p)).In(t)
		s := search{m: m, chance: chance(seed)}
		q, fresh := m.newSequence(), m.newSequence()
		if !q.dispatch(rule{}, s.jobOrder()) {
			t.Fatalf("seed %d: no sequence", seed)
		}
		swaps := q.swappable()
		for step := range 200 {
			was := slices.Clone(q.order)
			first, ok := s.change(q, q.gaps(nil), swaps)
			if !ok {
				if !slices.Equal(was, q.order) {
					t.Fatalf("seed %d, step %d: changed without a word", seed, step)
				}
				continue
			}
			if q.try(first, cost{hard: unlimited, finish: unlimited}) && s.chance.below(2) == 0 {
				q.keep()
				kept++
			} else {
				q.drop()
				q.restore()
				dropped++
				if !slices.Equal(was, q.order) {
					t.Fatalf("seed %d, step %d: order %v, was %v", seed, step, q.order, was)
				}
			}
			if !slices.Equal(q.start, q.keptStart) {
				t.Fatalf("seed %d, step %d: starts %v, kept %v", seed, step, q.start, q.keptStart)
			}
			if got := costOf(m, q.keptStart, q.keptTub); got != q.cost() {
				t.Fatalf("seed %d, step %d: the sequence says %+v, its starts %+v", seed, step, q.cost(), got)
			}
			if !fresh.arrange(q.pos) || !slices.Equal(fresh.keptStart, q.keptStart) || fresh.cost() != q.cost() {
				t.Fatalf("seed %d, step %d: bit by bit %v (%+v), from nothing %v (%+v)", seed, step, q.keptStart, q.cost(), fresh.keptStart, fresh.cost())
			}
		}
		was := s
		was.start, was.tub, was.best = q.keptStart, q.keptTub, q.cost()
		if err := Check(*p, was.solution()); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
	}
	if kept < 1000 || dropped < 1000 {
		t.Errorf("only %d moves kept and %d not", kept, dropped)
	}
}

// costOf is the cost of a finished timetable, by its limits and ends.
func costOf(m *model, start, tub []int) cost {
	c := cost{sum: m.endSum(start)}
	for _, l := range m.late(start, tub) {
		if l.Class == Hard {
			c.hard += l.ByS
		} else {
			c.soft += l.ByS
		}
	}
	for i, at := range start {
		c.finish = max(c.finish, at+m.dur[i])
	}
	return c
}

// What is known of later tasks shortens the way to a slack and changes none.
func TestSlackWithAndWithoutWhatIsKnown(t *testing.T) {
	limits := 0
	for seed := uint64(1); seed <= 200; seed++ {
		p := sequenceDay(rand.New(rand.NewPCG(seed, 5)))
		s := must.Get(Solve(*p, Budget{Places: 2000})).In(t)
		got := must.Get(Slack(*p, s)).In(t)
		m, _ := compile(p)
		k := newSlackSearch(m, &s)
		for i := range got {
			if want, _ := k.slack(i); got[i] != want {
				t.Fatalf("seed %d: task %d has %d s, without what is known %d", seed, i, got[i], want)
			}
			if got[i] < NoLimit {
				limits++
			}
		}
	}
	if limits < 1000 {
		t.Errorf("only %d tasks with a limit", limits)
	}
}
