package exchange

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

var morning = time.Date(2026, 6, 13, 7, 30, 0, 0, time.UTC)

// Days that random hands have washed come out and go into an empty store, and
// the two stores are the same in every bucket.
func TestRoundTripOfRandomDays(t *testing.T) {
	t.Parallel()
	dir, n := t.TempDir(), 0
	long.Check(t, 30, func(t *rapid.T) {
		n++
		fromPath, intoPath := filepath.Join(dir, fmt.Sprintf("from%d", n)), filepath.Join(dir, fmt.Sprintf("into%d", n))
		from, into := openStore(t, fromPath), openStore(t, intoPath)
		days := rapid.IntRange(1, 3).Draw(t, "days")
		for i := range days {
			d, recs := drawDay(t, morning.AddDate(0, 0, i), i+1 < days || rapid.Bool().Draw(t, "ended"))
			keep(t, from, d, recs)
		}
		must.Do(t, from.SaveKit(shed.DefaultKit()))
		text := exported(t, from)
		if !json.Valid(text) {
			t.Fatal("the export is not JSON")
		}
		m := imported(t, into, text)
		if m.Days.New != days {
			t.Fatalf("%+v", m)
		}
		if again := imported(t, into, text); again.Changes() {
			t.Fatalf("a second time: %+v", again)
		}
		if !bytes.Equal(exported(t, into), text) {
			t.Fatal("exported again it is another file")
		}
		must.Do(t, errors.Join(from.Close(), into.Close()))
		wantSame(t, dump(t, intoPath), dump(t, fromPath))
		_, _ = os.Remove(fromPath), os.Remove(intoPath)
	})
}

// A whole day of the rehearsal, and a file that an editor has laid out anew.
func TestRoundTripOfARealDay(t *testing.T) {
	from := newStore(t)
	id := washDemo(t, from)
	text := exported(t, from)
	var laid bytes.Buffer
	laid.WriteString("\ufeff")
	must.Do(t, json.Indent(&laid, text, "", "\t"))
	for _, text := range [][]byte{text, laid.Bytes()} {
		into := newStore(t)
		imported(t, into, text)
		if !bytes.Equal(exported(t, into), exported(t, from)) {
			t.Error("exported again it is another file")
		}
		want := must.Get(from.Events(id)).In(t)
		if got, err := into.Events(id); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("the events differ (%v)", err)
		}
	}
}

// Nothing that a day writes is refused: the days of all scenarios go out and in.
func TestPlayedDaysAreTakenIn(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../../../testdata/scenarios/*.json")
	if err != nil || len(files) < 3 {
		t.Fatalf("%v (%v)", files, err)
	}
	from := newStore(t)
	files = files[:long.Of(3, len(files))]
	for _, name := range files {
		text := must.Get(os.ReadFile(name)).In(t)
		script := must.Get(rehearse.Read(text)).In(t)
		var recs []session.Recorded
		d, err := rehearse.Play(script, func(r session.Recorded, _ session.Day) { recs = append(recs, r) })
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if d.Running() {
			more := []session.Recorded(nil)
			if d, more, err = session.Do(d, session.EndDay{Anyway: true}, d.LastAt); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			recs = append(recs, more...)
		}
		keep(t, from, d, recs)
	}
	text := exported(t, from)
	into := newStore(t)
	if m := imported(t, into, text); m.Days.New != len(files) || !bytes.Equal(exported(t, into), text) {
		t.Errorf("%+v", m)
	}
}

func TestEmptyStoreGoesOutAndIn(t *testing.T) {
	text := exported(t, newStore(t))
	if m := imported(t, newStore(t), text); m.Changes() {
		t.Errorf("%+v", m)
	}
}

// The file of the first version stays as it was written, whatever becomes of
// the format: it is what somebody has at home.
func TestVersion1StillReads(t *testing.T) {
	text := must.Get(os.ReadFile("testdata/version-1.json")).In(t)
	s := newStore(t)
	if m := imported(t, s, text); m.Days.New != 2 || m.Fleeces.New != 1 || m.Methods.New != 1 || m.Kit.New != 1 || m.Events != 18 {
		t.Errorf("%+v", m)
	}
	days, err := s.Days(0)
	if err != nil || len(days) != 2 || days[0].ID != 3 || !days[0].EndedAt.IsZero() || days[1].DryG != 118.5 {
		t.Errorf("%+v (%v)", days, err)
	}
	f, err := s.Fleeces()
	if err != nil || len(f) != 1 || f[0].ID != "f2" || f[0].Animal != "Bramble" || f[0].Type != shed.Longwool || f[0].RawG != 2100 {
		t.Errorf("%+v (%v)", f, err)
	}
	recs := must.Get(s.Events(1)).In(t)
	d := session.Replay(recs)
	if fate := d.Fate["A1"]; fate.DryG != 118.5 || !fate.RackedAt.Equal(time.Date(2026, 6, 13, 8, 35, 0, 0, time.UTC)) || len(d.Baths) == 0 || d.Plan.Kit.Tubs[0].Name != "North" {
		t.Errorf("%+v", fate)
	}
	if id, ok, err := s.OpenDay(); err != nil || !ok || id != 3 {
		t.Errorf("open day %d %v (%v)", id, ok, err)
	}
	if id, err := s.SaveFleece(shed.Fleece{Animal: "Thistle", RawG: 1000}); err != nil || id.ID != "f3" {
		t.Errorf("the next fleece is %s (%v)", id.ID, err)
	}
}

func TestReadRefusals(t *testing.T) {
	s := newStore(t)
	washDemo(t, s)
	whole := string(exported(t, s))
	change := func(old, with string) string {
		t.Helper()
		if !strings.Contains(whole, old) {
			t.Fatalf("the export has no %q", old)
		}
		return strings.Replace(whole, old, with, 1)
	}
	for _, c := range []struct {
		name, text string
		kind       error
		want       string
	}{
		{"empty", "", ErrForeign, "does not begin as one"},
		{"list", "[1,2]", ErrForeign, "does not begin as one"},
		{"other JSON", `{"name":"shopping","items":[]}`, ErrForeign, `begins with "name"`},
		{"object", `{}`, ErrForeign, "does not name its format"},
		{"other format", change(format, "knitting journal"), ErrForeign, "format is another one"},
		{"binary", "\x00\x01\x02", ErrForeign, "does not begin as one"},
		{"newer", change(`"version":1`, `"version":3`), ErrNewer, "version 3, this program reads versions up to 2"},
		{"version 0", change(`"version":1`, `"version":0`), ErrForeign, "no version 0"},
		{"version 1.5", change(`"version":1`, `"version":1.5`), ErrForeign, "no version 1.5"},
		{"unknown part", change(`"fleeces":[`, `"sheep":[`), ErrTorn, `part "sheep" is unknown`},
		{"missing part", change("\"methods\":[],\n", ""), ErrTorn, `part "methods" is missing`},
		{"unknown count", change(`"counted":{`, `"counted":{"tubs":1,`), ErrTorn, `unknown field "tubs"`},
		{"after the end", whole + "{}", ErrTorn, "after its end"},
		{"part twice", change(`"version":1`, `"version":1,"version":1`), ErrTorn, "comes twice"},
		{"part of a day", change(`{"summary":`, `{"resume":1,"summary":`), ErrTorn, "unknown"},
		{"day without its number", change(`{"summary":{"id":1,`, `{"summary":{`), ErrTorn, "which day"},
		{"a day that is none", change(`{"summary":`, `7,{"summary":`), ErrTorn, `there should be a "{"`},
		{"wild count", change(`"counted":{"days":1`, `"counted":{"days":18446744073709551615`), ErrTorn, "counts up to"},
	} {
		_, _, err := Read(strings.NewReader(c.text))
		if !errors.Is(err, c.kind) || !strings.Contains(fmt.Sprint(err), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
	if _, _, err := Read(iotest.ErrReader(errors.New("stick pulled out"))); err == nil {
		t.Error("a stick pulled out gives no error")
	}
	if _, _, err := Read(io.MultiReader(strings.NewReader(whole[:len(whole)/2]), iotest.ErrReader(errors.New("stick pulled out")))); err == nil || !strings.Contains(err.Error(), "pulled out") {
		t.Errorf("%v", err)
	}
}

// endless is so many letters.
type endless struct{ left int }

func (e *endless) Read(b []byte) (int, error) {
	if e.left == 0 {
		return 0, io.EOF
	}
	n := min(len(b), e.left)
	for i := range n {
		b[i] = 'e'
	}
	e.left -= n
	return n, nil
}

// A text of a gigabyte, wherever it stands, is refused after a few megabytes, not taken up.
func TestHugeTextsAreNotTakenUp(t *testing.T) {
	whole := string(exported(t, demoStore(t)))
	for _, at := range []string{`{"format":"`, `"version":`, `"days":[`, `"animal":"`, `"event":"`, `{"summary":{`, `"fleece_id":`, "\n\"fleeces\":["} {
		i := strings.Index(whole, at)
		if i < 0 {
			t.Fatalf("the export has no %q", at)
		}
		i += len(at)
		quote := ""
		if !strings.HasSuffix(at, `"`) {
			quote = `"`
		}
		e := &endless{1 << 30}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, _, err := Read(io.MultiReader(strings.NewReader(whole[:i]+quote), e, strings.NewReader(quote+whole[i:])))
		runtime.ReadMemStats(&after)
		if took := (after.TotalAlloc - before.TotalAlloc) >> 20; took > 40 || err == nil {
			t.Errorf("behind %s: %d MB were taken up (%v)", at, took, err)
		}
		if read := (1<<30 - e.left) >> 20; read > 10 {
			t.Errorf("behind %s: %d MB were read", at, read)
		}
	}
}

// A file cut short anywhere is refused, and nothing of it gets into the store.
func TestCutShortAnywhere(t *testing.T) {
	text := bytes.TrimRight(exported(t, demoStore(t)), "\n")
	for n := 0; n < len(text); n += 1 + len(text)/400 {
		_, _, err := Read(bytes.NewReader(text[:n]))
		if !errors.Is(err, ErrTorn) && !errors.Is(err, ErrForeign) {
			t.Fatalf("cut after %d of %d bytes: %v", n, len(text), err)
		}
	}
}

func demoStore(t testing.TB) *store.Store {
	t.Helper()
	s := newStore(t)
	washDemo(t, s)
	return s
}

type shortWriter struct{ room int }

func (w *shortWriter) Write(b []byte) (int, error) {
	if w.room -= len(b); w.room < 0 {
		return 0, errors.New("disk full")
	}
	return len(b), nil
}

func TestWriteSaysErrors(t *testing.T) {
	s := demoStore(t)
	for _, room := range []int{0, 40_000} { // at the end, and in the middle of a large one
		if room > 0 {
			for range 3 {
				washDemo(t, s)
			}
		}
		if err := WriteJSON(&shortWriter{room}, s); err == nil || !strings.Contains(err.Error(), "disk full") {
			t.Errorf("room for %d: %v", room, err)
		}
	}
	for _, room := range []int{0, 100} {
		if err := WriteCSV(&shortWriter{room}, s, time.UTC); err == nil || strings.Count(err.Error(), "disk full") != 1 {
			t.Errorf("the table, room for %d: %v", room, err)
		}
	}
	if err := WriteBaths(&shortWriter{}, s, time.UTC); err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Error(err)
	}
	must.Do(t, s.Close())
	if err := WriteJSON(io.Discard, s); !errors.Is(err, store.ErrClosed) {
		t.Error(err)
	}
}

// Whatever comes in, nothing falls over, and a store that refuses it is as it
// was, word for word.
func FuzzImport(f *testing.F) {
	text := must.Get(os.ReadFile("testdata/version-1.json")).In(f)
	f.Add(text)
	f.Add([]byte(`{"format":"tubside journal","version":1,"counted":{},"fleeces":[],"methods":[],"days":[]}`))
	f.Add([]byte(`{"format":"tubside journal","version":1,"counted":{"days":9},"kit":{},"fleeces":[{"id":"f1"}],"methods":[],"days":[{"summary":{"id":1},"events":[{"seq":1,"at":"2026-06-13T07:30:00Z","event":"day ended","body":{}}]}]}`))
	dir := f.TempDir()
	path := filepath.Join(dir, "wash.db")
	s := openStore(f, path)
	f.Cleanup(func() { _ = s.Close() })
	washDemo(f, s)
	f.Fuzz(func(t *testing.T, text []byte) {
		before := exported(t, s)
		c, days, err := Read(bytes.NewReader(text))
		if err != nil {
			if !errors.Is(err, ErrTorn) && !errors.Is(err, ErrForeign) && !errors.Is(err, ErrNewer) {
				t.Fatalf("%v", err)
			}
			return
		}
		if _, err := s.Merge(c, days, true); err != nil && strings.ContainsRune(err.Error(), 0x1b) {
			t.Fatalf("terminal codes in %q", err)
		}
		if !bytes.Equal(exported(t, s), before) {
			t.Fatal("the store has changed")
		}
		into := openStore(t, filepath.Join(t.TempDir(), "into.db"))
		defer func() { _ = into.Close() }()
		empty := exported(t, into)
		if _, err := into.Merge(c, days, false); err != nil {
			if !bytes.Equal(exported(t, into), empty) {
				t.Fatalf("refused (%v), but something is in the store", err)
			}
			return
		}
		// What was taken can be read and taken out again, the same.
		out := exported(t, into)
		c2, days2, err := Read(bytes.NewReader(out))
		if err != nil {
			t.Fatalf("its own export is refused: %v", err)
		}
		if m, err := into.Merge(c2, days2, true); err != nil || m.Changes() {
			t.Fatalf("its own export is not the same: %+v (%v)", m, err)
		}
		for _, d := range days2 {
			recs := must.Get(into.Events(d.ID)).In(t)
			day := session.Replay(recs)
			if _, err := RowsOf(d.ID, day, time.UTC); err != nil {
				t.Fatalf("taken in, but it has no table: %v", err)
			}
			later, _ := session.Tick(day, day.LastAt.Add(time.Hour))
			for _, text := range sessiontest.EverythingSaid(later, later.LastAt) {
				sessiontest.CheckPrintable(t, text)
			}
			if told, err := json.Marshal(ledger.Summarise(d.ID, day)); err != nil || !sameSummary(t, d.Summary, told) {
				t.Fatalf("the summary says %s, the events %s (%v)", d.Summary, told, err)
			}
		}
	})
}

func sameSummary(t *testing.T, a, b []byte) bool {
	t.Helper()
	var x, y ledger.Summary
	must.Do(t, errors.Join(json.Unmarshal(a, &x), json.Unmarshal(b, &y)))
	return reflect.DeepEqual(x, y)
}

// The columns are a contract: the first stay where they are, and README has all of them,
// in order.
func TestColumnsAreKept(t *testing.T) {
	want := []string{"day", "washed_on", "code", "batch", "fleece", "animal", "farm", "clip_year", "type", "wax", "felting", "form", "presoak", "raw_g", "dry_g", "yield_percent", "fleece_notes"}
	if got := Columns(); !slices.Equal(got[:len(want)], want) {
		t.Errorf("the table begins with %v: new columns go to the end", got)
	}
	raw := must.Get(os.ReadFile(filepath.Join("..", "..", "..", "README.md"))).In(t)
	for from, have := range map[string][]string{"The table (RFC 4180": Columns(), "The table of baths": names(bathColumns)} {
		_, list, _ := strings.Cut(string(raw), from)
		list, _, _ = strings.Cut(list, "what is not known is empty")
		var told []string
		for _, m := range regexp.MustCompile("`([a-z_]+)`").FindAllStringSubmatch(list, -1) {
			told = append(told, m[1])
		}
		if !slices.Equal(told, have) {
			t.Errorf("README has the columns\n%v\nand the table\n%v", told, have)
		}
	}
}

// A day that was deleted comes back with an export made before.
func TestDeletedDayComesBack(t *testing.T) {
	s := newStore(t)
	gone, stays := washDemo(t, s), washDemo(t, s)
	before := exported(t, s)
	must.Do(t, s.DeleteDay(gone))
	if days, err := s.Days(0); err != nil || len(days) != 1 || days[0].ID != stays {
		t.Fatalf("left %+v (%v)", days, err)
	}
	if m := imported(t, s, before); m.Days.New != 1 || m.Days.Same != 1 {
		t.Errorf("merged %+v", m)
	}
	if after := exported(t, s); !bytes.Equal(before, after) {
		t.Error("it is not the record it was")
	}
}
