package form

import (
	"errors"
	"io"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/tui/base"
)

// KeyAlong is for what can be taken along: on paper or as a file.
var KeyAlong = base.Bind("s", "save or print")

// Paper is one thing that can be taken along.
type Paper struct {
	Words  string // "the tags for its bags"
	Name   string // proposed for its file
	Prints bool   // a printer takes it: text or PDF
	Write  func(io.Writer) error
	Done   func() error // nil, or what follows once its file is there or the printer has it
}

// Tags are tags for bags, which count as printed once they are.
func Tags(name string, write func(io.Writer) (printed func() error, err error)) Paper {
	var printed func() error
	return Paper{Words: "tags for its bags, to cut out (PDF)", Name: name, Prints: true, Write: func(w io.Writer) (err error) {
		printed, err = write(w)
		return err
	}, Done: func() error { return printed() }}
}

// Text is a paper of lines.
func Text(words, name string, lines func() []string) Paper {
	return Paper{Words: words, Name: name, Prints: true, Write: func(w io.Writer) error {
		for _, l := range lines() {
			if _, err := io.WriteString(w, strings.TrimRight(ansi.Strip(l), " ")+"\n"); err != nil {
				return err
			}
		}
		return nil
	}}
}

// PaperColumns is what a printer sets on a line of text.
const PaperColumns = 78

// TakeAlong asks which paper goes where and sends it there, away from the screen.
func TakeAlong(s base.Screen, e *base.Env, papers ...Paper) tea.Cmd {
	which, printed := 0, false
	var names []Choice[int]
	for i, p := range papers {
		names = append(names, Choice[int]{i, p.Words})
	}
	prints := func() bool { return e.Along.Printer() && papers[which].Prints }
	path := ""
	named := &Page{Title: "The new file", Hide: func() bool { return printed && prints() }, Fields: []*Field{CheckedField("File", "nothing is overwritten", "", func(text string) error {
		if text = strings.TrimSpace(text); text == "" {
			return errors.New("type the file's name, such as " + papers[which].Name)
		}
		var err error
		path, err = e.Along.Ready(text)
		return err
	})}}
	name := func() { named.Fields[0].Propose(e.Along.Place(papers[which].Name)) }
	name()
	pages := []*Page{
		{Title: "What to save or print", Hide: func() bool { return len(papers) == 1 }, Leave: func() error { name(); return nil }, Fields: []*Field{ChoiceField("What", "", &which, false, names...)}},
		{Title: "File or paper", Hide: func() bool { return !prints() }, Fields: []*Field{ChoiceField("Where to", "", &printed, false, Choice[bool]{false, "into a file"}, Choice[bool]{true, "to the printer"})}},
		named,
	}
	if !slices.ContainsFunc(papers, func(p Paper) bool { return p.Prints }) {
		pages = slices.Delete(pages, 1, 2)
	}
	return base.Push(NewForm(e, "Save or print", pages, func() (tea.Cmd, error) {
		p, onPaper := papers[which], printed && prints()
		work := base.Away(s, func() (warning base.Warning, err error) {
			write := func(w io.Writer) error {
				if err := p.Write(w); !errors.As(err, &warning) {
					return err
				}
				return nil
			}
			if onPaper {
				err = e.Along.Print(p.Name, write)
			} else {
				err = e.Along.File(path, write)
			}
			if err == nil && p.Done != nil {
				if not := p.Done(); not != nil {
					if warning != "" {
						warning += "; "
					}
					warning += base.Warning(not.Error())
				}
			}
			return warning, err
		}, func(warning base.Warning, err error) tea.Cmd {
			where := "in " + path
			if onPaper {
				where = "sent to the printer"
			}
			if warning != "" {
				where += ", but " + string(warning)
			}
			if err != nil {
				e.Refuse(err)
			} else {
				e.Tell("%s: %s", p.Words, where)
				if p.Done != nil {
					e.Record.Changes++
				}
			}
			return nil
		})
		return tea.Sequence(base.Pop(), work), nil
	}))
}

// IdleAlong are the labels of keys that take along, where nothing does.
func IdleAlong(e *base.Env) []string {
	if e.Along == nil {
		return []string{KeyAlong.Help().Key}
	}
	return nil
}
