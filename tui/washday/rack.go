package washday

import (
	"fmt"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/past"
)

// rackedText says where a batch lies now, and what its tag has to say: batches
// of different fleeces never lie there unlabelled.
func (s *Screen) rackedText(tub int, lies string) string {
	e, d := s.e, s.e.Live.Day
	b, _ := d.Batch(d.Tubs[tub].Batch)
	where := "on the rack"
	if lies != "" {
		where = "on the rack, " + lies
	}
	text := fmt.Sprintf("%s %s; tag: %s", b.ID, where, tagText(e, b))
	racked := len(d.Plan.OnRack) > 0 || slices.ContainsFunc(d.Plan.Hands, func(h shed.HandsTime) bool { return h.Act == shed.RackFibre }) ||
		slices.ContainsFunc(d.Plan.Batches, func(o shed.Batch) bool { return !d.Fate[o.ID].RackedAt.IsZero() })
	if len(e.Kit.Trays) == 0 && !racked { // said with the first batch of all
		text += ". Which tray it's on can be kept too: add trays under Kit, Drying rack"
	}
	return text
}

// tagText is what a batch's tag says, the code first: it finds the record again,
// and a narrow line is cut at its end.
func tagText(e *base.Env, b *shed.Batch) string {
	text := e.Live.Day.TagText(b, e.Now)
	if code, err := tag.Code(e.Live.ID, b.ID); err == nil {
		text = "code " + code + ", " + text
	}
	return text
}

// beforeRack is what one press tells of a tub before its batch is on the rack;
// ok is false where the rack is not next. A batch that is weighed spun, or laid on
// a tray, has been spun.
func (s *Screen) beforeRack(tub int) (acts []shed.Action, ok bool) {
	if s.glances[tub].Phase == shed.ToRack {
		return nil, true
	}
	for _, p := range s.prompts {
		acts = append([]shed.Action{p.Act}, p.Then...)
		if i := slices.Index(acts, shed.RackFibre); p.Tub == tub && i > 0 {
			return acts[:i], true
		}
	}
	return nil, false
}

// tellSpun tells of what came before the rack.
func (s *Screen) tellSpun(tub int) error {
	acts, _ := s.beforeRack(tub)
	if len(acts) == 0 {
		return nil
	}
	return s.e.Live.DoTogether(session.DoNext{Tub: tub, Act: acts[0]}, acts[1:], s.e.Now)
}

// toRack says whether the tub's batch waits for the rack; if not it says so.
func (s *Screen) toRack(tub int) bool {
	if _, ok := s.beforeRack(tub); !ok {
		s.e.Refuse(fmt.Errorf("%s has nothing ready for the rack", s.glances[tub].Name))
		return false
	}
	return true
}

// askTray racks on another tray than the one proposed.
func (s *Screen) askTray(tub int) tea.Cmd {
	d := s.e.Live.Day
	if !s.toRack(tub) {
		return nil
	}
	trays := d.Plan.Kit.Trays
	if len(trays) == 0 {
		s.e.Refuse(fmt.Errorf("the kit has no trays: add them under Kit, Drying rack"))
		return nil
	}
	rack := d.Rack()
	b, _ := d.Batch(d.Tubs[tub].Batch)
	lay := func(tray string) error {
		done := s.rackedText(tub, rack.WouldLieOn(tray, b))
		if err := s.tellSpun(tub); err != nil {
			return err
		}
		if err := s.e.Live.Do(session.DoNext{Tub: tub, Act: shed.RackFibre, Tray: tray}, s.e.Now); err != nil {
			return err
		}
		s.e.Tell("%s", done)
		s.chosen = -1
		return nil
	}
	title := s.glances[tub].Name + ": WHICH TRAY?"
	if len(trays) > mostPicks {
		tray := trays[0].ID
		p := &form.Page{Fields: []*form.Field{form.ChoiceField("Tray", "move its tag too", &tray, false, past.TrayChoices(trays, rack)...)}}
		return base.Push(form.NewForm(s.e, title, []*form.Page{p}, func() (tea.Cmd, error) {
			if err := lay(tray); err != nil {
				return nil, err
			}
			return base.Pop(), nil
		}))
	}
	a := &ask{tub: tub, title: title, hint: "press its number; Enter at the tub picks the first with room"}
	for _, c := range past.TrayChoices(trays, rack) {
		a.picks = append(a.picks, c.Words)
	}
	a.accept = func(_ []string, pick int) error { return lay(trays[pick].ID) }
	s.ask = a
	return nil
}

// mostPicks is how many trays the band shows in one line, a digit each; more are
// a list of their own.
const mostPicks = 6

// askSpun takes the weight of a spun batch: against the dry weight it says how
// much water it held, and it is the first of its drying.
func (s *Screen) askSpun(tub int) {
	e, u := s.e, s.e.Kit.Units
	if !s.toRack(tub) {
		return
	}
	batch := s.glances[tub].Batch
	scale := "on the kitchen scale"
	if len(e.Kit.Scales) > 0 {
		scale = "on " + form.ScaleText(u, e.Kit.Scale())
	}
	s.askWeight(tub, "WEIGH SPIN-DRIED", scale+"; the dry weight goes on the same scale", "spin-dried", func(g float64, sure bool) error {
		if err := s.tellSpun(tub); err != nil {
			return err
		}
		return e.Live.Do(session.WeighWet{Batch: batch, MassG: g, Scale: e.Kit.Scale(), Sure: sure}, e.Now)
	})
}

// askSoaked takes the weight of a batch that was dried between presoak and wash.
func (s *Screen) askSoaked(tub int) {
	e, batch := s.e, s.glances[tub].Batch
	s.askWeight(tub, "WEIGH, PRESOAKED AND DRIED", "only if you dried it before the wash: tells soil from wax; Esc to skip", "after the presoak", func(g float64, sure bool) error {
		return e.Live.Do(session.WeighSoaked{Batch: batch, MassG: g, Scale: e.Kit.Scale(), Sure: sure}, e.Now)
	})
}

// askWeight asks what the batch of a tub weighs now, and has that told.
func (s *Screen) askWeight(tub int, what, hint, as string, tell func(g float64, sure bool) error) {
	e, u, batch := s.e, s.e.Kit.Units, s.glances[tub].Batch
	a := &ask{tub: tub, title: fmt.Sprintf("%s: WHAT DOES %s %s?", s.glances[tub].Name, batch, what), hint: hint, fields: []askField{newField("weight", u.MassUnit(), "")}}
	a.accept = func(texts []string, _ int) error {
		g, err := u.ParseMassG(texts[0])
		if err == nil {
			err = tell(g, a.insists(texts))
		}
		if err == nil {
			e.Tell("%s: %s %s, noted", batch, u.Mass(g), as)
		}
		return err
	}
	s.ask = a
}
