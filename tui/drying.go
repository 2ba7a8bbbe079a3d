package tui

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/yield"
)

// dryingScreen lists what lies on the rack: where, since when, what to weigh
// next and when.
type dryingScreen struct {
	frame
	reader
	grid  grid
	list  []dryingLine
	gone  int
	ready bool
	// next are the batches to go on with after a weight, the likeliest first.
	next  []dryingLine
	weigh key.Binding
	dry   key.Binding
	lay   key.Binding
	undo  key.Binding
}

// dryingLine is a batch on the rack with its day.
type dryingLine struct {
	day shed.DayID
	session.DryingBatch
	odd string // why nothing can be said of it; "" if something can
	// trays: it can be laid elsewhere. weighed: its day's last deed is a weight.
	// newest: that is this batch's.
	trays, weighed, newest bool
}

func (x dryingLine) same(o dryingLine) bool { return x.day == o.day && x.Batch.ID == o.Batch.ID }

type dryingFound struct {
	list []dryingLine
	gone int // batches racked too long ago that nobody has weighed
}

func newDrying(e *env) screen {
	s := &dryingScreen{weigh: keyEnter("weigh"), dry: bind("d", "dry: into its bag", "d"), undo: bind("u", "undo", "u"), lay: bind("y", "lay elsewhere", "y")}
	s.frame = frame{e: e, keys: []key.Binding{s.weigh, s.dry, keyBack, s.lay, keyFound, s.undo, keyHelp, keyMove}}
	s.idle, s.grid.told = s.idleKeys, true
	s.grid.cols = []column{{title: "batch"}, {title: "fleece", spare: 3, name: true}, {title: "lies on", spare: 2, name: true}, {title: "since", spare: 4}, {title: "weighs", right: true},
		{title: "rests at", spare: 5, right: true}, {title: "weigh", right: true}, {title: "dry about", spare: 1, right: true}, {title: "likely range", spare: 6, right: true}}
	return s
}

func (s *dryingScreen) idleKeys() []string {
	out := s.grid.idle("Enter", "d", "y", "h", "u")
	if s.grid.at < len(s.list) {
		x := s.list[s.grid.at]
		if !x.trays {
			out = append(out, "y")
		}
		if !x.weighed {
			out = append(out, "u")
		}
	}
	return out
}

func (s *dryingScreen) Title() string { return "Drying" }

// mostGone is of how many days batches that are dry long since are listed, for each
// has to be read; of older ones the look-back takes the weight.
const mostGone = 20

// read looks through the days that have something on the rack.
func (s *dryingScreen) read() tea.Cmd {
	j, rows, now := s.e.Journal, &s.e.record.rows, s.e.now
	liveID, liveDay := s.e.live.id, s.e.live.day // a day is a value: safe to look at from elsewhere
	return follow(&s.reader, s, s.e, func() (dryingFound, error) { return dryingNow(j, rows, liveID, liveDay, now) }, s.take)
}

func dryingNow(j ledger.Journal, rows *rowCache, liveID shed.DayID, liveDay session.Day, now time.Time) (out dryingFound, err error) {
	days, err := rows.read(j)
	if err != nil {
		return dryingFound{}, err
	}
	goneDays := 0
	for _, sum := range days {
		drying, gone := false, 0
		for _, r := range sum.Rows {
			switch {
			case r.State() != ledger.Drying:
			case session.LongDry(r.RackedAt, now):
				gone++
			default:
				drying = true
			}
		}
		if gone > 0 && !drying && sum.ID != liveID {
			if goneDays++; goneDays > mostGone {
				out.gone += gone
				continue
			}
		}
		if !drying && gone == 0 && sum.ID != liveID {
			continue
		}
		d := liveDay
		if sum.ID != liveID {
			if d, err = j.Day(sum.ID); err != nil {
				return dryingFound{}, fmt.Errorf("day %d: %w", sum.ID, err)
			}
		}
		for _, b := range d.Plan.Batches {
			if ledger.RowOf(d, b.ID).State() != ledger.Drying {
				continue
			}
			x, err := d.Drying(b.ID)
			line := dryingLine{day: sum.ID, DryingBatch: x, trays: len(d.Plan.Kit.Trays) > 0, weighed: d.UndoesWeight(), newest: d.UndoesWetOf() == b.ID}
			if err != nil { // the others dry all the same
				line.odd = err.Error()
			}
			out.list = append(out.list, line)
		}
	}
	slices.SortStableFunc(out.list, func(a, b dryingLine) int {
		long := func(x dryingLine) int { // last: nothing of it is urgent
			if session.LongDry(x.Since, now) {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(long(a), long(b)), a.WeighAt.Compare(b.WeighAt), cmp.Compare(a.day, b.day))
	})
	return out, nil
}

func (s *dryingScreen) take(f dryingFound, err error) {
	s.ready = true
	if err != nil {
		s.e.refuse(fmt.Errorf("the rack could not be looked through: %w", err))
		return
	}
	var was dryingLine
	if s.grid.at < len(s.list) {
		was = s.list[s.grid.at]
	}
	s.list, s.gone = f.list, f.gone
	for _, to := range append(s.next, was) { // the list is in another order now: the choice stays with its batch
		if i := slices.IndexFunc(s.list, to.same); i >= 0 {
			s.grid.at = i
			break
		}
	}
	s.next = nil
	s.fill()
}

// hourText is an hour as near as it has to be: the day too, if it is not today.
func (e *env) hourText(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	at, now := t.In(e.zone()), e.now.In(e.zone())
	if at.YearDay() == now.YearDay() && at.Year() == now.Year() {
		return at.Format("15:04")
	}
	if far := at.Sub(now); far > 6*24*time.Hour || far < -6*24*time.Hour {
		return at.Format("2 Jan")
	}
	return at.Format("Mon 15:04")
}

// aboutHour is hourText of a forecast, which is no better than a quarter hour.
func (e *env) aboutHour(t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return e.hourText(session.Quarter(t, e.now))
}

// weighText is when to weigh, as near as it has to be: at t or, once that is past, now,
// but never while the person sleeps.
func (e *env) weighText(t time.Time) string {
	if t = e.weighAt(t); !t.After(e.now) {
		return "now"
	}
	return e.hourText(t)
}

// weighAt is when the person is up for a weighing, no sooner than now.
func (e *env) weighAt(t time.Time) time.Time {
	if t = t.Round(15 * time.Minute); t.Before(e.now) {
		t = e.now
	}
	return e.kit.WhenUp(t.In(e.zone()))
}

func (s *dryingScreen) fill() {
	e, u := s.e, s.e.kit.Units
	rows := make([][]string, len(s.list))
	for i, x := range s.list {
		weighs, rests, when, about, between := "-", "-", e.weighText(x.WeighAt), "-", "-"
		if x.LastG > 0 {
			weighs = u.Mass(x.LastG)
		}
		if x.odd == "" {
			rests = u.Mass(x.Forecast.RestingG.Likely)
			about, between = e.dryAtText(x.DryingBatch), e.dryBetween(x.DryingBatch)
			if x.Overdue(e.now) {
				about, between = "by now", "-"
			}
			if x.Dry {
				when, about, between = "dry", "dry", "-"
			}
		}
		if session.LongDry(x.Since, e.now) {
			about, between = "long since", "-"
		}
		rows[i] = []string{x.Batch.ID, x.Fleece.Title(), orDash(x.Tray), e.hourText(x.Since), weighs, rests, when, about, between}
	}
	s.grid.setRows(rows)
}

func (s *dryingScreen) Update(msg tea.Msg) (screen, tea.Cmd) { return s, s.act(msg) }

func (s *dryingScreen) act(msg tea.Msg) tea.Cmd {
	open := func() tea.Cmd { return s.ask(weighWet) }
	k, cmd, ok := s.onList(msg, &s.grid, open)
	if !ok {
		return cmd
	}
	switch {
	case s.grid.move(k):
	case key.Matches(k, s.weigh):
		return open()
	case key.Matches(k, s.dry):
		return s.ask(weighDry)
	case key.Matches(k, s.lay):
		return s.layElsewhere()
	case key.Matches(k, keyFound):
		return s.chosen(func(x dryingLine, l *live) tea.Cmd { return askFound(s.e, l, x.Batch.ID) })
	case key.Matches(k, s.undo):
		return s.takeBack()
	}
	return nil
}

// chosen goes on with the batch that is chosen and its day, ready to be gone on
// with; if that cannot be it says why.
func (s *dryingScreen) chosen(then func(dryingLine, *live) tea.Cmd) tea.Cmd {
	if len(s.list) == 0 {
		return nil
	}
	e, x := s.e, s.list[s.grid.at]
	if x.day == e.live.id {
		return then(x, e.live)
	}
	// The next event's number is that after the last one written.
	if e.saving() > 0 {
		e.refuse(fmt.Errorf("something is still being saved: wait a moment, then press again"))
		return nil
	}
	j := e.Journal
	return lead(s, e, func() (session.Day, error) { return j.Day(x.day) }, func(d session.Day, err error) tea.Cmd {
		if err != nil {
			e.refuse(fmt.Errorf("the day could not be read: %w", err))
			return nil
		}
		return then(x, &live{keeper: e.keeper, id: x.day, day: d})
	})
}

// takeBack takes back the last weight of the chosen batch's day.
func (s *dryingScreen) takeBack() tea.Cmd {
	return s.chosen(func(_ dryingLine, l *live) tea.Cmd { s.undoWeight(l); return nil })
}

// ask asks for the weight of the chosen batch.
func (s *dryingScreen) ask(kind weighKind) tea.Cmd {
	return s.chosen(func(x dryingLine, l *live) tea.Cmd {
		var w *weighing
		w = newWeighing(s.e, l, kind, x.Batch.ID, func() tea.Cmd {
			s.next = s.after(x)
			return afterWeighing(w)
		})
		if kind == weighDry && x.Dry {
			w.massG = x.LastG
		}
		return push(w.form(fmt.Sprintf("Weigh %s, %s", s.e.which(x.DryingBatch), x.Fleece.Title()), nil))
	})
}

// after are the batches to go on with once this one is weighed: those that want a
// weight now as they stand behind it, then from the top; else the one behind it.
func (s *dryingScreen) after(x dryingLine) (out []dryingLine) {
	at := slices.IndexFunc(s.list, x.same)
	if at < 0 {
		return nil
	}
	for _, o := range slices.Concat(s.list[at+1:], s.list[:at]) {
		if !o.Dry && !s.e.weighAt(o.WeighAt).After(s.e.now) {
			out = append(out, o)
		}
	}
	return append(out, s.list[at+1:]...)
}

func (s *dryingScreen) View() string { c := *s; return c.place() }

func (s *dryingScreen) place() string {
	t := s.e.Theme
	rule := wrapped(yield.DryRule+". Likely range: nine in ten are dry within it", s.w-2)
	if s.gone > 0 {
		rule = append(rule, wrapped(fmt.Sprintf("and %s racked long ago and never weighed dry: Past days takes the weight", counted(s.gone, "batch", "batches")), s.w-2)...)
	}
	switch {
	case !s.ready:
		return s.draw([]string{"", t.Faint.Render("   reading the days")})
	case len(s.list) == 0:
		lines := s.empty(nil, "Nothing is drying.",
			"What is racked on a wash day lies here until its dry weight is known. Weigh a batch the morning after and a few hours later: from two or more weights follows when it is dry.",
			"Esc goes back.")
		return s.draw(append(lines, s.ruleLines(rule, s.room()-len(lines)-1)...))
	}
	var chosen []string
	x := s.list[s.grid.at]
	chosen = append(chosen, told(t.Text, fmt.Sprintf("%s, %s%s: %s", s.e.which(x.DryingBatch), x.Fleece.Title(), onTray(x.DryingBatch), s.about(x)), s.w)...)
	room := s.room()
	high := min(len(s.list)+1, max(3, room-len(chosen)-1)) // the rule has what is left
	lines := s.grid.lines(t, 0, s.w, high)
	if room-len(lines) >= len(chosen) {
		if room-len(lines) > len(chosen) {
			lines = append(lines, "")
		}
		lines = append(lines, chosen...)
	}
	return s.draw(append(lines, s.ruleLines(rule, room-len(lines)-1)...))
}

// about is what is known of a batch that dries.
func (s *dryingScreen) about(x dryingLine) string {
	switch {
	case x.odd != "":
		if x.newest {
			return x.odd + " (u takes the last weight back)"
		}
		return x.odd
	case session.LongDry(x.Since, s.e.now):
		return "racked " + agoText(s.e.now.Sub(x.Since)) + " ago and never weighed dry. It is dry long since: d takes its dry weight"
	}
	return s.e.forecastText(x.DryingBatch)
}

// which names a batch and its day: marks are the same on every day.
func (e *env) which(x session.DryingBatch) string {
	if x.Since.IsZero() {
		return x.Batch.ID
	}
	return x.Batch.ID + " of " + x.Since.In(e.zone()).Format("2 Jan")
}

// onTray says where it lies, if anybody knows.
func onTray(x session.DryingBatch) string {
	if x.Tray == "" {
		return ""
	}
	return ", on " + x.Tray
}

// ruleLines is the rule by which a batch is dry, if there is room for it.
func (s *dryingScreen) ruleLines(rule []string, room int) []string {
	if room < len(rule) {
		return nil
	}
	out := []string{""}
	for _, l := range rule {
		out = append(out, s.e.Theme.Faint.Render(fit(" "+l, s.w)))
	}
	return out
}
