package ledger_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A batch has one date, that its wash was lifted at, and so has its day: put to soak the evening before, racked after
// midnight, they are of the day between; so the row of the record has it.
func TestOneDateOfAWash(t *testing.T) {
	plan := sessiontest.RecordPlan()
	plan.Batches = plan.Batches[:1]
	plan.Batches[0].Presoak = shed.PresoakQuick
	evening := time.Date(2026, 6, 12, 21, 0, 0, 0, time.UTC)
	r := sessiontest.StartAt(t, plan, evening).Until(0, shed.Soaking)
	row := func() (s ledger.Summary) {
		must.Do(t, json.Unmarshal(must.Get(json.Marshal(ledger.Summarise(1, r.Day))).In(t), &s))
		return s
	}
	date := func(at time.Time) string { return at.Format("2 Jan") }
	if s := row(); date(s.WashedOn()) != "12 Jun" || date(r.Day.WashedOn()) != "12 Jun" {
		t.Errorf("soaking: %v, %v", s.WashedOn(), r.Day.WashedOn())
	}
	r.Wait(11*60).Until(0, shed.Draining).Next(0).Until(0, shed.Draining) // out of its presoak, then of its wash
	if !r.Day.Baths[len(r.Day.Baths)-1].LiftedAt.IsZero() && r.Now.Day() != 13 {
		t.Fatalf("the wash was lifted %v", r.Now)
	}
	r.Wait(17*60).Until(0, shed.ToRack).Next(0)
	if r.Now.Day() != 14 {
		t.Fatalf("racked %v", r.Now)
	}
	r.Do(session.EndDay{})
	s, b := row(), r.Day.Plan.Batches[0]
	sessiontest.Same(t, "day, its row, batch, its row, on the rack, tag",
		[]string{date(r.Day.WashedOn()), date(s.WashedOn()), date(r.Day.Fate["A1"].WashedAt(r.Day.EndedAt)), date(s.WashedAt(&s.Rows[0])),
			date(must.Get(r.Day.Drying("A1")).In(t).Washed), date(ledger.Book(r.Day.Plan.Fleeces, []ledger.Summary{s})[0].Batches[0].At)},
		[]string{"13 Jun", "13 Jun", "13 Jun", "13 Jun", "13 Jun", "13 Jun"})
	if text := r.Day.TagText(&b, r.Now); !strings.Contains(text, "13 Jun 2026") {
		t.Errorf("its tag: %s", text)
	}
}

// A batch that came on the rack without water gives its day no date, in its row as in itself.
func TestNoDateOfWhatSawNoWater(t *testing.T) {
	morning := time.Date(2026, 6, 12, 8, 0, 0, 0, time.UTC)
	d := session.Day{StartedAt: morning, Plan: sessiontest.RecordPlan()}
	d.Plan.Batches[0].ID, d.Plan.Batches[1].ID = "A1", "A2"
	d.Fate = map[string]session.Fate{"A1": {RackedAt: morning.Add(time.Hour)},
		"A2": {SunkAt: morning.Add(14 * time.Hour), LiftedAt: morning.Add(20 * time.Hour)}}
	s := ledger.Summarise(1, d)
	sessiontest.Same(t, "day and its row", []time.Time{d.WashedOn(), s.WashedOn()}, []time.Time{morning.Add(20 * time.Hour), morning.Add(20 * time.Hour)})
}
