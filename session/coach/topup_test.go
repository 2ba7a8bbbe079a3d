package coach_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// coolingBeside is South in its hot wash, which cools, while North waits for the kettle.
func coolingBeside(t *testing.T, u ...func(*shed.Plan)) *sessiontest.Run {
	t.Helper()
	two := func(p *shed.Plan) {
		*p = sessiontest.ThreeTubs()
		p.Kit.Tubs, p.Batches = p.Kit.Tubs[:2], p.Batches[:2]
		p.Fleeces[1].Wax = shed.Average
		oneBoil(p)
	}
	r := sessiontest.Start(t, sessiontest.OneTub(append([]func(*shed.Plan){two}, u...)...))
	for tub, phase := range []shed.Phase{shed.ToFill, shed.Soaking} {
		for r.Day.Tubs[tub].Step().Kind != shed.Wash || r.Day.Tubs[tub].Phase != phase {
			r.Next(tub)
		}
	}
	return r.Do(session.TakeReading{Tub: 1, TempC: 52, Sure: true})
}

// What helps a bath that cools sees the kettle that is on or has boiled, says whose water it takes and
// when there is as much for that bath if it goes on again; done, it is so.
func TestWhatHelpsSeesTheKettle(t *testing.T) {
	says := func(r *sessiontest.Run) (string, coach.Help) {
		h := must.Get(coach.HelpAt(r.Day, 1, r.Now)).In(t)
		if !h.HasRemedy {
			t.Fatalf("no remedy: %+v", h)
		}
		return helpText(h, r), h
	}
	r := coolingBeside(t)
	if all, _ := says(r); !strings.Contains(all, "boil ") || strings.Contains(all, "that's the kettle") {
		t.Errorf("nothing is on:\n%s", all)
	}
	r.Do(session.TellKettle{Tub: 0}).Wait(1)
	k, _ := r.Day.KettleOn()
	through := r.Day.Plan.Kit.Units.Clock(r.Day.Plan.OnTheWall(k.ThroughAt()))
	all, _ := says(r)
	if !strings.Contains(all, "when the kettle boils at "+through+", ") || strings.Contains(all, "boil 1") || !strings.Contains(all, "that's the kettle for North's") {
		t.Errorf("the kettle is on and boils at %s:\n%s", through, all)
	}
	r.Now = k.ThroughAt()
	r.Do(session.TellKettle{Tub: 0})
	all, h := says(r)
	if !strings.Contains(all, " from the kettle at the side") || strings.Contains(all, "when the kettle") || !strings.Contains(all, "that's the kettle for North's") {
		t.Errorf("the kettle has boiled:\n%s", all)
	}
	ready := all[strings.Index(all, "ready at ")+len("ready at "):][:len("15:04")]
	r.Do(session.TopUp{Tub: 1, VolumeL: h.Remedy.PourL, TempC: r.Day.Plan.Kit.KettleC(), BailL: h.Remedy.BailL, Sure: true})
	r.Do(session.TellKettle{Tub: 0})
	if k, on := r.Day.KettleOn(); !on || k.Tub != 0 || r.Day.Plan.Kit.Units.Clock(r.Day.Plan.OnTheWall(k.ReadyAt())) != ready {
		t.Errorf("said to be ready at %s, and it is %v, %+v", ready, on, k.ReadyAt())
	}

	r = coolingBeside(t).Do(session.TellKettle{Tub: 0}).Wait(12).Do(session.TellKettle{Tub: 0, Sure: true}).Wait(session.KettleFreshMin + 1)
	r.Do(session.TakeReading{Tub: 1, TempC: 52, Sure: true})
	if all, _ := says(r); !strings.Contains(all, "boil the kettle again, pour in ") || !strings.Contains(all, "that's the kettle for North's") {
		t.Errorf("it has stood:\n%s", all)
	}
}

// Water that has to boil first is not in the bath before it has: what it gains is reckoned from then.
func TestBoilingFirstIsReckoned(t *testing.T) {
	r := coolingBeside(t)
	gain := func() float64 {
		h := must.Get(coach.HelpAt(r.Day, 1, r.Now)).In(t)
		for _, o := range h.Options {
			if o.Choice == cooling.PourKettle {
				return o.GainMin
			}
		}
		t.Fatalf("no pour among %+v", h.Options)
		return 0
	}
	r.Do(session.TakeReading{Tub: 1, TempC: 49.6, Sure: true}) // at its release temperature long before anything boils
	if g := gain(); g != 0 {
		t.Errorf("a kettle that is not on yet gains %.1f min", g)
	}
}
