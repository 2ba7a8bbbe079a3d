package rehearse

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
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
		return Script{}, measure.NotJSON("script", text, dec.InputOffset(), err)
	}
	if _, err := dec.Token(); !errors.Is(err, io.EOF) {
		return Script{}, fmt.Errorf("the script goes on after its end (line %d): a file holds one script", measure.LineAt(text, dec.InputOffset()))
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

// shown is a piece of a script as it may appear in a sentence.
func shown(text string) string { return measure.CleanText(text, 60) }
