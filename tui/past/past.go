package past

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// pastScreen lists the days, the newest first.
type pastScreen struct {
	base.Frame
	grid base.Grid
	base.Reader
	finder
	days   []ledger.Summary // that are listed
	texts  []string         // what is searched, one for each day of the record
	remove key.Binding
	marked shed.DayID // to be set beside another; 0: none
	// was is the chosen day as it was last read, drawn where the list is short.
	was     *lived // nil until it is read
	wasOf   shed.DayID
	picture []string
	drawnAs pictured
}

// pictured is what a picture goes by: it is drawn again where some of that is another.
type pictured struct {
	of      *lived
	w, room int
	light   bool
}

var keyFind = base.Bind("/", "search")

// NewPast is the list of past days.
func NewPast(e *base.Env) base.Screen {
	s := &pastScreen{finder: newFinder(), remove: base.Bind("x", "delete")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("look back"), base.KeyBack, keyFind, keyOldWash, keyCompare, keyBeside, keyTrust, s.remove, base.KeyHelp, base.KeyMove}}
	s.Idle = func() []string {
		if len(s.E.Record.Days) == 0 {
			return s.grid.Idle("Enter", "x", "t", "m", "c", "/")
		}
		idle := s.grid.Idle("Enter", "x", "c")
		if len(s.days) == 1 {
			idle = append(idle, "c")
		}
		return idle
	}
	s.grid.Cols = []base.Column{{Title: "day"}, {Title: "from", Spare: 4}, {Title: "to", Spare: 4}, {Title: "fleeces", Spare: 3, Name: true}, {Title: "racked", Right: true, Spare: 1}, {Title: "raw", Right: true, Spare: 2}, {Title: "yield", Right: true}, {Title: "alarms", Right: true, Spare: 5}}
	s.take()
	return s
}

func (s *pastScreen) Title() string { return "Past days" }

func (s *pastScreen) Typing() bool { return s.Finding }

func (s *pastScreen) Read() tea.Cmd {
	if cmd := s.E.FollowRecord(&s.Reader, s, s.take); cmd != nil {
		return cmd
	}
	return s.readChosen()
}

// readChosen reads the chosen day, where there is room for it.
func (s *pastScreen) readChosen() tea.Cmd {
	if len(s.days) == 0 || s.Room()-len(s.days) < leastDay || s.days[s.grid.At].EndedAt.IsZero() || s.wasOf == s.days[s.grid.At].ID {
		return nil
	}
	j, id := s.E.Journal, s.days[s.grid.At].ID
	s.wasOf, s.was = id, nil
	return base.Away(s, func() (*lived, error) { return readLived(j, id) }, func(x *lived, err error) tea.Cmd {
		if id == s.wasOf && err == nil { // else the list says what it can
			s.was = x
		}
		return nil
	})
}

// take lists the days of the record anew.
func (s *pastScreen) take() {
	s.wasOf, s.was = 0, nil
	s.texts = make([]string, len(s.E.Record.Days))
	for i, d := range s.E.Record.Days {
		text := []string{s.E.DayText(d.WashedOn()), s.E.DayText(d.StartedAt), s.E.DayText(d.EndedAt), d.Method}
		text = append(text, d.Fleeces...)
		for _, r := range d.Rows {
			text = append(text, r.Part, r.Out.String(), r.Out.Place)
			if r.State() > ledger.Presoaked { // what has a bag
				text = append(append(text, r.ID, r.Mark), ledger.Codes(s.E.Record.Days, d.ID, &r)...)
			}
		}
		s.texts[i] = strings.ToLower(strings.Join(text, " "))
	}
	s.fill()
}

func (s *pastScreen) fill() {
	e := s.E
	s.days = nil
	for _, i := range s.found(s.texts) {
		s.days = append(s.days, e.Record.Days[i])
	}
	rows := make([][]string, len(s.days))
	for i, d := range s.days {
		on := d.WashedOn()
		end := e.ClockOn(d.EndedAt, on)
		if d.EndedAt.IsZero() {
			end = "open"
		}
		begin, alarms := e.ClockOn(d.StartedAt, on), fmt.Sprint(d.Alarms)
		if !d.EnteredAt.IsZero() { // a card has no hours
			begin, end, alarms = "entered", "later", "-"
		}
		rows[i] = []string{
			e.DayText(on), begin, end, strings.Join(d.Fleeces, "; "),
			fmt.Sprintf("%d of %d", d.Racked, d.Batches), e.Kit.Units.Mass(d.RawG), lookback.YieldText(e.Kit.Units, d.WeighedG, d.DryG), alarms,
		}
	}
	s.grid.SetRows(rows)
	s.grid.Beside = bars(&s.E.Theme, len(rows), func(row int) []share {
		d := &s.days[row]
		return dayShares(&s.E.Theme, d.RawG, d.WeighedG, d.DryG)
	})
}

func (s *pastScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) { return s, s.act(msg) }

func (s *pastScreen) act(msg tea.Msg) tea.Cmd {
	k, cmd, ok := s.onList(&s.Frame, &s.grid, msg, s.open, s.fill, s.fill)
	if !ok {
		return cmd
	}
	switch {
	case key.Matches(k, keyTrust):
		return openTrust(s.E)
	case key.Matches(k, keyCompare):
		return openCompare(s.E, s.searched())
	case key.Matches(k, keyBeside):
		return s.beside()
	case key.Matches(k, keyOldWash):
		return s.addOldWash()
	case key.Matches(k, s.remove):
		return s.delete()
	}
	return nil
}

// searched are the days that were searched for, nil for all.
func (s *pastScreen) searched() map[shed.DayID]bool {
	if !s.on() {
		return nil
	}
	only := map[shed.DayID]bool{}
	for _, d := range s.days {
		only[d.ID] = true
	}
	return only
}

func (s *pastScreen) open() tea.Cmd {
	if len(s.days) == 0 {
		return nil
	}
	return base.Push(NewReview(s.E, s.days[s.grid.At].ID))
}

func (s *pastScreen) View() string { c := *s; return c.Place() }

func (s *pastScreen) Place() string {
	t := &s.E.Theme
	switch {
	case !s.E.Record.Ready:
		return s.Draw([]string{"", t.Faint.Render("   reading the days")})
	case len(s.E.Record.Days) == 0:
		return s.Draw(s.Empty(nil, "No day yet.",
			"Each wash day is kept here, step by step, with its alarms and its yields. Weigh dry fleece here, days later.",
			"Esc goes back; p there plans the first day. a enters an older wash, from its card.", nil))
	}
	lines := s.head(t, s.W, len(s.days), len(s.E.Record.Days))
	if len(s.days) == 0 {
		return s.Draw(s.Middle(append(lines, ""), draw.Told(t.Text, "No day matches. Search for a date, a fleece, its farm, a method, how a batch came out or a bag's code. Esc shows all.", s.Column()), nil))
	}
	lines = append(lines, s.grid.Lines(t, len(lines), s.W, s.Room()-len(lines))...)
	return s.Draw(append(lines, s.drawn(s.Room()-len(lines)-2)...))
}

// leastDay is how few lines a day is drawn in, with its date.
const leastDay = 8

// drawn is the chosen day in so many lines under its date.
func (s *pastScreen) drawn(room int) []string {
	if room < leastDay-2 || s.was == nil || s.days[s.grid.At].ID != s.wasOf {
		return nil
	}
	if as := (pictured{s.was, s.W, room, s.E.Theme.Light}); as != s.drawnAs {
		s.drawnAs, s.picture = as, nil
		if lines := s.was.drawn(s.E, s.W, room, 0); lines != nil {
			s.picture = append([]string{"", s.E.Theme.Title.Render(" " + s.E.DayText(s.was.day.WashedOn()))}, lines...)
		}
	}
	return s.picture
}

// delete takes the chosen day out of the record, once its consequence was said.
func (s *pastScreen) delete() tea.Cmd {
	e := s.E
	if len(s.days) == 0 {
		return nil
	}
	d := s.days[s.grid.At]
	name := e.DayText(d.WashedOn())
	if d.EndedAt.IsZero() {
		e.Refuse(fmt.Errorf("that day is still open: end it first, e at the tubs"))
		return nil
	}
	if !s.Again(fmt.Sprintf("delete %d", d.ID), "delete %s for good: %s? Press x again. To keep a copy, quit first: tubside export --json FILE", name, goesWith(e, d)) {
		return nil
	}
	if err := e.DeleteDay(d.ID); err != nil {
		e.Refuse(fmt.Errorf("%s couldn't be deleted: %w", name, err))
		return nil
	}
	e.Tell("%s is deleted", name)
	return nil
}

// goesWith says what is gone with a day.
func goesWith(e *base.Env, d ledger.Summary) string {
	var ids, were []string
	rawG, dry, before := 0.0, 0, ledger.WashedAgain(e.Record.Days)
	for _, r := range d.Rows {
		if r.State() <= ledger.Presoaked {
			continue
		}
		ids = append(ids, r.ID)
		switch {
		case before.Has(d.ID, r.ID): // washed, for it was washed again
		case slices.ContainsFunc(e.Record.Days, func(o ledger.Summary) bool { return o.ID == r.Again.Day }):
			were = append(were, r.ID)
		default:
			rawG += r.RawG
		}
		if r.State() == ledger.Bagged {
			dry++
		}
	}
	if len(ids) == 0 {
		return "nothing was washed on it"
	}
	text := draw.Listed(ids) + " with their codes"
	if len(ids) == 1 {
		text = ids[0] + " with its code"
	}
	if dry > 0 {
		text += ", " + base.Counted(dry, "dry weight", "dry weights")
	}
	if n := len(d.Lessons); n > 0 {
		text += ", what " + base.Counted(n, "bath", "baths") + " taught about the tubs"
	}
	if len(were) > 0 {
		text += fmt.Sprintf("; the earlier wash of %s counts again", draw.Listed(were))
	}
	if rawG > 0 {
		text += fmt.Sprintf("; %s are raw again", e.Kit.Units.Mass(rawG))
	}
	return text
}
