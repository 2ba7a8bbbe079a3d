package cooling_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"fleece.example/tubside/cooling"
)

func TestOneMistypedReading(t *testing.T) {
	b := planned(cooling.Lid, 65, 1, 0)
	for _, row := range []struct {
		what     string
		readings []cooling.Reading
		index    int
		meant    cooling.Mistyping
		meantC   float64
	}{
		{"in a row", []cooling.Reading{{4, 63}, {8, 36}, {12, 62}, {16, 61}}, 1, cooling.SwappedDigits, 63},
		{"the second of two", []cooling.Reading{{4, 63}, {10, 26}}, 1, cooling.SwappedDigits, 62},
		{"the first of two", []cooling.Reading{{4, 36}, {20, 61}}, 0, cooling.SwappedDigits, 63},
		{"the only one", []cooling.Reading{{4, 36}}, 0, cooling.SwappedDigits, 63},
		{"with its tenths", []cooling.Reading{{4, 63.1}, {8, 26.4}}, 1, cooling.SwappedDigits, 62.4},
		{"from a dial in °F", []cooling.Reading{{4, 63}, {8, 144}, {12, 62}}, 1, cooling.Fahrenheit, 62.2222},
		{"no way to read it", []cooling.Reading{{4, 63}, {8, 77}, {12, 62}}, 1, cooling.Unexplained, 0},
		{"out of order", []cooling.Reading{{12, 62}, {math.NaN(), 7}, {8, 36}, {4, 63}}, 2, cooling.SwappedDigits, 63},
		{"below the room", []cooling.Reading{{4, 63}, {8, 6.2}, {12, 62}}, 1, cooling.Unexplained, 0},
		{"above boiling", []cooling.Reading{{4, 63}, {8, 622}, {12, 62}}, 1, cooling.Unexplained, 0},
	} {
		got := b.Suspect(row.readings, simReadingSDC)
		if len(got) != 1 {
			t.Errorf("%s: %+v", row.what, got)
			continue
		}
		s := got[0]
		if s.Index != row.index || s.Meant != row.meant || math.Abs(s.Sigmas) < 4 {
			t.Errorf("%s: %+v", row.what, s)
		}
		near(t, row.what, s.MeantC, row.meantC, 1e-4)
		rest := append(append([]cooling.Reading(nil), row.readings[:row.index]...), row.readings[row.index+1:]...)
		want := b.Fit(rest, simReadingSDC)
		if s.Without.Crossing(49, 0) != want.Crossing(49, 0) {
			t.Errorf("%s: the fit without it is another", row.what)
		}
		tempC, _ := want.At(row.readings[row.index].AtMin)
		near(t, row.what+", expected", s.ExpectedC, tempC, 1e-9)
	}
}

func TestNobodyIsAccusedWithoutKnowledge(t *testing.T) {
	b := planned(cooling.Lid, 65, 1, 0)
	b.StartSDC, b.LossSDLog = math.NaN(), math.NaN()
	for _, readings := range [][]cooling.Reading{nil, {{4, 36}}, {{4, 63}, {10, 36}}, {{4, 63}, {10, math.NaN()}}} {
		if got := b.Suspect(readings, 0.5); len(got) != 0 {
			t.Errorf("%v: %+v", readings, got)
		}
	}
	if got := (cooling.Bath{}).Suspect([]cooling.Reading{{4, 36}}, 0.5); len(got) != 0 {
		t.Errorf("%+v", got)
	}
	// Where half of the readings disagree it is the bath that is not as told:
	// no more than a third are named.
	b = planned(cooling.Lid, 65, 1, 0)
	got := b.Suspect([]cooling.Reading{{4, 63}, {8, 62}, {12, 62}, {16, 40}, {20, 39}, {24, 38}}, 0.5)
	if len(got) > 2 {
		t.Errorf("%+v", got)
	}
}

// How often good readings are accused, and mistyped ones found: digits swapped
// where that moves the number by 9 °C or more.
func TestAccusationsAreRight(t *testing.T) {
	const seed1, seed2, baths = 41, 42, 2000
	for _, c := range []cooling.Cover{cooling.Lid, cooling.Open} {
		random := rand.New(rand.NewPCG(seed1, seed2))
		good, accused, swapped, found, explained, wrong := 0, 0, 0, 0, 0, 0
		for range baths {
			b := planned(c, 65, 1, 0)
			truth := truthOf(b, 65+simStartSDC*random.NormFloat64(), math.Exp(b.LossSDLog*random.NormFloat64()))
			readings := readingsOf(random, truth, 1+random.IntN(8))
			if len(readings) == 0 {
				continue
			}
			good += len(readings)
			accused += len(b.Suspect(readings, simReadingSDC))

			i := random.IntN(len(readings))
			was := readings[i].TempC
			readings[i].TempC = 10*math.Mod(was, 10) + math.Floor(was/10)
			if math.Abs(readings[i].TempC-was) < 9 {
				continue
			}
			swapped++
			for _, s := range b.Suspect(readings, simReadingSDC) {
				switch {
				case s.Index != i:
					wrong++
				case s.Meant == cooling.SwappedDigits && s.MeantC == was:
					explained++
					fallthrough
				default:
					found++
				}
			}
		}
		t.Logf("%s (seed %d, %d): of %d good readings %d accused (%.3f %%); of %d swapped %.1f %% found, %.1f %% explained; %d good ones accused beside them",
			c, seed1, seed2, good, accused, 100*float64(accused)/float64(good), swapped,
			100*float64(found)/float64(swapped), 100*float64(explained)/float64(swapped), wrong)
		if float64(accused) > 0.01*float64(good) {
			t.Errorf("%s: %d of %d good readings accused", c, accused, good)
		}
		if float64(found) < 0.95*float64(swapped) || float64(wrong) > 0.01*float64(good) {
			t.Errorf("%s: %d of %d found, %d wrong", c, found, swapped, wrong)
		}
	}
}

func TestWordsForMistypings(t *testing.T) {
	if got := cooling.Unexplained.String() + ", " + cooling.SwappedDigits.String() + ", " + cooling.Fahrenheit.String() + ", " + cooling.Celsius.String(); got != "unexplained, digits swapped, typed in °F, typed in °C" {
		t.Error(got)
	}
}

func BenchmarkSuspectNone(b *testing.B) {
	bath, readings := twentyReadings()
	b.ReportAllocs()
	for b.Loop() {
		bath.Suspect(readings, 0.5)
	}
}

func BenchmarkSuspectOne(b *testing.B) {
	bath, readings := twentyReadings()
	readings[7].TempC = 36
	b.ReportAllocs()
	for b.Loop() {
		bath.Suspect(readings, 0.5)
	}
}

// What was typed in °F is taken for °F: its digits are swapped, and 63 may be °C.
func TestSuspectReadInF(t *testing.T) {
	inC := func(f float64) float64 { return (f - 32) / 1.8 }
	for _, row := range []struct {
		typedF float64
		meant  cooling.Mistyping
		meantC float64
	}{
		{62, cooling.Celsius, 62},
		{154, cooling.SwappedDigits, inC(145)},
		{417, cooling.SwappedDigits, inC(147)},
		{416, cooling.SwappedDigits, inC(146)},
		{48, cooling.Unexplained, 0},
		{172, cooling.Unexplained, 0},
	} {
		readings := []cooling.Reading{{4, 63}, {8, inC(row.typedF)}, {12, 62}}
		if row.typedF == 154 { // 67.8 °C where 63 was expected
			readings = []cooling.Reading{{4, 63}, {6, 63}, {8, inC(row.typedF)}, {12, 62}}
		}
		got := washBath().Suspect(readings, simReadingSDC)
		if len(got) != 1 {
			t.Errorf("%g °F: %d suspects", row.typedF, len(got))
			continue
		}
		s := got[0]
		s.ReadInF(readings[s.Index], simReadingSDC)
		if s.Meant != row.meant || math.Abs(s.MeantC-row.meantC) > 1e-6 {
			t.Errorf("%g °F: %v, %.2f °C; want %v, %.2f", row.typedF, s.Meant, s.MeantC, row.meant, row.meantC)
		}
	}
}
