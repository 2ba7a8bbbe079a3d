package session

import (
	"slices"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// GoesOn says that a break or quiet hours, at now, do not stop the batch of a tub whose fleece cannot
// be left till they end: the person has done something there since they began. Fleece that hung
// already goes on too, except in a break that they told of, with no kettle on for it: they went all the same.
func (d *Day) GoesOn(tub int, s shed.Span, now time.Time) bool {
	t := d.Tubs[tub]
	by, since, back := t.LongestAt(), t.PhaseAt.After(s.From), s.To
	if t.Phase != shed.Soaking {
		if ready := d.boiledFor(tub, s.To); ready.After(back) { // boiled and poured after it, which takes its time
			hands := d.HandsMin()
			back = ready.Add(measure.Lasting(hands[shed.FillTub] + hands[shed.SinkIn]))
		}
		boils := d.Kettle.Batch == t.Batch && d.Kettle.Step == t.At
		by, since = t.WetBy(), since || !t.waitsForWash() && (boils || !slices.ContainsFunc(d.breaks, func(b toldBreak) bool { return b.From.Equal(s.From) }))
	}
	return since && s.Has(now) && !by.IsZero() && by.Before(back)
}

// boiledFor is when kettle water for the next bath of a tub is there at the soonest; zero where none is
// wanted, or nobody tells of the kettle.
func (d *Day) boiledFor(tub int, now time.Time) time.Time {
	t, free := d.Tubs[tub], now
	if k, on := d.KettleOn(); on {
		if free = k.ReadyBy(now); k.Batch == t.Batch && (k.Step == t.At+1 || k.IsFor(&t)) {
			return free
		}
	}
	if !d.TellsKettle() {
		return time.Time{}
	}
	w, ok := d.WantsKettle(tub, "", HeatModel{}, now)
	if !ok {
		return time.Time{}
	}
	return free.Add(measure.Lasting(w.BoilMin))
}
