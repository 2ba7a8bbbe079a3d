package cooling_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"fleece.example/tubside/cooling"
	"pgregory.net/rapid"
)

// What a person may expect of any household tub from 75 °C down, as MinutesBetween
// tells it.
type kitDraw struct {
	v                        cooling.Vessel
	fillL, roomC, fromC, toC float64
	learned                  cooling.Learned
}

var kits = rapid.Custom(func(t *rapid.T) kitDraw {
	k := kitDraw{v: cooling.Vessel{
		CapacityL: rapid.Float64Range(3, 40).Draw(t, "capacity"),
		Shape:     rapid.SampledFrom([]cooling.Shape{cooling.Deep, cooling.Shallow}).Draw(t, "shape"),
	}}
	k.fillL = k.v.CapacityL * rapid.Float64Range(0.3, 0.95).Draw(t, "filled")
	k.roomC = rapid.Float64Range(5, 30).Draw(t, "room")
	k.fromC = rapid.Float64Range(55, 75).Draw(t, "from")
	k.toC = rapid.Float64Range(42, k.fromC).Draw(t, "to")
	if rapid.Bool().Draw(t, "known") {
		k.learned = cooling.Learned{LogScale: rapid.Float64Range(-0.5, 0.5).Draw(t, "scale"), SDLog: 0.1, Baths: 2}
	}
	return k
})

func (k kitDraw) minutes(c cooling.Cover) cooling.Crossing {
	return cooling.MinutesBetween(k.v, k.fillL, c, k.roomC, k.fromC, k.toC, k.learned)
}

func notSooner(t *rapid.T, what string, a, b cooling.Crossing) {
	t.Helper()
	for _, pair := range [][2]float64{{a.EarlyMin, b.EarlyMin}, {a.LikelyMin, b.LikelyMin}, {a.LateMin, b.LateMin}} {
		if pair[1] < pair[0]-1e-9 {
			t.Errorf("%s: %+v, then %+v", what, a, b)
		}
	}
}

func TestMoreCoverNeverCrossesSooner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := kits.Draw(t, "kit")
		open, lid, film, both := k.minutes(cooling.Open), k.minutes(cooling.Lid), k.minutes(cooling.Film), k.minutes(cooling.LidAndFilm)
		for _, pair := range [][2]cooling.Crossing{{open, lid}, {open, film}, {lid, both}, {film, both}} {
			if pair[1].LikelyMin < pair[0].LikelyMin-1e-9 || pair[1].EarlyMin < pair[0].EarlyMin-1e-9 {
				t.Errorf("%+v, under more cover %+v", pair[0], pair[1])
			}
		}
		if !(open.EarlyMin <= open.LikelyMin && open.LikelyMin <= open.LateMin) {
			t.Errorf("out of order: %+v", open)
		}
	})
}

func TestMoreWaterNeverCrossesSooner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := kits.Draw(t, "kit")
		c := rapid.SampledFrom(covers).Draw(t, "cover")
		more := k
		more.fillL = min(k.fillL*rapid.Float64Range(1, 2).Draw(t, "times"), k.v.CapacityL)
		notSooner(t, "more water", k.minutes(c), more.minutes(c))
	})
}

func TestFurtherDownIsLater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := kits.Draw(t, "kit")
		c := rapid.SampledFrom(covers).Draw(t, "cover")
		b := planned(c, k.fromC, 1, 0)
		b.RoomC = k.roomC
		f := b.Fit(nil, 0)
		notSooner(t, "lower target", f.Crossing(k.toC, 0), f.Crossing(k.toC-rapid.Float64Range(0, 5).Draw(t, "lower by"), 0))
	})
}

// The room by itself; a tilted loss stays what it is at each temperature of the
// water.
func TestHotterRoomNeverCrossesSoonerTilted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := tiltedBath()
		b.RoomC = rapid.Float64Range(0, 35).Draw(t, "room")
		target := rapid.Float64Range(40, 64).Draw(t, "target")
		from := rapid.Float64Range(0, 60).Draw(t, "from")
		cool := b.Fit(nil, 0.5).Crossing(target, from)
		b.RoomC += rapid.Float64Range(0.1, 5).Draw(t, "hotter by")
		hot := b.Fit(nil, 0.5).Crossing(target, from)
		if hot.LikelyMin < cool.LikelyMin-1e-9 {
			t.Errorf("%+v, in the hotter room %+v", cool, hot)
		}
	})
}

func TestLearning(t *testing.T) {
	const handbook, between = 0.3, 0.1
	scale, sd := cooling.Prior(cooling.Learned{}, handbook)
	near(t, "nothing learned, scale", scale, 1, 0)
	near(t, "nothing learned, spread", sd, handbook, 0)

	// The formulas of random effects, by hand.
	tub := cooling.TubDays{HandbookSDLog: handbook}
	weight, sum := 1/(handbook*handbook-between*between), 0.0
	for _, lesson := range []cooling.Lesson{{0.4, 0.05}, {0.2, 0.1}, {0.3, 0.2}} {
		tub.Days = append(tub.Days, lesson)
		l := tub.Learn(between, 1)
		w := 1 / (lesson.SDLog*lesson.SDLog + between*between)
		weight, sum = weight+w, sum+w*lesson.LogScale
		near(t, "middle", l.LogScale, sum/weight, 1e-12)
		near(t, "its sd", l.SDLog, 1/math.Sqrt(weight), 1e-12)
	}
	// However many days, the next one is not surer than days are alike.
	for range 1000 {
		tub.Days = append(tub.Days, cooling.Lesson{LogScale: 0.3, SDLog: 0.01})
	}
	scale, sd = cooling.Prior(tub.Learn(between, 1003), handbook)
	near(t, "scale", scale, math.Exp(0.3), 0.002)
	if sd < between || sd > 1.01*between {
		t.Errorf("%v", sd)
	}
	// Ten baths of one day say less than two of two days.
	ten := make([]cooling.Lesson, 10)
	for i := range ten {
		ten[i] = cooling.Lesson{LogScale: 0.3, SDLog: 0.05}
	}
	day, ok := cooling.DayOf(ten...)
	oneDay := cooling.TubDays{HandbookSDLog: handbook, Days: []cooling.Lesson{day}}.Learn(between, 10)
	twoDays := cooling.TubDays{HandbookSDLog: handbook, Days: ten[:2]}.Learn(between, 2)
	if !ok || !(twoDays.SDLog < oneDay.SDLog) || oneDay.Baths != 10 {
		t.Errorf("one day %+v, two days %+v", oneDay, twoDays)
	}
}

// By how much days differ comes from the record: near the truth where there are many
// days, what is usual where there are none, and a tub with few goes by the others.
func TestHowMuchDaysDifferIsLearned(t *testing.T) {
	const seed1, seed2 = 71, 72
	usual := cooling.BetweenDays(cooling.TubDays{HandbookSDLog: 0.5})[0]
	if usual < 0.12 || usual > 0.3 {
		t.Errorf("nobody knows: %v", usual)
	}
	last := 0.0
	for _, truth := range []float64{0.05, 0.1, 0.2, 0.3} {
		random := rand.New(rand.NewPCG(seed1, seed2))
		many := cooling.TubDays{HandbookSDLog: 0.5}
		for range 30 {
			many.Days = append(many.Days, cooling.Lesson{LogScale: 0.4 + truth*random.NormFloat64() + 0.05*random.NormFloat64(), SDLog: 0.05})
		}
		few := cooling.TubDays{HandbookSDLog: 0.5, Days: []cooling.Lesson{{LogScale: -0.2, SDLog: 0.05}}}
		got := cooling.BetweenDays(many, few)
		t.Logf("days that differ by %.2f (seed %d, %d): from 30 of them %.3f, a tub beside with one day %.3f", truth, seed1, seed2, got[0], got[1])
		if math.Abs(math.Log(got[0]/truth)) > 0.35 || !(got[0] > last) {
			t.Errorf("days that differ by %v are taken to differ by %v", truth, got[0])
		}
		if !((got[1]-usual)*(got[0]-usual) > 0) {
			t.Errorf("a tub beside it, %v, does not follow from %v to %v", got[1], usual, got[0])
		}
		last = got[0]
	}
}

// A lesson does not depend on what was believed before it, and none comes of
// nothing.
func TestLessonsAreTheReadingsOwn(t *testing.T) {
	readings := []cooling.Reading{{4, 62.9}, {10, 61.2}, {20, 58.5}, {30, 56.1}, {40, 53.6}}
	var first cooling.Lesson
	for i, prior := range [][2]float64{{1, 0.3}, {1.2, 0.1}, {0.8, 0.5}} {
		l, ok := planned(cooling.Lid, 65, prior[0], prior[1]).Fit(readings, 0.3).Lesson(prior[0])
		if !ok {
			t.Fatal("no lesson")
		}
		if i == 0 {
			first = l
		}
		// A linearised fit: the same to a small part of its own deviation.
		near(t, "lesson", l.LogScale, first.LogScale, 0.15*first.SDLog)
		near(t, "its sd", l.SDLog/first.SDLog, 1, 0.15)
	}
	b := planned(cooling.Lid, 65, 1, 0)
	if l, ok := b.Fit(nil, 0.5).Lesson(1); ok {
		t.Errorf("from no reading: %+v", l)
	}
	if l, ok := cooling.DayOf(); ok {
		t.Errorf("from no lesson: %+v", l)
	}
	if l := (cooling.TubDays{HandbookSDLog: 0.3}).Learn(0.1, 0); l != (cooling.Learned{}) {
		t.Errorf("from no day: %+v", l)
	}
	if l, ok := (cooling.Fitted{}).Lesson(1); ok {
		t.Errorf("from no bath: %+v", l)
	}
	b.LossSDLog = 0
	if l, ok := b.Fit(readings, 0.5).Lesson(1); ok {
		t.Errorf("of a certain loss: %+v", l)
	}
	if l, ok := cooling.DayOf(cooling.Lesson{LogScale: math.NaN(), SDLog: 1}, cooling.Lesson{}); ok {
		t.Errorf("from nonsense: %+v", l)
	}
}

// Readings that no cooling bath gives still leave numbers, in order, or never.
func TestReadingsOfNoCoolingBath(t *testing.T) {
	for what, readings := range map[string][]cooling.Reading{
		"rising":          {{2, 60}, {6, 63}, {10, 66}, {14, 70}},
		"all alike":       {{2, 63}, {6, 63}, {10, 63}},
		"above boiling":   {{2, 130}, {6, 160}},
		"below the room":  {{2, 5}, {6, 4}},
		"at one instant":  {{5, 63}, {5, 60}, {5, 66}},
		"out of order":    {{30, 55}, {2, 64}, {12, 61}},
		"before filling":  {{-5, 63}},
		"nothing at all":  nil,
		"not one of them": {{math.NaN(), 63}, {5, math.Inf(1)}},
	} {
		for _, roomC := range []float64{20, 64.9, 65, 80} {
			b := planned(cooling.Open, 65, 1, 0)
			b.RoomC = roomC
			f := b.Fit(readings, 0.5)
			c := f.Crossing(49, 0)
			if !(c.EarlyMin <= c.LikelyMin && c.LikelyMin <= c.LateMin) || c.EarlyMin < 0 {
				t.Errorf("%s, room %v: %+v", what, roomC, c)
			}
			if tempC, sd := f.At(20); math.IsNaN(tempC) || math.IsNaN(sd) {
				t.Errorf("%s, room %v: %v ± %v", what, roomC, tempC, sd)
			}
			for _, s := range b.Suspect(readings, 0.5) {
				if math.IsNaN(s.Sigmas) || math.IsNaN(s.ExpectedC) {
					t.Errorf("%s, room %v: %+v", what, roomC, s)
				}
			}
		}
	}
}

// A fit moved through a reading passes through it, learns nothing of the loss by
// that, and is not much surer.
func TestThroughAReading(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := cooling.Bath{
			RoomC: rapid.Float64Range(5, 30).Draw(t, "room"), StartC: rapid.Float64Range(40, 75).Draw(t, "start"), StartSDC: 2.5,
			HeatJPerK: 33000, LossWPerK: rapid.Float64Range(1, 6).Draw(t, "loss"), LossSDLog: 0.4, LossAtC: 57, LossTilt: 0.01,
		}
		atMin := rapid.Float64Range(0, 90).Draw(t, "at")
		r := cooling.Reading{atMin, rapid.Float64Range(31, 75).Draw(t, "reads")}
		f := b.Fit([]cooling.Reading{{atMin / 2, 55}, r}, 0.7)
		g := f.Through(r, 0.7)
		c, sd := g.At(atMin)
		_, was := f.At(atMin)
		if math.Abs(c-r.TempC) > 1e-3 || sd < was/2 || sd > 1.001*max(was, 0.7) || g.LossScale() != f.LossScale() {
			t.Fatalf("read %g at %g, the fit has %g ± %g after ± %g", r.TempC, atMin, c, sd, was)
		}
		if g = f.Through(cooling.Reading{math.NaN(), 50}, 0.7); g.StartC() != f.StartC() {
			t.Fatal("moved by no number")
		}
	})
}
