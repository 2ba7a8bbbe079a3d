package past

import (
	"errors"
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// The keys for what is taken along as a file.
var (
	keyPage = base.Bind("s", "save as a page", "s")
	keyCard = base.Bind("s", "save a card", "s")
)

// askAlong asks for the file of what is taken along and writes it, away from the screen.
func askAlong(s base.Screen, e *base.Env, what, name string, write func(path string) error) tea.Cmd {
	path := e.Along.Place(name)
	p := &form.Page{Fields: []*form.Field{form.CheckedField("File", "a new one: nothing is written over", path, func(text string) error {
		if path = strings.TrimSpace(text); path == "" {
			return errors.New("give the file's name, such as " + name)
		}
		return nil
	})}}
	return base.Push(form.NewForm(e, "Save "+what, []*form.Page{p}, func() (tea.Cmd, error) {
		work := base.Away(s, func() (struct{}, error) { return struct{}{}, write(path) }, func(_ struct{}, err error) tea.Cmd {
			if err != nil {
				e.Refuse(err)
				return nil
			}
			e.Tell("%s is in %s", what, path)
			return nil
		})
		return tea.Sequence(base.Pop(), work), nil
	}))
}

// savePage writes the day's look back as a page.
func (s *ReviewScreen) savePage() tea.Cmd {
	id, d, e := s.day.ID, s.day.Day, s.E
	name := fmt.Sprintf("wash-day-%d-%s.html", id, d.StartedAt.In(e.Zone()).Format("2006-01-02"))
	return askAlong(s, e, "the page", name, func(path string) error { return e.Along.Page(path, id, d, e.Kit.Units) })
}

// saveCard writes the fleece's card.
func (s *cardScreen) saveCard() tea.Cmd {
	e, id := s.E, s.id
	return askAlong(s, e, "the card", "fleece-"+id+".pdf", func(path string) error { return e.Along.Card(path, id, e.Kit.Units) })
}

// noAlong are the labels of keys that write files, where nothing does.
func noAlong(e *base.Env, k key.Binding) []string {
	if e.Along == nil {
		return []string{k.Help().Key}
	}
	return nil
}
