package tags

import (
	"bytes"
	"compress/zlib"
	_ "embed"
	"fmt"
	"io"
	"strings"
	"sync"

	"github.com/signintech/gopdf/fontmaker/core"
	"golang.org/x/text/unicode/norm"
)

// noGlyph stands where the font has no letter: a box, which nobody takes for a
// letter that was meant.
const noGlyph = '□'

// face is a font that is put into the PDF. Widths are taken from the font, not
// from the PDF library, so that trying a size leaves nothing in the document.
type face struct {
	name string
	ttf  []byte
	// glyphs are by letter, widths by glyph, in parts of the em.
	glyphs map[int]uint
	widths []uint
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
var theFaces = sync.OnceValues(func() (faces, error) {
	var f faces
	for _, p := range []struct {
		into *face
		name string
		z    []byte
	}{{&f.regular, "regular", regularZ}, {&f.bold, "bold", boldZ}} {
		ttf, err := unpacked(p.z)
		if err != nil {
			return faces{}, fmt.Errorf("unpack the %s font: %w", p.name, err)
		}
		var read core.TTFParser
		if err := read.ParseFontData(ttf); err != nil {
			return faces{}, fmt.Errorf("read the %s font: %w", p.name, err)
		}
		*p.into = face{p.name, ttf, read.Chars(), read.Widths(), float64(read.UnitsPerEm())}
	}
	return f, nil
})

func unpacked(z []byte) ([]byte, error) {
	r, err := zlib.NewReader(bytes.NewReader(z))
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// has says whether the font draws a letter.
func (f face) has(r rune) bool { return f.glyphs[int(r)] != 0 }

// width is how wide a line is in points at that size.
func (f face) width(text string, size float64) float64 {
	sum := 0.0
	for _, r := range text {
		// What has a glyph and no width of its own is as wide as the last that has one.
		if g := f.glyphs[int(r)]; len(f.widths) > 0 {
			sum += float64(f.widths[min(int(g), len(f.widths)-1)])
		}
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
