package store

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session/must"
)

func aged(t *testing.T, path string, by time.Duration) {
	t.Helper()
	at := time.Now().Add(-by)
	must.Do(t, os.Chtimes(path, at, at))
}

// A start takes away what a killed program has left: what no program holds, and only
// that.
func TestSweepsWhatWasLeft(t *testing.T) {
	dir := t.TempDir()
	old := func(name, text string) string {
		path := filepath.Join(dir, name)
		must.Do(t, os.WriteFile(path, []byte(text), 0o600))
		aged(t, path, time.Hour)
		return path
	}
	gone := []string{old(newFile+"empty", ""), old(newFile+"half", "half a file")}
	stays := []string{old("notes.txt", ""), old(".tubside-newer", ""), filepath.Join(dir, newFile+"held"), filepath.Join(dir, newFile+"young")}
	db := must.Get(bolt.Open(stays[2], 0o600, nil)).In(t)
	defer func() { _ = db.Close() }()
	aged(t, stays[2], time.Hour)
	must.Do(t, os.WriteFile(stays[3], nil, 0o600))
	s := must.Get(Open(filepath.Join(dir, "tubside.db"))).In(t)
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
	must.Do(t, os.Mkdir(killed, 0o700))
	left := must.Get(Open(filepath.Join(killed, throwawayName))).In(t)
	must.Do(t, left.Close())
	must.Do(t, os.Symlink(t.TempDir(), filepath.Join(tmp, throwaway+"link")))
	s, done := must.Get2(OpenThrowaway()).In(t)
	for _, path := range []string{killed, filepath.Dir(s.Path())} {
		aged(t, path, time.Hour)
	}
	SweepThrowaways()
	names := func() (out []string) {
		all := must.Get(os.ReadDir(tmp)).In(t)
		for _, e := range all {
			out = append(out, e.Name())
		}
		return out
	}
	if want := []string{filepath.Base(filepath.Dir(s.Path())), throwaway + "link"}; !slices.Equal(names(), want) {
		t.Errorf("left: %v, want %v", names(), want)
	}
	must.Do(t, done())
	if got := names(); len(got) != 1 {
		t.Errorf("left in the end: %v", got)
	}
}
