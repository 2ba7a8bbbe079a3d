package gear

import (
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// stepsScreen shows the steps of one method; those of an own one can be
// changed, the built-in one is copied first.
type stepsScreen struct {
	base.Frame
	grid                           base.Grid
	m                              shed.Method
	changed                        func(id string) // tells the list below
	edit, add, del, up, down, name key.Binding
}

func newSteps(e *base.Env, m shed.Method, changed func(string)) base.Screen {
	s := &stepsScreen{
		m: m, changed: changed,
		edit: base.Bind("e", "change", "e", "enter"), add: base.Bind("a", "add a step after it"), del: base.Bind("x", "remove", "x", "delete"),
		up: base.Bind("K", "earlier", "K", "shift+up"), down: base.Bind("J", "later", "J", "shift+down"), name: base.Bind("n", "name"),
	}
	s.Frame = base.Frame{E: e, Own: []key.Binding{s.edit, s.add, s.del, s.up, s.down, s.name, base.KeyBack, base.KeyHelp, base.KeyMove}}
	s.Idle = func() []string { return append(s.grid.Idle(), s.grid.IdleMoves()...) }
	s.grid.Cols = []base.Column{
		{Title: "step", Name: true}, {Title: "shortest", Right: true, Spare: 3}, {Title: "soak", Right: true}, {Title: "longest", Right: true, Spare: 2},
		{Title: "water"}, {Title: "lift by", Right: true, Spare: 1}, {Title: "drains", Spare: 4},
	}
	s.fill()
	return s
}

func (s *stepsScreen) Title() string {
	if s.builtIn() {
		return s.m.Name + " (built in)"
	}
	return s.m.Name
}

func (s *stepsScreen) builtIn() bool { return s.m.ID == shed.BuiltInMethodID }

func (s *stepsScreen) fill() {
	u := s.E.Kit.Units
	rows := make([][]string, len(s.m.Steps))
	for i, st := range s.m.Steps {
		if !st.Kind.IsBath() {
			rows[i] = []string{st.Name, "-", "-", "-", "by hand", "-", "-"}
			continue
		}
		release := "-"
		if st.ReleaseC > 0 {
			release = u.Temp(st.ReleaseC)
		}
		water := st.Water.String()
		if st.Water == shed.Mixed {
			water = u.Temp(st.AimC)
		}
		if st.Dosed {
			water += ", scour"
			if part := st.Dose(); part != 1 {
				water += " " + u.Percent(part, 0)
			}
		}
		longest := "-"
		if st.LongestMin > 0 {
			longest = measure.Minutes(st.LongestMin)
		}
		name := st.Name
		if st.TwiceForHighWax {
			name += " (*)"
		}
		rows[i] = []string{name, measure.Minutes(st.ShortestMin), measure.Minutes(st.SoakMin), longest, water, release, st.DrainTo.String()}
	}
	s.grid.SetRows(rows)
}

func (s *stepsScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnList(msg, &s.grid, func() tea.Cmd { return s.own(s.editStep) })
	if !ok {
		return s, cmd
	}
	switch {
	case key.Matches(k, s.up):
		return s, s.own(func() tea.Cmd { return s.shift(-1) })
	case key.Matches(k, s.down):
		return s, s.own(func() tea.Cmd { return s.shift(1) })
	case key.Matches(k, s.edit):
		return s, s.own(s.editStep)
	case key.Matches(k, s.add):
		return s, s.own(s.addStep)
	case key.Matches(k, s.del):
		return s, s.own(s.remove)
	case key.Matches(k, s.name):
		return s, s.own(s.rename)
	}
	return s, nil
}

// own does something to an own method; of the built-in one a copy is made
// first, under a name that is asked for.
func (s *stepsScreen) own(do func() tea.Cmd) tea.Cmd {
	if !s.builtIn() {
		return do()
	}
	return NameMethod(s.E, s.m, "Your own method", func(m shed.Method) tea.Cmd {
		s.m = m
		s.changed(m.ID)
		s.fill()
		return tea.Sequence(base.Pop(), do())
	})
}

// keep saves the method with other steps, or says why it cannot be.
func (s *stepsScreen) keep(steps []shed.Step) error {
	m := s.m
	m.Steps = steps
	return s.keepAs(m)
}

func (s *stepsScreen) keepAs(m shed.Method) error {
	saved, err := SaveMethod(s.E, m)
	if err != nil {
		return err
	}
	s.m = saved
	s.changed(saved.ID)
	s.fill()
	return nil
}

func (s *stepsScreen) editStep() tea.Cmd {
	i := s.grid.At
	st := s.m.Steps[i]
	return s.askStep(s.m.Name+": "+st.Name, st, i, i+1)
}

func (s *stepsScreen) addStep() tea.Cmd {
	i := min(s.grid.At+1, len(s.m.Steps))
	return s.askStep(s.m.Name+": one more step", s.m.Offer(i).In(s.E.Kit.Units), i, i)
}

// askStep asks for the step that stands between those before i and those from next on, over the method as
// that makes it.
func (s *stepsScreen) askStep(title string, st shed.Step, i, next int) tea.Cmd {
	steps := func() []shed.Step {
		return append(append(s.m.Steps[:i:i], settleStep(st)), s.m.Steps[next:]...)
	}
	return form.NewForm(s.E, title, StepPages(s.E.Kit.Units, &st), func() (tea.Cmd, error) {
		if err := s.checkAndKeep(steps(), i); err != nil {
			return nil, err
		}
		s.grid.At = i
		return base.Pop(), nil
	}).Over(func(w, room int) []string { return MethodPicture(&s.E.Theme, &s.E.Kit, steps(), w, room) })
}

// checkAndKeep says first what is wrong with the step itself.
func (s *stepsScreen) checkAndKeep(steps []shed.Step, i int) error {
	if err := steps[i].ValidateIn(s.E.Kit.Units); err != nil {
		return err
	}
	return s.keep(steps)
}

func (s *stepsScreen) remove() tea.Cmd {
	i := s.grid.At
	name := s.m.Steps[i].Name
	if !s.Again("remove "+name, "remove the %s from this method? Press x again", name) {
		return nil
	}
	if err := s.keep(slices.Delete(slices.Clone(s.m.Steps), i, i+1)); err != nil {
		s.E.Refuse(err)
		return nil
	}
	s.E.Tell("the %s is out of this method", name)
	return nil
}

func (s *stepsScreen) shift(by int) tea.Cmd {
	from, to := s.grid.At, s.grid.At+by
	if to < 0 || to >= len(s.m.Steps) {
		return nil
	}
	steps := slices.Clone(s.m.Steps)
	steps[from], steps[to] = steps[to], steps[from]
	if err := s.keep(steps); err != nil {
		s.E.Refuse(err)
		return nil
	}
	s.grid.At = to
	return nil
}

func (s *stepsScreen) rename() tea.Cmd {
	m := s.m
	p := &form.Page{Fields: methodWords(&m)}
	return form.NewForm(s.E, "Name of the method", []*form.Page{p}, func() (tea.Cmd, error) {
		if err := s.keepAs(m); err != nil {
			return nil, err
		}
		return base.Pop(), nil
	}).Over(func(w, room int) []string { return MethodPicture(&s.E.Theme, &s.E.Kit, m.Steps, w, room) })
}

func (s *stepsScreen) View() string { c := *s; return c.Place() }

func (s *stepsScreen) Place() string {
	t := s.E.Theme
	room := s.Room()
	paras := []draw.Para{{Lines: s.grid.Lines(&t, 0, s.W, room)}}
	say := func(rank int, text string) {
		paras = append(paras, draw.Para{Lines: draw.Told(t.Faint, text, s.W), Rank: rank})
	}
	if slices.ContainsFunc(s.m.Steps, func(st shed.Step) bool { return st.TwiceForHighWax }) {
		paras = append(paras, draw.Para{Lines: []string{""}, Rank: 4})
		say(1, "(*) twice for a waxy fleece")
	}
	say(3, fmt.Sprintf("%d steps. An alarm rings when the soak is over, past the longest, and before a wash bath comes down to its lift-by temperature.", len(s.m.Steps)))
	if s.builtIn() {
		say(2, "The built-in method is never changed: e makes a copy of your own first.")
	}
	lines := draw.Whole(room, paras...)
	return s.Draw(append(lines, MethodPicture(&t, &s.E.Kit, s.m.Steps, s.W, room-len(lines))...))
}
