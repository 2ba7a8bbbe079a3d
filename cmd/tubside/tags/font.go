package tags

import (
	"bytes"
	"compress/zlib"
	_ "embed"
	"encoding/binary"
	"io"
	"strings"
	"sync"

	"golang.org/x/text/unicode/norm"
)

// noGlyph stands where the font has no letter: a box, which nobody takes for a
// letter that was meant.
const noGlyph = '□'

// face is a font that is put into the PDF, and what of it laying out takes.
type face struct {
	name        string
	packed, ttf []byte
	// glyphs are by letter, widths by glyph, in parts of the em.
	glyphs map[rune]uint16
	widths []uint16
	em     float64
}

type faces struct{ regular, bold face }

// The Go fonts as zlib packs them, without the hints that only a screen has use for: that is less
// than a quarter of the bytes. They were made by fontTools' subset, with all letters, no hinting
// and the glyphs' numbers kept; font_test.go holds them to the fonts that they are of.
var (
	//go:embed fonts/regular.ttf.z
	regularZ []byte
	//go:embed fonts/bold.ttf.z
	boldZ []byte
)

// theFaces reads the fonts once.
var theFaces = sync.OnceValue(func() faces { return faces{read("regular", regularZ), read("bold", boldZ)} })

// read reads a font of the program's own, so nothing in it is doubted: its letters (the first
// table of them, in segments) and their widths.
func read(name string, packed []byte) face {
	z, err := zlib.NewReader(bytes.NewReader(packed))
	if err != nil {
		panic(err)
	}
	ttf, err := io.ReadAll(z)
	if err != nil {
		panic(err)
	}
	u16, u32 := binary.BigEndian.Uint16, binary.BigEndian.Uint32
	tables := map[string][]byte{}
	for i := range int(u16(ttf[4:])) {
		at := ttf[12+16*i:]
		tables[string(at[:4])] = ttf[u32(at[8:]):]
	}
	f := face{name, packed, ttf, map[rune]uint16{}, nil, float64(u16(tables["head"][18:]))}
	for i := range int(u16(tables["hhea"][34:])) {
		f.widths = append(f.widths, u16(tables["hmtx"][4*i:]))
	}
	letters := tables["cmap"][u32(tables["cmap"][8:]):]
	n := int(u16(letters[6:])) // twice the segments
	for s := 14; s < 14+n; s += 2 {
		last, first, shift, there := u16(letters[s:]), u16(letters[2+n+s:]), u16(letters[2+2*n+s:]), letters[2+3*n+s:]
		for r := int(first); r <= int(last); r++ {
			g := uint16(r)
			if u16(there) != 0 {
				g = u16(there[int(u16(there))+2*(r-int(first)):])
			}
			f.glyphs[rune(r)] = g + shift
		}
	}
	return f
}

// has says whether the font draws a letter.
func (f face) has(r rune) bool { return f.glyphs[r] != 0 }

// width is how wide a line is in points at that size.
func (f face) width(text string, size float64) float64 {
	sum := 0.0
	for _, r := range text {
		sum += float64(f.widths[f.glyphs[r]])
	}
	return sum / f.em * size
}

// fit puts accents and letters together and replaces what the font does not
// have; that is added to lost.
func (f face) fit(text string, lost *lostLetters) string {
	return strings.Map(func(r rune) rune {
		if f.has(r) {
			return r
		}
		lost.add(r)
		return noGlyph
	}, norm.NFC.String(text))
}
