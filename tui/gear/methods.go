package gear

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// methodsScreen lists the built-in method and the person's own.
type methodsScreen struct {
	base.Frame
	base.Reader
	grid      base.Grid
	list      []shed.Method
	copy, del key.Binding
}

// NewMethods is the list of methods.
func NewMethods(e *base.Env) base.Screen {
	s := &methodsScreen{copy: base.Bind("c", "copy", "c", "a"), del: base.Bind("x", "delete", "x", "delete")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("show its steps"), s.copy, s.del, base.KeyBack, base.KeyHelp, base.KeyMove}}
	s.Idle = func() []string {
		out := s.grid.Idle()
		if s.list[s.grid.At].ID == shed.BuiltInMethodID {
			out = append(out, "x")
		}
		return out
	}
	s.grid.Cols = []base.Column{{Title: "method", Name: true}, {Title: "whose"}, {Title: "steps", Spare: 1}}
	s.load()
	return s
}

func (s *methodsScreen) Read() tea.Cmd { return s.E.FollowRecord(&s.Reader, s, s.load) }

func (s *methodsScreen) Title() string { return "Methods: the steps of a wash" }

// MethodList is the built-in method and the person's own after it.
func MethodList(e *base.Env) []shed.Method {
	return append([]shed.Method{shed.BuiltInMethod()}, e.Record.Methods...)
}

// freeName is a name that no method of the list has yet.
func freeName(list []shed.Method, like string) string {
	for n := 1; ; n++ {
		name := "My " + strings.TrimPrefix(like, "My ")
		if n > 1 {
			name = fmt.Sprintf("%s %d", name, n)
		}
		if !slices.ContainsFunc(list, func(m shed.Method) bool { return m.Name == name }) {
			return name
		}
	}
}

func (s *methodsScreen) load() {
	list := MethodList(s.E)
	s.list = list
	rows := make([][]string, len(list))
	for i, m := range list {
		whose := "yours"
		if m.ID == shed.BuiltInMethodID {
			whose = "built in"
		}
		names := make([]string, len(m.Steps))
		for j, st := range m.Steps {
			names[j] = st.Name
		}
		rows[i] = []string{m.Name, whose, strings.Join(names, ", ")}
	}
	s.grid.SetRows(rows)
}

// choose lists the methods as they are now, the one with this ID chosen.
func (s *methodsScreen) choose(id string) {
	s.load()
	for i, m := range s.list {
		if m.ID == id {
			s.grid.At = i
		}
	}
}

func (s *methodsScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnList(msg, &s.grid, s.open)
	if !ok {
		return s, cmd
	}
	switch {
	case key.Matches(k, s.copy):
		return s, NameMethod(s.E, s.list[s.grid.At], "A copy of your own", func(m shed.Method) tea.Cmd {
			s.choose(m.ID)
			return base.Pop()
		})
	case key.Matches(k, s.del):
		s.remove()
	}
	return s, nil
}

func (s *methodsScreen) open() tea.Cmd {
	return base.Push(newSteps(s.E, s.list[s.grid.At], s.choose))
}

// remove deletes an own method, at the second press.
func (s *methodsScreen) remove() {
	m := s.list[s.grid.At]
	if m.ID == shed.BuiltInMethodID {
		s.E.Refuse(fmt.Errorf("the built-in method stays: copy it with c and change the copy"))
		return
	}
	if !s.Again("delete "+m.ID, "delete %s for good? Past days keep their steps. Press x again", m.Name) {
		return
	}
	if err := s.E.Keep(func() error { return s.E.Ledger.DeleteMethod(m.ID) }); err != nil {
		s.E.Refuse(fmt.Errorf("it couldn't be deleted: %w", err))
		return
	}
	// Days that were washed by it go on saying its last name.
	if kit := s.E.Kit.Forget(m.ID, m.Name); s.E.Keep(func() error { return s.E.Ledger.SaveKit(kit) }) == nil {
		s.E.Kit = kit
	}
	s.E.Record.DropMethod(m.ID)
	s.E.Record.Changes++
	s.load()
	s.E.Tell("%s is deleted", m.Name)
}

// NameMethod asks for the name of a copy of m, saves it and hands it on.
func NameMethod(e *base.Env, m shed.Method, title string, then func(shed.Method) tea.Cmd) tea.Cmd {
	like := m
	m.ID, m.Name = "", freeName(MethodList(e), m.Name)
	if m.Steps = slices.Clone(m.Steps); like.ID == shed.BuiltInMethodID { // what it says of itself is not for what comes of it
		m.About = ""
		for i, st := range m.Steps {
			m.Steps[i] = st.In(e.Kit.Units)
		}
	}
	about := "The built-in method stays as it is; this makes one of your own with its steps, to change as you like."
	if like.ID != shed.BuiltInMethodID {
		about = "This makes another method with the same steps."
	}
	p := &form.Page{Title: "Copy of " + like.Name, About: about, Fields: methodWords(&m)}
	return form.NewForm(e, title, []*form.Page{p}, func() (tea.Cmd, error) {
		saved, err := SaveMethod(e, m)
		if err != nil {
			return nil, err
		}
		e.Tell("%s is yours: change its steps as you like", saved.Name)
		return then(saved), nil
	}).Over(func(w, room int) []string { return MethodPicture(&e.Theme, &e.Kit, m.Steps, w, room) })
}

func methodWords(m *shed.Method) []*form.Field {
	return []*form.Field{
		form.WordsField("Name", "the name you'll look for when you plan a day", &m.Name, 40, "the method has no name: give it one of your own"),
		form.WordsField("What it is for", "may be left empty", &m.About, 400, ""),
	}
}

// SaveMethod cleans, checks and keeps a method of the person's own.
func SaveMethod(e *base.Env, m shed.Method) (shed.Method, error) {
	m = m.Clean()
	if err := m.ValidateIn(e.Kit.Units); err != nil {
		return m, err
	}
	if m.ChangedAt = e.Now; m.ID == "" {
		m.MadeAt = e.Now
	}
	var saved shed.Method
	if err := e.Keep(func() (err error) { saved, err = e.Ledger.SaveMethod(m); return err }); err != nil {
		return m, fmt.Errorf("the method couldn't be saved: %w", err)
	}
	e.Record.PutMethod(saved.Clean())
	if e.PutRight(); e.Planned.Plan.Method.ID == saved.ID { // the day to come goes by it as it is now
		e.Planned.Plan.Method = saved
	}
	return saved, nil
}

func (s *methodsScreen) View() string { c := *s; return c.Place() }

func (s *methodsScreen) Place() string {
	t := &s.E.Theme
	room := s.Room()
	var own, about []string
	if len(s.list) == 1 {
		own = append([]string{""}, draw.Told(t.Key, "c makes a copy of your own, with other times and temperatures.", s.W)...)
	}
	if text := s.list[s.grid.At].About; text != "" {
		about = append([]string{""}, draw.Told(t.Faint, text, s.W)...)
	}
	list := s.grid.Lines(t, 0, s.W, max(3, room-len(own)))
	lines := draw.Whole(room, draw.Para{Lines: list, Rank: 0}, draw.Para{Lines: about, Rank: 2}, draw.Para{Lines: own, Rank: 1})
	return s.Draw(append(lines, MethodPicture(t, &s.E.Kit, s.list[s.grid.At].Steps, s.W, room-len(lines))...))
}
