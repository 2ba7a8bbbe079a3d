package tui

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
	"fleece.example/tubside/tui/past"
	"fleece.example/tubside/tui/theme"
	"fleece.example/tubside/tui/tuitest"
)

// withRecord is an invented life with wool: one fleece washed on two days, its
// first batches bagged, the last one drying on a tray; others in the ledger.
func withRecord(p *person, d *base.Deps) {
	kit := *p.ledger.HasKit
	kit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}, {ID: "r2", Name: "tower", Places: 1, Layers: 4}}
	kit.Scales = []shed.Scale{{Name: "kitchen", StepG: 1}}
	p.ledger.HasKit = &kit
	withFleeces(p, d)
	p.ledger.Have[0].Parts = []shed.FleecePart{{Name: "sides", RawG: 1000}, {Name: "shoulder", RawG: 500}}
	p.ledger.Have[0].SkirtedG, p.ledger.Have[0].StapleMM, p.ledger.Have[0].Colour = 1800, 140, "silver grey"
	p.ledger.Have = append(p.ledger.Have, shed.Fleece{ID: "f9", Animal: "Bramble", Farm: "Nowhere Fold", Year: 2024, RawG: 2600, Type: shed.Fine})
	scale := kit.Scales[0]
	now := tuitest.StoryStart
	for day := range 2 {
		plan := shed.Plan{Kit: kit, Method: shed.BuiltInMethod(), Fleeces: p.ledger.Have[:1]}
		for range 2 {
			plan.Batches = append(plan.Batches, shed.Batch{FleeceID: "f2", RawG: 200, Presoak: shed.PresoakNone, RawScale: scale, Part: "sides"})
		}
		if day == 1 {
			plan.Batches[1].Form, plan.Batches[1].Layers, plan.Batches[1].Part = shed.Locks, 3, "shoulder"
		}
		x := sessiontest.StartAt(p.t, plan, now).Rack(2).Do(session.EndDay{})
		for i, b := range x.Day.Plan.Batches {
			x.Do(session.WeighWet{Batch: b.ID, MassG: 170 + 30*float64(i), Scale: scale})
		}
		x.Now = x.Now.Add(5 * time.Hour)
		x.Do(session.WeighWet{Batch: "A1", MassG: 138, Scale: scale})
		if day == 0 {
			x.Now = x.Now.Add(40 * time.Hour)
			x.Do(session.Weigh{Batch: "A1", DryG: 122, Dry: true, Scale: scale, RH: 0.6, Sure: true})
			x.Do(session.Weigh{Batch: "A2", DryG: 118, Dry: true, Scale: scale, RH: 0.6})
		}
		x.Keep(p.journal)
		now = x.Now.Add(time.Hour)
	}
	p.clock.At = now
}

// TestLedger searches, orders, opens and deletes.
func TestLedger(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("f")
	p.sees("Curly", "Old Grey", "Bramble", "1 kg", "60 %") // 1 800 g less four batches of 200 g; 240 of 400 g
	p.press("/")
	p.types("fold fine")
	p.sees("search: fold fine_", "(1 of 3)", "Bramble")
	p.seesNot("Curly")
	p.press("x", "x")
	p.sees("No fleece matches")
	p.everySize()
	p.press("backspace", "backspace", "enter", "enter")
	p.sees("Bramble, Nowhere Fold", "none yet")
	p.press("x")
	p.says("delete Bramble, Nowhere Fold for good")
	p.press("x")
	if len(p.ledger.Have) != 2 {
		t.Fatalf("fleeces %+v", p.ledger.Have)
	}
	p.press("esc")
	p.sees("Curly", "Old Grey")
	first := func() string {
		for _, l := range strings.Split(p.view(), "\n")[3:] {
			return strings.Fields(strings.TrimLeft(l, " >▸"))[0]
		}
		return ""
	}
	p.press("o")
	p.says("by animal")
	if got := first(); got != "Curly" {
		t.Errorf("by animal %s is first:\n%s", got, p.view())
	}
	p.press("O")
	if got := first(); got != "Old" {
		t.Errorf("turned round %s is first:\n%s", got, p.view())
	}
	p.press("o", "o", "o", "o") // farm, year, type, raw: the greatest first
	p.says("by raw, the greatest first")
	if got := first(); got != "Old" {
		t.Errorf("by raw %s is first:\n%s", got, p.view())
	}
	p.press("end", "enter")
	p.sees("Curly, Invented Hill", "140 mm", "silver grey", "1.8 kg after skirting", "4 washed: 2 drying, 2 bagged", "60.0 %", "at 16 % regain", "will give", "top", "tower, layers 1-3", "16 Mar 08:5", "bagged", "sides 400 g, shoulder 300 g, not sorted 300 g")
	p.press("x")
	p.says("4 batches of it are part of wash days")
	p.journal.Fail(errors.New("page 7 is torn"))
	p.app.env.Record.Changes++
	p.press("esc", "esc", "f")
	p.says("couldn't be read: page 7 is torn")
	p.journal.Fail(nil)
}

// TestDryingToTheBag: weighed on the rack, asked about the second time on
// another scale, dry in the end.
func TestDryingToTheBag(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withRecord)
	p.press("r")
	p.sees("A1", "A2", "top", "dry: weighed at two times of day")
	p.everySize()
	p.press("enter", "1", "3", "0", "0", "0", "enter")
	p.says("is the unit right")
	p.types("131")
	p.press("enter")
	p.types("hanging 5 g")
	p.press("enter")
	p.says("another scale before")
	p.types("kitchen 0 g")
	p.press("enter")
	p.says("step")
	p.types("kitchen")
	p.press("enter")
	p.says("it should settle at about")
	p.settled()
	for _, g := range []string{"123", "121"} {
		p.clock.Forward(14 * time.Hour)
		p.send(base.KeptMsg{})
		p.settled()
		p.press("end", "home")
		for range 4 {
			if strings.Contains(p.view(), "A1 of") {
				break
			}
			p.press("down")
		}
		p.press("enter")
		p.sees("Weigh A1")
		p.types(g)
		p.press("ctrl+s")
		p.settled()
	}
	p.says("A1: 121 g now, down 2 g since 04:52; dry by the rule: d on its line bags it")
	p.everySize()
	p.press("home")
	for range 4 {
		if strings.Contains(p.view(), "A1 of") {
			break
		}
		p.press("down")
	}
	p.press("d", "enter")
	p.types("62")
	p.press("enter", "enter")
	p.says("A1: 121 g dry of 200 g raw, yield 61 %")
	p.settled()
	recs := must.Get(p.journal.Events(2)).In(t)
	f := session.Replay(recs).Fate["A1"]
	if f.DryG != 121 || math.Abs(f.DryRH-0.62) > 1e-9 || f.DryScale != (shed.Scale{Name: "kitchen", StepG: 1}) || len(f.Wet) != 5 {
		t.Errorf("kept %+v", f)
	}
	p.press("esc", "esc", "d", "enter", "u")
	p.says("undo A1's dry weight")
	p.press("u")
	p.says("undone: A1's dry weight")
	p.press("u", "u")
	p.settled()
	recs, _ = p.journal.Events(2)
	if f := session.Replay(recs).Fate["A1"]; f.DryG != 0 || len(f.Wet) != 4 {
		t.Errorf("after two undos %+v", f)
	}
	for range 5 {
		p.press("u", "u")
	}
	p.press("u")
	p.says("Reopen the day that ended")
	p.press("esc", "esc", "r", "u")
	p.says("the last action on this day isn't a weight")
	p.settled()
	recs, _ = p.journal.Events(2)
	if d := session.Replay(recs); d.Running() || len(d.Fate["A1"].Wet) != 0 {
		t.Errorf("the day was opened again: %+v", d.Fate)
	}
	p.press("esc", "esc")
}

// TestDryLongSince: what nobody weighed for weeks is listed, not forecast.
func TestDryLongSince(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.clock.Forward(30 * 24 * time.Hour)
	p.press("r")
	p.sees("A1", "A2", "long since")
	p.says("and never weighed dry. It's long dry: d takes its dry weight")
	p.press("d")
	p.sees("Dry weight")
	p.press("esc")
	p.everySize()
}

func TestRowsFollowTheDay(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("r", "d", "1", "2", "1", "enter", "enter", "enter", "down", "enter") // said to be dry
	p.settled()
	days, _ := p.journal.Days(1)
	if rows := days[0].Rows; rows[0].State() != ledger.Bagged || rows[1].State() != ledger.Drying {
		t.Errorf("rows %+v", rows)
	}
}

// TestOldRecord: summaries that an older version wrote have no batches; the
// ledger counts them from the events, and reads those once.
func TestOldRecord(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) {
		for id, s := range p.journal.Sums {
			s.Rows = nil
			p.journal.Sums[id] = s
		}
	})
	p.press("f")
	p.sees("60 %", "1 kg")
	if n := len(p.app.env.Record.Rows.Days); n != 2 {
		t.Errorf("the rows of %d days are kept, want 2", n)
	}
	p.press("esc", "r")
	p.sees("A1", "A2")
}

// TestRecordInOunces: the same in the other units.
func TestRecordInOunces(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) {
		p.ledger.HasKit.Units = measure.US
		p.ledger.HasKit.Scales = nil
	})
	p.press("f", "enter")
	p.sees("staple 5 1/2 in", "lb")
	p.everySize()
	p.press("esc", "esc", "r", "enter")
	p.sees("Weight now, oz", "kitchen 0.1 oz")
	p.types("4.6")
	p.press("enter", "enter")
	p.says("another scale before")
	p.press("enter")
	p.says("A1: 4.6 oz now, down 0.3 oz since 1:52 pm; it should settle at about")
	if s := p.ledger.HasKit.Scale(); s.Name != "kitchen" || math.Abs(s.StepG-2.835) > 1e-3 {
		t.Errorf("remembered %+v", s)
	}
}

func TestReadScale(t *testing.T) {
	kit := shed.Kit{Scales: []shed.Scale{{Name: "hanging", StepG: 5}}}
	for text, want := range map[string]shed.Scale{
		"kitchen 1 g": {Name: "kitchen", StepG: 1}, "kitchen 0.1 oz": {Name: "kitchen", StepG: 2.835}, "Hanging": {Name: "hanging", StepG: 5},
		"my old one 5g": {Name: "my old one", StepG: 5}, "2": {StepG: 2}, "10": {StepG: 10}, "65 g": {StepG: 65}, "sack 50": {Name: "sack", StepG: 50},
	} {
		if got, err := form.ReadScale(kit, text); err != nil || got != want {
			t.Errorf("%q reads as %+v (%v), want %+v", text, got, err, want)
		}
		if again, err := form.ReadScale(kit, form.ScaleText(kit.Units, want)); err != nil || again != want {
			t.Errorf("%+v is shown as %q, which reads as %+v (%v)", want, form.ScaleText(kit.Units, want), again, err)
		}
	}
	for _, bad := range []string{"", "kitchen", "kitchen 0 g", "kitchen 5 kg", "\x1b[31m"} {
		if got, err := form.ReadScale(kit, bad); err == nil {
			t.Errorf("%q was read as %+v", bad, got)
		}
	}
	for u, bare := range map[measure.System][]string{measure.Metric: {"65", "10,5", " 65 "}, measure.US: {"1", "0.51"}} {
		kit.Units = u
		for _, bad := range bare {
			if got, err := form.ReadScale(kit, bad); err == nil || !strings.Contains(err.Error(), "type what its last figure jumps by, such as kitchen ") {
				t.Errorf("%q was read as %+v (%v)", bad, got, err)
			}
		}
	}
	if got, err := form.ReadScale(shed.Kit{Units: measure.US}, "0.5"); err != nil || math.Abs(got.StepG-measure.GPerOz/2) > 1e-3 {
		t.Errorf("half an ounce was read as %+v (%v)", got, err)
	}
}

// bigRecord is 1 000 invented fleeces and 1 000 days of 20 batches.
func bigRecord() ([]shed.Fleece, []ledger.Summary) {
	const fleeces, days, batches = 1000, 1000, 20
	var fs []shed.Fleece
	for i := range fleeces {
		fs = append(fs, shed.Fleece{ID: fmt.Sprintf("f%d", i+1), Animal: fmt.Sprintf("Ewe %d", i*7919%1000), Farm: fmt.Sprintf("Fold %d", i%37), Year: 2020 + i%6, RawG: 6000})
	}
	var sums []ledger.Summary
	for d := days; d > 0; d-- {
		at := tuitest.StoryStart.Add(time.Duration(d) * 24 * time.Hour)
		s := ledger.Summary{ID: shed.DayID(d), StartedAt: at, EndedAt: at.Add(6 * time.Hour), Batches: batches, Racked: batches}
		for b := range batches {
			r := ledger.BatchRow{ID: fmt.Sprintf("A%d", b+1), FleeceID: fs[(d*batches+b)%fleeces].ID, RawG: 200, SunkAt: at, RackedAt: at.Add(4 * time.Hour),
				Tray: "r1", RawScale: shed.Scale{Name: "kitchen", StepG: 1}}
			if d < days-3 {
				r.DryG, r.DryAt, r.DryScale = 118, at.Add(48*time.Hour), r.RawScale
			}
			s.Rows = append(s.Rows, r)
		}
		sums = append(sums, s)
	}
	return fs, sums
}

func bigLedger(b *testing.B) *base.Env {
	b.Helper()
	fs, sums := bigRecord()
	j := tuitest.NewFakeJournal()
	for _, s := range sums {
		j.Sums[s.ID] = s
	}
	j.Last = sums[0].ID
	e := &base.Env{Deps: base.Deps{Journal: j, Ledger: &tuitest.FakeLedger{Have: fs}, Theme: theme.New(io.Discard, theme.Options{}), Local: time.UTC},
		Now: sums[0].StartedAt, Kit: shed.DefaultKit()}
	tuitest.Keeps(e, session.Day{}, nil)
	return e
}

// BenchmarkLedgerOpens is from the key to the frame with all counts, the store
// in memory; cmd has the same with the store on the disk.
func BenchmarkLedgerOpens(b *testing.B) {
	e := bigLedger(b)
	for b.Loop() {
		e.Record.RecordRead, e.Record.Ready = base.RecordRead{}, false // or nothing has to be read
		s := past.NewFleeces(e).(*past.FleecesScreen)
		s.SetSize(200, 58)
		s.Read()().(base.Answer).Take()
		if v := s.View(); !strings.Contains(v, "59 %") || !e.Record.Ready {
			b.Fatal(v)
		}
	}
}

// BenchmarkLedgerScrolls is a key to its frame, beside the same list of twenty.
func BenchmarkLedgerScrolls(b *testing.B) {
	for _, n := range []int{20, 1000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			e := bigLedger(b)
			l := e.Ledger.(*tuitest.FakeLedger)
			l.Have = l.Have[:n]
			s := past.NewFleeces(e).(*past.FleecesScreen)
			s.SetSize(200, 58)
			s.Read()().(base.Answer).Take()
			took := make([]time.Duration, 0, b.N)
			keys := []tea.KeyMsg{{Type: tea.KeyDown}, {Type: tea.KeyPgDown}, {Type: tea.KeyEnd}, {Type: tea.KeyHome}}
			b.ResetTimer()
			for i := range b.N {
				began := time.Now()
				s.Update(keys[i%len(keys)])
				s.Place()
				if len(s.View()) == 0 {
					b.Fatal("nothing was drawn")
				}
				took = append(took, time.Since(began))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "ms-median")
			b.ReportMetric(float64(took[len(took)*99/100].Microseconds())/1000, "ms-p99")
		})
	}
}

// TestWhereABagIs: its place is asked for with how it came out, stands on the fleece's card and in the
// look back, and finds its fleece and its day.
func TestWhereABagIs(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("d", "down", "enter", "h", "c", "p")
	p.types("attic, blue box")
	p.press("ctrl+s")
	p.settled()
	p.says("A1's bag: attic, blue box")
	p.resize(40, 12) // there too
	p.says("A1's bag: attic, blue box")
	p.everySize()
	p.resize(120, 200)
	d, err := p.journal.Day(1)
	if want := (session.Outcome{Found: session.FoundClean, Place: "attic, blue box"}); err != nil || d.Fate["A1"].Out != want {
		t.Fatalf("kept %+v (%v)", d.Fate["A1"].Out, err)
	}
	p.press("esc")
	p.says("its bag attic, blue box")
	p.press("esc", "/")
	p.types("blue box")
	p.sees("(1 of 2)", "14 Mar 2026")
	p.press("esc", "esc", "f", "/")
	p.types("attic")
	p.sees("(1 of 3)", "Curly")
	p.press("enter", "enter")
	p.sees("attic, blue box")
}

// TestFindADay: past days are found by fleece, farm, method, date, and by how a batch
// came out; Esc shows all again.
func TestFindADay(t *testing.T) {
	p := newPerson(t, true, withRecord)
	d := must.Get(p.journal.Day(1)).In(t)
	at := d.LastAt.Add(time.Minute)
	d, recs, err := session.Do(d, session.Judge{Batch: "A1", Out: session.Outcome{Found: session.TipsStuck}}, at)
	if err == nil {
		err = p.journal.Append(1, recs, ledger.Summarise(1, d))
	}
	if err != nil {
		t.Fatal(err)
	}
	p.clock.At = p.clock.At.Add(time.Hour)
	p.app.env.Record.Changes++
	p.press("d")
	p.settled()
	p.sees("14 Mar 2026", "16 Mar 2026")
	for _, x := range []struct{ words, sees, not string }{
		{"16 mar", "16 Mar 2026", "14 Mar 2026"}, {"tips", "14 Mar 2026", "16 Mar 2026"}, {"curly two rinses", "(2 of 2)", "(1 of 2)"}, {"shoulder", "16 Mar 2026", "14 Mar 2026"}, {"bramble", "No day matches", "14 Mar 2026"},
	} {
		p.press("/")
		p.types(x.words)
		p.sees("search: "+x.words, x.sees)
		p.seesNot(x.not)
		p.press("enter", "esc")
		p.sees("14 Mar 2026", "16 Mar 2026")
	}
	p.press("/")
	p.types("16 mar")
	p.press("enter", "enter")
	p.sees("Looking back", "16 Mar 2026")
}

// TestCardStandsUnderListAndForm: what is known of a fleece stands under a short list of them, and under its form as
// far as it has been typed, where there is room.
func TestCardStandsUnderListAndForm(t *testing.T) {
	p := newPerson(t, true, withRecord)
	wide := func(want bool, texts ...string) {
		t.Helper()
		p.app.Update(tea.WindowSizeMsg{Width: 200, Height: 60})
		view := ansi.Strip(p.app.View())
		for _, text := range texts {
			if strings.Contains(view, text) != want {
				t.Errorf("%q is there: %v\n%s", text, !want, view)
			}
		}
		p.app.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	}
	p.press("f")
	p.settled()
	wide(true, "2 kg bought, 1.8 kg after skirting", "16 Mar 08:50  002M", "total loss: 160 g")
	p.press("down")
	wide(true, "Old Grey, Invented Hill", "none yet")
	wide(false, "p plans", "s prints")
	p.press("a", "M", "o", "l", "l", "enter", "enter", "enter")
	wide(false, "bought;", "is        ")
	p.press("2", "k", "g", "enter")
	wide(true, "Moll", "2 kg bought; 2 kg still to wash")
	p.press("1", "5", "0", "0", "enter")
	wide(true, "2 kg bought, 1.5 kg after skirting; 1.5 kg still to wash")
}
