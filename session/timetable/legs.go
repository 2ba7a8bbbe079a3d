package timetable

import "slices"

// legs cuts a problem into legs: tasks that a longest wait ties together, so
// that none can be placed without the others. What lies between two legs may
// wait as long as it likes.
type legs struct {
	of     []int   // the leg of each task
	tasks  [][]int // the tasks of each leg, so that lags go forward
	preds  []int   // how many legs each waits for
	succs  [][]int
	jobs   [][]int    // the tub-needing jobs of each
	key    []int      // the task whose start stands for the leg's
	clash  [][][2]use // pairs of uses of one resource in a leg that lags do not keep apart
	tail   []int      // from the start of the key task to the end of the timetable
	rigid  []bool     // lags whose longest wait is kept in every timetable built
	latest []int      // latest start of the key task, with hard limits only
	soft   []int      // the same with all limits
}

// cut makes legs in which the longest waits that keep() names are never passed.
func (m *model) cut(keep func(Lag) bool) *legs {
	g := &legs{rigid: make([]bool, len(m.p.Lags))}
	for l := range m.p.Lags {
		g.rigid[l] = m.lmax[l] < far && keep(m.p.Lags[l])
	}
	g.components(m)
	n := len(g.tasks)
	g.preds, g.succs, g.jobs = make([]int, n), make([][]int, n), make([][]int, n)
	g.key, g.clash, g.tail = make([]int, n), make([][][2]use, n), make([]int, n)
	g.latest, g.soft = make([]int, n), make([]int, n)
	for l := range m.p.Lags {
		a, b := g.of[m.p.Lags[l].From], g.of[m.p.Lags[l].To]
		if a != b && !slices.Contains(g.succs[a], b) {
			g.succs[a] = append(g.succs[a], b)
			g.preds[b]++
		}
	}
	for s, tasks := range g.tasks {
		g.key[s] = tasks[0]
		most := -1
		g.latest[s], g.soft[s] = far, far
		for _, i := range tasks {
			if j := m.tub[i]; j != None && !slices.Contains(g.jobs[s], j) {
				g.jobs[s] = append(g.jobs[s], j)
			}
			for _, r := range m.alone[i] {
				if m.load[r] > most {
					most, g.key[s] = m.load[r], i
				}
			}
			g.latest[s], g.soft[s] = min(g.latest[s], m.latest[i]), min(g.soft[s], m.softLatest[i])
		}
		g.clashes(m, s)
		g.tail[s] = m.tail[g.key[s]]
	}
	return g
}

// use is a stretch for which a resource is busy: a task's own, or a hold's.
type use struct {
	first, last int
	toEnd       bool
}

// clashes finds the uses in a leg that could overlap.
func (g *legs) clashes(m *model, s int) {
	type of struct {
		resource int
		use
	}
	var uses []of
	for _, i := range g.tasks[s] {
		for _, r := range m.alone[i] {
			uses = append(uses, of{r, use{i, i, true}})
		}
		for _, h := range m.holds[i] {
			uses = append(uses, of{m.p.Holds[h].Resource, use{i, m.p.Holds[h].To, m.holdToEnd[h]}})
		}
	}
	for k, b := range uses {
		for _, a := range uses[:k] {
			if a.resource == b.resource && (a.first == b.first || !m.leads(a.last, b.first)) {
				g.clash[s] = append(g.clash[s], [2]use{a.use, b.use})
			}
		}
	}
}

// leads says whether lags go from a to b, directly or through others.
func (m *model) leads(a, b int) bool {
	seen := map[int]bool{a: true}
	for todo := []int{a}; len(todo) > 0; {
		i := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for _, l := range m.out[i] {
			to := m.p.Lags[l].To
			if to == b {
				return true
			}
			if !seen[to] {
				seen[to] = true
				todo = append(todo, to)
			}
		}
	}
	return false
}

// components finds the legs: the strongly connected parts of the graph in which
// every lag goes forward and every rigid one, and every hold, also backward.
func (g *legs) components(m *model) {
	back := make([][]int, m.n)
	for l, lag := range m.p.Lags {
		if g.rigid[l] {
			back[lag.To] = append(back[lag.To], lag.From)
		}
	}
	for _, h := range m.p.Holds {
		back[h.To] = append(back[h.To], h.From)
	}
	// Two passes: an order of leaving forward, then gathering against the arcs.
	left := make([]int, 0, m.n)
	seen := make([]bool, m.n)
	type frame struct{ task, next int }
	var stack []frame
	for _, root := range m.order {
		if seen[root] {
			continue
		}
		seen[root] = true
		for stack = append(stack, frame{root, 0}); len(stack) > 0; {
			f := &stack[len(stack)-1]
			var to int
			switch k := f.next; {
			case k < len(m.out[f.task]):
				to = m.p.Lags[m.out[f.task][k]].To
			case k-len(m.out[f.task]) < len(back[f.task]):
				to = back[f.task][k-len(m.out[f.task])]
			default:
				left = append(left, f.task)
				stack = stack[:len(stack)-1]
				continue
			}
			f.next++
			if !seen[to] {
				seen[to] = true
				stack = append(stack, frame{to, 0})
			}
		}
	}
	against := make([][]int, m.n)
	for i, tos := range back {
		for _, to := range tos {
			against[to] = append(against[to], i)
		}
	}
	g.of = make([]int, m.n)
	for i := range g.of {
		g.of[i] = None
	}
	n := 0
	for k := m.n - 1; k >= 0; k-- {
		if g.of[left[k]] != None {
			continue
		}
		g.of[left[k]] = n
		for todo := []int{left[k]}; len(todo) > 0; {
			i := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			reach := func(from int) {
				if g.of[from] == None {
					g.of[from] = n
					todo = append(todo, from)
				}
			}
			for _, l := range m.in[i] {
				reach(m.p.Lags[l].From)
			}
			for _, from := range against[i] {
				reach(from)
			}
		}
		n++
	}
	g.tasks = make([][]int, n)
	for _, i := range m.order {
		g.tasks[g.of[i]] = append(g.tasks[g.of[i]], i)
	}
}
