package tui

import (
	"fmt"
	"math"
	"strconv"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

// fleecesScreen is the ledger of fleeces.
type fleecesScreen struct {
	frame
	grid    grid
	fleeces []session.Fleece
	add     key.Binding
	plan    key.Binding
}

func newFleeces(e *env) screen {
	s := &fleecesScreen{add: bind("a", "add a fleece", "a"), plan: bind("p", "plan a day with it", "p")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("change"), s.add, s.plan, keyBack, keyHelp, keyMove}}
	s.grid.cols = []column{{title: "animal"}, {title: "farm", spare: 1}, {title: "year", spare: 4, right: true}, {title: "type", spare: 3}, {title: "wax", spare: 2}, {title: "raw", right: true}}
	s.load()
	return s
}

func (s *fleecesScreen) Title() string { return "Fleeces" }

func (s *fleecesScreen) load() {
	list, err := s.e.Ledger.Fleeces()
	if err != nil {
		s.e.refuse(fmt.Errorf("the fleeces could not be read: %w", err))
		return
	}
	s.fleeces = list
	rows := make([][]string, len(list))
	for i, f := range list {
		f = f.Clean()
		year := "-"
		if f.Year != 0 {
			year = strconv.Itoa(f.Year)
		}
		farm := f.Farm
		if farm == "" {
			farm = "-"
		}
		rows[i] = []string{f.Animal, farm, year, f.Type.String(), f.Wax.String(), s.e.kit.Units.Mass(f.RawG)}
	}
	s.grid.setRows(rows)
}

func (s *fleecesScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	k, cmd, ok := s.onList(msg, &s.grid, s.edit)
	if !ok {
		return s, cmd
	}
	switch {
	case s.grid.move(k):
	case key.Matches(k, s.add):
		return s, s.form(session.Fleece{Year: s.e.now.In(s.e.zone()).Year(), RawG: math.NaN()}, "A new fleece")
	case k.String() == "enter":
		return s, s.edit()
	case key.Matches(k, s.plan):
		if len(s.fleeces) > 0 {
			return s, planWith(s.e, s.fleeces[s.grid.at])
		}
	}
	return s, nil
}

func (s *fleecesScreen) edit() tea.Cmd {
	if len(s.fleeces) == 0 {
		return s.form(session.Fleece{Year: s.e.now.In(s.e.zone()).Year(), RawG: math.NaN()}, "A new fleece")
	}
	f := s.fleeces[s.grid.at].Clean()
	return s.form(f, "Fleece: "+f.Title())
}

func (s *fleecesScreen) form(f session.Fleece, title string) tea.Cmd {
	return push(newForm(s.e, title, fleecePages(s.e, &f), func() (tea.Cmd, error) {
		saved, err := saveFleece(s.e, f)
		if err != nil {
			return nil, err
		}
		s.load()
		for i, o := range s.fleeces {
			if o.ID == saved.ID {
				s.grid.at = i
			}
		}
		s.e.tell("%s is in the ledger", saved.Title())
		return pop(), nil
	}))
}

// saveFleece cleans, checks and keeps a fleece.
func saveFleece(e *env, f session.Fleece) (session.Fleece, error) {
	f = f.Clean()
	if err := f.Validate(); err != nil {
		return f, err
	}
	saved, err := e.Ledger.SaveFleece(f)
	if err != nil {
		return f, fmt.Errorf("the fleece could not be saved: %w", err)
	}
	return saved, nil
}

// fleecePages asks for a fleece.
func fleecePages(e *env, f *session.Fleece) []*page {
	return []*page{
		{title: "Whose clip", fields: []*field{
			wordsField("Animal", "name, or a number such as ewe 12", &f.Animal, 40, "the fleece has no animal's name: give one, or a number such as ewe 12"),
			wordsField("Farm", "for the tag; may be left empty", &f.Farm, 40, ""),
			yearField(&f.Year),
			numberField(e.kit.Units, weight, "Raw weight, the whole fleece", "as it is, unwashed; the yield is counted from it", &f.RawG, kitCheck(session.Kit.CheckFleeceG)),
		}},
		{title: "What it is like", fields: []*field{
			choiceField("Type", "fine fleece is springy and takes more room in the basket; longwool drapes", &f.Type, true, named(session.FleeceTypes()...)...),
			choiceField("Wax", "a fleece with much wax is washed twice", &f.Wax, true, named(session.Levels()...)...),
			choiceField("Tendency to felt", "the higher, the less it may be moved in the water", &f.Felting, true, named(session.Levels()...)...),
			wordsField("Notes", "stains, tips, what it is for; may be left empty", &f.Notes, 400, ""),
		}},
	}
}

// yearField asks for the year of the clip; empty is not known.
func yearField(year *int) *field {
	text := ""
	if *year != 0 {
		text = strconv.Itoa(*year)
	}
	check := func(s string) error {
		s = measure.CleanText(s, 20)
		if s == "" {
			*year = 0
			return nil
		}
		v, err := strconv.Atoi(s)
		if err != nil || v < 1950 || v > 2200 {
			return fmt.Errorf("%q cannot be the year of clip: give four digits such as 2026, or nothing", s)
		}
		*year = v
		return nil
	}
	return wholeField("Year of clip", "four digits", text, check)
}

func (s *fleecesScreen) View() string {
	t := s.e.Theme
	if len(s.fleeces) == 0 {
		return s.draw(emptyLines(s.e, s.w, "No fleece yet.",
			"A fleece is one animal's clip. Its raw weight, type and wax say how it is washed, and the yield is counted from it.",
			"a enters the first one."))
	}
	var lines []string
	grid := s.grid.lines(t, 0, s.w, s.room()-2)
	lines = append(lines, grid...)
	if note := s.fleeces[s.grid.at].Clean().Notes; note != "" && s.room() > len(lines)+1 {
		lines = append(lines, "", t.Faint.Render(fit("   "+note, s.w)))
	}
	return s.draw(lines)
}

// emptyLines says on an empty screen what it is for and which key begins.
func emptyLines(e *env, w int, what, why, begin string) []string {
	t := e.Theme
	lines := []string{"", t.Next.Render("  " + what)}
	for _, l := range wrapped(why, w-4) {
		lines = append(lines, t.Text.Render("  "+l))
	}
	lines = append(lines, "")
	for _, l := range wrapped(begin, w-4) {
		lines = append(lines, t.Key.Render("  "+l))
	}
	return lines
}
