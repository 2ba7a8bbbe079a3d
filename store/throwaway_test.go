package store

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

func aged(t *testing.T, path string, by time.Duration) {
	t.Helper()
	at := time.Now().Add(-by)
	if err := os.Chtimes(path, at, at); err != nil {
		t.Fatal(err)
	}
}

// A start takes away what a killed program has left: what no program holds, and only
// that.
func TestSweepsWhatWasLeft(t *testing.T) {
	dir := t.TempDir()
	old := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		aged(t, path, time.Hour)
		return path
	}
	gone := []string{old(newFile+"empty", ""), old(newFile+"half", "half a file")}
	stays := []string{old("notes.txt", ""), old(".tubside-newer", ""), filepath.Join(dir, newFile+"held"), filepath.Join(dir, newFile+"young")}
	db, err := bolt.Open(stays[2], 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = db.Close() }()
	aged(t, stays[2], time.Hour)
	if err := os.WriteFile(stays[3], nil, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := Open(filepath.Join(dir, "tubside.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = s.Close() }()
	for _, path := range gone {
		if _, err := os.Lstat(path); err == nil {
			t.Errorf("%s is still there", path)
		}
	}
	for _, path := range stays {
		if _, err := os.Lstat(path); err != nil {
			t.Errorf("%s was taken away", path)
		}
	}
}

// A record that was to be thrown away goes at the next start, unless a program still
// has it open.
func TestSweepsThrowaways(t *testing.T) {
	tmp := t.TempDir()
	t.Setenv("TMPDIR", tmp)
	if os.TempDir() != tmp {
		t.Skip("the folder for such things is named otherwise here")
	}
	killed := filepath.Join(tmp, throwaway+"killed")
	if err := os.Mkdir(killed, 0o700); err != nil {
		t.Fatal(err)
	}
	left, err := Open(filepath.Join(killed, throwawayName))
	if err != nil {
		t.Fatal(err)
	}
	if err := left.Close(); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(t.TempDir(), filepath.Join(tmp, throwaway+"link")); err != nil {
		t.Fatal(err)
	}
	s, done, err := OpenThrowaway()
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{killed, filepath.Dir(s.Path())} {
		aged(t, path, time.Hour)
	}
	SweepThrowaways()
	names := func() (out []string) {
		all, err := os.ReadDir(tmp)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range all {
			out = append(out, e.Name())
		}
		return out
	}
	if want := []string{filepath.Base(filepath.Dir(s.Path())), throwaway + "link"}; !slices.Equal(names(), want) {
		t.Errorf("left: %v, want %v", names(), want)
	}
	if err := done(); err != nil {
		t.Fatal(err)
	}
	if got := names(); len(got) != 1 {
		t.Errorf("left in the end: %v", got)
	}
}
