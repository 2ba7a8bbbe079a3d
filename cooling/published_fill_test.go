package cooling_test

import (
	"math"
	"testing"

	"fleece.example/tubside/cooling"
)

// OpenStax, College Physics 2e, Example 14.3: 0.250 kg of water at 20.0 °C into
// an aluminium pan of 0.500 kg at 150 °C come to 59.1 °C. University Physics
// volume 2, chapter 1.4, exercise: 1.28 kg of water at 10.0 °C in 0.200 kg of
// glass with 0.385 kg of steel at 215 °C come to 16.3 °C. Both as a fill: the pan
// and the glass are the tub, the steel is what sinks in.
func TestPublishedCalorimetry(t *testing.T) {
	litres := func(kg, tempC float64) float64 { return kg / cooling.DensityKgPerM3(tempC) * 1000 }
	for _, c := range []struct {
		name  string
		wish  cooling.FillWish
		want  float64
		after bool
	}{
		{"aluminium pan", cooling.FillWish{VolumeL: litres(0.250, 20), HotC: 20, ColdC: 20, Tub: cooling.Portion{HeatJPerK: 0.500 * 900, TempC: 150}}, 59.1, false},
		{"steel beaker", cooling.FillWish{VolumeL: litres(1.28, 10), HotC: 10, ColdC: 10, Tub: cooling.Portion{HeatJPerK: 0.200 * 840, TempC: 10},
			Fleece: []cooling.Portion{{HeatJPerK: 0.385 * 452, TempC: 215}}}, 16.3, true},
	} {
		f := cooling.FillFor(c.wish)
		got := f.WaterC
		if c.after {
			got = f.AfterC
		}
		if math.Abs(got-c.want) > 0.1 {
			t.Errorf("%s: %.2f °C, printed %.1f", c.name, got, c.want)
		}
	}
}

// The boiling point by IAPWS-IF97: the saturation pressure at 95 and 90 °C is
// that of the standard atmosphere at about 1 700 and 3 000 m.
func TestPublishedBoilingPoint(t *testing.T) {
	for _, c := range []struct{ altitudeM, wantC, withinC float64 }{
		{0, 100, 0.05}, {1700, 94.3, 0.8}, {3000, 90, 0.8}, {-200, 100, 0}, {math.NaN(), 100, 0},
	} {
		if got := cooling.BoilingC(c.altitudeM); math.Abs(got-c.wantC) > c.withinC {
			t.Errorf("at %.0f m water boils at %.2f °C, want %.1f", c.altitudeM, got, c.wantC)
		}
	}
	table := published(t, "water-iapws-if97.csv")
	for i, tempC := range table["t_C"] {
		if tempC < 75 || tempC >= 100 {
			continue
		}
		// The height at which the air has that pressure, by halving.
		low, high := -500.0, 9000.0
		for range 60 {
			if mid := (low + high) / 2; cooling.AirPressurePa(mid) > table["psat_IF97_Pa"][i] {
				low = mid
			} else {
				high = mid
			}
		}
		near(t, "boiling point, IF97", cooling.BoilingC(low), tempC, 0.05)
	}
}

// Recovery of an electric tank, US gallons an hour = watts x 0.004 (a
// manufacturer's bulletin), which is a rise of 57 °C; and about 70 % of the
// volume before the outlet sags (same).
func TestPublishedTankRecovery(t *testing.T) {
	tank := cooling.Tank{VolumeL: 150, SetC: 67, ColdC: 10, HeaterW: 4500}
	gallonsPerHour := tank.RecoveryLPerMin() * 60 / 3.785411784
	if want := 4500 * 0.004; math.Abs(gallonsPerHour-want)/want > 0.02 {
		t.Errorf("recovers %.2f US gal/h, the rule says %.2f", gallonsPerHour, want)
	}
	if c, _ := tank.Draw(150, 0.7*150); c != 67 {
		t.Errorf("70 %% of the tank come at %g °C, not at 67", c)
	}
	if c, _ := tank.Draw(150, 0.75*150); c >= 67 {
		t.Errorf("the outlet never sags: %g °C", c)
	}
}
