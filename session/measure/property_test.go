package measure

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/must"
)

// trip is one way of writing a quantity, and back.
type trip struct {
	name     string
	write    func(float64) string
	parse    parser
	min, max float64
	step     func(v float64) float64 // what it is written to, in the program's unit
	field    bool                    // it stands in a form: saved twice it moves once
}

func always(step float64) func(float64) float64 { return func(float64) float64 { return step } }

// finer is a step that is another one from a size on.
func finer(step, from float64, then func(float64) float64) func(float64) float64 {
	return func(v float64) float64 {
		if math.Abs(v) < from {
			return step
		}
		return then(v)
	}
}

func trips(s System) []trip {
	degree := 1.0
	if s.Fahrenheit() {
		degree = DeltaFToC(1)
	}
	fine, shown, volume := always(0.01), finer(0.001, 0.9995, always(0.1)), finer(0.001, 0.9995, always(0.01))
	mark := 0.001
	if m, ok := s.measures(); ok {
		mark = 0.001 * m.smallL
		small := func(then func(float64) float64) func(float64) float64 {
			return finer(0.1*m.mLPerFlOz/1000, m.smallL/4-0.05*m.mLPerFlOz/1000, then)
		}
		fine = small(always(m.smallL / 4))
		volume, shown = fine, small(finer(m.smallL/4, (m.perGal-0.125)*m.smallL, always(max(1, m.perMid)*m.smallL)))
	}
	mass, massField := finer(0.1, 9.95, finer(1, 999.5, always(10))), always(0.1)
	if s.Ounces() {
		mass, massField = always(GPerOz/10), always(GPerOz/100)
	}
	dose, doseField := finer(0.1, 9.95, always(1)), always(0.01)
	if s.USVolume() {
		doseField = finer(0.01*MLPerUSTsp, MLPerUSTsp/8, always(MLPerUSTsp/4))
		dose = finer(MLPerUSTsp/4, 11.875*MLPerUSTsp, always(0.75*MLPerUSTsp))
	}
	// A dose has its teaspoons behind it, and says in words that it is less than any spoon.
	readDose := func(text string) (float64, error) {
		if strings.HasPrefix(text, "under") {
			return 0, nil
		}
		text, _, _ = strings.Cut(text, " (")
		return s.ParseDoseML(text)
	}
	staple, height := 1.0, 1.0
	if s.Inches() {
		staple, height = 25.4/8+0.1, MPerFoot // a length is kept to 0.1 mm
	}
	fineTemp := degree
	if !s.Fahrenheit() {
		fineTemp = 0.1
	}
	return []trip{
		{"temperature field", s.TempField, s.ParseTempC, -50, 190, always(degree / 10), true},
		{"temperature", s.Temp, s.ParseTempC, -50, 190, always(degree), false},
		{"temperature fine", s.TempFine, s.ParseTempC, -50, 190, always(fineTemp), false},
		{"reading", s.TempRead, s.ParseTempC, -50, 190, always(degree / 10), false},
		{"difference", s.TempDelta, s.ParseTempDeltaC, -95, 95, always(degree / 10), false},
		{"volume field", s.VolumeField, s.ParseVolumeL, 0, 9000, fine, true},
		{"volume", s.Volume, s.ParseVolumeL, 0, 9000, shown, false},
		{"volume fine", s.VolumeFine, s.ParseVolumeL, 0, 9000, fine, false},
		{"pour", func(l float64) string { return s.Pour(l, s.FinestL()) }, s.ParseVolumeL, 2 * s.FinestL(), 9000, volume, false},
		{"jug field", s.JugField, s.ParseJugL, max(0.05, s.FinestL()), 90, always(max(0.05, s.FinestL())), true},
		{"jug's mark field", s.MarkField, s.ParseJugL, 0, 90, always(mark), true},
		{"mass field", s.MassField, s.ParseMassG, 0, 900_000, massField, true},
		{"mass typed", s.MassTyped, s.ParseMassG, 0, 900_000, massField, false},
		{"mass", s.Mass, s.ParseMassG, 0, 900_000, mass, false},
		{"scale's step", s.Step, s.ParseMassG, 0.001, 100, always(0.001 * s.bareG()), false},
		{"dose field", s.DoseField, s.ParseDoseML, 0, 90_000, doseField, true},
		{"dose", s.Dose, readDose, 0, 90_000, dose, false},
		{"time", Minutes, s.ParseMinutes, 0, 40_000, finer(1.0/60, 9.99, finer(1, 1439.5, always(61))), false},
		{"power", Power, s.ParsePowerW, 0, 90_000, finer(1, 999.5, always(10)), false},
		{"height", s.Height, s.ParseHeightM, -900, 9000, always(height), false},
		{"staple field", s.StapleField, s.ParseStapleMM, 0, 400, always(staple), true},
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

// everySystem are the systems that a person begins with, and one for each other mix of
// temperature, volume and weight.
func everySystem() []System {
	var out []System
	for s := range beyond {
		if s.valid() && s < clock12 || s == US {
			out = append(out, s)
		}
	}
	return out
}

func everyTrip(t *testing.T, fits func(trip) bool, check func(t *rapid.T, p trip)) {
	for _, s := range everySystem() {
		for _, p := range trips(s) {
			if !fits(p) {
				continue
			}
			t.Run(s.String()+" "+p.name, rapid.MakeCheck(func(t *rapid.T) { check(t, p) }))
		}
	}
}

// TestRoundTrip: what is shown or stands in a field reads as what it is of, within half
// the step that it is shown to; and saving a form once more moves nothing.
func TestRoundTrip(t *testing.T) {
	everyTrip(t, func(trip) bool { return true }, func(t *rapid.T, p trip) {
		v := p.value(t, "v")
		text := p.write(v)
		got, err := p.parse(text)
		if err != nil {
			t.Fatalf("%v is written %q: %v", v, text, err)
		}
		if math.Abs(got-v) > p.step(v)/2*(1+1e-6)+1e-9*math.Abs(v) {
			t.Fatalf("%v is written %q and reads as %v", v, text, got)
		}
		if again := p.write(got); p.field && again != text {
			t.Fatalf("%v fills %q, then %q", v, text, again)
		}
	})
}

// TestShowMonotone: more never reads as less, across every change of unit.
func TestShowMonotone(t *testing.T) {
	everyTrip(t, func(trip) bool { return true }, func(t *rapid.T, p trip) {
		a := p.value(t, "a")
		b := a + rapid.Float64Range(0, 2).Draw(t, "more")
		shownA, errA := p.parse(p.write(a))
		shownB, errB := p.parse(p.write(b))
		if errA != nil || errB != nil {
			t.Fatalf("%q: %v; %q: %v", p.write(a), errA, p.write(b), errB)
		}
		slack := 1e-9 * math.Abs(shownB)
		// What is a whole part of an ounce or a spoon stands as it is, beside what is rounded.
		whole := math.Abs(shownA-a) < 0.001 || math.Abs(shownB-b) < 0.001
		if spoons := strings.Contains(p.name, "dose"); whole && (spoons || strings.Contains(p.name, "mass") && strings.Contains(p.write(1000), "lb")) {
			slack += p.step(b) / 2
		}
		if shownA > shownB+slack {
			t.Fatalf("%v shows %q, %v shows %q", a, p.write(a), b, p.write(b))
		}
	})
}

// TestShownBoundIsAccepted: whoever types a bound from the sentence is let in.
func TestShownBoundIsAccepted(t *testing.T) {
	for _, s := range everySystem() {
		t.Run(s.String(), rapid.MakeCheck(func(t *rapid.T) {
			low := rapid.Float64Range(0.5, 20).Draw(t, "low")
			r := Range{low, low + rapid.Float64Range(0.5, 50).Draw(t, "width")}
			bounds := boundsIn(t, s.CheckVolumeL(r.Max*2, r).Error())
			for _, b := range bounds {
				l := must.Get(s.ParseVolumeL(b)).In(t)
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
		s := rapid.SampledFrom(everySystem()).Draw(t, "units")
		stepL := rapid.OneOf(rapid.Float64Range(0.05, 5), rapid.SampledFrom([]float64{0.1, 0.24, 0.25, 0.5, 1, LPerUSCup, LPerUSCup / 4, LPerUSPint})).Draw(t, "mark, L")
		n := rapid.IntRange(1, 200).Draw(t, "marks")
		l := float64(n) * stepL
		text, read := s.Pour(l, stepL), 0.0
		var marks int
		if _, err := fmt.Sscanf(text, "%d mark", &marks); err == nil && s.Inches() {
			read = float64(marks) * stepL
		} else if read, err = s.ParseVolumeL(text); err != nil {
			t.Fatal(err)
		}
		if math.Abs(read-l) > 0.002*l+0.005+1e-6 {
			t.Fatalf("%v L is told as %q, which is %v L", l, text, read)
		}
	})
}

// TestShownMinIsBetweenTheTimesBeside: a stretch is as long as the times of its ends say, and the
// parts of one add up to it.
func TestShownMinIsBetweenTheTimesBeside(t *testing.T) {
	day := time.Date(2026, 3, 14, 0, 0, 0, 0, time.UTC)
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) time.Time {
			return day.Add(time.Duration(rapid.Int64Range(0, int64(24*time.Hour)-1).Draw(t, name)))
		}
		a, b, c := draw("from"), draw("to"), draw("between")
		clock := func(at time.Time) float64 { return float64(at.Hour()*60 + at.Minute()) }
		got := ShownMin(a, b)
		if clock(a) != clock(b) && got != clock(b)-clock(a) {
			t.Fatalf("%v to %v: %v min", a, b, got)
		}
		if clock(a) == clock(b) && math.Abs(got) > 1 {
			t.Fatalf("%v to %v: %v min", a, b, got)
		}
		if clock(a) != clock(b) && clock(b) != clock(c) && clock(a) != clock(c) && ShownMin(a, c)+ShownMin(c, b) != got {
			t.Fatalf("%v to %v by %v: %v min", a, b, c, got)
		}
	})
}
