package tags

import (
	"errors"
	"math"
	"slices"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"fleece.example/tubside/session/must"
)

// Letters, widths and outlines of what is packed are those of the fonts that they are of, by
// another reader.
func TestPackedFonts(t *testing.T) {
	f := must.Get(theFaces()).In(t)
	for whole, x := range map[*[]byte]face{&goregular.TTF: f.regular, &gobold.TTF: f.bold} {
		other, errA := sfnt.Parse(*whole)
		packed, errB := sfnt.Parse(x.ttf)
		must.Do(t, errors.Join(errA, errB))
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
				var a, b sfnt.Buffer
				want, errA := other.LoadGlyph(&a, i, em, nil)
				got, errB := packed.LoadGlyph(&b, i, em, nil)
				if errors.Join(errA, errB) != nil || !slices.Equal(want, got) {
					t.Errorf("%s: %q is drawn otherwise", x.name, r)
				}
			}
		}
		if n < 500 {
			t.Errorf("%s: only %d letters", x.name, n)
		}
	}
}
