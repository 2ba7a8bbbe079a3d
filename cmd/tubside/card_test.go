package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/tags"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// The steps of a card stand in the order of their way, though the first batch went without one
// of them, and the card says which did.
func TestACardKeepsTheOrderOfSteps(t *testing.T) {
	p := sessiontest.ManyBatches(2, 2)
	for i := range p.Batches {
		p.Batches[i].Presoak = shed.PresoakNone
	}
	r := sessiontest.Start(t, p)
	for tub := range 2 {
		for r.Day.Tubs[tub].Step().Name != "first rinse" {
			r.Wait(1).Next(tub)
		}
		if tub == 0 {
			r.Do(session.SkipStep{Tub: tub})
		}
		r.Until(tub, shed.ToSpin)
	}
	var found []tags.Tag
	for i, code := range []string{"K1", "K2"} {
		x := tags.Tag{Code: code, Batch: r.Day.Plan.Batches[i].ID}
		x.Record.Day = 1
		found = append(found, x)
	}
	var got []string
	for _, l := range (&tagging{}).howWashed(found, map[shed.DayID]session.Day{1: r.Day})[1:] {
		text := l[0]
		if at := strings.Index(l[1], "skipped"); at >= 0 {
			text += ": " + l[1][at:]
		}
		got = append(got, text)
	}
	sessiontest.Same(t, "steps", got, []string{"hot wash", "first rinse: skipped for K1", "second rinse"})
}

// A batch that was washed again counts once, by its second wash; both stand on the card.
func TestACardCountsABatchWashedAgainOnce(t *testing.T) {
	days, found := map[shed.DayID]session.Day{}, []tags.Tag{}
	for i, dryG := range []float64{150, 120} {
		p := sessiontest.RecordPlan()
		p.Batches = p.Batches[:1]
		if i > 0 {
			p.Batches[0].Again = shed.Earlier{Day: 1, Batch: "A1"}
		}
		r := sessiontest.Start(t, p).Until(0, shed.ToRack).Next(0)
		r.Do(session.Weigh{Batch: "A1", DryG: dryG, Dry: true, Scale: sessiontest.KitchenScale, Sure: true})
		r.Do(session.Judge{Batch: "A1", Out: session.Outcome{Found: session.FoundClean, Place: "attic"}})
		id := shed.DayID(i + 1)
		days[id] = r.Day
		more := must.Get(tags.FromDay(id, r.Day, time.UTC)).In(t)
		found = append(found, more...)
	}
	first := days[1]
	f := first.FleeceOf("A1")
	f.Breed, f.Farm, f.Year, f.Shorn = "Invented x Devised", "Ninefold Farm", 2026, "May 3"
	c := must.Get((&tagging{}).cardWith(f, found, days)).In(t)
	said := fmt.Sprint(c.Parts)
	for _, text := range []string{"[breed Invented x Devised]", "200 g raw, in 1 batch", "120 g dry of 200 g raw", "60.0 % as weighed"} {
		if !strings.Contains(said, text) {
			t.Errorf("the card does not say %q: %s", text, said)
		}
	}
	old := days[1] // its method was not written down
	old.Plan.Method.Name = ""
	if lines := (&tagging{}).howWashed(found, map[shed.DayID]session.Day{1: old, 2: days[2]}); lines[0][1] != days[2].Plan.Method.Name {
		t.Errorf("method %q", lines[0][1])
	}
	sessiontest.Same(t, "rows", len(c.Rows), 2)
	sessiontest.Same(t, "under", c.Under, "Ninefold Farm, shorn May 3, 2026")
	sessiontest.Same(t, "first wash", strings.HasSuffix(c.Rows[0][2], ", washed twice"), false)
	sessiontest.Same(t, "second wash", strings.HasSuffix(c.Rows[1][2], ", washed twice"), true)
	sessiontest.Same(t, "came out before", c.Rows[0][len(c.Rows[0])-1], "clean; washed again")
	sessiontest.Same(t, "found in all", foundText(map[session.Found]int{session.FoundClean: 3, session.Brittle: 1}, 3), "clean (all 3), brittle (1 of 3)")
	sessiontest.Same(t, "came out", c.Rows[1][len(c.Rows[1])-1], "clean") // where the bag is kept is no buyer's business
	if more := found[1].Washes; !strings.Contains(more, "twice, before that code "+found[0].Code) {
		t.Errorf("the second label says %s", more)
	}
}
