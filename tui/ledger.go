package tui

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
)

// fleecesScreen is the ledger of fleeces.
type fleecesScreen struct {
	frame
	reader
	grid    grid
	entries []ledger.Entry // all of them
	texts   []string       // what is searched, an entry each
	shown   []int          // entries that are listed, in order
	search  textLine
	typing  bool
	order   int // index into ledgerColumns, -1: as entered, the newest first
	down    bool

	add, plan, find, sort, change key.Binding
}

// ledgerColumn is a column of the ledger: what stands in it, and its order.
type ledgerColumn struct {
	column
	cell func(*env, ledger.Entry) string
	less func(a, b ledger.Entry) int
}

var ledgerColumns = []ledgerColumn{
	{column{title: "animal", name: true}, func(_ *env, x ledger.Entry) string { return x.Fleece.Animal },
		func(a, b ledger.Entry) int { return foldedOrder(a.Fleece.Animal, b.Fleece.Animal) }},
	{column{title: "farm", spare: 3, name: true}, func(_ *env, x ledger.Entry) string { return orDash(x.Fleece.Farm) },
		func(a, b ledger.Entry) int { return foldedOrder(a.Fleece.Farm, b.Fleece.Farm) }},
	{column{title: "year", spare: 6, right: true}, func(_ *env, x ledger.Entry) string { return numberOrDash(x.Fleece.Year) },
		func(a, b ledger.Entry) int { return cmp.Compare(a.Fleece.Year, b.Fleece.Year) }},
	{column{title: "type", spare: 5}, func(_ *env, x ledger.Entry) string { return x.Fleece.Type.String() },
		func(a, b ledger.Entry) int { return cmp.Compare(a.Fleece.Type.String(), b.Fleece.Type.String()) }},
	{column{title: "raw", spare: 2, right: true}, func(e *env, x ledger.Entry) string { return e.kit.Units.Mass(x.Fleece.ToWashG()) },
		func(a, b ledger.Entry) int { return cmp.Compare(a.Fleece.ToWashG(), b.Fleece.ToWashG()) }},
	{column{title: "left", right: true}, func(e *env, x ledger.Entry) string { return e.kit.Units.Mass(x.LeftG) },
		func(a, b ledger.Entry) int { return cmp.Compare(a.LeftG, b.LeftG) }},
	{column{title: "washed", spare: 4, right: true}, func(_ *env, x ledger.Entry) string { return numberOrDash(x.Washed) },
		func(a, b ledger.Entry) int { return cmp.Compare(a.Washed, b.Washed) }},
	{column{title: "drying", spare: 1, right: true}, func(_ *env, x ledger.Entry) string { return numberOrDash(x.Drying) },
		func(a, b ledger.Entry) int { return cmp.Compare(a.Drying, b.Drying) }},
	{column{title: "bagged", spare: 4, right: true}, func(_ *env, x ledger.Entry) string { return numberOrDash(x.Bagged) },
		func(a, b ledger.Entry) int { return cmp.Compare(a.Bagged, b.Bagged) }},
	{column{title: "yield", spare: 2, right: true}, func(_ *env, x ledger.Entry) string { return yieldText(x.RawG, x.DryG) },
		func(a, b ledger.Entry) int { return cmp.Compare(a.YieldPart(), b.YieldPart()) }},
	{column{title: "last washed", spare: 7, right: true}, func(e *env, x ledger.Entry) string { return e.shortDay(x.LastAt) },
		func(a, b ledger.Entry) int { return a.LastAt.Compare(b.LastAt) }},
}

func foldedOrder(a, b string) int { return cmp.Compare(strings.ToLower(a), strings.ToLower(b)) }

func orDash(text string) string {
	if text == "" {
		return "-"
	}
	return text
}

func numberOrDash(n int) string {
	if n == 0 {
		return "-"
	}
	return strconv.Itoa(n)
}

// shortDay is a day without its weekday.
func (e *env) shortDay(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return t.In(e.zone()).Format("2 Jan 2006")
}

func newFleeces(e *env) screen {
	s := &fleecesScreen{order: -1, search: newTextLine(""),
		add: bind("a", "add a fleece", "a"), plan: bind("p", "plan a day with it", "p"), find: bind("/", "search", "/"),
		sort: bind("o O", "order", "o", "O"), change: bind("e", "change", "e")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("its card"), s.find, s.add, s.sort, s.plan, s.change, keyBack, keyHelp, keyMove}}
	s.idle = func() []string {
		if len(s.entries) == 0 {
			return s.grid.idle("Enter", "p", "e", "/", "o O")
		}
		return s.grid.idle("Enter", "p", "e")
	}
	s.book()
	return s
}

func (s *fleecesScreen) Title() string { return "Fleeces" }

func (s *fleecesScreen) Typing() bool { return s.typing }

func (s *fleecesScreen) read() tea.Cmd { return s.e.followRecord(&s.reader, s, s.book) }

// book puts fleeces and days together.
func (s *fleecesScreen) book() {
	s.entries = ledger.Book(s.e.record.fleeces, s.e.record.days)
	s.texts = make([]string, len(s.entries))
	for i, x := range s.entries {
		f := x.Fleece
		s.texts[i] = strings.ToLower(strings.Join([]string{f.Animal, f.Farm, numberOrDash(f.Year), f.Type.String(), f.Colour, f.Notes, f.ID}, " "))
	}
	s.fill()
}

// fill lists what is searched for, in order; the chosen fleece stays chosen.
func (s *fleecesScreen) fill() {
	chosen := ""
	if x, ok := s.entry(); ok {
		chosen = x.Fleece.ID
	}
	words := strings.Fields(strings.ToLower(s.search.text()))
	s.shown = s.shown[:0]
	for i := range s.entries {
		if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(s.texts[i], w) }) {
			s.shown = append(s.shown, i)
		}
	}
	if s.order >= 0 {
		slices.SortStableFunc(s.shown, func(a, b int) int {
			c := ledgerColumns[s.order].less(s.entries[a], s.entries[b])
			if s.down {
				return -c
			}
			return c
		})
	}
	s.grid.cols = s.grid.cols[:0]
	for i, c := range ledgerColumns {
		col := c.column
		switch {
		case i != s.order:
		case s.down:
			col.title += " ↓"
		default:
			col.title += " ↑"
		}
		s.grid.cols = append(s.grid.cols, col)
	}
	rows := make([][]string, len(s.shown))
	cells := make([]string, len(s.shown)*len(ledgerColumns))
	for i, n := range s.shown {
		rows[i] = cells[i*len(ledgerColumns) : (i+1)*len(ledgerColumns)]
		for j, c := range ledgerColumns {
			rows[i][j] = c.cell(s.e, s.entries[n])
		}
		if s.entries[n].Fleece.ID == chosen && chosen != "" {
			s.grid.at = i
		}
	}
	s.grid.setRows(rows)
}

// entry is the chosen one.
func (s *fleecesScreen) entry() (ledger.Entry, bool) {
	if s.grid.at >= len(s.shown) || s.shown[s.grid.at] >= len(s.entries) {
		return ledger.Entry{}, false
	}
	return s.entries[s.shown[s.grid.at]], true
}

func (s *fleecesScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	return s, s.act(msg)
}

func (s *fleecesScreen) act(msg tea.Msg) tea.Cmd {
	if k, ok := msg.(tea.KeyMsg); ok && s.typing && s.searching(k) {
		return nil
	}
	k, cmd, ok := s.onList(msg, &s.grid, s.open)
	if !ok {
		if cmd != nil && key.Matches(k, keyBack) && s.search.text() != "" { // first the search goes
			s.search.set("")
			s.fill()
			return nil
		}
		return cmd
	}
	switch {
	case key.Matches(k, s.find):
		s.typing = true
		s.search.fresh = true
	case key.Matches(k, s.sort):
		s.reorder(k.String() == "O")
	case s.grid.move(k):
	case key.Matches(k, s.add):
		return s.form(s, shed.Fleece{Year: s.e.now.In(s.e.zone()).Year(), RawG: math.NaN()}, "A new fleece")
	case k.String() == "enter":
		return s.open()
	case key.Matches(k, s.change):
		if x, ok := s.entry(); ok {
			return s.form(s, x.Fleece, "Fleece: "+x.Fleece.Title())
		}
	case key.Matches(k, s.plan):
		if x, ok := s.entry(); ok {
			return planWith(s, s.e, x.Fleece)
		}
	}
	return nil
}

// searching types into the search; done says the key was meant for it.
func (s *fleecesScreen) searching(k tea.KeyMsg) (done bool) {
	switch k.String() {
	case "enter":
		s.typing = false
	case "esc":
		s.typing = false
		s.search.set("")
		s.fill()
	case "up", "down", "pgup", "pgdown":
		return false
	default:
		s.search.key(k)
		s.grid.at = 0
		s.shown = s.shown[:0] // nothing stays chosen: the first that is found is
		s.fill()
	}
	return true
}

// reorder goes to the next column, or turns the order round.
func (s *fleecesScreen) reorder(turn bool) {
	switch {
	case turn:
		s.down = !s.down
	default:
		s.order++
		s.down = s.order < len(ledgerColumns) && s.order >= 0 && ledgerColumns[s.order].right // the greatest first
		if s.order >= len(ledgerColumns) {
			s.order = -1
		}
	}
	s.fill()
	what := "as entered, the newest first"
	if s.order >= 0 {
		what = "by " + ledgerColumns[s.order].title
		if s.down {
			what += ", the greatest first"
		}
	}
	s.e.tell("%s; o goes on, O turns it round", what)
}

func (s *fleecesScreen) open() tea.Cmd {
	x, ok := s.entry()
	if !ok {
		if len(s.entries) > 0 {
			return nil
		}
		return s.form(s, shed.Fleece{Year: s.e.now.In(s.e.zone()).Year(), RawG: math.NaN()}, "A new fleece")
	}
	return push(newCard(s, x.Fleece.ID))
}

func (s *fleecesScreen) form(from screen, f shed.Fleece, title string) tea.Cmd {
	form := newForm(s.e, title, fleecePages(s.e, &f), func() (tea.Cmd, error) {
		saved, err := saveFleece(s.e, f)
		if err != nil {
			return nil, err
		}
		s.book()
		for i, n := range s.shown {
			if s.entries[n].Fleece.ID == saved.ID {
				s.grid.at = i
			}
		}
		said := saved.Title() + " is saved"
		if old := s.e.oldTags("tags ", saved); old != "" {
			said += "; " + old
		}
		s.e.tell("%s", said)
		return pop(), nil
	})
	return s.e.withRecord(from, func() tea.Cmd { return push(form) })
}

func (s *fleecesScreen) View() string { c := *s; return c.place() }

func (s *fleecesScreen) place() string {
	t := s.e.Theme
	if !s.e.record.ready {
		return s.draw([]string{"", t.Faint.Render("   reading the fleeces")})
	}
	if len(s.entries) == 0 {
		return s.draw(s.empty(nil, "No fleece yet.",
			"A fleece is one animal's clip. Its raw weight, type and wax say how it is washed, and the yield is counted from it.",
			"a enters the first one."))
	}
	var lines []string
	if s.typing || s.search.text() != "" {
		text := s.search.text()
		if s.typing {
			text = s.search.shown()
		}
		of := fmt.Sprintf("   (%d of %d)", len(s.shown), len(s.entries))
		lines = append(lines, t.Next.Render(fit(" search: "+shortened(text, s.w-9-len(of))+of, s.w)))
	}
	if len(s.shown) == 0 {
		return s.draw(append(append(lines, ""), told(t.Text, "No fleece has these words; Esc shows all.", s.w)...))
	}
	lines = append(lines, s.grid.lines(t, len(lines), s.w, s.room()-len(lines))...)
	x, _ := s.entry()
	if note := x.Fleece.Notes; note != "" && s.room() > len(lines)+1 {
		lines = append(lines, "", t.Faint.Render(short("   "+note, s.w)))
	}
	return s.draw(lines)
}
