package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// A mark or a count so high that the numbers run out is refused; the highest that
// is taken leaves room for what comes after it.
func TestMergeBoundsMarks(t *testing.T) {
	s := newStore(t)
	before := dump(t, s)
	raw := func(text string) []json.RawMessage { return []json.RawMessage{json.RawMessage(text)} }
	far := keptMethod
	far.ID = "m18446744073709551615"
	for _, c := range []Contents{
		{Fleeces: raw(`{"id":"f18446744073709551615","animal":"Bramble","raw_g":900}`)},
		{Fleeces: raw(fmt.Sprintf(`{"id":"f%d","animal":"Bramble","raw_g":900}`, uint64(MostCounted+1)))},
		{Methods: []json.RawMessage{methodJSON(t, far)}},
		{LastFleece: math.MaxUint64}, {LastMethod: math.MaxUint64}, {LastDay: MostCounted + 1},
	} {
		if _, err := s.Merge(c, nil, false); !errors.Is(err, ErrUnreadable) || !strings.Contains(fmt.Sprint(err), "too high") {
			t.Errorf("%+v: %v", c, err)
		}
		wantDump(t, s, before)
	}
	if _, err := s.Merge(Contents{}, []DayContents{inventedDay(t, MostCounted+1, 2, true)}, false); !errors.Is(err, ErrUnreadable) {
		t.Error(err)
	}
	highest := Contents{Fleeces: raw(fmt.Sprintf(`{"id":"f%d","animal":"Bramble","raw_g":900}`, uint64(MostCounted)))}
	must.Get(s.Merge(highest, nil, false)).In(t)
	f, err := s.SaveFleece(shed.Fleece{Animal: "Thistle", RawG: 900})
	if want := fmt.Sprintf("f%d", uint64(MostCounted+1)); err != nil || f.ID != want {
		t.Errorf("the next fleece is %s (%v), want %s", f.ID, err, want)
	}
}

// Whatever the counts of a file say, nothing new is written over what is there.
func TestNothingIsWrittenOver(t *testing.T) {
	for _, count := range []uint64{0, math.MaxUint64} { // the next is 1, and 0
		s := newStore(t)
		f := must.Get(s.SaveFleece(shed.Fleece{Animal: "Bramble", RawG: 900})).In(t)
		m := must.Get(s.SaveMethod(shed.Method{Name: "rinse only", Steps: keptSteps})).In(t)
		keepDay(t, s, 3, true)
		must.Do(t, s.update(func(c *change) error {
			for _, name := range []string{fleecesPart, methodsPart, daysPart} {
				p, err := c.part(name)
				if err == nil {
					err = p.count(count)
				}
				if err != nil {
					return err
				}
			}
			return nil
		}))
		before := dump(t, s)
		g, err := s.SaveFleece(shed.Fleece{Animal: "Thistle", RawG: 900})
		if !errors.Is(err, ErrUnreadable) || g.ID != "" || !strings.Contains(err.Error(), "no new fleece can be kept") {
			t.Errorf("after %d: fleece %q (%v) beside %s", count, g.ID, err, f.ID)
		}
		n, err := s.SaveMethod(shed.Method{Name: "wash only", Steps: keptSteps})
		if !errors.Is(err, ErrUnreadable) || n.ID != "" {
			t.Errorf("after %d: method %q (%v) beside %s", count, n.ID, err, m.ID)
		}
		if id, err := s.NewDay(); !errors.Is(err, ErrUnreadable) {
			t.Errorf("after %d: day %d (%v)", count, id, err)
		}
		wantDump(t, s, before)
	}
}

// dayOf is a day of these events, five minutes apart, with the summary that goes
// with them.
func dayOf(t sessiontest.Reporter, id shed.DayID, events ...session.Event) DayContents {
	t.Helper()
	recs := keptDay()[:0]
	for i, e := range events {
		recs = append(recs, session.Recorded{Seq: uint64(i + 1), At: morning.AddDate(0, 0, int(id)), Event: e})
	}
	return rawDay(t, id, recs, ledger.Summarise(id, session.Replay(recs)))
}

// The plan of a day that goes on is checked as a whole; of one that has ended, which is
// history, only what no version wrote is refused.
func TestMergeChecksPlans(t *testing.T) {
	whole := func(change func(*shed.Plan)) session.DayStarted {
		p := keptDay()[0].Event.(session.DayStarted).Plan
		p.Kit.Tubs, p.Batches, p.Fleeces = slices.Clone(p.Kit.Tubs), slices.Clone(p.Batches), slices.Clone(p.Fleeces)
		change(&p)
		return session.DayStarted{Plan: p}
	}
	good := whole(func(*shed.Plan) {})
	wild := whole(func(p *shed.Plan) { p.Kit.Tubs[0].FillL = math.MinInt64 })
	wildKit := wild.Plan.Kit
	wildSteps := slices.Clone(keptSteps)
	wildSteps[0].SoakMin = 1e300
	second := shed.Batch{ID: "A2", FleeceID: "f1", RawG: 180}
	mild := second
	mild.RawG = 1999 // more than the fleece, as an older version may have let pass
	loaded := session.BatchLoaded{Batch: "A1", Steps: keptSteps}
	for _, c := range []struct {
		name   string
		events []session.Event
		open   string // what is said of it while it goes on; "": taken
		ended  string // and once it has ended
	}{
		{"good", []session.Event{good, loaded}, "", ""},
		{"kit and batch", []session.Event{good, session.KitChanged{Kit: keptKit}, session.BatchAdded{Fleece: keptFleece, Batch: second}}, "", ""},
		{"wild bath", []session.Event{wild}, "event 1 (day started) cannot be read: plan, kit, tubs 1, fill_l", "tubs 1, fill_l"},
		{"wild kit later", []session.Event{good, session.KitChanged{Kit: wildKit}}, "event 2 (kit changed) cannot be read: kit, tubs 1, fill_l", "tubs 1, fill_l"},
		{"wild steps", []session.Event{good, session.BatchLoaded{Batch: "A1", Steps: wildSteps}}, "event 2 (batch loaded) cannot be read: steps 1, soak_min", "soak_min"},
		{"heavy batch", []session.Event{good, session.BatchAdded{Fleece: keptFleece, Batch: mild}}, "event 2 (batch added) cannot be read: the batches of Bramble, Ninefold Farm add up to", ""},
		{"no batch", []session.Event{whole(func(p *shed.Plan) { p.Batches = nil })}, "no batch", ""},
		{"no tub", []session.Event{whole(func(p *shed.Plan) { p.Kit.Tubs = nil })}, "no tub", "no tub"},
		{"no tub later", []session.Event{good, session.KitChanged{}}, "no tub", "no tub"},
		{"figures that come to nothing", []session.Event{good, loaded, session.BathFilled{VolumeL: 1e308, TempC: 1e308}}, "volume_l: 1e+308 L", "volume_l"},
		{"weights that come to nothing", []session.Event{good, session.BatchWeighed{Batch: "A1", DryG: -1e308}}, "dry_g: -1e+308 g", "dry_g"},
		{"batch marked as its fleece", []session.Event{whole(func(p *shed.Plan) { p.Batches[0].ID = "f1" })}, `mark "f1" has no code`, `mark "f1" has no code`},
		{"batch without mark", []session.Event{good, session.BatchAdded{Fleece: keptFleece, Batch: shed.Batch{FleeceID: "f1", RawG: 180}}}, "has no code", "has no code"},
		{"no start", []session.Event{session.NoteAdded{Tub: -1, Text: "rain"}}, `it is "note added", and a day begins with "day started"`, "a day begins with"},
		{"two starts", []session.Event{good, good}, "begins a second time", "begins a second time"},
	} {
		for _, end := range []bool{false, true} {
			want, events := c.open, c.events
			if end {
				want, events = c.ended, append(slices.Clone(events), session.DayEnded{Early: true})
			}
			s := newStore(t)
			before := dump(t, s)
			_, err := s.Merge(Contents{}, []DayContents{dayOf(t, 1, events...)}, false)
			switch {
			case want == "" && err != nil:
				t.Errorf("%s, ended %v: %v", c.name, end, err)
			case want == "":
				checkSound(t, s)
			case !errors.Is(err, ErrUnreadable) || !strings.Contains(fmt.Sprint(err), want):
				t.Errorf("%s, ended %v: %v, want %q", c.name, end, err, want)
			default:
				wantDump(t, s, before)
			}
		}
	}
}

// A summary that says something else than the events does not get in: what the
// events tell does. One that agrees stays word for word, and one with more in it is of a
// newer version.
func TestMergeMakesSummariesAnew(t *testing.T) {
	for _, end := range []bool{false, true} {
		honest := inventedDay(t, 1, 3, end)
		var sum ledger.Summary
		must.Do(t, json.Unmarshal(honest.Summary, &sum))
		for name, lie := range map[string]func(*ledger.Summary){
			"none":    func(*ledger.Summary) {},
			"running": func(s *ledger.Summary) { s.EndedAt = running(1).EndedAt },
			"ended":   func(s *ledger.Summary) { s.EndedAt = evening.AddDate(1, 0, 0) },
			"start":   func(s *ledger.Summary) { s.StartedAt = evening },
			"weights": func(s *ledger.Summary) { s.RawG, s.DryG, s.WeighedG = 1e12, -7, 3 },
			"title":   func(s *ledger.Summary) { s.Fleeces = []string{"Thistle"} },
			"rows": func(s *ledger.Summary) {
				s.Rows = ledger.BatchRows{{ID: "B7", FleeceID: "f9", RawG: -5, DryG: 1e9, RackedAt: evening}}
			},
			"old":     func(s *ledger.Summary) { s.Rows, s.Hands, s.Lessons = nil, nil, nil },
			"lessons": func(s *ledger.Summary) { s.Lessons = []shed.BathLesson{{Tub: "t1", LogScale: 40, SDLog: 1e-9}} },
			"hands":   func(s *ledger.Summary) { s.Hands = make([]shed.HandsTime, 3) },
		} {
			told := sum
			lie(&told)
			line := must.Get(json.Marshal(told)).In(t)
			s := newStore(t)
			if _, err := s.Merge(Contents{}, []DayContents{{ID: 1, Summary: line, Events: honest.Events}}, false); err != nil {
				t.Errorf("%s, ended %v: %v", name, end, err)
				continue
			}
			if _, days := gather(t, s); len(days) != 1 || string(days[0].Summary) != string(honest.Summary) {
				t.Errorf("%s, ended %v:\n%s, want\n%s", name, end, days[0].Summary, honest.Summary)
			}
			if id, open, err := s.OpenDay(); err != nil || open == end {
				t.Errorf("%s, ended %v: open day %d %v (%v)", name, end, id, open, err)
			}
		}
	}
	s := newStore(t)
	d := inventedDay(t, 1, 3, true)
	d.Summary = json.RawMessage(strings.Replace(string(d.Summary), `{"id":1,`, `{"id":1,"weather":"rain",`, 1))
	if _, err := s.Merge(Contents{}, []DayContents{d}, false); !errors.Is(err, ErrNewer) {
		t.Error(err)
	}
}
