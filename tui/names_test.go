package tui

import (
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/form"
)

// TestScaleNames: a scale's name is put right in the kit; two that are one become
// one, and one is not given the name that another had until now.
func TestScaleNames(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) {
		p.ledger.HasKit.Scales = []shed.Scale{{Name: "kitchn", StepG: 1}, {Name: "kitchen", StepG: 1}, {Name: "post", StepG: 5}}
	})
	p.press("k", "end")
	p.sees("Scales", "kitchn 1 g, kitchen 1 g, post 5 g")
	p.press("enter")
	p.sees("Scale 1 and its step", "Scale 3 and its step")
	p.everySize()
	p.types("post 1 g")
	p.press("tab", "tab")
	p.types("shed 5 g")
	p.press("ctrl+s")
	p.says("post was another scale's name until now")
	p.press("shift+tab", "shift+tab")
	p.types("kitchen 1 g")
	p.press("ctrl+s")
	p.says("kitchen 1 g, shed 5 g")
	k := p.ledger.HasKit
	if len(k.Scales) != 2 || k.ScaleName("kitchn") != "kitchen" || k.ScaleName("post") != "shed" || k.ScaleName("kitchen") != "kitchen" {
		t.Errorf("%+v %+v", k.Scales, k.Names)
	}
	if s, err := form.ReadScale(*k, "kitchn 1 g"); err != nil || s.Name != "kitchen" {
		t.Errorf("typed again it is %+v (%v)", s, err)
	}
}

// TestTagsWithTheOldName are told of where the name is put right, and on the card.
func TestTagsWithTheOldName(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) {
		for _, batch := range []string{"A1", "A2"} {
			p.ledger.Tags = append(p.ledger.Tags, tag.Printed{Day: 1, Batch: batch, Fleece: "f2", Name: "Curly, Invented Hill"})
		}
	})
	p.press("f", "e")
	p.types("Frizzy")
	p.press("ctrl+s")
	p.says("Frizzy, Invented Hill is saved; tags printed with the old name: 2")
	p.press("enter")
	p.says("tags printed with the old name: 2")
	if f := p.ledger.Have[0]; f.ChangedAt.IsZero() || !f.MadeAt.IsZero() {
		t.Errorf("made %v, changed %v", f.MadeAt, f.ChangedAt)
	}
}

// TestDeletedMethodKeepsItsName: in the kit, for the days that were washed by it.
func TestDeletedMethodKeepsItsName(t *testing.T) {
	p := newPerson(t, true)
	p.press("m", "c")
	p.types("Slow way")
	p.press("ctrl+s", "end", "x", "x")
	p.says("Slow way is deleted")
	d := session.Day{Plan: shed.Plan{Method: shed.Method{ID: "m1", Name: "First way"}}}
	if name := d.Named(ledger.NamesIn(p.ledger)).Plan.Method.Name; name != "Slow way" {
		t.Errorf("the day was washed by %q", name)
	}
}
