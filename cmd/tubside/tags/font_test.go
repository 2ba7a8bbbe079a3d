package tags

import (
	"bytes"
	"testing"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

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
