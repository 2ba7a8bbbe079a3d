package measure

import (
	"fmt"
	"slices"
	"strings"
)

// Words are the written forms of an enumeration, in order of value. Every enumeration
// is written as its word in JSON, so that a journal stays readable and survives a
// reordering of the constants.
type Words[T ~int | ~int8] struct {
	what  string
	words []string
}

// NewWords are the words of an enumeration; what is one of its values in a sentence,
// such as "a level".
func NewWords[T ~int | ~int8](what string, words ...string) Words[T] { return Words[T]{what, words} }

// Count is how many values there are.
func (w Words[T]) Count() int { return len(w.words) }

// Of is the word of a value, "unknown(7)" for one without.
func (w Words[T]) Of(v T) string {
	if w.Check(v) != nil {
		return fmt.Sprintf("unknown(%d)", int(v))
	}
	return w.words[v]
}

// Check says in a sentence that a value has no word.
func (w Words[T]) Check(v T) error {
	if v < 0 || int(v) >= len(w.words) {
		return fmt.Errorf("%d is not %s: use one of %s", int(v), w.what, strings.Join(w.words, ", "))
	}
	return nil
}

// Write is the word of a value. A value without one is refused: a journal must
// never hold what cannot be read back.
func (w Words[T]) Write(v T) ([]byte, error) {
	if err := w.Check(v); err != nil {
		return nil, err
	}
	return []byte(w.words[v]), nil
}

// Read puts the value of a word, in any case, into v; an unknown word leaves v as it
// is, and is refused with the list of known ones.
func (w Words[T]) Read(text []byte, v *T) error {
	i := slices.Index(w.words, strings.ToLower(strings.TrimSpace(string(text))))
	if i < 0 {
		return fmt.Errorf("\"%s\" is not %s: use one of %s", CleanText(string(text), 20), w.what, strings.Join(w.words, ", "))
	}
	*v = T(i)
	return nil
}

// Counted is a number with its noun.
func Counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
