package coach_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// dueDay is a day of so many tubs, each with two batches, that want the kettle.
func dueDay(tubs int, tankL, kettleL float64) shed.Plan {
	p := sessiontest.ThreeTubs()
	p.Kit.Tubs, p.Kit.Kettle.CapacityL = p.Kit.Tubs[:tubs], kettleL
	if tankL > 0 {
		p.Kit.Tank = shed.Tank{VolumeL: tankL, HeaterW: 2000}
	}
	p.Batches = p.Batches[:tubs]
	for i := range tubs {
		p.Batches = append(p.Batches, p.Batches[i])
	}
	return p
}

// livesLate lives a day in which the hands follow the list, but put the kettle on only lateMin
// after it is due; look sees each list.
func livesLate(t *testing.T, p shed.Plan, lateMin float64, look func(r *sessiontest.Run, acts []coach.NextAct)) {
	t.Helper()
	r := sessiontest.Start(t, p)
	plan, err := planner.Schedule(r.Day, r.Now, planner.Thorough)
	if err != nil {
		t.Fatal(err)
	}
	var dueAt, freeAt time.Time
	for range 14 * 60 {
		if plan, err = planner.Replan(r.Day, r.Now, planner.Quick, plan); err != nil {
			t.Fatal(err)
		}
		r.Day = planner.Planned(r.Day, plan)
		acts := coach.Next(r.Day, r.Now, plan)
		look(r, acts)
		if acts[0].Act == shed.FinishDay {
			return
		}
		_, on := r.Day.KettleOn()
		for _, a := range acts {
			switch {
			case a.Boil && !a.BoilOn && a.Rank == coach.Now && !on:
				if dueAt.IsZero() {
					dueAt = r.Now
				}
				if r.Now.Sub(dueAt).Minutes() >= lateMin {
					r.Do(session.TellKettle{Tub: a.Tub, Batch: a.Batch, Sure: true})
					dueAt = time.Time{}
				}
			case a.Refill, a.BoilOn && !r.Now.Before(a.DueAt):
				r.Do(session.TellKettle{Tub: a.Tub, Sure: true})
			case a.Boil || a.Rank > coach.Now || a.Doubt != "" || r.Now.Before(freeAt):
				continue
			default:
				day, recs := must.Get2(session.DoTogether(r.Day, session.DoNext{Tub: a.Tub, Act: a.Act, Batch: a.Batch, Sooner: true}, a.Then, r.Now)).In(t)
				r.Day, r.Recs = day, append(r.Recs, recs...)
				freeAt = r.Now.Add(2 * time.Minute)
			}
			break
		}
		for range 6 {
			r.Tick(10 * time.Second)
		}
	}
	t.Fatalf("the day does not end: %+v", coach.Next(r.Day, r.Now, plan)[0])
}

// A boil that is due stays due, and the first, until the kettle is on, or hot fleece has come to hang for another; what its tub says
// agrees with the list, and a fill that waits for a kettle nobody has put on counts no minutes.
func TestDueKettleStaysDue(t *testing.T) {
	t.Parallel()
	boils := 0
	for _, tubs := range []int{3, 2, 1}[:long.Of(1, 3)] {
		for _, tankL := range []float64{0, 60}[:long.Of(1, 2)] {
			for _, lateMin := range []float64{16, 7, 0}[:long.Of(1, 3)] {
				name := fmt.Sprintf("%d tubs, tank %g L, %g min late", tubs, tankL, lateMin)
				var due coach.NextAct
				said := 0
				livesLate(t, dueDay(tubs, tankL, 1.9), lateMin, func(r *sessiontest.Run, acts []coach.NextAct) {
					at := name + r.Now.Format(", 15:04:05")
					_, on := r.Day.KettleOn()
					var first coach.NextAct
					for _, a := range acts {
						if a.Boil && !a.BoilOn && !first.Boil {
							first = a
						}
						if a.Kettle == coach.KettleFirst && a.Count.Of == coach.ToDue {
							t.Errorf("%s: %s in %v", at, a.Title, a.Count.At.Sub(r.Now))
						}
						if text := sessiontest.PromptText(a.Prompt); !a.Boil && strings.Contains(text, "put the kettle on") {
							if !first.Boil && a.Tub >= 0 { // further down the list
								for _, b := range acts {
									if b.Boil && !b.BoilOn {
										first = b
										break
									}
								}
							}
							if said++; !first.Boil || first.Tub != a.Tub || first.Rank != coach.Now {
								t.Errorf("%s: tub %d says %q, the list has %q at tub %d, rank %d", at, a.Tub, text, first.Title, first.Tub, first.Rank)
							}
						}
					}
					wants := false
					if due.Boil {
						if w, ok := r.Day.WantsKettle(due.Tub, due.Batch, session.HeatModel{}, r.Now); ok {
							wants = w.Batch == due.Batch
						}
					}
					if due.Boil && !on && wants && (first.MustBy.IsZero() || !due.MustBy.IsZero()) && (first.Batch != due.Batch && first.Tub != due.Tub || first.Rank != coach.Now) {
						t.Errorf("%s: %q at tub %d was due, now the list has %q at tub %d in %v", at, due.Title, due.Tub, first.Title, first.Tub, first.DueAt.Sub(r.Now))
					}
					if due = (coach.NextAct{}); first.Boil && first.Rank == coach.Now && !on {
						due = first
						boils++
					}
				})
				t.Logf("%s: %d times told at a tub", name, said)
			}
		}
	}
	if boils == 0 {
		t.Error("no kettle was due")
	}
}
