package ledger

import (
	"sort"
	"strings"

	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/yield"
)

// Stock is what is left to wash of fleeces by the record.
type Stock struct {
	wholeG map[string]float64
	parts  map[string][]yield.Part
	Wet    []BookedBatch // what days left wet, the oldest first
}

// StockOf takes what days have washed off the fleeces.
func StockOf(fleeces []shed.Fleece, days []Summary) Stock {
	s := Stock{wholeG: map[string]float64{}, parts: map[string][]yield.Part{}}
	for _, x := range Book(fleeces, days) {
		s.wholeG[x.Fleece.ID], s.parts[x.Fleece.ID] = x.LeftG, x.Left()
		for _, b := range x.Batches {
			if b.Wet {
				s.Wet = append(s.Wet, b)
			}
		}
	}
	sort.SliceStable(s.Wet, func(i, j int) bool { return s.Wet[i].Day < s.Wet[j].Day })
	return s
}

// WholeG is what is left of a fleece, g. Of one that is not in the record nothing
// is washed.
func (s Stock) WholeG(f shed.Fleece) float64 {
	if g, known := s.wholeG[f.ID]; known {
		return g
	}
	return f.ToWashG()
}

// LeftG is what is left of a fleece, or of a part of it, once batches are taken
// off, g.
func (s Stock) LeftG(f shed.Fleece, part string, batches []shed.Batch) float64 {
	_, known := s.wholeG[f.ID]
	rawG := s.WholeG(f) - PlannedG(batches, f.ID, "")
	for _, sorted := range f.Parts {
		if !strings.EqualFold(sorted.Name, part) {
			continue
		}
		partG := 0.0 // all of it is washed, unless some is left
		if !known {
			partG = sorted.RawG
		}
		for _, p := range s.parts[f.ID] {
			if p.Name != "" && strings.EqualFold(p.Name, part) {
				partG = p.RawG
			}
		}
		rawG = min(rawG, partG-PlannedG(batches, f.ID, part))
	}
	return max(0, rawG)
}

// Over says that batches have more of a fleece than is left of it, and how much
// each is, g; half a gram is rounding.
func (s Stock) Over(f shed.Fleece, batches []shed.Batch) (plannedG, leftG float64, over bool) {
	plannedG, leftG = PlannedG(batches, f.ID, ""), s.WholeG(f)
	return plannedG, leftG, plannedG > leftG+0.5
}

// PlannedG is how much of a fleece, or of one part of it, is in batches, g.
func PlannedG(batches []shed.Batch, id, part string) float64 {
	g := 0.0
	for _, b := range batches {
		if b.FleeceID == id && b.Raw() && (part == "" || strings.EqualFold(b.Part, part)) {
			g += b.RawG
		}
	}
	return g
}
