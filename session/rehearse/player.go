package rehearse

import (
	"fmt"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// usualBusyS is how long an action takes when the script does not say:
// estimates, to be overridden.
var usualBusyS = map[shed.Action]float64{
	shed.LoadNext: 60, shed.FillTub: 180, shed.SinkIn: 60, shed.Lift: 45, shed.DrainTub: 150,
	shed.SpinFibre: 240, shed.RackFibre: 120, shed.FinishDay: 60,
}

// staysS: for what is due so soon nobody sits down.
const staysS = 150.0

// Player acts a script out: the entries at their minutes, and between them the
// invented person. It remembers only what it was shown, so the same days at
// the same times give the same commands.
type Player struct {
	script Script
	next   int // first entry not done yet
	job    job
	busy   bool
	atTub  int       // where the person stands, -1 for elsewhere
	stuck  bool      // when last looked: nothing will ever be left to do by hand
	satAt  time.Time // when they sat down; zero: they are up
}

// job is what the person is at; it is done at until.
type job struct {
	tub   int
	act   shed.Action
	until time.Time
	aside session.Command // done instead of the tub's next deed: kettle, reading
}

// deed is a command with the entry it comes from, -1 for the person's own, or
// why the entry cannot be done.
type deed struct {
	command session.Command
	entry   int
	err     error
}

// NewPlayer begins a script that Read has given.
func NewPlayer(s Script) *Player { return &Player{script: s, atTub: -1, stuck: s.Hands == nil} }

// Act says what is done at now, in order. An entry that cannot be done is left
// out; Play reports it.
func (p *Player) Act(d session.Day, now time.Time) []session.Command {
	var out []session.Command
	for _, x := range p.act(d, now) {
		if x.err == nil {
			out = append(out, x.command)
		}
	}
	return out
}

func (p *Player) act(d session.Day, now time.Time) []deed {
	if d.StartedAt.IsZero() {
		return nil
	}
	var out []deed
	do := func(x deed) {
		out = append(out, x)
		if x.err != nil {
			return
		}
		// The next deed of this moment is decided on the day after this one.
		if after, _, err := session.Do(d, x.command, now); err == nil {
			d = after
		}
	}
	for p.next < len(p.script.Do) && !now.Before(after(d.StartedAt, *p.script.Do[p.next].AtMin)) {
		i := p.next
		p.next++
		do(p.entry(i, d, now))
	}
	if c, ok := p.hands(d, now); ok {
		do(deed{command: c, entry: -1})
		p.look(d, now) // and goes on at once
	}
	return out
}

// entry is what an entry comes to on the day as it is.
func (p *Player) entry(i int, d session.Day, now time.Time) deed {
	e := p.script.Do[i]
	w, ok := findWord(e.Do)
	if !ok { // Read refuses it
		return deed{entry: i, err: fmt.Errorf("there is no such thing to do")}
	}
	c, err := w.command(e, p.script.tubOr(e.Tub), &p.script, d, now)
	return deed{command: c, entry: i, err: err}
}

// through says that every entry has been done.
func (p *Player) through() bool { return p.next == len(p.script.Do) }

// hands is what the person has just finished doing, if anything.
func (p *Player) hands(d session.Day, now time.Time) (session.Command, bool) {
	if p.script.Hands == nil || !d.Running() {
		return nil, false
	}
	if !p.busy {
		p.look(d, now)
		return nil, false
	}
	j := p.job
	if now.Before(j.until) {
		return nil, false
	}
	p.busy, p.atTub = false, j.tub
	if j.act == shed.FinishDay {
		return session.DoNext{Tub: -1, Act: shed.FinishDay}, d.AllRacked()
	}
	if j.aside == nil && d.NextAction(j.tub) != j.act { // an entry was quicker
		p.look(d, now)
		return nil, false
	}
	if j.aside != nil {
		if _, _, err := session.Do(d, j.aside, now); err != nil { // it is not wanted any more
			return nil, false
		}
		return j.aside, true
	}
	c := session.DoNext{Tub: j.tub, Act: j.act}
	if j.act == shed.FillTub && p.script.Hands.ReadsFills {
		c.HasTemp, c.TempC = true, p.script.Truth.fillReading(d, j.tub, now)
	}
	return c, true
}

// look finds the person's next job: the most pressing prompt that hands are
// wanted for now, or will be by the time they are there.
func (p *Player) look(d session.Day, now time.Time) {
	h := p.script.Hands
	min := now.Sub(d.StartedAt).Minutes()
	if _, away := h.awayAt(min, ""); away || !d.Running() {
		p.atTub, p.stuck, p.satAt = -1, false, time.Time{}
		return
	}
	if !p.satAt.IsZero() && now.Sub(p.satAt) < time.Duration(h.SitsMin*float64(time.Minute)) && !rungSince(d, p.satAt) {
		return
	}
	if j, ok := p.asked(d, now); ok {
		p.job, p.busy, p.satAt = j, true, time.Time{}
		return
	}
	if k, on := d.KettleOn(); on && h.TellsKettle && k.Stale(now) { // what has stood boils again
		p.job, p.busy, p.satAt = job{tub: k.Tub, until: now.Add(seconds(h.ReachesTubS)), aside: session.TellKettle{Tub: k.Tub, Sure: true}}, true, time.Time{}
		return
	}
	p.stuck = true
	for _, q := range p.list(d, now) {
		if q.Held && q.Act != shed.Lift { // only its lift goes through a hold
			continue
		}
		if q.Boil {
			if h.TellsKettle && !q.BoilOn && q.Rank <= coach.Now {
				p.stuck = false
				p.job, p.busy, p.satAt = job{tub: q.Tub, until: now.Add(seconds(h.ReachesTubS)), aside: session.TellKettle{Tub: q.Tub, Batch: q.Batch, Sure: true}}, true, time.Time{}
				return
			}
			continue
		}
		p.stuck = false
		due := q.DueAt.Sub(now)
		if q.Rank == coach.Resting && h.SitsMin > 0 { // the plan does without
			continue
		}
		ahead := h.ReachesTubS
		if h.SitsMin > 0 { // nobody sits down for less
			ahead = max(ahead, staysS)
		}
		if q.Rank > coach.Now && due > seconds(ahead) {
			break // in order: all that follow are later still
		}
		if q.Act == shed.FinishDay && !p.through() { // weights may still come
			continue
		}
		if q.Tub >= 0 {
			if _, away := h.awayAt(min, d.Plan.Kit.Tubs[q.Tub].Name); away {
				continue
			}
		}
		begins := time.Duration(0)
		if q.Tub != p.atTub {
			begins = seconds(h.ReachesTubS)
		}
		if q.Rank > coach.Now { // there in time, and waits for it
			begins = max(begins, due)
		}
		p.job, p.busy, p.satAt = job{tub: q.Tub, act: q.Act, until: now.Add(begins + seconds(h.busyS(q.Act)))}, true, time.Time{}
		return
	}
	p.atTub, p.satAt = -1, now // nothing to do: they sit down
}

// list is what there is to do, most pressing first: as the screen has it for a
// person who sits down between, else without a plan of the rest of the day.
func (p *Player) list(d session.Day, now time.Time) []coach.NextAct {
	d = d.Boiled() // an invented kettle boils in time
	if p.script.Hands.SitsMin > 0 {
		if t, err := planner.Schedule(d, now, planner.Quick); err == nil {
			return coach.Next(d, now, t)
		}
	}
	var out []coach.NextAct
	for _, q := range coach.Prompts(d, now) {
		out = append(out, coach.NextAct{Prompt: q})
	}
	return out
}

// rungSince says that something has sounded since they sat down.
func rungSince(d session.Day, at time.Time) bool {
	for _, a := range d.Alarms {
		if a.Stands() && a.RungAt.After(at) {
			return true
		}
	}
	return false
}

// asked is the reading that is called for.
func (p *Player) asked(d session.Day, now time.Time) (job, bool) {
	h := p.script.Hands
	until := now.Add(seconds(h.ReachesTubS))
	for _, a := range d.Alarms {
		if a.Stands() && a.Kind == session.ReadingWanted && h.Reads {
			if tempC, ok := p.script.Truth.reading(d, a.Tub, until); ok {
				return job{tub: a.Tub, until: until, aside: session.TakeReading{Tub: a.Tub, TempC: tempC, Sure: true}}, true
			}
		}
	}
	return job{}, false
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

func (h *Hands) busyS(a shed.Action) float64 {
	if s, ok := h.BusyS[a]; ok {
		return s
	}
	return usualBusyS[a]
}

// awayAt says that the person does not come to a tub then; no tub asks for
// being away altogether.
func (h *Hands) awayAt(min float64, tub string) (Away, bool) {
	if h == nil {
		return Away{}, false
	}
	for _, a := range h.Away {
		if min >= a.FromMin && min < a.ToMin && (a.Tub == "" || sameName(a.Tub, tub)) {
			return a, true
		}
	}
	return Away{}, false
}
