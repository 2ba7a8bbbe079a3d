package session

import "time"

// FleeceIn names the tubs that have fleece in the water.
func (d *Day) FleeceIn() []string {
	return d.tubsWhere(func(t TubRun) bool { return t.fleeceIn() })
}

// LeftWet names the tubs whose fleece has been in the water and is not on the
// rack: at the end of a day it is in the water still, or lies there wet.
func (d Day) LeftWet() []string {
	return d.tubsWhere(func(t TubRun) bool {
		f := d.Fate[t.Batch]
		return t.Batch != "" && f.InWater()
	})
}

func (d *Day) tubsWhere(is func(TubRun) bool) []string {
	var out []string
	for i, t := range d.Tubs {
		if is(t) {
			out = append(out, d.Plan.Kit.Tubs[i].Name)
		}
	}
	return out
}

// NotRacked are the batches that the end of the day leaves wet, and those that go back to their
// fleece then: that never went in, and that were presoaked only.
func (d Day) NotRacked() (wet, neverIn, presoaked []string) {
	for _, b := range d.Plan.Batches {
		switch f := d.Fate[b.ID]; {
		case f.PresoakedOnly():
			presoaked = append(presoaked, b.ID)
		case f.InWater():
			wet = append(wet, b.ID)
		case f.RackedAt.IsZero() && f.SunkAt.IsZero():
			neverIn = append(neverIn, b.ID)
		}
	}
	return wet, neverIn, presoaked
}

// MayDrop says that the day runs and nothing has gone into the water: nothing is
// lost with it.
func (d *Day) MayDrop() bool { return d.Running() && len(d.Washed()) == 0 }

// wetFor is how long wet fleece of a day that ended can be gone on with. From then on
// it would have gone sour (common practice).
const wetFor = 3 * 24 * time.Hour

// MayGoOn says that the day ended with wet fleece not long ago: its end can be taken
// back.
func (d Day) MayGoOn(now time.Time) bool {
	ago := now.Sub(d.EndedAt)
	return ago >= 0 && ago <= wetFor && len(d.LeftWet()) > 0
}
