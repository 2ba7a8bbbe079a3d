//go:build unix

package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// A device without end and a pipe that nobody writes are refused at once.
func TestWhatIsNoFileIsRefused(t *testing.T) {
	t.Parallel()
	dir := twoCopies(t)
	pipe := filepath.Join(t.TempDir(), "pipe")
	must.Do(t, syscall.Mkfifo(pipe, 0o600))
	for _, args := range [][]string{
		{"check", pipe}, {"restore", "--yes", pipe}, {"check", os.DevNull}, {"check", "/dev/zero"}, {"restore", "--yes", "/dev/zero"}, {"import", "/dev/zero"}, {"import", "--cards", "/dev/zero"}, {"plan", "--file", "/dev/zero"}, {"plan", "--kit", "/dev/zero", "1 kg"},
	} {
		cmd := exec.Command("sh", "-c", `ulimit -v 4000000; exec "$0" "$@"`, program(t))
		cmd.Args = append(append(cmd.Args, args...), "--data", dir)
		var said bytes.Buffer
		cmd.Stdout, cmd.Stderr = &said, &said
		must.Do(t, cmd.Start())
		over := time.AfterFunc(long.Of(10*time.Second, 60*time.Second), func() { _ = cmd.Process.Kill() })
		err := cmd.Wait()
		over.Stop()
		if exit := (*exec.ExitError)(nil); !errors.As(err, &exit) || exit.ExitCode() < 1 || strings.Contains(said.String(), "goroutine") {
			t.Errorf("%v: %v, %s", args, err, said.String())
		}
		if args[0] == "check" && !strings.Contains(said.String(), "not a file that keeps what is written. Choose another copy") {
			t.Errorf("%v: %s", args, said.String())
		}
	}
}

// A folder given as a file is called a folder, in one sentence that says what would be right: nothing is
// damaged, and nothing like it exists already.
func TestFolderGivenAsFile(t *testing.T) {
	t.Parallel()
	dir, folder := twoCopies(t), filepath.Join(t.TempDir(), "june")
	must.Do(t, os.Mkdir(folder, 0o700))
	read, written := "june is a folder: ", "june is a folder: name a new file in it"
	for words, says := range map[string]string{
		"import": read, "import --cards": read, "import --dry-run": read, "check": read, "restore": read, "restore --yes": read,
		"plan --file": read, "plan --fleece 1kg --kit": read, "fill --target 60C --volume 9L --kit": read, "yield --raw 200g --dry 100g --kit": read,
		"rehearse --kit": read, "rehearse --script": read, "forecast --room free": read,
		"backup": written, "backup --what-is-whole": written, "export --csv": written, "export --json": written, "export --baths": written,
		"review --html": written, "review --force --html": written,
	} {
		code, said := quietly(t, append(strings.Fields(words), folder, "--data", dir)...)
		if code < 1 || !strings.Contains(said, says) || strings.Contains(said, "damaged") || strings.Contains(said, "exists already") || strings.Contains(said, "directory") || strings.Count(said, "june") != 1 {
			t.Errorf("%s: %d, %s", words, code, said)
		}
	}
	for _, words := range []string{"import", "check", "backup", "export --csv", "plan --file"} {
		if _, said := quietly(t, append(strings.Fields(words), filepath.Join(folder, "no", "x"), "--data", dir)...); strings.Contains(said, "directory") {
			t.Errorf("%s: %s", words, said)
		}
	}
}

// What cannot be the folder of the wash days is said, and no record called damaged for it.
func TestDataIsNoFolder(t *testing.T) {
	t.Parallel()
	table := filepath.Join(t.TempDir(), "c.csv")
	must.Do(t, os.WriteFile(table, []byte("washed_on\n"), 0o600))
	for _, words := range []string{"", "export --csv -", "check", "review", "tags", "restore", "copies", "import x.json", "yield", "backup x.db"} {
		for data, says := range map[string]string{table: "c.csv is a file, and a folder is wanted there", "": "--data is empty", " ": "--data is empty"} {
			code, said := quietly(t, append(strings.Fields(words), "--data="+data)...)
			if code != 2 || !strings.Contains(said, says) || strings.Contains(said, "damaged") {
				t.Errorf("%s --data=%q: %d, %s", words, data, code, said)
			}
		}
	}
	for _, words := range []string{"check", "restore", "import", "backup", "review"} {
		if code, said := quietly(t, words, "", "--data", t.TempDir()); code != 2 || !strings.Contains(said, "is empty") {
			t.Errorf("%s without a name: %d, %s", words, code, said)
		}
	}
	if code, said := quietly(t, "copies", "--also-in", "", "--data", t.TempDir()); code != 2 || !strings.Contains(said, "--also-in is empty") {
		t.Errorf("copies: %d, %s", code, said)
	}
}

// A damaged copy is not the record: what is said about it is about the copy, and a record
// with as much that is whole is not given up for it.
func TestDamagedCopy(t *testing.T) {
	t.Parallel()
	dir, away := twoCopies(t), t.TempDir()
	record := filepath.Join(dir, fileName)
	whole := must.Get(os.ReadFile(record)).In(t)
	cut, flip := filepath.Join(away, "cut.db"), filepath.Join(away, "flip.db")
	flipped := bytes.ReplaceAll(whole, []byte(`"event":"`), []byte(`"event";"`))
	must.Do(t, errors.Join(os.WriteFile(cut, whole[:12000], 0o600), os.WriteFile(flip, flipped, 0o600)))
	for _, from := range []string{cut, flip} {
		for _, words := range []string{"import", "restore --yes", "check"} {
			code, said := quietly(t, append(strings.Fields(words), from, "--data", dir)...)
			if code != 1 || strings.Contains(said, "begin anew") || strings.Contains(said, "keeps this file") || !strings.Contains(said, "is damaged") {
				t.Errorf("%s %s: %d, %s", words, filepath.Base(from), code, said)
			}
		}
	}
	if _, said := quietly(t, "restore", "--yes", flip, "--data", dir); !strings.Contains(said, "nothing was changed") || !strings.Contains(said, "does not read") {
		t.Errorf("restore says %s", said)
	}
	if now, err := os.ReadFile(record); err != nil || !bytes.Equal(now, whole) {
		t.Errorf("the record was changed (%v)", err)
	}
	// One with a bad entry is better than a whole record with nothing in it.
	one, anew := filepath.Join(away, "one.db"), t.TempDir()
	last := []byte(`{"seq":4,`)
	s := must.Get(store.Open(filepath.Join(anew, fileName))).In(t)
	must.Do(t, errors.Join(s.Close(), os.WriteFile(one, bytes.ReplaceAll(whole, last, []byte(`{"seq";4,`)), 0o600)))
	if code, said := quietly(t, "restore", "--yes", one, "--data", anew); code != 0 || !strings.Contains(said, "damaged") {
		t.Errorf("in place of an empty one: %d, %s", code, said)
	}
	if code, said := quietly(t, "restore", "--yes", one, "--data", dir); code != 1 || !strings.Contains(said, "as much that is whole") {
		t.Errorf("in place of the whole one: %d, %s", code, said)
	}
	// Any is better than a record that is gone, or of which nothing reads.
	must.Do(t, os.WriteFile(record, []byte("wool\n"), 0o600))
	if code, said := quietly(t, "restore", "--yes", flip, "--data", dir); code != 0 || !strings.Contains(said, "damaged") {
		t.Errorf("in place of nothing: %d, %s", code, said)
	}
}

// A damaged copy of a fleece list, a method or a kit is more than an empty record.
func TestDamagedCopyWithoutADay(t *testing.T) {
	t.Parallel()
	away := t.TempDir()
	for _, fill := range []struct {
		says string
		put  func(*store.Store) error
	}{
		{"1 fleece", func(s *store.Store) (err error) {
			_, err = s.SaveFleece(shed.Fleece{Animal: "Curly", RawG: 2000})
			return err
		}},
		{"1 method of your own", func(s *store.Store) (err error) {
			m := shed.BuiltInMethod()
			m.ID, m.Name = "", "Mine"
			_, err = s.SaveMethod(m)
			return err
		}},
		{"the kit", func(s *store.Store) error { return s.SaveKit(shed.DefaultKit()) }},
	} {
		from, anew := filepath.Join(away, "from.db"), t.TempDir()
		err := store.Into(from, false, func(s *store.Store) error {
			_, err := s.SaveFleece(shed.Fleece{Animal: "Harmed", RawG: 1000})
			return errors.Join(err, fill.put(s))
		})
		if err == nil {
			err = store.Into(filepath.Join(anew, fileName), false, func(*store.Store) error { return nil })
		}
		whole, readErr := os.ReadFile(from)
		must.Do(t, errors.Join(err, readErr, os.WriteFile(from, bytes.ReplaceAll(whole, []byte(`:"Harmed"`), []byte(`;"Harmed"`)), 0o600)))
		if code, said := quietly(t, "restore", "--yes", from, "--data", anew); code != 0 || !strings.Contains(said, fill.says) || !strings.Contains(said, "damaged") {
			t.Errorf("%s over an empty record: %d, %s", fill.says, code, said)
		}
		if code, said := quietly(t, "restore", "--yes", from, "--data", anew); code != 1 || !strings.Contains(said, "as much that is whole") {
			t.Errorf("%s over the same: %d, %s", fill.says, code, said)
		}
		must.Do(t, os.Remove(from))
	}
}
