package tui

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/ahead"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/gear"
)

// toTheRack is a day with so many trays whose first batch is next for the rack.
func toTheRack(t *testing.T, trays int) *person {
	p := newPerson(t, true, withFleeces, func(p *person, _ *base.Deps) {
		for i := range trays {
			p.ledger.HasKit.Trays = append(p.ledger.HasKit.Trays, shed.Tray{ID: fmt.Sprintf("r%d", i+1), Name: fmt.Sprintf("shelf %c", 'a'+i), Places: 1})
		}
		p.ledger.HasKit.Tubs = p.ledger.HasKit.Tubs[:1]
	})
	p.press("p", "a", "enter", "ctrl+s", "s")
	l := p.app.env.Live
	l.Day = l.Day.Boiled()
	for range 200 {
		if l.Day.NextAction(0) == shed.RackFibre {
			break
		}
		p.wait(2 * time.Minute)
		before := l.Day.LastSeq
		p.press(".")
		if l.Day.LastSeq == before { // one deed
			p.press("enter")
		}
	}
	p.wait(time.Minute)
	return p
}

// TestDayManyTrays: more trays than fit a line are a list, each of them there.
func TestDayManyTrays(t *testing.T) {
	p := toTheRack(t, 12)
	p.press("y", "end", "enter")
	p.says("on the rack, shelf l")
	if f := p.app.env.Live.Day.Fate["A1"]; f.Tray != "r12" {
		t.Errorf("%+v", f)
	}
}

// TestNoTraysIsSaid: a first batch racked without trays says where to add them.
func TestNoTraysIsSaid(t *testing.T) {
	for trays, says := range map[int]bool{0: true, 3: false} {
		p := toTheRack(t, trays)
		p.press("enter")
		p.says("tag: code")
		if got := strings.Contains(strings.Join(strings.Fields(p.view()), " "), "add trays under Kit, Drying rack"); got != says {
			t.Errorf("%d trays:\n%s", trays, p.view())
		}
	}
}

// TestTrayWords: trays are written as they are read, layers and all.
func TestTrayWords(t *testing.T) {
	for _, row := range []struct {
		text string
		want []shed.Tray
	}{
		{"top 2, tower 1 with 4 layers", []shed.Tray{{Name: "top", Places: 2}, {Name: "tower", Places: 1, Layers: 4}}},
		{"tower 4 layers", []shed.Tray{{Name: "tower", Places: 1, Layers: 4}}},
		{"by the door 3 with 1 layer", []shed.Tray{{Name: "by the door", Places: 3, Layers: 1}}},
		{"layers", []shed.Tray{{Name: "layers", Places: 1}}},
		{"many layers 2", []shed.Tray{{Name: "many layers", Places: 2}}},
		{"top 2; bottom 1;", []shed.Tray{{Name: "top", Places: 2}, {Name: "bottom", Places: 1}}},
		{"shelf 1 2, 7 3", []shed.Tray{{Name: "shelf 1", Places: 2}, {Name: "7", Places: 3}}},
	} {
		got, err := gear.ReadTrays(row.text, nil)
		if err != nil || len(got) != len(row.want) {
			t.Errorf("%q reads as %+v (%v)", row.text, got, err)
			continue
		}
		for i := range got {
			if got[i] != row.want[i] {
				t.Errorf("%q reads as %+v, want %+v", row.text, got[i], row.want[i])
			}
		}
		if again, err := gear.ReadTrays(gear.TrayWords(got), nil); err != nil || len(again) != len(got) || again[0] != got[0] {
			t.Errorf("%+v is written as %q, which reads as %+v (%v)", got, gear.TrayWords(got), again, err)
		}
	}
}

// TestTraysRunTogether: trays without a comma between them are asked about, but
// for one that is called so already.
func TestTraysRunTogether(t *testing.T) {
	comma := "has a number in the middle: put a comma between trays, such as top 2, bottom 1"
	for text, want := range map[string]string{
		"top 2 bottom 1": `"top 2 bottom" ` + comma, "top 2 bottom": comma, "low 1, top 2 bottom 1": comma, "tower 1 with 4 layers top 2": comma,
		"2 top shelf, low": `"2 top shelf" begins with a number: put the name first, then how many batches it has room for, such as top shelf 2`,
	} {
		if got, err := gear.ReadTrays(text, nil); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q reads as %+v (%v), want %q", text, got, err, want)
		}
	}
	old := []shed.Tray{{ID: "r7", Name: "Shelf 2 left", Places: 3}}
	if got, err := gear.ReadTrays("shelf 2 left 3", old); err != nil || got[0].ID != "r7" || got[0].Places != 3 {
		t.Errorf("%+v (%v)", got, err)
	}
	p := newPerson(t, true)
	p.press("k", "end", "up", "enter")
	p.types("top 2 bottom 1")
	p.press("enter")
	p.says(comma)
	if p.ledger.HasKit.Trays != nil {
		t.Errorf("trays %+v", p.ledger.HasKit.Trays)
	}
}

func TestReadParts(t *testing.T) {
	want := []shed.FleecePart{{Name: "right side", RawG: 600.5}, {Name: "britch", RawG: 250}}
	for _, text := range []string{"right side 600,5 g, britch 250 g", "right side 600.5; britch 250", " right  side 0,6005 kg ;britch 250,"} {
		got, err := ahead.ReadParts(measure.Metric, text)
		if err != nil || len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
			t.Errorf("%q reads as %+v (%v)", text, got, err)
		}
	}
	if got, err := ahead.ReadParts(measure.Metric, ahead.PartWords(measure.Metric, want)); err != nil || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("%q reads as %+v (%v)", ahead.PartWords(measure.Metric, want), got, err)
	}
	if got, err := ahead.ReadParts(measure.US, "shoulder 1 lb 5 oz"); err != nil || got[0].Name != "shoulder" || got[0].RawG < 595 || got[0].RawG > 595.4 {
		t.Errorf("%+v (%v)", got, err)
	}
	for _, bad := range []string{"britch", "250 g", "britch heavy", "a 1 g, b"} {
		if got, err := ahead.ReadParts(measure.Metric, bad); err == nil || !strings.Contains(err.Error(), "such as shoulder 600 g") {
			t.Errorf("%q reads as %+v (%v)", bad, got, err)
		}
	}
}

// TestSplitByPart: the split offers what is left of a part, and its batches
// carry part and layers.
func TestSplitByPart(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("p", "a", "enter", "right", "enter") // Curly, locks
	p.types("Shoulder")
	p.press("enter")
	p.sees("> 300") // 500 g sorted, 200 g of it washed
	p.press("enter")
	p.types("150")
	p.press("enter", "enter")
	p.sees("Layers in the basket")
	p.types("21")
	p.press("enter")
	p.says("1 to 20 layers, such as 3")
	p.types("2")
	p.press("enter")
	bs := p.app.env.Planned.Plan.Batches
	if len(bs) != 2 || bs[0].RawG != 150 || bs[0].Part != "shoulder" || bs[0].Layers != 2 || bs[1].Form != shed.Locks {
		t.Fatalf("batches %+v", bs)
	}
	p.sees("A1", "A2", "locks", "shoulder") // as the record spells it
	p.everySize()
}

// TestPartIsNamed: the part of a batch is taken down days later too.
func TestPartIsNamed(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("d", "enter", "a")
	p.says("no batch of this day has come out of a presoak")
	p.press("p")
	p.sees("From which part", "A1  Curly, Invented Hill, loose, sides")
	p.press("enter")
	p.types("neck")
	p.press("enter")
	p.says("A1, loose, neck")
	p.press("pgdown")
	p.sees("loose, neck")
	p.press("u")
	p.says("undo A1's part of the fleece")
	p.press("u")
	p.sees("loose, sides")
	p.everySize()
	p.press("esc", "esc")
}

// TestBaggedMeanwhile: what is bagged of an earlier day in the middle of this
// one makes room on its rack, and taking the weight back takes the room away.
func TestBaggedMeanwhile(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("p", "a", "enter", "ctrl+s", "s")
	l := p.app.env.Live
	if !l.Day.Running() {
		t.Fatalf("no day runs:\n%s", p.view())
	}
	p.settled()
	top := func(want string) {
		t.Helper()
		if got := l.Day.Rack().Use("r1"); got != want {
			t.Errorf("the top tray: %s, want %s; %+v", got, want, l.Day.Plan.OnRack)
		}
	}
	top("1 of 1") // A1 of the day before lies there
	p.press("esc", "r")
	p.sees("A1 of", "on top")
	p.press("d")
	p.types("121")
	p.press("enter", "enter", "enter")
	p.says("A1: 121 g, down 17 g since 13:52: it was still drying.")
	p.press("down", "enter")
	p.says("A1: 121 g dry of 200 g raw")
	p.settled()
	p.press("esc") // how it came out can wait
	top("0 of 1")
	p.press("esc", "d", "down", "enter")
	p.settled()
	p.press("u")
	p.says("undo A1's dry weight")
	p.press("u")
	p.settled()
	top("1 of 1")
	p.press("esc", "x") // the day is gone, and what lay there with it
	p.says("Press x again")
	p.press("x")
	p.settled()
	top("0 of 1")
}

// TestLayElsewhere: what dries can be laid on another tray, and back.
func TestLayElsewhere(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withRecord) // A1 on top, A2 of locks on the tower
	p.resize(120, 40)
	p.press("r", "y")
	p.sees("Move A1 of 16 Mar, Curly", "top (1 of 1)", "tower (3 of 4 layers)")
	p.press("down", "enter")
	p.says("tray tower has no room for A1 (3 of 4 layers are taken)")
	p.press("esc", "esc", "down", "y", "up", "up", "enter")
	p.says("tray top has no room for A2")
	p.press("esc")
	p.press("d")
	p.types("110")
	p.press("enter", "enter", "enter", "down", "enter") // A2 into its bag
	p.says("A2: 110 g dry")
	p.settled()
	p.send(base.KeptMsg{})
	p.sees("How it came out")
	p.press("esc", "y", "down", "enter")
	p.says("A1 lies on tower")
	p.settled()
	p.send(base.KeptMsg{})
	p.sees("on tower")
	p.press("u")
	p.says("undo moving A1")
	p.press("u")
	p.settled()
	p.send(base.KeptMsg{})
	p.sees("on top")
	p.everySize()
}

// TestThrownAwayByMistake: taken back, a batch lies where it lay, and where another lies there by now on no tray,
// which is said.
func TestThrownAwayByMistake(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withRecord) // A1 on top, A2 of locks on the tower
	p.resize(120, 40)
	p.press("d", "enter", "h", "z", "z")
	p.seesNot("taken by now")
	p.press("z")
	p.settled() // the rack is read from the record
	p.press("esc", "esc", "esc", "r")
	p.seesNot("▸ A1")
	p.press("y", "home", "up", "up", "enter")
	p.says("A2 lies on top")
	p.settled()
	p.press("esc", "d", "enter", "h", "home", "z")
	p.says("A1 is not thrown away. Its place on top is taken by now: y under Drying rack lays it on another tray")
	p.everySize()
	p.press("esc", "esc", "esc", "r", "home", "y")
	p.sees("Move A1", "top (1 of 1)")
}

// TestPartsUntouched: a form that nobody edits changes no part, in whatever
// units it is shown, and a comma left out is asked about.
func TestPartsUntouched(t *testing.T) {
	parts := []shed.FleecePart{{Name: "sides", RawG: 1234.56}, {Name: "shoulder", RawG: 500}}
	for _, u := range []measure.System{measure.Metric, measure.US} {
		p := newPerson(t, true, withFleeces, func(p *person, _ *base.Deps) {
			p.ledger.HasKit.Units = u
			p.ledger.Have[0].RawG, p.ledger.Have[0].Parts = 1734.56, parts
		})
		p.press("f", "down", "enter", "e", "ctrl+s")
		if got := p.ledger.Have[0]; got.Animal != "Curly" || got.Parts[0] != parts[0] || got.Parts[1] != parts[1] {
			t.Errorf("%v: %+v\n%s", u, got, p.view())
		}
	}
	if got, err := ahead.ReadParts(measure.US, "shoulder 1 lb 5, britch 9 oz"); err != nil || len(got) != 2 || got[0].Name != "shoulder" || math.Abs(got[0].RawG-21*measure.GPerOz) > 1e-9 {
		t.Errorf("%+v, %v", got, err)
	}
	for _, bad := range []string{"shoulder 600 g britch 250 g", "shoulder 600 g 700 g", "shoulder 1 lb 5 britch 9 oz"} {
		if got, err := ahead.ReadParts(measure.Metric, bad); err == nil || !strings.Contains(err.Error(), "put a comma between parts") {
			t.Errorf("%q reads as %+v (%v)", bad, got, err)
		}
	}
	if got, err := ahead.ReadParts(measure.Metric, "shoulder: 600 g"); err != nil || got[0].Name != "shoulder" {
		t.Errorf("%+v, %v", got, err)
	}
}

// TestPartUsedUp: of a part that is washed nothing is offered.
func TestPartUsedUp(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) { p.ledger.Have[0].Parts[1].RawG = 200 }) // all of it was A2
	p.resize(120, 40)
	p.press("p", "a", "enter", "enter")
	p.types("Shoulder")
	p.press("enter")
	p.sees("> 0")
}

// TestFormOfAPlannedBatch: changing it changes no weight that was read.
func TestFormOfAPlannedBatch(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("p", "a", "enter", "enter", "enter")
	p.types("80")
	p.press("ctrl+s", "e", "right", "ctrl+s")
	if b := p.app.env.Planned.Plan.Batches[0]; b.RawG != 80 || b.Form != shed.Locks {
		t.Errorf("%+v", b)
	}
}

// TestBackFromAWrongField: what is wrong may be a field before this one.
func TestBackFromAWrongField(t *testing.T) {
	p := newPerson(t, true)
	p.press("f", "a")
	p.types("Woolly")
	p.press("enter", "enter", "enter")
	p.types("1 kg")
	p.press("enter", "enter")
	p.types("shoulder 900, britch 500")
	p.press("enter")
	p.says("the parts of this fleece add up to 1.4 kg")
	p.press("shift+tab", "shift+tab")
	p.types("2 kg")
	p.press("enter", "enter")
	p.sees("> shoulder 900, britch 500")
	p.press("enter")
	p.sees("What it is like")
	p.press("ctrl+s")
	if f := p.ledger.Have; len(f) != 1 || f[0].RawG != 2000 || len(f[0].Parts) != 2 {
		t.Errorf("%+v", f)
	}
}

// TestTraysKeepTheirMarks: a tray that is renamed keeps what lies on it, one on
// which something lies cannot go, and a tray that nobody cleared for weeks is
// not free.
func TestTraysKeepTheirMarks(t *testing.T) {
	p := newPerson(t, true, withRecord) // A1 on top, A2 on the tower
	p.press("k", "9")
	p.types("top 1, turm 1 with 4 layers")
	p.press("ctrl+s")
	if trays := p.ledger.HasKit.Trays; trays[1].ID != "r2" || trays[1].Name != "turm" {
		t.Errorf("trays %+v", trays)
	}
	p.press("9")
	p.types("turm 1 with 4 layers")
	p.press("ctrl+s")
	p.says("A1 lies on top by the record: bag it or lay it elsewhere first")
	if trays := p.ledger.HasKit.Trays; len(trays) != 2 {
		t.Errorf("trays %+v", trays)
	}
	p.press("esc", "esc", "esc")
	p.clock.Forward(10 * 24 * time.Hour)
	p.press("r", "y")
	p.sees("top (1 of 1)", "tower (3 of 4 layers)")
}
