package tags

import (
	"bytes"
	"fmt"
	"io"
	"time"
	"unicode/utf16"
)

// document is a PDF of pages of one size. Places are in points from the upper left; the fonts lie
// in it whole, as they are packed in the program.
type document struct {
	title string
	made  time.Time // zero: not noted
	w, h  float64
	fonts faces
	pages []*bytes.Buffer
	drawn map[glyph]rune // the letter that a glyph stands for, so that text is found and copied
}

type glyph struct {
	face string
	n    uint16
}

func newDocument(title string, paper Grid, made time.Time) *document {
	return &document{title: title, made: made, w: paper.PageWMM * pointsPerMM, h: paper.PageHMM * pointsPerMM, fonts: theFaces(), drawn: map[glyph]rune{}}
}

// page begins a new page, in the one grey that lines are drawn in.
func (d *document) page() {
	d.pages = append(d.pages, bytes.NewBufferString("0.588 G\n"))
}

func (d *document) put(format string, a ...any) {
	_, _ = fmt.Fprintf(d.pages[len(d.pages)-1], format, a...) // a buffer takes all
}

func (d *document) text(f face, size, x, y float64, text string) {
	d.put("BT %.2f %.2f Td /%s %.3f Tf <", x, d.h-y, f.name, size)
	for _, r := range text {
		g := glyph{f.name, f.glyphs[r]}
		if _, known := d.drawn[g]; !known {
			d.drawn[g] = r
		}
		d.put("%04X", g.n)
	}
	d.put("> Tj ET\n")
}

func (d *document) line(thick, x, y, toX, toY float64) {
	d.put("%.2f w %.2f %.2f m %.2f %.2f l S\n", thick, x, d.h-y, toX, d.h-toY)
}

func (d *document) rectangle(thick, x, y, w, h float64) {
	d.put("%.2f w %.2f %.2f %.2f %.2f re S\n", thick, x, d.h-y-h, w, h)
}

// objects of a font, and of what stands before the fonts: catalogue, pages, title.
const beforeFonts, fontObjects = 3, 5

// save gathers the document first, for what it says of itself stands at its end.
func (d *document) save(w io.Writer) error {
	out := bytes.NewBufferString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	var at []int
	object := func(format string, a ...any) {
		at = append(at, out.Len())
		_, _ = fmt.Fprintf(out, "%d 0 obj\n%s\nendobj\n", len(at), fmt.Sprintf(format, a...))
	}
	stream := func(about string, data []byte) {
		object("<<%s/Length %d>>\nstream\n%s\nendstream", about, len(data), data)
	}
	fonts := []face{d.fonts.regular, d.fonts.bold}
	first := beforeFonts + len(fonts)*fontObjects + 1
	object("<</Type /Catalog /Pages 2 0 R>>")
	kids, named := "", ""
	for i := range d.pages {
		kids += fmt.Sprintf("%d 0 R ", first+2*i)
	}
	for i, f := range fonts {
		named += fmt.Sprintf("/%s %d 0 R ", f.name, beforeFonts+i*fontObjects+1)
	}
	object("<</Type /Pages /MediaBox [ 0 0 %.2f %.2f ] /Count %d /Kids [ %s] /Resources <</Font <<%s>>>>>>", d.w, d.h, len(d.pages), kids, named)
	made := ""
	if !d.made.IsZero() {
		made = d.made.UTC().Format(" /CreationDate (D:20060102150405Z)")
	}
	object("<</Title <FEFF%s> /Creator (tubside)%s>>", hexOf(d.title), made)
	for _, f := range fonts {
		n, wide := len(at)+1, make([]int, len(f.widths))
		for i, w := range f.widths {
			wide[i] = int(float64(w)*1000/f.em + 0.5)
		}
		object("<</Type /Font /Subtype /Type0 /BaseFont /Go-%[1]s /Encoding /Identity-H /DescendantFonts [%[2]d 0 R] /ToUnicode %[3]d 0 R>>", f.name, n+1, n+2)
		object("<</Type /Font /Subtype /CIDFontType2 /BaseFont /Go-%s /CIDSystemInfo <</Registry (Adobe) /Ordering (Identity) /Supplement 0>> /CIDToGIDMap /Identity /FontDescriptor %d 0 R /W [0 %d]>>", f.name, n+3, wide)
		stream("", d.letters(f))
		object("<</Type /FontDescriptor /FontName /Go-%s /Flags 32 /FontBBox [-221 -265 1069 1119] /ItalicAngle 0 /Ascent 945 /Descent -211 /CapHeight 723 /StemV 80 /FontFile2 %d 0 R>>", f.name, n+4)
		stream(fmt.Sprintf("/Filter /FlateDecode /Length1 %d ", len(f.ttf)), f.packed)
	}
	for _, p := range d.pages {
		object("<</Type /Page\n/Parent 2 0 R /Contents %d 0 R>>", len(at)+2)
		stream("", p.Bytes())
	}
	table := out.Len()
	_, _ = fmt.Fprintf(out, "xref\n0 %d\n0000000000 65535 f \n", len(at)+1)
	for _, n := range at {
		_, _ = fmt.Fprintf(out, "%010d 00000 n \n", n)
	}
	_, _ = fmt.Fprintf(out, "trailer\n<</Size %d /Root 1 0 R /Info 3 0 R>>\nstartxref\n%d\n%%%%EOF\n", len(at)+1, table)
	if _, err := out.WriteTo(w); err != nil {
		return fmt.Errorf("the sheet cannot be written: %w", err)
	}
	return nil
}

// letters says which letter each glyph of a face is.
func (d *document) letters(f face) []byte {
	out := bytes.NewBufferString("/CIDInit /ProcSet findresource begin 12 dict begin begincmap\n/CMapName /letters def /CMapType 2 def\n1 begincodespacerange <0000> <FFFF> endcodespacerange\n")
	for n := range len(f.widths) {
		if r, drawn := d.drawn[glyph{f.name, uint16(n)}]; drawn {
			_, _ = fmt.Fprintf(out, "1 beginbfchar <%04X> <%s> endbfchar\n", n, hexOf(string(r)))
		}
	}
	out.WriteString("endcmap end end\n")
	return out.Bytes()
}

func hexOf(text string) (hex string) {
	for _, u := range utf16.Encode([]rune(text)) {
		hex += fmt.Sprintf("%04X", u)
	}
	return hex
}
