package rehearse_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/shed"
)

var dawn = time.Date(2026, 5, 16, 8, 0, 0, 0, time.UTC)

// plain is an invented day of one batch in each of so many tubs, straight into
// the wash.
func plain(tubs int) rehearse.Script {
	p := shed.Plan{
		Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(),
		Fleeces: []shed.Fleece{{ID: "f1", Animal: "Bramble", Farm: "Nowhere Fold", Wax: shed.Low, RawG: 3000}},
	}
	for range tubs {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: "f1", RawG: 200, Presoak: shed.PresoakNone})
	}
	return rehearse.Script{
		About: "invented for a test", Start: dawn, Plan: p.Clean(), Hands: &rehearse.Hands{ReachesTubS: 40},
	}
}

func ptr[T any](v T) *T { return &v }

// at finds when an event of a kind first came, in minutes; NaN if never.
func at(recs []session.Recorded, kind string, tub int) float64 {
	for _, r := range recs {
		if session.KindOf(r.Event) == kind && session.TubOf(r.Event) == tub {
			return r.At.Sub(dawn).Minutes()
		}
	}
	return math.NaN()
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) < 0.05) {
		t.Errorf("%s at %.2f min, want %.2f", what, got, want)
	}
}

// One thing at a time: getting there, the work, and the next tub only then.
func TestHandsTakeTheirTime(t *testing.T) {
	s := plain(2)
	s.Hands.BusyS = map[shed.Action]float64{shed.FillTub: 120, shed.SinkIn: 30, shed.Lift: 15}
	recs, _ := journal(t, s)
	near(t, "first fill", at(recs, "bath filled", 0), (40+120)/60.0)
	near(t, "first sink-in, at the same tub", at(recs, "fleece sunk", 0), (40+120+30)/60.0)
	near(t, "second fill", at(recs, "bath filled", 1), (40+120+30+40+120)/60.0)
	// They are there when the soak ends.
	near(t, "lift", at(recs, "fleece lifted", 0), (40+120+30)/60.0+20+15/60.0)
}

func TestHandsAway(t *testing.T) {
	s := plain(2)
	s.Hands.Away = []rehearse.Away{{FromMin: 0, ToMin: 5}, {FromMin: 0, ToMin: 60, Tub: "north"}}
	recs, _ := journal(t, s)
	near(t, "South after the person came", at(recs, "bath filled", 1), 5+(40+180)/60.0)
	if got := at(recs, "bath filled", 0); got < 60 {
		t.Errorf("North was filled at %.2f min", got)
	}
}

// A job that an entry was quicker at is dropped, not done twice.
func TestEntryQuickerThanHands(t *testing.T) {
	s := plain(1)
	s.Do = []rehearse.Entry{{AtMin: ptr(1.0), Tub: "North", Do: "next", Act: ptr(shed.FillTub)}}
	recs, d := journal(t, s)
	near(t, "fill", at(recs, "bath filled", 0), 1)
	if len(d.Baths) != 3 {
		t.Errorf("%d baths", len(d.Baths))
	}
}

// The day is not finished while weights are still to come.
func TestFinishWaitsForEntries(t *testing.T) {
	s := plain(1)
	s.Do = []rehearse.Entry{{AtMin: ptr(200.0), Do: "weigh", Batch: "A1", DryG: ptr(120.0)}}
	_, d := journal(t, s)
	if f := d.Fate["A1"]; f.DryG != 120 || d.EndedAt.Before(f.DryAt) {
		t.Errorf("%+v, ended %v", f, d.EndedAt)
	}
}

// Act gives what Play does, also to one who looks seldom: several entries that
// have become due come in order, each decided on the day after the last.
func TestActCatchesUp(t *testing.T) {
	s := plain(1)
	s.Hands = nil
	s.Do = []rehearse.Entry{
		{AtMin: ptr(1.0), Tub: "North", Do: "next"}, {AtMin: ptr(2.0), Tub: "North", Do: "next"},
		{AtMin: ptr(3.0), Tub: "North", Do: "reading", TempC: ptr(64.0)},
	}
	d, _, err := session.Do(session.Day{}, session.StartDay{Plan: s.Plan}, dawn)
	if err != nil {
		t.Fatal(err)
	}
	p := rehearse.NewPlayer(s)
	if got := p.Act(session.Day{}, dawn); got != nil {
		t.Errorf("before the day: %v", got)
	}
	now := dawn.Add(10 * time.Minute)
	commands := p.Act(d, now)
	for _, c := range commands {
		if d, _, err = session.Do(d, c, now); err != nil {
			t.Fatalf("%T: %v", c, err)
		}
	}
	if len(commands) != 3 || d.Tubs[0].Phase != shed.Soaking || len(d.Tubs[0].Bath.Readings) != 1 {
		t.Errorf("%d commands, then %v", len(commands), d.Tubs[0].Phase)
	}
	if more := p.Act(d, now.Add(time.Hour)); len(more) != 0 {
		t.Errorf("and again: %v", more)
	}
}

// With the forecast's own loss and a perfect thermometer the truth is the
// forecast; with more loss it is colder, and readings bring the forecast down.
func TestTruth(t *testing.T) {
	long.Check(t, 8, func(t *rapid.T) {
		factor := rapid.SampledFrom([]float64{0.7, 1, 1.6}).Draw(t, "factor")
		s := plain(1)
		s.Truth = &rehearse.Truth{LossFactor: factor, Seed: rapid.Uint64().Draw(t, "seed")}
		s.Hands.ReadsFills = rapid.Bool().Draw(t, "reads fills")
		min := rapid.Float64Range(10, 20).Draw(t, "reading at")
		s.Do = []rehearse.Entry{
			{AtMin: ptr(5.0), Tub: "North", Do: "cover", Cover: ptr(s.Plan.Kit.Tubs[0].Cover + 2)},
			{AtMin: ptr(7.0), Tub: "North", Do: "top up", VolumeL: ptr(0.5), TempC: ptr(90.0)},
			{AtMin: ptr(min), Tub: "North", Do: "reading"},
			{AtMin: ptr(min), Do: "end", Anyway: true},
		}
		var e session.ReadingTaken
		must.Get(rehearse.Play(s, func(r session.Recorded, _ session.Day) {
			if x, ok := r.Event.(session.ReadingTaken); ok {
				e = x
			}
		})).In(t)
		off := e.TempC - e.ForecastC
		switch {
		case factor == 1 && math.Abs(off) > 0.051: // a reading is to the tenth
			t.Fatalf("off by %.3f °C", off)
		case factor < 1 && off <= 0, factor > 1 && off >= 0:
			t.Fatalf("loss times %g, yet off by %.3f °C", factor, off)
		}
	})
}

// The thermometer's error is of the size the script says, and follows the seed.
func TestThermometerError(t *testing.T) {
	read := func(seed uint64, min float64) float64 {
		s := plain(1)
		s.Truth = &rehearse.Truth{LossFactor: 1, ThermometerErrorC: 0.5, Seed: seed}
		s.Do = []rehearse.Entry{{AtMin: ptr(min), Tub: "North", Do: "reading"}, {AtMin: ptr(min), Do: "end", Anyway: true}}
		recs, _ := journal(t, s)
		for _, r := range recs {
			if e, ok := r.Event.(session.ReadingTaken); ok {
				return e.TempC - e.ForecastC
			}
		}
		t.Fatal("no reading")
		return 0
	}
	var sum, square float64
	const n = 60
	for i := range uint64(n) {
		e := read(i, 8)
		sum, square = sum+e, square+e*e
	}
	mean, sd := sum/n, math.Sqrt(square/n)
	if math.Abs(mean) > 0.2 || sd < 0.35 || sd > 0.65 {
		t.Errorf("mean %.2f, deviation %.2f", mean, sd)
	}
	if read(1, 8) != read(1, 8) || read(1, 8) == read(2, 8) && read(1, 9) == read(2, 9) {
		t.Error("the error does not follow the seed")
	}
}

// Whatever the person is like, a day of theirs ends, in order, and the same
// twice.
func TestAnyHands(t *testing.T) {
	t.Parallel()
	long.Check(t, 8, func(t *rapid.T) {
		s := plain(rapid.IntRange(1, 3).Draw(t, "batches"))
		s.Plan.Method.Steps = slices.Delete(s.Plan.Method.Steps, 2, 4) // without the rinses: a short day
		s.Hands.ReachesTubS = rapid.Float64Range(0, 600).Draw(t, "reach")
		s.Hands.BusyS = map[shed.Action]float64{
			shed.FillTub: rapid.Float64Range(0, 900).Draw(t, "fill"), shed.Lift: rapid.Float64Range(0, 900).Draw(t, "lift"),
		}
		from := rapid.Float64Range(0, 120).Draw(t, "away from")
		s.Hands.Away = []rehearse.Away{{FromMin: from, ToMin: from + rapid.Float64Range(1, 120).Draw(t, "for")}}
		play := func() []session.Recorded {
			var recs []session.Recorded
			d := must.Get(rehearse.PlayFor(s, func(r session.Recorded, _ session.Day) { recs = append(recs, r) }, 48*time.Hour)).In(t)
			if !d.AllRacked() {
				t.Fatal("not everything is on the rack")
			}
			return recs
		}
		one, two := play(), play()
		if len(one) != len(two) {
			t.Fatalf("%d events, then %d", len(one), len(two))
		}
		for i := range one {
			if one[i].At != two[i].At || session.KindOf(one[i].Event) != session.KindOf(two[i].Event) {
				t.Fatalf("event %d: %v %v", i, one[i], two[i])
			}
		}
	})
}

func BenchmarkDemo(b *testing.B) {
	s := rehearse.Demo()
	for b.Loop() {
		must.Get(rehearse.Play(s, nil)).In(b)
	}
}
