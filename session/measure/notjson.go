package measure

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"time"
)

// NoMark is a file's text without the mark of its encoding, which some editors put first.
func NoMark(text []byte) []byte { return bytes.TrimPrefix(text, []byte("\ufeff")) }

// NotJSON says in a sentence why the text of a file that somebody wrote, such as a script or a day,
// does not decode. offset is how far the decoder came, bytes.
func NotJSON(what string, text []byte, offset int64, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	var moment *time.ParseError
	switch {
	case len(bytes.TrimSpace(text)) == 0:
		return fmt.Errorf("the %s is empty", what)
	case errors.As(err, &syntax):
		return fmt.Errorf("the %s is not JSON: line %d: %w", what, LineAt(text, syntax.Offset), err)
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return fmt.Errorf("the %s breaks off: its last brackets are missing", what)
	case errors.As(err, &kind):
		where := "the " + what
		if kind.Field != "" {
			where = `"` + CleanText(kind.Field, 60) + `"`
		}
		return fmt.Errorf("%s (line %d) holds a %s where a %s belongs", where, LineAt(text, kind.Offset), CleanText(kind.Value, 60), plainType(kind.Type.Kind()))
	case errors.As(err, &moment):
		return fmt.Errorf("%s is not a time: write it like 2026-05-16T09:00:00Z", CleanText(moment.Value, 60))
	case strings.HasPrefix(err.Error(), "Time.UnmarshalJSON"):
		return errors.New("a time belongs in quotes, like \"2026-05-16T09:00:00Z\"")
	}
	// The decoder has no type for an unknown field: its words say which.
	if field, ok := strings.CutPrefix(err.Error(), "json: unknown field "); ok {
		return fmt.Errorf("the %s has a field %s (line %d) that this program does not know: check its spelling, or leave it out",
			what, CleanText(field, 60), LineAt(text, offset))
	}
	return fmt.Errorf("the %s cannot be read (line %d): %w", what, LineAt(text, offset), err)
}

// plainType is a Go kind in words that someone who writes JSON knows.
func plainType(kind reflect.Kind) string {
	switch kind {
	case reflect.Slice:
		return "list"
	case reflect.Struct, reflect.Map, reflect.Pointer:
		return "group in { }"
	case reflect.Bool:
		return "true or false"
	case reflect.String:
		return "text in quotes"
	}
	return "number"
}

// LineAt is the line of a text that a byte stands in, from 1.
func LineAt(text []byte, offset int64) int {
	offset = max(0, min(offset, int64(len(text))))
	return 1 + bytes.Count(text[:offset], []byte("\n"))
}
