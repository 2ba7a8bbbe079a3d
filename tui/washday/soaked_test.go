package washday

import (
	"testing"
)

// TestPresoakedWeight is taken down between presoak and wash.
func TestPresoakedWeight(t *testing.T) {
	h := newHand(t, 1, 0)
	h.press("g")
	h.sees("has nothing ready for the rack")
	h.wait(3)
	for range 40 {
		if h.day().BetweenBaths(0) {
			break
		}
		h.wait(60)
		before := h.day().LastSeq
		if h.phase(0) == "drain" {
			h.press(".")
		}
		if h.day().LastSeq == before { // one deed
			h.press("enter")
		}
	}
	h.press("g")
	h.sees("PRESOAKED AND DRIED?")
	h.write("225000")
	h.press("enter")
	h.sees("is the unit")
	h.press("esc", "g")
	h.write("195")
	h.press("enter")
	if f := h.day().Fate[h.day().Plan.Batches[0].ID]; f.SoakedG != 195 {
		t.Errorf("kept %+v", f)
	}
}
