package tui

import (
	"fmt"
	"math"
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/keep"
	"fleece.example/tubside/tui/theme"
)

// planning is what the plan of a day to come has so far; leaving its screen loses
// nothing.
type planning struct {
	plan     shed.Plan // its kit is that of env
	waterDay string    // the day on which the taps were looked over last
}

// planScreen puts a wash day together.
type planScreen struct {
	frame
	reader
	grid                     grid
	add, edit, del, up, down key.Binding
	method, water, start     key.Binding
	today, times             key.Binding

	outlook planner.Outlook // of the plan as it is
	why     error           // it cannot be washed

	heat   []shed.TubHeat // what past days say; see past
	hands  []shed.HandsTime
	onRack []shed.Lying
	stock  ledger.Stock
}

func newPlan(e *env) screen {
	s := &planScreen{
		add: bind("a", "add a fleece", "a"), edit: bind("Enter", "change", "enter", "e"), del: bind("d", "take out", "d", "x", "delete"),
		up: bind("K", "earlier", "K", "shift+up"), down: bind("J", "later", "J", "shift+down"),
		method: bind("m", "method", "m"), water: bind("w", "water today", "w"), start: bind("s", "start the day", "s"),
		today: bind("l", "leave the rest for later", "l"), times: bind("t", "timetable", "t"),
	}
	s.frame = frame{e: e, keys: []key.Binding{s.edit, s.start, s.add, s.times, s.del, s.water, s.method, s.up, s.down, keyBack, keyHelp, keyMove}}
	s.idle = func() []string { return append(s.grid.idle("s", "t", "d"), s.grid.idleMoves()...) }
	s.grid.cols = []column{{title: ""}, {title: "batch"}, {title: "fleece", name: true}, {title: "raw", right: true}, {title: "form", spare: 2}, {title: "part", spare: 5, seldom: true, name: true}, {title: "presoak", spare: 3}, {title: "tub", spare: 1, name: true}}
	if len(e.planned.plan.Method.Steps) == 0 {
		e.planned.plan.Method = shed.BuiltInMethod()
	}
	s.refresh()
	return s
}

func (s *planScreen) Title() string { return "Plan a wash day" }

func (s *planScreen) read() tea.Cmd { return s.e.followRecord(&s.reader, s, s.refresh) }

// past takes what earlier days say: how the tubs cool, how long hands take, what
// lies on the rack, and what of each fleece is left.
func (s *planScreen) past() {
	known, days := s.e.record.fleeces, s.e.record.days
	s.stock = ledger.StockOf(known, days)
	s.heat, s.hands = ledger.LearnFrom(days), ledger.LearnHands(days)
	s.onRack = ledger.StillDrying(days[:min(len(days), keep.RackDays)])
}

// tooMuch says of which fleece the plan has more than is left by the record; ""
// if of none.
func (s *planScreen) tooMuch() string {
	u := s.e.kit.Units
	for _, f := range s.whole().Fleeces {
		if g, left, over := s.stock.Over(f, s.e.planned.plan.Batches); over {
			return fmt.Sprintf("%s of %s are planned, and by the record %s of it is left: take batches out, or correct its weight", u.Mass(g), f.Title(), u.Mass(left))
		}
	}
	return ""
}

// refresh takes the fleeces as the ledger has them now and fills the rows.
func (s *planScreen) refresh() {
	s.past()
	for i, f := range s.e.planned.plan.Fleeces {
		for _, k := range s.e.record.fleeces {
			if k.ID == f.ID {
				s.e.planned.plan.Fleeces[i] = k
			}
		}
	}
	s.fill()
}

func (s *planScreen) fill() {
	p := s.whole()
	names := map[string]string{}
	for _, f := range p.Fleeces {
		names[f.ID] = f.Title()
	}
	rows, first := make([][]string, len(p.Batches)), p.FirstTubs()
	for i, b := range p.Batches {
		tub := "waits"
		if first[i] >= 0 {
			tub = p.Kit.Tubs[first[i]].Name
		}
		rows[i] = []string{fmt.Sprint(i + 1), b.ID, names[b.FleeceID], p.Kit.Units.Mass(b.RawG), b.Form.String(), b.Part, b.Presoak.String(), tub}
	}
	s.grid.setRows(rows)
	s.keys[0] = s.edit
	if len(rows) == 0 {
		s.keys[0] = keyEnter("add a fleece")
		return
	}
	s.outlook, s.why = planner.PlanAhead(p, s.e.now.In(s.e.zone()), planner.AsGiven, planner.Thorough)
}

// whole is the plan as it would be started.
func (s *planScreen) whole() shed.Plan {
	p := s.e.planned.plan
	p.Kit, p.Heat, p.Hands, p.OnRack = s.e.kit, s.heat, s.hands, s.onRack
	p.Fleeces = slices.DeleteFunc(slices.Clone(p.Fleeces), func(f shed.Fleece) bool {
		return !slices.ContainsFunc(p.Batches, func(b shed.Batch) bool { return b.FleeceID == f.ID })
	})
	return p.Clean()
}

func (s *planScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	if m, ok := msg.(planFleeceMsg); ok {
		return s, s.addBatches(m.id)
	}
	k, cmd, ok := s.onList(msg, &s.grid, s.change)
	if !ok {
		return s, cmd
	}
	switch {
	case key.Matches(k, s.up):
		s.shift(-1)
	case key.Matches(k, s.down):
		s.shift(1)
	case s.grid.move(k):
	case key.Matches(k, s.start):
		return s, s.e.withRecord(s, s.askBegin)
	case key.Matches(k, s.add):
		return s, s.addBatches("")
	case key.Matches(k, s.today):
		s.onlyToday()
	case key.Matches(k, s.times):
		return s, s.timetable()
	case key.Matches(k, s.edit):
		return s, s.change()
	case key.Matches(k, s.del):
		s.takeOut()
	case key.Matches(k, s.method):
		return s, s.e.withRecord(s, s.chooseMethod)
	case key.Matches(k, s.water):
		return s, s.e.withRecord(s, s.waterToday)
	}
	return s, nil
}

// askBegin starts the day, unless something has to be asked first.
func (s *planScreen) askBegin() tea.Cmd {
	if over := s.tooMuch(); over != "" && !s.again("over", "%s; s again starts all the same", over) {
		return nil
	}
	// What soaks over night is in the bin already, or the day has not come yet.
	if soak := planner.InBin(s.whole()); soak != "" && !s.again("soak", "%s: soaked in the bin over night? If not, put them in this evening and start tomorrow. s again: they have", soak) {
		return nil
	}
	return s.begin()
}

// try keeps a changed plan if it can be washed, else says why not.
func (s *planScreen) try(p shed.Plan) error {
	trial := p
	trial.Kit = s.e.kit
	if err := trial.Clean().Validate(); err != nil {
		return err
	}
	s.e.planned.plan = p
	s.fill()
	return nil
}

func (s *planScreen) addBatches(chosen string) tea.Cmd {
	return s.e.withRecord(s, func() tea.Cmd {
		form, err := newBatchForm(s.e, chosen, s.whole, false, s.take)
		if err != nil {
			s.e.refuse(err)
			return nil
		}
		return push(form)
	})
}

// take puts batches of a fleece behind those of the plan.
func (s *planScreen) take(f shed.Fleece, batches []shed.Batch) error {
	p := s.e.planned.plan
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
	s.grid.at = len(p.Batches) - 1
	s.e.tell("%s of %s in the plan", counted(len(batches), "batch", "batches"), f.Title())
	return nil
}

// timetable opens what the plan comes to.
func (s *planScreen) timetable() tea.Cmd {
	if len(s.e.planned.plan.Batches) == 0 {
		s.e.refuse(fmt.Errorf("there is no batch to plan yet: a adds some"))
		return nil
	}
	return push(newOutlook(s.e, s.whole(), func(p shed.Plan) {
		s.e.planned.plan.Batches, s.e.planned.plan.Fleeces = p.Batches, p.Fleeces
		s.fill()
	}))
}

// change edits the chosen batch.
func (s *planScreen) change() tea.Cmd {
	i := s.grid.at
	if i >= len(s.e.planned.plan.Batches) {
		return s.addBatches("")
	}
	b := s.e.planned.plan.Batches[i]
	p, layers := basketPage(s.e, &b)
	f := newForm(s.e, "Batch "+s.whole().Batches[i].ID, []*page{p, layers}, func() (tea.Cmd, error) {
		next := s.e.planned.plan
		next.Batches = slices.Clone(next.Batches)
		next.Batches[i] = b
		if err := s.try(next); err != nil {
			return nil, err
		}
		return pop(), nil
	})
	return push(f)
}

// onlyToday takes out of the plan what is more than a day's work: it stays in its
// fleece for another day.
func (s *planScreen) onlyToday() {
	if s.why != nil || len(s.outlook.ByDays) == 0 || len(s.e.planned.plan.Batches) == 0 {
		s.e.refuse(fmt.Errorf("the plan is one day's work: there is nothing to leave for later"))
		return
	}
	today, labelled := s.outlook.ByDays[0], s.whole().Batches
	var keep []shed.Batch
	later := 0.0
	for i, b := range s.e.planned.plan.Batches {
		if slices.Contains(today, labelled[i].ID) {
			keep = append(keep, b)
		} else {
			later += b.RawG
		}
	}
	s.e.planned.plan.Batches = keep
	s.fill()
	s.e.tell("%s today; %s stay in the fleece for another day", counted(len(keep), "batch", "batches"), s.e.kit.Units.Mass(later))
}

func (s *planScreen) takeOut() {
	i := s.grid.at
	if i >= len(s.e.planned.plan.Batches) {
		return
	}
	id := s.whole().Batches[i].ID
	if !s.again("take out "+id, "take %s out of the plan? d again does it", id) {
		return
	}
	s.e.planned.plan.Batches = slices.Delete(slices.Clone(s.e.planned.plan.Batches), i, i+1)
	s.fill()
}

// shift moves the chosen batch earlier or later.
func (s *planScreen) shift(by int) {
	b := slices.Clone(s.e.planned.plan.Batches)
	from, to := s.grid.at, s.grid.at+by
	if from >= len(b) || to < 0 || to >= len(b) {
		return
	}
	b[from], b[to] = b[to], b[from]
	s.e.planned.plan.Batches = b
	s.grid.at = to
	s.fill()
}

func (s *planScreen) chooseMethod() tea.Cmd {
	list := methodList(s.e)
	id := s.e.planned.plan.Method.ID
	var choices []choice[string]
	for _, m := range list {
		words := m.Name
		if m.ID == shed.BuiltInMethodID {
			words += "  (built in)"
		}
		choices = append(choices, choice[string]{m.ID, words})
	}
	p := &page{fields: []*field{choiceField("Method", "which baths in which order, with their limits; your own are made under Methods", &id, false, choices...)}}
	return push(newForm(s.e, "Method of the day", []*page{p}, func() (tea.Cmd, error) {
		for _, m := range list {
			if m.ID == id {
				s.e.planned.plan.Method = m
			}
		}
		s.fill()
		return pop(), nil
	}))
}

// waterToday corrects what changes from day to day: the room and the taps.
func (s *planScreen) waterToday() tea.Cmd {
	k := s.e.kit
	p := waterPage(&k)
	p.title = "Water today"
	return push(newForm(s.e, "Room and taps today", []*page{p}, func() (tea.Cmd, error) {
		if err := saveKit(s.e, k); err != nil {
			return nil, err
		}
		s.e.planned.waterDay = s.e.dayText(s.e.now)
		s.fill()
		return pop(), nil
	}))
}

// waterLine asks whether the taps are as the kit has them, until they were looked over today.
func (s *planScreen) waterLine() string {
	k, u := s.e.kit, s.e.kit.Units
	around := fmt.Sprintf(" Water   room %s, cold tap %s", u.Temp(k.RoomC), u.Temp(k.ColdTapC))
	hot := u.Temp(k.HotTapC)
	if s.e.planned.waterDay == s.e.dayText(s.e.now) {
		return firstFit(s.w, around+", hot tap "+hot+"; w changes them", " Water   hot tap "+hot+" today; w changes it", " Hot tap "+hot+"; w")
	}
	return firstFit(s.w, around+"; is the hot tap still "+hot+" today? w corrects it",
		" Water   is the hot tap still "+hot+" today? w corrects it", " Hot tap still "+hot+" today? w")
}

// begin starts the day: home below, the tubs on top.
func (s *planScreen) begin() tea.Cmd {
	e := s.e
	p := s.whole()
	if err := p.Validate(); err != nil {
		e.refuse(err)
		return nil
	}
	_, offsetS := e.now.In(e.zone()).Zone()
	p.ZoneMin = offsetS / 60
	j, k, now := e.Journal, e.keeper, e.now
	was, running := e.live.id, e.live.day.Running()
	return lead(s, e, func() (struct{}, error) {
		id, open, err := j.OpenDay()
		switch {
		case err != nil:
			err = fmt.Errorf("the days could not be read: %w", err)
		case open && id != was || running: // the end of the live one may not be written yet
			err = fmt.Errorf("a day is still open: go on with it or close it first; this plan is kept meanwhile")
		default:
			if err = k.Begin(p, now); err != nil {
				err = fmt.Errorf("the day could not be started: %w", err)
			}
		}
		return struct{}{}, err
	}, func(_ struct{}, err error) tea.Cmd {
		if err != nil {
			e.refuse(err)
			return nil
		}
		e.planned.plan = shed.Plan{}
		if err := k.CarryProof(e.now); err != nil {
			e.refuse(err)
		}
		e.look()
		if words, bad := e.soundWords(); bad {
			e.tell("%s: p plays the alarms, and you say whether you hear them", words)
		}
		return toTubs(e)
	})
}

func (s *planScreen) View() string { c := *s; return c.place() }

func (s *planScreen) place() string {
	t, w := s.e.Theme, s.w
	room := s.room()
	head := []string{
		t.Text.Render(short(fmt.Sprintf(" Method  %s", s.e.planned.plan.Method.Clean().Name), w)),
		t.Text.Render(fit(s.waterLine(), w)),
	}
	if len(s.e.planned.plan.Batches) == 0 {
		return s.draw(s.empty(head, "No batch yet.",
			"A batch is what goes into one basket, in your largest tub "+usualBatches(s.e)+". The first ones get the tubs, the others wait their turn.",
			"a puts a fleece into the plan."))
	}
	if room > 14 {
		head = append(head, t.Rule.Render(repeatMark(t, theme.MarkRule, w)))
	}
	least := min(len(s.grid.rows)+1, max(3, 2*(room-len(head))/3))
	totals := whole(room-len(head)-least, s.totals()...)
	body := append(head, s.grid.lines(t, len(head), w, room-len(head)-len(totals))...)
	if len(body)+len(totals) < room && len(totals) > 0 {
		body = append(body, "")
	}
	return s.draw(append(body, totals...))
}

// totals is what the plan takes: time, and of each fleece; what is wrong with it
// gives way last.
func (s *planScreen) totals() []para {
	t, p := s.e.Theme, s.whole()
	u := p.Kit.Units
	var out []para
	add := func(rank int, lines []string) { out = append(out, para{lines, rank}) }
	raw := 0.0
	for _, b := range p.Batches {
		raw += b.RawG
	}
	if s.why != nil {
		add(1, told(t.Warn, s.why.Error(), s.w))
	} else {
		m := s.outlook.Sums
		about := "About "
		if s.w < 60 {
			about = ""
		}
		text := fmt.Sprintf("%s%s; %s raw; %s water, scour %s; t: timetable", about, measure.Minutes(math.Round(m.LengthMin)), u.Mass(raw), u.Volume(m.WaterL), p.Kit.DoseText(m.ScourML))
		add(1, told(t.Text, text, s.w))
		if days := s.outlook.ByDays; len(days) > 0 {
			add(2, told(t.Next, fmt.Sprintf("l: only %s today, the other %d another day", counted(len(days[0]), "batch", "batches"), len(p.Batches)-len(days[0])), s.w))
		}
		for i, c := range s.outlook.Cautions {
			if i == 1 && len(s.outlook.Cautions) > 2 {
				c = fmt.Sprintf("%d more things to mind: t shows them", len(s.outlook.Cautions)-1)
			}
			if i < 2 {
				add(3, told(t.Warn, c, s.w))
			}
		}
	}
	if over := s.tooMuch(); over != "" {
		add(2, told(t.Warn, over, s.w))
	}
	for i, f := range p.Fleeces {
		n, g := 0, 0.0
		for _, b := range p.Batches {
			if b.FleeceID == f.ID {
				n++
				g += b.RawG
			}
		}
		text := fmt.Sprintf("%c  %s: %s, %s of %s, %s left", 'A'+i%26, f.Title(), counted(n, "batch", "batches"), u.Mass(g), u.Mass(s.stock.WholeG(f)), u.Mass(max(0, s.stock.WholeG(f)-g)))
		add(4, told(t.Faint, text, s.w))
	}
	return out
}

func roundTo(v, step float64) float64 { return math.Round(v/step) * step }
