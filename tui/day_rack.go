package tui

import (
	"fmt"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/tui/keep"
)

// rackedText says where a batch lies now, and what its tag has to say: batches
// of different fleeces never lie there unlabelled.
func (s *dayScreen) rackedText(tub int, lies string) string {
	e, d := s.e, s.e.live.day
	b, _ := d.Batch(d.Tubs[tub].Batch)
	where := "racked"
	if lies != "" {
		where = "racked on " + lies
	}
	return fmt.Sprintf("%s %s; tag: %s", b.ID, where, e.tagText(b))
}

// tagText is what a batch's tag says, the code first: it finds the record again,
// and a narrow line is cut at its end.
func (e *env) tagText(b shed.Batch) string {
	text := fmt.Sprintf("%s %s, %s, %s raw", b.ID, e.live.day.FleeceOf(b.ID).Title(), b.What(), e.kit.Units.Mass(b.RawG))
	if code, err := tag.Code(e.live.id, b.ID); err == nil {
		text = "code " + code + ", " + text
	}
	return text
}

// beforeRack is what one press tells of a tub before its batch is on the rack;
// ok is false where the rack is not next. A batch that is weighed spun, or laid on
// a tray, has been spun.
func (s *dayScreen) beforeRack(tub int) (acts []shed.Action, ok bool) {
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
func (s *dayScreen) tellSpun(tub int) error {
	acts, _ := s.beforeRack(tub)
	if len(acts) == 0 {
		return nil
	}
	return s.e.live.doTogether(session.DoNext{Tub: tub, Act: acts[0]}, acts[1:], s.e.now)
}

// toRack says whether the tub's batch waits for the rack; if not it says so.
func (s *dayScreen) toRack(tub int) bool {
	if _, ok := s.beforeRack(tub); !ok {
		s.e.refuse(fmt.Errorf("%s has nothing spun: this is for a batch on its way to the rack", s.glances[tub].Name))
		return false
	}
	return true
}

// askTray racks on another tray than the one proposed.
func (s *dayScreen) askTray(tub int) tea.Cmd {
	d := s.e.live.day
	if !s.toRack(tub) {
		return nil
	}
	trays := d.Plan.Kit.Trays
	if len(trays) == 0 {
		s.e.refuse(fmt.Errorf("the kit has no trays: name them in the kit, Drying rack"))
		return nil
	}
	rack := d.Rack()
	b, _ := d.Batch(d.Tubs[tub].Batch)
	lay := func(tray string) error {
		done := s.rackedText(tub, rack.WouldLieOn(tray, b))
		if err := s.tellSpun(tub); err != nil {
			return err
		}
		if err := s.e.live.do(session.DoNext{Tub: tub, Act: shed.RackFibre, Tray: tray}, s.e.now); err != nil {
			return err
		}
		s.e.tell("%s", done)
		s.chosen = -1
		return nil
	}
	title := s.glances[tub].Name + ": RACK IT WHERE?"
	if len(trays) > mostPicks {
		tray := trays[0].ID
		p := &page{fields: []*field{choiceField("Tray", "its tag goes with it", &tray, false, trayChoices(trays, rack)...)}}
		return push(newForm(s.e, title, []*page{p}, func() (tea.Cmd, error) {
			if err := lay(tray); err != nil {
				return nil, err
			}
			return pop(), nil
		}))
	}
	a := &ask{tub: tub, title: title, hint: "press the digit; Enter on the tub takes the first with room"}
	for _, c := range trayChoices(trays, rack) {
		a.picks = append(a.picks, c.words)
	}
	a.accept = func(_ []string, pick int) error { return lay(trays[pick].ID) }
	s.ask = a
	return nil
}

// mostPicks is how many trays the band shows in one line, a digit each; more are
// a list of their own.
const mostPicks = 6

// trayChoices are the trays with how full they are.
func trayChoices(trays []shed.Tray, rack shed.RackRoom) []choice[string] {
	out := make([]choice[string], len(trays))
	for i, t := range trays {
		out[i] = choice[string]{t.ID, fmt.Sprintf("%s (%s)", t.Name, rack.Use(t.ID))}
	}
	return out
}

// askSpun takes the weight of a spun batch: against the dry weight it says how
// much water it held, and it is the first of its drying.
func (s *dayScreen) askSpun(tub int) {
	e, u := s.e, s.e.kit.Units
	if !s.toRack(tub) {
		return
	}
	batch := s.glances[tub].Batch
	scale := "on the kitchen scale"
	if len(e.kit.Scales) > 0 {
		scale = "on " + scaleText(u, e.kit.Scale())
	}
	a := &ask{tub: tub, title: fmt.Sprintf("%s: WHAT DOES %s WEIGH SPUN?", s.glances[tub].Name, batch),
		hint: scale + "; the dry weight goes on the same scale", fields: []askField{newField("weight", u.MassUnit(), "")}}
	a.accept = func(texts []string, _ int) error {
		g, err := u.ParseMassG(texts[0])
		if err != nil {
			return err
		}
		if err := s.tellSpun(tub); err != nil {
			return err
		}
		if err := e.live.do(session.WeighWet{Batch: batch, MassG: g, Scale: e.kit.Scale(), Sure: a.insists(texts)}, e.now); err != nil {
			return err
		}
		e.tell("%s: %s spun, written down", batch, u.Mass(g))
		return nil
	}
	s.ask = a
}

// askSoaked takes the weight of a batch that was dried between presoak and wash.
func (s *dayScreen) askSoaked(tub int) {
	e, u := s.e, s.e.kit.Units
	batch := s.glances[tub].Batch
	a := &ask{tub: tub, title: fmt.Sprintf("%s: WHAT DOES %s WEIGH, PRESOAKED AND DRIED?", s.glances[tub].Name, batch),
		hint: "only if you dry it before the wash: it tells soil from wax; Esc leaves it out", fields: []askField{newField("weight", u.MassUnit(), "")}}
	a.accept = func(texts []string, _ int) error {
		g, err := u.ParseMassG(texts[0])
		if err != nil {
			return err
		}
		if err := e.live.do(session.WeighSoaked{Batch: batch, MassG: g, Scale: e.kit.Scale(), Sure: a.insists(texts)}, e.now); err != nil {
			return err
		}
		e.tell("%s: %s after the presoak, written down", batch, u.Mass(g))
		return nil
	}
	s.ask = a
}

// layElsewhere lays the chosen batch on another tray.
func (s *dryingScreen) layElsewhere() tea.Cmd {
	return s.chosen(func(x dryingLine, l *live) tea.Cmd {
		return s.e.withRecord(s, func() tea.Cmd { return s.askWhere(x, l) })
	})
}

func (s *dryingScreen) askWhere(x dryingLine, l *live) tea.Cmd {
	e := s.e
	trays := l.day.Plan.Kit.Trays
	if len(trays) == 0 {
		e.refuse(fmt.Errorf("that day's kit had no trays: name them in the kit, Drying rack, before the next one"))
		return nil
	}
	c := session.MoveOnRack{Batch: x.Batch.ID, Tray: trays[0].ID}
	var err error
	if c.OnRack, err = e.lying(x.day); err != nil {
		e.refuse(fmt.Errorf("what lies on the rack could not be read: %w", err))
		return nil
	}
	here := l.day
	here.Plan.OnRack = c.OnRack
	rack := here.Rack()
	p := &page{fields: []*field{choiceField("Tray", "its tag goes with it", &c.Tray, false, trayChoices(trays, rack)...)}}
	return push(newForm(e, fmt.Sprintf("Lay %s, %s", e.which(x.DryingBatch), x.Fleece.Title()), []*page{p}, func() (tea.Cmd, error) {
		if err := e.doOn(l, c); err != nil {
			return nil, err
		}
		f := l.day.Fate[c.Batch]
		e.tell("%s lies on %s", c.Batch, l.day.Plan.Kit.Lies(f.Tray, f.Spots, x.Batch.Form))
		return pop(), nil
	}))
}

// doOn carries a command out on a day of the record, the running one or a past
// one.
func (e *env) doOn(l *live, c session.Command) error {
	if err := l.do(c, e.now); err != nil {
		return err
	}
	e.record.changes++
	e.lookOverRack(l)
	return nil
}

// lookOverRack tells the running day what earlier days have on the rack, after
// a weight of theirs was written down or taken back.
func (e *env) lookOverRack(of *live) {
	running := e.live
	if of == running || of.id == running.id || !running.day.Running() {
		return
	}
	onRack, changed := ledger.RackAfter(running.day, ledger.Summarise(of.id, of.day))
	if !changed {
		return
	}
	if err := running.do(session.LookOverRack{OnRack: onRack}, e.now); err != nil {
		e.refuse(err)
	}
}

// lying is what lies on the rack by the record, but for the day given.
func (e *env) lying(but shed.DayID) ([]shed.Lying, error) {
	days, err := e.record.days, e.record.noDays
	if err != nil {
		return nil, err
	}
	days = slices.DeleteFunc(slices.Clone(days[:min(len(days), keep.RackDays)]), func(s ledger.Summary) bool { return s.ID == but })
	return ledger.StillDrying(days), nil
}

// traysAreEmpty refuses a kit without a tray on which something lies.
func (e *env) traysAreEmpty(k shed.Kit) error {
	lying, err := e.lying(e.live.id)
	if err != nil {
		return fmt.Errorf("what lies on the rack could not be read: %w", err)
	}
	if l, tray, found := session.MissesTray(e.kit, k, append(lying, e.live.day.OnTrays()...)); found {
		return fmt.Errorf("%s lies on %s by the record: bag it or lay it elsewhere first, under Drying rack", l.Batch, tray.Name)
	}
	return nil
}
