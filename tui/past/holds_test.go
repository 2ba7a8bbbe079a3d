package past

import (
	"io"
	"strings"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

// A bar has room for the smallest share, and what was spun of the clean fibre is in none.
func TestBarOfASmallShare(t *testing.T) {
	e := &base.Env{Kit: shed.DefaultKit()}
	e.Theme = theme.New(io.Discard, theme.Options{ASCII: true})
	x := ledger.Entry{Fleece: shed.Fleece{Animal: "Moss", RawG: 3000}, RawG: 2990, DryG: 2000, UsedG: 2990, LeftG: 10}
	line := func() string { return strings.Join(Holds{fleeces: []ledger.Entry{x}}.Lines(e, 80, 5), "") }
	if got := line(); strings.Contains(got, draw.CutSign) || strings.Count(got, e.Theme.Mark(theme.MarkGone)) == 0 {
		t.Errorf("%q", got)
	}
	x.Fleece.Uses = []shed.FleecePart{{Name: "yarn", RawG: 2000}}
	if got := line(); strings.Contains(got, e.Theme.Mark(theme.MarkHands)) {
		t.Errorf("all that was clean is used: %q", got)
	}
}

// What to weigh next is told whole or not at all.
func TestNextToWeighIsNotCut(t *testing.T) {
	e := &base.Env{Kit: shed.DefaultKit()}
	e.Theme = theme.New(io.Discard, theme.Options{ASCII: true})
	h := Holds{rack: dryingFound{list: []dryingLine{{DryingBatch: session.DryingBatch{Dry: true}}}}}
	for room := range 8 {
		text := strings.Join(h.Lines(e, 30, room), " ")
		if lines := len(h.Lines(e, 30, room)); lines > room || text != "" && !strings.Contains(text, "bag it") {
			t.Errorf("%d lines in %d: %q", lines, room, text)
		}
	}
}
