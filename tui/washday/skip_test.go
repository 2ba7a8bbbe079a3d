package washday

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/shed"
)

// Once the fleece is lifted s leaves out the step that comes, and tells that the tub is
// emptied: the step behind is done by nobody.
func TestSkipFromABathThatStands(t *testing.T) {
	h := newHand(t, 1, 34)
	h.wait(30 * 60)
	h.press("enter")
	if h.phase(0) != "drain" {
		t.Fatal(h.phase(0))
	}
	tub := h.day().Tubs[0]
	at, was, skipped := tub.At, tub.Step().Name, tub.NextStep().Name
	h.press("s")
	if !strings.HasPrefix(h.s.e.Say, "empty ") || !strings.Contains(h.s.e.Say, skipped) || strings.Contains(h.s.e.Say, was) || h.phase(0) != "drain" {
		t.Fatalf("%q, %s", h.s.e.Say, h.phase(0))
	}
	h.wait(2)
	h.press("s")
	if tub := h.day().Tubs[0]; tub.At != at+2 || tub.Phase != shed.ToFill || !strings.Contains(h.s.e.Say, skipped+" skipped") {
		t.Errorf("step %d after %d, %v, %q", tub.At, at, tub.Phase, h.s.e.Say)
	}
	if got := h.day().Baths; len(got) == 0 || got[len(got)-1].Step.Name != was || got[len(got)-1].DrainedAt.IsZero() {
		t.Error("the bath before is not told as emptied")
	}
}
