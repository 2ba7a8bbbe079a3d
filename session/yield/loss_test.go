package yield

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

func TestBreakdownAddsUp(t *testing.T) {
	room := Room{Known: true, RH: 0.55, Side: Drying}
	ls := must.Get(Breakdown(Losses{RawG: 225, DryG: 118, AfterG: 185, Type: "medium"}, room, nil)).In(t)
	known := 0.0
	for _, l := range ls[1:] {
		if l.Known {
			known += l.LossG.Likely
		}
		if l.LossG.Low > l.LossG.Likely || l.LossG.Likely > l.LossG.High || l.Text == "" {
			t.Errorf("%+v", l)
		}
		if !l.Known && !strings.Contains(l.Text, "not known") {
			t.Errorf("a guess that does not say so: %q", l.Text)
		}
	}
	if ls[0].LossG.Likely != 107 || known != 107 {
		t.Errorf("107 g lost, told as %v and %v", ls[0].LossG.Likely, known)
	}
	// Wax of medium fleece is 5-15 % of raw (from memory).
	// Moisture: 104.5 g of bone-dry fibre (12.97 % regain at 55 %, drying) that was
	// stored at 7.75 % (35 %, taking up) to 19.8 % (75 %, drying), from the isotherm
	// worked by hand; the least where the dry wool holds most, the most where least.
	regain, _ := must.Get2(RegainIn(room)).In(t)
	for _, l := range ls {
		switch l.What {
		case "wax":
			near(t, "least wax", l.LossG.Low, 11.25, 1e-9)
			near(t, "most wax", l.LossG.High, 33.75, 1e-9)
		case "moisture, raw against dry":
			near(t, "least moisture", l.LossG.Low, 104.46*(0.07753-regain.High), 0.02)
			near(t, "most moisture", l.LossG.High, 104.46*(0.198-regain.Low), 0.02)
		}
	}
}

func TestBreakdownWithoutTheWeightBetween(t *testing.T) {
	ls := must.Get(Breakdown(Losses{RawG: 225, DryG: 118, Type: "fine"}, Room{}, nil)).In(t)
	known := 0
	for _, l := range ls {
		if l.Known {
			known++
		}
		if l.LossG.Low > l.LossG.Likely || l.LossG.Likely > l.LossG.High {
			t.Errorf("%+v", l)
		}
	}
	if known != 1 || len(ls) != 4 {
		t.Errorf("only the whole is known: %+v", ls)
	}
	for _, bad := range []float64{-1, 100, 300} {
		if _, err := Breakdown(Losses{RawG: 225, DryG: 118, AfterG: bad}, Room{}, nil); err == nil || !strings.Contains(err.Error(), "weigh it dried") {
			t.Errorf("%v g after the presoak: %v", bad, err)
		}
	}
}

// Spinner 35-50 %, by hand 100-200 % (from memory); rollers 50-100 %, nothing
// mechanical below 33-35 % (published).
func TestRetained(t *testing.T) {
	for _, row := range []struct {
		wetG float64
		fits string
	}{{125, "too dry"}, {142, "spinner"}, {175, "rollers"}, {250, "hand"}, {350, "wetter"}} {
		r, err := Retained(row.wetG, 100, 0, nil)
		if err != nil || r.Fits != row.fits {
			t.Errorf("%v g wet: %+v, %v", row.wetG, r, err)
		}
		near(t, "ratio", r.Ratio, row.wetG/100-1, 1e-12)
	}
	r := must.Get(Retained(142, 116, 0.16, nil)).In(t)
	near(t, "by its bone-dry mass", r.Ratio, 0.42, 1e-12)
	for _, bad := range [][2]float64{{0, 100}, {100, 0}, {90, 100}} {
		if _, err := Retained(bad[0], bad[1], 0, nil); err == nil {
			t.Errorf("%v passes", bad)
		}
	}
}
