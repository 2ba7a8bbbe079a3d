package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// exportOf writes an export with the invented day.
func exportOf(t *testing.T, dir string) string {
	t.Helper()
	from := filepath.Join(dir, "from", fileName)
	must.Do(t, makeDay(from))
	path := filepath.Join(dir, "day.json")
	if code, said := quietly(t, "--data", filepath.Dir(from), "export", "--json", path); code != 0 {
		t.Fatal(said)
	}
	return path
}

// quietly runs a command in this process and gives what it says.
func quietly(t *testing.T, args ...string) (code int, said string) {
	t.Helper()
	out := must.Get(os.Create(filepath.Join(t.TempDir(), "out"))).In(t)
	defer func() { _ = out.Close() }()
	in := must.Get(os.Open(os.DevNull)).In(t)
	defer func() { _ = in.Close() }()
	var errs bytes.Buffer
	code = run(args, system{in: in, out: out, errs: &errs, getenv: func(string) string { return "" }})
	must.Get(out.Seek(0, io.SeekStart)).In(t)
	text := must.Get(io.ReadAll(out)).In(t)
	return code, string(text) + errs.String()
}

// Of two imports at once into a new folder neither takes the other's record away: what
// was said to be taken in is there.
func TestImportsAtOnce(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	files := []string{exportOf(t, dir), filepath.Join(dir, "other.json")}
	text := must.Get(os.ReadFile(files[0])).In(t)
	// The same day with another fleece: one of the two is refused as another day.
	must.Do(t, os.WriteFile(files[1], bytes.ReplaceAll(text, []byte("Bramble"), []byte("Thistle")), 0o600))
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
		must.Do(t, errors.Join(err, s.Close()))
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
		{"2024-06-01,Moss,200,x\n2024-06-02,,200,20\n", nil, 1, "line 2, dry_g: \"x\" is not a weight: give a number such as 225 g or 1.2 kg\ntubside: line 3, animal: it is empty, and each wash needs it\ntubside: line 3, dry_g: A1: 20 g dry of 200 g"},
		{strings.Repeat("2024-06-01,Moss,200,x\n", mostBadCards+2), nil, 1, "line 11, dry_g: \"x\" is not a weight: give a number such as 225 g or 1.2 kg\ntubside: and 2 more\n"},
		{"2024-06-01,Moss,200,110\n2024-06-08,Moss,90,50\n", []string{"--dry-run"}, 0, "2 batches on 2 days, 1 Jun 2024 to 8 Jun 2024, and 1 new fleece: to be taken in; nothing is changed yet.\n"},
		{"2024-06-01,Moss,200,110\n2024-06-08,Moss,90,50\n", nil, 0, "2 batches on 2 days, 1 Jun 2024 to 8 Jun 2024, and 1 new fleece: taken in.\n"},
		{"2024-06-01,Moss,200,110\n2024-06-08,Moss,90,50\n", nil, 0, "All of it is here already.\n"},
		{"2024-06-01,Moss,200,110\n2024-06-01,Fern,90,50\n", nil, 0, "1 batch on 1 day, 1 Jun 2024, and 1 new fleece: taken in. 1 line is here already.\n"},
		{"", []string{"--without-kit"}, 2, "a table of cards has no kit"},
	} {
		must.Do(t, os.WriteFile(table, []byte("washed_on,animal,raw_g,dry_g\n"+c.cells), 0o600))
		code, said := quietly(t, append([]string{"--data", record, "--new", "import", "--cards", table}, c.flags...)...)
		if code != c.code || !strings.Contains(said, c.want) {
			t.Errorf("%q %q: %d %q", c.cells, c.flags, code, said)
		}
		if _, err := os.Stat(filepath.Join(record, fileName)); (err == nil) != (c.code == 0 && c.flags == nil) && c.code != 2 {
			t.Errorf("%q %q: a record is there: %v", c.cells, c.flags, err == nil)
		}
	}
}

// The plan of a day to come goes along, out and in and as a copy; one that is here stays.
func TestPlanGoesAlong(t *testing.T) {
	dir := t.TempDir()
	from, all := filepath.Join(dir, "from", fileName), filepath.Join(dir, "all.json")
	must.Do(t, makeDay(from))
	called := func(args ...string) string {
		t.Helper()
		code, said := quietly(t, args...)
		if code != 0 {
			t.Fatal(said)
		}
		return said
	}
	called("export", "--data", filepath.Dir(from), "--json", all)
	if text, err := os.ReadFile(all); err != nil || !bytes.Contains(text, []byte(`"version":1,`)) || bytes.Contains(text, []byte("draft")) {
		t.Errorf("without a plan it is no export of before: %v", err)
	}
	must.Do(t, os.Remove(all))
	draft := func(into string, put *ledger.Draft) (d ledger.Draft) {
		t.Helper()
		s, err := store.Open(into)
		if err != nil {
			t.Fatal(err)
		}
		if put != nil {
			err = s.SaveDraft(*put)
		} else {
			d, err = s.Draft()
		}
		must.Do(t, errors.Join(err, s.Close()))
		return d
	}
	plan := ledger.Draft{Plan: shed.Plan{Method: shed.BuiltInMethod(), Fleeces: []shed.Fleece{{ID: "f1", Animal: "Curly", RawG: 2000}}, Break: shed.Breaks{{FromMin: 750, ToMin: 795}},
		Batches: []shed.Batch{{FleeceID: "f1", ID: "A1", RawG: 200}, {FleeceID: "f1", ID: "A2", RawG: 210, Again: shed.Earlier{Day: 1, Batch: "A1"}}}},
		ReadyBy: time.Now().Add(40 * time.Hour).UTC().Truncate(time.Second)}
	draft(from, &plan)
	called("export", "--data", filepath.Dir(from), "--json", all)
	for _, in := range []string{all, from} {
		anew := filepath.Join(t.TempDir(), "anew")
		into := filepath.Join(anew, fileName)
		if said := called("import", "--new", "--data", anew, in); !strings.Contains(said, "plan     1 new\n") {
			t.Error(said)
		}
		if got := draft(into, nil); !reflect.DeepEqual(got, plan) {
			t.Errorf("from %s came\n%+v, not\n%+v", in, got, plan)
		}
		if said := called("import", "--data", anew, in); !strings.Contains(said, "plan     1 here already\nevents   0 new\nAll of it is here already.") && !strings.Contains(said, "All of it is here already.") {
			t.Error(said)
		}
		other := plan
		other.Plan.Batches = plan.Plan.Batches[:1]
		draft(into, &other)
		if said := called("import", "--data", anew, in); !strings.Contains(said, "plan     1 left out: another is here\n") {
			t.Error(said)
		}
		if got := draft(into, nil); len(got.Plan.Batches) != 1 {
			t.Errorf("the plan here was taken away: %+v", got)
		}
	}
	text := must.Get(os.ReadFile(all)).In(t)
	_, fromDraft, _ := strings.Cut(string(text), "\"draft\":")
	draftLine, _, _ := strings.Cut("\"draft\":"+fromDraft, "\n")
	// The days do not depend on the plan: what cannot be read of it keeps nothing else out.
	for was, bad := range map[string]string{`"raw_g":210`: `"raw_g":-210`, `"draft":{"plan":{`: `"draft":{"plan":{"whim":1,`, `"ready_by":"` + plan.ReadyBy.Format("2006"): `"ready_by":"2411`, draftLine: `"draft":7,`} {
		anew, file := t.TempDir(), filepath.Join(t.TempDir(), "bad.json")
		changed := bytes.Replace(text, []byte(was), []byte(bad), 1)
		must.Do(t, os.WriteFile(file, changed, 0o600))
		said := called("import", "--new", "--data", anew, file)
		if bytes.Equal(changed, text) || !strings.Contains(said, "The plan is left out: the plan of the next day ") || !strings.Contains(said, "days     1 new\n") {
			t.Errorf("%s: %s", bad, said)
		}
		if got := draft(filepath.Join(anew, fileName), nil); len(got.Plan.Batches) > 0 {
			t.Errorf("%s is taken in: %+v", bad, got)
		}
		if said := called("import", "--data", anew, file); !strings.Contains(said, "All the rest is here already.\n") {
			t.Errorf("%s: %s", bad, said)
		}
	}
	// One without a batch is none.
	anew, file := t.TempDir(), filepath.Join(t.TempDir(), "bare.json")
	must.Do(t, os.WriteFile(file, bytes.Replace(text, []byte(draftLine), []byte(`"draft":{"plan":{}},`), 1), 0o600))
	for range 2 {
		if said := called("import", "--new", "--data", anew, file); strings.Contains(said, "plan") {
			t.Error(said)
		}
	}
}

// A day that a wrong clock has dated far ahead is exported, and taken in again once that is
// confirmed; a copy of what is whole has it too.
func TestDayOfAWrongClockComesBack(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	from := filepath.Join(dir, "from")
	must.Do(t, makeDayAt(filepath.Join(from, fileName), time.Date(2199, 1, 1, 9, 0, 0, 0, time.UTC)))
	out, rest := filepath.Join(dir, "all.json"), filepath.Join(dir, "rest.db")
	for _, args := range [][]string{{"export", "--json", out}, {"backup", "--what-is-whole", rest}} {
		if code, said := quietly(t, append(args, "--data", from)...); code != 0 {
			t.Fatalf("%v: %s", args, said)
		}
	}
	anew := filepath.Join(dir, "anew")
	if code, said := quietly(t, "import", "--new", "--data", anew, out); code != 1 || !strings.Contains(said, "still to come. If a clock was wrong then or is now, --sure takes it in") {
		t.Errorf("%d, %s", code, said)
	}
	for _, c := range [][]string{{out, anew, "days     1 new"}, {rest, filepath.Join(dir, "third"), "days     1 new"}, {out, from, "All of it is here already"}} {
		if code, said := quietly(t, "import", "--new", "--sure", "--data", c[1], c[0]); code != 0 || !strings.Contains(said, c[2]) {
			t.Errorf("%v: %d, %s", c, code, said)
		}
	}
}
