package timetable_test

import (
	"crypto/sha256"
	"math/rand/v2"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/timetable"
)

const (
	none = timetable.None
)

// soaking is a day with two tubs whose fleece is lifted next: the first in its
// wash, the second in a rinse.
func soaking(washLatestS, rinseLatestS int) timetable.Problem {
	p := timetable.Problem{Resources: 1, Tubs: 2}
	for tub, latest := range []int{washLatestS, rinseLatestS} {
		p.Jobs = append(p.Jobs, timetable.Job{NeedsTub: true, Started: true, Tubs: []int{tub}})
		p.Tasks = append(p.Tasks, timetable.Task{Job: tub, Resources: []int{person}, DurS: 180, LatestS: latest, LateClass: timetable.Class(tub)})
	}
	return p
}

// Two lifts at once: what gives is the rinse, even if it would be later by more.
func TestARinseGivesWayToAWash(t *testing.T) {
	for _, c := range []struct {
		name        string
		wash, rinse int
		late        []timetable.Late
	}{
		{"both in time", 180, 0, nil},
		{"both now", 0, 0, []timetable.Late{{Task: 1, Lag: none, ByS: 180, Class: timetable.Soft}}},
		{"wash a little later", 100, 0, []timetable.Late{{Task: 1, Lag: none, ByS: 180, Class: timetable.Soft}}},
	} {
		p := soaking(c.wash, c.rinse)
		s := solve(t, p, live)
		if len(s.Late) != len(c.late) || len(c.late) > 0 && s.Late[0] != c.late[0] {
			t.Errorf("%s: late %v, want %v", c.name, s.Late, c.late)
		}
		if s.Unavoidable != (len(c.late) > 0) {
			t.Errorf("%s: unavoidable %t", c.name, s.Unavoidable)
		}
	}
}

// Among lifts that come too late anyway the sum counts: with equal limits the
// short ones go first (shortest processing time; W. E. Smith, Naval Research
// Logistics Quarterly 3, 1956, from memory).
func TestLatenessIsSmall(t *testing.T) {
	p := timetable.Problem{Resources: 1, Tubs: 5}
	durs := []int{300, 60, 240, 120, 180}
	for tub, d := range durs {
		p.Jobs = append(p.Jobs, timetable.Job{NeedsTub: true, Started: true, Tubs: []int{tub}})
		p.Tasks = append(p.Tasks, timetable.Task{Job: tub, Resources: []int{person}, DurS: d, LatestS: 0, LateClass: timetable.Hard})
	}
	s := solve(t, p, live)
	sum := 0
	for _, l := range s.Late {
		sum += l.ByS
	}
	if want := 60 + 180 + 360 + 600; sum != want {
		t.Errorf("late by %d s in all, can be %d", sum, want)
	}
}

// Delaying a task by its slack must be possible without passing a hard limit,
// and by a second more must not: found out by pushing.
func TestSlackIsExact(t *testing.T) {
	limited := 0
	for seed := uint64(1); seed <= 60; seed++ {
		p := smallDay(rand.New(rand.NewPCG(seed, 17)))
		s := solve(t, p, timetable.Budget{Places: 500, Nodes: 500})
		if len(s.Late) > 0 {
			continue
		}
		slack := must.Get(timetable.Slack(p, s)).In(t)
		for i, by := range slack {
			if by == timetable.NoLimit {
				if !delayed(p, s, i, 10_000) {
					t.Errorf("seed %d: task %d has no limit, yet one is passed", seed, i)
				}
				continue
			}
			limited++
			if !delayed(p, s, i, by) || delayed(p, s, i, by+1) {
				t.Errorf("seed %d: task %d may slip %d s: kept %t, a second more %t", seed, i, by, delayed(p, s, i, by), delayed(p, s, i, by+1))
			}
		}
	}
	if limited < 20 {
		t.Errorf("only %d tasks have a limit", limited)
	}
	t.Logf("%d tasks with a limit, seeds 1 to 60", limited)
}

// delayed puts a task off and pushes what comes after it; false if a hard limit
// is passed. It knows the same problems as leastFinish.
func delayed(p timetable.Problem, s timetable.Solution, task, by int) bool {
	tub := func(i int) int {
		if j := p.Tasks[i].Job; j != none {
			return s.Tub[j]
		}
		return none
	}
	dur := func(i int) int { return p.Tasks[i].DurS }
	now := s.Start[task]
	start := append([]int(nil), s.Start...)
	start[task] += by
	boilOf := map[int]int{}
	for _, h := range p.Holds {
		boilOf[h.From] = h.To
	}
	for round := range 20_000 {
		moved := false
		raise := func(i, at int) {
			if at > start[i] {
				start[i], moved = at, true
			}
		}
		for _, l := range p.Lags {
			m := l.Limits
			if len(l.OnS) > 0 {
				m = l.OnS[tub(l.From)]
			}
			raise(l.To, start[l.From]+dur(l.From)+m.MinS)
			if m.MaxS == none || l.Class != timetable.Hard || start[l.To] <= start[l.From]+dur(l.From)+m.MaxS {
				continue
			}
			if s.Start[l.From] < now {
				return false
			}
			raise(l.From, start[l.To]-m.MaxS-dur(l.From))
		}
		for a := range p.Tasks {
			for b := range p.Tasks {
				if a == b || s.Start[a] > s.Start[b] || p.Tasks[a].Resources[0] != p.Tasks[b].Resources[0] {
					continue
				}
				if fill, ok := boilOf[a]; ok {
					raise(b, start[fill])
				} else {
					raise(b, start[a]+dur(a))
				}
			}
		}
		if start[task] > s.Start[task]+by {
			return false // pushed beyond by what it pushes
		}
		if !moved {
			break
		}
		if round == 19_999 {
			return false
		}
	}
	for i, t := range p.Tasks {
		if t.LatestS != none && t.LateClass == timetable.Hard && start[i] > t.LatestS {
			return false
		}
	}
	return true
}

// A day that runs as planned finishes no later for being planned again.
func TestPlanningAgainKeepsWhatIsGood(t *testing.T) {
	d := full(24, 5).problem()
	s := solve(t, d.Problem, timetable.Budget{Places: 100_000})
	for now := 0; now < s.FinishS; now += 1731 {
		p := d.later(s, now)
		again := solve(t, p, live)
		if len(again.Late) > 0 || again.FinishS > s.FinishS-now {
			t.Errorf("from %d s on: finish after %d s, the plan says %d; late %v", now, again.FinishS, s.FinishS-now, again.Late)
		}
	}
}

// yardstick is work of a fixed size against which times are told.
func yardstick() {
	for range 20_000 {
		hashed = sha256.Sum256(hashed[:])
	}
}

var hashed [32]byte

func BenchmarkYardstick(b *testing.B) {
	for b.Loop() {
		yardstick()
	}
}

func benchmark(b *testing.B, p timetable.Problem, budget timetable.Budget) {
	b.ReportAllocs()
	var s timetable.Solution
	begin := time.Now()
	for b.Loop() {
		s, _ = timetable.Solve(p, budget)
	}
	own := time.Since(begin).Seconds() / float64(b.N)
	begin = time.Now()
	for range 10 {
		yardstick()
	}
	b.ReportMetric(own/(time.Since(begin).Seconds()/10), "yardsticks")
	b.ReportMetric(gap(s), "%gap")
}

func BenchmarkPlan(b *testing.B) {
	for _, n := range []struct {
		name    string
		batches int
	}{{"6", 6}, {"12", 12}, {"24", 24}, {"48", 48}} {
		b.Run(n.name, func(b *testing.B) { benchmark(b, full(n.batches, 5).problem().Problem, plan) })
	}
}

func halfDone(t testing.TB) timetable.Problem {
	d := full(24, 5).problem()
	s := must.Get(timetable.Solve(d.Problem, plan)).In(t)
	return d.later(s, s.FinishS/2)
}

func BenchmarkReplan(b *testing.B) { benchmark(b, halfDone(b), live) }

func BenchmarkSlack(b *testing.B) {
	p := halfDone(b)
	s, _ := timetable.Solve(p, live)
	b.ReportAllocs()
	for b.Loop() {
		must.Get(timetable.Slack(p, s)).In(b)
	}
}
