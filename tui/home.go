package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/theme"
)

// homeScreen is where a day begins and ends: what next, in plain words.
type homeScreen struct {
	frame
	reader
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
	wet  *live          // the last day, where it ended with wet fleece in a tub not long ago
}

// entry is a line of the menu.
type entry struct {
	letter string
	words  string
	about  string
	open   func() tea.Cmd
}

func newHome(e *env) screen {
	s := &homeScreen{quit: bind("q", "quit", "q")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("go on"), keyMove, s.quit, keyHelp, bind("1-9", "open that line", "1")}}
	return s
}

func (s *homeScreen) Title() string { return "tubside" }

func (s *homeScreen) read() tea.Cmd {
	j := s.e.Journal
	return follow(&s.reader, s, s.e, func() (homeNews, error) { return lookBack(j) }, func(n homeNews, err error) {
		if s.last, s.known = n, true; err != nil {
			s.e.refuse(fmt.Errorf("the days could not be read: %w", err))
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
	if n.last.ID != 0 && len(days) > 0 && days[0].ID == n.last.ID && slices.ContainsFunc(n.last.Rows, func(r ledger.BatchRow) bool { return r.State() == ledger.InWater }) {
		d, err := j.Day(n.last.ID)
		if err != nil {
			return homeNews{}, err
		}
		n.wet = &live{id: n.last.ID, day: d}
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
	if s.last.open == s.e.live.id {
		return 0
	}
	return s.last.open
}

// goOn opens it.
func (s *homeScreen) goOn() tea.Cmd {
	j, l, id := s.e.Journal, s.e.Ledger, s.openDay()
	return lead(s, s.e, func() (openDay, error) { return readOpen(j, l, id) }, func(o openDay, err error) tea.Cmd {
		return push(newGoOn(s.e, o, err))
	})
}

// wetDay is the last day, where it ended with fleece in a tub not long ago, ready
// to be gone on with; nil if it did not.
func (s *homeScreen) wetDay() *live {
	e, l := s.e, s.last.wet
	if e.live.id != 0 && !e.live.day.EndedAt.IsZero() && (l == nil || l.id <= e.live.id) {
		l = e.live // it may not be written yet
	}
	if l == nil || e.live.day.Running() || s.last.open != 0 && s.last.open != l.id {
		return nil
	}
	if !l.day.MayGoOn(e.now) {
		return nil
	}
	return l
}

// entries is the menu as things stand; the first is the obvious one.
func (s *homeScreen) entries() []entry {
	e := s.e
	open := func(made func(*env) screen) func() tea.Cmd {
		return func() tea.Cmd { return e.withRecord(s, func() tea.Cmd { return push(made(e)) }) }
	}
	plan := entry{"p", "Plan a wash day", "which batches, in which order, how", open(newPlan)}
	var out []entry
	switch {
	case e.live.day.Running():
		out = append(out,
			entry{"t", "To the tubs", "the day that runs since " + e.clockText(e.live.day.StartedAt), func() tea.Cmd { return push(newDayScreen(e)) }},
			entry{"p", "Put in more batches", "behind those of the running day", func() tea.Cmd { return addToDay(s, e, "") }})
	case s.openDay() != 0:
		out = append(out, entry{"g", "Go on with the open day", "a day was begun and not ended", s.goOn})
	default:
		out = append(out, plan)
	}
	return append(out,
		entry{"f", "Fleeces", "one animal's clip each: weight, type, wax", func() tea.Cmd { return push(newFleeces(e)) }},
		entry{"k", "Kit", "tubs, room and water, kettle, scour", open(newKit)},
		entry{"m", "Methods", "the steps of a wash, with their limits", open(newMethods)},
		entry{"d", "Past days", "look back, weigh what is dry, yields", func() tea.Cmd { return push(newPast(e)) }},
		entry{"r", "Drying rack", "what is drying where, what to weigh next", func() tea.Cmd { return push(newDrying(e)) }},
		entry{"a", "Alarms", "how they reach you, a sound check, the list", func() tea.Cmd { return push(newAlarmList(e)) }},
		entry{"?", "Help", "keys, alarms, cautions", func() tea.Cmd { return push(newHelp(e, s.keys)) }},
		entry{"q", "Quit", s.keptText(), s.leave},
	)
}

func (s *homeScreen) Update(msg tea.Msg) (screen, tea.Cmd) { return s, s.act(msg) }

func (s *homeScreen) act(msg tea.Msg) tea.Cmd {
	list := s.entries()
	s.at = min(s.at, len(list)-1)
	if m, ok := msg.(tea.MouseMsg); ok && clicked(m) {
		n, _ := s.inSight()
		if i := s.top + (m.Y-topLines-s.y)/s.perEntry(); m.Y-topLines >= s.y && i < min(len(list), s.top+n) {
			s.at = i
			return list[i].open()
		}
	}
	k, ok := s.pressed(msg)
	if !ok {
		return nil
	}
	name := k.String()
	if n, ok := tubDigit(name); ok && n < len(list) {
		s.at = n
		return list[n].open()
	}
	switch name {
	case "u":
		if l := s.wetDay(); l != nil {
			return s.goOnWith(s, l)
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
		return push(newHelp(s.e, s.keys))
	case "esc":
		if s.e.live.day.Running() {
			s.e.tell("This is home: t goes to the tubs, q quits")
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
	question := s.e.leavesUnsaved()
	if s.e.live.day.Running() {
		question = append(question, "the day goes on, but a closed program rings no alarm")
	}
	if len(question) > 0 && !s.again("quit", strings.Join(question, "; ")+": q again quits") {
		return nil
	}
	return tea.Quit
}

// keptText says whether anything is lost by leaving.
func (s *homeScreen) keptText() string {
	if len(s.e.leavesUnsaved()) > 0 {
		return "not all is saved"
	}
	return "all is kept"
}

// perEntry is how many lines an entry takes.
func (s *homeScreen) perEntry() int {
	if s.room()-len(s.standing()) >= 2*len(s.entries())+5 {
		return 2
	}
	return 1
}

func (s *homeScreen) View() string { c := *s; return c.place() }

func (s *homeScreen) place() string {
	t := s.e.Theme
	room := s.room()
	standing := s.standing()
	lines := append(standing, s.greeting(room-len(standing))...)
	s.y = len(lines)
	per := s.perEntry()
	n, note := s.inSight()
	list := s.entries()
	s.top = max(0, min(max(s.top, s.at-n+1), s.at, len(list)-n))
	for i, x := range list {
		if i < s.top || i >= s.top+n {
			continue
		}
		label := fmt.Sprintf("%d  %s  %s", i+1, x.letter, x.words)
		if i > 8 { // a digit opens a line
			label = fmt.Sprintf("   %s  %s", x.letter, x.words)
		}
		about := x.about
		if ansi.StringWidth(about) > s.w-35 {
			about = ""
		}
		if i == s.at {
			lines = append(lines, t.Key.Render(" "+t.Mark(theme.MarkPick)+" ")+t.Chosen.Render(fit(fit(label, 32)+about, s.w-3)))
		} else {
			lines = append(lines, "   "+t.Text.Render(fit(label, min(32, s.w-3)))+t.Faint.Render(about))
		}
		for range per - 1 {
			lines = append(lines, "")
		}
	}
	if note {
		lines = append(lines, t.Faint.Render(fit(fmt.Sprintf("   %d above, %d below", s.top, len(list)-s.top-n), s.w)))
	}
	return s.draw(lines)
}

// inSight is how many entries have room; where not all, a line says how many
// there are besides.
func (s *homeScreen) inSight() (n int, note bool) {
	room := s.room() - len(s.standing())
	if n = len(s.entries()); n > room {
		return max(1, room-1), true
	}
	return n, false
}

// standing is each alarm that stands besides the one at the top, with its tub and
// deed; the menu gives way to them.
func (s *homeScreen) standing() []string {
	d, now := s.e.live.day, s.e.now
	top, has := d.Pressing()
	var lines []string
	for _, a := range d.Alarms {
		if !a.Stands() || has && a.Kind == top.Kind && a.Tub == top.Tub {
			continue
		}
		style := s.e.Theme.Heard
		if a.Unanswered() {
			style = s.e.Theme.Warn
		}
		lines = append(lines, told(style, s.e.Theme.Mark(theme.MarkAlarm)+" "+alarmPhrase(d, a, now), s.w)...)
	}
	return lines[:min(len(lines), max(0, s.room()-3))]
}

// greeting is what is so today, above the menu: as much as there is room for.
func (s *homeScreen) greeting(room int) []string {
	t, e := s.e.Theme, s.e
	var now, last []string
	switch {
	case e.live.day.Running():
		now = told(t.Next, s.runningText(), s.w)
	case s.openDay() != 0:
		now = told(t.Warn, "A wash day is still open: go on with it, or close it.", s.w)
	case s.wetDay() != nil:
		l := s.wetDay()
		now = told(t.Warn, fmt.Sprintf("The day ended %s ago with fleece in %s. u goes on with it.", agoText(e.now.Sub(l.day.EndedAt)), listed(l.day.LeftWet())), s.w)
	case s.known:
		now = told(t.Text, "No day is running. A wash day begins with its plan.", s.w)
	}
	if d := s.last.last; d.ID != 0 {
		last = told(t.Faint, "Last day: "+s.lastText(d), s.w)
	}
	gap := []string{""}
	return whole(room-len(s.entries()), para{gap, 4}, para{now, 1}, para{last, 2}, para{gap, 3})
}

func (s *homeScreen) runningText() string {
	d, now := s.e.live.day, s.e.now
	text := fmt.Sprintf("A day is running: %s", counted(len(d.Tubs), "tub", "tubs"))
	if p := coach.Prompts(d, now); len(p) > 0 {
		name := ""
		if p[0].Tub >= 0 {
			name = d.Plan.Kit.Tubs[p[0].Tub].Name + ", "
		}
		text += ". Next: " + name + p[0].Title
	}
	return text
}

// lastText is a past day in one line.
func (s *homeScreen) lastText(d ledger.Summary) string {
	parts := []string{s.e.dayText(d.StartedAt), counted(d.Batches, "batch", "batches")}
	if len(d.Fleeces) > 0 {
		parts = append(parts, strings.Join(d.Fleeces, "; "))
	}
	if y := yieldText(d.WeighedG, d.DryG); y != "-" {
		parts = append(parts, "yield "+y)
	}
	return strings.Join(parts, " · ")
}
