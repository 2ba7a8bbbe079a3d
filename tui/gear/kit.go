package gear

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// kitScreen shows what the person washes with; each part can be changed at any
// time, during a day too.
type kitScreen struct {
	base.Frame
	base.Reader
	grid base.Grid
	add  key.Binding
	del  key.Binding
	unit key.Binding
	heat []shed.TubHeat // what past days taught
}

// Parts of the kit before the tubs.
const (
	kitWater = iota
	kitKettle
	kitScour
	kitLead
	kitTubs
)

// Parts of the kit behind the tubs, counted from there.
const (
	kitTank = iota
	kitRack
	kitPrices
	kitScales // once one has been named with a weight
)

// NewKit is the screen of the kit.
func NewKit(e *base.Env) base.Screen {
	s := &kitScreen{
		add: base.Bind("a", "add a tub"), del: base.Bind("x", "remove the tub", "x", "delete"), unit: base.Bind("u", "units"),
	}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("change"), s.add, s.del, s.unit, base.KeyBack, base.KeyHelp, base.KeyMove, base.Bind("0-9", "change line", "1")}}
	s.Idle = func() []string {
		if i := s.grid.At - kitTubs; i < 0 || i >= len(s.E.Kit.Tubs) || len(s.E.Kit.Tubs) == 1 {
			return []string{"x"}
		}
		return nil
	}
	s.grid.By = 1
	s.grid.Cols = []base.Column{{}, {Name: true}, {Spare: 1}}
	s.fill()
	return s
}

func (s *kitScreen) Read() tea.Cmd { return s.E.FollowRecord(&s.Reader, s, s.fill) }

// heatLines say how long the chosen tub keeps its heat with each cover, and
// from how many baths that is known.
func (s *kitScreen) heatLines() []string {
	k, i := s.E.Kit, s.grid.At-kitTubs
	if i < 0 || i >= len(k.Tubs) {
		return nil
	}
	u, t := k.Units, s.E.Theme
	out := append([]string{""}, draw.Told(t.Text, fmt.Sprintf("%s, %s from %s to %s in a room of %s:", k.Tubs[i].Name, u.Volume(k.Tubs[i].FillL), u.Temp(shed.JudgedFromC), u.Temp(shed.JudgedToC), u.Temp(k.RoomC)), s.W)...)
	guessed := false
	for _, c := range shed.CoverTimes(k, k.Tubs[i], s.heat) {
		from := ""
		if c.Baths > 0 {
			from = ", from " + base.Counted(c.Baths, "bath", "baths")
		} else {
			guessed = true
		}
		out = append(out, draw.Labelled(t.Faint, fmt.Sprintf("   %-12s ", c.Cover), fmt.Sprintf("about %3.0f min, %.0f to %.0f%s", c.Min.LikelyMin, c.Min.EarlyMin, c.Min.LateMin, from), s.W)...)
	}
	if guessed {
		out = append(out, draw.Told(t.Faint, "Without a bath it's an estimate from the tub's size; readings in a wash make it sure.", s.W)...)
	}
	return out
}

func (s *kitScreen) Title() string { return "Kit: your tubs, water and scour" }

func (s *kitScreen) fill() {
	k, u := s.E.Kit, s.E.Kit.Units
	s.heat = ledger.PastOf(s.E.Record.Days).Heat
	kettle := "none"
	if k.Kettle.CapacityL > 0 {
		kettle = u.Volume(k.Kettle.CapacityL) + ", " + measure.Power(k.Kettle.PowerW)
	}
	if k.JugL > 0 {
		kettle += u.Spell("; jug marks of ") + u.Mark(k.JugL)
	}
	scour := k.Scour.Name
	if scour == "" {
		scour = "scour"
	}
	way := "alarms come " + measure.Minutes(k.LeadMin) + " ahead"
	if k.BinL > 0 {
		way += "; presoak bin " + u.Volume(k.BinL)
	}
	rows := [][]string{
		{"Room and water", fmt.Sprintf("room %s, hot tap %s, cold tap %s", u.Temp(k.RoomC), u.Temp(k.HotTapC), u.Temp(k.ColdTapC))},
		{u.Spell("Kettle and jug"), kettle},
		{"Scour", fmt.Sprintf("%s, %s", scour, doseRate(k))},
		{"Your way", way},
	}
	for _, t := range k.Tubs {
		rows = append(rows, []string{"Tub " + t.Name, fmt.Sprintf("%s to the rim, bath %s, %s, %s", u.Volume(t.CapacityL), u.Volume(t.FillL), t.Shape, shed.CoverWords(t.Cover))})
	}
	tank, rack, prices := "not set: never runs out", "not set: space not counted", "not set"
	if k.Tank.VolumeL > 0 {
		tank = u.Volume(k.Tank.VolumeL) + " at " + u.Temp(k.HotTapC) + ", " + measure.Power(k.Tank.HeaterW)
	}
	if len(k.Trays) > 0 {
		rack = TrayWords(k.Trays)
	}
	if k.Prices.Given() {
		prices = "set: the plan shows the day's cost"
	}
	rows = append(rows, []string{"Hot water tank", tank}, []string{"Drying rack", rack}, []string{"Prices", prices})
	if len(k.Scales) > 0 {
		var names []string
		for _, sc := range k.Scales {
			names = append(names, form.ScaleText(u, sc))
		}
		rows = append(rows, []string{"Scales", strings.Join(names, ", ")})
	}
	for i, r := range rows {
		n := " "
		if i < 10 { // 0 is the tenth, as of the tubs
			n = fmt.Sprint((i + 1) % 10)
		}
		rows[i] = append([]string{n}, r...)
	}
	s.grid.SetRows(rows)
}

// doseRate is the scour's dose as it is set.
func doseRate(k shed.Kit) string {
	if g := k.Scour.PowderGPer100G; g > 0 {
		return form.PlainNumber(g) + " % of the raw weight, a powder"
	}
	return form.RateText(k.Units, k.Scour.DoseMLPer100G)
}

// baseOf is which of measure.Bases some units are, but for the clock; -1 for none.
func baseOf(u measure.System) int {
	for i, b := range measure.Bases {
		if u.Timed(b.Of) == b.Of {
			return i
		}
	}
	return -1
}

// unitsWords are units as one chooses them.
func unitsWords(u measure.System) string {
	name := "your own"
	if i := baseOf(u); i >= 0 {
		name = measure.Bases[i].Word
	}
	return fmt.Sprintf("%s: %s, %s, %s", name, u.TempUnit(), u.VolumeUnit(), u.MassUnit())
}

func (s *kitScreen) View() string { c := *s; return c.Place() }

func (s *kitScreen) Place() string {
	room := s.Room()
	t, u := &s.E.Theme, s.E.Kit.Units
	units := unitsWords(u)
	lines := []string{t.Faint.Render(draw.Fit(draw.FirstFit(s.W, " Units "+units+"   u changes them", " Units "+units+"; u changes"), s.W))}
	if room > 8 {
		lines = append(lines, "")
	}
	lines = append(lines, s.grid.Lines(t, len(lines), s.W, room-len(lines))...)
	lines = draw.Whole(room, draw.Para{Lines: lines, Rank: 0}, draw.Para{Lines: s.heatLines(), Rank: 1}) // a small window shows the kit itself
	return s.Draw(append(lines, Picture(&s.E.Theme, &s.E.Kit, s.grid.At-kitTubs, s.W, room-len(lines))...))
}

// Update does what changes the kit once it is known what lies on its trays.
func (s *kitScreen) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	k, cmd, ok := s.OnList(msg, &s.grid, func() tea.Cmd { return s.change(s.grid.At) })
	if !ok {
		return s, cmd
	}
	if n, ok := base.TubDigit(k.String()); ok && n < len(s.grid.Rows) {
		s.grid.At = n
		return s, s.change(n)
	}
	switch {
	case key.Matches(k, s.add):
		return s, s.E.WithRecord(s, s.addTub)
	case key.Matches(k, s.del):
		return s, s.E.WithRecord(s, func() tea.Cmd { s.remove(s.grid.At - kitTubs); return nil })
	case key.Matches(k, s.unit):
		return s, s.E.WithRecord(s, s.units)
	}
	return s, nil
}

// change opens the form of one part.
func (s *kitScreen) change(row int) tea.Cmd {
	k := s.E.Kit
	k.Tubs = slices.Clone(k.Tubs)
	var p *form.Page
	switch row {
	case kitWater:
		p = WaterPage(&k)
	case kitKettle:
		p = KettlePage(&k)
	case kitScour:
		p = ScourPage(&k)
	case kitLead:
		p = LeadPage(&k)
	default:
		p = behindLead(&k, row-kitTubs, s.E.Now)
	}
	if p == nil {
		return nil
	}
	form := form.NewForm(s.E, "Kit: "+p.Title, []*form.Page{p}, func() (tea.Cmd, error) {
		if err := SaveKit(s.E, k); err != nil {
			return nil, err
		}
		s.fill()
		s.E.Tell("saved")
		return base.Pop(), nil
	})
	form.Below = func(w, room int) []string { return Picture(&s.E.Theme, &k, row-kitTubs, w, room) }
	return s.E.WithRecord(s, func() tea.Cmd { return base.Push(form) })
}

// behindLead is the page of a tub, or of a part behind the tubs.
func behindLead(k *shed.Kit, i int, now time.Time) *form.Page {
	if i < len(k.Tubs) {
		return TubPage(k, &k.Tubs[i], "Tub "+k.Tubs[i].Name, func() []shed.Tub { return slices.Delete(slices.Clone(k.Tubs), i, i+1) })
	}
	switch i - len(k.Tubs) {
	case kitTank:
		return TankPage(k)
	case kitRack:
		return rackPage(k)
	case kitPrices:
		return pricesPage(k)
	case kitScales:
		return scalesPage(k, now)
	}
	return nil
}

func (s *kitScreen) addTub() tea.Cmd {
	k := s.E.Kit
	if len(k.Tubs) >= shed.MaxTubs {
		s.E.Refuse(fmt.Errorf("one screen can watch %d tubs at most", shed.MaxTubs))
		return nil
	}
	t := NewTub(k)
	pages := []*form.Page{TubPage(&k, &t, "One more tub", func() []shed.Tub { return k.Tubs })}
	f := form.NewForm(s.E, "Kit: one more tub", pages, func() (tea.Cmd, error) {
		more := k
		more.Tubs = append(slices.Clone(k.Tubs), t)
		if err := SaveKit(s.E, more); err != nil {
			return nil, err
		}
		s.fill()
		s.grid.At = kitTubs + len(more.Tubs) - 1
		s.E.Tell("%s is part of the kit", t.Name)
		return base.Pop(), nil
	})
	f.Changed = FollowRims(&k.Units, []*shed.Tub{&t}, pages)
	f.Below = func(w, room int) []string {
		with := k
		with.Tubs = append(slices.Clone(k.Tubs), t)
		return Picture(&s.E.Theme, &with, len(k.Tubs), w, room)
	}
	return base.Push(f)
}

// remove takes a tub out, at the second press.
func (s *kitScreen) remove(i int) {
	k := s.E.Kit
	switch {
	case i < 0 || i >= len(k.Tubs):
		s.E.Refuse(fmt.Errorf("choose a tub first: only tubs can be removed"))
		return
	case len(k.Tubs) == 1:
		s.E.Refuse(fmt.Errorf("a kit needs a tub: change this one, or add another first"))
		return
	}
	name := k.Tubs[i].Name
	if !s.Again("remove "+name, "take %s out of the kit? Press x again", name) {
		return
	}
	k.Tubs = slices.Delete(slices.Clone(k.Tubs), i, i+1)
	if err := SaveKit(s.E, k); err != nil {
		s.E.Refuse(err)
		return
	}
	s.fill()
	s.E.Tell("%s is out of the kit", name)
}

// units asks for the units of the kit.
func (s *kitScreen) units() tea.Cmd {
	u := s.E.Kit.Units
	all, apart := UnitsPages(&u)
	return form.NewForm(s.E, "Kit: units", []*form.Page{{Title: "Units", Fields: []*form.Field{all}}, apart}, func() (tea.Cmd, error) {
		if err := SaveKit(s.E, s.E.Kit.In(u)); err != nil {
			return nil, err
		}
		s.fill()
		s.E.Tell("figures are shown in %s, %s and %s now", u.TempUnit(), u.VolumeUnit(), u.MassUnit())
		return base.Pop(), nil
	}).Over(func(w, room int) []string {
		k := s.E.Kit.In(u)
		return Picture(&s.E.Theme, &k, -1, w, room)
	})
}
