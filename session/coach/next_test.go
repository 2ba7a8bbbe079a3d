package coach_test

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// moment is a half minute of a day that was lived through. deed is the tub of one that
// was done just now, -1 for none.
type moment struct {
	day  session.Day
	now  time.Time
	acts []coach.NextAct
	deed int
}

// slowDays are the days lived through so far, by how slow the person was: a day is lived
// once, however many tests look at it.
var (
	slowDays   = map[int][]moment{}
	slowDaysMu sync.Mutex
)

// slowDay looks at a day of five batches whose person lets so many half minutes pass
// before each deed, and at the list, each half minute. Where each deed takes long they
// are two, unless the tests run at length.
func slowDay(t *testing.T, slow int, look func(d session.Day, now time.Time, acts []coach.NextAct, deed int)) {
	t.Helper()
	lived := func() []moment {
		slowDaysMu.Lock()
		defer slowDaysMu.Unlock()
		if slowDays[slow] == nil {
			slowDays[slow] = liveSlowly(t, slow)
		}
		return slowDays[slow]
	}
	for _, m := range lived() {
		look(m.day, m.now, m.acts, m.deed)
	}
}

func liveSlowly(t *testing.T, slow int) (lived []moment) {
	t.Helper()
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: "f2", RawG: 150}, shed.Batch{FleeceID: "f1", RawG: 200})
		if slow > 12 && !long.Run() { // a day as long as that of the others
			p.Batches = p.Batches[:2]
		}
	}))
	r.Day = r.Day.Boiled()
	var tt planner.Timetable
	for waited := 0; !r.Day.AllRacked(); waited++ {
		if r.Now.Sub(sessiontest.Dawn) > 100*time.Hour {
			t.Fatal("the day does not end")
		}
		r.Tick(30 * time.Second)
		deed := -1
		for _, a := range coach.Next(r.Day, r.Now, tt) {
			if waited < slow || a.Boil || a.Rank > coach.Now || a.Act == shed.FinishDay {
				continue
			}
			r.Do(session.DoNext{Tub: a.Tub, Act: a.Act, Sooner: true})
			deed, waited = a.Tub, 0
			break
		}
		var err error
		if tt, err = planner.Replan(r.Day, r.Now, planner.Quick, tt); err != nil {
			t.Fatal(err)
		}
		lived = append(lived, moment{r.Day, r.Now, coach.Next(r.Day, r.Now, tt), deed})
	}
	return lived
}

// A limit that is shown is one moment: it stays while nothing is done at its tub,
// however often the rest of the day is planned anew.
func TestLimitsStay(t *testing.T) {
	t.Parallel()
	type key struct {
		tub         int
		act         shed.Action
		boil        bool
		batch, what string
	}
	for _, slow := range []int{2, 12} {
		was, kept := map[key]time.Time{}, 0
		slowDay(t, slow, func(d session.Day, now time.Time, acts []coach.NextAct, deed int) {
			is := map[key]time.Time{}
			for _, a := range acts {
				if a.Tub < 0 {
					continue
				}
				k := key{a.Tub, a.Act, a.Boil, d.Tubs[a.Tub].Batch, fmt.Sprint(d.Tubs[a.Tub].At, a.BoilFor)}
				is[k] = a.MustBy
				if before, ok := was[k]; ok && a.Tub != deed {
					kept++
					hands := 10 * time.Minute // where lifts of two washes queue, less by as much as one takes
					if off := a.MustBy.Sub(before); off.Abs() > time.Second && (a.Act != shed.Lift || deed < 0 || off.Abs() > hands) {
						t.Errorf("%d slow, %s: %s at %d: the limit moves by %v", slow, now.Format("15:04:05"), a.Title, a.Tub, off)
					}
				}
			}
			was = is
		})
		if kept < 300 {
			t.Errorf("only %d limits were looked at", kept)
		}
	}
}

// What is to spare runs out to the limit that comes first, and says which.
func TestSpareSaysItsLimit(t *testing.T) {
	t.Parallel()
	seen := map[coach.Limit]int{}
	for _, slow := range long.Of([]int{12}, []int{2, 12}) {
		slowDay(t, slow, func(d session.Day, now time.Time, acts []coach.NextAct, _ int) {
			for _, a := range acts {
				if (a.Limit == coach.NoLimit) != a.MustBy.IsZero() {
					t.Errorf("%s at %d: limit %q at %v", a.Title, a.Tub, a.Limit, a.MustBy)
				}
				if a.Tub < 0 || a.Boil || a.MustBy.IsZero() {
					continue
				}
				seen[a.Limit]++
				tub := d.Tubs[a.Tub]
				first := map[coach.Limit]time.Time{}
				if tub.Phase == shed.Soaking {
					if longest := tub.LongestAt(); !longest.IsZero() {
						first[coach.LongestSoak] = longest
					}
					if early := sessiontest.Release(d, a.Tub).Early; !early.IsZero() {
						first[coach.WaxSets] = early
					}
					for l, at := range first {
						if at.Before(first[a.Limit]) {
							t.Errorf("%s: %s at %v comes before %s at %v", a.Title, l, at, a.Limit, first[a.Limit])
						}
					}
				}
			}
		})
	}
	for _, l := range []coach.Limit{coach.LongestSoak, coach.HangsWet} {
		if seen[l] < 20 {
			t.Errorf("%s was met %d times", l, seen[l])
		}
	}
	scullery := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Kit.RoomC = 2 })).Until(0, shed.Soaking).Do(session.SetCover{})
	sessiontest.Same(t, "an open bath in a cold scullery", scullery.Prompt().Limit, coach.WaxSets)
	filled := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.ToSink)
	for filled.Day.Tubs[0].Step().Kind != shed.Wash {
		filled.Next().Until(0, shed.ToSink)
	}
	sessiontest.Same(t, "a wash bath that waits for its fleece", filled.Prompt().Limit, coach.TooCool)
}

// Among what can be done now the least time to spare comes first, and an open bath
// that waits for its fleece before lifts that have more than two minutes.
func TestLeastToSpareComesFirst(t *testing.T) {
	t.Parallel()
	for _, slow := range []int{2, 12} {
		seen := 0
		slowDay(t, slow, func(_ session.Day, now time.Time, acts []coach.NextAct, _ int) {
			for i, a := range acts {
				for _, b := range acts[i+1:] {
					if a.Rank != coach.Now || b.Rank != coach.Now || a.Stopped() || b.Stopped() || a.Boil { // the kettle is a moment's work
						continue
					}
					seen++
					la, lb := a.LimitAt(now), b.LimitAt(now)
					switch {
					case !la.IsZero() && !lb.IsZero() && la.Before(now) && lb.Before(now): // past its limit the worse comes first
					case a.Act == shed.SinkIn && (lb.IsZero() || lb.Sub(now) > 2*time.Minute):
					case b.Act == shed.SinkIn && a.Act != shed.SinkIn && (la.IsZero() || la.Sub(now) > 2*time.Minute):
						t.Errorf("%d slow: %s at %d, limit in %v, above a filled bath", slow, a.Title, a.Tub, la.Sub(now))
					case !lb.IsZero() && lb.Sub(now) < 45*time.Minute && (la.IsZero() || lb.Before(la)):
						t.Errorf("%d slow: %s within %v above %s within %v", slow, a.Title, la.Sub(now), b.Title, lb.Sub(now))
					}
				}
			}
		})
		if seen < 20 {
			t.Errorf("%d slow: only %d pairs", slow, seen)
		}
	}
}

// Lifts from washes that fall due together are each told a limit that leaves the
// hands time for those behind it.
func TestLiftsFromWashesQueue(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.ThreeTubs(func(p *shed.Plan) {
		for i := range p.Batches {
			p.Batches[i].Presoak = shed.PresoakNone
			p.Batches[i].Form, p.Batches[i].FleeceID, p.Batches[i].RawG = shed.Loose, "f1", 150
			p.Kit.Tubs[i] = p.Kit.Tubs[0]
			p.Kit.Tubs[i].ID, p.Kit.Tubs[i].Name = "", fmt.Sprint("Tub ", i)
		}
	}))
	for tub := range 3 {
		r.Until(tub, shed.Soaking)
	}
	r.Now = r.Now.Add(21 * time.Minute)
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	limits := map[time.Time]bool{}
	last := zero
	for _, a := range coach.Next(r.Day, r.Now, tt) {
		if a.Boil {
			continue
		}
		limits[a.MustBy] = true
		if a.MustBy.Before(last) {
			t.Errorf("%s at %d comes behind one with more time", a.Title, a.Tub)
		}
		last = a.MustBy
	}
	// The last of them has its own limit; each before it ends as the hands take up the next.
	lift, want := measure.Lasting(r.Day.Plan.HandsMin()[shed.Lift]), r.Day.Tubs[0].LongestAt()
	for n := range 3 {
		if at := want.Add(-time.Duration(n) * lift); !limits[at] {
			t.Errorf("no lift has its limit at %v, %d before the last; lifts take %v: %v", at, n, lift, limits)
		}
	}
	if len(limits) != 3 || !last.Equal(want) {
		t.Errorf("limits %v, the longest soak ends %v", limits, want)
	}
}

var zero time.Time

// There is one kettle: no more than one boil is to be put on now.
func TestOneBoilAtATime(t *testing.T) {
	t.Parallel()
	seen := 0
	for _, slow := range []int{2, 12} {
		slowDay(t, slow, func(_ session.Day, now time.Time, acts []coach.NextAct, _ int) {
			boils := 0
			for _, a := range acts {
				if a.Boil && a.Rank == coach.Now {
					boils++
				}
			}
			if seen += boils; boils > 1 {
				t.Errorf("%s: %d boils at once", now.Format("15:04"), boils)
			}
		})
	}
	if seen < 10 {
		t.Errorf("only %d boils were due", seen)
	}
}

// TestLoadIsSaidOnce: the batch that a tub waits for, which the timetable names too, is told of in
// one line.
func TestLoadIsSaidOnce(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub(func(p *shed.Plan) { p.Batches = append(p.Batches, p.Batches[0]) }))
	for r.Day.NextAction(0) != shed.LoadNext {
		r.Now = r.Now.Add(20 * time.Minute)
		r.Next(0)
	}
	tt := must.Get(planner.Replan(r.Day, r.Now, planner.Quick, planner.Timetable{})).In(t)
	acts := coach.Next(r.Day, r.Now, tt)
	at := slices.IndexFunc(acts, func(a coach.NextAct) bool { return a.Act == shed.LoadNext })
	if text := sessiontest.PromptText(acts[at].Prompt); strings.Count(text, "into a basket for") != 1 {
		t.Errorf("%q", text)
	}
}
