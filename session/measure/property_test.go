package measure

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// trip is one quantity on its way to a field or the screen and back.
type trip struct {
	name  string
	fill  func(float64) string
	show  func(float64) string
	parse parser
	min   float64
	max   float64
	step  float64 // of the field, in the program's unit
}

func trips(s System) []trip {
	degree := 0.1
	if s == US {
		degree = DeltaFToC(0.1)
	}
	return []trip{
		{"temperature", s.TempField, s.Temp, s.ParseTempC, -50, 190, degree},
		{"volume", s.VolumeField, s.Volume, s.ParseVolumeL, 0, 9000, 0.01 * s.bareL()},
		{"mass", s.MassField, s.Mass, s.ParseMassG, 0, 900_000, math.Pow10(-s.massDecimals()) * s.bareG()},
		{"dose", s.DoseField, nil, s.ParseDoseML, 0, 90_000, 0.01 * s.bareML()},
		{"time", nil, Minutes, Metric.ParseMinutes, 0, 40_000, 0},
		{"power", nil, Power, Metric.ParsePowerW, 0, 90_000, 0},
	}
}

// value draws small values as often as large ones: the units change among the
// small.
func (p trip) value(t *rapid.T, label string) float64 {
	max := p.max
	if rapid.Bool().Draw(t, label+" small") {
		max = math.Min(max, 20)
	}
	return rapid.Float64Range(p.min, max).Draw(t, label)
}

func everyTrip(t *testing.T, fits func(trip) bool, check func(t *rapid.T, p trip)) {
	for _, s := range []System{Metric, US} {
		for _, p := range trips(s) {
			if !fits(p) {
				continue
			}
			t.Run(s.String()+" "+p.name, rapid.MakeCheck(func(t *rapid.T) { check(t, p) }))
		}
	}
}

// TestFieldRoundTrip: saving a form nobody edited moves a value by half a step
// at most, and saving it once more not at all.
func TestFieldRoundTrip(t *testing.T) {
	everyTrip(t, func(p trip) bool { return p.fill != nil }, func(t *rapid.T, p trip) {
		v := p.value(t, "v")
		text := p.fill(v)
		got, err := p.parse(text)
		if err != nil {
			t.Fatalf("%v fills %q: %v", v, text, err)
		}
		if math.Abs(got-v) > p.step/2*(1+1e-6)+1e-9*math.Abs(v) {
			t.Fatalf("%v fills %q and reads as %v", v, text, got)
		}
		if again := p.fill(got); again != text {
			t.Fatalf("%v fills %q, then %q", v, text, again)
		}
	})
}

// TestShowMonotone: more never reads as less, across every change of unit.
func TestShowMonotone(t *testing.T) {
	everyTrip(t, func(p trip) bool { return p.show != nil }, func(t *rapid.T, p trip) {
		a := p.value(t, "a")
		b := a + rapid.Float64Range(0, 2).Draw(t, "more")
		shownA, errA := p.parse(p.show(a))
		shownB, errB := p.parse(p.show(b))
		if errA != nil || errB != nil {
			t.Fatalf("%q: %v; %q: %v", p.show(a), errA, p.show(b), errB)
		}
		if shownA > shownB+1e-9*math.Abs(shownB) {
			t.Fatalf("%v shows %q, %v shows %q", a, p.show(a), b, p.show(b))
		}
	})
}

// TestShownBoundIsAccepted: whoever types a bound from the sentence is let in.
func TestShownBoundIsAccepted(t *testing.T) {
	for _, s := range []System{Metric, US} {
		t.Run(s.String(), rapid.MakeCheck(func(t *rapid.T) {
			low := rapid.Float64Range(0.5, 20).Draw(t, "low")
			r := Range{low, low + rapid.Float64Range(0.5, 50).Draw(t, "width")}
			bounds := boundsIn(t, s.CheckVolumeL(r.Max*2, r).Error())
			for _, b := range bounds {
				l, err := s.ParseVolumeL(b)
				if err != nil {
					t.Fatal(err)
				}
				if err := s.CheckVolumeL(l, r); err != nil {
					t.Fatalf("%q: %v", b, err)
				}
			}
		}))
	}
}

// TestPourTellsWhatIsPoured: whole marks of any jug read back as what they hold,
// to the 0.2 % that a mark may be off its cups and half a hundredth of a litre.
func TestPourTellsWhatIsPoured(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]System{Metric, US}).Draw(t, "units")
		stepL := rapid.OneOf(rapid.Float64Range(0.05, 5), rapid.SampledFrom([]float64{0.1, 0.24, 0.25, 0.5, 1, LPerUSCup, LPerUSCup / 4, LPerUSPint})).Draw(t, "mark, L")
		n := rapid.IntRange(1, 200).Draw(t, "marks")
		l := float64(n) * stepL
		text, read := s.Pour(l, stepL), 0.0
		var marks int
		if _, err := fmt.Sscanf(text, "%d mark", &marks); err == nil && s == US {
			read = float64(marks) * stepL
		} else if read, err = s.ParseVolumeL(text); err != nil {
			t.Fatal(err)
		}
		if math.Abs(read-l) > 0.002*l+0.005+1e-6 {
			t.Fatalf("%v L is told as %q, which is %v L", l, text, read)
		}
	})
}
