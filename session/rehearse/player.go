package rehearse

import (
	"fmt"
	"time"

	"fleece.example/tubside/session"
)

// usualBusyS is how long an action takes when the script does not say:
// estimates, to be overridden.
var usualBusyS = map[session.Action]float64{
	session.LoadNext: 60, session.FillTub: 180, session.SinkIn: 60, session.Lift: 45, session.DrainTub: 150,
	session.SpinFibre: 240, session.RackFibre: 120, session.FinishDay: 60,
}

// Player acts a script out: the entries at their minutes, and between them the
// invented person. It remembers only what it was shown, so the same days at
// the same times give the same commands.
type Player struct {
	script Script
	next   int // first entry not done yet
	job    job
	busy   bool
	atTub  int  // where the person stands, -1 for elsewhere
	stuck  bool // when last looked: nothing will ever be left to do by hand
}

// job is what the person is at; it is done at until.
type job struct {
	tub   int
	act   session.Action
	until time.Time
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
	if j.act == session.FinishDay {
		return session.DoNext{Tub: -1, Act: session.FinishDay}, d.AllRacked()
	}
	if d.NextAction(j.tub) != j.act { // an entry was quicker
		p.look(d, now)
		return nil, false
	}
	c := session.DoNext{Tub: j.tub, Act: j.act}
	if j.act == session.FillTub && p.script.Hands.ReadsFills {
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
		p.atTub, p.stuck = -1, false
		return
	}
	p.stuck = true
	for _, q := range d.Prompts(now) {
		if q.Held && q.Act != session.Lift { // only its lift goes through a hold
			continue
		}
		p.stuck = false
		due := q.DueAt.Sub(now)
		if q.Rank > session.Now && due > seconds(h.ReachesTubS) {
			break // in order: all that follow are later still
		}
		if q.Act == session.FinishDay && !p.through() { // weights may still come
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
		if q.Rank > session.Now { // there in time, and waits for it
			begins = max(begins, due)
		}
		p.job, p.busy = job{q.Tub, q.Act, now.Add(begins + seconds(h.busyS(q.Act)))}, true
		return
	}
	p.atTub = -1 // nothing to do: they sit down
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

func (h *Hands) busyS(a session.Action) float64 {
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
