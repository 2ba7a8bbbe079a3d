package ledger

import (
	"slices"

	"fleece.example/tubside/session/shed"
)

// NamesIn reads the names of a ledger. What cannot be read names nothing: then a
// day says what it said when it was washed, which is better than no day.
func NamesIn(l Ledger) shed.Names {
	kit, _, err := l.Kit()
	if err != nil {
		kit = shed.Kit{}
	}
	fleeces, _ := l.Fleeces()
	methods, _ := l.Methods()
	return shed.NamesOf(kit, fleeces, methods)
}

// Named is the summary with the names as they are now; the letters of a batch
// say which of the day's fleeces it is from.
func (s Summary) Named(n shed.Names) Summary {
	s.Method = n.Method(s.MethodID, s.Method)
	s.Fleeces = slices.Clone(s.Fleeces)
	last := ""
	for _, r := range s.Rows {
		if r.FleeceID == last {
			continue
		}
		last = r.FleeceID
		if title, ok := n.TitleOf(r.FleeceID); ok {
			if i := shed.FleecePlace(r.ID); i >= 0 && i < len(s.Fleeces) {
				s.Fleeces[i] = title
			}
		}
	}
	if n.ScalesRenamed() || n.Joins() {
		s.Rows = slices.Clone(s.Rows)
		for i, r := range s.Rows {
			s.Rows[i].FleeceID = n.Into(r.FleeceID)
			s.Rows[i].RawScale, s.Rows[i].DryScale = n.Scale(r.RawScale), n.Scale(r.DryScale)
		}
	}
	return s
}
