package planner_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"pgregory.net/rapid"
)

// rinseDay is a drawn day with a rinse tub.
func rinseDay(t *rapid.T) shed.Plan {
	p := sessiontest.ThreeTubs()
	tub := p.Kit.Tubs[0]
	p.Kit.Tubs = nil
	for i := range rapid.IntRange(2, 4).Draw(t, "tubs") {
		tub.ID, tub.Name = string(rune('a'+i)), string(rune('A'+i))
		p.Kit.Tubs = append(p.Kit.Tubs, tub)
	}
	p.Kit.HotTapC = rapid.Float64Range(42, 60).Draw(t, "hot tap")
	if p.Kit.Kettle.CapacityL = 2; rapid.IntRange(0, 3).Draw(t, "tank") == 0 {
		p.Kit.Tank = shed.Tank{VolumeL: 80, HeaterW: 2000}
	}
	batches := p.Batches[:2]
	p.Batches = nil
	for range rapid.IntRange(1, 4).Draw(t, "batches") {
		b := batches[rapid.IntRange(0, 1).Draw(t, "fleece")]
		b.RawG = 100
		b.Presoak = rapid.SampledFrom([]shed.PresoakChoice{shed.PresoakAsMethod, shed.PresoakNone}).Draw(t, "presoak")
		p.Batches = append(p.Batches, b)
	}
	p.RinseTub = rapid.SampledFrom(p.Kit.Tubs).Draw(t, "rinse tub").ID
	return p.Clean()
}

// A day with a rinse tub keeps what any day keeps: one pair of hands, one batch a tub, and what
// is hard; no bath stands ready for longer than it may without being said to be late; every
// rinse is in the rinse tub, no wash is, and nothing hot hangs past its limit unsaid.
func TestRinseTubKeepsItsLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rinseDay(t)
		o, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
		if err != nil {
			return // too cool to wash, whatever tub is kept
		}
		rinse := p.RinseTubAt()
		type stay struct {
			batch    string
			from, to time.Time
		}
		stays := map[int][]stay{}
		var free, lifted, filled time.Time
		last := map[string]planner.Piece{}
		for _, x := range o.Timetable.Pieces {
			if x.Boil() {
				continue
			}
			if x.Start.Before(free) {
				t.Fatalf("two things at once at %v: %+v", x.Start, x)
			}
			free = x.End
			s := stays[x.Tub]
			if n := len(s); n > 0 && s[n-1].batch == x.Batch {
				s[n-1].to = x.End
			} else {
				if n > 0 && x.Start.Before(s[n-1].to) {
					t.Fatalf("two batches in tub %d: %+v", x.Tub, x)
				}
				stays[x.Tub] = append(s, stay{x.Batch, x.Start, x.End})
			}
			if x.LateWash {
				t.Fatalf("a wash is spoiled: %+v", x)
			}
			key := x.Batch
			switch was := last[key]; {
			case x.Tub == rinse && slices.Equal(x.Acts, []shed.Action{shed.FillTub}):
				filled = x.End
				continue
			case x.Tub == rinse && slices.Equal(x.Acts, []shed.Action{shed.SinkIn}):
				lifted = was.Start
				if hung := x.End.Sub(lifted).Minutes(); hung > 10.01 && x.Late == 0 {
					t.Fatalf("%s hangs %g min", x.Batch, hung)
				}
				if stood := x.Start.Sub(filled).Minutes(); stood > 2*session.ReadyLeadMin {
					t.Fatalf("%s's bath stands %g min", x.Batch, stood)
				}
			}
			last[key] = x
		}
		for tub, s := range stays {
			seen := map[string]bool{}
			for _, x := range s {
				if seen[x.batch] {
					t.Fatalf("%s is twice in tub %d: %v", x.batch, tub, s)
				}
				seen[x.batch] = true
			}
		}
		for _, s := range o.Timetable.Soaks {
			if isRinse := s.Step.Kind.Facts().NoHotter; isRinse != (s.Tub == rinse) {
				t.Fatalf("%s's %s is in tub %d, rinses are in %d", s.Batch, s.Step.Name, s.Tub, rinse)
			}
		}
		for _, b := range o.Timetable.Baths {
			if b.Tub == rinse && session.TooFar(b.Step, b.Fill.GapC) && p.Kit.HotTapC > 50 {
				t.Fatalf("%s's %s is %.1f °C from the bath before", b.Batch, b.Step.Name, b.Fill.GapC)
			}
		}
	})
}

// What a rinse tub is said to gain is what the day gains by it.
func TestRinseTubGain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rinseDay(t)
		o, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
		if err != nil {
			return
		}
		p.RinseTub = ""
		without, err := planner.PlanAhead(p, sessiontest.Dawn, planner.AsGiven, planner.Quick)
		if err != nil {
			return
		}
		r := planner.Beside(&without, &o)
		sessiontest.Near(t, "sooner, min", r.SoonerMin, without.Timetable.Finish.Sub(o.Timetable.Finish).Minutes(), 1)
		if said := r.Say(); strings.Contains(said, "sooner") && !strings.Contains(said, "no sooner") != (r.SoonerMin >= 1) {
			t.Fatalf("%s: %g min", said, r.SoonerMin)
		}
	})
}
