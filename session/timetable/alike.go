package timetable

import "slices"

// kinds numbers the jobs that wait for their turn so that jobs with one number
// differ in nothing but their own; None for a job that has started or has no
// tasks.
func (m *model) kinds() []int {
	kind := make([]int, len(m.p.Jobs))
	var first []int // the first closed job of each kind
	for j, job := range m.p.Jobs {
		kind[j] = j
		switch {
		case job.Started || len(m.jobTasks[j]) == 0:
			kind[j] = None
		case m.closed(j):
			if k := slices.IndexFunc(first, func(other int) bool { return m.alike(other, j) }); k >= 0 {
				kind[j] = first[k]
			} else {
				first = append(first, j)
			}
		}
	}
	return kind
}

// alikeFirst lists pairs of tasks of which the first need not start after the
// second: they begin jobs of one kind. In any timetable two such jobs may take
// each other's starts and tub, and all limits are kept as they were; so of all
// timetables of one finish there is one in which alike jobs start in the order
// in which Problem.Jobs lists them, and a search needs to look for no other.
func alikeFirst(m *model, kind []int) [][2]int {
	var out [][2]int
	last := map[int]int{} // the last job so far of each kind
	for j, k := range kind {
		if k == None {
			continue
		}
		if before, ok := last[k]; ok {
			out = append(out, [2]int{m.jobTasks[before][0], m.jobTasks[j][0]})
		}
		last[k] = j
	}
	return out
}

// closed says that a job is tied to nothing but tasks that serve one of its own
// alone.
func (m *model) closed(j int) bool {
	for _, i := range m.jobTasks[j] {
		for _, l := range m.out[i] {
			if m.p.Tasks[m.p.Lags[l].To].Job != j {
				return false
			}
		}
		for _, l := range m.in[i] {
			if from := m.p.Lags[l].From; m.p.Tasks[from].Job != j && !m.serves(from) {
				return false
			}
		}
	}
	return true
}

// serves says that a task is there for the one after it only.
func (m *model) serves(i int) bool {
	return m.p.Tasks[i].Job == None && len(m.in[i]) == 0 && len(m.out[i]) == 1
}

// alike says that two closed jobs differ in nothing but their numbers.
func (m *model) alike(a, b int) bool {
	x, y := m.jobTasks[a], m.jobTasks[b]
	p := m.p
	if len(x) != len(y) || p.Jobs[a].NeedsTub != p.Jobs[b].NeedsTub || !slices.Equal(p.Jobs[a].Tubs, p.Jobs[b].Tubs) {
		return false
	}
	twin := map[int]int{}
	for k, i := range x {
		twin[i] = y[k]
	}
	for k, i := range x {
		if !m.alikeTasks(i, y[k]) || len(m.in[i]) != len(m.in[y[k]]) || len(m.out[i]) != len(m.out[y[k]]) {
			return false
		}
		for n, l := range m.in[i] {
			lag, other := p.Lags[l], p.Lags[m.in[y[k]][n]]
			switch same, own := twin[lag.From]; {
			case own && same != other.From:
				return false
			case !own && (!m.serves(other.From) || !m.alikeTasks(lag.From, other.From)):
				return false
			case lag.Limits != other.Limits || lag.Class != other.Class || !slices.Equal(lag.OnS, other.OnS):
				return false
			}
		}
	}
	return true
}

// alikeTasks says that two tasks ask for the same and hold the same.
func (m *model) alikeTasks(a, b int) bool {
	x, y := m.p.Tasks[a], m.p.Tasks[b]
	if x.DurS != y.DurS || x.EarliestS != y.EarliestS || x.LatestS != y.LatestS || x.LateClass != y.LateClass ||
		!slices.Equal(x.Resources, y.Resources) || !slices.Equal(x.Takes, y.Takes) {
		return false
	}
	h, k := m.holdFrom[a], m.holdFrom[b]
	return (h == None) == (k == None) && (h == None || m.p.Holds[h].Resource == m.p.Holds[k].Resource)
}
