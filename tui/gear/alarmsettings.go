package gear

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/form"
)

// alarmSettingsForm asks how alarms reach the person.
func alarmSettingsForm(e *base.Env) tea.Cmd {
	a := e.Keeper.Alarms()
	was := a
	var quiet shed.Breaks
	if h := a.QuietHours(); h != (shed.Hours{}) {
		quiet = shed.Breaks{h}
	}
	pages := []*form.Page{{Title: "How alarms reach you", Fields: []*form.Field{
		form.HoursField(e.Kit.Units, "Quiet hours", "the next day you plan leaves them free; low and medium alarms wait, high ones always ring", shed.Breaks{{FromMin: 22 * 60, ToMin: 7 * 60}}, &quiet),
		form.YesNo("Turn a muted or low output up for an alarm", "put back afterwards", &a.RaiseVolume),
		form.YesNo("Say it aloud", "where a voice is installed: north tub, lift the fleece now, four minutes left", &a.Speak),
	}}, {Title: "Away from the tubs", Fields: []*form.Field{
		form.YesNo("Notices on the desktop", "where the system or the terminal can show them", &a.Notify),
		form.WordsField("A command of your own", "run when an alarm starts, gets worse or ends; its environment says which; empty for none", &a.Hook, 400, ""),
	}}}
	return base.Push(form.NewForm(e, "Alarms", pages, func() (tea.Cmd, error) {
		for _, h := range append(quiet, shed.Hours{})[:1] {
			a.QuietFromMin, a.QuietToMin = h.FromMin, h.ToMin
		}
		if err := a.Validate(); err != nil {
			return nil, err
		}
		if err := e.Keep(func() error { return e.Ledger.SaveAlarmSettings(a) }); err != nil {
			return nil, fmt.Errorf("this couldn't be saved: %w", err)
		}
		said := "saved"
		if h := a.QuietHours(); h != was.QuietHours() && len(quiet) > 0 { // morning or evening, they see
			said += ": quiet hours " + form.HoursText(e.Kit.Units, quiet)
		}
		e.Tell("%s", said)
		// What came with the record is not confirmed by saving the rest.
		word := session.AlarmSettings{RaiseVolume: a.RaiseVolume && !was.RaiseVolume, Speak: a.Speak && !was.Speak, Notify: a.Notify && !was.Notify}
		if a.Hook != was.Hook {
			word.Hook = a.Hook
		}
		confirm(e, word)
		e.Keeper.SetAlarms(a)
		return base.Pop(), nil
	}))
}

// confirm keeps the person's word that what these settings switch on may be done on this
// machine.
func confirm(e *base.Env, s session.AlarmSettings) {
	if s == (session.AlarmSettings{}) || e.Outside == nil {
		return
	}
	if err := e.Keep(func() error { return e.Outside.Confirm(s) }); err != nil {
		e.Refuse(err)
	}
}

// alarmList is all alarms of the day: what rings, what was heard, what is put
// off, what came and went unseen, what is out of service.
type alarmList struct {
	base.Frame
	grid              base.Grid
	shown             []shownAlarm
	hear, off, out    key.Binding
	settings, checkIt key.Binding
	trust             key.Binding
}

// shownAlarm is a row of the list; one of a kind that is out of service has no
// alarm behind it.
type shownAlarm struct {
	a       session.Alarm
	outOnly bool
}

// NewAlarmList is the list of the running day.
func NewAlarmList(e *base.Env) base.Screen {
	s := &alarmList{hear: base.Bind("Space", "all heard", " "), off: base.Bind("o", "snooze, or stop snoozing"), out: base.Bind("x", "off today, or back on"),
		settings: base.Bind("s", "settings"), checkIt: base.Bind("p", "sound check"), trust: base.Bind("c", "allow it here")}
	s.Frame = base.Frame{E: e, Own: []key.Binding{base.KeyEnter("heard"), s.hear, s.off, s.out, s.settings, s.checkIt, s.trust, base.KeyBack, base.KeyHelp, base.KeyMove}}
	s.Idle = func() []string {
		out := s.grid.Idle("Enter", "Space", "o", "x")
		if s.grid.At < len(s.shown) && s.shown[s.grid.At].outOnly {
			out = append(out, "Enter", "Space", "o")
		}
		if len(s.shown) == 1 {
			out = append(out, "Space") // Enter says the same
		}
		if e.Unconfirmed() == (session.AlarmSettings{}) {
			out = append(out, "c")
		}
		return out
	}
	s.grid.By = 2
	s.grid.Cols = []base.Column{{Title: "state", Spare: 1}, {Title: "why", Seldom: true, Spare: 5}, {Title: "tub", Name: true}, {Title: "alarm"}, {Title: "priority", Spare: 3}, {Title: "since", Spare: 2}, {Title: "do", Spare: 6}}
	s.fill()
	return s
}

func (s *alarmList) Title() string { return "Alarms" }

func (s *alarmList) fill() {
	d := s.E.Live.Day
	groups, _ := coach.AlarmGroups(d, s.E.Now)
	s.shown = s.shown[:0]
	var rows [][]string
	for _, g := range groups {
		for _, a := range g.Alarms {
			state, why := heardWord(a.Life.State), ""
			if a.Life.Why != "" {
				state, why = "snoozed till "+s.E.ClockText(a.Life.Until), a.Life.Why
			}
			s.shown = append(s.shown, shownAlarm{a: a})
			rows = append(rows, []string{state, why, g.Name, a.Kind.Shown(), a.Priority.String(), s.E.ClockText(a.RaisedAt), coach.WhatToDo(s.E.Live.Day, a, s.E.Now).String()})
		}
	}
	for _, k := range d.Out {
		s.shown = append(s.shown, shownAlarm{a: session.Alarm{Kind: k, Tub: -1}, outOnly: true})
		rows = append(rows, []string{"off today", "", "all", k.Shown(), k.Facts().Priority.String(), "", "x turns it on"})
	}
	s.grid.SetRows(rows)
}

func (s *alarmList) Update(msg tea.Msg) (base.Screen, tea.Cmd) {
	s.fill()
	k, cmd, ok := s.OnList(msg, &s.grid, func() tea.Cmd { s.heard(); s.fill(); return nil })
	if !ok {
		return s, cmd
	}
	switch {
	case key.Matches(k, s.hear):
		s.heard()
	case key.Matches(k, s.off):
		cmd = s.putOff()
	case key.Matches(k, s.out):
		s.service()
	case key.Matches(k, s.settings):
		cmd = alarmSettingsForm(s.E)
	case key.Matches(k, s.trust):
		s.trustCommand()
	case key.Matches(k, s.checkIt):
		cmd = base.Push(NewSoundCheck(s.E))
	}
	s.fill()
	return s, cmd
}

func (s *alarmList) chosen() (shownAlarm, bool) {
	if s.grid.At >= len(s.shown) {
		s.E.Refuse(fmt.Errorf("there is no alarm in the list"))
		return shownAlarm{}, false
	}
	return s.shown[s.grid.At], true
}

func (s *alarmList) run(c session.Command, say string) {
	if err := s.E.Live.Do(c, s.E.Now); err != nil {
		s.E.Refuse(err)
		return
	}
	s.E.Tell("%s", say)
}

// heardWord is an alarm's state in the word of its key, Space.
func heardWord(s lifecycle.State) string {
	switch s {
	case lifecycle.Unacknowledged:
		return "not heard"
	case lifecycle.Acknowledged:
		return "heard"
	case lifecycle.Returned:
		return "over, not heard"
	case lifecycle.Normal, lifecycle.Shelved, lifecycle.OutOfService:
	}
	return s.String()
}

func (s *alarmList) heard() {
	if a, ok := s.chosen(); ok {
		s.run(session.Acknowledge{Tub: a.a.Tub}, "heard: rings again until done")
	}
}

// putOff asks for how long and why, or takes it back.
func (s *alarmList) putOff() tea.Cmd {
	x, ok := s.chosen()
	if !ok || x.outOnly {
		return nil
	}
	if !x.a.Life.Until.IsZero() {
		s.run(session.Unshelve{Tub: x.a.Tub, Kind: x.a.Kind}, "no longer snoozed")
		return nil
	}
	minutes, why := 2.0, "on my way"
	p := &form.Page{Title: "Snooze: " + x.a.Kind.Shown(), Fields: []*form.Field{
		form.ChoiceField("Why", "kept for the look back", &why, false, form.Choice[string]{Value: "on my way", Words: "on my way"}, form.Choice[string]{Value: "hands in another tub", Words: "hands in another tub"}, form.Choice[string]{Value: "on purpose", Words: "on purpose"}),
		form.ChoiceField("For how long", "then it rings again; 3 minutes at most where wax is about to set", &minutes, true,
			form.Choice[float64]{Value: 2, Words: "2 min"}, form.Choice[float64]{Value: 3, Words: "3 min"}, form.Choice[float64]{Value: 10, Words: "10 min"}, form.Choice[float64]{Value: 30, Words: "30 min"}),
	}}
	return form.NewForm(s.E, "Snooze an alarm", []*form.Page{p}, func() (tea.Cmd, error) {
		err := s.E.Live.Do(session.Shelve{Tub: x.a.Tub, Kind: x.a.Kind, ForMin: minutes, Why: why}, s.E.Now)
		if err != nil {
			return nil, err
		}
		return base.Pop(), nil
	}).Over(func(w, room int) []string { return AlarmBars(s.E, &s.E.Live.Day, s.E.Now, w, room) })
}

func (s *alarmList) service() {
	x, ok := s.chosen()
	if !ok {
		return
	}
	if x.outOnly {
		s.run(session.SetService{Kind: x.a.Kind}, x.a.Kind.Shown()+" is back on")
		return
	}
	if s.Again("out "+x.a.Kind.String(), "take \"%s\" off for today? Press x again", x.a.Kind.Shown()) {
		s.run(session.SetService{Kind: x.a.Kind, Out: true}, x.a.Kind.Shown()+" is off for today")
	}
}

// strange says what came with the record and is not done, a command in full: nobody
// confirms what they have not read. whole is false where the window is too small.
func (s *alarmList) strange() (lines []string, whole bool) {
	strange, warn := s.E.Unconfirmed(), s.E.Theme.Warn
	if strange == (session.AlarmSettings{}) {
		return nil, false
	}
	var does []string
	for _, way := range []struct {
		on    bool
		words string
	}{{strange.RaiseVolume, "turn a muted or low output up"}, {strange.Speak, "speak"}, {strange.Notify, "show notices"}, {strange.Hook != "", "run " + strange.Hook}} {
		if way.on {
			does = append(does, way.words)
		}
	}
	lines = draw.Told(warn, "c allows, on this machine, what came with the record: alarms "+draw.Listed(does), s.W)
	if len(lines) > s.Room()-2 {
		return draw.Told(warn, "A command for alarms came with this record and isn't run. Make the window larger to read it, then press c to allow it.", s.W), false
	}
	return lines, true
}

func (s *alarmList) trustCommand() {
	switch lines, whole := s.strange(); {
	case whole:
		s.E.Tell("allowed on this machine from now on")
		confirm(s.E, s.E.Unconfirmed())
	case lines == nil:
		s.E.Refuse(fmt.Errorf("nothing here needs allowing: s says how alarms reach you"))
	default:
		s.E.Refuse(fmt.Errorf("make the window larger first, to read the whole command"))
	}
}

func (s *alarmList) View() string { c := *s; return c.Place() }

func (s *alarmList) Place() string {
	t, w, room := &s.E.Theme, s.W, s.Room()
	_, flood := coach.AlarmGroups(s.E.Live.Day, s.E.Now)
	head, _ := s.strange()
	if flood {
		head = append(head, draw.Told(t.Warn, "Ten alarms in ten minutes: start at the top.", w)...)
	}
	for _, p := range s.problems() {
		head = append(head, draw.Told(t.Warn, p, w)...)
	}
	body := append(head, s.grid.Lines(t, len(head), w, room-len(head))...)
	if len(s.grid.Rows) == 0 {
		body = s.Empty(head, "No alarm.", "Alarms that ring, or are heard, snoozed or off today, are listed here.", "? explains each alarm; s says how they reach you; p plays them.", nil)
	}
	if bars := AlarmBars(s.E, &s.E.Live.Day, s.E.Now, w, room-len(body)-2); bars != nil && s.E.Live.Day.Running() {
		body = append(append(body, "", t.Title.Render(" Today's alarms")), bars...)
	}
	return s.Draw(body)
}

func (s *alarmList) problems() []string {
	if s.E.Outside == nil {
		return nil
	}
	return s.E.Outside.State().Problems
}
