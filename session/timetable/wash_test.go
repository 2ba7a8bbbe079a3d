package timetable_test

import "fleece.example/tubside/session/timetable"

const (
	person = iota
	kettle
	sink
	things
)

// washing describes an invented wash day; all its figures are common practice
// without a source.
type washing struct {
	batches, tubs int
	kettle, sink  bool
	waxy          func(batch int) bool // washed twice
	presoak       func(batch int) bool
}

// bath is one filling: how long the fleece lies in it.
type bath struct {
	soakS, longestS int
	class           timetable.Class
	hot             bool
}

func (w washing) baths(batch int) []bath {
	var out []bath
	if w.presoak == nil || w.presoak(batch) {
		out = append(out, bath{20 * 60, 12 * 3600, timetable.Soft, false})
	}
	wash := bath{20 * 60, 25 * 60, timetable.Hard, true}
	out = append(out, wash)
	if w.waxy != nil && w.waxy(batch) {
		out = append(out, wash)
	}
	return append(out, bath{15 * 60, 40 * 60, timetable.Soft, false}, bath{12 * 60, 40 * 60, timetable.Soft, false})
}

// day is the problem, and the tasks of each batch in order.
type day struct {
	timetable.Problem
	what []string
}

func (d *day) task(what string, job, durS int, resources ...int) int {
	d.Tasks = append(d.Tasks, timetable.Task{Job: job, DurS: durS, Resources: resources, LatestS: timetable.None})
	d.what = append(d.what, what)
	return len(d.Tasks) - 1
}

func (d *day) lag(from, to, minS, maxS int, class timetable.Class) {
	d.Lags = append(d.Lags, timetable.Lag{From: from, To: to, Limits: timetable.Limits{MinS: minS, MaxS: maxS}, Class: class})
}

func (w washing) problem() day {
	d := day{}
	d.Resources, d.Tubs = things, w.tubs
	for j := range w.batches {
		d.Jobs = append(d.Jobs, timetable.Job{NeedsTub: true})
		before := timetable.None
		next := func(what string, durS int, resources ...int) int {
			i := d.task(what, j, durS, append([]int{person}, resources...)...)
			if before != timetable.None {
				d.lag(before, i, 0, timetable.None, timetable.Hard)
			}
			before = i
			return i
		}
		atSink := []int{}
		if w.sink {
			atSink = append(atSink, sink)
		}
		for _, b := range w.baths(j) {
			durS := 240
			if b.hot {
				durS = 300
			}
			fill := next("fill and sink in", durS+90)
			if b.hot && w.kettle {
				boil := d.task("boil", timetable.None, 8*60, kettle)
				d.lag(boil, fill, 0, 5*60, timetable.Hard)
				d.Holds = append(d.Holds, timetable.Hold{Resource: kettle, From: boil, To: fill})
			}
			before = timetable.None
			lift := next("lift and drain", 330, atSink...)
			d.lag(fill, lift, b.soakS, b.longestS, b.class)
		}
		next("spin", 180)
		next("rack", 180)
	}
	return d
}

// later is the day seen from a moment on: what has begun is gone, what was
// running keeps the person until it ends, and soaks that run have their latest
// lift. It is what a live day asks for at each event.
func (d day) later(s timetable.Solution, now int) timetable.Problem {
	p := timetable.Problem{Resources: d.Resources, Tubs: d.Tubs}
	end := func(i int) int { return s.Start[i] + d.Tasks[i].DurS }
	at := make([]int, len(d.Tasks))
	jobs := make([]int, len(d.Jobs))
	for j := range jobs {
		jobs[j] = timetable.None
	}
	begun, left := map[int]bool{}, map[int]bool{}
	for i, t := range d.Tasks {
		if t.Job != timetable.None {
			begun[t.Job] = begun[t.Job] || s.Start[i] < now
			left[t.Job] = left[t.Job] || s.Start[i] >= now
		}
	}
	for j, job := range d.Jobs {
		if !left[j] {
			continue
		}
		jobs[j] = len(p.Jobs)
		if begun[j] {
			job = timetable.Job{NeedsTub: true, Tubs: []int{s.Tub[j]}, Started: true}
		}
		p.Jobs = append(p.Jobs, job)
	}
	for i, t := range d.Tasks {
		at[i] = timetable.None
		if s.Start[i] < now {
			continue
		}
		if t.Job != timetable.None {
			t.Job = jobs[t.Job]
		}
		at[i] = len(p.Tasks)
		p.Tasks, p.WishS = append(p.Tasks, t), append(p.WishS, s.Start[i]-now)
	}
	for i, t := range d.Tasks {
		if s.Start[i] < now && end(i) > now {
			rest := timetable.Task{Job: timetable.None, Resources: t.Resources, DurS: end(i) - now, LatestS: 0}
			p.Tasks, p.WishS = append(p.Tasks, rest), append(p.WishS, 0)
		}
	}
	for _, l := range d.Lags {
		from, to := at[l.From], at[l.To]
		switch {
		case to == timetable.None:
		case from != timetable.None:
			l.From, l.To = from, to
			p.Lags = append(p.Lags, l)
		default:
			t := &p.Tasks[to]
			t.EarliestS = max(t.EarliestS, end(l.From)+l.MinS-now)
			if l.MaxS != timetable.None {
				latest := max(0, end(l.From)+l.MaxS-now)
				if t.LatestS == timetable.None || latest < t.LatestS {
					t.LatestS, t.LateClass = latest, l.Class
				}
			}
		}
	}
	for _, h := range d.Holds {
		if from, to := at[h.From], at[h.To]; from != timetable.None && to != timetable.None {
			p.Holds = append(p.Holds, timetable.Hold{Resource: h.Resource, From: from, To: to})
		}
	}
	return p
}

// everyThird is the share of waxy fleeces in the days tried.
func everyThird(batch int) bool { return batch%3 == 0 }

func full(batches, tubs int) washing {
	return washing{batches: batches, tubs: tubs, kettle: true, sink: true, waxy: everyThird}
}
