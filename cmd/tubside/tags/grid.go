package tags

import (
	"fmt"
	"strings"
)

// Grid is a sheet of labels by its geometry, all in millimetres: what counts is
// where the labels lie, whoever cut them.
type Grid struct {
	_                      [0]func() // nobody compares two: no code for it
	Paper                  string    // as it is asked for: "a4", "letter"
	PageWMM, PageHMM       float64
	Cols, Rows             int
	LabelWMM, LabelHMM     float64
	LeftMM, TopMM          float64 // of the first label
	GapXMM, GapYMM         float64 // between two labels
	PaddingXMM, PaddingYMM float64 // kept free inside a label, for printers that shift
	EdgeMM                 float64 // kept free at the edge of the page, where printers do not print
}

// Grids are the sheets that are known: on A4 three by eight labels of 70 by
// 37 mm without gaps, on US Letter three by ten of 2 5/8 by 1 inch.
func Grids() []Grid {
	const inch = 25.4
	return []Grid{
		{Paper: "a4", PageWMM: 210, PageHMM: 297, Cols: 3, Rows: 8, LabelWMM: 70, LabelHMM: 37, TopMM: 0.5,
			PaddingXMM: 3, PaddingYMM: 2.5, EdgeMM: 5},
		{Paper: "letter", PageWMM: 8.5 * inch, PageHMM: 11 * inch, Cols: 3, Rows: 10, LabelWMM: 2.625 * inch, LabelHMM: inch,
			LeftMM: 0.1875 * inch, TopMM: 0.5 * inch, GapXMM: 0.125 * inch, PaddingXMM: 2.5, PaddingYMM: 1.5, EdgeMM: 5},
	}
}

// GridFor finds the sheet for a paper.
//
// Errors: a sentence that names the papers there are.
func GridFor(paper string) (Grid, error) {
	for _, g := range Grids() {
		if strings.EqualFold(g.Paper, paper) {
			return g, nil
		}
	}
	return Grid{}, fmt.Errorf("there is no paper \"%s\": use a4 or letter", paper)
}

// LabelGrid is the roll of a label printer, a page for each label.
func LabelGrid(widthMM, heightMM float64) Grid {
	return Grid{Paper: "label", PageWMM: widthMM, PageHMM: heightMM, Cols: 1, Rows: 1, LabelWMM: widthMM, LabelHMM: heightMM, EdgeMM: 1.5}
}

// Labels is how many labels a sheet has.
func (g Grid) Labels() int { return g.Cols * g.Rows }

// box is a rectangle in millimetres from the page's upper left corner.
type box struct{ x, y, w, h float64 }

// label is the place of a label, counted along the rows.
func (g Grid) label(i int) box {
	return box{
		x: g.LeftMM + float64(i%g.Cols)*(g.LabelWMM+g.GapXMM),
		y: g.TopMM + float64(i/g.Cols)*(g.LabelHMM+g.GapYMM),
		w: g.LabelWMM, h: g.LabelHMM,
	}
}

// inside is the part of a label that may be printed on.
func (g Grid) inside(i int) box {
	l := g.label(i)
	left, top := max(l.x+g.PaddingXMM, g.EdgeMM), max(l.y+g.PaddingYMM, g.EdgeMM)
	right := min(l.x+l.w-g.PaddingXMM, g.PageWMM-g.EdgeMM)
	bottom := min(l.y+l.h-g.PaddingYMM, g.PageHMM-g.EdgeMM)
	return box{left, top, right - left, bottom - top}
}
