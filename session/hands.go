package session

import "slices"

// Hands is how long each act takes the person's hands, min.
type Hands map[Action]float64

// usualHands is what the acts take before any day has taught better: our own
// guesses, no source.
func usualHands() Hands {
	return Hands{LoadNext: 1.5, FillTub: 3, SinkIn: 1, Lift: 1.5, DrainTub: 3, SpinFibre: 4, RackFibre: 2.5}
}

// HandsTime is how long one act took on past days, the middle of so many times.
type HandsTime struct {
	Act   Action  `json:"act"`
	Min   float64 `json:"min"`
	Times int     `json:"times"`
}

// guessWeight: what is guessed counts as much as so many times seen.
const guessWeight = 2.0

// HandsMin is what each act takes, as past days have it.
func (p Plan) HandsMin() Hands {
	h := usualHands()
	for _, t := range p.Hands {
		if guess, known := h[t.Act]; known && t.Times > 0 && t.Min > 0 && finite(t.Min) {
			n := float64(t.Times)
			h[t.Act] = (guess*guessWeight + t.Min*n) / (guessWeight + n)
		}
	}
	return h
}

// handsMin is what each act takes, as past days and this one have it.
func (d Day) handsMin() Hands {
	p := d.Plan
	p.Hands = slices.Clone(p.Hands)
	for _, today := range d.HandsTimes() {
		i := slices.IndexFunc(p.Hands, func(h HandsTime) bool { return h.Act == today.Act })
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

// The minutes that a time seen may have to count: less is a key pressed twice,
// more is something else done in between.
const (
	leastHandsMin = 0.1
	mostHandsMin  = 20.0
)

// noteHands keeps what an act took: from when both the person was free (the
// last thing done) and the act could be done, to when it was done.
func noteHands(d *Day, r Recorded) {
	act, tub := actOf(r.Event)
	if act == Wait || tub < 0 || tub >= len(d.Tubs) {
		return
	}
	t := d.Tubs[tub]
	from := t.PhaseAt
	if act == Lift {
		from = t.SoakEndAt(r.At)
	}
	if d.freeAt.After(from) {
		from = d.freeAt
	}
	if m := minutesBetween(from, r.At); m >= leastHandsMin && m <= mostHandsMin && !t.Held() {
		d.worked = append(d.worked, worked{act, m})
	}
}

// worked is what one act took.
type worked struct {
	act Action
	min float64
}

// HandsTimes is what the acts of the day took the hands. The middle one
// counts, so that a call at the door does not.
func (d Day) HandsTimes() []HandsTime {
	var out []HandsTime
	for act := LoadNext; act < FinishDay; act++ {
		var m []float64
		for _, w := range d.worked {
			if w.act == act {
				m = append(m, w.min)
			}
		}
		if len(m) > 0 {
			out = append(out, HandsTime{act, middle(m), len(m)})
		}
	}
	return out
}

func middle(v []float64) float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	n := len(v)
	if n%2 == 1 {
		return v[n/2]
	}
	return (v[n/2-1] + v[n/2]) / 2
}

// actOf is the act that an event is the end of; Wait for none.
func actOf(e Event) (act Action, tub int) {
	switch e := e.(type) {
	case BatchLoaded:
		return LoadNext, e.Tub
	case BathFilled:
		return FillTub, e.Tub
	case FleeceSunk:
		return SinkIn, e.Tub
	case FleeceLifted:
		return Lift, e.Tub
	case TubDrained:
		return DrainTub, e.Tub
	case FibreSpun:
		return SpinFibre, e.Tub
	case FibreRacked:
		return RackFibre, e.Tub
	}
	return Wait, -1
}

// LearnHands is what the days up to now taught: each day counts as often as
// the act was seen in it.
func LearnHands(days []DaySummary) []HandsTime {
	sum, n := map[Action]float64{}, map[Action]int{}
	for _, d := range days {
		if d.EndedAt.IsZero() {
			continue
		}
		for _, h := range d.Hands {
			if h.Times > 0 && h.Min > 0 && finite(h.Min) {
				sum[h.Act] += h.Min * float64(h.Times)
				n[h.Act] += h.Times
			}
		}
	}
	var out []HandsTime
	for act := LoadNext; act < FinishDay; act++ {
		if n[act] > 0 {
			out = append(out, HandsTime{act, sum[act] / float64(n[act]), n[act]})
		}
	}
	return out
}
