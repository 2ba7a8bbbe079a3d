package washday

import (
	"strings"
	"testing"

	"fleece.example/tubside/session/shed"
)

// TestTraysAreSaidOnce: the first batch that was ever racked says where trays are added; who has
// racked on an earlier day, or has put trays into the kit since the day began, is not told.
func TestTraysAreSaidOnce(t *testing.T) {
	for name, change := range map[string]func(h *hand){
		"lies there": func(h *hand) { h.s.e.Live.Day.Plan.OnRack = []shed.Lying{{}} },
		"was racked": func(h *hand) {
			h.s.e.Live.Day.Plan.Hands = []shed.HandsTime{{Act: shed.RackFibre, Min: 2, Times: 1}}
		},
		"has trays": func(h *hand) { h.s.e.Kit.Trays = []shed.Tray{{ID: "r1", Name: "top", Places: 1}} },
	} {
		h := newHand(t, 1, 0)
		h.s.e.Kit.Trays, h.s.e.Live.Day.Plan.Hands, h.s.e.Live.Day.Plan.OnRack = nil, nil, nil
		h.s.e.Live.Day.Tubs[0].Batch = h.day().Plan.Batches[0].ID
		if text := h.s.rackedText(0, ""); !strings.Contains(text, "add trays") {
			t.Fatalf("the first of all: %q", text)
		}
		if change(h); strings.Contains(h.s.rackedText(0, ""), "add trays") {
			t.Errorf("%s: %q", name, h.s.rackedText(0, ""))
		}
	}
}
