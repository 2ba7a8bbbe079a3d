package tags

import (
	"bytes"
	"math"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// Letters and widths are those that another reader of the same font finds.
func TestWidthsAreTheFonts(t *testing.T) {
	f, err := theFaces()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []face{f.regular, f.bold} {
		other, err := sfnt.Parse(x.ttf)
		if err != nil {
			t.Fatal(err)
		}
		em, n := fixed.I(int(other.UnitsPerEm())), 0
		for r := rune(0x20); r < 0x3000; r++ {
			i, err := other.GlyphIndex(nil, r)
			if has := err == nil && i != 0; has != x.has(r) {
				t.Errorf("%s: %q %v", x.name, r, has)
			}
			if a, err := other.GlyphAdvance(nil, i, em, font.HintingNone); i != 0 && err == nil {
				if n++; math.Abs(x.width(string(r), 1000)-1000*float64(a)/float64(em)) > 1e-6 {
					t.Errorf("%s: %q is %v wide", x.name, r, x.width(string(r), 1000))
				}
			}
		}
		if n < 500 {
			t.Errorf("%s: only %d letters", x.name, n)
		}
	}
}

// What is packed are the fonts of x/image, to the byte.
func TestPackedFonts(t *testing.T) {
	f, err := theFaces()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(f.regular.ttf, goregular.TTF) || !bytes.Equal(f.bold.ttf, gobold.TTF) {
		t.Error("the packed fonts are not those of the library")
	}
}
