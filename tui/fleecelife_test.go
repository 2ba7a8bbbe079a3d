package tui

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session/shed"
)

// TestFleeceLife: a card begins with the clean weight; where the fleece is from, what its clean
// fibre went into and what became of its rest are kept and told, and a bag is found by its code.
func TestFleeceLife(t *testing.T) {
	t.Parallel()
	p := newPerson(t, true, withRecord)
	p.resize(120, 40)
	p.press("f", "enter")
	p.sees("clean", "240 g, in 2 bags", "▆ 240 g clean  ░ drying 400 g raw  ┄ 1 kg raw  widths by raw weight")
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
	p.sees("60 g left, in 2 bags; of 240 g: hat 120 g, sold 60 g", "2026, 14 May", "finished, the rest given away", "Invented Longwool")
	p.sees(strings.Repeat("▆", 13)+strings.Repeat("·", 41)+"░", "▆ 60 g clean  · 180 g used  ░ drying 400 g raw  widths by raw weight") // 100 g, 300 g and 400 g of 800 g raw in 107 cells
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
	p.sees("118 g left, in 1 bag; of 240 g: sold 100 g", "▆ 118 g clean  · 122 g used")
	p.everySize()
	p.resize(120, 60)
	p.sees("bag empty")
	p.resize(80, 24)
	p.press("esc", "esc", "d", "down", "enter", "h", "end", "e")
	p.settled()
	p.press("esc", "esc", "esc", "f", "enter")
	p.sees("none left of 240 g: sold 100 g", "· 240 g used")
	p.seesNot(" g clean")
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

// TestHalfABagIsUsed: what went out of a bag is told as a person says it, by weight or as a share of what is
// left or of one bag; a share of all is asked about where there are several bags.
func TestHalfABagIsUsed(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		typed, asks, refuses string
		want                 []shed.FleecePart // of bags with 122 g and 118 g
	}{
		{typed: "half of 001J", want: []shed.FleecePart{{Name: "used", RawG: 61}}},
		{typed: "hat half of bag a2", want: []shed.FleecePart{{Name: "hat", RawG: 59}}},
		{typed: "hat: 1/2 of 011p, sold the rest", asks: "rest of all that is left is 181 g; of one bag, type rest of 001J", want: []shed.FleecePart{{Name: "hat", RawG: 59}, {Name: "sold", RawG: 181}}},
		{typed: "half", asks: "half of all that is left is 120 g; of one bag, type half of 001J", want: []shed.FleecePart{{Name: "used", RawG: 120}}},
		{typed: "60 g", want: []shed.FleecePart{{Name: "used", RawG: 60}}},
		{typed: "half-finger gloves 60", want: []shed.FleecePart{{Name: "half-finger gloves", RawG: 60}}},
		{typed: "hat 1/2 oz", want: []shed.FleecePart{{Name: "hat", RawG: 28.349523125 / 2}}},
		{typed: "hat 1 1/2 oz", want: []shed.FleecePart{{Name: "hat", RawG: 28.349523125 * 1.5}}},
		{typed: "half of B7", refuses: "\"b7\" isn't one bag of this fleece: type its code, such as half of 001J"},
	} {
		p := newPerson(t, true, withRecord)
		p.press("f", "enter", "e")
		for range 16 {
			p.press("enter")
		}
		p.sees("Clean fibre used or sold")
		p.types(c.typed)
		p.press("enter")
		if c.refuses != "" {
			p.says(c.refuses)
			continue
		}
		if c.asks != "" {
			p.says(c.asks)
			p.wait(3 * time.Second)
			p.press("enter")
		}
		p.settled()
		if got := p.ledger.Have[0].Uses; !slices.Equal(got, c.want) {
			t.Errorf("%s: %+v\n%s", c.typed, got, p.view())
		}
	}
}
