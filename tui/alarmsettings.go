package tui

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/lifecycle"
	"fleece.example/tubside/session/measure"
)

// alarmSettingsForm asks how alarms reach the person.
func alarmSettingsForm(e *env) tea.Cmd {
	a := e.keeper.Alarms()
	hours := quietWords(a)
	pages := []*page{{title: "How alarms reach you", fields: []*field{
		checkedField("Quiet hours", "low and medium alarms wait in them, high ones never; such as 22:00-7:00, or none", hours, func(text string) error {
			from, to, err := readQuiet(text)
			if err == nil {
				a.QuietFromMin, a.QuietToMin = from, to
			}
			return err
		}),
		yesNo("Turn a muted or low output up for an alarm", "it is put back as it was afterwards", &a.RaiseVolume),
		yesNo("Say it aloud", "where a voice is installed: north tub, lift the fleece now, four minutes left", &a.Speak),
	}}, {title: "Away from the tubs", fields: []*field{
		yesNo("Notices on the desktop", "where the system shows any, and by the terminal itself", &a.Notify),
		wordsField("A command of your own", "run at each alarm, worse alarm and end of one, with what it is in its environment; empty for none", &a.Hook, 400, ""),
	}}}
	return push(newForm(e, "Alarms", pages, func() (tea.Cmd, error) {
		if err := a.Validate(); err != nil {
			return nil, err
		}
		if err := e.keep(func() error { return e.Ledger.SaveAlarmSettings(a) }); err != nil {
			return nil, fmt.Errorf("this could not be saved: %w", err)
		}
		e.keeper.SetAlarms(a)
		e.tell("saved")
		return pop(), nil
	}))
}

func quietWords(a session.AlarmSettings) string {
	if a.QuietFromMin == a.QuietToMin {
		return "none"
	}
	return fmt.Sprintf("%d:%02d-%d:%02d", a.QuietFromMin/60, a.QuietFromMin%60, a.QuietToMin/60, a.QuietToMin%60)
}

// readQuiet reads what quietWords writes.
func readQuiet(text string) (fromMin, toMin int, err error) {
	text = strings.ToLower(measure.CleanText(text, 30))
	if text == "" || text == "none" {
		return 0, 0, nil
	}
	from, to, ok := strings.Cut(strings.ReplaceAll(text, "–", "-"), "-")
	fromMin, okFrom := timeOfDay(from)
	toMin, okTo := timeOfDay(to)
	if !ok || !okFrom || !okTo {
		return 0, 0, fmt.Errorf("\"%s\" are no hours: give two times of the day such as 22:00-7:00, or none", text)
	}
	if fromMin == toMin {
		return 0, 0, fmt.Errorf("\"%s\" begins and ends at once: give two times such as 22:00-7:00, or none", text)
	}
	return fromMin, toMin, nil
}

// hourOfDay is a time as people write it: 22, 22:30, 22.30, 10pm, 10:30 p.m. All
// of the text has to be one, or silence would be taken for hours nobody meant.
var hourOfDay = regexp.MustCompile(`^(\d{1,2})(?:[:.](\d{2}))?(?:([ap])\.?m\.?)?$`)

func timeOfDay(text string) (min int, ok bool) {
	parts := hourOfDay.FindStringSubmatch(strings.ToLower(strings.ReplaceAll(text, " ", "")))
	if parts == nil {
		return 0, false
	}
	h, _ := strconv.Atoi(parts[1]) // digits, by the pattern
	m, _ := strconv.Atoi(parts[2]) // or nothing: 0
	switch half := parts[3]; {
	case half != "" && (h < 1 || h > 12):
		return 0, false
	case half != "":
		if h %= 12; half == "p" {
			h += 12
		}
	}
	return h*60 + m, h < 24 && m < 60
}

// alarmList is all alarms of the day: what rings, what was heard, what is put
// off, what came and went unseen, what is out of service.
type alarmList struct {
	frame
	grid              grid
	shown             []shownAlarm
	hear, off, out    key.Binding
	settings, checkIt key.Binding
}

// shownAlarm is a row of the list; one of a kind that is out of service has no
// alarm behind it.
type shownAlarm struct {
	a       session.Alarm
	outOnly bool
}

func newAlarmList(e *env) screen {
	s := &alarmList{hear: bind("Space", "heard", " "), off: bind("o", "put off, or not any more", "o"), out: bind("x", "out of service today, or back", "x"),
		settings: bind("s", "settings", "s"), checkIt: bind("p", "sound check", "p")}
	s.frame = frame{e: e, keys: []key.Binding{keyEnter("heard"), s.hear, s.off, s.out, s.settings, s.checkIt, keyBack, keyHelp, keyMove}}
	s.idle = func() []string {
		out := s.grid.idle("Enter", "Space", "o", "x")
		if s.grid.at < len(s.shown) && s.shown[s.grid.at].outOnly {
			out = append(out, "Enter", "Space", "o")
		}
		return out
	}
	s.grid.cols = []column{{title: "state", spare: 1}, {title: "why", seldom: true, spare: 5}, {title: "tub", name: true}, {title: "alarm"}, {title: "priority", spare: 3}, {title: "since", spare: 2}, {title: "do", spare: 6}}
	s.fill()
	return s
}

func (s *alarmList) Title() string { return "Alarms" }

func (s *alarmList) fill() {
	d := s.e.live.day
	groups, _ := coach.AlarmGroups(d, s.e.now)
	s.shown = s.shown[:0]
	var rows [][]string
	for _, g := range groups {
		for _, a := range g.Alarms {
			state, why := heardWord(a.Life.State), ""
			if a.Life.Why != "" {
				state, why = "put off till "+s.e.clockText(a.Life.Until), a.Life.Why
			}
			s.shown = append(s.shown, shownAlarm{a: a})
			rows = append(rows, []string{state, why, g.Name, a.Kind.String(), a.Priority.String(), s.e.clockText(a.RaisedAt), coach.WhatToDo(s.e.live.day, a, s.e.now).String()})
		}
	}
	for _, k := range d.Out {
		s.shown = append(s.shown, shownAlarm{a: session.Alarm{Kind: k, Tub: -1}, outOnly: true})
		rows = append(rows, []string{"out of service", "", "all", k.String(), k.Facts().Priority.String(), "", "x puts it back"})
	}
	s.grid.setRows(rows)
}

func (s *alarmList) Update(msg tea.Msg) (screen, tea.Cmd) {
	s.fill()
	k, cmd, ok := s.onList(msg, &s.grid, func() tea.Cmd { s.heard(); return nil })
	if !ok {
		return s, cmd
	}
	switch {
	case s.grid.move(k):
	case k.String() == "enter", key.Matches(k, s.hear):
		s.heard()
	case key.Matches(k, s.off):
		cmd = s.putOff()
	case key.Matches(k, s.out):
		s.service()
	case key.Matches(k, s.settings):
		cmd = alarmSettingsForm(s.e)
	case key.Matches(k, s.checkIt):
		cmd = push(newSoundCheck(s.e))
	}
	s.fill()
	return s, cmd
}

func (s *alarmList) chosen() (shownAlarm, bool) {
	if s.grid.at >= len(s.shown) {
		s.e.refuse(fmt.Errorf("there is no alarm in the list"))
		return shownAlarm{}, false
	}
	return s.shown[s.grid.at], true
}

func (s *alarmList) run(c session.Command, say string) {
	if err := s.e.live.do(c, s.e.now); err != nil {
		s.e.refuse(err)
		return
	}
	s.e.tell("%s", say)
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
		s.run(session.Acknowledge{Tub: a.a.Tub}, "heard: it comes back until it is acted on")
	}
}

// putOff asks for how long and why, or takes it back.
func (s *alarmList) putOff() tea.Cmd {
	x, ok := s.chosen()
	if !ok || x.outOnly {
		return nil
	}
	if !x.a.Life.Until.IsZero() {
		s.run(session.Unshelve{Tub: x.a.Tub, Kind: x.a.Kind}, "it rings again")
		return nil
	}
	minutes, why := 2.0, "on my way"
	p := &page{title: "Put off: " + x.a.Kind.String(), fields: []*field{
		choiceField("Why", "goes into the look back", &why, false, choice[string]{"on my way", "on my way"}, choice[string]{"hands in another tub", "hands in another tub"}, choice[string]{"meant so", "meant so"}),
		choiceField("For how long", "then it rings again; the release temperature waits for three minutes at most", &minutes, true,
			choice[float64]{2, "2 min"}, choice[float64]{3, "3 min"}, choice[float64]{10, "10 min"}, choice[float64]{30, "30 min"}),
	}}
	return push(newForm(s.e, "Put an alarm off", []*page{p}, func() (tea.Cmd, error) {
		err := s.e.live.do(session.Shelve{Tub: x.a.Tub, Kind: x.a.Kind, ForMin: minutes, Why: why}, s.e.now)
		if err != nil {
			return nil, err
		}
		return pop(), nil
	}))
}

func (s *alarmList) service() {
	x, ok := s.chosen()
	if !ok {
		return
	}
	if x.outOnly {
		s.run(session.SetService{Kind: x.a.Kind}, x.a.Kind.String()+" is back in service")
		return
	}
	if s.again("out "+x.a.Kind.String(), "take \"%s\" out of service for today? x again does it", x.a.Kind) {
		s.run(session.SetService{Kind: x.a.Kind, Out: true}, x.a.Kind.String()+" rings no more today")
	}
}

func (s *alarmList) View() string { c := *s; return c.place() }

func (s *alarmList) place() string {
	t, w, room := s.e.Theme, s.w, s.room()
	_, flood := coach.AlarmGroups(s.e.live.day, s.e.now)
	var head []string
	if flood {
		head = append(head, told(t.Warn, "Ten alarms in ten minutes: more than anyone can serve. Take the tubs from the top.", w)...)
	}
	for _, p := range s.problems() {
		head = append(head, told(t.Warn, p, w)...)
	}
	if len(s.grid.rows) == 0 {
		return s.draw(s.empty(head, "No alarm.", "What rings, what you have heard, what is put off and what is out of service is listed here.", "? has the table of alarms; s says how they reach you; p plays them."))
	}
	return s.draw(append(head, s.grid.lines(t, len(head), w, room-len(head))...))
}

func (s *alarmList) problems() []string {
	if s.e.Outside == nil {
		return nil
	}
	return s.e.Outside.State().Problems
}
