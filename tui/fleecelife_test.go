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
	p.sees("60 g left of 240 g: hat 120 g, sold 60 g, in 2 bags", "shorn 14 May", "finished, the rest given away", "Invented Longwool")
	p.seesNot("will give")
	p.everySize()
	p.press("esc", "/")
	p.types("longwool")
	p.sees("Curly")
	p.types("001J") // the code of the first day's first bag
	p.sees("Curly")
	p.seesNot("Bramble")
}
