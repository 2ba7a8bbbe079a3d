package store

import (
	"path/filepath"
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// When the program was left outlives it; what is not ours is nothing.
func TestLeft(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tubside.db")
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if l, err := s.Left(); err != nil || l != (session.Left{}) {
		t.Errorf("a new file: %+v, %v", l, err)
	}
	want := session.Left{Day: 3, Seq: 41, At: time.Date(2026, 3, 14, 9, 7, 5, 0, time.UTC)}
	if err := s.SaveLeft(want); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err = Open(path); err != nil {
		t.Fatal(err)
	}
	if l, err := s.Left(); err != nil || l != want {
		t.Errorf("%+v, %v", l, err)
	}
	err = s.putIn(metaPart, leftKey, []byte("?"))
	if l, again := s.Left(); err != nil || again != nil || l != (session.Left{}) {
		t.Errorf("%+v, %v, %v", l, err, again)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}
