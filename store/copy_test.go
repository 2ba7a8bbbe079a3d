package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"

	"fleece.example/tubside/session/must"
)

// made is a copy of that moment, of which there is no file.
func made(at time.Time) Copy {
	return Copy{Path: copyBegins + at.UTC().Format(copyMoment) + "-UTC.db", At: at.UTC().Truncate(time.Second)}
}

// drawCopies are copies over some years, more of them lately, with clocks that were wrong.
func drawCopies(t *rapid.T) []Copy {
	now := time.Date(2026, 11, 29, 12, 0, 0, 0, time.UTC)
	seen := map[string]bool{}
	var all []Copy
	for range rapid.IntRange(0, 120).Draw(t, "copies") {
		back := rapid.SampledFrom([]time.Duration{time.Hour, 30 * time.Hour, 60 * 24 * time.Hour, 4000 * 24 * time.Hour}).Draw(t, "span")
		at := now.Add(-time.Duration(rapid.Int64Range(0, int64(back)).Draw(t, "ago")))
		switch rapid.IntRange(0, 30).Draw(t, "clock") {
		case 0:
			at = at.AddDate(173, 0, 0)
		case 1:
			at = at.AddDate(-56, 0, 0)
		}
		c := made(at)
		switch rapid.IntRange(0, 15).Draw(t, "kind") {
		case 0:
			c.Kind = BeforeLayout
		case 1:
			c.Kind = Harmed
		}
		if !seen[c.Path] {
			seen[c.Path] = true
			all = append(all, c)
		}
	}
	return all
}

func without(all, drop []Copy) []Copy {
	return slices.DeleteFunc(slices.Clone(all), func(c Copy) bool { return slices.Contains(drop, c) })
}

func TestThin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := drawCopies(t)
		kept := without(all, Thin(all, Usually))
		if again := Thin(kept, Usually); len(again) > 0 {
			t.Fatalf("thinned again: %v", again)
		}
		if other := Thin(rapid.Permutation(all).Draw(t, "order"), Usually); len(other) != len(all)-len(kept) {
			t.Fatal("the order in which they come matters")
		}
		newest := func(cs []Copy, kind CopyKind) (at time.Time) {
			for _, c := range cs {
				if c.Kind == kind && c.At.After(at) {
					at = c.At
				}
			}
			return at
		}
		for _, kind := range []CopyKind{Regular, Harmed, BeforeLayout} {
			if a, b := newest(all, kind), newest(kept, kind); !a.Equal(b) {
				t.Fatalf("the newest of kind %d was %v and is %v", kind, a, b)
			}
		}
		// What is promised, said another way: a copy goes only for a later one of its
		// month, of its day if that is one of the last 31, of its hour if one of 24.
		last := func(layout string, most int) []string {
			var parts []string
			for _, c := range all {
				if c.Kind == Regular {
					parts = append(parts, c.At.Format(layout))
				}
			}
			slices.Sort(parts)
			parts = slices.Compact(parts)
			return parts[max(0, len(parts)-most):]
		}
		for _, rule := range []struct {
			layout string
			most   int
		}{{"2006-01-02 15", 24}, {"2006-01-02", 31}, {"2006-01", 100_000}} {
			for _, part := range last(rule.layout, rule.most) {
				in := func(cs []Copy) (at time.Time) {
					for _, c := range cs {
						if c.Kind == Regular && c.At.Format(rule.layout) == part && c.At.After(at) {
							at = c.At
						}
					}
					return at
				}
				if !in(all).Equal(in(kept)) {
					t.Fatalf("the last copy of %s went: %v, now %v", part, in(all), in(kept))
				}
			}
		}
		months := len(last("2006-01", 100_000))
		regular := 0
		for _, c := range kept {
			if c.Kind == Regular {
				regular++
			}
		}
		if regular > 24+31+months {
			t.Fatalf("%d kept of %d months", regular, months)
		}
	})
}

// An hour under a clock that says 2199 takes the place of one copy and no more.
func TestThinWrongClock(t *testing.T) {
	var all []Copy
	now := time.Date(2026, 6, 1, 8, 0, 0, 0, time.UTC)
	for day := range 40 {
		for hour := range 9 {
			all = append(all, made(now.AddDate(0, 0, day).Add(time.Duration(hour)*time.Hour)))
		}
	}
	if few := without(all, Thin(all, InNeed)); len(few) != 6+6+1 {
		t.Errorf("%d kept in need", len(few))
	}
	right := without(all, Thin(all, Usually))
	all = append(all, made(now.AddDate(173, 0, 0)))
	wrong := without(all, Thin(all, Usually))
	lost := 0
	for _, c := range right {
		if !slices.Contains(wrong, c) {
			lost++
		}
	}
	if lost > 2 { // of an hour, of a day
		t.Errorf("%d copies went for one", lost)
	}
}

// TestCopiesOfTenYears says what they take: 30 wash days a year, each under way for 9 h.
func TestCopiesOfTenYears(t *testing.T) {
	const perDay = 40_000 // bytes of a day of 6 batches
	folder := []Copy{}
	var size, most int64
	for year := range 10 {
		for n := range 30 {
			day := time.Date(2026+year, 3, 1, 8, 0, 0, 0, time.UTC).AddDate(0, 0, n*8)
			size += perDay
			for hour := range 9 {
				c := made(day.Add(time.Duration(hour) * time.Hour))
				c.Size = size
				folder = append(folder, c)
				folder = without(folder, Thin(folder, Usually))
			}
			var sum int64
			for _, c := range folder {
				sum += c.Size
			}
			most = max(most, sum)
		}
	}
	t.Logf("a record of %.0f MB, %d copies, %.0f MB", float64(size)/1e6, len(folder), float64(most)/1e6)
	if n := len(folder); n > 24+31+90 || most > 90*size {
		t.Errorf("%d copies, %d bytes of a record of %d", n, most, size)
	}
}

func TestCopyInto(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 30)
	folder := CopiesFolder(s.Path())
	at := time.Date(2026, 11, 29, 12, 4, 33, 500, time.FixedZone("", 3600))
	c := must.Get(s.CopyInto(folder, at)).In(t)
	if name := filepath.Base(c.Path); name != "tubside-2026-11-29-110433-UTC.db" {
		t.Errorf("named %s", name)
	}
	if info, err := os.Stat(c.Path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info.Mode(), err)
	}
	second, err := s.CopyInto(folder, at) // in the same second
	if err != nil || second.Path == c.Path {
		t.Fatalf("%s, %v", second.Path, err)
	}
	must.Do(t, s.Append(id, notes(31, 40), running(id)))
	if StateOf(second.Path) >= s.State() {
		t.Error("the copy is said to be as new as the record")
	}
	all, err := Copies(folder)
	if err != nil || len(all) != 1 || all[0] != second { // the first went for it: one hour
		t.Fatalf("%v, %v", all, err)
	}
	h, err := Examine(second.Path)
	if err != nil || h.Days != 1 || !h.Open || h.Batches != 6 || !h.LastAt.Equal(morning) {
		t.Errorf("%+v, %v", h, err)
	}
	wantEvents(t, reopen(t, second.Path), id, notes(1, 30))
	if !regexp.MustCompile(`^[A-Za-z0-9.-]+$`).MatchString(filepath.Base(c.Path)) {
		t.Errorf("%s is no name for every file system", c.Path)
	}
}

// A copy is refused with a sentence, leaves nothing half made, and the record is as it was.
func TestCopyRefused(t *testing.T) {
	s := newStore(t)
	startDay(t, s, 5)
	folder := filepath.Join(t.TempDir(), "copies")
	must.Do(t, os.WriteFile(folder, nil, 0o600))
	_, err := s.CopyInto(folder, morning)
	wantSentence(t, err, ErrNotWritable, folder, "no copy could be made", "check that it can be written")
	other := t.TempDir()
	c := must.Get(s.CopyInto(other, morning)).In(t)
	gone := filepath.Join(t.TempDir(), "stick")
	_, err = CarryCopy(c, gone)
	wantSentence(t, err, ErrNotWritable, gone)
	if _, err := os.Stat(gone); err == nil {
		t.Error("a folder was made where a stick is missing")
	}
	must.Do(t, os.Mkdir(gone, 0o700))
	there, err := CarryCopy(c, gone)
	if err != nil || filepath.Base(there.Path) != filepath.Base(c.Path) {
		t.Fatalf("%v, %v", there, err)
	}
	if a, b := mustRead(t, c.Path), mustRead(t, there.Path); !bytes.Equal(a, b) {
		t.Error("the copy carried differs")
	}
}

func mustRead(t *testing.T, path string) []byte {
	t.Helper()
	b := must.Get(os.ReadFile(path)).In(t)
	return b
}

// What reads back otherwise is no copy.
func TestSameBytes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "f")
	whole := bytes.Repeat([]byte("wool"), 50_000)
	for name, c := range map[string]struct {
		b    []byte
		same bool
	}{"same": {whole, true}, "shorter": {whole[:len(whole)-1], false}, "longer": {append(slices.Clone(whole), 1), false}, "other": {append(slices.Clone(whole[:len(whole)-1]), 1), false}, "none": {nil, false}} {
		must.Do(t, os.WriteFile(path, c.b, 0o600))
		if err := sameBytes(path, whole); (err == nil) != c.same {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A record with a part that does not read is copied under a name that says so, and the
// whole copies stay.
func TestCopyOfHarmedRecord(t *testing.T) {
	s, err := Open(filepath.Join(t.TempDir(), "wash.db"))
	if err != nil {
		t.Fatal(err)
	}
	startDay(t, s, 10)
	folder := CopiesFolder(s.Path())
	whole := must.Get(s.CopyInto(folder, morning)).In(t)
	checkAndClose(t, s)
	b := mustRead(t, s.Path())
	for at := bytes.Index(b, []byte("note 3")); at >= 0; at = bytes.Index(b, []byte("note 3")) {
		b[at+5] = '8' // in every state of the page
	}
	must.Do(t, os.WriteFile(s.Path(), b, 0o600))
	if s, err = Open(s.Path()); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		c, err := s.CopyInto(folder, morning.Add(time.Duration(i)*time.Minute))
		if !errors.Is(err, ErrUnreadable) || c.Kind != Harmed || !strings.HasSuffix(c.Path, "-harmed.db") {
			t.Fatalf("%v, %v", c, err)
		}
	}
	all, err := Copies(folder)
	if err != nil || len(all) != 2 || !slices.Contains(all, whole) {
		t.Errorf("%v, %v", all, err)
	}
	must.Do(t, s.Close())
}

// Before the record is brought to another layout it is kept as it was: once, also where
// that fails again and again, and no thinning takes it.
func TestCopyBeforeMigration(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 4)
	must.Do(t, s.Close())
	fails := append(slices.Clone(migrations), migration{"fail", func(*bolt.Tx) error { return errors.New("no") }})
	for range 3 {
		if _, err := open(s.Path(), fails); err == nil {
			t.Fatal("it did not fail")
		}
	}
	all, err := Copies(CopiesFolder(s.Path()))
	if err != nil || len(all) != 1 || all[0].Kind != BeforeLayout || !strings.HasSuffix(all[0].Path, fmt.Sprintf("-UTC-layout-%d.db", len(migrations))) {
		t.Fatalf("%v, %v", all, err)
	}
	if drop := Thin(append(all, made(all[0].At.Add(time.Minute))), InNeed); len(drop) > 0 {
		t.Errorf("thinned: %v", drop)
	}
	wantEvents(t, reopen(t, all[0].Path), id, notes(1, 4))
}
