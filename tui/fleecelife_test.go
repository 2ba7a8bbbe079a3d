package tui

import (
	"testing"

	"fleece.example/tubside/session/shed"
)

// TestFleeceLife: a card begins with the clean weight; where the fleece is from, what its clean
// fibre went into and what became of its rest are kept and told, and a bag is found by its code.
func TestFleeceLife(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("f", "enter")
	p.sees("clean", "240 g, in 2 bags")
	p.press("e")
	for range 12 {
		p.press("enter")
	}
	p.sees("Where from, where to")
	p.everySize()
	for _, text := range []string{"Invented Longwool", "14 May", "€35"} {
		p.types(text)
		p.press("enter")
	}
	p.press("right", "right", "enter")
	p.types("hat 120 g, sold 600")
	p.press("enter")
	p.sees("used or sold is 720 g in all, and its bags hold 240 g clean")
	p.press("backspace", "enter")
	p.settled()
	f := p.ledger.Have[0]
	if f.Breed != "Invented Longwool" || f.Shorn != "14 May" || f.Paid != 35 || f.Rest != shed.RestGivenAway || len(f.Uses) != 2 || f.UsedG() != 180 {
		t.Fatalf("%+v", f)
	}
	p.sees("60 g left, in 2 bags; of 240 g: hat 120 g, sold 60 g", "shorn 14 May", "finished, the rest given away", "Invented Longwool")
	p.seesNot("will give")
	p.everySize()
	p.press("esc", "/")
	p.types("longwool")
	p.sees("Curly")
	p.types("001J") // the code of the first day's first bag
	p.sees("Curly")
	p.seesNot("Bramble")
}

// TestBagEmpty: a bag that is used up or sold is marked so, and the card says what is left and in how many
// bags; what was used out of it is not taken off twice.
func TestBagEmpty(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withRecord)
	p.ledger.Have[0].Uses = []shed.FleecePart{{Name: "sold", RawG: 100}}
	p.press("d", "down", "enter", "h", "home", "e")
	p.says("bag empty")
	p.settled()
	p.press("esc", "esc", "esc", "f", "enter")
	p.sees("118 g left, in 1 bag; of 240 g: sold 100 g")
	p.everySize()
	p.resize(120, 60)
	p.sees("bag empty")
	p.resize(80, 24)
	p.press("esc", "esc", "d", "down", "enter", "h", "end", "e")
	p.settled()
	p.press("esc", "esc", "esc", "f", "enter")
	p.sees("none left of 240 g: sold 100 g")
	p.press("esc", "esc", "d", "enter", "h", "e")
	p.says("A1 is not bagged yet: weigh it dry first")
}

// TestBreedOffered: what is typed of a breed shows a common name that begins so, Right takes it at the end of
// what is typed and goes on through it before, and any other name stays as it was typed.
func TestBreedOffered(t *testing.T) {
	t.Parallel()
	for want, keys := range map[string][]string{"Wensleydale": {"right"}, "wensl": {"left", "left", "right"}} {
		p := newPerson(t, true, withRecord)
		p.resize(120, 40)
		p.press("f", "enter", "e")
		for range 12 {
			p.press("enter")
		}
		p.types("wensl")
		p.sees("wensleydale")
		p.press(keys...)
		p.sees("Breed")
		p.press("ctrl+s")
		p.settled()
		if b := p.ledger.Have[0].Breed; b != want {
			t.Errorf("%v: kept %q", keys, b)
		}
	}
}
