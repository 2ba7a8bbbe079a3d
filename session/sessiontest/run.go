package sessiontest

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// RingsAfter is Rings of what came after a moment, with silence at its end.
func (r *Run) RingsAfter(from time.Time) []string {
	later := *r
	later.Recs = slices.DeleteFunc(slices.Clone(r.Recs), func(rec session.Recorded) bool { return !rec.At.After(from) })
	return append(later.Rings(from), "silence")
}

// At lets time pass until so many minutes after dawn.
func (r *Run) At(min float64) *Run {
	r.T.Helper()
	if to := Dawn.Add(Minutes(min)); to.Before(r.Now) {
		r.T.Fatalf("the script goes back to %g min", min)
	}
	return r.Wait(Dawn.Add(Minutes(min)).Sub(r.Now).Minutes())
}

// Leap is At in one step: what would have rung meanwhile rings at its end.
func (r *Run) Leap(min float64) *Run { return r.Tick(Dawn.Add(Minutes(min)).Sub(r.Now)) }

// Fill fills a tub with a bath that is read at so many °C.
func (r *Run) Fill(tub int, readC float64) *Run {
	r.T.Helper()
	return r.Do(session.DoNext{Tub: tub, Act: shed.FillTub, HasTemp: true, TempC: readC})
}

// Run is a day being lived, with its journal.
type Run struct {
	T    Reporter
	Day  session.Day
	Now  time.Time
	Recs []session.Recorded
	Step time.Duration // of time that passes by Wait and At; 0 is 5 s
}

// Do carries out a command that has to be accepted.
func (r *Run) Do(commands ...session.Command) *Run {
	r.T.Helper()
	for _, c := range commands {
		day, recs, err := session.Do(r.Day, c, r.Now)
		if err != nil {
			r.T.Fatalf("%T refused: %v", c, err)
		}
		r.Day, r.Recs = day, append(r.Recs, recs...)
	}
	return r
}

// Refused carries out a command that has to be refused with a sentence in
// which every fragment appears, and that leaves the day alone.
func (r *Run) Refused(c session.Command, fragments ...string) error {
	r.T.Helper()
	day, recs, err := session.Do(r.Day, c, r.Now)
	if err == nil {
		r.T.Fatalf("%#v was accepted", c)
	}
	if len(recs) > 0 || !reflect.DeepEqual(day, r.Day) {
		r.T.Errorf("%T was refused and changed the day", c)
	}
	CheckSentence(r.T, err)
	for _, f := range fragments {
		if !strings.Contains(err.Error(), f) {
			r.T.Errorf("%T: %q does not say %q", c, err, f)
		}
	}
	return err
}

// Wait lets so many minutes pass, step by step, to the end of their last second.
func (r *Run) Wait(forMin float64) *Run {
	step := r.Step
	if step <= 0 {
		step = 5 * time.Second
	}
	for end := r.Now.Add(Minutes(forMin)); r.Now.Before(end); {
		r.Tick(min(step, max(time.Second, end.Sub(r.Now).Truncate(time.Second))))
	}
	return r
}

// Tick lets time pass in one step.
func (r *Run) Tick(d time.Duration) *Run {
	r.Now = r.Now.Add(d)
	day, recs := session.Tick(r.Day, r.Now)
	r.Day, r.Recs = day, append(r.Recs, recs...)
	return r
}

// Next does the obvious action at tubs.
func (r *Run) Next(tubs ...int) *Run {
	r.T.Helper()
	for _, tub := range tubs {
		r.Do(session.DoNext{Tub: tub, Act: r.Day.NextAction(tub), Sooner: true})
	}
	return r
}

// Rack does the obvious action at each tub by turns, so many minutes after the one before and at
// once to the alarms, until all is racked.
func (r *Run) Rack(min float64) *Run {
	r.T.Helper()
	for !r.Day.AllRacked() {
		for tub := range r.Day.Tubs {
			if r.Day.NextAction(tub) != shed.Wait {
				r.Now = r.Now.Add(Minutes(min))
				r.Next(tub)
			}
		}
	}
	return r
}

// Asked does the first deed that the list asks for now and that may be done.
func (r *Run) Asked(may func(coach.Prompt) bool) {
	r.T.Helper()
	for _, p := range coach.Prompts(r.Day.Boiled(), r.Now) {
		if p.Rank != coach.Coming && p.Act != shed.FinishDay && may(p) {
			r.Do(session.DoNext{Tub: p.Tub, Act: p.Act, Sooner: true})
			return
		}
	}
}

// Keep puts the day into a journal.
func (r *Run) Keep(j interface {
	NewDay() (shed.DayID, error)
	Append(shed.DayID, []session.Recorded, ledger.Summary) error
}) shed.DayID {
	r.T.Helper()
	id, err := j.NewDay()
	if err == nil {
		err = j.Append(id, r.Recs, ledger.Summarise(id, r.Day))
	}
	if err != nil {
		r.T.Fatalf("it is not kept: %v", err)
	}
	return id
}

// Until does the obvious action at a tub, at once, until it is in a phase.
func (r *Run) Until(tub int, phase shed.Phase) *Run {
	r.T.Helper()
	for range 60 {
		if r.Day.Tubs[tub].Phase == phase {
			return r
		}
		r.Next(tub)
	}
	r.T.Fatalf("tub %d never came to %s", tub, phase)
	return r
}

// Rings lists the seconds after from at which alarms rang, each "kind@second".
func (r *Run) Rings(from time.Time) []string {
	var out []string
	for _, rec := range r.Recs {
		s := int(rec.At.Sub(from).Seconds())
		switch e := rec.Event.(type) {
		case session.AlarmRaised:
			out = append(out, fmt.Sprintf("%s@%d", e.Alarm, s))
		case session.AlarmRepeated:
			out = append(out, fmt.Sprintf("again@%d", s))
		case session.AlarmCleared:
			word := "superseded"
			if e.Answered {
				word = "cleared"
			}
			out = append(out, fmt.Sprintf("%s@%d", word, s))
		}
	}
	return out
}

// Live does every act of a timetable at its minute, and gives what the tank has
// left after each fill that draws from it.
func (r *Run) Live(o planner.Outlook) (leftL, drawnL []float64) {
	type act struct {
		at    time.Time
		piece planner.Piece
		act   shed.Action
	}
	var acts []act
	for _, p := range o.Timetable.Pieces {
		at := p.Start
		for i, a := range p.Acts {
			acts = append(acts, act{at, p, a})
			at = at.Add(Minutes(p.ActMin[i]))
		}
	}
	slices.SortStableFunc(acts, func(a, b act) int { return a.at.Compare(b.at) })
	for _, a := range acts {
		r.Now = a.at
		c := session.DoNext{Tub: a.piece.Tub, Act: a.act, Sooner: true}
		if a.act == shed.LoadNext {
			if c.Batch = a.piece.Batch; r.Day.Tubs[c.Tub].Batch == c.Batch { // since the start
				continue
			}
		}
		f := r.Day.FillAt(c.Tub, r.Now)
		r.Do(c)
		if hotL := f.Pour.HotL + f.Pour.KettleL; a.act == shed.FillTub && hotL > 0 {
			leftL, drawnL = append(leftL, HotLeftL(r.Day, r.Now)), append(drawnL, hotL)
		}
	}
	return leftL, drawnL
}

// RackText says where on the rack a batch lies.
func (r *Run) RackText(batch string) string {
	b, _ := r.Day.Batch(batch)
	f := r.Day.Fate[batch]
	return r.Day.Plan.Kit.Lies(f.Tray, f.Spots, b.Form)
}

// Prompt is what the coach says of the first tub.
func (r *Run) Prompt() coach.Prompt {
	for _, p := range coach.Prompts(r.Day, r.Now) {
		if p.Tub == 0 {
			return p
		}
	}
	r.T.Fatalf("no prompt for the first tub")
	return coach.Prompt{}
}
