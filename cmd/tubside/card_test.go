package main

import (
	"strings"
	"testing"

	"fleece.example/tubside/cmd/tubside/tags"
	"fleece.example/tubside/session"
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
