package measure

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

const (
	escape   = 0x1b
	nextLine = 0x85 // a C1 control that counts as white space
	// marksInARow is how many combining marks one letter may carry. Written
	// languages need three at most; a tall stack would paint over other rows.
	marksInARow = 4
	// quotedRunes is how much of what a person typed an error repeats.
	quotedRunes = 20
)

// CleanText makes text safe to print on one line of a terminal and returns at
// most maxRunes runes of it. It takes out whole escape sequences, control
// characters, bidirectional overrides, zero-width and other invisible
// characters, private and unassigned code points and bytes that are not UTF-8;
// any run of white space, line breaks among it, becomes one space, and none is
// left at either end. Wide characters and accents stay; of an emoji what changes another
// is left out, and a flag becomes its letters. Cleaning twice gives
// the same as cleaning once. A maxRunes below one gives "".
func CleanText(text string, maxRunes int) string {
	var b strings.Builder
	kept, marks := 0, 0
	space := false
	for i := 0; i < len(text) && kept < maxRunes; {
		r, size := utf8.DecodeRuneInString(text[i:])
		if n := sequenceLen(text[i:], r, size); n > 0 {
			i += n
			continue
		}
		i += size
		switch {
		case r == utf8.RuneError:
			continue
		case unicode.IsSpace(r):
			// A space waits until something follows it, which trims both
			// ends and merges runs in one go.
			space = kept > 0
			marks = 0
			continue
		case !visible(r):
			continue
		}
		r = plainSign(r)
		if unicode.Is(unicode.M, r) {
			// A mark with no letter of its own would land on whatever the
			// screen printed before this text.
			if kept == 0 || space || marks >= marksInARow {
				continue
			}
			marks++
		} else {
			marks = 0
		}
		if space {
			if kept+2 > maxRunes {
				break
			}
			b.WriteByte(' ')
			kept++
			space = false
		}
		b.WriteRune(r)
		kept++
	}
	return b.String()
}

// visible reports whether r puts ink on the screen and takes the room
// terminals agree on. Enclosing marks and variation selectors change the width
// of the character before them in some terminals and not in others.
func visible(r rune) bool {
	switch {
	case !unicode.IsPrint(r), unicode.Is(unicode.Me, r):
		return false
	case unicode.Is(unicode.Other_Default_Ignorable_Code_Point, r):
		return false
	case r == 0x2800: // the empty braille cell
		return false
	}
	return !changes(r)
}

// changes says that r changes the sign before it, in some terminals: its colour, or
// whether it is drawn as a picture.
func changes(r rune) bool {
	return r >= 0x1f3fb && r <= 0x1f3ff || unicode.Is(unicode.Variation_Selector, r)
}

// Typed is what was typed or pasted as a field may show it: without what is not seen
// and what changes another sign.
func Typed(runes []rune) []rune {
	var out []rune
	for _, r := range runes {
		if !unicode.Is(unicode.Cf, r) && !changes(r) {
			out = append(out, plainSign(r))
		}
	}
	return out
}

// flagA to flagZ are letters of which two make a flag, as wide as two letters or not.
const flagA, flagZ = 0x1f1e6, 0x1f1ff

// plainSign is a sign that every terminal draws as wide.
func plainSign(r rune) rune {
	if r >= flagA && r <= flagZ {
		return 'A' + r - flagA
	}
	return r
}

// sequenceLen returns how many bytes at the start of text belong to a terminal
// sequence whose first rune is r of the given size, and 0 where none starts.
// The forms are those of ECMA-48: ESC or its one-character C1 twin, then a
// control sequence, a string up to its terminator, or a short escape.
func sequenceLen(text string, r rune, size int) int {
	i := size
	kind := byte(0)
	switch {
	case r == escape:
		if i >= len(text) {
			return i
		}
		kind = text[i]
		if kind < 0x20 || kind > 0x7e {
			return i // ESC alone; what follows is judged for itself
		}
		i++
	case r >= 0x80 && r <= 0x9f && r != nextLine:
		kind = byte(r - 0x40) // U+009B is the twin of ESC [
	default:
		return 0
	}
	switch kind {
	case '[':
		for i < len(text) && text[i] >= 0x20 && text[i] <= 0x3f {
			i++
		}
		if i < len(text) && text[i] >= 0x40 && text[i] <= 0x7e {
			i++
		}
	case ']', 'P', 'X', '^', '_':
		return i + stringLen(text[i:])
	default:
		if r != escape {
			return i
		}
		for kind >= 0x20 && kind <= 0x2f && i < len(text) && text[i] >= 0x20 && text[i] <= 0x7e {
			kind = text[i]
			i++
		}
	}
	return i
}

// stringLen returns the length of a control string with its terminator: BEL,
// ST, or the end. A line break ends it too: a terminal would wait for the
// terminator, and a forgotten one must not swallow the lines after it.
func stringLen(text string) int {
	for i, r := range text {
		switch {
		case r == '\a':
			return i + 1
		case r == 0x9c:
			return i + len("\u009c")
		case r == escape:
			if strings.HasPrefix(text[i+1:], `\`) {
				return i + 2
			}
			return i
		case r == '\n' || r == '\r':
			return i
		}
	}
	return len(text)
}

// quote returns what a person typed, cleaned, cut and in quotation marks, for
// use in an error.
func quote(text string) string {
	clean := CleanText(text, quotedRunes+1)
	if utf8.RuneCountInString(clean) > quotedRunes {
		clean = CleanText(clean, quotedRunes) + "..."
	}
	return `"` + clean + `"`
}
