package session_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// A method of presoaks alone and a batch that takes none: refused, and a record
// of old that holds it can still be looked at.
func TestBatchWithoutABath(t *testing.T) {
	soak := session.Method{Name: "soak", Steps: []session.Step{{Kind: session.Presoak, Name: "cool", SoakMin: 30, Water: session.FromCold, FillPart: 1}}}
	p := oneTub(func(p *session.Plan) { p.Method = soak })
	if err := p.Validate(); err == nil || !strings.Contains(err.Error(), "goes through no bath") {
		t.Errorf("%v", err)
	}
	p.Batches[0].Presoak = session.PresoakAsMethod
	r := start(t, p)
	_ = r.refused(session.AddBatch{Batch: session.Batch{FleeceID: "f1", RawG: 100, Presoak: session.PresoakNone}}, "goes through no bath")
	// As an older version may have written it.
	added := session.Apply(r.day, session.Recorded{Seq: r.day.LastSeq + 1, At: r.now, Event: session.BatchAdded{Batch: session.Batch{ID: "A2", FleeceID: "f1", RawG: 100, Presoak: session.PresoakNone}}})
	if table, err := added.Timetable(r.now, session.Quick); err != nil || len(table.Pieces) == 0 {
		t.Errorf("%+v, %v", table, err)
	}
	_ = added.Prompts(r.now)
}

// What cannot be written down is refused, or all that comes after would wait
// for it.
func TestNoFigureThatIsNone(t *testing.T) {
	r := start(t, oneTub())
	broken := r.day.Plan.Kit
	broken.Tubs = append([]session.Tub(nil), broken.Tubs...)
	broken.Tubs[0].FillL = math.Inf(-1)
	d := session.Apply(r.day, session.Recorded{Seq: r.day.LastSeq + 1, At: r.now, Event: session.KitChanged{Kit: broken}})
	if _, recs, err := session.Do(d, session.DoNext{Act: session.FillTub}, r.now); err == nil || !strings.Contains(err.Error(), "is no number") || len(recs) > 0 {
		t.Errorf("%v, %v", recs, err)
	}
}

// A clock that is set moves the whole day: its length and the hours that a batch
// has dried stay what they are.
func TestClockSetKeepsLengths(t *testing.T) {
	day := func(by time.Duration) (*run, time.Duration) {
		r := washed(t)
		from := r.now
		r.do(session.WeighWet{Batch: "A1", MassG: 170, Scale: kitchen})
		if by != 0 {
			r.now = r.now.Add(by)
			r.do(session.SetClock{By: by})
		}
		r.now = r.now.Add(4 * time.Hour)
		r.do(session.WeighWet{Batch: "A1", MassG: 130, Scale: kitchen}, session.EndDay{})
		return r, from.Sub(dawn) + 4*time.Hour
	}
	plain, length := day(0)
	want, err := plain.day.Drying("A1")
	if err != nil {
		t.Fatal(err)
	}
	for _, by := range []time.Duration{-5 * time.Hour, time.Hour, -26 * time.Hour} {
		r, _ := day(by)
		if got := r.day.EndedAt.Sub(r.day.StartedAt); got != length {
			t.Errorf("clock set by %v: the day took %v, want %v", by, got, length)
		}
		x, err := r.day.Drying("A1")
		if err != nil || x.Forecast.RestingG != want.Forecast.RestingG {
			t.Errorf("clock set by %v: rests at %+v, want %+v (%v)", by, x.Forecast.RestingG, want.Forecast.RestingG, err)
		}
		replay(t, r, nil)
	}
}

// No mark is given twice: a new tub or tray must not inherit what belongs to
// one that is gone.
func TestMarksAreNotGivenTwice(t *testing.T) {
	k := session.DefaultKit()
	k.Trays = []session.Tray{{Name: "top", Places: 1}, {Name: "low", Places: 1}}
	k = k.Clean()
	last := k.Tubs[len(k.Tubs)-1].ID
	fewer := k
	fewer.Tubs, fewer.Trays = k.Tubs[:len(k.Tubs)-1], k.Trays[:1]
	fewer = fewer.Instead(k, time.Time{}).Clean()
	more := fewer
	more.Tubs = append(append([]session.Tub(nil), fewer.Tubs...), session.Tub{Name: "Zinc", CapacityL: 12, FillL: 8})
	more.Trays = append(append([]session.Tray(nil), fewer.Trays...), session.Tray{Name: "attic", Places: 1})
	more = more.Instead(fewer, time.Time{}).Clean()
	if got := more.Tubs[len(more.Tubs)-1].ID; got == last || got == "" {
		t.Errorf("the new tub has the mark %q of the one that is gone", got)
	}
	if got := more.Trays[1].ID; got == k.Trays[1].ID || got == "" {
		t.Errorf("the new tray has the mark %q of the one that is gone", got)
	}
	if again := more.Instead(more, time.Time{}).Clean(); again.Marks != more.Marks {
		t.Errorf("marks %d became %d", more.Marks, again.Marks)
	}
}

// Weights that are not likely on the rack are asked about.
func TestUnlikelyOnTheRack(t *testing.T) {
	r := washed(t) // A1 of 200 g, A2 of 250 g, a medium fleece
	r.now = r.now.Add(time.Hour)
	r.do(session.WeighWet{Batch: "A1", MassG: 210, Scale: kitchen})
	r.now = r.now.Add(20 * time.Hour)
	_ = r.refused(session.WeighWet{Batch: "A1", MassG: 211, Scale: kitchen}, "weighs more than raw and has not dried at all in 20 h")
	_ = r.refused(session.WeighWet{Batch: "A1", MassG: 60, Scale: kitchen}, "less than such fleece weighs dry (72 g at least)")
	r.do(session.WeighWet{Batch: "A1", MassG: 130, Scale: kitchen})
	if x, err := r.day.Drying("A1"); err != nil || x.Forecast.RestingG.High > 200 {
		t.Errorf("rests at %+v of 200 g raw (%v)", x.Forecast.RestingG, err)
	}
	_ = r.refused(session.WeighRaw{Batch: "A1", RawG: 41, Scale: kitchen}, "more than 41 g raw can hold")
	r.do(session.WeighWet{Batch: "A2", MassG: 260, Scale: kitchen}, session.WeighRaw{Batch: "A2", RawG: 200, Scale: kitchen})
	_ = r.refused(session.WeighRaw{Batch: "A2", RawG: 50, Scale: kitchen}, "wet it weighed 260 g, more than 50 g raw can hold")
	r.do(session.Weigh{Batch: "A1", DryG: 110, Scale: kitchen, Sure: true})
	_ = r.refused(session.WeighRaw{Batch: "A1", RawG: 115, Scale: kitchen}, "more than nearly any raw fleece gives")
	replay(t, r, nil)
}
