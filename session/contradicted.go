package session

import (
	"slices"
	"time"

	"fleece.example/tubside/cooling"
)

// risesC: a bath that was read so much warmer than before, with nothing warmer put in between, was
// misread: four times the error of the difference, and a bath does not warm by itself. Our own choice.
const risesC = 3.0

// doubt says anew which readings the next ones contradict. Of two it is the one that does not go
// with the bath and the others, but never the last: the next will show.
func (b *Bath) doubt(d *Day) {
	b.Readings = slices.Clone(b.Readings)
	for i := range b.Readings {
		b.Readings[i].Doubtful = false
	}
	for {
		var kept []int
		rise := 0
		for i, r := range b.Readings {
			if r.Doubtful {
				continue
			}
			if n := len(kept); n > 0 && rise == 0 && r.TempC >= b.Readings[kept[n-1]].TempC+risesC && !b.warmed(b.Readings[kept[n-1]], r.At) {
				rise = n
			}
			kept = append(kept, i)
		}
		if rise == 0 {
			return
		}
		wrong := kept[rise-1]
		if rise < len(kept)-1 {
			model, readings, _ := BathModel(&d.Plan, b)
			if slices.ContainsFunc(model.Suspect(readings, readingSdC), func(s cooling.Suspect) bool { return s.Index == rise }) {
				wrong = kept[rise]
			}
		}
		b.Readings[wrong].Doubtful = true
	}
}

// warmed says that something warmer went in after a reading, up to a moment; at its very moment is before it.
func (b *Bath) warmed(since Reading, to time.Time) bool {
	return slices.ContainsFunc(b.Changes, func(c HeatChange) bool {
		return (c.AddL > 0 || c.AddJPerK > 0) && c.AddC > since.TempC && c.At.After(since.At) && !c.At.After(to)
	})
}

// read notes a reading. What only those raised that it contradicts is not told of.
func (d *Day) read(tub int, r Reading) {
	b := &d.Tubs[tub].Bath
	was := b.Readings
	b.Readings = append(slices.Clip(was), r)
	b.doubt(d)
	for i, old := range was {
		if b.Readings[i].Doubtful && !old.Doubtful && r.TempC > b.Step.ReleaseC {
			d.doubtAlarms(r.At, func(a Alarm) bool { return a.Tub == tub && !a.RaisedAt.Before(old.At) })
		}
	}
}
