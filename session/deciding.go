package session

import (
	"fleece.example/tubside/session/shed"
)

// NextAction is the obvious action at a tub.
func (d Day) NextAction(tub int) shed.Action {
	if tub < 0 || tub >= len(d.Tubs) {
		return shed.Wait
	}
	if phase := d.Tubs[tub].Phase; phase != shed.Idle || len(d.Waiting()) == 0 {
		return phase.Act()
	}
	return shed.LoadNext
}

// NextFor is the batch that a tub is given next: the first that goes into it, or
// if none does, the first that waits.
func (d *Day) NextFor(tub int) *shed.Batch {
	waiting := d.Waiting()
	for i := range waiting {
		if d.Plan.FitsIn(&waiting[i], tub) {
			return &waiting[i]
		}
	}
	return &waiting[0]
}

func loadFor(p shed.Plan, tub int, b *shed.Batch) BatchLoaded {
	return BatchLoaded{Tub: tub, Batch: b.ID, Steps: p.StepsOf(b)}
}

// refusal is a sentence for the person around a cause for the program.
type refusal struct {
	text  string
	cause error
}

func (r refusal) Error() string { return r.text }

func (r refusal) Unwrap() error { return r.cause }
