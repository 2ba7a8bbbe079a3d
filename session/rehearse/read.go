package rehearse

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"fleece.example/tubside/session/measure"
)

// mostBytes is far more than a week of entries needs.
const mostBytes = 1 << 20

// Read reads a script and checks that it does not contradict itself. Every
// error is a sentence for the person who wrote it.
func Read(text []byte) (Script, error) {
	if len(text) > mostBytes {
		return Script{}, fmt.Errorf("the script is longer than %d bytes: split it into several days", mostBytes)
	}
	var w written
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&w); err != nil {
		return Script{}, notScript(text, dec.InputOffset(), err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return Script{}, fmt.Errorf("the script goes on after its end (line %d): a file holds one script", lineAt(text, dec.InputOffset()))
	}
	if w.Version != version {
		return Script{}, fmt.Errorf("the script's version is %d: this program reads version %d", w.Version, version)
	}
	start, err := time.Parse(time.RFC3339, w.Start)
	if err != nil {
		return Script{}, fmt.Errorf("the script's start \"%s\" is not a time: write it like 2026-05-16T09:00:00Z", shown(w.Start))
	}
	s := Script{
		About: measure.CleanText(w.About, 1000), Start: start.UTC(), Plan: w.Plan.plan(),
		Hands: w.Hands, Truth: w.Truth, Do: w.Do, Expect: w.Expect,
	}
	return s, s.check()
}

// notScript says in a sentence why the text does not decode.
func notScript(text []byte, offset int64, err error) error {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case len(bytes.TrimSpace(text)) == 0:
		return fmt.Errorf("the script is empty")
	case errors.As(err, &syntax):
		return fmt.Errorf("the script is not JSON: line %d: %w", lineAt(text, syntax.Offset), err)
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return fmt.Errorf("the script breaks off: its last brackets are missing")
	case errors.As(err, &kind):
		where := "the script"
		if kind.Field != "" {
			where = `"` + shown(kind.Field) + `"`
		}
		return fmt.Errorf("%s (line %d) holds a %s where a %s belongs", where, lineAt(text, kind.Offset), shown(kind.Value), plainType(kind.Type.Kind().String()))
	}
	// The decoder has no type for an unknown field: its words say which.
	if field, ok := strings.CutPrefix(err.Error(), "json: unknown field "); ok {
		return fmt.Errorf("the script has a field %s (line %d) that this program does not know: check its spelling, or leave it out",
			shown(field), lineAt(text, offset))
	}
	return fmt.Errorf("the script cannot be read (line %d): %w", lineAt(text, offset), err)
}

// plainType is a Go kind in words that someone who writes JSON knows.
func plainType(kind string) string {
	switch kind {
	case "slice":
		return "list"
	case "struct", "map", "ptr":
		return "group in { }"
	case "bool":
		return "true or false"
	case "string":
		return "text in quotes"
	}
	return "number"
}

func lineAt(text []byte, offset int64) int {
	offset = max(0, min(offset, int64(len(text))))
	return 1 + bytes.Count(text[:offset], []byte("\n"))
}

// shown is a piece of a script as it may appear in a sentence.
func shown(text string) string { return measure.CleanText(text, 60) }
