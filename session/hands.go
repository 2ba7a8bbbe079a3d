package session

import (
	"slices"
	"sort"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// HandsMin is what each act takes, as past days and this one have it.
func (d *Day) HandsMin() shed.Hands {
	p := d.Plan
	p.Hands = slices.Clone(p.Hands)
	for _, today := range d.HandsTimes() {
		i := slices.IndexFunc(p.Hands, func(h shed.HandsTime) bool { return h.Act == today.Act })
		if i < 0 {
			p.Hands = append(p.Hands, today)
			continue
		}
		h := &p.Hands[i]
		h.Min = (h.Min*float64(h.Times) + today.Min*float64(today.Times)) / float64(h.Times+today.Times)
		h.Times += today.Times
	}
	return p.HandsMin()
}

// LeastHandsMin is the least that a time seen may have to count, min: fleece is out of the water in a
// moment, but no tub is filled or emptied in half a minute; then several deeds were told one
// after the other. Our own choices.
func LeastHandsMin(act shed.Action) float64 {
	if act == shed.Lift || act == shed.SinkIn {
		return 0.1
	}
	return 0.5
}

// MostHandsMin is the most that an act takes the hands, min: more is something else done in between. Our own choice.
const MostHandsMin = 20.0

// lateLiftMin: a lift so much past the usual minutes, which are as many at the least, is late, not slow:
// nobody came. Our own choice.
const lateLiftMin = 3.0

// noteHands keeps what an act took: from when both the person was free (the
// last thing done) and the act could be done, to when it was done. What it pours had boiled at
// boiledAt, zero for nothing: until then the hands were free.
func noteHands(d *Day, r Recorded, boiledAt time.Time) {
	act, tub := ActOf(r.Event)
	if act == shed.Wait || tub < 0 || tub >= len(d.Tubs) {
		return
	}
	t := d.Tubs[tub]
	from := t.PhaseAt
	if act == shed.Lift {
		from = t.SoakEndAt(r.At)
	}
	if d.freeAt.After(from) {
		from = d.freeAt
	}
	if s, ok := d.NextBreak(from); ok && s.From.Before(r.At) { // who was away was not slow
		return
	}
	if m := measure.MinutesBetween(from, r.At); m >= LeastHandsMin(act) && m <= MostHandsMin && !t.Held() && !boiledAt.After(from) && !(act == shed.Lift && m > 2*lateLiftMin && m > d.usual().Minutes()+lateLiftMin) {
		d.worked = append(d.worked, worked{act, m})
	}
}

// HandsTimes is what the acts of the day took the hands. The middle one
// counts, so that a call at the door does not.
func (d *Day) HandsTimes() []shed.HandsTime {
	var out []shed.HandsTime
	for act := shed.LoadNext; act < shed.FinishDay; act++ {
		var m []float64
		for _, w := range d.worked {
			if w.act == act {
				m = append(m, w.min)
			}
		}
		if len(m) > 0 {
			out = append(out, shed.HandsTime{Act: act, Min: middle(m), Times: len(m)})
		}
	}
	return out
}

func middle(v []float64) float64 {
	v = slices.Clone(v)
	sort.Slice(v, func(i, j int) bool { return v[i] < v[j] }) // that of slices takes 4 kB for a kind of figure
	n := len(v)
	if n%2 == 1 {
		return v[n/2]
	}
	return (v[n/2-1] + v[n/2]) / 2
}

// Told are the events that made the day what it is, in their order and by the clock as it is
// now: what was taken back is not among them, nor are alarms. Replay of them is the day
// without its alarms, and of the first some the day as it was then.
func (d Day) Told() []Recorded {
	var out []Recorded
	for n := d.deeds; n != nil; n = n.older {
		out = append(out, n.rec)
	}
	slices.Reverse(out)
	return out
}

// FreeAt is when the person last did something.
func (d *Day) FreeAt() time.Time { return d.freeAt }

// ActOf is the act that an event is the end of; Wait for none.
func ActOf(e Event) (act shed.Action, tub int) {
	switch e := e.(type) {
	case BatchLoaded:
		return shed.LoadNext, e.Tub
	case BathFilled:
		return shed.FillTub, e.Tub
	case FleeceSunk:
		return shed.SinkIn, e.Tub
	case FleeceLifted:
		return shed.Lift, e.Tub
	case TubDrained:
		return shed.DrainTub, e.Tub
	case FibreSpun:
		return shed.SpinFibre, e.Tub
	case FibreRacked:
		return shed.RackFibre, e.Tub
	}
	return shed.Wait, -1
}
