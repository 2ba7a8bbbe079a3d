package store

import (
	"bytes"
	"os"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
)

// A file that is cut, emptied or written over while it is open: every method answers
// with a sentence, at once, and so does the end.
func TestLostWhileOpen(t *testing.T) {
	for name, lose := range map[string]func(path string, whole []byte) error{
		"emptied":        func(path string, _ []byte) error { return os.Truncate(path, 0) },
		"one byte":       func(path string, _ []byte) error { return os.Truncate(path, 1) },
		"one page":       func(path string, _ []byte) error { return os.Truncate(path, 4096) },
		"end missing":    func(path string, _ []byte) error { return os.Truncate(path, 5*4096) },
		"another's text": func(path string, _ []byte) error { return os.WriteFile(path, []byte("wool\n"), 0o600) },
		"zeros":          func(path string, w []byte) error { return os.WriteFile(path, make([]byte, len(w)), 0o600) },
		"an older state": func(path string, w []byte) error { return os.WriteFile(path, w, 0o600) },
	} {
		t.Run(name, func(t *testing.T) {
			s := must.Get(Open(t.TempDir() + "/wash.db")).In(t)
			id := startDay(t, s, 40)
			var older bytes.Buffer
			must.Do(t, s.Backup(&older))
			must.Do(t, s.Append(id, notes(41, 50), running(id)))
			must.Do(t, s.Whole())
			must.Do(t, lose(s.Path(), older.Bytes()))
			done := make(chan struct{})
			go func() {
				defer close(done)
				for range 2 {
					wantSentence(t, s.Append(id, notes(51, 51), running(id)), ErrDamaged, s.Path())
					_, err := s.Events(id)
					wantSentence(t, err, ErrDamaged, s.Path())
					wantSentence(t, s.Whole(), ErrDamaged, s.Path())
				}
				if err := s.Close(); err != nil {
					t.Errorf("close: %v", err)
				}
			}()
			select {
			case <-done:
			case <-time.After(20 * time.Second): // it hangs
				t.Fatal("no answer")
			}
		})
	}
}
