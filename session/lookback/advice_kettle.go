package lookback

import (
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// kettleWait is how long a fill waited for its kettle alone, the person at no other tub, min.
type kettleWait struct {
	min     float64
	idleMin float64 // for so long before its first boil the kettle stood with nothing in it
}

// kettleWaits are the fills that had water boiled for them, each with its wait.
func (l *looked) kettleWaits() (out []kettleWait) {
	w := l.walked()
	for i, f := range w.deeds {
		own := w.waits[i].kettle
		if f.Act != shed.FillTub || len(own) == 0 {
			continue
		}
		x := kettleWait{idleMin: measure.MinutesBetween(l.StartedAt, own[0].From)}
		left := []Stretch{{f.Ready, f.At.From}}
		for _, other := range w.deeds {
			if other.Tub != f.Tub {
				_, left = split(left, other.At)
			}
		}
		for _, off := range [][]Stretch{w.waits[i].away, w.putOff[f.Tub]} {
			for _, at := range off {
				_, left = split(left, at)
			}
		}
		for _, at := range own {
			boiling, _ := split(left, at)
			for _, s := range boiling {
				x.min += s.Min()
			}
		}
		for _, b := range w.boils {
			if b.From.Before(own[0].From) {
				x.idleMin = min(x.idleMin, max(0, measure.MinutesBetween(b.To, own[0].From)))
			}
		}
		out = append(out, x)
	}
	return out
}

// secondKettle: fills that waited because their kettle had to boil twice, or for another bath
// first. Where it had stood idle nobody knows whether its person was called to it.
func secondKettle(days []*looked) []Advice {
	a, today := Advice{Change: SecondKettle}, 0
	ok := a.over(days, func(d *looked) {
		for _, x := range d.kettleWaits() {
			if a.Of++; x.min >= longWaitMin && x.idleMin < x.min {
				a.Times++
				a.far(x.min)
			}
		}
		if d == days[0] {
			today = a.Times
		}
	})
	if !ok || today < fewestWashes || 3*a.Times < a.Of {
		return nil
	}
	return []Advice{a}
}
