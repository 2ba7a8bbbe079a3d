package session

import (
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// DoTogether does an act at a tub and those that follow it in one movement, the
// last of them at now. The minutes since the hands came free are shared out as the
// acts usually take them, so that a fill is not taken for as late as its sink-in.
// Each is an event of its own: an undo takes the last one back.
//
// On a refusal of the first nothing has changed; on one of a later act those
// before it are done, and err says what was refused.
func DoTogether(d Day, c DoNext, then []shed.Action, now time.Time) (Day, []Recorded, error) {
	acts := append([]shed.Action{c.Act}, then...)
	agoMin := d.shareOut(c.Tub, acts, now)
	var recs []Recorded
	for i, act := range acts {
		do := c
		do.Act, do.AgoMin = act, agoMin[i]
		if i > 0 {
			do.Batch = ""
		}
		day, more, err := Do(d, do, now)
		if err != nil {
			return d, recs, err
		}
		d, recs = day, append(recs, more...)
	}
	return d, recs, nil
}

// shareOut is how long ago each of some acts at a tub was over, min; the last one
// is over now.
func (d Day) shareOut(tub int, acts []shed.Action, now time.Time) []float64 {
	agoMin := make([]float64, len(acts))
	if tub < 0 || tub >= len(d.Tubs) {
		return agoMin
	}
	from, hands, all := d.Tubs[tub].PhaseAt, d.Plan.HandsMin(), 0.0
	if d.freeAt.After(from) {
		from = d.freeAt
	}
	for _, a := range acts {
		all += hands[a]
	}
	part := min(1, max(0, measure.MinutesBetween(from, now))/all)
	for i := len(acts) - 2; i >= 0; i-- {
		agoMin[i] = agoMin[i+1] + part*hands[acts[i+1]]
	}
	return agoMin
}
