package rehearse

import (
	"slices"
	"strings"

	"fleece.example/tubside/session/shed"
)

// With is the same people's day with another kit: its batches are no larger than the largest
// tub takes, and who is away from a tub is away from the one in its place. What is done or
// expected at a minute of its own baths is left out, for these go another way.
func (s Script) With(k shed.Kit) Script {
	was := s.Plan.Kit.Tubs
	s.Plan.Kit, s.Do, s.Expect = k, nil, nil
	s.Plan.Batches = slices.Clone(s.Plan.Batches)
	for i, b := range s.Plan.Batches {
		mostG := 0.0
		for tub := range k.Tubs {
			mostG = max(mostG, s.Plan.TakesG(&b, tub))
		}
		s.Plan.Batches[i].RawG = min(b.RawG, mostG)
	}
	if s.Hands != nil {
		h := *s.Hands
		h.Away = slices.Clone(h.Away)
		for i, a := range h.Away {
			if at := slices.IndexFunc(was, func(t shed.Tub) bool { return strings.EqualFold(t.Name, a.Tub) }); at >= 0 && len(k.Tubs) > 0 {
				h.Away[i].Tub = k.Tubs[min(at, len(k.Tubs)-1)].Name
			}
		}
		s.Hands = &h
	}
	return s
}
