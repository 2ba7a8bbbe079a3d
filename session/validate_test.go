package session_test

import (
	"fmt"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
)

// Each slip in a plan, and a piece of the sentence it meets.
func TestPlanSlips(t *testing.T) {
	wash := func(change func(*shed.Step)) func(*shed.Plan) {
		return func(p *shed.Plan) { change(&p.Method.Steps[1]) }
	}
	for _, row := range []struct {
		slip func(*shed.Plan)
		says string
	}{
		{func(p *shed.Plan) { p.Batches = nil }, "no batch"},
		{func(p *shed.Plan) {
			for len(p.Batches) <= 200 {
				p.Batches = append(p.Batches, p.Batches[0])
			}
		}, "more than a day can hold (200)"},
		{func(p *shed.Plan) { p.Batches[0].FleeceID = "gone" }, `the fleece "gone"`},
		{func(p *shed.Plan) {
			p.Batches[0].Again = shed.Earlier{Day: 1, Batch: "A7"}
			p.Batches[2].Again = p.Batches[0].Again
		}, "A7 is planned already"},
		{func(p *shed.Plan) { p.Batches[0].DosePart = 3 }, "Bramble, Nowhere Fold: the dose should be between none and twice the usual"},
		{func(p *shed.Plan) { p.Batches[0].RawG = 2 }, "Bramble, Nowhere Fold: a batch of 2 g is out of range"},
		{func(p *shed.Plan) { p.Batches[2].RawG = 1900 }, "add up to 1.9 kg, but the fleece weighs 1.5 kg"},
		{func(p *shed.Plan) { // all of them count, not those up to the first that is too much
			p.Fleeces[0].RawG, p.Fleeces[0].SkirtedG = 800, 0
			for range 10 {
				p.Batches = append(p.Batches, shed.Batch{FleeceID: p.Fleeces[0].ID, RawG: 225})
			}
			for i := range p.Batches[:len(p.Batches)-10] {
				p.Batches[i].FleeceID = p.Fleeces[1].ID
			}
		}, "add up to 2.25 kg, but the fleece weighs 800 g"},
		{func(p *shed.Plan) { p.Fleeces[1].ID = "f1" }, `two fleeces have the same mark "f1"`},
		{func(p *shed.Plan) { p.Fleeces[0].Animal = " \t" }, "needs a sheep's name"},
		{func(p *shed.Plan) { p.Fleeces[0].Year = 26 }, "26 isn't a year"},
		{func(p *shed.Plan) { p.Fleeces[0].RawG = 3.2 }, "a whole fleece of 3.2 g is out of range: give between 10 g and 20000 g; for kilograms write 3.2 kg"},
		{func(p *shed.Plan) { p.Kit.RoomC = 60 }, "the room at 60 °C is out of range: give between -10 °C and 45 °C"},
		{func(p *shed.Plan) { p.Kit.HotTapC = 12 }, "the hot tap at 12 °C"},
		{func(p *shed.Plan) { p.Kit.ColdTapC = 50 }, "the cold tap at 50 °C"},
		{func(p *shed.Plan) { p.Kit.HotTapC, p.Kit.ColdTapC = 25, 30 }, "swap them"},
		{func(p *shed.Plan) { p.Kit.Kettle.CapacityL = 17 }, "a kettle of 17 L"},
		{func(p *shed.Plan) { p.Kit.Kettle.PowerW = 22000 }, "the kettle's power"},
		{func(p *shed.Plan) { p.Kit.Kettle.PowerW = 2.2 }, "between 100 and 6000 W, such as 2200 W (2.2 kW)"},
		{func(p *shed.Plan) { p.Kit.Tank.HeaterW = 3 }, "the heater's power should be between 100"},
		{func(p *shed.Plan) { p.Kit.Scour.DoseMLPer100G = -1 }, "the dose"},
		{func(p *shed.Plan) { p.Kit.LeadMin = 0 }, "the warning should come between 1 and 30"},
		{func(p *shed.Plan) { p.Kit.Tubs = nil }, "no tub"},
		{func(p *shed.Plan) {
			for len(p.Kit.Tubs) <= shed.MaxTubs {
				p.Kit.Tubs = append(p.Kit.Tubs, shed.Tub{Name: fmt.Sprint("Tub ", len(p.Kit.Tubs)), CapacityL: 9, FillL: 8})
			}
		}, "25 tubs: 24 is the most"},
		{func(p *shed.Plan) { p.Kit.Tubs[1].Name = "NORTH" }, "two tubs are called NORTH"},
		{func(p *shed.Plan) { p.Kit.Tubs[1].Name = "\x1b[31m" }, "a tub has no name"},
		{func(p *shed.Plan) { p.Kit.Tubs[1].CapacityL = 0.4 }, "South: a tub's size of 0.4 L"},
		{func(p *shed.Plan) { p.Kit.Tubs[1].FillL = 0.4 }, "South: a bath of 0.4 L"},
		{func(p *shed.Plan) { p.Kit.Tubs[1].FillL = 14 }, "South holds 12 L, so a bath of 14 L runs over"},
		{func(p *shed.Plan) { p.Method.Name = "" }, "the method has no name"},
		{func(p *shed.Plan) { p.Method.Steps = nil }, "has 0 steps: it needs 1 to 20"},
		{func(p *shed.Plan) { p.Method.Steps = p.Method.Steps[4:] }, "begins with the spin: it needs a bath first"},
		{func(p *shed.Plan) {
			p.Method.Steps[2], p.Method.Steps[4] = p.Method.Steps[4], p.Method.Steps[2]
		}, "the rinse comes after the spin"},
		{func(p *shed.Plan) {
			p.Method.Steps[4], p.Method.Steps[5] = p.Method.Steps[5], p.Method.Steps[4]
		}, "spin before you rack"},
		{wash(func(s *shed.Step) { s.Name = "" }), "step 2 of Hot wash, two rinses: it has no name"},
		{wash(func(s *shed.Step) { s.SoakMin = 8 * 24 * 60 }), "between 0 and a week"},
		{wash(func(s *shed.Step) { s.SoakMin, s.ShortestMin = 0.1, 0 }), "shorter than half a minute"},
		{wash(func(s *shed.Step) { s.ShortestMin = 25 }), "the soak (20 min) is shorter than the shortest allowed (25 min)"},
		{wash(func(s *shed.Step) { s.LongestMin = 18 }), "the soak (20 min) is longer than the longest allowed (18 min)"},
		{wash(func(s *shed.Step) { s.FillPart = 2 }), "between 0.2 and 1.2"},
		{wash(func(s *shed.Step) { s.AimC = 90 }), "the bath should be between 5 °C and 80 °C"},
		{wash(func(s *shed.Step) { s.ReleaseC = 20 }), "the lift-by temperature should be between 30 °C and 65 °C"},
		{wash(func(s *shed.Step) { s.ReleaseC = 0 }), "a wash needs a lift-by temperature"},
		{wash(func(s *shed.Step) { s.AimC, s.LowestSinkC = 48.5, 0 }), "the bath at 48.5 °C starts no warmer than its lift-by temperature 49 °C"},
		{wash(func(s *shed.Step) { s.LowestSinkC = 70 }), "the coolest start (70 °C) is above the aim (65.5 °C)"},
		{wash(func(s *shed.Step) { s.LowestSinkC = -3 }), "the coolest start should be between 0 °C and 80 °C"},
		{wash(func(s *shed.Step) { s.MaxGapC = 70 }), "the change from the last bath"},
		{func(p *shed.Plan) { p.Method.Steps[2].ReleaseC = 40 }, "only a wash has a lift-by temperature"},
	} {
		p := sessiontest.ThreeTubs(row.slip)
		_ = (&sessiontest.Run{T: t, Now: sessiontest.Dawn}).Refused(session.StartDay{Plan: p}, row.says)
		p.Kit.Units = measure.US
		if err := p.Validate(); err == nil {
			t.Errorf("%q: accepted in US units", row.says)
		} else if sessiontest.MetricFigure.MatchString(err.Error()) {
			t.Errorf("a metric figure for a person with US units: %q", err)
		}
	}
	for _, err := range []error{sessiontest.ThreeTubs().Validate(), shed.BuiltInMethod().ValidateIn(measure.Metric), shed.DefaultKit().Validate()} {
		if err != nil {
			t.Errorf("what the program starts with is refused: %v", err)
		}
	}
	if err := shed.DefaultKit().CheckFleeceG(0.1 * 28.349523125); err == nil || strings.Contains(err.Error(), "kilograms") {
		t.Errorf("0.1 oz is no weight that was meant as kilograms: %v", err)
	}
	f := sessiontest.ThreeTubs().Fleeces[0]
	f.Wax = 9
	sessiontest.CheckSentence(t, f.Validate())
	sessiontest.CheckSentence(t, shed.Step{Name: "odd", Kind: 9}.Validate())
	sessiontest.CheckSentence(t, shed.Kit{}.CheckBatchG(1))
	sessiontest.CheckSentence(t, shed.Kit{}.CheckFleeceG(1))
}

// A high-wax fleece is washed twice; the presoak is as the person chose.
func TestStepsOfABatch(t *testing.T) {
	names := func(steps []shed.Step) string {
		var out []string
		for _, s := range steps {
			out = append(out, fmt.Sprintf("%s %g", s.Name, s.SoakMin))
		}
		return strings.Join(out, ", ")
	}
	rest := ", first rinse 15, second rinse 12, spin 0, rack 0"
	for _, row := range []struct {
		wax     shed.Level
		presoak shed.PresoakChoice
		want    string
	}{
		{shed.Low, shed.PresoakNone, "hot wash 20" + rest},
		{shed.Average, shed.PresoakAsMethod, "presoak 20, hot wash 20" + rest},
		{shed.High, shed.PresoakQuick, "presoak 5, first hot wash 20, second hot wash 20" + rest},
		{shed.High, shed.PresoakOvernight, "presoak 720, first hot wash 20, second hot wash 20" + rest},
	} {
		m := shed.BuiltInMethod()
		steps := m.StepsFor(shed.Fleece{Wax: row.wax}, row.presoak)
		sessiontest.Same(t, "steps", names(steps), row.want)
		for _, s := range steps {
			if err := s.Validate(); err != nil {
				t.Errorf("%s of a %s presoak: %v", s.Name, row.presoak, err)
			}
		}
		sessiontest.Same(t, "the method itself", m, shed.BuiltInMethod())
	}
}

// A method with a long presoak gives way to a quick dunk in all its limits.
func TestQuickPresoakOfALongMethod(t *testing.T) {
	m := shed.BuiltInMethod()
	m.Steps[0].SoakMin, m.Steps[0].ShortestMin, m.Steps[0].LongestMin = 60, 30, 90
	for presoak, want := range map[shed.PresoakChoice][3]float64{
		shed.PresoakAsMethod: {60, 30, 90}, shed.PresoakQuick: {5, 5, 90}, shed.PresoakOvernight: {720, 30, 720},
	} {
		s := m.StepsFor(shed.Fleece{}, presoak)[0]
		sessiontest.Same(t, presoak.String(), [3]float64{s.SoakMin, s.ShortestMin, s.LongestMin}, want)
	}
}

// Marks go on past Z and keep each fleece's batches apart.
func TestMarks(t *testing.T) {
	var fleeces []shed.Fleece
	var batches []shed.Batch
	for i := range 730 {
		id := fmt.Sprint(i)
		fleeces = append(fleeces, shed.Fleece{ID: id})
		batches = append(batches, shed.Batch{FleeceID: id}, shed.Batch{FleeceID: id})
	}
	got := shed.LabelBatches(fleeces, batches, 0)
	for i, want := range map[int]string{0: "A1", 1: "A2", 51: "Z2", 52: "AA1", 2 * 701: "ZZ1", 2 * 702: "AAA1"} {
		sessiontest.Same(t, "mark", got[i].ID, want)
	}
	seen := map[string]bool{}
	for _, b := range got {
		if seen[b.ID] {
			t.Errorf("%s twice", b.ID)
		}
		seen[b.ID] = true
	}
}

// A batch of an earlier day keeps its mark, and its fleece that letter; new ones go round it. Where two would have one
// mark they are told apart, and a batch that comes to a running day leaves the others theirs.
func TestMarksAreKept(t *testing.T) {
	fleeces := []shed.Fleece{{ID: "x"}, {ID: "y"}}
	was := func(fleece string, day shed.DayID, mark string) shed.Batch {
		return shed.Batch{ID: "Z9", FleeceID: fleece, Again: shed.Earlier{Day: day, Batch: mark}}
	}
	raw := func(fleece string) shed.Batch { return shed.Batch{ID: "Z9", FleeceID: fleece} }
	marks := func(all []shed.Batch) (out []string) {
		for _, b := range all {
			out = append(out, b.ID)
		}
		return out
	}
	all := shed.LabelBatches(fleeces, []shed.Batch{raw("x"), was("y", 1, "A3"), raw("y"), was("y", 2, "A3"), {FleeceID: "y", Soaked: shed.Earlier{Day: 2, Batch: "A1"}}, was("x", 2, "A7")}, 0)
	sessiontest.Same(t, "planned", marks(all), []string{"B1", "A3", "A2", "A4", "A1", "B7"})
	sessiontest.Same(t, "planned once more", marks(shed.LabelBatches(fleeces, all, 0)), marks(all))
	running := append(shed.LabelBatches(fleeces[:1], []shed.Batch{raw("x"), raw("x")}, 0), was("x", 1, "A2"), was("y", 1, "A3"), raw("y"), was("y", 1, "not a mark"))
	sessiontest.Same(t, "beside those of a running day", marks(shed.LabelBatches(fleeces, running, 2)), []string{"A1", "A2", "A3", "B3", "B1", "B2"})
}

// The kit may be corrected and a batch added while the day runs; a tub that is
// in use keeps its place.
func TestChangesDuringTheDay(t *testing.T) {
	r := sessiontest.Start(t, sessiontest.OneTub()).Until(0, shed.Soaking)
	before, _, _ := r.Day.TempNow(0, r.Now.Add(sessiontest.Minutes(40)))
	k := r.Day.Plan.Kit
	k.RoomC = 5
	k.Tubs = append(k.Tubs[:1:1], shed.Tub{Name: "Spare", CapacityL: 10, FillL: 7})
	r.Do(session.ChangeKit{Kit: k})
	if after, _, _ := r.Day.TempNow(0, r.Now.Add(sessiontest.Minutes(40))); !(after < before-0.3) {
		t.Errorf("a colder room leaves the forecast at %g, before %g", after, before)
	}
	sessiontest.Same(t, "tubs", len(r.Day.Tubs), 2)
	k.Tubs = k.Tubs[1:]
	_ = r.Refused(session.ChangeKit{Kit: k}, "North is part of the running day")
	r.Do(session.AddBatch{
		Fleece: shed.Fleece{ID: "f9", Animal: "Sorrel", RawG: 900}, Batch: shed.Batch{FleeceID: "f9", RawG: 200},
	})
	_ = r.Refused(session.AddBatch{Batch: shed.Batch{FleeceID: "f9", RawG: 800}}, "add up to 1 kg, but the fleece weighs 900 g")
	_ = r.Refused(session.AddBatch{Batch: shed.Batch{FleeceID: "f7", RawG: 800}}, `fleece "f7"`)
	r.Next(1)
	sessiontest.Same(t, "the new tub's batch", r.Day.Tubs[1].Batch, "B1")
	sessiontest.Same(t, "its animal", coach.GlanceAt(r.Day, 1, r.Now).Fleece, "Sorrel")
	r.Do(session.Undo{}, session.Undo{}, session.Undo{})
	sessiontest.Same(t, "all undone", []int{len(r.Day.Tubs), len(r.Day.Plan.Batches), len(r.Day.Fate)}, []int{1, 1, 1})
	sessiontest.CheckReplay(t, r, nil)
}

// A journal that lost its beginning, or that names what the day does not have,
// gives a day that can still be looked at.
func TestForeignJournals(t *testing.T) {
	t.Parallel()
	one := shed.Kit{Tubs: shed.DefaultKit().Tubs[:1]}
	events := append(session.AllEvents(),
		session.BatchWeighed{Batch: "Q1", DryG: 5}, session.TubDrained{Tub: 7}, session.AlarmRaised{Alarm: session.SoakDone, Tub: -3},
		session.KitChanged{Kit: one}, session.Undone{Seq: 99}, session.BatchLoaded{Tub: -9, Batch: "A1"},
		session.DayStarted{Plan: shed.Plan{Kit: one}, Loads: []session.BatchLoaded{{Tub: 5}, {Tub: -5}, {Tub: 0, Batch: "Z"}}},
	)
	tried := 0
	for _, e := range events {
		look(t, session.Apply(session.Day{}, session.Recorded{Seq: 1, At: sessiontest.Dawn, Event: e}))
		for _, stage := range stages {
			if tried++; stage.come == nil || !long.Turn(tried, 5) {
				continue
			}
			r := sessiontest.Start(t, matrixPlan())
			stage.come(r)
			look(t, session.Apply(r.Day, session.Recorded{Seq: r.Day.LastSeq + 1, At: r.Now, Event: e}))
		}
	}
}

// A journal that was carried over from elsewhere is cleaned as it is read.
func TestForeignTextsAreCleaned(t *testing.T) {
	const dirty, clean = "\x1b[31mred\a\u202e", "red"
	kit := shed.Kit{Tubs: []shed.Tub{{ID: dirty, Name: dirty}}, Scour: shed.Scour{Name: dirty}}
	fleece := shed.Fleece{ID: dirty, Animal: dirty, Farm: dirty, Notes: dirty}
	batch := shed.Batch{ID: dirty, FleeceID: dirty}
	load := session.BatchLoaded{Batch: dirty, Steps: []shed.Step{{Name: dirty}}}
	method := shed.Method{ID: dirty, Name: dirty, About: dirty, Steps: []shed.Step{{Name: dirty}}}
	for _, e := range []session.Event{
		session.DayStarted{Plan: shed.Plan{Kit: kit, Method: method, Fleeces: []shed.Fleece{fleece}, Batches: []shed.Batch{batch}}, Loads: []session.BatchLoaded{load}},
		load, session.KitChanged{Kit: kit}, session.BatchAdded{Fleece: fleece, Batch: batch}, session.NoteAdded{Text: dirty}, session.BatchWeighed{Batch: dirty},
	} {
		text := must.Get(session.Recorded{Seq: 1, At: sessiontest.Dawn, Event: e}.MarshalJSON()).In(t)
		var rec session.Recorded
		must.Do(t, rec.UnmarshalJSON(text))
		found := 0
		for _, s := range sessiontest.Texts(rec.Event) {
			if s != clean && s != "" {
				t.Errorf("%s: %q", session.KindOf(e), s)
			} else if s == clean {
				found++
			}
		}
		if found == 0 {
			t.Errorf("%s: no text left", session.KindOf(e))
		}
	}
}

// A tub without a mark gets one that no other has, cleaned or not.
func TestTubMarks(t *testing.T) {
	k := shed.Kit{Tubs: []shed.Tub{{Name: "a"}, {ID: "\at1", Name: "b"}, {Name: "c"}, {ID: "t4", Name: "d"}, {Name: "e"}}}
	seen := map[string]bool{}
	for _, tub := range k.Clean().Tubs {
		if tub.ID == "" || seen[tub.ID] {
			t.Errorf("%s has the mark %q", tub.Name, tub.ID)
		}
		seen[tub.ID] = true
	}
}

// Every kind of event has its own written word, and reading refuses others.
func TestEventKinds(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range session.AllEvents() {
		k := session.KindOf(e)
		sessiontest.CheckPlain(t, k)
		if seen[k] {
			t.Errorf("%q names two events", k)
		}
		seen[k] = true
	}
	for _, s := range sources(t) {
		if s.path == "session/event.go" {
			sessiontest.Same(t, "events in the list", len(seen), len(sessiontest.ReceiversOf(s.file, "kind")))
		}
	}
	for _, text := range []string{
		`{"seq":4,"at":"2026-05-16T08:00:00Z","event":"fleece dyed","body":{}}`, `{"seq":1,"at":"yesterday","event":"tub held","body":{}}`,
		`{"seq":1,"at":"0000-01-01T00:00:00+14:00","event":"tub held","body":{}}`, `{"seq":1,"at":"2026-05-16T08:00:00Z","event":"tub held","body":[]}`,
		"{\"seq\":1,\"at\":\"2026-\x7f5-16T08:00:00Z\",\"event\":\"tub held\",\"body\":{}}", `null`, `{}`, `[]`, `{"seq":-1}`,
	} {
		var rec session.Recorded
		err := rec.UnmarshalJSON([]byte(text))
		if err == nil {
			t.Errorf("%s is read as %+v", text, rec)
			continue
		}
		sessiontest.CheckPrintable(t, err.Error())
	}
	if _, err := (session.Recorded{Seq: 3}).MarshalJSON(); err == nil {
		t.Error("a record without an event was written")
	}
}
