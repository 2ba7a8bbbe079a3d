package cooling_test

import (
	"math"
	"testing"

	"fleece.example/tubside/cooling"
	"pgregory.net/rapid"
)

func TestMinutesUntilInvertsTempAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.Float64Range(0, 100).Draw(t, "start")
		room := rapid.Float64Range(0, 100).Draw(t, "room")
		rate := rapid.Float64Range(1e-4, 0.1).Draw(t, "rate")
		minutes := rapid.Float64Range(0.01, 60).Draw(t, "minutes")
		if math.Abs(start-room) < 1 {
			return
		}
		temp := cooling.TempAt(start, room, rate, minutes)
		got, ok := cooling.MinutesUntil(start, room, rate, temp)
		if !ok {
			t.Fatalf("never at %v", temp)
		}
		near(t, "minutes", got, minutes, 1e-6)
		back, ok := cooling.RateFromReading(start, room, temp, minutes)
		if !ok {
			t.Fatalf("no rate at %v", temp)
		}
		near(t, "rate", back, rate, 1e-6)
	})
}

func TestCurveThatNeverArrives(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct{ start, room, rate, target float64 }{
		{65, 20, 0.01, 20}, {65, 20, 0.01, 15}, {65, 20, 0.01, 66},
		{65, 20, 0, 50}, {65, 20, -1, 50}, {20, 20, 0.01, 19},
		{nan, 20, 0.01, 50}, {65, nan, 0.01, 50}, {65, 20, nan, 50}, {65, 20, 0.01, nan},
		{inf, 20, 0.01, 50}, {nan, nan, nan, nan},
	} {
		if minutes, ok := cooling.MinutesUntil(c.start, c.room, c.rate, c.target); ok {
			t.Errorf("%v: arrives after %v", c, minutes)
		}
	}
	if minutes, ok := cooling.MinutesUntil(50, 20, 0, 50); !ok || minutes != 0 {
		t.Error("a target equal to the start is reached at once")
	}
	for _, c := range []struct{ start, room, temp, minutes float64 }{
		{65, 20, 66, 5}, {65, 20, 20, 5}, {65, 20, 10, 5}, {65, 20, 60, 0}, {65, 20, 60, -1},
		{20, 20, 20, 5}, {nan, 20, 60, 5}, {65, nan, 60, 5}, {65, 20, nan, 5}, {65, 20, 60, inf},
	} {
		if rate, ok := cooling.RateFromReading(c.start, c.room, c.temp, c.minutes); ok {
			t.Errorf("%v: rate %v", c, rate)
		}
	}
	near(t, "no rate, for ever", cooling.TempAt(65, 20, 0, inf), 65, 0)
	near(t, "for ever", cooling.TempAt(65, 20, 0.01, inf), 20, 0)
}

var portions = rapid.Custom(func(t *rapid.T) cooling.Portion {
	return cooling.Portion{
		HeatJPerK: rapid.Float64Range(1, 1e5).Draw(t, "heat"),
		TempC:     rapid.Float64Range(0, 100).Draw(t, "temp"),
	}
})

func TestMixKeepsEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := rapid.SliceOfN(portions, 1, 8).Draw(t, "portions")
		mixed := cooling.Mix(all...)
		gained, size := 0.0, 0.0
		for _, p := range all {
			gained += p.HeatJPerK * (mixed - p.TempC)
			size += p.HeatJPerK
		}
		near(t, "J gained per J/K", gained/size, 0, 1e-9)
	})
}

func TestMixOfNothing(t *testing.T) {
	nan := math.NaN()
	for _, got := range []float64{
		cooling.Mix(), cooling.Mix(cooling.Portion{}), cooling.Mix(cooling.Portion{HeatJPerK: nan, TempC: 5}),
		cooling.Mix(cooling.Portion{HeatJPerK: 5, TempC: nan}, cooling.Portion{HeatJPerK: 5, TempC: 5}),
		cooling.Mix(cooling.WaterPortion(0, 60)), cooling.Mix(cooling.WaterPortion(-1, 60)), cooling.Mix(cooling.WaterPortion(nan, 60)),
	} {
		if !math.IsNaN(got) {
			t.Errorf("nothing mixed is %v °C", got)
		}
	}
	near(t, "what brings nothing is left out", cooling.Mix(cooling.Portion{HeatJPerK: -5, TempC: nan}, cooling.WaterPortion(1, 60)), 60, 0)
}

func TestPourHitsTheTarget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		volume := rapid.Float64Range(0.5, 40).Draw(t, "volume")
		cold := rapid.Float64Range(3, 25).Draw(t, "cold")
		hot := rapid.Float64Range(30, 70).Draw(t, "hot")
		kettle := rapid.Float64Range(71, 100).Draw(t, "kettle")
		target := rapid.Float64Range(1, 110).Draw(t, "target")
		pour := cooling.PourFor(volume, target, hot, cold, kettle)

		waters := []cooling.Portion{cooling.WaterPortion(pour.HotL, hot), cooling.WaterPortion(pour.ColdL, cold), cooling.WaterPortion(pour.KettleL, kettle)}
		near(t, "temperature poured", cooling.Mix(waters...), pour.TempC, 1e-9)
		mass := cooling.WaterMassKg(pour.HotL, hot) + cooling.WaterMassKg(pour.ColdL, cold) + cooling.WaterMassKg(pour.KettleL, kettle)
		near(t, "mass poured", mass, cooling.WaterMassKg(volume, pour.TempC), 1e-9*volume)
		near(t, "target, unless out of reach", pour.TempC, min(max(target, cold), kettle), 1e-12)
		near(t, "short", pour.ShortC, max(target-kettle, 0), 1e-12)
		if pour.HotL < 0 || pour.ColdL < 0 || pour.KettleL < 0 {
			t.Errorf("%+v", pour)
		}
		if target <= hot && pour.KettleL != 0 || target > hot && pour.ColdL != 0 {
			t.Errorf("more from the kettle than needed: %+v", pour)
		}
	})
}

func TestPourExamples(t *testing.T) {
	// Common practice, no source: a hot tap of 51 °C is too cool for a wash.
	wash := cooling.PourFor(8, 65, 51, 14, 95)
	near(t, "hot", wash.HotL, 5.43, 0.01)
	near(t, "kettle", wash.KettleL, 2.58, 0.01)
	noKettle := cooling.PourFor(8, 65, 51, 14, math.NaN())
	near(t, "without a kettle", noKettle.TempC, 51, 0)
	near(t, "without a kettle, short", noKettle.ShortC, 14, 0)
	near(t, "without a kettle, all hot", noKettle.HotL, 8, 1e-12)
	boilerOff := cooling.PourFor(8, 30, 12, 14, 95)
	if boilerOff.HotL != 0 || boilerOff.ColdL <= 0 || boilerOff.KettleL <= 0 {
		t.Errorf("the warmer tap saves the kettle: %+v", boilerOff)
	}
	one := cooling.PourFor(8, 20, 20, 20, 20)
	near(t, "all alike", one.HotL+one.ColdL+one.KettleL, 8, 1e-12)

	nan, inf := math.NaN(), math.Inf(1)
	for _, a := range [][5]float64{
		{0, 65, 51, 14, 95}, {-1, 65, 51, 14, 95}, {nan, 65, 51, 14, 95}, {inf, 65, 51, 14, 95},
		{8, nan, 51, 14, 95}, {8, 65, nan, 14, 95}, {8, 65, 51, inf, 95},
	} {
		pour := cooling.PourFor(a[0], a[1], a[2], a[3], a[4])
		if !math.IsNaN(pour.TempC) || pour.HotL+pour.ColdL+pour.KettleL != 0 {
			t.Errorf("%v: %+v", a, pour)
		}
	}
}
