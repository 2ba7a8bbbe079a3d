package session_test

import (
	"strings"
	"testing"

	"fleece.example/tubside/session"
)

// The dose goes by weight, wax and the scour's own figure, in mL with spoons or
// in grams of a powder. What wax changes is our own figure.
func TestDose(t *testing.T) {
	k := session.DefaultKit()
	near(t, "medium", k.Scour.DoseFor(200, session.Average), 9, 1e-9)
	near(t, "little wax", k.Scour.DoseFor(200, session.Low), 7.2, 1e-9)
	near(t, "much wax", k.Scour.DoseFor(200, session.High), 11.25, 1e-9)
	if got := k.DoseText(10); got != "10 mL (2 tsp)" {
		t.Error(got)
	}
	k.Scour.PowderGPer100G = 3
	near(t, "powder", k.Scour.DoseFor(200, session.Average), 6, 1e-9)
	if got := k.DoseText(6); got != "6 g" {
		t.Error(got)
	}
	k.Scour.PowderGPer100G = -1
	if err := k.Validate(); err == nil || !strings.Contains(err.Error(), "dose of a powder") {
		t.Error(err)
	}
}

// The coach gives the pour in whole marks of the jug, says what it comes to, and
// what would do where it stays short.
func TestFillInWords(t *testing.T) {
	text := details(start(t, oneTub()).day.Prompt(0, dawn))
	if !strings.Contains(text, "with the fleece in: 4.75 L hot tap + 3.25 L kettle (3 boils)") && !strings.Contains(text, "with the fleece in: 5 L hot tap + 3 L kettle (2 boils)") {
		t.Error(text)
	}
	text = details(start(t, oneTub(func(p *session.Plan) { p.Kit.Kettle.CapacityL = 0.75 })).day.Prompt(0, dawn))
	if !strings.Contains(text, "short of it") || !strings.Contains(text, "from the kettle in all") {
		t.Error(text)
	}
}
