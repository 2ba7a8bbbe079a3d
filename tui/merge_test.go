package tui

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
)

// TestMergeFleeces: an entry that is another's fleece goes into it, with weights and batches.
func TestMergeFleeces(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) { // one day of Bramble
		plan := shed.Plan{Kit: *p.ledger.HasKit, Method: shed.BuiltInMethod(), Fleeces: p.ledger.Have[2:], Batches: []shed.Batch{{FleeceID: "f9", RawG: 250, Presoak: shed.PresoakNone}}}
		x := sessiontest.StartAt(p.t, plan, p.clock.At).Rack(2).Do(session.EndDay{})
		x.Keep(p.journal)
		p.clock.At = x.Now.Add(time.Hour)
	})
	p.resize(120, 40)
	p.press("f", "enter", "m")
	p.everySize()
	p.sees("Merge into Curly", "Old Grey", "Bramble, Nowhere Fold, 2.6 kg raw, 1 batch, mark f9")
	p.press("enter", "m", "down", "down", "enter")
	p.sees("> two halves of one fleece: their weights are added", "one fleece entered twice: it weighs 2 kg")
	p.everySize()
	p.press("enter")
	p.says("goes into Curly, Invented Hill for good, and its 2.6 kg raw are added: is it wool of the same fleece? If so, press Enter again")
	p.press("enter")
	p.says("Bramble, Nowhere Fold, mark f9, is part of Curly, Invented Hill")
	p.settled()
	p.everySize()
	p.sees("4.6 kg bought, 4.4 kg after skirting")
	p.press("esc")
	p.seesNot("Bramble")
}

// TestMergeEnteredTwice: a fleece that was entered twice keeps its one weight, which is what equal
// weights propose; the other entry still says what the first does not.
func TestMergeEnteredTwice(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) {
		x := &p.ledger.Have[2]
		x.RawG, x.SkirtedG, x.Paid, x.Breed = 2000, 1700, 40, "Invented Longwool"
		x.Parts, x.Uses = []shed.FleecePart{{Name: "sides", RawG: 900}}, []shed.FleecePart{{Name: "hat", RawG: 90}}
	})
	p.resize(120, 40)
	p.press("f", "enter", "m", "down", "down", "enter")
	p.sees("> one fleece entered twice: it weighs 2 kg")
	p.press("enter")
	p.says("goes into Curly, Invented Hill for good, which stays at 2 kg raw: was this fleece entered twice? If so, press Enter again")
	p.press("enter")
	p.says("Bramble, Nowhere Fold, mark f9, is part of Curly, Invented Hill")
	f := p.ledger.Have[0]
	if f.RawG != 2000 || f.SkirtedG != 1800 || f.Paid != 40 || f.Breed != "Invented Longwool" || f.Parts[0].RawG != 1000 || len(f.Parts) != 2 || len(f.Uses) != 1 || !slices.Equal(f.Joined, []string{"f9"}) {
		t.Errorf("%+v", f)
	}
}

// TestMergeKeepsNotes: notes that would not all be kept are no reason to lose their end.
func TestMergeKeepsNotes(t *testing.T) {
	p := newPerson(t, true, withRecord, func(p *person, _ *base.Deps) {
		p.ledger.Have[0].Notes = strings.Repeat("x", shed.MaxNote/2)
		p.ledger.Have[2].Notes = strings.Repeat("y", shed.MaxNote/2-1)
	})
	p.resize(120, 40)
	p.press("f", "enter", "m", "down", "down", "enter", "enter")
	p.says("the notes of both come to 401 characters, and 400 are kept: shorten one first, e at each")
	p.press("enter", "enter")
	if len(p.ledger.Have[0].Joined) > 0 {
		t.Errorf("merged all the same: %+v", p.ledger.Have[0])
	}
}
