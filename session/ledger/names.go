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

// Title is the title of a batch's fleece; "" where the day has none. Before days wrote the marks of their fleeces the
// letters of a batch said which it is.
func (s *Summary) Title(r BatchRow) string {
	if i := s.place(r); i >= 0 && i < len(s.Fleeces) {
		return s.Fleeces[i]
	}
	return ""
}

func (s *Summary) place(r BatchRow) int {
	if len(s.FleeceIDs) > 0 {
		return slices.Index(s.FleeceIDs, r.FleeceID)
	}
	return shed.FleecePlace(r.ID)
}

// Named is the summary with the names as they are now.
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
			if i := s.place(r); i >= 0 && i < len(s.Fleeces) {
				s.Fleeces[i] = title
			}
		}
	}
	if n.ScalesRenamed() || n.Joins() {
		s.Rows, s.FleeceIDs = slices.Clone(s.Rows), slices.Clone(s.FleeceIDs)
		for i, r := range s.Rows {
			s.Rows[i].FleeceID = n.Into(r.FleeceID)
			s.Rows[i].RawScale, s.Rows[i].DryScale = n.Scale(r.RawScale), n.Scale(r.DryScale)
		}
		for i, id := range s.FleeceIDs {
			s.FleeceIDs[i] = n.Into(id)
		}
	}
	return s
}
