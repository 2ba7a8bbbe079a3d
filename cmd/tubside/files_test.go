package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

// A file that is written over stays as it was where the new one does not come to its end.
func TestWrittenOverWholeOrNotAtAll(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "day.html")
	must.Do(t, os.WriteFile(path, []byte("before"), 0o600))
	err := overFile(path, func(w io.Writer) error {
		_, err := io.WriteString(w, "half")
		return errors.Join(err, errors.New("the disk is full"))
	})
	if err == nil || !strings.Contains(err.Error(), "day.html is left as it was: the disk is full") {
		t.Error(err)
	}
	text, err := os.ReadFile(path)
	left, errLeft := os.ReadDir(folder)
	if err := errors.Join(err, errLeft); err != nil || string(text) != "before" || len(left) != 1 {
		t.Errorf("%q, %v (%v)", text, left, err)
	}
}
