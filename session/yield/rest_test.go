package yield

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

func width(i Interval) float64 { return i.High - i.Low }

func rested(t *testing.T, bs []Batch, rest []Part, kind string) RestForecast {
	t.Helper()
	f := must.Get(ForecastRest(bs, rest, kind, nil)).In(t)
	return f
}

// Without a batch the forecast is the type's usual range, a little wider: a fleece
// may be off its type, and a rest of few batches wanders about its fleece.
func TestNothingWeighedIsTheUsual(t *testing.T) {
	f := rested(t, nil, []Part{{RawG: 2000}}, "longwool")
	near(t, "likely", f.YieldPart.Likely, 0.67, 0.02)
	if f.YieldPart.Low > 0.55 || f.YieldPart.High < 0.77 || width(f.YieldPart) > 0.40 {
		t.Errorf("%+v", f.YieldPart)
	}
	near(t, "dry grams", f.DryG.Likely, 2000*f.YieldPart.Likely, 1e-9)
}

// A heavy batch says more than a light one.
func TestHeavyBatchesCountMore(t *testing.T) {
	f := rested(t, []Batch{{RawG: 400, DryG: 200}, {RawG: 100, DryG: 60}, {RawG: 400, DryG: 202}}, []Part{{RawG: 1000}}, "")
	near(t, "near dry by raw of all, 51.3 %", f.YieldPart.Likely, 462.0/900, 0.01)
}

// The part weighed is known better than the parts that were not.
func TestSamePartIsKnownBetter(t *testing.T) {
	var bs []Batch
	for _, g := range []float64{110, 112, 109, 111} {
		bs = append(bs, Batch{RawG: 200, DryG: g, Part: "shoulder"})
	}
	same := rested(t, bs, []Part{{"shoulder", 800}}, "medium")
	other := rested(t, bs, []Part{{"britch", 800}}, "medium")
	unnamed := rested(t, bs, []Part{{RawG: 800}}, "medium")
	if width(same.YieldPart) >= width(other.YieldPart) || width(other.YieldPart) != width(unnamed.YieldPart) {
		t.Errorf("same part %+v, another %+v, not named %+v", same.YieldPart, other.YieldPart, unnamed.YieldPart)
	}
	if other.Parts != 1 || !strings.Contains(strings.Join(other.Remarks, " "), "one part") {
		t.Errorf("%+v", other)
	}
}

func TestRestRefusals(t *testing.T) {
	good := []Batch{{RawG: 225, DryG: 118}}
	for _, row := range []struct {
		bs   []Batch
		rest []Part
		kind string
		want string
	}{
		{good, nil, "", "nothing is left"},
		{good, []Part{{RawG: -5}}, "", "the rest can't be -5 g"},
		{good, []Part{{RawG: 100}}, "felt", "not a type of fleece"},
		{[]Batch{{RawG: 225, DryG: 300}}, []Part{{RawG: 100}}, "", "batch 1: 300 g dry is more"},
		{[]Batch{{}}, []Part{{RawG: 100}}, "", "batch 1: a raw weight must be more than 0"},
	} {
		if _, err := ForecastRest(row.bs, row.rest, row.kind, nil); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%v, want %q", err, row.want)
		}
	}
}
