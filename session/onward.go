package session

import (
	"time"

	"fleece.example/tubside/session/shed"
)

// A rinse tub is kept for the rinses of batches that are washed in the other tubs. Its bath may
// be made ready, and covered, before the basket comes: the tub is idle then and holds a bath.

// Ready says that the tub holds a bath made ready for a batch that is not in it yet.
func (t TubRun) Ready() bool { return t.Phase == shed.Idle && !t.Bath.FilledAt.IsZero() }

// RinseTub is the tub (index) that is kept for rinses; -1 for none, and while it is set aside.
func (d Day) RinseTub() int {
	tub := d.Plan.RinseTubAt()
	if tub < 0 || tub >= len(d.Tubs) || d.Tubs[tub].Aside() {
		return -1
	}
	return tub
}

// Onward is the tub in which a tub's batch goes on, with which of its steps; ok is false where
// it stays in its own.
func (d Day) Onward(tub int) (to, step int, ok bool) {
	t := d.Tubs[tub]
	b, known := d.Batch(t.Batch)
	if to = d.RinseTub(); to < 0 || to == tub || !known {
		return to, 0, false
	}
	step = shed.RinsesFrom(t.Steps)
	return to, step, (t.At < step || t.At == step && t.Phase == shed.ToFill) && d.Plan.FitsIn(b, to)
}

// waits says that a batch has had its last bath in its tub and goes on in another, which is free.
func (d Day) waits(tub int) (to int, ok bool) {
	t := d.Tubs[tub]
	to, step, ok := d.Onward(tub)
	return to, ok && d.Tubs[to].Phase == shed.Idle && (t.At == step || t.At == step-1 && t.Phase == shed.Draining)
}

// comes is the tub whose batch is next to go on in a rinse tub that is free: one that hangs
// before one that soaks, and that by the end of its soak.
func (d Day) comes(rinse int) (from int, ok bool) {
	if rinse != d.RinseTub() || d.Tubs[rinse].Phase != shed.Idle {
		return 0, false
	}
	best := time.Time{}
	for i, t := range d.Tubs {
		_, step, on := d.Onward(i)
		if !on || t.At < step-1 || t.At == step-1 && t.Phase < shed.Soaking {
			continue
		}
		at := t.WetSince
		if t.Phase == shed.Soaking {
			at = t.SoakEndAt(d.LastAt)
		}
		if !ok || at.Before(best) {
			from, ok, best = i, true, at
		}
	}
	return from, ok
}
