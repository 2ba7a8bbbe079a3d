package coach_test

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Hands that follow the list keep to a rinse tub: each of two batches goes over into a bath that
// stands ready, hangs no longer than it may, and rings nothing.
func TestListFollowsTheRinseTub(t *testing.T) {
	p := sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit = p.Kit.Clean()
		p.Kit.Tubs[2] = p.Kit.Tubs[1]
		p.Kit.Tubs[2].ID, p.Kit.Tubs[2].Name = "east", "East"
		p.Batches, p.RinseTub = p.Batches[:2], "east"
	})
	said := map[string]bool{}
	var day session.Day
	livesLate(t, p, 0, func(r *sessiontest.Run, acts []coach.NextAct) {
		day = r.Day
		for _, a := range acts {
			if a.Rank <= coach.Now {
				said[a.Title] = true
			}
			if a.Tub == 2 && a.Act == shed.LoadNext {
				t.Errorf("%s: %s", r.Now.Format("15:04"), a.Title)
			}
		}
		for _, a := range r.Day.Alarms {
			if a.Kind == session.WetWaiting || a.Kind == session.FarFromLast || a.Kind.Facts().Priority == session.HighPriority {
				t.Errorf("%s: %s", r.Now.Format("15:04"), a.Kind)
			}
		}
	})
	for _, want := range []string{"fill for A1's first rinse", "lift, over into East", "lower A1 into East", "fill for B1's first rinse", "lower B1 into East", "empty the tub"} {
		if !said[want] {
			t.Errorf("the list never said %q: %v", want, said)
		}
	}
	rinses := 0
	for _, b := range day.Baths {
		if (b.Tub == 2) != b.Step.Kind.Facts().NoHotter {
			t.Errorf("%s's %s was in tub %d", b.Batch, b.Step.Name, b.Tub)
		}
		if b.Step.Name != "first rinse" {
			continue
		}
		rinses++
		for _, w := range day.Baths {
			if w.Batch == b.Batch && w.StepIndex == b.StepIndex-1 {
				if hung := b.SunkAt.Sub(w.LiftedAt).Minutes(); hung < 0 || hung > 10 {
					t.Errorf("%s hung %g min", b.Batch, hung)
				}
				if gapC := w.LiftC - b.SinkC; session.TooFar(b.Step, gapC) {
					t.Errorf("%s went %.1f °C down", b.Batch, gapC)
				}
				if !b.FilledAt.Before(w.LiftedAt) {
					t.Errorf("%s's rinse was filled at %v, lifted at %v", b.Batch, b.FilledAt, w.LiftedAt)
				}
			}
		}
	}
	if rinses != 2 {
		t.Errorf("%d first rinses", rinses)
	}
}
