package tags

import (
	"fmt"
	"io"
	"time"

	"github.com/signintech/gopdf"

	"fleece.example/tubside/session/measure"
)

// Card is one page about a fleece, for its bag or for who buys it: parts of labels and texts,
// then a table, of which so much is drawn as has room.
type Card struct {
	Title, Under string
	Parts        []CardPart
	Head         []string // of the table; the last column has the room that is left
	Rows         [][]string
	Foot         string
	Paper        Grid // its page alone counts
	Made         time.Time
}

// CardPart is a heading with labels and texts.
type CardPart struct {
	Heading string
	Lines   [][2]string
}

const (
	cardEdgeMM, cardLabelMM = 18, 34
	cardText, cardSmall     = 10.5, 9.0 // points
	mostCardText            = 600
)

// cardPen writes down a page.
type cardPen struct {
	pdf         *gopdf.GoPdf
	fonts       faces
	lost        lostLetters
	left, right float64
	y, bottom   float64
	err         error
}

// Write writes the card as a PDF of one page. The warnings are sentences about what could not
// be printed as it was given.
//
// Errors: what w returns.
func (c *Card) Write(w io.Writer) (warnings []string, err error) {
	pdf, fonts, err := document(measure.CleanText(c.Title, mostCardText), c.Paper, c.Made)
	if err != nil {
		return nil, err
	}
	pdf.AddPage()
	edge := cardEdgeMM * pointsPerMM
	p := &cardPen{pdf: pdf, fonts: fonts, left: edge, right: c.Paper.PageWMM*pointsPerMM - edge, y: edge, bottom: c.Paper.PageHMM*pointsPerMM - edge - 2*cardSmall}
	p.para(fonts.bold, 24, p.left, c.Title)
	p.para(fonts.regular, 12, p.left, c.Under)
	for _, part := range c.Parts {
		if len(part.Lines) == 0 {
			continue
		}
		p.heading(part.Heading)
		for _, l := range part.Lines {
			top := p.y
			p.para(fonts.bold, cardText, p.left, l[0])
			after := p.y
			p.y = top
			p.para(fonts.regular, cardText, p.left+cardLabelMM*pointsPerMM, l[1])
			p.y = max(p.y, after) + 2
		}
	}
	if left := p.table(c.Head, c.Rows); left > 0 {
		warnings = append(warnings, fmt.Sprintf("the card has no room for %d of its batches: their tags have them", left))
	}
	p.y = p.bottom + cardSmall
	p.para(fonts.regular, cardSmall, p.left, c.Foot)
	if p.err != nil {
		return nil, p.err
	}
	return append(warnings, p.lost.warning()...), save(pdf, w)
}

// put writes one line with its baseline at the height where the pen is.
func (p *cardPen) put(f face, size, x float64, text string) {
	if p.err == nil {
		p.err = p.pdf.SetFont(f.name, "", size)
	}
	p.pdf.SetXY(x, p.y+size*0.95)
	if p.err == nil {
		p.err = p.pdf.Text(text)
	}
}

// lines breaks a text for a width.
func (p *cardPen) lines(f face, size, width float64, text string) []string {
	text = f.fit(measure.CleanText(text, mostCardText), &p.lost)
	return wrap(text, width, func(s string) float64 { return f.width(s, size) })
}

// para writes a text from x to the right edge; nothing goes below the bottom.
func (p *cardPen) para(f face, size, x float64, text string) {
	for _, l := range p.lines(f, size, p.right-x, text) {
		if p.y+size*leading > p.bottom+4*cardSmall {
			return
		}
		p.put(f, size, x, l)
		p.y += size * leading
	}
}

func (p *cardPen) heading(text string) {
	p.y += 10
	p.para(p.fonts.bold, 13, p.left, text)
	p.rule()
}

func (p *cardPen) rule() {
	p.pdf.SetLineWidth(0.4)
	p.pdf.SetStrokeColor(150, 150, 150)
	p.pdf.Line(p.left, p.y+1, p.right, p.y+1)
	p.y += 4
}

// table writes the rows that have room; left are those that have none.
func (p *cardPen) table(head []string, rows [][]string) (left int) {
	if len(rows) == 0 {
		return 0
	}
	const gap = 9
	at := make([]float64, len(head)+1)
	at[0] = p.left
	for i, h := range head {
		wide := p.fonts.bold.width(h, cardSmall)
		for _, row := range rows {
			wide = max(wide, p.fonts.regular.width(p.fonts.regular.fit(row[i], &p.lost), cardSmall))
		}
		at[i+1] = at[i] + min(wide, (p.right-p.left)/3) + gap
	}
	at[len(head)] = max(p.right, at[len(head)-1]) + gap
	p.heading("Batches")
	line := func(f face, cells []string) bool {
		var wrapped [][]string
		high := 0
		for i, c := range cells {
			wrapped = append(wrapped, p.lines(f, cardSmall, max(at[i+1]-at[i]-gap+0.01, 20), c))
			high = max(high, len(wrapped[i]))
		}
		if p.y+float64(high)*cardSmall*leading > p.bottom {
			return false
		}
		top := p.y
		for i, ls := range wrapped {
			p.y = top
			for _, l := range ls {
				p.put(f, cardSmall, at[i], l)
				p.y += cardSmall * leading
			}
		}
		p.y = top + float64(high)*cardSmall*leading + 2
		return true
	}
	if !line(p.fonts.bold, head) {
		return len(rows)
	}
	for i, row := range rows {
		if !line(p.fonts.regular, row) {
			return len(rows) - i
		}
	}
	return 0
}
