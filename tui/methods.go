package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/shed"
)

// methodsScreen lists the built-in method and the person's own.
type methodsScreen struct {
	frame
	reader
	grid      grid
	list      []shed.Method
	copy, del key.Binding
}

func newMethods(e *env) screen {
	s := &methodsScreen{copy: bind("c", "copy", "c", "a"), del: bind("x", "delete", "x", "delete")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("show its steps"), s.copy, s.del, keyBack, keyHelp, keyMove}}
	s.idle = func() []string {
		out := s.grid.idle()
		if s.list[s.grid.at].ID == shed.BuiltInMethodID {
			out = append(out, "x")
		}
		return out
	}
	s.grid.cols = []column{{title: "method", name: true}, {title: "whose"}, {title: "steps", spare: 1}}
	s.load()
	return s
}

func (s *methodsScreen) read() tea.Cmd { return s.e.followRecord(&s.reader, s, s.load) }

func (s *methodsScreen) Title() string { return "Methods: the steps of a wash" }

// methodList is the built-in method and the person's own after it.
func methodList(e *env) []shed.Method {
	return append([]shed.Method{shed.BuiltInMethod()}, e.record.methods...)
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
	list := methodList(s.e)
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
	s.grid.setRows(rows)
}

// show chooses the method of an ID.
func (s *methodsScreen) choose(id string) {
	s.load()
	for i, m := range s.list {
		if m.ID == id {
			s.grid.at = i
		}
	}
}

func (s *methodsScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	k, cmd, ok := s.onList(msg, &s.grid, s.open)
	if !ok {
		return s, cmd
	}
	switch {
	case s.grid.move(k):
	case k.String() == "enter":
		return s, s.open()
	case key.Matches(k, s.copy):
		return s, nameMethod(s.e, s.list[s.grid.at], "A copy of your own", func(m shed.Method) tea.Cmd {
			s.choose(m.ID)
			return pop()
		})
	case key.Matches(k, s.del):
		s.remove()
	}
	return s, nil
}

func (s *methodsScreen) open() tea.Cmd {
	return push(newSteps(s.e, s.list[s.grid.at], s.choose))
}

// remove deletes an own method, at the second press.
func (s *methodsScreen) remove() {
	m := s.list[s.grid.at]
	if m.ID == shed.BuiltInMethodID {
		s.e.refuse(fmt.Errorf("the built-in method stays: copy it with c and change the copy"))
		return
	}
	if !s.again("delete "+m.ID, "delete %s for good? x again does it; past days keep their steps", m.Name) {
		return
	}
	if err := s.e.keep(func() error { return s.e.Ledger.DeleteMethod(m.ID) }); err != nil {
		s.e.refuse(fmt.Errorf("it could not be deleted: %w", err))
		return
	}
	// Days that were washed by it go on saying its last name.
	if kit := s.e.kit.Forget(m.ID, m.Name); s.e.keep(func() error { return s.e.Ledger.SaveKit(kit) }) == nil {
		s.e.kit = kit
	}
	s.e.record.dropMethod(m.ID)
	s.e.record.changes++
	s.load()
	s.e.tell("%s is deleted", m.Name)
}

// nameMethod asks for the name of a copy of m, saves it and hands it on.
func nameMethod(e *env, m shed.Method, title string, then func(shed.Method) tea.Cmd) tea.Cmd {
	like := m
	m.ID, m.Name = "", freeName(methodList(e), m.Name)
	m.Steps = slices.Clone(m.Steps)
	about := "The built-in method stays as it is; this makes one of your own with its steps, to change as you like."
	if like.ID != shed.BuiltInMethodID {
		about = "This makes another method with the same steps."
	}
	p := &page{title: "Copy of " + like.Name, about: about, fields: methodWords(&m)}
	return push(newForm(e, title, []*page{p}, func() (tea.Cmd, error) {
		saved, err := saveMethod(e, m)
		if err != nil {
			return nil, err
		}
		e.tell("%s is yours: change its steps as you like", saved.Name)
		return then(saved), nil
	}))
}

func methodWords(m *shed.Method) []*field {
	return []*field{
		wordsField("Name", "what you will look for when you plan a day", &m.Name, 40, "the method has no name: give it one of your own"),
		wordsField("What it is for", "may be left empty", &m.About, 400, ""),
	}
}

// saveMethod cleans, checks and keeps a method of the person's own.
func saveMethod(e *env, m shed.Method) (shed.Method, error) {
	m = m.Clean()
	if err := m.ValidateIn(e.kit.Units); err != nil {
		return m, err
	}
	if m.ChangedAt = e.now; m.ID == "" {
		m.MadeAt = e.now
	}
	var saved shed.Method
	if err := e.keep(func() (err error) { saved, err = e.Ledger.SaveMethod(m); return err }); err != nil {
		return m, fmt.Errorf("the method could not be saved: %w", err)
	}
	e.record.putMethod(saved.Clean())
	if e.putRight(); e.planned.plan.Method.ID == saved.ID { // the day to come goes by it as it is now
		e.planned.plan.Method = saved
	}
	return saved, nil
}

func (s *methodsScreen) View() string { c := *s; return c.place() }

func (s *methodsScreen) place() string {
	t := s.e.Theme
	room := s.room()
	var own, about []string
	if len(s.list) == 1 {
		own = append([]string{""}, told(t.Key, "c makes a copy of your own, with other times and temperatures.", s.w)...)
	}
	if text := s.list[s.grid.at].About; text != "" {
		about = append([]string{""}, told(t.Faint, text, s.w)...)
	}
	list := s.grid.lines(t, 0, s.w, max(3, room-len(own)))
	return s.draw(whole(room, para{list, 0}, para{about, 2}, para{own, 1}))
}
