package session

import "fleece.example/tubside/session/shed"

// fill puts water into the tub.
func (t *TubRun) fill(d *Day, e BathFilled, r Recorded) {
	t.Bath.VolumeL, t.Bath.FillC, t.Bath.FillRead = e.VolumeL, e.TempC, e.Read
	t.Bath.DoseML, t.Bath.HotL, t.Bath.FilledAt = e.DoseML, e.HotL, r.At
	t.Bath.Rooms = []RoomAt{{r.At, d.Plan.Kit.RoomC}}
	t.Used, t.PhaseAt = shed.Step{}, r.At
}

// leaveBath keeps a bath that a skip or a repeat cuts short, if it had water.
func (t *TubRun) leaveBath(d *Day, r Recorded) {
	if t.Bath.FilledAt.IsZero() {
		return
	}
	b := t.Bath
	if _, again := r.Event.(StepRepeated); !again || t.Phase == shed.Draining { // a filled bath once more: the question said that it empties
		t.Used = b.Step
	}
	b.DrainedAt, b.Skipped = r.At, b.LiftedAt.IsZero()
	d.Baths = append(d.Baths, b)
}

// fillAhead is a bath made ready in an idle tub.
func (t *TubRun) fillAhead(d *Day, e BathFilled, r Recorded) {
	for _, from := range d.Tubs {
		if from.Batch == e.Batch && e.Step >= 0 && e.Step < len(from.Steps) {
			s := from.Steps[e.Step]
			t.Bath = Bath{Tub: e.Tub, Batch: e.Batch, StepIndex: e.Step, Step: s, PlanMin: s.SoakMin, SoakMin: s.SoakMin}
			t.fill(d, e, r)
			t.Cover = d.Plan.Kit.Tubs[e.Tub].Cover
			t.Bath.Changes = []HeatChange{{At: r.At, Cover: t.Cover}}
			return
		}
	}
}

// emptyIdle empties a tub that has no batch: of what its last one left, or of a bath made ready.
func (t *TubRun) emptyIdle(d *Day, r Recorded) {
	if t.Ready() {
		t.leaveBath(d, r)
	}
	*t = TubRun{PhaseAt: r.At, HeldAt: t.HeldAt}
}

// idleTakes says that an event may happen at a tub that has no batch.
func (t TubRun) idleTakes(e Event) bool {
	switch e := e.(type) {
	case BatchLoaded, TubHeld, TubResumed, TubDrained:
		return true
	case BathFilled:
		return e.Batch != "" && t.Phase == shed.Idle && !t.Ready()
	case ReadingTaken, CoverChanged, ToppedUp:
		return t.Ready()
	}
	return false
}
