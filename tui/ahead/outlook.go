package ahead

import (
	"fmt"
	"math"
	"slices"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/theme"
)

// outlookScreen is a plan worked out: the timetable as bars, what the day is
// with fewer tubs, what it takes, and each thing to do in order.
type outlookScreen struct {
	base.Page
	shown *worked // nil until it is
	plan  shed.Plan
	start time.Time
	sort  key.Binding
	as    *reckoned       // the plan as its own screen has it
	order func(shed.Plan) // takes the batches over in the better order
	own   []shed.Batch    // in the order that they had before; nil where none was taken over
}

// worked is what has been worked out, away from the screen: the plan as it stands,
// as its own screen has it, and in the order that is done earliest.
type worked struct {
	start   time.Time // when one has to look at it
	outlook planner.Outlook
	better  planner.Outlook
	byTubs  []planner.WithTubs
	helps   []planner.Help
	err     error
}

// newOutlook shows what a plan comes to; order takes over a better order, or their own again.
func newOutlook(e *base.Env, as *reckoned, own []shed.Batch, order func(shed.Plan)) base.Screen {
	s := &outlookScreen{plan: as.plan, as: as, own: own, start: whenOf(e).From(), order: order, sort: base.Bind("o", "put in the better order")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyScroll, s.sort, base.KeyBack, form.KeyAlong, base.KeyHelp}}
	s.Lines = s.text
	s.Idle = func() []string {
		idle := form.IdleAlong(e)
		if !s.stands() {
			idle = append(idle, "s", "o")
		} else if s.shown.soonerMin() == 0 && s.own == nil {
			idle = append(idle, "o")
		}
		return idle
	}
	return s
}

func (s *outlookScreen) Title() string { return "Timetable" }

func (s *outlookScreen) Init() tea.Cmd {
	r := s.as
	w := &worked{}
	return base.Away(s, func() (struct{}, error) {
		_, _ = r.work()
		w.outlook, w.start, w.err = r.outlook, r.from, r.why
		if w.err == nil {
			w.helps = w.outlook.Helps(w.start)
			w.byTubs = planner.CompareTubs(w.outlook, w.start, planner.AsGiven, nil)
			w.better, w.err = r.when.Better(&w.outlook, w.start)
		}
		return struct{}{}, nil
	}, func(struct{}, error) tea.Cmd {
		s.start, s.shown = w.start, w
		s.Refill()
		return nil
	})
}

// stands says that there is a plan that can be washed.
func (s *outlookScreen) stands() bool { return s.shown != nil && s.shown.err == nil }

// onPaper is the plan as it is set on paper, without keys.
func (s *outlookScreen) onPaper() tea.Cmd {
	paper, shown := *s, *s.shown
	paper.own, shown.better = nil, shown.outlook
	paper.shown, paper.Frame = &shown, base.Frame{E: s.E, W: form.PaperColumns}
	return planOnPaper(s, s.E, s.plan, s.start, paper.text())
}

// planOnPaper sets the lines under what a paper needs to stand by itself: the day, the
// method, which batch is what.
func planOnPaper(s base.Screen, e *base.Env, p shed.Plan, on time.Time, lines []string) tea.Cmd {
	u := p.Kit.Units
	on = on.In(e.Zone())
	top := []string{" Wash day, " + u.Moment(on, "Mon 2 Jan 2006") + ": " + p.Method.Name, ""}
	for _, b := range p.Batches {
		i := slices.IndexFunc(p.Fleeces, func(f shed.Fleece) bool { return f.ID == b.FleeceID })
		if i < 0 {
			continue
		}
		top = append(top, draw.Hung(fmt.Sprintf(" %-4s ", b.ID), b.What(p.Fleeces[i].Title()+", "+u.Mass(b.NowG())), form.PaperColumns)...)
	}
	lines = append(append(top, ""), lines...)
	name := "plan-" + on.Format("2006-01-02") + ".txt"
	return form.TakeAlong(s, e, form.Text("the plan", name, func() []string { return lines }))
}

// soonerMin is how much sooner the day is done in the better order, min; 0 if it is not.
func (w *worked) soonerMin() float64 {
	return max(0, measure.ShownMin(w.better.Timetable.Finish, w.outlook.Timetable.Finish))
}

func (s *outlookScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	s.Refill()
	k, cmd, ok := s.OnPage(msg)
	if !ok {
		return s, cmd
	}
	switch {
	case s.Move(k) || !s.stands():
	case key.Matches(k, form.KeyAlong) && s.E.Along != nil:
		return s, s.onPaper()
	case key.Matches(k, s.sort):
		switch {
		case s.shown.soonerMin() > 0:
			s.order(s.shown.better.Plan)
			s.E.Tell("the batches are now in the faster order: done at %s, %s sooner", s.dated(s.shown.better.Timetable.Finish), measure.Minutes(s.shown.soonerMin()))
		case s.own != nil:
			own := s.plan
			own.Batches = s.own
			s.order(own)
			s.E.Tell("the batches are back in your own order")
		default:
			s.E.Refuse(fmt.Errorf("no order tried finishes sooner"))
			return s, nil
		}
		return s, base.Pop()
	}
	return s, nil
}

func (s *outlookScreen) text() []string {
	t, w := s.E.Theme, s.W
	switch {
	case s.shown == nil:
		return []string{t.Faint.Render(draw.Fit(" working it out", w))}
	case s.shown.err != nil:
		w = s.Column()
		return s.Middle(nil, append(draw.Told(t.Warn, "This plan won't work:", w), draw.Told(t.Text, s.shown.err.Error(), w)...), nil)
	}
	o := &s.shown.outlook
	var out []string
	add := func(texts ...string) { out = append(out, texts...) }
	tt := o.Timetable
	begins, done := "now", s.dated(tt.Finish)
	switch w := whenOf(s.E); {
	case s.start.After(w.Now.Add(soonAfter)):
		begins, done = w.Text(tt.From), w.Text(tt.Finish)
	case tt.From.After(s.start):
		begins = s.dated(tt.From)
	}
	add(draw.Told(t.Next, fmt.Sprintf("Start %s, done %s: %s, %s hands-on", begins, done, tt.Lasts(), measure.Minutes(math.Round(o.Sums.HandsMin))), w)...)
	for _, n := range o.Nights {
		add(draw.Told(t.Next, s.dated(n.At)+" "+planner.SayNight(n, &o.Plan.Kit, s.start), w)...)
	}
	for _, b := range tt.Breaks {
		add(draw.Told(t.Next, tt.SayBreak(b, &o.Plan), w)...)
	}
	if sooner := s.shown.soonerMin(); sooner > 0 {
		add(draw.Told(t.Next, fmt.Sprintf("o: another order finishes %s sooner, at %s", measure.Minutes(sooner), s.dated(s.shown.better.Timetable.Finish)), w)...)
	} else {
		add(draw.Told(t.Faint, provenText(s.E.Kit.Units, tt), w)...)
		if s.own != nil {
			add(draw.Told(t.Next, "o: back to your own order", w)...)
		}
	}
	add(TimetableBars(s.E, o.Plan.Kit.Tubs, &tt, w, 0)...)
	for _, h := range s.shown.helps {
		add(draw.Told(t.Text, fmt.Sprintf("with %s: done %s sooner, at %s", h.What, measure.Minutes(h.SoonerMin), s.dated(h.Finish)), w)...)
	}
	add("", t.Title.Render(draw.Fit(" With fewer tubs", w)))
	add(s.tubsTable()...)
	add("", t.Title.Render(draw.Fit(" What it takes", w)))
	add(s.sums()...)
	if len(o.Cautions) > 0 {
		add("", t.Title.Render(draw.Fit(" Watch out", w)))
	}
	for _, c := range o.Cautions {
		for i, l := range draw.Wrapped(c, w-4) {
			lead := " · "
			if i > 0 {
				lead = "   "
			}
			add(t.Warn.Render(draw.Fit(lead+l, w)))
		}
	}
	add("", t.Title.Render(draw.Fit(" What to do when", w)))
	add(s.deeds()...)
	return out
}

// dated is a clock time, with its day where that is another than today.
func (s *outlookScreen) dated(m time.Time) string {
	m = m.In(s.E.Zone())
	if day := "Mon 2 Jan"; m.Format(day) != s.start.Format(day) {
		return s.E.ClockText(m) + " on " + s.E.Kit.Units.Moment(m, day)
	}
	return s.E.ClockText(m)
}

func provenText(u measure.System, t planner.Timetable) string {
	if t.Proven {
		return "no order finishes sooner"
	}
	return fmt.Sprintf("at most %s faster in any order", u.Percent(math.Ceil(100*t.Gap())/100, 0))
}

// TimetableBars draws each tub's day on one axis, the kettle's and the person's
// below: full where hands are wanted, a line for a soak. In so many lines (0: it does not matter) they
// are as high as that lets them be, and the batches are named in the bars where lines are few.
func TimetableBars(e *base.Env, tubs []shed.Tub, tt *planner.Timetable, w, room int) []string {
	n := len(tubs) + 2
	high := chart.High(n, room)
	if room >= 2+2*n {
		high = chart.High(n, room-n)
	}
	over := room == 0 || room >= 2+n+len(tubs)
	rows := make([]chart.Row, len(tubs), len(tubs)+2)
	for i, tub := range tubs {
		rows[i] = chart.Row{Name: tub.Name, Over: over}
	}
	for _, s := range tt.Soaks {
		mark := theme.MarkSoak
		if s.Step.Kind.Facts().Release {
			mark = theme.MarkWash
		}
		b := chart.Bar{From: s.Start, To: s.End, Mark: mark}
		if !over {
			b.Word = s.Batch
		}
		rows[s.Tub].Bars = append(rows[s.Tub].Bars, b)
	}
	kettle, you := chart.Row{Name: "kettle", Over: high > 1}, chart.Row{Name: "you", Over: high > 1}
	began := map[string]bool{}
	for _, p := range tt.Pieces {
		b := chart.Bar{From: p.Start, To: p.End, Mark: theme.MarkHands}
		if p.Boil() {
			kettle.Bars = append(kettle.Bars, b)
			continue
		}
		you.Bars = append(you.Bars, b)
		if over && !began[p.Batch] {
			began[p.Batch], b.Word = true, p.Batch
		}
		rows[p.Tub].Bars = append(rows[p.Tub].Bars, b)
	}
	return chart.Bars(&e.Theme, tt.From.In(e.Zone()), tt.Finish, append(rows, kettle, you), w, high, e.ClockAxis(tt.From, tt.Finish))
}

// RestBars is the rest of the running day in so many lines, under when all of it is on the rack; nil where that
// is too few.
func RestBars(e *base.Env, w, room int) []string {
	tt := &e.Live.Plan
	if room < 3 || !e.Live.Day.Running() {
		return nil
	}
	bars := TimetableBars(e, e.Live.Day.Plan.Kit.Tubs, tt, w, room-2)
	if bars == nil {
		return nil
	}
	return append([]string{draw.Fit("", w), e.Theme.Title.Render(draw.Fit(" All on the rack by about "+e.ClockOn(tt.Finish, e.Now), w))}, bars...)
}

func (s *outlookScreen) tubsTable() []string {
	t, u, k := &s.E.Theme, s.plan.Kit.Units, s.shown.outlook.Plan.Kit
	g := base.Grid{Cols: []base.Column{{Title: "tubs", Right: true}, {Title: "which", Name: true}, {Title: "done at"}, {Title: "least to spare", Spare: 2}, {Title: "hot water", Spare: 1}}}
	var rows [][]string
	for _, x := range s.shown.byTubs {
		if x.Problem != "" {
			rows = append(rows, []string{fmt.Sprint(len(x.Tubs)), x.Names(k), "not possible"})
			continue
		}
		spare := "-"
		if x.HasSpare {
			spare = draw.MinText(x.Spare.Minutes()) + " to spare"
		}
		rows = append(rows, []string{fmt.Sprint(len(x.Tubs)), x.Names(k), s.dated(x.Finish), spare, u.Volume(x.HotL + x.KettleL)})
	}
	g.SetRows(rows)
	return g.PlainLines(t.Faint.Render, t.Text.Render, s.W)
}

func (s *outlookScreen) sums() []string {
	u := s.plan.Kit.Units
	m := s.shown.outlook.Sums
	rows := [][2]string{
		{"water", fmt.Sprintf("%s: %s from the hot tap, %s of it boiled; %s cold", u.VolumeSum(m.WaterL), u.VolumeSum(m.TapHotL()), u.VolumeSum(m.KettleL), u.VolumeSum(m.ColdL))},
		{"energy", fmt.Sprintf("%.1f kWh from the tank, %.1f kWh in the kettle (%s)", m.TankKWh, m.KettleKWh, base.Counted(m.Boils, "boil", "boils"))},
		{"scour", s.plan.Kit.DoseSumText(m.ScourML)},
		{"tank", s.hotWater()},
	}
	if m.HasCost {
		rows = append(rows, [2]string{"cost", m.CostText(s.plan.Kit)})
	}
	var out []string
	for _, r := range rows {
		out = append(out, draw.Labelled(s.E.Theme.Text, fmt.Sprintf("   %-8s", r[0]), r[1], s.W)...)
	}
	return out
}

// hotWater is how the tank lasts.
func (s *outlookScreen) hotWater() string {
	k, u := s.plan.Kit, s.plan.Kit.Units
	draws := s.shown.outlook.Draws
	if k.Tank.VolumeL <= 0 || len(draws) == 0 {
		return "not set: tap assumed to stay at " + u.Temp(k.HotTapC) + " (Kit, hot water tank)"
	}
	least, coolest := draws[0], draws[0]
	for _, d := range draws {
		if d.LeftL < least.LeftL {
			least = d
		}
		if d.TapC < coolest.TapC {
			coolest = d
		}
	}
	text := fmt.Sprintf("least hot water left %s of %s, at %s; ", u.Volume(least.LeftL), u.Volume(k.Tank.VolumeL), s.E.ClockText(least.At))
	if u.Temp(coolest.TapC) == u.Temp(k.HotTapC) {
		return text + "the tap stays at " + u.Temp(k.HotTapC)
	}
	return text + fmt.Sprintf("the tap is down to %s at %s", u.Temp(coolest.TapC), s.E.ClockText(coolest.At))
}

// deeds are the pieces of the timetable in their order; what goes into a bath is
// wrapped below it.
func (s *outlookScreen) deeds() []string {
	t, w, o := s.E.Theme, s.W, s.shown.outlook
	k := o.Plan.Kit
	var out []string
	on := s.start
	names := 0
	for _, tub := range k.Tubs {
		names = max(names, ansi.StringWidthWc(tub.Name))
	}
	for _, p := range o.Timetable.Pieces {
		if day := "Mon 2 Jan"; p.Start.In(s.E.Zone()).Format(day) != on.Format(day) {
			on = p.Start.In(s.E.Zone())
			out = append(out, t.Faint.Render(draw.Fit(" "+k.Units.Moment(on, day), w)))
		}
		what := p.Words(&k)
		if slices.Contains(p.Acts, shed.FillTub) {
			what += s.poured(p)
		}
		lead := fmt.Sprintf("   %s  %s  %-4s ", k.Units.ClockColumn(p.Start.In(s.E.Zone())), draw.Short(k.Tubs[p.Tub].Name, min(names, w/5)), p.Batch)
		if w < 60 {
			lead = fmt.Sprintf(" %s %s %-3s ", k.Units.ClockColumn(p.Start.In(s.E.Zone())), draw.Short(k.Tubs[p.Tub].Name, min(names, w/4)), p.Batch)
		}
		out = append(out, draw.Labelled(t.Text, lead, what, w)...)
	}
	return out
}

// poured is what goes into the bath that a piece fills.
func (s *outlookScreen) poured(p planner.Piece) string {
	k := s.plan.Kit
	b, ok := s.shown.outlook.Timetable.BathOf(p)
	if !ok {
		return ""
	}
	fill, _ := s.shown.outlook.FillOf(b)
	text := coach.PourText(k, fill) + coach.SayUnder(k.Units, fill)
	if fill.DoseML > 0 {
		text += " + scour " + k.DoseText(fill.DoseML)
	}
	if part := b.Step.FillPart; part < 1 {
		text += ", " + k.Units.Percent(part, 0) + " of a usual bath"
	}
	return " (" + text + ")"
}
