package past

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/yield"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// TrayChoices are the trays with how full they are.
func TrayChoices(trays []shed.Tray, rack shed.RackRoom) []form.Choice[string] {
	out := make([]form.Choice[string], len(trays))
	for i, t := range trays {
		out[i] = form.Choice[string]{Value: t.ID, Words: fmt.Sprintf("%s (%s)", t.Name, rack.Use(t.ID))}
	}
	return out
}

// layElsewhere lays the chosen batch on another tray.
func (s *dryingScreen) layElsewhere() tea.Cmd {
	return s.chosen(func(x dryingLine, l *base.Live) tea.Cmd {
		return s.E.WithRecord(s, func() tea.Cmd {
			return askWhere(s.E, l, x.Batch.ID, fmt.Sprintf("Move %s, %s", which(s.E, x.DryingBatch), x.Fleece.Title()), func(w, room int) []string { return rackDrawing(s.E, s.list, s.grid.At, w, room) }, func() {})
		})
	})
}

// askWhere asks on which tray a batch is to lie.
func askWhere(e *base.Env, l *base.Live, batch, title string, over func(w, room int) []string, then func()) tea.Cmd {
	trays := l.Day.Plan.Kit.Trays
	if len(trays) == 0 { // told since
		trays = e.Kit.Trays
	}
	if len(trays) == 0 {
		e.Refuse(fmt.Errorf("the kit has no trays: add them under Kit, Drying rack"))
		return nil
	}
	c := session.MoveOnRack{Batch: batch, Tray: trays[0].ID, Trays: trays}
	var err error
	if c.OnRack, err = e.Lying(l.ID); err != nil {
		e.Refuse(fmt.Errorf("what lies on the rack couldn't be read: %w", err))
		return nil
	}
	here := l.Day
	here.Plan.OnRack, here.Plan.Kit.Trays = c.OnRack, trays
	rack := here.Rack()
	b, _ := here.Batch(batch)
	choices := TrayChoices(trays, rack)
	if here.LiesWet(batch) { // a full rack keeps no fleece wet
		t, _, _ := rack.Find(b)
		c.Tray, choices = t.ID, append(choices, form.Choice[string]{Value: "", Words: "elsewhere"})
	}
	p := &form.Page{Fields: []*form.Field{form.ChoiceField("Tray", "move its tag too", &c.Tray, false, choices...)}}
	return form.NewForm(e, title, []*form.Page{p}, func() (tea.Cmd, error) {
		if err := e.DoOn(l, c); err != nil {
			return nil, err
		}
		f := l.Day.Fate[c.Batch]
		e.Tell("%s lies on %s", c.Batch, cmp.Or(l.Day.Plan.Kit.Lies(f.Tray, f.Spots, b.Form), "the rack"))
		then()
		return base.Pop(), nil
	}).Over(over)
}

// dryingScreen lists what lies on the rack: where, since when, what to weigh
// next and when.
type dryingScreen struct {
	base.Frame
	base.Reader
	grid  base.Grid
	list  []dryingLine
	gone  int
	ready bool
	satAt time.Time // when the list was last given: its order stays for one sitting
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
	tray                   string // on which it lies, by its mark, and where there
	spots                  []shed.Spot
}

func (x dryingLine) same(o dryingLine) bool { return x.day == o.day && x.Batch.ID == o.Batch.ID }

type dryingFound struct {
	list []dryingLine
	gone int // batches racked too long ago that nobody has weighed
}

// NewDrying is the list of what dries.
func NewDrying(e *base.Env) base.Screen {
	s := &dryingScreen{weigh: base.KeyEnter("weigh"), dry: base.Bind("d", "dry: bag it"), undo: base.Bind("u", "undo"), lay: base.Bind("y", "move tray")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{s.weigh, s.dry, base.KeyBack, s.lay, keyFound, s.undo, base.KeyHelp, base.KeyMove}}
	s.Idle, s.grid.Told = s.idleKeys, true
	s.grid.Cols = []base.Column{{Title: "batch"}, {Title: "fleece", Spare: 3, Name: true}, {Title: "lies on", Spare: 2, Name: true}, {Title: "since", Spare: 4}, {Title: "weighs", Right: true},
		{Title: "dries to", Spare: 5, Right: true}, {Title: "weigh", Right: true}, {Title: "dry about", Spare: 1, Right: true}, {Title: "likely range", Spare: 6, Right: true}}
	return s
}

func (s *dryingScreen) idleKeys() []string {
	out := s.grid.Idle("Enter", "d", "y", "h", "u")
	if s.grid.At < len(s.list) {
		x := s.list[s.grid.At]
		if !x.trays && len(s.E.Kit.Trays) == 0 {
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

// Read looks through the days that have something on the rack.
func (s *dryingScreen) Read() tea.Cmd {
	j, rows, now := s.E.Journal, &s.E.Record.Rows, s.E.Now
	liveID, liveDay := s.E.Live.ID, s.E.Live.Day // a day is a value: safe to look at from elsewhere
	return base.Follow(&s.Reader, s, s.E, func() (dryingFound, error) { return dryingNow(j, rows, liveID, liveDay, now) }, s.take)
}

func dryingNow(j ledger.Journal, rows *base.RowCache, liveID shed.DayID, liveDay session.Day, now time.Time) (out dryingFound, err error) {
	days, err := rows.Read(j)
	if err != nil {
		return dryingFound{}, err
	}
	goneDays, before := 0, ledger.WashedAgain(days)
	for _, sum := range days {
		if !sum.EnteredAt.IsZero() { // dry long since
			continue
		}
		drying, gone := false, 0
		for _, r := range sum.Rows {
			switch {
			case r.State() != ledger.Drying || before.Has(sum.ID, r.ID):
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
			if ledger.StateOf(d, b.ID) != ledger.Drying || before.Has(sum.ID, b.ID) {
				continue
			}
			x, err := d.Drying(b.ID)
			line := dryingLine{day: sum.ID, DryingBatch: x, trays: len(d.Plan.Kit.Trays) > 0, weighed: d.UndoesWeight(), newest: d.UndoesWetOf() == b.ID,
				tray: d.Fate[b.ID].Tray, spots: d.Fate[b.ID].Spots}
			if err != nil { // the others dry all the same
				line.odd = err.Error()
			}
			out.list = append(out.list, line)
		}
	}
	sort.SliceStable(out.list, func(i, j int) bool {
		a, b := out.list[i], out.list[j]
		long := func(x dryingLine) int { // last: nothing of it is urgent
			if session.LongDry(x.Since, now) {
				return 1
			}
			return 0
		}
		return cmp.Or(cmp.Compare(long(a), long(b)), a.WeighAt.Compare(b.WeighAt), cmp.Compare(a.day, b.day)) < 0
	})
	return out, nil
}

func (s *dryingScreen) take(f dryingFound, err error) {
	s.ready = true
	if err != nil {
		s.E.Refuse(fmt.Errorf("the rack couldn't be read: %w", err))
		return
	}
	var was dryingLine
	if s.grid.At < len(s.list) {
		was = s.list[s.grid.At]
	}
	if ago := s.E.Now.Sub(s.satAt); ago >= 0 && ago < sameRoom { // one sitting: the list stays as it is under the hand
		place := func(x dryingLine) int {
			if i := slices.IndexFunc(s.list, x.same); i >= 0 {
				return i
			}
			return len(s.list)
		}
		sort.SliceStable(f.list, func(i, j int) bool { return place(f.list[i]) < place(f.list[j]) })
	}
	s.list, s.gone, s.satAt = f.list, f.gone, s.E.Now
	for _, to := range append(s.next, was) { // the list is in another order now: the choice stays with its batch
		if i := slices.IndexFunc(s.list, to.same); i >= 0 {
			s.grid.At = i
			break
		}
	}
	s.next = nil
	s.fill()
}

// hourText is an hour as near as it has to be: the day too, if it is not today.
func hourText(e *base.Env, t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	at, now := t.In(e.Zone()), e.Now.In(e.Zone())
	if at.YearDay() == now.YearDay() && at.Year() == now.Year() {
		return e.Kit.Units.Clock(at)
	}
	if far := at.Sub(now); far > 6*24*time.Hour || far < -6*24*time.Hour {
		return e.Kit.Units.Moment(at, "2 Jan")
	}
	return e.Kit.Units.Moment(at, "Mon 15:04")
}

// aboutHour is hourText of a forecast, which is no better than a quarter hour.
func aboutHour(e *base.Env, t time.Time) string {
	if t.IsZero() {
		return "-"
	}
	return hourText(e, session.Quarter(t, e.Now))
}

// weighText is when to weigh, as near as it has to be: at t or, once that is past, now,
// but never while the person sleeps.
func weighText(e *base.Env, t time.Time) string {
	if t = weighAt(e, t); !t.After(e.Now) {
		return "now"
	}
	return hourText(e, t)
}

// weighAt is when the person is up for a weighing, no sooner than now.
func weighAt(e *base.Env, t time.Time) time.Time {
	if t = t.Round(15 * time.Minute); t.Before(e.Now) {
		t = e.Now
	}
	return e.Kit.WhenUp(t.In(e.Zone()))
}

func (s *dryingScreen) fill() {
	e, u := s.E, s.E.Kit.Units
	rows := make([][]string, len(s.list))
	for i, x := range s.list {
		weighs, rests, when, about, between := "-", "-", weighText(e, x.WeighAt), "-", "-"
		if x.LastG > 0 {
			weighs = u.Mass(x.LastG)
		}
		if x.odd == "" {
			r := x.Forecast.RestingG
			rests = u.MassSpread(r.Low, r.High)(r.Likely)
			about, between = dryAtText(e, x.DryingBatch), dryBetween(e, x.DryingBatch)
			if x.Overdue(e.Now) {
				about, between = anyTime, "-"
			}
			if x.Dry {
				when, about, between = "dry", "dry", "-"
			}
		}
		if session.LongDry(x.Since, e.Now) {
			about, between = "long since", "-"
		}
		rows[i] = []string{marked(e, s.list, x), x.Fleece.Title(), orDash(x.Tray), hourText(e, x.Since), weighs, rests, when, about, between}
	}
	s.grid.SetRows(rows)
}

func (s *dryingScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) { return s, s.act(msg) }

func (s *dryingScreen) act(msg tea.Msg) tea.Cmd {
	k, cmd, ok := s.OnList(msg, &s.grid, func() tea.Cmd { return s.ask(weighWet) })
	if !ok {
		return cmd
	}
	switch {
	case key.Matches(k, s.dry):
		return s.ask(weighDry)
	case key.Matches(k, s.lay):
		return s.layElsewhere()
	case key.Matches(k, keyFound):
		return s.chosen(func(x dryingLine, l *base.Live) tea.Cmd {
			return askFound(s.E, []*base.Live{l}, "", shed.Earlier{Day: x.day, Batch: x.Batch.ID})
		})
	case key.Matches(k, s.undo):
		return s.takeBack()
	}
	return nil
}

// chosen goes on with the batch that is chosen and its day, ready to be gone on
// with; if that cannot be it says why.
func (s *dryingScreen) chosen(then func(dryingLine, *base.Live) tea.Cmd) tea.Cmd {
	if len(s.list) == 0 {
		return nil
	}
	e, x := s.E, s.list[s.grid.At]
	return withDays(s, e, []shed.DayID{x.day}, func(days []*base.Live) tea.Cmd { return then(x, days[0]) })
}

// takeBack takes back the last weight of the chosen batch's day.
func (s *dryingScreen) takeBack() tea.Cmd {
	return s.chosen(func(_ dryingLine, l *base.Live) tea.Cmd { undoWeight(&s.Frame, l); return nil })
}

// ask asks for the weight of the chosen batch.
func (s *dryingScreen) ask(kind weighKind) tea.Cmd {
	return s.chosen(func(x dryingLine, l *base.Live) tea.Cmd {
		var w *weighing
		w = newWeighing(s.E, l, kind, x.Batch.ID, func() tea.Cmd {
			s.next = s.after(x, l.Day)
			return afterWeighing(w)
		})
		w.then, w.bags, w.tags = func() string { return s.nextText(x, l.Day) }, "d on its line", " on its fleece's card"
		if kind == weighDry && x.Dry {
			w.massG = x.LastG
		}
		return base.Push(w.form(fmt.Sprintf("Weigh %s, %s", which(s.E, x.DryingBatch), x.Fleece.Title()), nil))
	})
}

// after are the batches to go on with once this one is weighed, by which its day's others go
// too: those that want a weight now as they stand behind it, then from the top; else the one
// behind it.
func (s *dryingScreen) after(x dryingLine, d session.Day) (out []dryingLine) {
	at := slices.IndexFunc(s.list, x.same)
	if at < 0 {
		return nil
	}
	others := slices.Concat(s.list[at+1:], s.list[:at])
	for i, o := range others {
		if now, err := d.Drying(o.Batch.ID); err == nil && o.day == x.day {
			others[i].DryingBatch = now
		}
		if o = others[i]; s.isDue(o) {
			out = append(out, o)
		}
	}
	return append(out, others[:len(s.list)-at-1]...)
}

// isDue says that a batch wants a weight now.
func (s *dryingScreen) isDue(x dryingLine) bool {
	return !x.Dry && !weighAt(s.E, x.WeighAt).After(s.E.Now)
}

// nextText says to which batch the mark goes on from x, and when that is to be weighed: the
// next figure is for that one.
func (s *dryingScreen) nextText(x dryingLine, d session.Day) string {
	after := s.after(x, d)
	if len(after) == 0 {
		return ""
	}
	next := after[0].Batch.ID
	if next == x.Batch.ID || after[0].day != x.day {
		next = which(s.E, after[0].DryingBatch)
	}
	switch {
	case after[0].Dry:
		return ". Next: " + next + ", dry"
	case s.isDue(after[0]):
		return ". Next on the scale: " + next
	}
	return ". Next: " + next + ", due " + weighText(s.E, after[0].WeighAt)
}

func (s *dryingScreen) View() string { c := *s; return c.Place() }

func (s *dryingScreen) Place() string {
	t := &s.E.Theme
	rule := draw.Wrapped(s.E.Kit.Units.PercentSigns(yield.DryRule)+". Likely range: nine in ten are dry within it", s.W-2)
	if s.gone > 0 {
		rule = append(rule, draw.Wrapped(fmt.Sprintf("and %s on the rack long ago, never weighed dry: weigh under Past days", base.Counted(s.gone, "batch", "batches")), s.W-2)...)
	}
	switch {
	case !s.ready:
		return s.Draw([]string{"", t.Faint.Render("   reading the days")})
	case len(s.list) == 0:
		lines := s.Empty(nil, "Nothing is drying.",
			"Batches lie here from the wash day until you have their dry weight. Weigh each at two times of day, such as evening and morning: its weights show when it's dry.",
			"Esc goes back.", nil)
		return s.Draw(append(lines, s.ruleLines(rule, s.Room()-len(lines)-1)...))
	}
	var chosen []string
	x := s.list[s.grid.At]
	room := s.Room()
	for _, why := range []string{notMet(s.E, x.DryingBatch), ""} { // before all of it goes, the reason goes
		chosen = draw.Told(t.Text, fmt.Sprintf("%s, %s%s: %s", which(s.E, x.DryingBatch), x.Fleece.Title(), onTray(x.DryingBatch), s.about(x, why)), s.W)
		if len(chosen) <= room-min(len(s.list)+1, 3) {
			break
		}
	}
	high := min(len(s.list)+1, max(3, room-len(chosen)-1)) // the rule has what is left
	lines := s.grid.Lines(t, 0, s.W, high)
	if room-len(lines) >= len(chosen) {
		if room-len(lines) > len(chosen) {
			lines = append(lines, "")
		}
		lines = append(lines, chosen...)
		lines = append(lines, rackDrawing(s.E, s.list, s.grid.At, s.W, room-len(lines)-len(rule)-2)...)
		lines = under(lines, weightsDrawing(s.E, x.DryingBatch, s.W, room-len(lines)-len(rule)-2))
	}
	return s.Draw(append(lines, s.ruleLines(rule, room-len(lines)-1)...))
}

// about is what is known of a batch that dries.
func (s *dryingScreen) about(x dryingLine, why string) string {
	switch {
	case x.odd != "":
		if x.newest {
			return x.odd + " (u undoes the last weight)"
		}
		return x.odd
	case session.LongDry(x.Since, s.E.Now):
		return "on the rack for " + base.AgoText(s.E.Now.Sub(x.Since)) + " and never weighed dry. It's long dry: d takes its dry weight"
	case x.Dry && len(x.Wet) > 0:
		return forecastText(s.E, x.DryingBatch, why) + ": d bags it"
	}
	return forecastText(s.E, x.DryingBatch, why)
}

// which names a batch and its day: marks are the same on every day.
func which(e *base.Env, x session.DryingBatch) string {
	if x.Washed.IsZero() {
		return x.Batch.ID
	}
	return x.Batch.ID + " of " + e.Kit.Units.Moment(x.Washed.In(e.Zone()), "2 Jan")
}

// marked names a batch among others: with its day where they are of several.
func marked(e *base.Env, list []dryingLine, x dryingLine) string {
	if slices.ContainsFunc(list, func(o dryingLine) bool { return o.day != x.day }) {
		return which(e, x.DryingBatch)
	}
	return x.Batch.ID
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
		out = append(out, s.E.Theme.Faint.Render(draw.Fit(" "+l, s.W)))
	}
	return out
}
