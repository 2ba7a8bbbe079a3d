package yield

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

func TestBadWeightsAreSentences(t *testing.T) {
	for _, row := range []struct {
		name     string
		batch    Batch
		want     string
		question bool
	}{
		{"dry heavier", Batch{RawG: 100, DryG: 118}, "118 g dry is more than the 100 g it weighed raw", false},
		{"no raw", Batch{DryG: 118}, "a raw weight must be more than 0, not 0 g", false},
		{"no dry", Batch{RawG: 225}, "a dry weight must be more than 0, not 0 g", false},
		{"negative", Batch{RawG: 225, DryG: -3}, "a dry weight must be more than 0, not -3 g", false},
		{"not a number", Batch{RawG: math.NaN(), DryG: 118}, "the raw weight is not a number", false},
		{"infinite", Batch{RawG: 225, DryG: math.Inf(1)}, "the dry weight is not a number", false},
		{"a lorry", Batch{RawG: 2e6, DryG: 1e6}, "more than any fleece", false},
		{"kilograms as grams, dry", Batch{RawG: 225, DryG: 0.118}, "did you mean 118 g dry?", false},
		{"grams as kilograms, dry", Batch{RawG: 225, DryG: 118000}, "did you mean 118 g dry?", false},
		{"kilograms as grams, raw", Batch{RawG: 0.225, DryG: 118}, "did you mean 225 g raw?", false},
		{"grams as ounces, dry", Batch{RawG: 200, DryG: 121 * 28.349523125}, "did you mean 121 g dry?", false},
		{"ounces as grams, dry", Batch{RawG: 225, DryG: 4.162}, "did you mean 118 g dry?", false},
		{"a coarse scale", Batch{RawG: 10, DryG: 5, RawStepG: 5, DryStepG: 5}, "use a finer one", false},
		{"a step that cannot be", Batch{RawG: 225, DryG: 118, RawStepG: -1}, "a scale can't have steps of -1 g", false},
		{"hardly washed", Batch{RawG: 225, DryG: 200}, "a yield of 88.9 %, more than nearly any", true},
		{"half of it lost", Batch{RawG: 225, DryG: 40}, "a yield of 17.8 %, less than nearly any", true},
	} {
		err := row.batch.Check(nil)
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: %v, want %q", row.name, err, row.want)
		}
		if q := (Question{}); errors.As(err, &q) != row.question {
			t.Errorf("%s: question %v: %v", row.name, !row.question, err)
		}
		row.batch.Sure = true
		if err := row.batch.Check(nil); (err == nil) != row.question {
			t.Errorf("%s, and sure: %v", row.name, err)
		}
	}
	if err := (Batch{RawG: 225, DryG: 118}).Check(nil); err != nil {
		t.Error(err)
	}
	ounces := func(float64) string { return "so many ounces" }
	if err := (Batch{RawG: 100, DryG: 118}).Check(ounces); !strings.Contains(err.Error(), "so many ounces dry") {
		t.Errorf("in the person's unit: %v", err)
	}
}

// A half goes up, as measure.PercentFigure has it.
func TestHalvesGoUp(t *testing.T) {
	for part, want := range map[float64][2]string{0.525: {"53 %", "52.5 %"}, 0.575: {"58 %", "57.5 %"}, 0.0725: {"7 %", "7.3 %"}} {
		if whole, tenths := wholePercent(part), percent(part); whole != want[0] || tenths != want[1] {
			t.Errorf("%g: %s, %s", part, whole, tenths)
		}
	}
}

func TestYieldOfABatch(t *testing.T) {
	r := must.Get(ofBatch(Batch{RawG: 225, DryG: 118, RawStepG: 5, DryStepG: 1}, Room{Known: true, RH: 0.65, Side: Drying}, TradeRegain)).In(t)
	y := 118.0 / 225
	near(t, "yield", r.AsWeighed.Likely, y, 1e-12)
	near(t, "sd: step/√12 of each, recomputed", r.RoundingSD, y*math.Hypot(5/math.Sqrt(12)/225, 1/math.Sqrt(12)/118), 1e-12)
	// 65 % drying is 15.89 % regain by the isotherm.
	near(t, "at standard", r.AtStandard.Likely, y*1.16/(1+0.16*IsothermFactor(0.65)), 1e-12)
	if !r.TwoScales || !strings.Contains(strings.Join(r.Remarks, "; "), "different scales (steps of 5 g and 1 g)") {
		t.Errorf("two scales not told: %q", r.Remarks)
	}
	named, err := ofBatch(Batch{RawG: 225, DryG: 118, RawScale: "hanging", DryScale: "kitchen"}, Room{}, TradeRegain)
	if err != nil || !named.TwoScales || named.RegainSure || len(named.Remarks) != 2 {
		t.Errorf("%+v, %v", named, err)
	}
	damp, err := ofBatch(Batch{RawG: 225, DryG: 118}, Room{Known: true, RH: 0.9, Side: Drying}, TradeRegain)
	if err != nil || damp.RegainSure || len(damp.Remarks) != 1 || !strings.Contains(damp.Remarks[0], "above 85 %") {
		t.Errorf("%+v, %v", damp, err)
	}
}

// A damp room makes the same fleece heavier: at standard regain both agree.
func TestStandardRegainTakesTheRoomOut(t *testing.T) {
	const boneG, rawG = 104.0, 225.0
	var got []float64
	for _, rh := range []float64{0.4, 0.55, 0.7} {
		regain, _ := must.Get2(Regain(rh, Drying)).In(t)
		r := must.Get(ofBatch(Batch{RawG: rawG, DryG: boneG * (1 + regain)}, Room{Known: true, RH: rh, Side: Drying}, commercialRegain)).In(t)
		got = append(got, r.AtStandard.Likely)
		near(t, "at commercial regain", r.AtStandard.Likely, boneG*1.136/rawG, 1e-12)
	}
	if len(got) != 3 {
		t.Fatal(got)
	}
	_, err := ofBatch(Batch{RawG: 225, DryG: 118}, Room{Known: true, RH: 55}, commercialRegain)
	if err == nil || !strings.Contains(err.Error(), "humidity") {
		t.Errorf("a humidity of 55 as a part: %v", err)
	}
}

func TestFleeceNamesTheBatchThatIsWrong(t *testing.T) {
	_, err := OfFleece([]Batch{{RawG: 225, DryG: 118}, {RawG: 225, DryG: 220}}, Room{}, TradeRegain, nil)
	if err == nil || !strings.HasPrefix(err.Error(), "batch 2: ") {
		t.Errorf("%v", err)
	}
	if q := (Question{}); !errors.As(err, &q) {
		t.Error("no longer a question inside a fleece")
	}
	if _, err := OfFleece(nil, Room{}, TradeRegain, nil); err == nil {
		t.Error("no batch passes")
	}
}

func TestCompareWithTheUsual(t *testing.T) {
	for _, row := range []struct {
		part  float64
		kind  string
		place Place
		want  string
	}{
		{0.524, "medium", Within, "within the usual 45-60 % of medium fleece"},
		{0.30, "fine", Below, "below the usual 35-60 % of fine fleece"},
		{0.82, "longwool", Above, "above the usual 55-80 % of longwool fleece"},
		{0.70, "double-coated", Within, "within the usual 65-80 % of double-coated fleece"},
	} {
		place, text, err := Compare(row.part, row.kind)
		if err != nil || place != row.place || !strings.HasPrefix(text, row.want) {
			t.Errorf("%v %s: %v %q %v", row.part, row.kind, place, text, err)
		}
	}
	if _, _, err := Compare(0.5, "angora"); err == nil || !strings.Contains(err.Error(), "fine, medium, longwool, double-coated") {
		t.Errorf("%v", err)
	}
	if _, _, err := Compare(math.NaN(), "fine"); err == nil {
		t.Error("NaN passes")
	}
}

// ofBatch is the yield of one batch.
func ofBatch(b Batch, room Room, standardRegain float64) (Report, error) {
	return OfFleece([]Batch{b}, room, standardRegain, nil)
}
