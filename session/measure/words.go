package measure

import (
	"fmt"
	"slices"
	"strings"
)

// Words is the list of the written forms of an enumeration, in order of value.
// Every enumeration of the package is written as its word in JSON, so that a
// journal stays readable and survives a reordering of the constants.
type Words []string

// Of is the word of a value, "unknown(7)" for one without.
func (w Words) Of(v int) string {
	if v < 0 || v >= len(w) {
		return fmt.Sprintf("unknown(%d)", v)
	}
	return w[v]
}

// Write is the word of a value. A value without one is refused: a journal must
// never hold what cannot be read back.
func (w Words) Write(what string, v int) ([]byte, error) {
	if v < 0 || v >= len(w) {
		return nil, fmt.Errorf("%d is not %s: use one of %s", v, what, strings.Join(w, ", "))
	}
	return []byte(w[v]), nil
}

// Check says in a sentence that a value has no word.
func (w Words) Check(what string, v int) error {
	_, err := w.Write(what, v)
	return err
}

// Parse is the value of a word in any case. Its error lists the known words.
func (w Words) Parse(what string, text []byte) (int, error) {
	if i := slices.Index(w, strings.ToLower(strings.TrimSpace(string(text)))); i >= 0 {
		return i, nil
	}
	return 0, fmt.Errorf("\"%s\" is not %s: use one of %s", CleanText(string(text), 20), what, strings.Join(w, ", "))
}
