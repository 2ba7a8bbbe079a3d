package ahead

import (
	"fmt"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/gear"
	"fleece.example/tubside/tui/theme"
)

// PlanScreen puts a wash day together.
type PlanScreen struct {
	base.Frame
	base.Reader
	grid                     base.Grid
	add, edit, del, up, down key.Binding
	method, water, start     key.Binding
	today, times, when, goOn key.Binding

	*reckoned           // last
	next      *reckoned // of the plan as it is
	working   bool

	told        ledger.Past // what past days say: see past()
	stock       ledger.Stock
	own, faster []shed.Batch // in the person's own order, and in the faster one that was taken over
}

// NewPlan is the screen of the plan that is being made.
func NewPlan(e *base.Env) base.Screen {
	s := &PlanScreen{reckoned: &reckoned{},
		add: base.Bind("a", "add a fleece"), edit: base.Bind("Enter", "change", "enter", "e"), del: base.Bind("d", "take out", "d", "x", "delete"),
		up: base.Bind("K", "earlier", "K", "shift+up"), down: base.Bind("J", "later", "J", "shift+down"),
		method: base.Bind("m", "method"), water: base.Bind("w", "water today"), start: base.Bind("s", "start the day"),
		today: base.Bind("l", "leave the rest for later"), times: base.Bind("t", "timetable"), when: base.Bind("b", "when"), goOn: base.Bind("g", "wet ones first"),
	}
	s.Frame = base.Frame{E: e, Own: []key.Binding{s.edit, s.start, s.goOn, s.add, s.times, s.when, s.del, s.water, s.method, s.up, s.down, base.KeyBack, base.KeyHelp, base.KeyMove}}
	s.Idle = func() []string {
		idle := append(s.grid.Idle("Enter", "s", "t", "b", "d"), s.grid.IdleMoves()...)
		if len(s.stillWet()) == 0 {
			idle = append(idle, "g")
		}
		return idle
	}
	s.grid.By = 1
	s.grid.Cols = []base.Column{{Title: ""}, {Title: "batch"}, {Title: "fleece", Name: true}, {Title: "raw", Right: true}, {Title: "form", Spare: 2}, {Title: "part", Spare: 5, Seldom: true, Name: true}, {Title: "presoak", Spare: 3}, {Title: "tub", Spare: 1, Name: true}}
	if len(e.Planned.Plan.Method.Steps) == 0 {
		e.Planned.Plan.Method = shed.BuiltInMethod()
	}
	s.refresh()
	return s
}

func (s *PlanScreen) Title() string { return "Plan a wash day" }

func (s *PlanScreen) Read() tea.Cmd {
	return tea.Batch(s.E.FollowRecord(&s.Reader, s, s.refresh), s.reckon())
}

// past takes what earlier days say: how the tubs cool, how long hands take, what
// lies on the rack, and what of each fleece is left.
func (s *PlanScreen) past() {
	known, days := s.E.Record.Fleeces, s.E.Record.Days
	s.stock = ledger.StockOf(known, days)
	s.told = ledger.PastOf(days)
}

// tooMuch says of which fleece the plan has more than is left by the record; ""
// if of none. That it has more than the fleece weighs is why it won't work.
func (s *PlanScreen) tooMuch() string {
	u := s.E.Kit.Units
	for _, f := range s.next.plan.Fleeces {
		if g, left, over := s.stock.Over(f, s.E.Planned.Plan.Batches); over && g <= f.ToWashG()+0.5 {
			return fmt.Sprintf("%s of %s are planned, but by the record %s is left: take batches out, or correct its weight", u.Mass(g), f.Title(), u.Mass(left))
		}
	}
	return ""
}

// refresh takes the fleeces as the ledger has them now and fills the rows.
func (s *PlanScreen) refresh() {
	s.past()
	for i, f := range s.E.Planned.Plan.Fleeces {
		for _, k := range s.E.Record.Fleeces {
			if k.ID == f.ID {
				s.E.Planned.Plan.Fleeces[i] = k
			}
		}
	}
	s.fill()
}

func (s *PlanScreen) fill() {
	s.changed(s.Whole())
	s.rows()
}

// rows are the batches, each with where it soaks over a night, else with the tub that it begins the day in.
func (s *PlanScreen) rows() {
	p := s.next.plan
	names := map[string]string{}
	for _, f := range p.Fleeces {
		names[f.ID] = f.Title()
	}
	s.grid.Cols[3].Title = "raw"
	p.WashInMin = s.outlook.Plan.WashInMin // what soaks till then goes in first
	rows, first := make([][]string, len(p.Batches)), p.FirstTubs(s.outlook.Timetable.From)
	for i, b := range p.Batches {
		tub := "waits"
		if first[i] >= 0 {
			tub = p.Kit.Tubs[first[i]].Name
		}
		if night := s.outlook.SayWhere(b.ID, s.reckoned.when.Now); night != "" && p.SoaksOvernight(&b) {
			tub = night
		}
		mass := p.Kit.Units.Mass(b.NowG())
		if b.WasDryG > 0 {
			mass += " clean"
			s.grid.Cols[3].Title = "weighs"
		}
		rows[i] = []string{fmt.Sprint(i + 1), b.ID, names[b.FleeceID], mass, b.Form.String(), b.Part, b.Presoak.String(), tub}
	}
	s.grid.SetRows(rows)
}

// Whole is the plan as it would be started.
func (s *PlanScreen) Whole() shed.Plan {
	p := s.told.Tell(s.E.Planned.Plan)
	p.Kit = s.E.Kit
	p.Fleeces = slices.DeleteFunc(slices.Clone(p.Fleeces), func(f shed.Fleece) bool {
		return !slices.ContainsFunc(p.Batches, func(b shed.Batch) bool { return b.FleeceID == f.ID })
	})
	return p.WithQuiet(s.E.Keeper.Alarms().QuietHours()).Clean()
}

func (s *PlanScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	if m, ok := msg.(planFleeceMsg); ok {
		return s, s.addBatches(m.id)
	}
	k, cmd, ok := s.OnList(msg, &s.grid, s.change)
	if !ok {
		return s, cmd
	}
	switch {
	case key.Matches(k, s.up):
		s.shift(-1)
	case key.Matches(k, s.down):
		s.shift(1)
	case key.Matches(k, s.start):
		return s, s.E.WithRecord(s, func() tea.Cmd { return s.once(s.askBegin) })
	case key.Matches(k, s.add):
		return s, s.addBatches("")
	case key.Matches(k, s.goOn):
		return s, s.E.WithRecord(s, s.takeWet)
	case key.Matches(k, s.today):
		return s, s.once(s.onlyToday)
	case key.Matches(k, s.times):
		return s, s.timetable()
	case key.Matches(k, s.when):
		return s, s.askWhen()
	case key.Matches(k, s.edit):
		return s, s.change()
	case key.Matches(k, s.del):
		s.takeOut()
	case key.Matches(k, s.method):
		return s, s.E.WithRecord(s, s.chooseMethod)
	case key.Matches(k, s.water):
		return s, s.E.WithRecord(s, s.waterToday)
	}
	return s, nil
}

// askBegin starts the day, unless something has to be asked first.
func (s *PlanScreen) askBegin() tea.Cmd {
	if over := s.tooMuch(); over != "" && !s.Again("over", "%s. Press s again to start anyway", over) {
		return nil
	}
	if s.why != nil && !s.Again("why", "%s. Press s again to start anyway", s.why) {
		return nil
	}
	if at := s.outlook.Timetable.From; s.why == nil && at.After(s.E.Now.Add(soonAfter)) && s.whenLine() != "" && !s.Again("early", "planned start %s. Press s again to start now", whenOf(s.E).Text(at)) {
		return nil
	}
	// What soaks over night is in the bin already, or the day has not come yet.
	whole := s.Whole()
	if soak := planner.InBin(&whole); soak != "" && !s.Again("soak", "%s: soaked in the bin overnight? If so, press s again. If not, put them in this evening and start tomorrow", soak) {
		return nil
	}
	return s.begin()
}

// try keeps a changed plan if it can be washed, else says why not.
func (s *PlanScreen) try(p shed.Plan) error {
	trial := p
	trial.Kit = s.E.Kit
	if err := trial.Clean().Validate(); err != nil {
		return err
	}
	s.E.Planned.Plan = p
	s.fill()
	return nil
}

func (s *PlanScreen) addBatches(chosen string) tea.Cmd {
	return s.E.WithRecord(s, func() tea.Cmd {
		form, err := newBatchForm(s.E, chosen, s.Whole, false, s.take)
		if err != nil {
			s.E.Refuse(err)
			return nil
		}
		return base.Push(form)
	})
}

// take puts batches of a fleece behind those of the plan.
func (s *PlanScreen) take(f shed.Fleece, batches []shed.Batch) error {
	p := s.E.Planned.Plan
	p.Batches = append(slices.Clone(p.Batches), batches...)
	p.Fleeces = slices.Clone(p.Fleeces)
	if i := slices.IndexFunc(p.Fleeces, func(o shed.Fleece) bool { return o.ID == f.ID }); i >= 0 {
		p.Fleeces[i] = f
	} else {
		p.Fleeces = append(p.Fleeces, f)
	}
	if err := s.try(p); err != nil {
		return err
	}
	s.grid.At = len(p.Batches) - 1
	s.E.Tell("%s of %s in the plan", base.Counted(len(batches), "batch", "batches"), f.Title())
	return nil
}

// timetable opens what the plan comes to.
func (s *PlanScreen) timetable() tea.Cmd {
	if len(s.E.Planned.Plan.Batches) == 0 {
		s.E.Refuse(fmt.Errorf("no batch yet: a adds some"))
		return nil
	}
	if !s.next.when.Now.Equal(whenOf(s.E).Now) {
		s.changed(s.Whole()) // both screens say the same
	}
	own := s.own
	if now := s.E.Planned.Plan.Batches; len(now) != len(s.faster) || &now[0] != &s.faster[0] {
		own = nil // the batches are others since, each change makes them anew
	}
	return base.Push(newOutlook(s.E, s.next, own, func(p shed.Plan) {
		if s.own, s.faster = s.E.Planned.Plan.Batches, p.Batches; own != nil { // it is their own order again
			s.own, s.faster = nil, nil
		}
		s.E.Planned.Plan.Batches, s.E.Planned.Plan.Fleeces = p.Batches, p.Fleeces
		s.fill()
	}))
}

// change edits the chosen batch.
func (s *PlanScreen) change() tea.Cmd {
	i := s.grid.At
	if i >= len(s.E.Planned.Plan.Batches) {
		return s.addBatches("")
	}
	b := s.E.Planned.Plan.Batches[i]
	p, layers, changed := basketPage(s.E, s.Whole(), &b)
	f := form.NewForm(s.E, "Batch "+s.Whole().Batches[i].ID, []*form.Page{p, layers}, func() (tea.Cmd, error) {
		next := s.E.Planned.Plan
		next.Batches = slices.Clone(next.Batches)
		next.Batches[i] = b
		if err := s.try(next); err != nil {
			return nil, err
		}
		return base.Pop(), nil
	})
	f.Changed = changed
	return f.Over(func(w, room int) []string {
		all := slices.Clone(s.Whole().Batches)
		all[i].RawG = b.RawG
		return baskets(s.E, all, i, w, room)
	})
}

// onlyToday takes out of the plan what is more than a day's work: it stays in its
// fleece for another day.
func (s *PlanScreen) onlyToday() tea.Cmd {
	if s.why != nil || len(s.outlook.ByDays) == 0 {
		s.E.Refuse(fmt.Errorf("the plan is one day's work: nothing to leave for later"))
		return nil
	}
	today, labelled := s.outlook.ByDays[0], s.Whole().Batches
	var keep []shed.Batch
	later := 0.0
	for i, b := range s.E.Planned.Plan.Batches {
		if slices.Contains(today, labelled[i].ID) {
			keep = append(keep, b)
		} else if b.Raw() {
			later += b.RawG
		}
	}
	s.E.Planned.Plan.Batches = keep
	s.fill()
	s.E.Tell("%s today; %s stay in the fleece for another day", base.Counted(len(keep), "batch", "batches"), s.E.Kit.Units.Mass(later))
	return nil
}

func (s *PlanScreen) takeOut() {
	i := s.grid.At
	if i >= len(s.E.Planned.Plan.Batches) {
		return
	}
	id := s.Whole().Batches[i].ID
	if !s.Again("take out "+id, "take %s out of the plan? Press d again", id) {
		return
	}
	all := s.E.Planned.Plan.Batches
	s.E.Planned.Plan.Batches = append(all[:i:i], all[i+1:]...)
	s.fill()
}

// shift moves the chosen batch earlier or later.
func (s *PlanScreen) shift(by int) {
	b := slices.Clone(s.E.Planned.Plan.Batches)
	from, to := s.grid.At, s.grid.At+by
	if from >= len(b) || to < 0 || to >= len(b) {
		return
	}
	b[from], b[to] = b[to], b[from]
	s.E.Planned.Plan.Batches = b
	s.grid.At = to
	s.fill()
}

func (s *PlanScreen) chooseMethod() tea.Cmd {
	list := gear.MethodList(s.E)
	id := s.E.Planned.Plan.Method.ID
	var choices []form.Choice[string]
	for _, m := range list {
		words := m.Name
		if m.ID == shed.BuiltInMethodID {
			words += "  (built in)"
		}
		choices = append(choices, form.Choice[string]{Value: m.ID, Words: words})
	}
	p := &form.Page{Fields: []*form.Field{form.ChoiceField("Method", "which baths in which order, with their limits; make your own under Methods", &id, false, choices...)}}
	chosen := func() *shed.Method {
		i := 0
		for list[i].ID != id {
			i++
		}
		return &list[i]
	}
	return form.NewForm(s.E, "Method of the day", []*form.Page{p}, func() (tea.Cmd, error) {
		s.E.Planned.Plan.Method = *chosen()
		s.fill()
		return base.Pop(), nil
	}).Over(func(w, room int) []string {
		return gear.MethodPicture(&s.E.Theme, &s.E.Kit, chosen().Steps, w, room)
	})
}

// waterToday corrects what changes from day to day: the room and the taps.
func (s *PlanScreen) waterToday() tea.Cmd {
	k := s.E.Kit
	p := gear.WaterPage(&k)
	p.Title = "Water today"
	return form.NewForm(s.E, "Room and taps today", []*form.Page{p}, func() (tea.Cmd, error) {
		if err := gear.SaveKit(s.E, k); err != nil {
			return nil, err
		}
		s.E.Planned.WaterDay = s.E.DayText(s.E.Now)
		s.fill()
		return base.Pop(), nil
	}).Over(func(w, room int) []string { return gear.Picture(&s.E.Theme, &k, -1, w, room) })
}

// waterLine asks whether the taps are as the kit has them, until they were looked over today.
func (s *PlanScreen) waterLine() string {
	k, u := s.E.Kit, s.E.Kit.Units
	around := fmt.Sprintf(" Water   room %s, cold tap %s", u.Temp(k.RoomC), u.Temp(k.ColdTapC))
	hot := u.Temp(k.HotTapC)
	if s.E.Planned.WaterDay == s.E.DayText(s.E.Now) {
		return draw.FirstFit(s.W, around+", hot tap "+hot+"; w changes them", " Water   hot tap "+hot+" today; w changes it", " Hot tap "+hot+"; w changes it")
	}
	return draw.FirstFit(s.W, around+"; is the hot tap still "+hot+" today? w corrects it",
		" Water   is the hot tap still "+hot+" today? w corrects it", " Hot tap still "+hot+"? w corrects it")
}

// begin starts the day: home below, the tubs on top.
func (s *PlanScreen) begin() tea.Cmd {
	e := s.E
	p := s.Whole()
	if err := p.Validate(); err != nil {
		e.Refuse(err)
		return nil
	}
	p.GoBy(e.Now.In(e.Zone()))
	p.ReadyInMin = max(0, measure.MinutesBetween(e.Now, e.Planned.ReadyBy))
	if wash := s.outlook.Plan.WashInMin; wash > 0 {
		p.WashInMin = max(0, measure.MinutesBetween(e.Now, s.outlook.Timetable.From)+wash)
	}
	j, k, now := e.Journal, e.Keeper, e.Now
	was, running := e.Live.ID, e.Live.Day.Running()
	return base.Deed(s, e, func() error {
		id, open, err := j.OpenDay()
		switch {
		case err != nil:
			err = fmt.Errorf("the days couldn't be read: %w", err)
		case open && id != was || running: // the end of the live one may not be written yet
			err = fmt.Errorf("a day is still open: go on with it or close it first; this plan is kept")
		default:
			if err = k.Begin(p, now); err != nil {
				err = fmt.Errorf("the day couldn't be started: %w", err)
			}
		}
		return err
	}, func(err error) tea.Cmd {
		if err != nil {
			e.Refuse(err)
			return nil
		}
		e.Planned.Plan = shed.Plan{}
		if err := k.CarryProof(e.Now); err != nil {
			e.Refuse(err)
		}
		e.Look()
		if _, bad := e.SoundWords(); bad {
			e.Warn("Check the sound: p plays the alarms, and you say whether you hear them")
		}
		e.RefuseCommand()
		return base.ToTubs(e)
	})
}

func (s *PlanScreen) View() string { c := *s; return c.Place() }

func (s *PlanScreen) Place() string {
	t, w := s.E.Theme, s.W
	room := s.Room()
	head := []string{
		t.Text.Render(draw.Short(fmt.Sprintf(" Method  %s", s.E.Planned.Plan.Method.Clean().Name), w)),
		t.Text.Render(draw.Fit(s.waterLine(), w)),
	}
	if wet := s.sayWet(); wet != "" {
		head = append(head, draw.Told(t.Next, wet, w)...)
	}
	if len(s.E.Planned.Plan.Batches) == 0 {
		return s.Draw(s.Empty(head, "No batch yet.",
			"A batch is what goes into one basket: in your largest tub "+usualBatches(s.E)+". The first ones get the tubs, the others wait their turn.",
			"a puts a fleece into the plan.", func(w, room int) []string {
				return gear.MethodPicture(&t, &s.E.Kit, s.E.Planned.Plan.Method.Steps, w, room)
			}))
	}
	if line := s.whenLine(); line != "" {
		head = append(head, draw.Told(s.known(t.Next), line, w)...)
	}
	if room > 14 {
		head = append(head, t.Rule.Render(base.RepeatMark(&t, theme.MarkRule, w)))
	}
	least := min(len(s.grid.Rows)+1, max(3, 2*(room-len(head))/3))
	totals := draw.Whole(room-len(head)-least, s.totals()...)
	body := append(head, s.grid.Lines(&t, len(head), w, room-len(head)-len(totals))...)
	if len(body)+len(totals) < room && len(totals) > 0 {
		body = append(body, "")
	}
	body = append(body, totals...)
	o := s.outlook // where there is room for the day, and it would begin about now
	left := room - len(body) - 1
	if s.why != nil {
		body = append(append(body, ""), baskets(s.E, s.next.plan.Batches, s.grid.At, w, left)...)
	} else if left > 0 && !s.old() && s.E.Now.Before(o.Timetable.From.Add(soonAfter)) {
		body = append(append(body, ""), TimetableBars(s.E, o.Plan.Kit.Tubs, &o.Timetable, w, left)...)
	}
	return s.Draw(body)
}
