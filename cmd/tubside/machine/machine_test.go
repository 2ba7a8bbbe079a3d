package machine

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

func at(t *testing.T) *File { return At(filepath.Join(t.TempDir(), "conf", "machine.json")) }

func confirmed(t *testing.T, f *File, command string) bool {
	t.Helper()
	ok, _ := must.Get2(f.Confirmed(command)).In(t)
	return ok
}

// A command is known here by its text, and by no other.
func TestConfirm(t *testing.T) {
	f := at(t)
	if confirmed(t, f, "ring") {
		t.Error("a command was confirmed before anybody did")
	}
	for _, c := range []string{"ring", "call", "ring"} {
		must.Do(t, f.Confirm(c, Ways{}))
	}
	for c, want := range map[string]bool{"ring": true, "call": true, "ring ": false, "Ring": false, "": false} {
		if got := confirmed(t, At(f.Path()), c); got != want {
			t.Errorf("%q is confirmed: %v, want %v", c, got, want)
		}
	}
	if s, _ := f.Read(); len(s.Commands) != 2 {
		t.Errorf("it keeps %q", s.Commands)
	}
	for range mostCommands {
		must.Do(t, f.Confirm(strings.Repeat("x", len(must.Get(f.Read()).In(t).Commands)+1), Ways{}))
	}
	if n := len(must.Get(f.Read()).In(t).Commands); n > mostCommands {
		t.Errorf("it keeps %d commands", n)
	}
}

// Only the person may read and write it, and nothing half written is left.
func TestOwnFile(t *testing.T) {
	f := at(t)
	must.Do(t, f.Confirm("ring", Ways{}))
	if runtime.GOOS != "windows" {
		if info, err := os.Stat(f.Path()); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%v, %v", info.Mode(), err)
		}
	}
	found, err := os.ReadDir(filepath.Dir(f.Path()))
	if err != nil || len(found) != 1 {
		t.Errorf("the folder has %v, %v", found, err)
	}
}

// What others may have written says nothing, and neither does what does not read.
func TestNotBelieved(t *testing.T) {
	f := at(t)
	must.Do(t, f.Confirm("ring", Ways{}))
	if runtime.GOOS != "windows" {
		for _, x := range []struct {
			path string
			mode os.FileMode
		}{{f.Path(), 0o602}, {filepath.Dir(f.Path()), 0o707}} {
			was, err := os.Stat(x.path)
			if err == nil {
				err = os.Chmod(x.path, x.mode)
			}
			if err != nil {
				t.Fatal(err)
			}
			if ok, _, err := f.Confirmed("ring"); ok || err == nil {
				t.Errorf("%s with the mode %v is believed: %v, %v", x.path, x.mode, ok, err)
			}
			if err := f.Confirm("call", Ways{}); err == nil {
				t.Errorf("%s with the mode %v is written", x.path, x.mode)
			}
			must.Do(t, os.Chmod(x.path, was.Mode()))
		}
	}
	for _, text := range []string{"", "[]", "{", `{"commands":"ring"}`, strings.Repeat(" ", mostBytes) + "{}"} {
		must.Do(t, os.WriteFile(f.Path(), []byte(text), 0o600))
		if _, err := f.Read(); err == nil || !strings.Contains(err.Error(), "delete it") {
			t.Errorf("%.20q reads: %v", text, err)
		}
	}
}

// A file or a folder that others may write is named; one's own is not.
func TestWriters(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("rights are kept in another way there")
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "tubside.db")
	must.Do(t, os.WriteFile(path, nil, 0o600))
	for _, x := range []struct {
		file, folder os.FileMode
		want         string // in what is said
	}{
		{0o600, 0o700, ""}, {0o644, 0o755, ""}, {0o600, os.ModeSticky | 0o777, ""},
		{0o666, 0o755, path}, {0o600, 0o777, dir},
	} {
		must.Do(t, os.Chmod(path, x.file))
		must.Do(t, os.Chmod(dir, x.folder))
		said := Writers(path)
		if (said == "") != (x.want == "") || !strings.HasSuffix(said, x.want) {
			t.Errorf("%v in %v: %q", x.file, x.folder, said)
		}
	}
	if said := Writers(filepath.Join(dir, "none", "x")); said != "" {
		t.Errorf("what is not there is writable: %q", said)
	}
}
