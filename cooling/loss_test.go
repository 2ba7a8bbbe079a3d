package cooling_test

import (
	"encoding/json"
	"math"
	"testing"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/must"
	"pgregory.net/rapid"
)

var covers = []cooling.Cover{cooling.Open, cooling.Lid, cooling.Film, cooling.LidAndFilm}

// speed is how fast a filled tub cools, °C/min.
func speed(v cooling.Vessel, fillL float64, c cooling.Cover, waterC, roomC float64) float64 {
	loss, _ := cooling.LossWPerK(v, fillL, c, waterC, roomC)
	heat := cooling.WaterPortion(fillL, waterC).HeatJPerK + cooling.VesselHeatJPerK(v, fillL)
	return loss / heat * 60 * (waterC - roomC)
}

// Cooling speeds at 65 °C in a 20 °C room: computed from handbook figures,
// agreeing with common practice (no source).
func TestLossOfHouseholdTubs(t *testing.T) {
	for _, capacityL := range []float64{8, 10, 12} {
		bucket := cooling.Vessel{CapacityL: capacityL, Shape: cooling.Deep}
		near(t, "8 L in a bucket, lid", speed(bucket, 8, cooling.Lid, 65, 20), 0.15, 0.05)
		near(t, "8 L in a bucket, open", speed(bucket, 8, cooling.Open, 65, 20), 0.4, 0.1)
	}
	for _, capacityL := range []float64{4, 5} {
		tray := cooling.Vessel{CapacityL: capacityL, Shape: cooling.Shallow}
		near(t, "4 L in a tray, open", speed(tray, 4, cooling.Open, 65, 20), 0.6, 0.1)
	}
	near(t, "wall of a bucket", cooling.VesselHeatJPerK(cooling.Vessel{CapacityL: 10}, 8), 600, 50)
}

var vessels = rapid.Custom(func(t *rapid.T) cooling.Vessel {
	return cooling.Vessel{
		CapacityL: rapid.Float64Range(0.5, 100).Draw(t, "capacity"),
		Shape:     rapid.SampledFrom([]cooling.Shape{cooling.Deep, cooling.Shallow}).Draw(t, "shape"),
	}
})

func TestMoreCoverNeverLosesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := vessels.Draw(t, "vessel")
		fill := rapid.Float64Range(0.1, 1).Draw(t, "filled") * v.CapacityL
		water := rapid.Float64Range(-10, 110).Draw(t, "water")
		room := rapid.Float64Range(-40, 70).Draw(t, "room")
		loss := map[cooling.Cover]float64{}
		for _, c := range covers {
			w, sd := cooling.LossWPerK(v, fill, c, water, room)
			if !(w > 0) || math.IsInf(w, 1) || !(sd > 0) {
				t.Fatalf("%v: loss %v, spread %v", c, w, sd)
			}
			loss[c] = w
		}
		for _, pair := range [][2]cooling.Cover{
			{cooling.Open, cooling.Lid}, {cooling.Open, cooling.Film},
			{cooling.Lid, cooling.LidAndFilm}, {cooling.Film, cooling.LidAndFilm},
		} {
			if loss[pair[1]] > loss[pair[0]] {
				t.Errorf("%v loses %v, %v loses %v", pair[1], loss[pair[1]], pair[0], loss[pair[0]])
			}
		}
	})
}

func TestGreaterFillCoolsSlower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := vessels.Draw(t, "vessel")
		less := rapid.Float64Range(0.05, 0.98).Draw(t, "less") * v.CapacityL
		more := min(less*rapid.Float64Range(1.01, 5).Draw(t, "times"), v.CapacityL)
		c := rapid.SampledFrom(covers).Draw(t, "cover")
		water := rapid.Float64Range(40, 95).Draw(t, "water")
		room := rapid.Float64Range(0, 30).Draw(t, "room")
		if a, b := speed(v, less, c, water, room), speed(v, more, c, water, room); b >= a {
			t.Errorf("%v L cools at %v, %v L at %v °C/min", less, a, more, b)
		}
	})
}

// From 20 °C above the room on; nearer to it the dryness of the room's air
// counts for more than the temperature of the water.
func TestHotterWaterLosesMorePerDegree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := vessels.Draw(t, "vessel")
		c := rapid.SampledFrom(covers).Draw(t, "cover")
		room := rapid.Float64Range(5, 30).Draw(t, "room")
		cool := room + rapid.Float64Range(20, 60).Draw(t, "above the room")
		a, _ := cooling.LossWPerK(v, v.CapacityL, c, cool, room)
		b, _ := cooling.LossWPerK(v, v.CapacityL, c, cool+5, room)
		if b < a {
			t.Errorf("%v W/K at %v °C, %v five degrees hotter", a, cool, b)
		}
	})
}

func TestLossOfNothing(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	v := cooling.Vessel{CapacityL: 10}
	for _, fill := range []float64{0, -1, nan, inf} {
		if w, _ := cooling.LossWPerK(v, fill, cooling.Lid, 65, 20); !math.IsNaN(w) {
			t.Errorf("fill %v: %v", fill, w)
		}
		if h := cooling.VesselHeatJPerK(v, fill); h != 0 {
			t.Errorf("fill %v: %v J/K", fill, h)
		}
	}
	for _, temps := range [][2]float64{{nan, 20}, {65, nan}} {
		if w, _ := cooling.LossWPerK(v, 8, cooling.Lid, temps[0], temps[1]); !math.IsNaN(w) {
			t.Errorf("%v: %v", temps, w)
		}
	}
	overfull, _ := cooling.LossWPerK(cooling.Vessel{CapacityL: -3}, 8, cooling.Lid, 65, 20)
	brimful, _ := cooling.LossWPerK(cooling.Vessel{CapacityL: 8}, 8, cooling.Lid, 65, 20)
	near(t, "filled beyond its capacity", overfull, brimful, 0)
	unknown, sd := cooling.LossWPerK(v, 8, cooling.Cover(9), 65, 20)
	open, openSD := cooling.LossWPerK(v, 8, cooling.Open, 65, 20)
	near(t, "an unknown cover is none", unknown, open, 0)
	near(t, "an unknown cover is none, spread", sd, openSD, 0)
}

func TestWordsForCoverAndShape(t *testing.T) {
	type pair struct {
		C cooling.Cover
		S cooling.Shape
	}
	for _, c := range covers {
		for _, s := range []cooling.Shape{cooling.Deep, cooling.Shallow} {
			text := must.Get(json.Marshal(pair{c, s})).In(t)
			var back pair
			if err := json.Unmarshal(text, &back); err != nil || back != (pair{c, s}) {
				t.Errorf("%s: %v, %v", text, back, err)
			}
		}
	}
	if got := cooling.LidAndFilm.String() + ", " + cooling.Shallow.String(); got != "lid and film, shallow" {
		t.Error(got)
	}
	if c, err := cooling.ParseCover(" Lid and Film\n"); c != cooling.LidAndFilm || err != nil {
		t.Error(c, err)
	}
	if _, err := cooling.ParseCover("towel"); err == nil || err.Error() != `"towel" is not a cover: use one of open, lid, film, lid and film` {
		t.Error(err)
	}
	kept := cooling.Shallow
	if err := kept.UnmarshalText([]byte("round")); err == nil || kept != cooling.Shallow {
		t.Error(kept, err)
	}
	if _, err := cooling.Cover(-1).MarshalText(); err == nil || cooling.Cover(-1).String() != "unknown cover -1" {
		t.Error(err, cooling.Cover(-1))
	}
	if _, err := cooling.Shape(2).MarshalText(); err == nil {
		t.Error("a shape without a word was written")
	}
}
