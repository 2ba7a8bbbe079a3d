package tags

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// plainLetters are those that do not come apart into a letter and its marks.
var plainLetters = map[rune]string{
	'ß': "ss", 'ẞ': "SS", 'æ': "ae", 'Æ': "AE", 'œ': "oe", 'Œ': "OE", 'ø': "o", 'Ø': "O", 'đ': "d", 'Đ': "D", 'ð': "d", 'Ð': "D",
	'þ': "th", 'Þ': "Th", 'ł': "l", 'Ł': "L", 'ħ': "h", 'Ħ': "H", 'ı': "i", '·': ".", '–': "-", '—': "-", '…': "...", '’': "'", '‘': "'",
	'“': `"`, '”': `"`, '„': `"`, '×': "x", '°': " deg ", '½': "1/2", '¼': "1/4", '¾': "3/4",
}

// plain writes text with ASCII letters alone: accents are left out, what has no
// plain letter becomes a question mark and is added to lost.
func plain(text string, lost *lostLetters) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(text) {
		switch s, known := plainLetters[r]; {
		case r < 0x80:
			b.WriteRune(r)
		case known:
			b.WriteString(s)
		case unicode.Is(unicode.M, r):
		default:
			lost.add(r)
			b.WriteByte('?')
		}
	}
	return b.String()
}

// lostLetters gathers the letters that could not be printed, in order of their
// first use.
type lostLetters []rune

func (l *lostLetters) add(r rune) {
	if !slices.Contains(*l, r) {
		*l = append(*l, r)
	}
}

// shownLost bounds how many lost letters a warning names.
const shownLost = 12

func (l lostLetters) text() string {
	if len(l) > shownLost {
		return string(l[:shownLost]) + " and more"
	}
	return string(l)
}
