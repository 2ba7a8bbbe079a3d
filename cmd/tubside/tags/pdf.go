package tags

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/signintech/gopdf"

	"fleece.example/tubside/session/measure"
)

// Sheet says how tags are put on sheets of labels.
type Sheet struct {
	Units   measure.System
	Grid    Grid
	Skip    int       // labels of the first sheet that are used up, along the rows
	Outline bool      // thin lines around the labels, to cut plain paper along
	Made    time.Time // noted in the document; zero: not noted
}

const pointsPerMM = 72 / 25.4

// Write writes a PDF with a label for each tag. The warnings are sentences
// about what could not be printed as it was given.
//
// Errors: a Skip that the sheet does not have, no tags, or what w returns.
func (s Sheet) Write(w io.Writer, tags []Tag) (warnings []string, err error) {
	if n := s.Grid.Labels(); s.Skip < 0 || s.Skip >= n {
		return nil, fmt.Errorf("a sheet has %d labels: skip 0 to %d of them, not %d", n, n-1, s.Skip)
	}
	if len(tags) == 0 {
		return nil, fmt.Errorf("there is no tag to print")
	}
	pdf, fonts, err := document("tags of washed fleece", s.Grid, s.Made)
	if err != nil {
		return nil, err
	}
	var lost lostLetters
	for i, t := range tags {
		at := (s.Skip + i) % s.Grid.Labels()
		if i == 0 || at == 0 {
			pdf.AddPage()
			s.outline(pdf)
		}
		cut, err := s.draw(pdf, fonts, s.Grid.inside(at), t.clean(), &lost)
		if err != nil {
			return nil, fmt.Errorf("draw the tag %s: %w", t.Code, err)
		}
		if len(cut) > 0 {
			warnings = append(warnings, fmt.Sprintf("the label of batch %s (%s) has no room for all of this: %s", t.Batch, t.Code, s.Units.Spell(strings.Join(cut, ", "))))
		}
	}
	return append(warnings, lost.warning()...), save(pdf, w)
}

// document begins a PDF with the fonts in it.
func document(title string, paper Grid, made time.Time) (*gopdf.GoPdf, faces, error) {
	fonts, err := theFaces()
	if err != nil {
		return nil, faces{}, err
	}
	pdf := &gopdf.GoPdf{}
	pdf.Start(gopdf.Config{Unit: gopdf.UnitPT, PageSize: gopdf.Rect{W: paper.PageWMM * pointsPerMM, H: paper.PageHMM * pointsPerMM}})
	pdf.SetInfo(gopdf.PdfInfo{Title: title, Creator: "tubside", CreationDate: made})
	for _, f := range []face{fonts.regular, fonts.bold} {
		if err := pdf.AddTTFFontData(f.name, f.ttf); err != nil {
			return nil, faces{}, fmt.Errorf("take the %s font: %w", f.name, err)
		}
	}
	return pdf, fonts, nil
}

// save gathers a document first: the library does not tell of a disk that takes no writes.
func save(pdf *gopdf.GoPdf, w io.Writer) error {
	var made bytes.Buffer
	if _, err := pdf.WriteTo(&made); err != nil {
		return fmt.Errorf("the sheet cannot be made: %w", err)
	}
	if _, err := made.WriteTo(w); err != nil {
		return fmt.Errorf("the sheet cannot be written: %w", err)
	}
	return nil
}

// warning says which letters were lost.
func (l lostLetters) warning() []string {
	if len(l) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("the font has no letter for %s: a box %c stands in its place", l.text(), noGlyph)}
}

func (s Sheet) outline(pdf *gopdf.GoPdf) {
	if !s.Outline {
		return
	}
	pdf.SetLineWidth(0.3)
	pdf.SetStrokeColor(150, 150, 150)
	for i := range s.Grid.Labels() {
		l := s.Grid.label(i)
		pdf.RectFromUpperLeft(l.x*pointsPerMM, l.y*pointsPerMM, l.w*pointsPerMM, l.h*pointsPerMM)
	}
}

// row is one line of a label.
type row struct {
	face face
	size float64 // points
	text string
	of   string // what may be left out where there is no room; "": nothing of it
}

// leading is the distance of two lines by their size.
const leading = 1.18

// smallest is the size below which notes are cut rather than the rest shrunk, in
// parts of the full one.
const smallest = 0.7

// draw puts one tag into its place. cut is what had to be shortened or left out.
func (s Sheet) draw(pdf *gopdf.GoPdf, fonts faces, in box, t Tag, lost *lostLetters) (cut []string, err error) {
	rows, cut := s.lay(fonts, t, in.w*pointsPerMM, in.h*pointsPerMM, lost)
	y := in.y * pointsPerMM
	for _, r := range rows {
		if err := pdf.SetFont(r.face.name, "", r.size); err != nil {
			return cut, err
		}
		y += r.size * leading
		pdf.SetXY(in.x*pointsPerMM, y-r.size*(leading-0.95)) // the baseline
		if err := pdf.Text(r.text); err != nil {
			return cut, err
		}
	}
	return cut, nil
}

// lay breaks a tag into lines, as large as fit into width and height, points.
// Where even small ones do not, notes are left out from their end: cut. Then
// the rest shrinks on, for a figure that is not there is worse than a small one.
func (s Sheet) lay(fonts faces, t Tag, width, high float64, lost *lostLetters) (rows []row, cut []string) {
	for scale := 1.0; scale >= smallest; scale -= 0.05 {
		if rows = s.rows(fonts, t, scale, width, lost); height(rows) <= high {
			return rows, nil
		}
	}
	for last := len(rows) - 1; last >= 0 && height(rows) > high; last-- {
		if of := rows[last].of; of != "" {
			if rows = slices.Delete(rows, last, last+1); !slices.Contains(cut, of) {
				cut = append(cut, of)
			}
		}
	}
	t.Note, t.More = "", nil
	for scale := smallest - 0.05; height(rows) > high && scale > 0.1; scale -= 0.05 {
		rows = s.rows(fonts, t, scale, width, lost)
	}
	markCut(rows, cut, width)
	return rows, cut
}

// markCut ends with an ellipsis what is left of something that was cut.
func markCut(rows []row, cut []string, width float64) {
	for i, r := range slices.Backward(rows) {
		if !slices.Contains(cut, r.of) {
			continue
		}
		text := []rune(r.text)
		for len(text) > 0 && r.face.width(string(text)+"…", r.size) > width {
			text = text[:len(text)-1]
		}
		rows[i].text = string(text) + "…"
		return
	}
}

func height(rows []row) (h float64) {
	for _, r := range rows {
		h += r.size * leading
	}
	return h
}

// rows lays the tag out in lines of that scale.
func (s *Sheet) rows(fonts faces, t Tag, scale, width float64, lost *lostLetters) []row {
	var out []row
	put := func(f face, size float64, of string, lines func(measures func(string) float64) []string) {
		size *= scale
		for _, text := range lines(func(s string) float64 { return f.width(s, size) }) {
			out = append(out, row{f, size, text, of})
		}
	}
	para := func(f face, size float64, of, text string) {
		text = f.fit(text, lost)
		put(f, size, of, func(m func(string) float64) []string { return wrap(text, width, m) })
	}
	side := func(f face, size float64, texts ...string) {
		var there []string
		for _, text := range texts {
			if text != "" {
				there = append(there, f.fit(text, lost))
			}
		}
		put(f, size, "", func(m func(string) float64) []string { return flow(there, "   ", width, m) })
	}
	para(fonts.bold, 13, "", t.Fleece)
	para(fonts.regular, 9, "", t.origin())
	side(fonts.regular, 9, t.batch(), t.washed(s.Units))
	side(fonts.bold, 9.5, t.weights(s.Units)...)
	para(fonts.bold, 11, "", t.code())
	para(fonts.regular, 8, "", t.Washes)
	para(fonts.regular, 8, "notes", t.Note) // what stands below goes first where room is short
	joins := false                          // details of one line stand beside each other
	for _, m := range t.More {
		of, n := cmp.Or(m.Name, "notes"), len(out)
		if text := "   " + fonts.regular.fit(m.text(s.Units), lost); joins && fonts.regular.width(out[n-1].text+text, 8*scale) <= width {
			out[n-1].text, out[n-1].of = out[n-1].text+text, out[n-1].of+", "+of
			continue
		}
		para(fonts.regular, 8, of, m.text(s.Units))
		joins = len(out) == n+1
	}
	return out
}
