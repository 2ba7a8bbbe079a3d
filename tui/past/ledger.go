package past

import (
	"math"
	"sort"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// FleecesScreen is the ledger of fleeces.
type FleecesScreen struct {
	base.Frame
	base.Reader
	grid    base.Grid
	entries []ledger.Entry // all of them
	texts   []string       // what is searched, an entry each
	shown   []int          // entries that are listed, in order
	finder
	order int // index into ledgerColumns, -1: as entered, the newest first
	down  bool

	add, plan, sort, change key.Binding
}

// ledgerColumn is a column of the ledger: what stands in it, and its order, by what stands there where it has none.
type ledgerColumn struct {
	base.Column
	cell  func(*base.Env, *ledger.Entry) string
	order func(*ledger.Entry) float64
}

var ledgerColumns = []ledgerColumn{
	{base.Column{Title: "animal", Name: true}, func(_ *base.Env, x *ledger.Entry) string { return x.Fleece.Animal }, nil},
	{base.Column{Title: "farm", Spare: 3, Name: true}, func(_ *base.Env, x *ledger.Entry) string { return orDash(x.Fleece.Farm) }, nil},
	{base.Column{Title: "year", Spare: 6, Right: true}, func(_ *base.Env, x *ledger.Entry) string { return numberOrDash(x.Fleece.Year) },
		func(x *ledger.Entry) float64 { return float64(x.Fleece.Year) }},
	{base.Column{Title: "type", Spare: 5}, func(_ *base.Env, x *ledger.Entry) string { return x.Fleece.Type.String() }, nil},
	{base.Column{Title: "raw", Spare: 2, Right: true}, func(e *base.Env, x *ledger.Entry) string { return e.Kit.Units.Mass(x.Fleece.ToWashG()) },
		func(x *ledger.Entry) float64 { return x.Fleece.ToWashG() }},
	{base.Column{Title: "left", Right: true}, func(e *base.Env, x *ledger.Entry) string { return e.Kit.Units.Mass(x.LeftG) },
		func(x *ledger.Entry) float64 { return x.LeftG }},
	{base.Column{Title: "washed", Spare: 4, Right: true}, func(_ *base.Env, x *ledger.Entry) string { return numberOrDash(x.Washed) },
		func(x *ledger.Entry) float64 { return float64(x.Washed) }},
	{base.Column{Title: "drying", Spare: 1, Right: true}, func(_ *base.Env, x *ledger.Entry) string { return numberOrDash(x.Drying) },
		func(x *ledger.Entry) float64 { return float64(x.Drying) }},
	{base.Column{Title: "bagged", Spare: 4, Right: true}, func(_ *base.Env, x *ledger.Entry) string { return numberOrDash(x.Bagged) },
		func(x *ledger.Entry) float64 { return float64(x.Bagged) }},
	{base.Column{Title: "yield", Spare: 2, Right: true}, func(e *base.Env, x *ledger.Entry) string { return lookback.YieldText(e.Kit.Units, x.RawG, x.DryG) },
		(*ledger.Entry).YieldPart},
	{base.Column{Title: "last washed", Spare: 7, Right: true}, func(e *base.Env, x *ledger.Entry) string { return shortDay(e, x.LastAt) },
		func(x *ledger.Entry) float64 { return float64(x.LastAt.Unix()) }},
}

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
func shortDay(e *base.Env, t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return e.Kit.Units.Moment(t.In(e.Zone()), "2 Jan 2006")
}

// NewFleeces is the ledger of fleeces.
func NewFleeces(e *base.Env) base.Screen {
	s := &FleecesScreen{order: -1, finder: newFinder(),
		add: base.Bind("a", "add a fleece"), plan: base.Bind("p", "plan a day with it"),
		sort: base.Bind("o O", "order", "o", "O"), change: base.Bind("e", "change")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("its card"), keyFind, s.add, s.sort, s.plan, s.change, base.KeyBack, base.KeyHelp, base.KeyMove}}
	s.Idle = func() []string {
		if len(s.entries) == 0 {
			return s.grid.Idle("Enter", "p", "e", "/", "o O")
		}
		return s.grid.Idle("Enter", "p", "e")
	}
	s.book()
	return s
}

func (s *FleecesScreen) Title() string { return "Fleeces" }

func (s *FleecesScreen) Typing() bool { return s.Finding }

func (s *FleecesScreen) Read() tea.Cmd { return s.E.FollowRecord(&s.Reader, s, s.book) }

// book puts fleeces and days together.
func (s *FleecesScreen) book() {
	s.entries = ledger.Book(s.E.Record.Fleeces, s.E.Record.Days)
	s.texts = make([]string, len(s.entries))
	for i, x := range s.entries {
		words := []string{fleeceText(x.Fleece)}
		for j := range x.Batches {
			words = append(words, s.bagText(&x.Batches[j]))
		}
		s.texts[i] = strings.Join(words, " ")
	}
	s.fill()
}

// fleeceText and bagText are what is searched of a fleece and of each of its batches.
func fleeceText(f shed.Fleece) string {
	return strings.ToLower(strings.Join([]string{f.Animal, f.Farm, numberOrDash(f.Year), f.Type.String(), f.Breed, f.Colour, f.Notes, f.ID}, " "))
}

func (s *FleecesScreen) bagText(b *ledger.BookedBatch) string {
	words := append(ledger.Codes(s.E.Record.Days, b.Day, &b.BatchRow), b.Mark)
	if !b.Before { // else its bag is another by now
		words = append(words, b.Out.Place)
	}
	if tray, ok := s.E.Kit.Tray(b.Tray); ok && !b.Before && b.State() == ledger.Drying {
		words = append(words, tray.Name)
	}
	return strings.ToLower(strings.Join(words, " "))
}

// isFound says that a batch is what was searched for: its fleece alone has not all of the words.
func (s *FleecesScreen) isFound(f shed.Fleece, b *ledger.BookedBatch) bool {
	of := fleeceText(f)
	return len(s.found([]string{of, of + " " + s.bagText(b)})) == 1
}

// fill lists what is searched for, in order; the chosen fleece stays chosen.
func (s *FleecesScreen) fill() {
	chosen := ""
	if x, ok := s.entry(); ok {
		chosen = x.Fleece.ID
	}
	s.shown = s.found(s.texts)
	if s.order >= 0 {
		sort.SliceStable(s.shown, func(i, j int) bool {
			if s.down {
				i, j = j, i
			}
			a, b, c := &s.entries[s.shown[i]], &s.entries[s.shown[j]], &ledgerColumns[s.order]
			if c.order == nil {
				return strings.ToLower(c.cell(s.E, a)) < strings.ToLower(c.cell(s.E, b))
			}
			return c.order(a) < c.order(b)
		})
	}
	s.grid.Cols = s.grid.Cols[:0]
	for i, c := range ledgerColumns {
		col := c.Column
		switch {
		case i != s.order:
		case s.down:
			col.Title += " ↓"
		default:
			col.Title += " ↑"
		}
		s.grid.Cols = append(s.grid.Cols, col)
	}
	rows := make([][]string, len(s.shown))
	cells := make([]string, len(s.shown)*len(ledgerColumns))
	for i, n := range s.shown {
		rows[i] = cells[i*len(ledgerColumns) : (i+1)*len(ledgerColumns)]
		for j, c := range ledgerColumns {
			rows[i][j] = c.cell(s.E, &s.entries[n])
		}
		if s.entries[n].Fleece.ID == chosen && chosen != "" {
			s.grid.At = i
		}
	}
	s.grid.SetRows(rows)
	s.grid.Beside = bars(&s.E.Theme, len(rows), func(row int) []share { return shares(&s.E.Theme, &s.entries[s.shown[row]]) })
}

// of is that of a fleece.
func (s *FleecesScreen) of(fleece string) (*ledger.Entry, bool) {
	for i := range s.entries {
		if x := &s.entries[i]; x.Fleece.ID == fleece {
			return x, true
		}
	}
	return nil, false
}

// entry is the chosen one.
func (s *FleecesScreen) entry() (*ledger.Entry, bool) {
	if s.grid.At >= len(s.shown) || s.shown[s.grid.At] >= len(s.entries) {
		return nil, false
	}
	return &s.entries[s.shown[s.grid.At]], true
}

func (s *FleecesScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	return s, s.act(msg)
}

func (s *FleecesScreen) act(msg tea.Msg) tea.Cmd {
	k, cmd, ok := s.onList(&s.Frame, &s.grid, msg, s.open, func() { s.shown = nil; s.fill() }, s.fill) // of other words nothing stays chosen
	if !ok {
		return cmd
	}
	switch {
	case key.Matches(k, s.sort):
		s.reorder(k.String() == "O")
	case key.Matches(k, s.add):
		return s.form(s, shed.Fleece{Year: s.E.Now.In(s.E.Zone()).Year(), RawG: math.NaN()}, "A new fleece")
	case key.Matches(k, s.change):
		if x, ok := s.entry(); ok {
			return s.form(s, x.Fleece, "Fleece: "+x.Fleece.Title())
		}
	case key.Matches(k, s.plan):
		if x, ok := s.entry(); ok {
			return ahead.PlanWith(s, s.E, x.Fleece)
		}
	}
	return nil
}

// reorder goes to the next column, or turns the order round.
func (s *FleecesScreen) reorder(turn bool) {
	switch {
	case turn:
		s.down = !s.down
	default:
		s.order++
		s.down = s.order < len(ledgerColumns) && s.order >= 0 && ledgerColumns[s.order].Right // the greatest first
		if s.order >= len(ledgerColumns) {
			s.order = -1
		}
	}
	s.fill()
	what := "as entered, the newest first"
	if s.order >= 0 {
		what = "by " + ledgerColumns[s.order].Title
		if s.down {
			what += ", the greatest first"
		}
	}
	s.E.Note("%s; o for the next, O reverses it", what)
}

func (s *FleecesScreen) open() tea.Cmd {
	x, ok := s.entry()
	if !ok {
		if len(s.entries) > 0 {
			return nil
		}
		return s.form(s, shed.Fleece{Year: s.E.Now.In(s.E.Zone()).Year(), RawG: math.NaN()}, "A new fleece")
	}
	return base.Push(newCard(s, x.Fleece.ID))
}

func (s *FleecesScreen) form(from base.Screen, f shed.Fleece, title string) tea.Cmd {
	x := ledger.Entry{Fleece: f}
	if old, ok := s.of(f.ID); ok {
		x = *old
	}
	form := form.NewForm(s.E, title, append(ahead.FleecePages(s.E, &f), ahead.LifePage(s.E, &f, &x)), func() (tea.Cmd, error) {
		saved, err := ahead.SaveFleece(s.E, f)
		if err != nil {
			return nil, err
		}
		s.book()
		for i, n := range s.shown {
			if s.entries[n].Fleece.ID == saved.ID {
				s.grid.At = i
			}
		}
		said := saved.Title() + " is saved"
		if old := s.E.OldTags("tags ", saved); old != "" {
			said += "; " + old
		}
		s.E.Tell("%s", said)
		return base.Pop(), nil
	})
	form.Below = func(w, room int) []string {
		if f.Animal == "" || !measure.Finite(f.RawG) {
			return nil
		}
		x.Fleece, x.LeftG = f, max(0, f.ToWashG()-x.UsedG)
		return s.cardOf(&x, w, room)
	}
	return s.E.WithRecord(from, func() tea.Cmd { return base.Push(form) })
}

func (s *FleecesScreen) View() string { c := *s; return c.Place() }

func (s *FleecesScreen) Place() string {
	t := &s.E.Theme
	if !s.E.Record.Ready {
		return s.Draw([]string{"", t.Faint.Render("   reading the fleeces")})
	}
	if len(s.entries) == 0 {
		return s.Draw(s.Empty(nil, "No fleece yet.",
			"A fleece is one animal's wool. Its raw weight, type and wax say how to wash it and what it yields.",
			"a adds the first one.", nil))
	}
	lines := s.head(t, s.W, len(s.shown), len(s.entries))
	if len(s.shown) == 0 {
		return s.Draw(s.Middle(append(lines, ""), draw.Told(t.Text, "No fleece matches; Esc shows all.", s.Column()), nil))
	}
	lines = append(lines, s.grid.Lines(t, len(lines), s.W, s.Room()-len(lines))...)
	x, _ := s.entry()
	if card := s.cardOf(x, s.W, s.Room()-len(lines)-1); card != nil {
		lines = append(append(lines, ""), card...)
	} else if note := x.Fleece.Notes; note != "" && s.Room() > len(lines)+1 {
		lines = append(lines, "", t.Faint.Render(draw.Short("   "+note, s.W)))
	}
	return s.Draw(lines)
}
