package tui

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// TestAKeyWaitsForTheSave: a key that goes on with a past day waits until what was done
// before is written, and then does what it says.
func TestAKeyWaitsForTheSave(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withRecord)
	p.press("r", "enter", "1", "2", "5")
	p.journal.Fail(errors.New("the disk is full"))
	p.press("ctrl+s")
	p.sees("A1", "top")
	time.AfterFunc(300*time.Millisecond, func() { p.journal.Fail(nil) })
	p.press("u")
	p.says("undo A1's wet weight, 125 g?")
	p.settled()
}

// TestDaysApartOnTheRack: two batches of one mark are named with their days, in each window.
func TestDaysApartOnTheRack(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) { rackedAgain(p) })
	p.press("r")
	p.everySize()
	for _, w := range []int{120, 80, 40} {
		p.resize(w, 30)
		p.sees("A1 of 14 Mar", "A1 of 16 Mar")
	}
}

// rackedAgain takes the dry weights of the first day back: its A1 lies there again.
func rackedAgain(p *person) {
	recs, err := p.journal.Events(1)
	if err != nil {
		p.t.Fatal(err)
	}
	d, at := session.Replay(recs), p.clock.At
	var undone []session.Recorded
	for range 2 {
		next, more, err := session.Do(d, session.Undo{}, at)
		if err != nil {
			p.t.Fatal(err)
		}
		d, undone = next, append(undone, more...)
	}
	if err := p.journal.Append(1, undone, ledger.Summarise(shed.DayID(1), d)); err != nil {
		p.t.Fatal(err)
	}
}

// TestHumidityIsNoWeight: what is typed where the humidity goes and may be a weight is asked
// about; what was given for the batch before is offered and taken.
func TestHumidityIsNoWeight(t *testing.T) {
	p := newPerson(t, true, withRecord)
	p.press("r", "d")
	p.types("118")
	p.press("enter")
	for typed, asks := range map[string]string{"5.9": "a room at 5.9 %?", "14.9": "a room at 14.9 %?", "88": "88 % is air too damp to dry wool in", "100": "100 % is air too damp"} {
		p.types(typed)
		p.press("enter")
		p.says(asks)
	}
	p.types("55")
	p.press("enter")
	if strings.Contains(p.view(), "no weight?") {
		t.Errorf("55 %% was asked about:\n%s", p.view())
	}
}

// TestGoingOnWeighing: whoever goes on weighing once a batch is dry by the rule weighs the next
// batch: no other question is in the way of the figure.
func TestGoingOnWeighing(t *testing.T) {
	p := newPerson(t, true, withRecord, weeksLater)
	p.press("r", "enter")
	p.types("137")
	p.press("ctrl+s")
	p.settled()
	p.says("A1: 137 g now; dry by the rule: d on its line bags it")
	p.press("enter")
	p.types("131")
	p.press("ctrl+s")
	p.settled()
	recs, _ := p.journal.Events(2)
	fate := session.Replay(recs).Fate
	if wet := fate["A2"].Wet; fate["A1"].DryG != 0 || len(wet) == 0 || wet[len(wet)-1].MassG != 131 {
		t.Errorf("A1 %+v, A2 %+v", fate["A1"], fate["A2"])
	}
	p.press("home", "d", "enter", "enter", "enter")
	p.says("A1: 137 g dry of 200 g raw")
}

// TestDampWoolStaysOnTheRack: a first weight that cannot show wool dry leaves its batch on the
// rack, from the look-back as from the list of what dries: home, the list and the look-back say
// so, and what to do. A lighter one the next day says that it was still drying.
func TestDampWoolStaysOnTheRack(t *testing.T) {
	for _, way := range []struct {
		to, key, back []string
		says          string
	}{
		{[]string{"d", "enter"}, []string{"w", "enter"}, []string{"esc", "esc", "esc"}, "w"},
		{[]string{"r"}, []string{"d"}, []string{"esc"}, "d on its line"},
	} {
		p := newPerson(t, true, withRack(1))
		weigh := func(g string) {
			p.press(way.to...)
			p.press(way.key...)
			p.types(g)
			p.press("enter", "enter", "enter")
		}
		weigh("130")
		p.says("A1: 130 g, one weight can't show it's dry. Should settle at about")
		p.says("Weigh again")
		p.press("enter")
		p.settled()
		p.says("A1: 130 g now. Left on the rack: one weight can't show it's dry (dry all through? say so: " + way.says + "); it should settle")
		p.says("weigh again")
		p.press(way.back...)
		p.settled()
		p.says("1 batch drying. Weigh A1")
		p.press("d", "enter")
		p.resize(80, 200)
		p.says("130 g on the rack, not bagged yet")
		p.says("provisional until it's dry: ")
		p.resize(80, 24)
		p.press("esc", "esc")
		p.wait(22 * time.Hour)
		weigh("118")
		p.says("A1: 118 g, down 12 g since")
		p.says("it was still drying")
		p.press("down", "enter") // dry all through
		p.settled()
		p.says("A1: 118 g dry of 200 g raw, yield 59 %")
		d, _ := p.journal.Day(1)
		if f := d.Fate["A1"]; f.DryG != 118 || len(f.Wet) != 1 {
			t.Errorf("%+v", f)
		}
	}
}

// TestCoarseScaleSaysWhatIsTheSame: a scale that shows no 2 % of a batch says at each weighing
// which weights are the same on it; a fine one has nothing to say.
func TestCoarseScaleSaysWhatIsTheSame(t *testing.T) {
	for scale, says := range map[string]string{"kitchen 10 g": "Weights up to 10 g apart are the same on this scale", "kitchen 1 g": ""} {
		p := newPerson(t, true, withRack(1))
		for _, k := range []string{"enter", "d"} {
			p.press("r", k)
			p.types("130")
			p.press("enter")
			if k == "d" {
				p.press("enter")
			}
			p.types(scale)
			p.press("enter")
			if said := strings.Contains(strings.Join(strings.Fields(p.view()), " "), "the same on this scale"); said != (says != "") {
				t.Errorf("%s, %s: %s", scale, k, p.view())
			} else if said {
				p.says(says)
			}
			p.press("enter", "esc", "esc")
			p.settled()
		}
	}
}

// TestDryIsSaidOfOneFigure: that it is dry was said of the figure typed then, not of another.
func TestDryIsSaidOfOneFigure(t *testing.T) {
	p := newPerson(t, true, withRack(1))
	p.press("r", "d")
	p.types("130")
	p.press("enter", "enter", "enter", "down", "shift+tab", "tab", "shift+tab") // a list takes up and down
	p.press("shift+tab", "shift+tab", "shift+tab")
	p.types("131")
	p.press("enter", "enter", "enter", "enter")
	p.settled()
	p.says("A1: 131 g now. Left on the rack: ")
}

// TestFigureTypedAtTheBatch: a figure typed at the list of batches is the weight of the one that is
// chosen, and Down behind it changes nothing.
func TestFigureTypedAtTheBatch(t *testing.T) {
	p := newPerson(t, true, withRack(3))
	p.press("d", "enter", "w", "down")
	p.types("131")
	p.press("down", "enter", "enter", "enter")
	p.settled()
	p.says("A2: 131 g now. Left on the rack")
	d, _ := p.journal.Day(1)
	if wet := d.Fate["A2"].Wet; len(wet) != 1 || wet[0].MassG != 131 {
		t.Errorf("%+v", d.Fate)
	}
}

// TestLeftOnTheRackSaysWhy: weights so close that the rule looks met, and is not, say what it
// still lacks and which key insists.
func TestLeftOnTheRackSaysWhy(t *testing.T) {
	p := newPerson(t, true, withRack(1))
	for _, g := range []string{"130", "129"} {
		p.press("r", "d")
		p.types(g)
		p.press("enter")
		p.types("62")
		p.press("ctrl+s")
		p.sees("Is it dry?") // nobody has answered that
		p.press("ctrl+s")
		p.settled()
		if g == "130" {
			p.press("esc")
			p.wait(8 * time.Hour)
		}
	}
	p.says("Left on the rack: by its weights it may still lose more than 2.6 g (dry all through? say so: d on its line)")
	p.press("d")
	p.types("129")
	p.press("enter", "enter", "enter")
	p.says("A1: 129 g, by its weights it may still lose more than")
}

// TestTraysAddedLater: a batch of a day whose kit had no trays is laid on one that the kit has got
// since, and the day knows it from then on.
func TestTraysAddedLater(t *testing.T) {
	p := newPerson(t, true, withRack(2))
	p.press("r", "y")
	p.says("the kit has no trays: add them under Kit, Drying rack")
	p.app.env.Kit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}, {ID: "r2", Name: "low", Places: 1}}
	for _, batch := range []string{"A1", "A2"} {
		p.press("home")
		if batch == "A2" {
			p.press("down")
		}
		p.press("y")
		if batch == "A2" {
			p.sees("top (1 of 1")
			p.press("down")
		}
		p.press("enter")
		p.settled()
	}
	d, err := p.journal.Day(1)
	if err != nil || d.Fate["A1"].Tray != "r1" || d.Fate["A2"].Tray != "r2" || len(d.Plan.Kit.Trays) != 2 || d.Running() {
		t.Errorf("%v: %+v", err, d.Fate)
	}
	p.press("u")
	p.settled()
	p.press("u")
	p.settled()
	if d, _ = p.journal.Day(1); d.Fate["A2"].Tray != "" || d.Fate["A1"].Tray != "r1" {
		t.Errorf("%+v", d.Fate)
	}
}
