package ledger_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A method of presoaks alone and a batch that takes none: refused, and a record
// of old that holds it can still be looked at.
func TestBatchWithoutABath(t *testing.T) {
	soak := shed.Method{Name: "soak", Steps: []shed.Step{{Kind: shed.Presoak, Name: "cool", SoakMin: 30, Water: shed.FromCold, FillPart: 1}}}
	p := sessiontest.OneTub(func(p *shed.Plan) { p.Method = soak })
	if err := p.Validate(); err == nil || !strings.Contains(err.Error(), "goes through no bath") {
		t.Errorf("%v", err)
	}
	p.Batches[0].Presoak = shed.PresoakAsMethod
	r := sessiontest.Start(t, p)
	_ = r.Refused(session.AddBatch{Batch: shed.Batch{FleeceID: "f1", RawG: 100, Presoak: shed.PresoakNone}}, "goes through no bath")
	// As an older version may have written it.
	added := session.Apply(r.Day, session.Recorded{Seq: r.Day.LastSeq + 1, At: r.Now, Event: session.BatchAdded{Batch: shed.Batch{ID: "A2", FleeceID: "f1", RawG: 100, Presoak: shed.PresoakNone}}})
	if table, err := planner.Schedule(added, r.Now, planner.Quick); err != nil || len(table.Pieces) == 0 {
		t.Errorf("%+v, %v", table, err)
	}
	_ = coach.Prompts(added, r.Now)
}

// What cannot be written down is refused, or all that comes after would wait
// for it.
func TestNoFigureThatIsNone(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub())
	broken := r.Day.Plan.Kit
	broken.Tubs = append([]shed.Tub(nil), broken.Tubs...)
	broken.Tubs[0].FillL = math.Inf(-1)
	d := session.Apply(r.Day, session.Recorded{Seq: r.Day.LastSeq + 1, At: r.Now, Event: session.KitChanged{Kit: broken}})
	if _, recs, err := session.Do(d, session.DoNext{Act: shed.FillTub}, r.Now); err == nil || !strings.Contains(err.Error(), "isn't a number") || len(recs) > 0 {
		t.Errorf("%v, %v", recs, err)
	}
}

// A clock that is set moves the whole day: its length and the hours that a batch
// has dried stay what they are.
func TestClockSetKeepsLengths(t *testing.T) {
	day := func(by time.Duration) (*sessiontest.Run, time.Duration) {
		r := sessiontest.StartWashed(t)
		from := r.Now
		r.Do(session.WeighWet{Batch: "A1", MassG: 170, Scale: sessiontest.KitchenScale})
		if by != 0 {
			r.Now = r.Now.Add(by)
			r.Do(session.SetClock{By: by})
		}
		r.Now = r.Now.Add(4 * time.Hour)
		r.Do(session.WeighWet{Batch: "A1", MassG: 130, Scale: sessiontest.KitchenScale}, session.EndDay{})
		return r, from.Sub(sessiontest.Dawn) + 4*time.Hour
	}
	plain, length := day(0)
	want := must.Get(plain.Day.Drying("A1")).In(t)
	for _, by := range []time.Duration{-5 * time.Hour, time.Hour, -26 * time.Hour} {
		r, _ := day(by)
		if got := r.Day.EndedAt.Sub(r.Day.StartedAt); got != length {
			t.Errorf("clock set by %v: the day took %v, want %v", by, got, length)
		}
		x, err := r.Day.Drying("A1")
		if err != nil || x.Forecast.RestingG != want.Forecast.RestingG {
			t.Errorf("clock set by %v: rests at %+v, want %+v (%v)", by, x.Forecast.RestingG, want.Forecast.RestingG, err)
		}
		sessiontest.CheckReplay(t, r, nil)
	}
}

// No mark is given twice: a new tub or tray must not inherit what belongs to
// one that is gone.
func TestMarksAreNotGivenTwice(t *testing.T) {
	k := shed.DefaultKit()
	k.Trays = []shed.Tray{{Name: "top", Places: 1}, {Name: "low", Places: 1}}
	k = k.Clean()
	last := k.Tubs[len(k.Tubs)-1].ID
	fewer := k
	fewer.Tubs, fewer.Trays = k.Tubs[:len(k.Tubs)-1], k.Trays[:1]
	fewer = fewer.Instead(k, time.Time{}).Clean()
	more := fewer
	more.Tubs = append(append([]shed.Tub(nil), fewer.Tubs...), shed.Tub{Name: "Zinc", CapacityL: 12, FillL: 8})
	more.Trays = append(append([]shed.Tray(nil), fewer.Trays...), shed.Tray{Name: "attic", Places: 1})
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

// Two tubs or trays that come with one mark, or without any, are told apart by new ones; the first
// keeps it.
func TestEveryMarkIsItsOwn(t *testing.T) {
	k := shed.Kit{Marks: 5, Tubs: []shed.Tub{{ID: "t2"}, {ID: "t2"}, {}, {ID: "t1"}, {ID: "t2\n"}}, Trays: []shed.Tray{{ID: "r9"}, {}, {ID: "r9"}}}.Clean()
	var ids []string
	for _, t := range k.Tubs {
		ids = append(ids, t.ID)
	}
	for _, t := range k.Trays {
		ids = append(ids, t.ID)
	}
	sessiontest.Same(t, "marks", ids, []string{"t2", "t6", "t7", "t1", "t8", "r9", "r10", "r11"})
	sessiontest.Same(t, "cleaned again", k.Clean(), k)
}

// Weights that are not likely on the rack are asked about.
func TestUnlikelyOnTheRack(t *testing.T) {
	r := sessiontest.StartWashed(t) // A1 of 200 g, A2 of 250 g, a medium fleece
	r.Now = r.Now.Add(time.Hour)
	r.Do(session.WeighWet{Batch: "A1", MassG: 210, Scale: sessiontest.KitchenScale})
	r.Now = r.Now.Add(20 * time.Hour)
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 211, Scale: sessiontest.KitchenScale}, "weighs more than raw and has not dried at all in 20 h")
	_ = r.Refused(session.WeighWet{Batch: "A1", MassG: 60, Scale: sessiontest.KitchenScale}, "less than such fleece weighs dry (72 g at least)")
	r.Do(session.WeighWet{Batch: "A1", MassG: 130, Scale: sessiontest.KitchenScale})
	if x, err := r.Day.Drying("A1"); err != nil || x.Forecast.RestingG.High > 200 {
		t.Errorf("rests at %+v of 200 g raw (%v)", x.Forecast.RestingG, err)
	}
	_ = r.Refused(session.WeighRaw{Batch: "A1", RawG: 41, Scale: sessiontest.KitchenScale}, "more than 41 g raw can hold")
	r.Do(session.WeighWet{Batch: "A2", MassG: 260, Scale: sessiontest.KitchenScale}, session.WeighRaw{Batch: "A2", RawG: 200, Scale: sessiontest.KitchenScale})
	_ = r.Refused(session.WeighRaw{Batch: "A2", RawG: 50, Scale: sessiontest.KitchenScale}, "wet it weighed 260 g, more than 50 g raw can hold")
	r.Do(session.Weigh{Batch: "A1", DryG: 110, Dry: true, Scale: sessiontest.KitchenScale, Sure: true})
	_ = r.Refused(session.WeighRaw{Batch: "A1", RawG: 115, Scale: sessiontest.KitchenScale}, "more than nearly any raw fleece gives")
	sessiontest.CheckReplay(t, r, nil)
}
