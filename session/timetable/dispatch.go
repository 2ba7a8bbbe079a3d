package timetable

// turn is a rule by which a row is put together from its beginning: which of the
// tasks that could be next is next.
type turn struct {
	lean    int // eighths of what lies ahead of a task that count for it against how long it has waited
	marginS int // a task this near to its latest start goes first
	waitS   int // so long the main resource may stand idle for a better task
}

// dispatch puts the row together from its beginning, always the next task by a
// rule. No task is chosen that would make another one too late, if there is
// one that would not. It says whether all tasks found their place.
func (r *row) dispatch(rule turn, jobs []int) bool {
	m := r.m
	r.clear()
	copy(r.now, r.states[:r.w])
	left := make([]int, m.n)
	first := make([]int, 0, len(jobs)) // tasks that begin jobs which wait for a tub
	waits := make([]bool, m.n)
	for _, j := range jobs {
		if i := m.jobTasks[j][0]; !m.p.Jobs[j].Started {
			first = append(first, i)
			waits[i] = true
		}
	}
	var ready []int
	for _, i := range m.order {
		for _, l := range m.in[i] {
			if r.own[m.p.Lags[l].From] {
				left[i]++
			}
		}
		if left[i] == 0 && r.own[i] && !waits[i] {
			ready = append(ready, i)
		}
	}
	open := make([]int, 0, len(ready)+1)
	for {
		open = append(open[:0], ready...)
		for _, i := range first {
			if left[i] == 0 && r.free(m.tub[i]) != None {
				open = append(open, i)
				break
			}
		}
		if len(open) == 0 {
			break
		}
		i := r.next(open, rule)
		if !r.place(i) {
			return false
		}
		r.at[i] = len(r.order)
		r.order = append(r.order, i)
		if waits[i] {
			first = without(first, i)
		} else {
			ready = without(ready, i)
		}
		for _, l := range m.out[i] {
			to := m.p.Lags[l].To
			if left[to]--; left[to] == 0 && !waits[to] {
				ready = append(ready, to)
			}
		}
	}
	for i, own := range r.own {
		if own && r.at[i] == None {
			return false
		}
	}
	return r.settled()
}

func without(list []int, i int) []int {
	for k, x := range list {
		if x == i {
			return append(list[:k], list[k+1:]...)
		}
	}
	return list
}

// urgent puts what is nearly late before what is not.
const urgent = 1 << 50

// next chooses among tasks that could be next.
func (r *row) next(open []int, rule turn) int {
	r.placed += len(open)
	soonest := far
	for k, i := range open {
		at, _ := r.soonest(i)
		r.opens[k] = at
		soonest = min(soonest, at)
	}
	// The tightest latest starts among those open.
	best, bestKey := None, int64(0)
	fallback, nearest := open[0], far
	for k, i := range open {
		at := r.opens[k]
		latest := r.latest(i)
		if latest < nearest {
			fallback, nearest = i, latest
		}
		if at > soonest+rule.waitS || r.delays(open, i, at+r.dur[i]) {
			continue
		}
		_, waited := r.soonest(i)
		key := 8*int64(waited) - int64(rule.lean)*int64(r.m.tail[i])
		if latest-at <= rule.marginS {
			key = 8*int64(latest) - urgent
		}
		if best == None || key < bestKey || key == bestKey && i < best {
			best, bestKey = i, key
		}
	}
	if best == None {
		return fallback
	}
	return best
}

// delays says that one of the open tasks would be too late after another one
// that keeps the main resource until a moment, and would not be before it.
func (r *row) delays(open []int, i, until int) bool {
	for k, j := range open {
		if j == i {
			continue
		}
		if latest := r.latest(j); latest < until && r.opens[k] <= latest {
			return true
		}
	}
	return false
}

// soonest is when a task could start if it came next, and when it could if all
// resources were free.
func (r *row) soonest(i int) (at, alone int) {
	m, now := r.m, r.now
	p := m.p
	alone = p.Tasks[i].EarliestS
	for _, l := range m.in[i] {
		if from := p.Lags[l].From; r.own[from] {
			alone = max(alone, r.start[from]+r.dur[from]+r.lmin[l])
		}
	}
	at = alone
	for _, h := range r.with[i] {
		b := p.Holds[h].From
		at = max(at, max(p.Tasks[b].EarliestS, now[p.Holds[h].Resource])+r.dur[b]+r.lmin[m.out[b][0]])
	}
	for _, res := range m.alone[i] {
		at = max(at, now[res])
	}
	return at, alone
}

// latest is the latest start of a task by limits given or after those placed.
func (r *row) latest(i int) int {
	latest := r.m.softLatest[i]
	for _, l := range r.m.in[i] {
		if from := r.m.p.Lags[l].From; r.lmax[l] < far && r.own[from] {
			latest = min(latest, r.start[from]+r.dur[from]+r.lmax[l])
		}
	}
	return latest
}
