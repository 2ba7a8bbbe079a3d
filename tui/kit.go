package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// kitScreen shows what the person washes with; each part can be changed at any
// time, during a day too.
type kitScreen struct {
	frame
	reader
	grid grid
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

func newKit(e *env) screen {
	s := &kitScreen{
		add: bind("a", "add a tub", "a"), del: bind("x", "remove the tub", "x", "delete"), unit: bind("u", "units", "u"),
	}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("change"), s.add, s.del, s.unit, keyBack, keyHelp, keyMove, bind("1-9", "change that line", "1")}}
	s.idle = func() []string {
		if i := s.grid.at - kitTubs; i < 0 || i >= len(s.e.kit.Tubs) || len(s.e.kit.Tubs) == 1 {
			return []string{"x"}
		}
		return nil
	}
	s.grid.cols = []column{{}, {name: true}, {spare: 1}}
	s.fill()
	return s
}

func (s *kitScreen) read() tea.Cmd { return s.e.followRecord(&s.reader, s, s.fill) }

// heatLines say how long the chosen tub keeps its heat with each cover, and
// from how many baths that is known.
func (s *kitScreen) heatLines() []string {
	k, i := s.e.kit, s.grid.at-kitTubs
	if i < 0 || i >= len(k.Tubs) {
		return nil
	}
	u, t := k.Units, s.e.Theme
	out := append([]string{""}, told(t.Text, fmt.Sprintf("%s, %s from %s to %s in a room of %s:", k.Tubs[i].Name, u.Volume(k.Tubs[i].FillL), u.Temp(shed.JudgedFromC), u.Temp(shed.JudgedToC), u.Temp(k.RoomC)), s.w)...)
	guessed := false
	for _, c := range shed.CoverTimes(k, k.Tubs[i], s.heat) {
		from := ""
		if c.Baths > 0 {
			from = ", from " + counted(c.Baths, "bath", "baths")
		} else {
			guessed = true
		}
		for _, l := range hung(fmt.Sprintf("   %-12s ", c.Cover), fmt.Sprintf("about %3.0f min, %.0f to %.0f%s", c.Min.LikelyMin, c.Min.EarlyMin, c.Min.LateMin, from), s.w-1) {
			out = append(out, t.Faint.Render(fit(l, s.w)))
		}
	}
	if guessed {
		out = append(out, told(t.Faint, "Without a bath it is an estimate from the tub's size; readings in a wash make it sure.", s.w)...)
	}
	return out
}

func (s *kitScreen) Title() string { return "Kit: your tubs, water and scour" }

func (s *kitScreen) fill() {
	k, u := s.e.kit, s.e.kit.Units
	s.heat = ledger.LearnFrom(s.e.record.days)
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
		rows = append(rows, []string{"Tub " + t.Name, fmt.Sprintf("%s to the rim, bath %s, %s, %s", u.Volume(t.CapacityL), u.Volume(t.FillL), t.Shape, coverWords(t.Cover))})
	}
	tank, rack, prices := "not given: taken to last", "not given: room not counted", "not given"
	if k.Tank.VolumeL > 0 {
		tank = u.Volume(k.Tank.VolumeL) + " at " + u.Temp(k.HotTapC) + ", " + measure.Power(k.Tank.HeaterW)
	}
	if len(k.Trays) > 0 {
		rack = trayWords(k.Trays)
	}
	if k.Prices.Given() {
		prices = "given: the plan says what the day costs"
	}
	rows = append(rows, []string{"Hot water tank", tank}, []string{"Drying rack", rack}, []string{"Prices", prices})
	if len(k.Scales) > 0 {
		var names []string
		for _, sc := range k.Scales {
			names = append(names, scaleText(u, sc))
		}
		rows = append(rows, []string{"Scales", strings.Join(names, ", ")})
	}
	for i, r := range rows {
		n := " "
		if i < 9 {
			n = fmt.Sprint(i + 1)
		}
		rows[i] = append([]string{n}, r...)
	}
	s.grid.setRows(rows)
}

// doseRate is the scour's dose as it is set.
func doseRate(k shed.Kit) string {
	if g := k.Scour.PowderGPer100G; g > 0 {
		return plainNumber(g) + " % of the raw weight, a powder"
	}
	return rateText(k.Units, k.Scour.DoseMLPer100G)
}

func coverWords(c cooling.Cover) string {
	switch c {
	case cooling.Lid:
		return "under a lid"
	case cooling.Film:
		return "under film"
	case cooling.LidAndFilm:
		return "under film and lid"
	case cooling.Open:
	}
	return "left open"
}

// unitsWords are units as one chooses them.
func unitsWords(u measure.System) string {
	name := "metric"
	if u == measure.US {
		name = "US"
	}
	return fmt.Sprintf("%s: %s, %s, %s", name, u.TempUnit(), u.VolumeUnit(), u.MassUnit())
}

func (s *kitScreen) View() string { c := *s; return c.place() }

func (s *kitScreen) place() string {
	room := s.room()
	t, u := s.e.Theme, s.e.kit.Units
	units := unitsWords(u)
	lines := []string{t.Faint.Render(fit(firstFit(s.w, " Units "+units+"   u changes them", " Units "+units+"; u changes"), s.w))}
	if room > 8 {
		lines = append(lines, "")
	}
	lines = append(lines, s.grid.lines(t, len(lines), s.w, room-len(lines))...)
	return s.draw(whole(room, para{lines, 0}, para{s.heatLines(), 1})) // a small window shows the kit itself
}

// Update does what changes the kit once it is known what lies on its trays.
func (s *kitScreen) Update(msg tea.Msg) (screen, tea.Cmd) {
	k, cmd, ok := s.onList(msg, &s.grid, func() tea.Cmd { return s.change(s.grid.at) })
	if !ok {
		return s, cmd
	}
	if n, ok := tubDigit(k.String()); ok && n < min(9, len(s.grid.rows)) {
		s.grid.at = n
		return s, s.change(n)
	}
	switch {
	case s.grid.move(k):
	case k.String() == "enter":
		return s, s.change(s.grid.at)
	case key.Matches(k, s.add):
		return s, s.e.withRecord(s, s.addTub)
	case key.Matches(k, s.del):
		return s, s.e.withRecord(s, func() tea.Cmd { s.remove(s.grid.at - kitTubs); return nil })
	case key.Matches(k, s.unit):
		return s, s.e.withRecord(s, func() tea.Cmd { s.toggleUnits(); return nil })
	}
	return s, nil
}

// change opens the form of one part.
func (s *kitScreen) change(row int) tea.Cmd {
	k := s.e.kit
	k.Tubs = slices.Clone(k.Tubs)
	var p *page
	switch row {
	case kitWater:
		p = waterPage(&k)
	case kitKettle:
		p = kettlePage(&k)
	case kitScour:
		p = scourPage(&k)
	case kitLead:
		p = leadPage(&k)
	default:
		p = behindLead(&k, row-kitTubs, s.e.now)
	}
	if p == nil {
		return nil
	}
	form := newForm(s.e, "Kit: "+p.title, []*page{p}, func() (tea.Cmd, error) {
		if err := saveKit(s.e, k); err != nil {
			return nil, err
		}
		s.fill()
		s.e.tell("saved")
		return pop(), nil
	})
	return s.e.withRecord(s, func() tea.Cmd { return push(form) })
}

// behindLead is the page of a tub, or of a part behind the tubs.
func behindLead(k *shed.Kit, i int, now time.Time) *page {
	if i < len(k.Tubs) {
		return tubPage(k, &k.Tubs[i], "Tub "+k.Tubs[i].Name, func() []shed.Tub { return slices.Delete(slices.Clone(k.Tubs), i, i+1) })
	}
	switch i - len(k.Tubs) {
	case kitTank:
		return tankPage(k)
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
	k := s.e.kit
	if len(k.Tubs) >= shed.MaxTubs {
		s.e.refuse(fmt.Errorf("%d tubs are the most one screen can watch", shed.MaxTubs))
		return nil
	}
	t := newTub(k)
	pages := []*page{tubPage(&k, &t, "One more tub", func() []shed.Tub { return k.Tubs })}
	f := newForm(s.e, "Kit: one more tub", pages, func() (tea.Cmd, error) {
		more := k
		more.Tubs = append(slices.Clone(k.Tubs), t)
		if err := saveKit(s.e, more); err != nil {
			return nil, err
		}
		s.fill()
		s.grid.at = kitTubs + len(more.Tubs) - 1
		s.e.tell("%s is part of the kit", t.Name)
		return pop(), nil
	})
	f.changed = followRims(&k.Units, []*shed.Tub{&t}, pages)
	return push(f)
}

// remove takes a tub out, at the second press.
func (s *kitScreen) remove(i int) {
	k := s.e.kit
	switch {
	case i < 0 || i >= len(k.Tubs):
		s.e.refuse(fmt.Errorf("choose a tub first: only tubs can be removed"))
		return
	case len(k.Tubs) == 1:
		s.e.refuse(fmt.Errorf("a kit needs a tub: change this one, or add another first"))
		return
	}
	name := k.Tubs[i].Name
	if !s.again("remove "+name, "take %s out of the kit? x again does it", name) {
		return
	}
	k.Tubs = slices.Delete(slices.Clone(k.Tubs), i, i+1)
	if err := saveKit(s.e, k); err != nil {
		s.e.refuse(err)
		return
	}
	s.fill()
	s.e.tell("%s is out of the kit", name)
}

func (s *kitScreen) toggleUnits() {
	to := measure.US
	if s.e.kit.Units == measure.US {
		to = measure.Metric
	}
	k := s.e.kit.In(to)
	if err := saveKit(s.e, k); err != nil {
		s.e.refuse(err)
		return
	}
	s.fill()
	s.e.tell("figures are shown in %s, %s and %s now", k.Units.TempUnit(), k.Units.VolumeUnit(), k.Units.MassUnit())
}
