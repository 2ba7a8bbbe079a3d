package session_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
)

func splitPlan(fillL float64) session.Plan {
	k := session.DefaultKit()
	for i := range k.Tubs {
		k.Tubs[i].CapacityL, k.Tubs[i].FillL = fillL*1.5, fillL
	}
	return session.Plan{Kit: k, Method: session.BuiltInMethod()}
}

// Batches of a part add up to it exactly, are alike to a gram, and none is
// fuller than its basket.
func TestSplitAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := splitPlan(rapid.Float64Range(2, 40).Draw(t, "fill"))
		parts := make([]session.Part, rapid.IntRange(1, 3).Draw(t, "parts"))
		for i := range parts {
			parts[i] = session.Part{
				Fleece: session.Fleece{ID: string(rune('a' + i)), Animal: "Invented", Type: session.FleeceType(rapid.IntRange(0, 3).Draw(t, "type"))},
				RawG:   float64(rapid.IntRange(10, 2500).Draw(t, "grams")), Form: session.Form(rapid.IntRange(0, 1).Draw(t, "form")),
			}
			if rapid.Bool().Draw(t, "ounces") {
				parts[i].RawG *= 1.003
			}
		}
		batches, err := p.Split(parts...)
		if err != nil {
			if !strings.Contains(err.Error(), "a day holds") {
				t.Fatal(err)
			}
			return
		}
		for i, part := range parts {
			sum, n, least, most := 0.0, 0, math.Inf(1), 0.0
			for _, b := range batches {
				if b.FleeceID == part.Fleece.ID {
					sum, least, most = sum+b.RawG, min(least, b.RawG), max(most, b.RawG)
					n++
				}
			}
			if math.Abs(sum-part.RawG) > 1e-9 || part.RawG == math.Trunc(part.RawG) && sum != part.RawG {
				t.Fatalf("part %d: batches of %g, given %g", i, sum, part.RawG)
			}
			basket := p.BasketG(part.Fleece.Type, part.Form)
			if most-least >= 2 || most > math.Ceil(basket)+1 {
				t.Fatalf("part %d: from %g to %g g in baskets of %g", i, least, most, basket)
			}
			if float64(n-1)*basket >= part.RawG { // one basket fewer would have held it
				t.Fatalf("part %d: %d baskets of %g for %g g", i, n, basket, part.RawG)
			}
		}
	})
}

// ASTM D584-10 (2018), 5.2.1: no more than 12 g of raw wool in a litre.
func TestPublishedBathRatio(t *testing.T) {
	p := splitPlan(8)
	batches, err := p.Split(session.Part{Fleece: session.Fleece{ID: "f", Animal: "Invented", Type: session.Longwool}, RawG: 1000})
	if err != nil {
		t.Fatal(err)
	}
	if len(batches) != 11 { // 1000 / 96
		t.Errorf("%d batches", len(batches))
	}
	for _, b := range batches {
		if c, crowded := p.CrowdedIn(b, p.Kit.Tubs[0]); crowded {
			t.Errorf("%g g in 8 L: %+v", b.RawG, c)
		}
	}
	c, crowded := p.CrowdedIn(session.Batch{ID: "A1", RawG: 225}, p.Kit.Tubs[0])
	if text := c.Say(p.Kit); !crowded || !strings.Contains(text, "28 g in each litre") || !strings.Contains(text, "96 g or a bath of 18.8 L") {
		t.Errorf("%v %q", crowded, text)
	}
}

// Springy fleece and locks get less (common practice, no source).
func TestUsualBaskets(t *testing.T) {
	p := splitPlan(40)
	long, fine, locks := p.BasketG(session.Longwool, session.Loose), p.BasketG(session.Fine, session.Loose), p.BasketG(session.Longwool, session.Locks)
	if long != 225 || fine < 165 || fine > 195 || locks != 115 {
		t.Errorf("longwool %g, fine %g, locks %g", long, fine, locks)
	}
}

func TestSplitRefuses(t *testing.T) {
	p := splitPlan(8)
	f := session.Fleece{ID: "f", Animal: "Invented"}
	for _, c := range []struct {
		part session.Part
		says string
	}{
		{session.Part{Fleece: f, RawG: 0}, "a whole fleece of"},
		{session.Part{Fleece: f, RawG: math.NaN()}, "a whole fleece of"},
		{session.Part{Fleece: f, RawG: 20000}, "a day holds 200 in all, so plan up to 19.2 kg"},
		{session.Part{Fleece: f, RawG: 500, BasketG: 1}, "a batch of"},
	} {
		if _, err := p.Split(c.part); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v", c.part, err)
		}
	}
	p.Kit.Units = measure.US
	if _, err := p.Split(session.Part{Fleece: f, RawG: -3}); err == nil || !strings.Contains(err.Error(), "oz") {
		t.Errorf("in the person's units: %v", err)
	}
}
