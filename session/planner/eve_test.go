package planner_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// eve is a plan looked at on the day before, washing to begin at from.
func eve(t *testing.T, p shed.Plan, now, begin time.Time) planner.Outlook {
	t.Helper()
	p = p.WithQuiet(shed.Hours{})
	o, _, err := (&planner.When{Now: now, Begin: begin, Kit: p.Kit, Up: true}).Plan(p, planner.AsGiven)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// firstDeed is the first piece of work with an act of a kind of step, and its moment.
func firstDeed(t *testing.T, o planner.Outlook, kind shed.StepKind, act shed.Action) time.Time {
	t.Helper()
	for _, x := range o.Timetable.Pieces {
		if slices.Contains(x.Acts, act) && slices.ContainsFunc(o.Timetable.Soaks, func(s planner.Soak) bool {
			return s.Batch == x.Batch && s.StepIndex == x.Step && s.Step.Kind == kind
		}) {
			return x.Start
		}
	}
	t.Fatalf("no %v of a %v", act, kind)
	return time.Time{}
}

// A day whose washing is to begin in the morning has its presoak over the night before: twelve hours
// where that leaves an hour before bed (at 22:00), more or less where it does not.
func TestSoaksTheNightBeforeItsBegin(t *testing.T) {
	day := time.Date(2026, 6, 13, 0, 0, 0, 0, time.FixedZone("", -5*3600))
	at := func(h float64) time.Time { return day.Add(time.Duration(h * float64(time.Hour))) }
	for _, c := range []struct{ now, begin, sunk float64 }{
		{15, 24 + 7, 19}, {15, 24 + 9, 21}, {15, 24 + 11, 21}, {20.5, 24 + 7, 20.5}, {21.5, 24 + 8, 21.5},
		{15, 24 + 15, 24 + 19}, // longer than a presoak may: the evening after
		{1, 20, 20},            // no night lies in the twelve hours before
		{23, 24 + 7, 24 + 19},  // nobody is up till then
	} {
		o := eve(t, overnight(3, 3), at(c.now), at(c.begin))
		sessiontest.Same(t, "sunk", firstDeed(t, o, shed.Presoak, shed.FillTub), at(c.sunk))
		lift := firstDeed(t, o, shed.Presoak, shed.Lift)
		if c.sunk < min(24, c.begin) && (lift.Before(at(c.begin)) || lift.After(at(c.begin).Add(15*time.Minute))) {
			t.Errorf("%+v: lifted %s", c, lift)
		}
		if n := o.Nights; len(n) != 1 || !n[0].At.Equal(at(c.sunk)) || c.sunk < min(24, c.begin) && !n[0].Until.Equal(at(c.begin)) {
			t.Errorf("%+v: nights %+v", c, n)
		}
	}
}

// A day begun on the evening before is filled then and called when washing is to begin, whatever minute of
// the evening it was; what does not soak over the night waits for that too.
func TestNightEndsWhenWashingBegins(t *testing.T) {
	zone := time.FixedZone("", 3600)
	day := time.Date(2026, 6, 13, 15, 0, 0, 0, zone)
	wash := time.Date(2026, 6, 14, 8, 0, 0, 0, zone)
	o := eve(t, overnight(3, 4, func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakNone }), day, wash)
	r := sessiontest.StartAt(t, o.Plan, o.Timetable.From)
	sessiontest.Same(t, "begins", r.Now.Hour(), 20)
	for tub := range 3 {
		if b, _ := r.Day.Batch(r.Day.Tubs[tub].Batch); !r.Day.Plan.SoaksOvernight(b) {
			t.Errorf("tub %d has %s, while others are to soak", tub, b.ID)
		}
	}
	r.Wait(70) // 21:10
	for tub := range 3 {
		r.Next(tub, tub)
		if end := r.Day.Tubs[tub].SoakEndAt(r.Now); !end.Equal(wash) {
			t.Errorf("tub %d soaks till %s", tub, end)
		}
	}
	r.Tick(wash.Add(-time.Hour).Sub(r.Now))
	if rings := r.Rings(o.Timetable.From); len(rings) > 0 {
		t.Errorf("in the night: %v", rings)
	}
	tt := must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t)
	for _, p := range tt.Pieces {
		if p.Start.Before(wash) {
			t.Errorf("%s of %s at %s", p.Name, p.Batch, p.Start)
		}
	}
	if r.Tick(time.Hour + time.Minute); len(r.Rings(o.Timetable.From)) == 0 {
		t.Error("nobody is called when washing begins")
	}
	sessiontest.CheckReplay(t, r, nil)
}

// What does not soak over the night has a tub of its own: nothing is filled there, or boiled for it, before washing begins.
func TestOthersWaitForTheMorning(t *testing.T) {
	day := time.Date(2026, 6, 13, 15, 0, 0, 0, time.UTC)
	wash := day.Add(16 * time.Hour)
	o := eve(t, overnight(3, 3, func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakNone }), day, wash)
	for _, p := range o.Timetable.Pieces {
		if p.Batch == "A1" && p.Start.Before(wash) {
			t.Errorf("%v of %s at %s", p.Acts, p.Batch, p.Start)
		}
	}
	r := sessiontest.StartAt(t, o.Plan, o.Timetable.From)
	tub := slices.IndexFunc(r.Day.Tubs, func(t session.TubRun) bool { return t.Batch == "A1" })
	ps := coach.Prompts(r.Day, r.Now)
	p := ps[slices.IndexFunc(ps, func(p coach.Prompt) bool { return p.Tub == tub })]
	if !p.DueAt.Equal(wash) {
		t.Errorf("%+v", p)
	}
	sessiontest.Same(t, "is to come", p.Rank, coach.Coming)
}

// The night is lived through, looked at each half hour: nothing is to be done, to come sooner or planned before
// washing begins.
func TestTheNightIsQuiet(t *testing.T) {
	for _, zoneH := range []int{-10, 13} {
		day := time.Date(2026, 6, 13, 15, 0, 0, 0, time.FixedZone("", zoneH*3600))
		wash := day.Add(16 * time.Hour)
		o := eve(t, overnight(3, 3, func(p *shed.Plan) { p.Batches[0].Presoak = shed.PresoakNone }), day, wash)
		r := sessiontest.StartAt(t, o.Plan, o.Timetable.From)
		for tub := range r.Day.Tubs {
			if b, _ := r.Day.Batch(r.Day.Tubs[tub].Batch); r.Day.Plan.SoaksOvernight(b) {
				r.Next(tub, tub) // filled and in
			}
		}
		for ; r.Now.Before(wash.Add(-time.Minute)); r.Wait(min(30, measure.MinutesBetween(r.Now, wash.Add(-time.Minute)))) {
			for _, p := range coach.Prompts(r.Day, r.Now) {
				if p.Rank == coach.Now || !p.DueAt.IsZero() && p.DueAt.Before(wash) {
					t.Errorf("zone %+d, %s: %q, due %s", zoneH, r.Now.Format("15:04"), p.Title, p.DueAt.Format("15:04"))
				}
			}
			for _, p := range must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t).Pieces {
				if p.Start.Before(wash) {
					t.Errorf("zone %+d, %s: %s of %s is planned at %s", zoneH, r.Now.Format("15:04"), p.Name, p.Batch, p.Start.Format("15:04"))
				}
			}
		}
		if rings := r.Rings(o.Timetable.From); len(rings) > 0 {
			t.Errorf("in the night: %v", rings)
		}
		r.Wait(1)
		if p := r.Prompt(); p.Rank != coach.Now {
			t.Errorf("when washing begins: %+v", p)
		}
	}
}

// One tub takes a batch a night: the second is sunk in and lifted when the plan said it would be, whenever the
// running day is asked.
func TestTheSecondNightIsLivedAsPlanned(t *testing.T) {
	for _, c := range []struct{ begin, zoneH int }{{7, -10}, {10, 13}, {10, -5}} {
		day := time.Date(2026, 6, 13, 15, 0, 0, 0, time.FixedZone("", c.zoneH*3600))
		o := eve(t, overnight(1, 2), day, day.Add(time.Duration(9+c.begin)*time.Hour))
		n := o.Nights[1]
		sessiontest.Same(t, "until", n.Until, o.Nights[0].Until.AddDate(0, 0, 1))
		r := sessiontest.StartAt(t, o.Plan, o.Timetable.From)
		for i := 0; r.Now.Before(n.At); i, r = i+1, r.Wait(10) {
			if fills := r.Day.Tubs[0].Phase == shed.ToFill && !r.Day.Tubs[0].Step().Overnight(); r.Prompt().Rank == coach.Now || fills { // the kettle on
				r.Next(0)
			}
			if i%6 > 0 {
				continue
			}
			for _, s := range must.Get(planner.Schedule(r.Day, r.Now, planner.Quick)).In(t).Soaks {
				if late := s.Start.Sub(n.At); s.Batch == "A2" && s.Step.Kind == shed.Presoak && (late < 0 || late > 15*time.Minute) {
					t.Fatalf("begin %d, at %s: in at %s, planned for %s", c.begin, r.Now.Format("2 15:04"), s.Start.Format("2 15:04"), n.At.Format("2 15:04"))
				}
			}
		}
		if p := r.Prompt(); p.Rank != coach.Now || r.Day.Tubs[0].Batch != "A2" {
			t.Fatalf("at %s: %+v", r.Now, p)
		}
		r.Until(0, shed.Soaking)
		sessiontest.Same(t, "soaks till", r.Day.Tubs[0].SoakEndAt(r.Now), n.Until.UTC())
	}
}

// The length of days with nights between them says over how many dates they go, not how often somebody works.
func TestLengthSaysItsDates(t *testing.T) {
	day := time.Date(2026, 6, 13, 15, 0, 0, 0, time.FixedZone("", -5*3600))
	for batches, want := range map[int]string{1: " over 2 days", 3: " over 4 days"} {
		o := eve(t, overnight(1, batches), day, day.Add(16*time.Hour))
		if got := o.Timetable.Lasts(); !strings.HasSuffix(got, want) {
			t.Errorf("%d nights: %s, not%s", batches, got, want)
		}
	}
}

// Three batches soak over the night in their tubs, and plain ones come after them. The order that is done
// earliest washes plain ones on this evening, for hours of work: it is no better one. Who orders them so all the
// same is not told that washing begins in the morning, and of the presoak when it goes in.
func TestBetterOrderIsNoLongerDay(t *testing.T) {
	zone := time.FixedZone("", -5*3600)
	now := time.Date(2026, 6, 5, 18, 12, 0, 0, zone)
	p := overnight(3, 8, func(p *shed.Plan) {
		p.Kit.UpH, p.Kit.BedH = 6, 23
		p.Kit.Tubs[0].CapacityL, p.Kit.Tubs[0].FillL = 12, 8
		for i := range p.Batches {
			if p.Batches[i].RawG = 370; i == 2 {
				p.Batches[i].RawG = 200
			}
			if i > 2 {
				p.Batches[i].Presoak = shed.PresoakNone
			}
		}
	})
	w := &planner.When{Now: now, Begin: now.Add(48 * time.Minute), Kit: p.Kit, Up: true}
	o, from, err := w.Plan(p, planner.AsGiven)
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := o.FirstNight(); !ok {
		t.Errorf("does not begin with its night: %+v", o.Nights)
	}
	hours := func(o planner.Outlook) (evening float64) {
		for _, x := range o.Timetable.Pieces {
			if x.Start.Day() == now.Day() {
				evening += x.End.Sub(x.Start).Hours()
			}
		}
		return evening
	}
	early := must.Get(planner.PlanAhead(o.Plan, from, planner.Earliest, planner.Thorough)).In(t)
	better := must.Get(w.Better(&o, from)).In(t)
	t.Logf("%s, %.1f h this evening; earliest %s, %.1f h", o.Timetable.Finish, hours(o), early.Timetable.Finish, hours(early))
	if hours(early) <= hours(o) || !early.Timetable.Finish.Before(o.Timetable.Finish) {
		t.Fatal("the earliest order works no longer this evening")
	}
	if hours(better) > hours(o) {
		t.Errorf("better: %.1f h of work this evening, not %.1f h", hours(better), hours(o))
	}
	if n, ok := early.FirstNight(); ok {
		t.Errorf("washing begins before %s", n.Until)
	}
	sessiontest.Same(t, "goes in", early.Nights[0].At, firstDeed(t, early, shed.Presoak, shed.FillTub))
}

// What soaks longer than it may is said, though the search does without a limit of hours: three are lifted at
// about seven, or by who is away from five past seven on.
func TestPresoakPastItsLongestIsSaid(t *testing.T) {
	day := time.Date(2026, 6, 13, 15, 0, 0, 0, time.UTC)
	for away, want := range map[bool]string{false: "", true: "A1 to A3: 16 h 57 min in the presoak, 16 h at the longest: "} {
		o := eve(t, overnight(3, 3, func(p *shed.Plan) {
			if away {
				p.Break = []shed.Hours{{FromMin: 7*60 + 5, ToMin: 12 * 60}}
			}
		}), day, day.Add(16*time.Hour))
		said := strings.Join(o.Cautions, "; ")
		if strings.Contains(said, "in the presoak") != away || !strings.Contains(said, want) {
			t.Errorf("away %v: %q", away, said)
		}
	}
}

// A begin that is put off is said to be, with why: into the hours at which the person is up, past the quiet ones,
// or behind a night for which it is too late or too long. One that is kept is not spoken of.
func TestPutOffBeginIsSaid(t *testing.T) {
	day := time.Date(2026, 6, 13, 15, 0, 0, 0, time.FixedZone("", -5*3600))
	for _, c := range []struct {
		beginH, quietFromH, quietToH int
		binL                         float64
		presoak                      shed.PresoakChoice
		want                         string
	}{
		{22, 0, 0, 0, shed.PresoakNone, "it begins tomorrow at 07:00, not at 22:00: you are up from 07:00 to 22:00"},
		{26, 0, 0, 0, shed.PresoakNone, "it begins tomorrow at 07:00, not tomorrow at 02:00: you are up from 07:00 to 22:00"},
		{20, 19, 9, 0, shed.PresoakNone, "it begins tomorrow at 09:00, not at 20:00: in your quiet hours"},
		{20, 0, 0, 0, shed.PresoakNone, ""},
		{22, 0, 0, 0, shed.PresoakOvernight, "washing begins tomorrow at 07:00, not at 22:00: you are up from 07:00 to 22:00"},
		{46, 0, 0, 0, shed.PresoakOvernight, "washing begins at 07:00 on Mon 15 Jun, not tomorrow at 22:00: you are up from 07:00 to 22:00"},
		{38, 0, 0, 0, shed.PresoakOvernight, "no overnight presoak fits before tomorrow 14:00: it goes in tomorrow 19:00, and washing begins 07:00 on Mon 15 Jun"},
		{44, 0, 0, 0, shed.PresoakOvernight, ""}, // it goes in then
		{33, 0, 0, 0, shed.PresoakOvernight, ""},
		{38, 0, 0, 60, shed.PresoakOvernight, "no overnight presoak fits before tomorrow 14:00: it goes in tomorrow 19:00, and washing begins 07:00 on Mon 15 Jun"},
		{46, 0, 0, 60, shed.PresoakOvernight, "it begins at 07:00 on Mon 15 Jun, not tomorrow at 22:00: you are up from 07:00 to 22:00"},
		{33, 0, 0, 60, shed.PresoakOvernight, ""},
	} {
		p := overnight(3, 3, func(p *shed.Plan) {
			p.Kit.BinL = c.binL
			for i := range p.Batches {
				p.Batches[i].Presoak = c.presoak
			}
		})
		w := planner.When{Now: day, Begin: day.Add(time.Duration(c.beginH-15) * time.Hour), Kit: p.Kit, Up: true,
			Alarms: session.AlarmSettings{QuietFromMin: c.quietFromH * 60, QuietToMin: c.quietToH * 60}}
		o, _, err := w.Plan(p.WithQuiet(w.Alarms.QuietHours()), planner.AsGiven)
		if err != nil {
			t.Fatal(err)
		}
		got := slices.DeleteFunc(slices.Clone(o.Cautions), func(s string) bool { return !strings.Contains(s, "begins") })
		if sessiontest.Same(t, fmt.Sprintf("%+v", c), strings.Join(got, "; "), c.want); t.Failed() {
			t.Logf("from %s, nights %+v", o.Timetable.From, o.Nights)
		}
	}
}

// What soaks in a bin goes in twelve hours before washing is to begin, and before the person's break, as in a tub.
func TestBinIsFilledForItsMorning(t *testing.T) {
	day := time.Date(2026, 6, 13, 0, 0, 0, 0, time.FixedZone("", -5*3600))
	at := func(h float64) time.Time { return day.Add(time.Duration(h * float64(time.Hour))) }
	for _, c := range []struct{ begin, breakH, at float64 }{{31, 0, 19}, {32, 0, 20}, {34, 0, 21}, {34, 21, 20}, {34, 20.5, 19.5}} {
		p := overnight(3, 3, func(p *shed.Plan) {
			if p.Kit.BinL = 60; c.breakH > 0 {
				p.Break = []shed.Hours{{FromMin: int(c.breakH * 60), ToMin: 22 * 60}}
			}
		})
		o := eve(t, p, at(15), at(c.begin))
		sessiontest.Same(t, fmt.Sprint(c), []time.Time{o.Nights[0].At, o.Nights[0].Until, o.Timetable.From}, []time.Time{at(c.at), at(c.begin), at(c.begin)})
	}
}

// On the night when the clocks are changed, and the one behind it, the plan, what it says of its nights, and the day
// that runs go by the clock on the wall on both sides.
func TestNightWhenTheClocksAreChanged(t *testing.T) {
	chicago := must.Get(time.LoadLocation("America/Chicago")).In(t)
	london := must.Get(time.LoadLocation("Europe/London")).In(t)
	for _, day := range []time.Time{
		time.Date(2026, 3, 7, 15, 0, 0, 0, chicago), time.Date(2026, 10, 31, 15, 0, 0, 0, chicago),
		time.Date(2026, 3, 28, 15, 0, 0, 0, london), time.Date(2026, 10, 24, 15, 0, 0, 0, london),
	} {
		for _, beginH := range []int{0, 7, 9} {
			w := planner.When{Now: day, Kit: overnight(2, 4).Kit, Up: true}
			if beginH > 0 {
				w.Begin = time.Date(day.Year(), day.Month(), day.Day()+1, beginH, 0, 0, 0, day.Location())
			}
			o, from, err := w.Plan(overnight(2, 4), planner.AsGiven)
			if err != nil || len(o.Nights) != 2 {
				t.Fatal(err, o.Nights)
			}
			for i, n := range o.Nights {
				until := n.Until.In(day.Location())
				what := fmt.Sprintf("%s, begin %d, night %d", day, beginH, i)
				if beginH > 0 && (until.Hour() != beginH || until.Minute() != 0) || until.Hour() < 7 || until.Hour() > 9 || until.Day() == n.At.In(day.Location()).Day() {
					t.Errorf("%s: until %s", what, until)
				}
				if said, want := planner.SayNight(n, &o.Plan.Kit, day), "lifted from "+until.Format("Mon 15:04"); !strings.Contains(said, want) {
					t.Errorf("%s: %q, not %s", what, said, want)
				}
			}
			for _, x := range o.Timetable.Pieces {
				if h := x.Start.In(day.Location()).Hour(); h < 7 || h >= 22 {
					t.Errorf("%s, begin %d: %s of %s at %s", day, beginH, x.Name, x.Batch, x.Start.In(day.Location()))
				}
			}
			o.Plan.GoBy(from.In(day.Location()))
			r := sessiontest.StartAt(t, o.Plan, o.Nights[0].At)
			for tub := range 2 {
				r.Next(tub, tub)
				if end := r.Day.Tubs[tub].SoakEndAt(r.Now); end.Sub(o.Nights[0].Until).Abs() > 10*time.Minute {
					t.Errorf("%s, begin %d: soaks till %s, planned till %s", day, beginH, end, o.Nights[0].Until)
				}
			}
			if r.Tick(o.Nights[0].Until.Add(-time.Hour).Sub(r.Now)); len(r.Rings(day)) > 0 {
				t.Errorf("%s, begin %d: in the night %v", day, beginH, r.Rings(day))
			}
		}
	}
}
