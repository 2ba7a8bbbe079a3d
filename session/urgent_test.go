package session_test

import (
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// What loses fibre first stands first, by the day alone: a wash near its release temperature or
// below it before all else; then what is past its limit, washes first and then fleece that
// hangs hot; then by the time that is left. Fleece that may hang has no limit.
func TestWhatLosesFibreFirstStandsFirst(t *testing.T) {
	pairs, washes := 0, 0
	try := func(t *rapid.T) {
		p := anyPlan(t)
		if rapid.IntRange(0, 2).Draw(t, "usual") > 0 {
			p = sessiontest.ThreeTubs(func(p *shed.Plan) {
				p.Kit.LeadMin = rapid.Float64Range(1, 15).Draw(t, "lead")
				for i := range p.Batches {
					p.Batches[i].Presoak = shed.PresoakChoice(rapid.IntRange(0, 3).Draw(t, "presoak"))
				}
			})
		}
		r := sessiontest.Start(t, p)
		for range rapid.IntRange(5, 60).Draw(t, "steps") {
			tub := rapid.IntRange(0, len(r.Day.Tubs)-1).Draw(t, "tub")
			c := session.Command(session.DoNext{Tub: tub, Act: r.Day.NextAction(tub), Sooner: true})
			switch rapid.IntRange(0, 12).Draw(t, "what") {
			case 0:
				c = session.Hold{Tub: tub}
			case 1:
				c = session.Resume{Tub: tub}
			case 2, 3, 4:
				r.Tick(time.Duration(rapid.IntRange(1, 25).Draw(t, "minutes")) * time.Minute)
				continue
			case 5:
				c = session.Acknowledge{Tub: -1}
			}
			if day, recs, err := session.Do(r.Day, c, r.Now); err == nil {
				r.Day, r.Recs = day, append(r.Recs, recs...)
			}
			r.Tick(time.Minute)
			slack := time.Duration(len(r.Day.Tubs)) * time.Duration(r.Day.Plan.HandsMin()[shed.Lift]*float64(time.Minute))
			acts := coach.Next(r.Day, r.Now, planner.Timetable{})
			for i, a := range acts {
				for _, b := range acts[i+1:] {
					fa, fb := fibreOf(r.Day, a, r.Now), fibreOf(r.Day, b, r.Now)
					if fa.near && !fb.near && fb.kind > 0 {
						washes++
					}
					if pairs++; fb.before(fa, r.Now, slack) {
						t.Fatalf("%s at %d (%+v) stands above %s at %d (%+v) at %v", a.Title, a.Tub, fa, b.Title, b.Tub, fb, r.Now)
					}
				}
			}
		}
	}
	rapid.Check(t, try)
	for n := 0; (testing.Short() || washes < 10) && n < 4; n++ { // it draws a fifth as often if short
		rapid.Check(t, try)
	}
	if pairs < 100 || washes < 10 {
		t.Errorf("%d pairs, %d of them with a wash that is near", pairs, washes)
	}
}

// Washes in a room too warm for them ever to cool to their release temperature have no limit,
// however many there are: fleece that hangs hot past its own goes first.
func TestWashesThatNeverCoolHaveNoLimit(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Kit.RoomC = 45
		p.Batches = append(p.Batches, shed.Batch{FleeceID: "f1", RawG: 150})
		for i := range p.Method.Steps {
			if s := &p.Method.Steps[i]; s.Kind == shed.Wash {
				s.ReleaseC, s.LongestMin = 40, 0
			}
		}
		for i := range p.Batches {
			p.Batches[i].Presoak = shed.PresoakNone
		}
	}))
	for tub := range 3 {
		r.Until(tub, shed.Soaking)
	}
	r.Next(0)
	r.Tick(time.Hour)
	acts, washes := coach.Next(r.Day, r.Now, planner.Timetable{}), 0
	for _, a := range acts {
		if a.Act == shed.Lift {
			if washes++; !a.MustBy.IsZero() {
				t.Errorf("%s at %d has to be done by %v", a.Title, a.Tub, a.MustBy)
			}
		}
	}
	if acts[0].Tub != 0 || acts[0].Limit != coach.HangsWet || washes != 2 {
		t.Errorf("first %q at %d, limit %s, of %d washes", acts[0].Title, acts[0].Tub, acts[0].Limit, washes)
	}
}

// fibre is when fleece begins to suffer unless an act is done, by the day alone.
type fibre struct {
	near   bool // a wash near its release temperature, or below
	kind   int  // 2 a wash, 1 hanging hot, 0 other
	by     time.Time
	exempt bool // to be done later, set aside, or a filled bath's two minutes
}

func fibreOf(d session.Day, a coach.NextAct, now time.Time) (f fibre) {
	f.exempt = a.Tub < 0 || a.Boil || a.Stopped() || a.Rank > coach.Now || a.Act == shed.SinkIn
	if a.Tub < 0 {
		return f
	}
	t := d.Tubs[a.Tub]
	earlier := func(at time.Time) {
		if !at.IsZero() && (f.by.IsZero() || at.Before(f.by)) {
			f.by = at
		}
	}
	if t.Phase == shed.Soaking {
		if earlier(t.LongestAt()); t.Bath.Step.HasRelease() {
			f.kind = 2
			cross := sessiontest.Release(d, a.Tub)
			earlier(cross.Early)
			lift, _ := d.LiftBy(a.Tub, cross, now)
			f.near = !lift.IsZero() && !lift.After(now)
		}
	}
	if !t.WetSince.IsZero() && t.NextStep().Kind.IsBath() && t.WetFrom.Kind != shed.Presoak && t.WetFrom.Water != shed.FromCold {
		f.kind = 1
		earlier(t.WetBy())
	}
	return f
}

// before says that a loses fibre sooner than b: lifts of washes are told apart by the minutes
// that hands take for all of them, slack.
func (a fibre) before(b fibre, now time.Time, slack time.Duration) bool {
	if a.kind < 2 && b.kind < 2 {
		slack = 0
	}
	past := func(f fibre) bool { return !f.by.IsZero() && !f.by.After(now) }
	switch {
	case a.near != b.near:
		return a.near
	case !a.near && (a.exempt || b.exempt || a.by.IsZero()):
		return false
	case past(a) && past(b) && a.kind != b.kind:
		return a.kind > b.kind
	}
	return a.by.Before(now.Add(45*time.Minute-slack)) && (b.by.IsZero() || a.by.Add(slack).Before(b.by))
}
