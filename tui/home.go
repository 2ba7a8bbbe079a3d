package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/gear"
	"fleece.example/tubside/tui/past"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/washday"
)

// homeScreen is where a day begins and ends: what next, in plain words.
type homeScreen struct {
	base.Frame
	base.Reader
	at    int
	y     int      // line of the first entry
	top   int      // entry on it
	last  homeNews // what the journal said last
	known bool     // it has been read
	quit  key.Binding
}

// homeNews is what the journal says.
type homeNews struct {
	last ledger.Summary // the last finished day; ID 0: none
	open shed.DayID     // a day begun and not ended; 0: none
	wet  *base.Live     // the last day, where it ended with wet fleece in a tub not long ago
	shed past.Holds     // nothing while a day runs
}

// entry is a line of the menu.
type entry struct {
	letter string
	words  string
	about  string
	open   func() tea.Cmd
}

func newHome(e *base.Env) base.Screen {
	s := &homeScreen{quit: base.Bind("q", "quit")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("go on"), base.KeyMove, s.quit, base.KeyHelp, base.Bind("1-9", "open line", "1")}}
	return s
}

func (s *homeScreen) Title() string { return "tubside" }

func (s *homeScreen) Read() tea.Cmd {
	j, running, holds := s.E.Journal, s.E.Live.Day.Running(), past.HoldsOf(s.E)
	return base.Follow(&s.Reader, s, s.E, func() (homeNews, error) {
		n, err := lookBack(j)
		if err == nil && !running {
			n.shed, err = holds()
		}
		return n, err
	}, func(n homeNews, err error) {
		if s.last, s.known = n, true; err != nil {
			s.E.Refuse(fmt.Errorf("the days couldn't be read: %w", err))
		}
	})
}

func lookBack(j ledger.Journal) (n homeNews, err error) {
	days, err := j.Days(2) // at most one of them is open
	if err != nil {
		return homeNews{}, err
	}
	if err := ledger.FillRows(j, days); err != nil {
		return homeNews{}, err
	}
	for _, d := range days {
		if !d.EndedAt.IsZero() {
			n.last = d
			break
		}
	}
	if n.last.ID != 0 && len(days) > 0 && days[0].ID == n.last.ID && slices.ContainsFunc(n.last.Rows, func(r ledger.BatchRow) bool { return r.LeftWet() }) {
		d, err := j.Day(n.last.ID)
		if err != nil {
			return homeNews{}, err
		}
		n.wet = &base.Live{ID: n.last.ID, Day: d}
	}
	id, open, err := j.OpenDay()
	if open {
		n.open = id
	}
	return n, err
}

// openDay is a day begun and not ended, as far as is known: the day that was
// live may have ended although that is not written yet.
func (s *homeScreen) openDay() shed.DayID {
	if s.last.open == s.E.Live.ID {
		return 0
	}
	return s.last.open
}

// goOn opens it.
func (s *homeScreen) goOn() tea.Cmd {
	j, l, id := s.E.Journal, s.E.Ledger, s.openDay()
	return base.Lead(s, s.E, func() (openDay, error) { return readOpen(j, l, id) }, func(o openDay, err error) tea.Cmd {
		return base.Push(newGoOn(s.E, o, err))
	})
}

// wetDay is the last day, where it ended with fleece in a tub not long ago, ready
// to be gone on with; nil if it did not.
func (s *homeScreen) wetDay() *base.Live {
	e, l := s.E, s.last.wet
	if e.Live.ID != 0 && !e.Live.Day.EndedAt.IsZero() && (l == nil || l.ID <= e.Live.ID) {
		l = e.Live // it may not be written yet
	}
	if l == nil || e.Live.Day.Running() || s.last.open != 0 && s.last.open != l.ID {
		return nil
	}
	if !l.Day.MayGoOn(e.Now) {
		return nil
	}
	return l
}

// entries is the menu as things stand; the first is the obvious one.
func (s *homeScreen) entries() []entry {
	e := s.E
	open := func(made func(*base.Env) base.Screen) func() tea.Cmd {
		return func() tea.Cmd { return e.WithRecord(s, func() tea.Cmd { return base.Push(made(e)) }) }
	}
	plan := entry{"p", "Plan a wash day", "which batches, in which order, how", open(ahead.NewPlan)}
	if n := len(e.Planned.Plan.Batches); n > 0 {
		plan.words, plan.about = "Go on with the plan", base.Counted(n, "batch", "batches")+" of the next wash day"
		for _, x := range []struct {
			says string
			at   time.Time
		}{{" to begin ", e.Planned.Begin}, {" to be ready ", e.Planned.ReadyBy}} {
			if x.at.After(e.Now) {
				plan.about = base.Counted(n, "batch", "batches") + x.says + e.Kit.Units.Moment(x.at.In(e.Zone()), "Mon 2 Jan 15:04")
			}
		}
	}
	var out []entry
	switch {
	case e.Live.Day.Running():
		out = append(out,
			entry{"t", "To the tubs", "the day running since " + e.ClockText(e.Live.Day.StartedAt), func() tea.Cmd { return base.Push(washday.New(e)) }},
			entry{"p", "Put in more batches", "after today's others", func() tea.Cmd { return ahead.AddToDay(s, e, "") }})
	case s.openDay() != 0:
		out = append(out, entry{"g", "Go on with the open day", "a day was begun and not ended", s.goOn})
	default:
		out = append(out, plan)
	}
	return append(out,
		entry{"f", "Fleeces", "one animal's wool each: weight, type, wax", func() tea.Cmd { return base.Push(past.NewFleeces(e)) }},
		entry{"k", "Kit", "tubs, room and water, kettle, scour", open(gear.NewKit)},
		entry{"m", "Methods", "the steps of a wash, with their limits", open(gear.NewMethods)},
		entry{"d", "Past days", "look back, weigh what is dry, yields", func() tea.Cmd { return base.Push(past.NewPast(e)) }},
		entry{"r", "Drying rack", "what is drying where, what to weigh next", func() tea.Cmd { return base.Push(past.NewDrying(e)) }},
		entry{"a", "Alarms", "how they reach you, a sound check, the list", func() tea.Cmd { return base.Push(gear.NewAlarmList(e)) }},
		entry{"?", "Help", "keys, alarms, cautions", func() tea.Cmd { return base.Push(base.NewHelp(e, s.Own)) }},
		entry{"q", "Quit", s.keptText(), s.leave},
	)
}

func (s *homeScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) { return s, s.act(msg) }

func (s *homeScreen) act(msg tea.Msg) tea.Cmd {
	list := s.entries()
	s.at = min(s.at, len(list)-1)
	if m, ok := msg.(tea.MouseMsg); ok && base.Clicked(m) {
		n, _ := s.inSight()
		if i := s.top + (m.Y-base.TopLines-s.y)/s.perEntry(); m.Y-base.TopLines >= s.y && i < min(len(list), s.top+n) {
			s.at = i
			return list[i].open()
		}
	}
	k, ok := s.Pressed(msg)
	if !ok {
		return nil
	}
	name := k.String()
	if n, ok := base.TubDigit(name); ok && n < len(list) {
		s.at = n
		return list[n].open()
	}
	switch name {
	case "u":
		if l := s.wetDay(); l != nil {
			return s.GoOnWith(s, l)
		}
	case "up":
		s.at = max(0, s.at-1)
	case "down":
		s.at = min(len(list)-1, s.at+1)
	case "home":
		s.at = 0
	case "end":
		s.at = len(list) - 1
	case "enter":
		return list[s.at].open()
	case "f1":
		return base.Push(base.NewHelp(s.E, s.Own))
	case "esc":
		if s.E.Live.Day.Running() {
			s.E.Note("This is home: t goes to the tubs, q quits")
		}
	}
	for _, x := range list {
		if x.letter == name {
			return x.open()
		}
	}
	return nil
}

// leave quits; with tubs running it asks for a second press, because no alarm
// rings from a program that is closed.
func (s *homeScreen) leave() tea.Cmd {
	question := s.E.LeavesUnsaved()
	if s.E.Live.Day.Running() {
		question = append(question, "the day goes on, but no alarms ring once tubside is closed")
	}
	if len(question) > 0 && !s.Again("quit", strings.Join(question, "; ")+". Press q again to quit") {
		return nil
	}
	return tea.Quit
}

// keptText says whether anything is lost by leaving.
func (s *homeScreen) keptText() string {
	if len(s.E.LeavesUnsaved()) > 0 {
		return "not all saved"
	}
	return "all saved"
}

// perEntry is how many lines an entry takes.
func (s *homeScreen) perEntry() int {
	if s.Room()-len(s.standing()) >= 2*len(s.entries())+5 {
		return 2
	}
	return 1
}

func (s *homeScreen) View() string { c := *s; return c.Place() }

func (s *homeScreen) Place() string {
	t := s.E.Theme
	room := s.Room()
	standing := s.standing()
	lines := append(standing, s.greeting(room-len(standing))...)
	s.y = len(lines)
	per := s.perEntry()
	n, note := s.inSight()
	list := s.entries()
	s.top = max(0, min(max(s.top, s.at-n+1), s.at, len(list)-n))
	about := 0 // a column whole or not at all
	for _, x := range list {
		about = max(about, ansi.StringWidthWc(x.about))
	}
	for i, x := range list {
		if i < s.top || i >= s.top+n {
			continue
		}
		label := fmt.Sprintf("%d  %s  %s", i+1, x.letter, x.words)
		if i > 8 { // a digit opens a line
			label = fmt.Sprintf("   %s  %s", x.letter, x.words)
		}
		if about > s.W-35 {
			x.about = ""
		}
		if i == s.at {
			lines = append(lines, t.Key.Render(" "+t.Mark(theme.MarkPick)+" ")+t.Chosen.Render(draw.Fit(draw.Fit(label, 32)+x.about, s.W-3)))
		} else {
			lines = append(lines, "   "+t.Text.Render(draw.Fit(label, min(32, s.W-3)))+t.Faint.Render(x.about))
		}
		for range per - 1 {
			lines = append(lines, "")
		}
	}
	if note {
		lines = append(lines, t.Faint.Render(draw.Fit(base.More(s.top, len(list)-s.top-n), s.W)))
	}
	if !s.E.Live.Day.Running() {
		lines = append(lines, s.last.shed.Lines(s.E, s.W, room-len(lines))...)
		lines = append(lines, gear.Picture(&t, &s.E.Kit, -1, s.W, room-len(lines))...)
	} else {
		tubs := []string{""}
		for i := range s.E.Live.Day.Tubs {
			tubs = append(tubs, tubNow(s.E, s.E.Live.Day, i, s.W)...)
		}
		lines = draw.Whole(room, draw.Para{Lines: lines, Rank: 0}, draw.Para{Lines: tubs, Rank: 1})
		lines = append(lines, ahead.RestBars(s.E, s.W, room-len(lines))...)
	}
	return s.Draw(lines)
}

// inSight is how many entries have room; where not all, a line says how many
// there are besides.
func (s *homeScreen) inSight() (n int, note bool) {
	room := s.Room() - len(s.standing())
	if n = len(s.entries()); n > room {
		return max(1, room-1), true
	}
	return n, false
}

// standing is each alarm that stands besides the one at the top, with its tub and
// deed; the menu gives way to them.
func (s *homeScreen) standing() []string {
	d, now := s.E.Live.Day, s.E.Now
	top, has := d.Pressing()
	var lines []string
	for _, a := range d.Alarms {
		if !a.Stands() || has && a.Kind == top.Kind && a.Tub == top.Tub {
			continue
		}
		lines = append(lines, draw.Told(base.AlarmStyle(&s.E.Theme, a), s.E.Theme.Mark(theme.MarkAlarm)+" "+base.AlarmPhrase(d, a, now), s.W)...)
	}
	return lines[:min(len(lines), max(0, s.Room()-3))]
}

// greeting is what is so today, above the menu: as much as there is room for.
func (s *homeScreen) greeting(room int) []string {
	t, e := s.E.Theme, s.E
	var now, last, heed []string
	for _, text := range []string{e.CommandAsks("a"), e.Exposed} {
		if text != "" {
			heed = append(heed, draw.Told(t.Warn, text, s.W)...)
		}
	}
	switch {
	case e.Live.Day.Running():
		now = draw.Told(t.Next, "A day is running: "+base.Counted(len(e.Live.Day.Tubs), "tub", "tubs"), s.W)
	case s.openDay() != 0:
		now = draw.Told(t.Warn, "A wash day is still open: go on with it, or close it.", s.W)
	case s.wetDay() != nil:
		l := s.wetDay()
		reopens := ""
		if l.Day.UndoesEnd() {
			reopens = "u reopens it. "
		}
		now = draw.Told(t.Warn, fmt.Sprintf("The day ended %s ago and left %s wet. %sTo rack it, wash it on another day or throw it away: f, Enter on its fleece, h.", base.AgoText(e.Now.Sub(l.Day.EndedAt)), draw.Listed(l.Day.LyingWet()), reopens), s.W)
	case s.known:
		now = draw.Told(t.Text, "No day is running. A wash day starts with a plan.", s.W)
		if names, ids := ahead.WetNames(e, ahead.StillWet(e, s.last.shed.Wet)); names != "" { // of a day before the last, or longer ago
			now = draw.Told(t.Warn, names+draw.Verb(ids, " was", " were")+" left wet. To wash on: p, then g. To rack or throw away: f, Enter on its fleece, h.", s.W)
		}
	}
	if d := s.last.last; d.ID != 0 {
		last = draw.Told(t.Faint, "Last day: "+s.lastText(d), s.W)
	}
	gap := []string{""}
	return draw.Whole(room-len(s.entries()), draw.Para{Lines: gap, Rank: 5}, draw.Para{Lines: now, Rank: 1}, draw.Para{Lines: heed, Rank: 2}, draw.Para{Lines: last, Rank: 3}, draw.Para{Lines: gap, Rank: 4})
}

// lastText is a past day in one line.
func (s *homeScreen) lastText(d ledger.Summary) string {
	batches := base.Counted(d.Batches, "batch", "batches")
	if d.Racked < d.Batches {
		batches = fmt.Sprintf("%d of %s washed", d.Racked, batches)
	}
	parts := []string{s.E.DayText(d.WashedOn()), batches}
	if len(d.Fleeces) > 0 {
		parts = append(parts, strings.Join(d.Fleeces, "; "))
	}
	if y := lookback.YieldText(s.E.Kit.Units, d.WeighedG, d.DryG); y != "-" {
		parts = append(parts, "yield "+y)
	}
	return strings.Join(parts, " · ")
}
