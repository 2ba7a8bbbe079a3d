package timetable

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// rowDay is a day of random jobs in tubs, with short and long waits, limits of
// both classes and a kettle for some tasks.
func rowDay(rng *rand.Rand) *Problem {
	p := &Problem{Resources: 2, Tubs: 1 + rng.IntN(3)}
	for j := range 2 + rng.IntN(6) {
		p.Jobs = append(p.Jobs, Job{NeedsTub: true})
		for k := range 2 + rng.IntN(5) {
			i := len(p.Tasks)
			p.Tasks = append(p.Tasks, Task{Job: j, Resources: []int{0}, DurS: 1 + rng.IntN(6), LatestS: None})
			if rng.IntN(8) == 0 {
				p.Tasks[i].DurOnS = slices.Repeat([]int{p.Tasks[i].DurS}, p.Tubs)
				p.Tasks[i].DurOnS[0] += rng.IntN(3)
			}
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
			p.Lags = append(p.Lags, Lag{From: boil, To: i, Limits: Limits{0, rng.IntN(6)}, Class: Soft, Tight: true})
			p.Holds = append(p.Holds, Hold{1, boil, i})
		}
	}
	return p
}

// Whatever is moved, a row has the cost of its starts, which keep all but the
// limits; without longest waits it has the starts of a row put together anew in
// the same order. A move that was not taken leaves nothing behind.
func TestRowByAndByIsTheRowAnew(t *testing.T) {
	kept, dropped := 0, 0
	for seed := uint64(1); seed <= 150; seed++ {
		p := rowDay(rand.New(rand.NewPCG(seed, 3)))
		if seed%2 == 0 {
			for l := range p.Lags {
				p.Lags[l].MaxS = None
			}
		}
		m, err := compile(p)
		if err != nil {
			t.Fatal(err)
		}
		s := search{m: m, chance: chance(seed)}
		r, anew := m.newRow(), m.newRow()
		if !r.dispatch(turn{}, s.jobOrder()) {
			t.Fatalf("seed %d: no row", seed)
		}
		r.kinds()
		for step := range 200 {
			was := slices.Clone(r.order)
			first, ok := s.shuffle(r, r.gaps(nil))
			if !ok {
				if !slices.Equal(was, r.order) {
					t.Fatalf("seed %d, step %d: changed without a word", seed, step)
				}
				continue
			}
			if r.try(first, far, cost{hard: far}) && s.chance.below(2) == 0 {
				r.keep()
				kept++
			} else {
				r.drop()
				r.restore()
				dropped++
				if !slices.Equal(was, r.order) {
					t.Fatalf("seed %d, step %d: order %v, was %v", seed, step, r.order, was)
				}
			}
			if !slices.Equal(r.start, r.keptStart) {
				t.Fatalf("seed %d, step %d: starts %v, kept %v", seed, step, r.start, r.keptStart)
			}
			if got := s.weigh(r.keptStart, r.keptTub); got != r.cost() {
				t.Fatalf("seed %d, step %d: the row says %+v, its starts %+v", seed, step, r.cost(), got)
			}
			if seed%2 == 0 {
				place := make([]int, m.n)
				for k, i := range r.order {
					place[i] = k
				}
				if !anew.line(place) || !slices.Equal(anew.keptStart, r.keptStart) || anew.cost() != r.cost() {
					t.Fatalf("seed %d, step %d: bit by bit %v (%+v), anew %v (%+v)", seed, step, r.keptStart, r.cost(), anew.keptStart, anew.cost())
				}
			}
		}
		was := s
		was.start, was.tub, was.best = r.keptStart, r.keptTub, r.cost()
		if err := Check(*p, was.solution()); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
	}
	if kept < 1000 || dropped < 1000 {
		t.Errorf("only %d moves kept and %d not", kept, dropped)
	}
}

// What is known of later tasks shortens the way to a slack and changes none.
func TestSlackWithAndWithoutWhatIsKnown(t *testing.T) {
	limits := 0
	for seed := uint64(1); seed <= 200; seed++ {
		p := rowDay(rand.New(rand.NewPCG(seed, 5)))
		s, err := Solve(*p, Budget{Places: 2000})
		if err != nil {
			t.Fatal(err)
		}
		got, err := Slack(*p, s)
		if err != nil {
			t.Fatal(err)
		}
		m, _ := compile(p)
		k := newSlacker(m, &s)
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
