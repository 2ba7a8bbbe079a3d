package session

import (
	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/shed"
)

// worthLearningSDLog: readings that leave the loss open by more than this, about
// a factor of two either way, are not counted as a bath that taught something.
const worthLearningSDLog = 0.6

// Lessons is what the finished baths of a day teach: those with readings that
// kept one cover from sink-in to lift. A cold presoak teaches nothing.
func (d Day) Lessons() []shed.BathLesson {
	var out []shed.BathLesson
	for _, b := range d.Baths {
		cover, ok := b.soakCover()
		if !ok || !b.Step.Kind.Facts().Teaches || b.Tub < 0 || b.Tub >= len(d.Plan.Kit.Tubs) {
			continue
		}
		tub := d.Plan.Kit.Tubs[b.Tub]
		used, _ := cooling.Prior(d.Plan.HeatOf(tub.ID, cover), shed.HandbookSDLog(cover))
		if l, ok := BathHeat(&d.Plan, &b).Fit.Lesson(used); ok && l.SDLog <= worthLearningSDLog {
			out = append(out, shed.BathLesson{Tub: tub.ID, Cover: cover, LogScale: l.LogScale, SDLog: l.SDLog})
		}
	}
	return out
}

// soakCover is the one cover a bath had while the fleece was in; ok is false
// if it changed, or the fleece never was in.
func (b Bath) soakCover() (c cooling.Cover, ok bool) {
	for _, h := range b.Changes {
		switch {
		case h.At.Before(b.SunkAt):
		case h.AddJPerK > 0:
			c, ok = h.Cover, true
		case ok && h.Cover != c:
			return c, false
		}
	}
	return c, ok && !b.LiftedAt.IsZero()
}
