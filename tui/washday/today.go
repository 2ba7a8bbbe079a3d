package washday

import (
	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/gear"
	"fleece.example/tubside/tui/past"
)

// askChange asks what of the day is to be put right or looked at: tub is the one in focus, -1
// for none.
func (s *Screen) askChange(tub int) {
	e, d := s.e, s.e.Live.Day
	type change struct {
		words string
		leads func() tea.Cmd
	}
	all := []change{
		{"room and taps", s.roomToday},
		{"the timetable", func() tea.Cmd { return base.Push(ahead.NewRest(e)) }},
		{"more batches", func() tea.Cmd { return ahead.AddToDay(s, e, "") }},
	}
	if e.Along != nil {
		all = append(all, change{"save or print", func() tea.Cmd { return past.Along(s, e, e.Live.ID, d) }})
	}
	switch k := d.Plan.Kit; {
	case k.Kettle.AsideL > 0:
		all = append(all, change{"the kettle is back", func() tea.Cmd {
			k.Kettle = k.Kettle.Back()
			s.run(session.ChangeKit{Kit: k}, "kettle back in use, plan updated")
			return nil
		}})
	case k.Kettle.CapacityL > 0:
		all = append(all, change{"no kettle for now", func() tea.Cmd {
			k.Kettle = k.Kettle.Aside()
			s.run(session.ChangeKit{Kit: k}, "no kettle until you say under d it's back; use what has boiled")
			return nil
		}})
	}
	title := "TODAY: CHANGE WHAT?"
	if p, ok := s.Prompt(); ok && p.Tub == tub && p.Act == shed.LoadNext {
		if b, ok := d.Batch(p.Batch); ok {
			all = append(all, change{b.ID + "'s raw weight", func() tea.Cmd { return s.rawToday(*b) }})
		}
	} else if tub >= 0 && d.Tubs[tub].Batch != "" {
		b, _ := d.Batch(d.Tubs[tub].Batch)
		title = s.glances[tub].Name + ": CHANGE WHAT?"
		if b.Raw() {
			all = append(all, change{b.ID + "'s raw weight", func() tea.Cmd { return s.rawToday(*b) }})
		}
		own := d.Tubs[tub]
		if !own.Bath.FilledAt.IsZero() {
			all = append(all, change{"water in the bath", func() tea.Cmd { return s.waterToday(tub) }})
		}
		moves := (own.Phase == shed.Draining || own.Phase == shed.ToFill) && own.NextStep().Kind.IsBath()
		for to, t := range d.Tubs {
			_, err := session.Decide(d, session.MoveBasket{Tub: tub, To: to}, e.Now)
			if to == tub || err != nil && (t.Phase != shed.Idle || !moves) { // an empty one that will not do says why
				continue
			}
			where := d.TubName(to)
			if t.Used.Name != "" {
				where += " (empty it first)"
			}
			words := "basket to " + where
			if err != nil {
				words = "why not to " + where
			}
			all = append(all, change{words, func() tea.Cmd {
				done := b.ID + " goes on in " + d.TubName(to)
				if from := d.Tubs[tub]; from.Phase == shed.Draining {
					done += "; empty " + d.TubName(tub) + ", " + coach.WaterGoes(from.Step())
				}
				s.run(session.MoveBasket{Tub: tub, To: to}, done)
				s.chosen = -1
				return nil
			}})
		}
	}
	all = all[:min(len(all), mostChanges)]
	a := &ask{tub: tub, title: title, hint: "press its number; Esc changes nothing"}
	for _, c := range all {
		a.picks = append(a.picks, c.words)
	}
	a.accept = func(_ []string, pick int) error {
		s.ask = nil
		a.leads = all[pick].leads()
		return nil
	}
	s.ask = a
}

// mostChanges is how many a digit can choose from.
const mostChanges = 9

// roomToday corrects the room and the taps, in the kit too.
func (s *Screen) roomToday() tea.Cmd {
	k := s.e.Kit
	return form.NewForm(s.e, "Room and taps today", []*form.Page{gear.WaterPage(&k)}, func() (tea.Cmd, error) {
		if err := gear.SaveKit(s.e, k); err != nil {
			return nil, err
		}
		s.e.Tell("from here on: room %s, hot tap %s, cold tap %s", k.Units.Temp(k.RoomC), k.Units.Temp(k.HotTapC), k.Units.Temp(k.ColdTapC))
		return base.Pop(), nil
	}).Over(func(w, room int) []string { return gear.Picture(&s.e.Theme, &k, -1, w, room) })
}

// rawToday corrects what a batch weighs raw.
func (s *Screen) rawToday(b shed.Batch) tea.Cmd {
	g := b.RawG
	return s.figureToday("What "+b.ID+" weighs raw", "Raw weight", "what it weighed before its first bath; dose and yield go by it", form.Weight, &g, func(sure bool) session.Command {
		return session.WeighRaw{Batch: b.ID, RawG: g, Scale: b.RawScale, Sure: sure}
	}, func() string { return b.ID + ": " + s.e.Kit.Units.Mass(g) + " raw" })
}

// waterToday corrects how much water is in the bath of a tub.
func (s *Screen) waterToday(tub int) tea.Cmd {
	l := s.e.Live.Day.Tubs[tub].Bath.LevelL()
	name := s.glances[tub].Name
	return s.figureToday("How much water is in "+name, "Water in the bath", "all of it, top-ups too, without the fleece; the forecast and what is left in the tank go by it", form.Volume, &l, func(sure bool) session.Command {
		return session.CorrectFill{Tub: tub, LevelL: l, Sure: sure}
	}, func() string { return coach.FillCorrected(s.e.Live.Day, tub) })
}

// figureToday asks for one figure, which its command takes.
func (s *Screen) figureToday(title, label, why string, q form.Quantity, figure *float64, cmd func(sure bool) session.Command, done func() string) tea.Cmd {
	e := s.e
	check := func(_ measure.System, v float64) error {
		was := *figure
		*figure = v
		_, err := session.Decide(e.Live.Day, cmd(false), e.Now)
		*figure = was
		return err
	}
	p := &form.Page{Fields: []*form.Field{form.NumberField(e.Kit.Units, q, label, why, figure, check)}}
	return form.NewForm(e, title, []*form.Page{p}, func() (tea.Cmd, error) {
		if err := e.Live.Do(cmd(true), e.Now); err != nil { // the field has asked
			return nil, err
		}
		if s.chosen >= 0 { // done there: on to what comes first
			s.lent = e.Now.Add(e.Real(base.AgainWithin))
		}
		e.Tell("%s", done())
		return base.Pop(), nil
	}).Over(func(w, room int) []string { return ahead.RestBars(e, w, room) })
}
