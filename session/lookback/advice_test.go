package lookback_test

import (
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// advised is what days speak for, each change with its reason.
func advised(u measure.System, days ...*sessiontest.Run) (out []string) {
	var all []session.Day
	for _, r := range days {
		all = append(all, r.Day)
	}
	for _, a := range lookback.Advise(all) {
		what, why := a.Say(u)
		out = append(out, what+". "+why)
	}
	return out
}

// lateEach lifts late from each bath.
func lateEach(r *sessiontest.Run) {
	for r.Wait(24); !r.Day.AllRacked(); r.Next(0) {
		if t := r.Day.Tubs[0]; t.Phase == shed.Soaking && t.Step().HasRelease() {
			r.Wait(20)
		} else if t.Phase == shed.Soaking {
			r.Wait(t.Bath.SoakMin + 12)
		}
	}
}

// Each kind of day is lived as often as it says. The wash is meant to begin at 65.5 °C and
// to soak for 20 min; the person said that they are at a tub within 5 min.
func TestAdvice(t *testing.T) {
	read := func(c float64) session.Command { return session.TakeReading{TempC: c, Sure: true} }
	for name, c := range map[string]struct {
		beginC float64
		live   func(*sessiontest.Run)
		days   int
		u      measure.System
		want   []string
	}{
		"faultless": {65, func(r *sessiontest.Run) { r.Wait(20).Next(0) }, 3, measure.Metric, nil},
		// Read 65 °C and, 16 min later, 48 °C, in a room of 18: down to 49 °C after about 15 min.
		// (49-48)(65-18)/(48-18) = 1.6 °C too little.
		"cools too fast":     {65, func(r *sessiontest.Run) { r.Wait(16).Do(read(48), session.DoNext{Act: shed.Lift, Sooner: true}) }, 2, measure.Metric, []string{"Start the hot wash at 68 °C, not 66 °C. It came down to 49 °C before its soak was over in 2 of 2 washes on 2 days, started as planned and covered. Just a hint so far."}},
		"cools too fast, US": {65, func(r *sessiontest.Run) { r.Wait(16).Do(read(48), session.DoNext{Act: shed.Lift, Sooner: true}) }, 2, measure.US, []string{"Start the hot wash at 154 °F, not 150 °F. It came down to 120 °F before its soak was over in 2 of 2 washes on 2 days, started as planned and covered. Just a hint so far."}},
		"once is no ground":  {65, func(r *sessiontest.Run) { r.Wait(16).Do(read(48), session.DoNext{Act: shed.Lift, Sooner: true}) }, 1, measure.Metric, nil},
		"begun too cool":     {62, func(r *sessiontest.Run) { r.Wait(16).Do(read(48), session.DoNext{Act: shed.Lift, Sooner: true}) }, 2, measure.Metric, nil},
		"the lid off": {65, func(r *sessiontest.Run) {
			r.Do(session.SetCover{Cover: cooling.Open}).Wait(19).Do(read(48.5), session.DoNext{Act: shed.Lift, Sooner: true})
		}, 2, measure.Metric, nil},
		"left too long": {65, func(r *sessiontest.Run) { r.Wait(28).Do(read(48)).Next(0) }, 2, measure.Metric, nil},
		// Lifted 24 min after the wash's 20 and 12 min after the rinses' soaks; a warning is never
		// more than half the wash's soak.
		"never there in time": {65, lateEach, 3, measure.Metric, []string{"Time you need to reach a tub: 10 min, not 5 min. You came late to 9 of 9 lifts on 3 days, by 12 min to 24 min. Alarms would come 5 min earlier. A clear sign."}},
		"one day is enough":   {65, lateEach, 1, measure.Metric, []string{"Time you need to reach a tub: 10 min, not 5 min. You came late to 3 of 3 lifts, by 12 min to 24 min. Alarms would come 5 min earlier. A fair sign."}},
		// The wash alone: one lift in three.
		"late to the wash alone": {65, func(r *sessiontest.Run) { r.Wait(44).Next(0) }, 3, measure.Metric, nil},
	} {
		t.Run(name, func(t *testing.T) {
			var days []*sessiontest.Run
			for range c.days {
				r := washed(t, c.beginC)
				c.live(r)
				days = append(days, finished(r))
			}
			sessiontest.Same(t, "advice", advised(c.u, days...), c.want)
		})
	}
}

// Where half of the lifts are in time the minutes that were asked for are right; a faultless
// day gets no advice however bad the days before it were.
func TestNoAdviceWithoutGround(t *testing.T) {
	late := func() *sessiontest.Run { r := washed(t, 65); lateEach(r); return finished(r) }
	inTime := func() *sessiontest.Run { r := washed(t, 65); r.Wait(20).Next(0); return finished(r) }
	if got := advised(measure.Metric, late(), inTime()); got != nil {
		t.Errorf("every second lift was in time: %q", got)
	}
	if got := advised(measure.Metric, inTime(), late(), late(), late()); got != nil {
		t.Errorf("a faultless day: %q", got)
	}
}

// What is taken is what was said, and nothing else is changed.
func TestAdviceIsTaken(t *testing.T) {
	kit, method := shed.DefaultKit(), shed.BuiltInMethod()
	a := lookback.Advice{Change: lookback.ReachTub, From: 5, To: 15}
	k, ok := a.InKit(kit)
	if want := kit; !ok || k.LeadMin != 15 || want.LeadMin != 5 {
		t.Errorf("%v, %g min", ok, k.LeadMin)
	}
	if _, ok := a.InMethod(method); ok {
		t.Error("a method took the kit's minutes")
	}
	for change, of := range map[lookback.Change]func(shed.Step) float64{
		lookback.HotterStart: func(s shed.Step) float64 { return s.AimC }, lookback.ShorterSoak: func(s shed.Step) float64 { return s.SoakMin }, lookback.LongerSoak: func(s shed.Step) float64 { return s.SoakMin },
	} {
		m, ok := lookback.Advice{Change: change, Step: "hot wash", To: 17}.InMethod(method)
		if !ok || of(m.Steps[1]) != 17 || of(method.Steps[1]) == 17 || of(m.Steps[0]) != of(method.Steps[0]) {
			t.Errorf("%v: %+v", change, m.Steps[1])
		}
	}
	if _, ok := (lookback.Advice{Change: lookback.HotterStart, Step: "no such wash"}).InMethod(method); ok {
		t.Error("a step that is not there was changed")
	}
	k, ok = lookback.Advice{Change: lookback.PutCover, Tub: "t2", Cover: cooling.Film}.InKit(kit)
	if !ok || k.Tubs[1].Cover != cooling.Film || kit.Tubs[1].Cover != cooling.Lid || k.Tubs[0].Cover != cooling.Lid {
		t.Errorf("%v, %+v", ok, k.Tubs)
	}
	k, ok = lookback.Advice{Change: lookback.FewerTubs, Tub: "t2"}.InKit(kit)
	if !ok || len(k.Tubs) != 2 || len(kit.Tubs) != 3 || k.Tubs[1].ID != "t3" {
		t.Errorf("%v, %+v", ok, k.Tubs)
	}
	for _, c := range []lookback.Change{lookback.PutCover, lookback.FewerTubs} {
		if _, ok := (lookback.Advice{Change: c, Tub: "gone"}).InKit(kit); ok {
			t.Errorf("%v of a tub that is gone", c)
		}
	}
	kit.Tubs = kit.Tubs[:1]
	if _, ok := (lookback.Advice{Change: lookback.FewerTubs, Tub: "t1"}).InKit(kit); ok {
		t.Error("a kit without a tub")
	}
}

// A second wash for heavy wax is a mark of the step; for other fleece it is a step of a method of
// its own. Either is a sound method that washes twice.
func TestSecondWashIsTaken(t *testing.T) {
	once := shed.BuiltInMethod()
	once.Steps[1].TwiceForHighWax = false
	for _, wax := range shed.Levels() {
		for _, of := range []shed.Method{once, shed.BuiltInMethod()} {
			a := lookback.Advice{Change: lookback.SecondWash, Step: "hot wash", Wax: wax}
			m, ok := a.InMethod(of)
			washes := 0
			for _, s := range m.StepsFor(shed.Fleece{Wax: wax}, shed.PresoakNone) {
				if s.HasRelease() {
					washes++
				}
			}
			if !ok || m.Validate() != nil || washes != 2 || len(of.Steps) != 6 || a.Anew() != (len(m.Steps) == 7) {
				t.Errorf("%v wax: %v, %v, %d washes in %+v", wax, ok, m.Validate(), washes, m.Steps)
			}
		}
	}
}

// Each change has a place where it is kept, or says how it comes about without one.
func TestChangesHaveAPlace(t *testing.T) {
	for c := lookback.ReachTub; c <= lookback.SecondKettle; c++ {
		a := lookback.Advice{Change: c, Step: "hot wash", Tub: "t1", From: 21, To: 17, Of: 2, Cover: cooling.Lid}
		kit := shed.DefaultKit()
		kit.LeadMin, kit.HotTapC, kit.Tank.VolumeL, kit.Tubs[0].Cover = a.From, a.From, a.From, cooling.Open
		changed, inKit := a.InKit(kit)
		built, own := shed.BuiltInMethod(), shed.BuiltInMethod()
		built.Steps[1].AimC, built.Steps[1].SoakMin, own.ID = a.From, a.From, "m1"
		methods := []shed.Method{built, own}
		own.Steps = built.Steps
		taken, inMethod := a.InMethod(own)
		if !a.Stands(kit, methods, built.ID) || a.Stands(changed, methods, built.ID) == inKit {
			t.Errorf("%d: it stands before %v, and when it is taken %v", c, a.Stands(kit, methods, built.ID), a.Stands(changed, methods, built.ID))
		}
		// taken into a method beside the one that comes with the program, or into that of the days
		if inMethod && (a.Stands(kit, []shed.Method{built, taken}, built.ID) || a.Stands(kit, []shed.Method{built, taken}, taken.ID) || a.Stands(kit, []shed.Method{built}, "gone")) {
			t.Errorf("%d stands although a method has it", c)
		}
		if inKit != (a.Place() == lookback.TheKit) || inMethod != (a.Place() == lookback.TheMethod) {
			t.Errorf("%d: %v, in the kit %v, in the method %v", c, a.Place(), inKit, inMethod)
		}
		for _, u := range []measure.System{measure.Metric, measure.US} {
			if what, why := a.Say(u); what == "" || len(why) < 40 {
				t.Errorf("%d: %q, %q", c, what, why)
			}
		}
	}
}
