package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// exportOf writes an export with the invented day.
func exportOf(t *testing.T, dir string) string {
	t.Helper()
	from := filepath.Join(dir, "from", fileName)
	if err := makeDay(from); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "day.json")
	if code, said := quietly(t, "--data", filepath.Dir(from), "export", "--json", path); code != 0 {
		t.Fatal(said)
	}
	return path
}

// quietly runs a command in this process and gives what it says.
func quietly(t *testing.T, args ...string) (code int, said string) {
	t.Helper()
	out, err := os.Create(filepath.Join(t.TempDir(), "out"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = out.Close() }()
	in, err := os.Open(os.DevNull)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = in.Close() }()
	var errs bytes.Buffer
	code = run(args, system{in: in, out: out, errs: &errs, getenv: func(string) string { return "" }})
	if _, err := out.Seek(0, io.SeekStart); err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(out)
	if err != nil {
		t.Fatal(err)
	}
	return code, string(text) + errs.String()
}

// Of two imports at once into a new folder neither takes the other's record away: what
// was said to be taken in is there.
func TestImportsAtOnce(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	files := []string{exportOf(t, dir), filepath.Join(dir, "other.json")}
	text, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	// The same day with another fleece: one of the two is refused as another day.
	if err := os.WriteFile(files[1], bytes.ReplaceAll(text, []byte("Bramble"), []byte("Thistle")), 0o600); err != nil {
		t.Fatal(err)
	}
	for n := range long.Of(25, 150) {
		into := filepath.Join(dir, fmt.Sprintf("into%d", n))
		var codes [2]int
		var said [2]string
		var both sync.WaitGroup
		for i := range files {
			both.Go(func() { codes[i], said[i] = quietly(t, "--new", "--data", into, "import", files[i]) })
		}
		both.Wait()
		s, err := store.Open(filepath.Join(into, fileName))
		if err != nil {
			t.Fatal(err)
		}
		var days []ledger.Summary
		days, err = s.Days(0)
		if err := errors.Join(err, s.Close()); err != nil {
			t.Fatal(err)
		}
		if len(days) != 1 || codes[0] == 0 == (codes[1] == 0) {
			t.Fatalf("time %d: %d days are there after %v: %q", n, len(days), codes, said)
		}
		left, err := filepath.Glob(filepath.Join(into, ".*"))
		if err != nil || len(left) > 0 {
			t.Fatalf("left behind: %v (%v)", left, err)
		}
	}
}

// A table of cards is taken in whole or not at all, and once.
func TestImportCards(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	table := filepath.Join(dir, "old.csv")
	record := filepath.Join(dir, "record")
	for _, c := range []struct {
		cells string
		flags []string
		code  int
		want  string
	}{
		{"2024-06-01,Moss,200,20\n", nil, 1, "line 2, dry_g: A1: "},
		{"2024-06-01,Moss,200,x\n2024-06-02,,200,20\n", nil, 1, "line 2, dry_g: \"x\" is not a weight: give a number such as 225 g\ntubside: line 3, animal: it is empty, and each wash needs it\ntubside: line 3, dry_g: A1: 20 g dry of 200 g"},
		{strings.Repeat("2024-06-01,Moss,200,x\n", mostBadCards+2), nil, 1, "line 11, dry_g: \"x\" is not a weight: give a number such as 225 g\ntubside: and 2 more\n"},
		{"2024-06-01,Moss,200,110\n2024-06-08,Moss,90,50\n", []string{"--dry-run"}, 0, "2 batches on 2 days, and 1 new fleece: to be taken in; nothing is changed yet.\n"},
		{"2024-06-01,Moss,200,110\n2024-06-08,Moss,90,50\n", nil, 0, "2 batches on 2 days, and 1 new fleece: taken in.\n"},
		{"2024-06-01,Moss,200,110\n2024-06-08,Moss,90,50\n", nil, 0, "All of it is here already.\n"},
		{"2024-06-01,Moss,200,110\n2024-06-01,Fern,90,50\n", nil, 0, "1 batch on 1 day, and 1 new fleece: taken in. 1 line is here already.\n"},
		{"", []string{"--without-kit"}, 2, "a table of cards has no kit"},
	} {
		if err := os.WriteFile(table, []byte("washed_on,animal,raw_g,dry_g\n"+c.cells), 0o600); err != nil {
			t.Fatal(err)
		}
		code, said := quietly(t, append([]string{"--data", record, "--new", "import", "--cards", table}, c.flags...)...)
		if code != c.code || !strings.Contains(said, c.want) {
			t.Errorf("%q %q: %d %q", c.cells, c.flags, code, said)
		}
		if _, err := os.Stat(filepath.Join(record, fileName)); (err == nil) != (c.code == 0 && c.flags == nil) && c.code != 2 {
			t.Errorf("%q %q: a record is there: %v", c.cells, c.flags, err == nil)
		}
	}
}

// The plan of a day to come does not go along, and whoever takes a record elsewhere is told so.
func TestPlanStaysBehind(t *testing.T) {
	dir := t.TempDir()
	from := filepath.Join(dir, "from", fileName)
	if err := makeDay(from); err != nil {
		t.Fatal(err)
	}
	export := func(args ...string) string {
		code, said := quietly(t, append([]string{"--data", filepath.Dir(from)}, args...)...)
		if code != 0 {
			t.Fatal(said)
		}
		return said
	}
	if said := export("export", "--json", filepath.Join(dir, "none.json")); strings.Contains(said, "go along") {
		t.Error(said)
	}
	s, err := store.Open(from)
	if err != nil {
		t.Fatal(err)
	}
	plan := shed.Plan{Batches: []shed.Batch{{ID: "A1", RawG: 200}, {ID: "A2", RawG: 210, Again: shed.Earlier{Day: 1, Batch: "A1"}}}}
	if err := errors.Join(s.SaveDraft(ledger.Draft{Plan: plan}), s.Close()); err != nil {
		t.Fatal(err)
	}
	const told = "the plan of the next day does not go along: 2 batches, A1 (001J) to be washed again. Plan it again there"
	for _, said := range []string{
		export("export", "--json", filepath.Join(dir, "all.json")),
		export("import", "--new", "--data", filepath.Join(dir, "anew"), from),
	} {
		if !strings.Contains(said, told) {
			t.Error(said)
		}
	}
	if said := export("export", "--csv", "-"); strings.Contains(said, "go along") {
		t.Error(said)
	}
}
