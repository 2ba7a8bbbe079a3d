package washday

import (
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/shed"
)

// askSkip asks before a step is left out, by its name; of a bath that still stands it is
// the next one, and the tub is emptied with it.
func (s *Screen) askSkip(tub int, name string) {
	t := s.e.Live.Day.Tubs[tub]
	step := t.NextStep().Name
	question, done := "skip "+name+"'s "+step+"?", name+": "+step+" skipped"
	if t.Phase == shed.Draining {
		question, done = "empty "+name+" and skip its "+step+"?", name+" emptied, "+step+" skipped"
	}
	s.again("s", session.SkipStep{Tub: tub}, question+" Press s again", done)
}

// askRepeat asks before a bath is taken once more, by its name.
func (s *Screen) askRepeat(tub int, name string) {
	t := s.e.Live.Day.Tubs[tub]
	step := t.RepeatedStep().Name
	question, done := "repeat "+name+"'s "+step+"?", name+": "+step+" again"
	if t.Phase == shed.ToSink {
		question, done = "empty "+name+" and refill for the "+step+"?", name+": empty, refill for the "+step
	}
	at, washed := t.WashBehind()
	if !washed || t.Phase == shed.ToSink {
		s.again("b", session.RepeatStep{Tub: tub}, question+" Press b again", done)
		return
	}
	s.askWashAgain(tub, name, t, at)
}

// askWashAgain asks what to take once more where a wash lies behind: the wash, with all of
// its dose as the method has it or half of that, whatever it last had, or the last bath.
func (s *Screen) askWashAgain(tub int, name string, t session.TubRun, at int) {
	d, wash := s.e.Live.Day, t.Steps[at]
	batch, _ := d.Batch(t.Batch)
	type again struct {
		words string
		c     session.RepeatStep
		told  string
	}
	all := []again{{wash.Name + " again", session.RepeatStep{Tub: tub, Wash: true}, wash.Name + " again"}}
	if wash.Dosed {
		dose := func(part float64) string {
			return d.Plan.Kit.DoseText(d.Plan.Kit.DoseFor(batch.NowG()*part, d.FleeceOf(t.Batch).Wax))
		}
		part := wash.Dose()
		if planned := d.Plan.StepsOf(batch); at < len(planned) {
			part = planned[at].Dose()
		}
		all = nil
		for _, x := range []struct {
			words string
			part  float64
		}{{wash.Name + " again, ", part}, {"with ", part / 2}} {
			all = append(all, again{x.words + dose(x.part), session.RepeatStep{Tub: tub, Wash: true, DosePart: x.part}, wash.Name + " again, " + dose(x.part)})
		}
	}
	if last := t.RepeatedStep(); last.Kind != wash.Kind {
		all = append(all, again{"only the " + last.Name + " again", session.RepeatStep{Tub: tub}, last.Name + " again"})
	}
	a := &ask{tub: tub, title: name + ": WASH " + t.Batch + " AGAIN?", hint: "press its number; the rinses follow; Esc to leave it"}
	for _, x := range all {
		a.picks = append(a.picks, x.words)
	}
	if then, _, err := session.Do(d, all[0].c, s.e.Now); err == nil {
		if waits := s.afterBreak(&then, tub); waits != "" {
			a.hint = waits[2:] + ". Press its number; Esc to leave it"
		}
	}
	a.accept = func(_ []string, pick int) error {
		x := all[pick]
		if err := s.e.Live.Do(x.c, s.e.Now); err != nil {
			return err
		}
		s.e.Tell("%s: %s%s", name, x.told, s.afterBreak(&s.e.Live.Day, tub))
		s.chosen = -1
		return nil
	}
	s.ask = a
}

// afterBreak says that the wash which a tub waits for comes behind the next break; "" where it does not.
func (s *Screen) afterBreak(d *session.Day, tub int) string {
	till, waits := d.FillWaits(tub, s.e.Now)
	if !waits {
		return ""
	}
	return "; it waits till " + s.afterYour() + ", " + s.e.ClockText(till) + ": the fleece may lie wet till then"
}

// doneText says what was just written down.
func (s *Screen) doneText(name string, p coach.Prompt) string {
	last := p.Act
	if n := len(p.Then); n > 0 {
		last = p.Then[n-1]
	}
	switch last {
	case shed.FillTub:
		return name + ": filled, the fleece not in yet. r takes a reading"
	case shed.SinkIn:
		t := s.e.Live.Day.Tubs[p.Tub]
		if p.Act == shed.LoadNext {
			b, _ := s.e.Live.Day.Batch(p.Batch)
			t.Steps, t.At = s.e.Live.Day.Plan.StepsOf(b), 0
		}
		return name + ": the " + t.NextStep().Name + " has begun"
	case shed.Lift:
		return name + ": lifted"
	case shed.DrainTub:
		return name + ": emptied"
	case shed.SpinFibre:
		return name + ": spin-dried"
	case shed.RackFibre: // says more: rackedText
	case shed.LoadNext:
		return name + ": the next batch begins"
	case shed.Wait, shed.FinishDay:
	}
	return ""
}
