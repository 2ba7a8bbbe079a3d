package timetable_test

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"sync"
	"testing"

	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/timetable"
	"pgregory.net/rapid"
)

// drawDay is a wash day of a few batches, with presoaks and waxy fleeces as
// they come.
func drawDay(t *rapid.T, most int) washing {
	n := rapid.IntRange(1, most).Draw(t, "batches")
	presoak := rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "presoak")
	waxy := rapid.SliceOfN(rapid.Bool(), n, n).Draw(t, "waxy")
	return washing{
		batches: n, tubs: rapid.IntRange(1, 5).Draw(t, "tubs"),
		kettle: rapid.Bool().Draw(t, "kettle"), sink: rapid.Bool().Draw(t, "sink"),
		presoak: func(b int) bool { return presoak[b] }, waxy: func(b int) bool { return waxy[b] },
	}
}

func solve(t rapid.TB, p timetable.Problem, b timetable.Budget) timetable.Solution {
	t.Helper()
	s := must.Get(timetable.Solve(p, b)).In(t)
	must.Do(t, timetable.Check(p, s))
	return s
}

func TestDaysKeepTheirLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDay(t, 8).problem()
		s := solve(t, d.Problem, timetable.Budget{Places: rapid.IntRange(0, 4000).Draw(t, "places"), Nodes: 20})
		if len(s.Late) > 0 {
			t.Fatalf("nothing runs yet, but limits are passed: %v", s.Late)
		}
	})
}

// A day half done, at its own pace and up to a minute or more behind it.
func TestRunningDaysKeepTheirLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDay(t, 6).problem()
		s := solve(t, d.Problem, timetable.Budget{Places: 2000})
		now := rapid.IntRange(0, s.FinishS).Draw(t, "now")
		rest := d.later(s, now)
		again := solve(t, rest, timetable.Budget{Places: 4000, Nodes: 20})
		for _, l := range again.Late {
			if l.Class == timetable.Hard {
				t.Fatalf("at %d s the plan itself passes no limit, the new one does: %v", now, again.Late)
			}
		}
		for i := range rest.Tasks {
			if l := &rest.Tasks[i].LatestS; *l > 0 {
				*l = max(0, *l-rapid.IntRange(0, 400).Draw(t, "behind"))
			}
		}
		solve(t, rest, timetable.Budget{Places: 4000, Nodes: 20})
	})
}

func TestEqualProblemsHaveEqualAnswers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDay(t, 6).problem()
		b := timetable.Budget{Places: 3000, Nodes: 10}
		one, two := solve(t, d.Problem, b), solve(t, d.Problem, b)
		if !slices.Equal(one.Start, two.Start) || !slices.Equal(one.Tub, two.Tub) || one.BoundS != two.BoundS {
			t.Fatalf("%v\n%v", one, two)
		}
	})
}

func TestAnotherTubNeverFinishesLater(t *testing.T) {
	proven := 0
	for seed := uint64(1); seed <= 60; seed++ {
		p := smallDay(rand.New(rand.NewPCG(seed, 11)))
		if slices.ContainsFunc(p.Lags, func(l timetable.Lag) bool { return len(l.OnS) > 0 }) {
			continue
		}
		budget := timetable.Budget{Places: 500, Nodes: 5000}
		two := solve(t, p, budget)
		p.Tubs++
		three := solve(t, p, budget)
		if !two.Proven || !three.Proven {
			continue
		}
		proven++
		if three.FinishS > two.FinishS {
			t.Errorf("seed %d: %d s on two tubs, %d s on three", seed, two.FinishS, three.FinishS)
		}
	}
	if proven < 20 {
		t.Errorf("only %d days proven", proven)
	}
	t.Logf("%d days, seeds 1 to 60", proven)
}

// shuffle numbers the jobs anew.
func shuffle(p timetable.Problem, rng *rand.Rand) timetable.Problem {
	to := rng.Perm(len(p.Jobs))
	q := p
	q.Jobs, q.Tasks, q.Lags, q.Holds = make([]timetable.Job, len(p.Jobs)), nil, slices.Clone(p.Lags), slices.Clone(p.Holds)
	for j, job := range p.Jobs {
		q.Jobs[to[j]] = job
	}
	at := make([]int, len(p.Tasks))
	for j := timetable.None; j < len(p.Jobs); j++ {
		for i, t := range p.Tasks {
			if t.Job == timetable.None && j == timetable.None || t.Job != timetable.None && j != timetable.None && to[t.Job] == j {
				at[i] = len(q.Tasks)
				t.Job = j
				q.Tasks = append(q.Tasks, t)
			}
		}
	}
	for l := range q.Lags {
		q.Lags[l].From, q.Lags[l].To = at[q.Lags[l].From], at[q.Lags[l].To]
	}
	for h := range q.Holds {
		q.Holds[h].From, q.Holds[h].To = at[q.Holds[h].From], at[q.Holds[h].To]
	}
	return q
}

func TestOrderOfJobsDoesNotMatter(t *testing.T) {
	proven := 0
	for seed := uint64(1); seed <= 60; seed++ {
		rng := rand.New(rand.NewPCG(seed, 13))
		p := smallDay(rng)
		budget := timetable.Budget{Places: 500, Nodes: 5000}
		one, two := solve(t, p, budget), solve(t, shuffle(p, rng), budget)
		if !one.Proven || !two.Proven {
			if one.Unavoidable != two.Unavoidable {
				t.Errorf("seed %d: limits cannot be kept: %t, shuffled %t", seed, one.Unavoidable, two.Unavoidable)
			}
			continue
		}
		proven++
		if one.FinishS != two.FinishS {
			t.Errorf("seed %d: finish %d, shuffled %d", seed, one.FinishS, two.FinishS)
		}
	}
	if proven < 20 {
		t.Errorf("only %d days proven", proven)
	}
	t.Logf("%d days, seeds 1 to 60", proven)
}

// Whatever is asked, the answer is a timetable or a sentence.
func TestAbsurdProblems(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		odd := rapid.IntRange(-3, 6)
		large := rapid.OneOf(rapid.IntRange(-2, 30), rapid.SampledFrom([]int{math.MaxInt, math.MinInt, 100_000_000}))
		limits := rapid.Custom(func(t *rapid.T) timetable.Limits {
			return timetable.Limits{MinS: large.Draw(t, "min"), MaxS: large.Draw(t, "max")}
		})
		p := timetable.Problem{Resources: odd.Draw(t, "resources"), Tubs: odd.Draw(t, "tubs")}
		p.Jobs = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) timetable.Job {
			return timetable.Job{NeedsTub: rapid.Bool().Draw(t, "needs"), Started: rapid.Bool().Draw(t, "started"), Tubs: rapid.SliceOfN(odd, 0, 2).Draw(t, "tubs")}
		}), 0, 3).Draw(t, "jobs")
		p.Tasks = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) timetable.Task {
			return timetable.Task{
				Job: odd.Draw(t, "job"), Resources: rapid.SliceOfN(odd, 0, 2).Draw(t, "resources"), DurS: large.Draw(t, "dur"),
				EarliestS: large.Draw(t, "earliest"), LatestS: large.Draw(t, "latest"), LateClass: timetable.Class(rapid.IntRange(0, 2).Draw(t, "class")),
			}
		}), 0, 6).Draw(t, "tasks")
		p.Lags = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) timetable.Lag {
			return timetable.Lag{From: odd.Draw(t, "from"), To: odd.Draw(t, "to"), Limits: limits.Draw(t, "limits"), OnS: rapid.SliceOfN(limits, 0, 2).Draw(t, "on")}
		}), 0, 6).Draw(t, "lags")
		p.Holds = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) timetable.Hold {
			return timetable.Hold{Resource: odd.Draw(t, "resource"), From: odd.Draw(t, "from"), To: odd.Draw(t, "to")}
		}), 0, 2).Draw(t, "holds")
		answer(t, p)
	})
}

// The same with all numbers in range, so that only what they say together can
// be absurd.
func TestOddProblems(t *testing.T) {
	solved := 0
	rapid.Check(t, func(t *rapid.T) {
		resources, tubs, n := rapid.IntRange(1, 3).Draw(t, "resources"), rapid.IntRange(1, 3).Draw(t, "tubs"), rapid.IntRange(1, 7).Draw(t, "n")
		p := timetable.Problem{Resources: resources, Tubs: tubs}
		seconds := rapid.IntRange(0, 9)
		before := timetable.None
		for i := range n {
			if len(p.Jobs) == 0 || rapid.IntRange(0, 2).Draw(t, "new") == 0 {
				p.Jobs = append(p.Jobs, timetable.Job{NeedsTub: rapid.Bool().Draw(t, "needs")})
				before = timetable.None
			}
			latest := timetable.None
			if rapid.IntRange(0, 3).Draw(t, "limited") == 0 {
				latest = seconds.Draw(t, "latest") * 3
			}
			p.Tasks = append(p.Tasks, timetable.Task{Job: len(p.Jobs) - 1, DurS: seconds.Draw(t, "dur"), LatestS: latest,
				Resources: rapid.SliceOfNDistinct(rapid.IntRange(0, resources-1), 0, 2, rapid.ID).Draw(t, "uses"), LateClass: timetable.Class(rapid.IntRange(0, 1).Draw(t, "class"))})
			if before != timetable.None {
				p.Lags = append(p.Lags, lagOf(t, before, i))
			}
			before = i
		}
		for range rapid.IntRange(0, 2).Draw(t, "more") {
			from, to := rapid.IntRange(0, n-1).Draw(t, "from"), rapid.IntRange(0, n-1).Draw(t, "to")
			if from != to {
				p.Lags = append(p.Lags, lagOf(t, from, to))
				if rapid.Bool().Draw(t, "hold") {
					p.Holds = append(p.Holds, timetable.Hold{Resource: rapid.IntRange(0, resources-1).Draw(t, "held"), From: from, To: to})
				}
			}
		}
		if answer(t, p) {
			solved++
		}
	})
	if solved == 0 {
		t.Error("none was solved")
	}
	t.Logf("%d solved", solved)
}

func lagOf(t *rapid.T, from, to int) timetable.Lag {
	l := timetable.Lag{From: from, To: to, Limits: timetable.Limits{MinS: rapid.IntRange(0, 9).Draw(t, "min"), MaxS: timetable.None}, Class: timetable.Class(rapid.IntRange(0, 1).Draw(t, "class"))}
	if rapid.Bool().Draw(t, "limited") {
		l.MaxS = l.MinS + rapid.IntRange(0, 9).Draw(t, "more")
	}
	return l
}

func answer(t *rapid.T, p timetable.Problem) bool {
	s, err := timetable.Solve(p, timetable.Budget{Places: 200, Nodes: 200})
	if err != nil {
		if len(err.Error()) < 20 {
			t.Fatalf("not a sentence: %q", err)
		}
		return false
	}
	must.Do(t, timetable.Check(p, s))
	must.Get(timetable.Slack(p, s)).In(t)
	return true
}

// With a memory the answers are the same, and what is done to one changes no other.
func TestMemoryAnswersTheSame(t *testing.T) {
	p := soaking(100, 0)
	want := solve(t, p, live)
	memory := new(sync.Map)
	timetable.Memory = memory
	defer func() { timetable.Memory = nil }()
	for range 3 {
		got := solve(t, p, live)
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%+v, want %+v", got, want)
		}
		got.Start[0], got.Tub[0], got.Late[0].ByS = -9, -9, -9
	}
	if got := solve(t, soaking(180, 0), live); len(got.Late) > 0 {
		t.Errorf("another problem has the answer %+v", got)
	}
	solve(t, p, timetable.Budget{Places: 1})
	kept := 0
	memory.Range(func(any, any) bool { kept++; return true })
	if kept != 3 {
		t.Errorf("%d answers are kept of 2 problems, one of them with 2 budgets", kept)
	}
}
