package washday

import (
	"slices"
	"testing"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
)

// TestEqualDeedsKeepTheirPlaces: of deeds that nobody hurries none passes another while nobody does anything,
// however often the rest of the day is planned anew meanwhile.
func TestEqualDeedsKeepTheirPlaces(t *testing.T) {
	t.Parallel()
	h := newHand(t, 3, 0)
	for range 2 {
		first := h.s.next[0]
		h.must(session.DoNext{Tub: first.Tub, Act: first.Act, Batch: first.Batch})
		h.pass(10, func() {})
	}
	order := func() (tubs []int) {
		for _, a := range h.s.next {
			if a.Rank == coach.Now && !a.Boil && a.MustBy.IsZero() {
				tubs = append(tubs, a.Tub)
			}
		}
		return tubs
	}
	seen, was := 0, order()
	h.pass(6, func() {
		is := order()
		both := slices.DeleteFunc(slices.Clone(was), func(tub int) bool { return !slices.Contains(is, tub) })
		if seen = max(seen, len(both)); !slices.Equal(both, slices.DeleteFunc(slices.Clone(is), func(tub int) bool { return !slices.Contains(was, tub) })) {
			t.Fatalf("%s: tubs %v, before %v\n%s", h.s.e.Now.Format("15:04:05"), is, was, h.view())
		}
		was = is
	})
	if seen < 2 {
		t.Errorf("%d deeds at once", seen)
	}
}
