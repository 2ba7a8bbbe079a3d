package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// fullSample is a file that has something in each of its parts, and free pages.
func fullSample(t testing.TB) []byte {
	t.Helper()
	s := newStore(t)
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(s.SaveKit(keptKit))
	must(s.SaveAlarmSettings(session.AlarmSettings{QuietFromMin: 60, Speak: true}))
	for i := range 20 {
		f := bramble()
		f.Year -= i
		_, err := s.SaveFleece(f)
		must(err)
	}
	must(s.DeleteFleece("f7"))
	for range 3 {
		_, err := s.SaveMethod(shortWash())
		must(err)
	}
	id, err := s.NewDay()
	must(err)
	must(s.Append(id, keptDay(), ended(id)))
	for range 6 {
		keepDay(t, s, 40, true)
	}
	must(s.DeleteDay(3))
	must(s.SavePrinted([]tag.Printed{{Day: id, Batch: "A1", Name: "Bramble"}}))
	open := keepDay(t, s, 25, false)
	must(s.SaveLeft(session.Left{Day: open, Seq: 25, At: evening}))
	must(s.Append(open, notes(26, 30), running(open)))
	checkAndClose(t, s)
	content, err := os.ReadFile(s.Path())
	must(err)
	return content
}

// readOut is all that the program reads of a file.
func readOut(path string) (string, error) {
	s, err := Open(path)
	if err != nil {
		return "", err
	}
	defer func() { _ = s.Close() }()
	var b strings.Builder
	var errs []error
	say := func(v any, err error) {
		_ = json.NewEncoder(&b).Encode(v)
		errs = append(errs, err)
	}
	k, _, err := s.Kit()
	say(k, err)
	a, err := s.AlarmSettings()
	say(a, err)
	f, err := s.Fleeces()
	say(f, err)
	m, err := s.Methods()
	say(m, err)
	d, err := s.Days(0)
	say(d, err)
	p, err := s.Printed()
	say(p, err)
	l, err := s.Left()
	say(l, err)
	o, _, err := s.OpenDay()
	say(o, err)
	err = s.Read(func(c Contents) error { say(c, nil); return nil }, func(d DayContents) error { say(d, nil); return nil })
	say(nil, err)
	return b.String(), errors.Join(errs...)
}

// tryHarm writes a harmed file and says whether check calls it whole. One that is
// called whole has to read as it did, and to go on.
func tryHarm(t *testing.T, path, what string, content []byte, want string) (silent bool) {
	t.Helper()
	must.Do(t, os.WriteFile(path, content, 0o600))
	type answer struct {
		rep Report
		err error
	}
	done := make(chan answer, 1)
	go func() {
		rep, err := Check(path)
		done <- answer{rep, err}
	}()
	var a answer
	select {
	case a = <-done:
	case <-time.After(20 * time.Second):
		t.Fatalf("%s: no answer", what)
	}
	if a.err != nil {
		wantHarm(t, 0, a.err)
		return false
	}
	if !a.rep.Whole() {
		return false
	}
	got, err := readOut(path)
	if err != nil || got != want {
		t.Errorf("%s: called whole, and reads otherwise (%v)", what, err)
	}
	return true
}

// fullRecord is a file with something of all that is kept, where it lies, and what it reads.
func fullRecord(t *testing.T) (whole []byte, path, want string) {
	t.Helper()
	whole, path = fullSample(t), filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, whole, 0o600))
	want = must.Get(readOut(path)).In(t)
	return whole, path, want
}

func TestEveryFlippedBitIsSeen(t *testing.T) {
	t.Parallel()
	whole, path, want := fullRecord(t)
	if rep, err := Check(path); err != nil || !rep.Whole() || rep.Fleeces != 19 || rep.Methods != 3 || rep.Days != 7 || rep.Entries != 9+5*40+30 || !rep.Kit {
		t.Fatalf("before any harm: %+v (%v)", rep, err)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	n, without := long.Of(150, 4000), 0
	for range n {
		bit := rng.IntN(8 * len(whole))
		content := bytes.Clone(whole)
		content[bit/8] ^= 1 << (bit % 8)
		if tryHarm(t, path, fmt.Sprintf("bit %d", bit), content, want) {
			without++
		}
	}
	t.Logf("%d bits flipped, one at a time: %d said, %d without effect on anything read", n, n-without, without)
}

// Each byte that a page in use holds counts: flipped, it is seen, but for those that
// belong to nothing.
func TestHarmedPagesAreSeen(t *testing.T) {
	whole, path, want := fullRecord(t)
	pages, size := usedPages(t, whole)
	page := func(b []byte, at int) []byte { return b[at*size : (at+1)*size] }
	n, silent := 0, 0
	try := func(what string, content []byte) {
		n++
		if tryHarm(t, path, what, content, want) {
			silent++
		}
	}
	step := long.Of(3, 1)
	for at := 0; at < pages; at += step {
		content := bytes.Clone(whole)
		clear(page(content, at))
		try(fmt.Sprintf("page %d zeroed", at), content)
		for _, other := range []int{(at + 1) % pages, (at + 7) % pages, (at * 3) % pages} {
			content = bytes.Clone(whole)
			copy(page(content, at), page(whole, other))
			copy(page(content, other), page(whole, at))
			try(fmt.Sprintf("pages %d and %d swapped", at, other), content)
			content = bytes.Clone(whole)
			copy(page(content, at), page(whole, other))
			try(fmt.Sprintf("page %d written over page %d", other, at), content)
			// The number of the page is right, so that bbolt takes it for what it says.
			copy(content[at*size:at*size+8], whole[at*size:at*size+8])
			try(fmt.Sprintf("page %d written into page %d", other, at), content)
		}
		try(fmt.Sprintf("cut in page %d", at), whole[:at*size+100])
	}
	t.Logf("%d harmed files: %d without effect on anything read", n, silent)
}

// A page that bbolt would follow in a circle is neither followed by check nor by a
// reader or a writer.
func TestCircle(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 2000)
	var root uint64
	must.Do(t, s.view(func(r record) error {
		day, _, err := r.journal(key(uint64(id)))
		root = day.root
		return err
	}))
	checkAndClose(t, s)
	content, err := os.ReadFile(s.Path())
	if err != nil {
		t.Fatal(err)
	}
	_, size := usedPages(t, content)
	at := int(root) * size
	if order.Uint16(content[at+8:]) != branchKind {
		t.Fatal("the day is too short for this test")
	}
	order.PutUint64(content[at+pageHeader+8:], root) // its first page is itself
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, content, 0o600))
	if rep, err := Check(path); err != nil || rep.Whole() {
		t.Errorf("%+v (%v)", rep, err)
	}
	s = must.Get(Open(path)).In(t)
	defer func() { _ = s.Close() }()
	_, err = s.Events(id)
	wantSentence(t, err, ErrUnreadable, "wash day 1")
	wantSentence(t, s.Append(id, notes(2001, 2001), running(id)), ErrDamaged)
	if _, err := s.SaveFleece(bramble()); err != nil {
		t.Errorf("the rest does not work: %v", err)
	}
}

// Nothing is saved over what is kept: a page in use that is on the list of free ones is
// seen before the first write.
func TestUsedPageOnTheFreeList(t *testing.T) {
	content := fullSample(t)
	h := must.Get(newestHeader(bytes.NewReader(content))).In(t)
	list := content[h.freelist*uint64(h.pageSize):]
	free, _, err := readFreelist(bytes.NewReader(content), h)
	if err != nil || len(free) == 0 || h.root <= 1 {
		t.Fatalf("free pages %v, root %d (%v)", free, h.root, err)
	}
	at := slices.IndexFunc(free, func(p uint64) bool { return p > h.root })
	if at < 0 {
		at = len(free) - 1
	}
	order.PutUint64(list[pageHeader+8*at:], h.root)
	path := filepath.Join(t.TempDir(), "wash.db")
	must.Do(t, os.WriteFile(path, content, 0o600))
	s := must.Get(Open(path)).In(t)
	defer func() { _ = s.Close() }()
	_, err = s.SaveFleece(bramble())
	wantSentence(t, err, ErrDamaged, "list of free pages")
	if f, err := s.Fleeces(); err != nil || len(f) != 19 {
		t.Errorf("%d fleeces (%v)", len(f), err)
	}
}

// Whatever is put in and taken out, the sums are true: check finds nothing.
func TestSumsStayTrue(t *testing.T) {
	dir, runs := t.TempDir(), 0
	long.Check(t, 10, func(t *rapid.T) {
		runs++
		m := &machine{path: filepath.Join(dir, fmt.Sprint(runs), "wash.db"), m: newModel()}
		m.openStore(t)
		m.s.db.NoSync = true // content, not disks, is on trial here
		defer func() { _ = m.s.Close() }()
		actions := rapid.StateMachineActions(m)
		actions["SavePrinted"] = func(t *rapid.T) {
			wantKind(t, m.s.SavePrinted([]tag.Printed{{Day: shed.DayID(rapid.Uint64Range(1, 3).Draw(t, "day")), Batch: rapid.SampledFrom([]string{"A1", "B2"}).Draw(t, "batch"), Name: rapid.String().Draw(t, "says")}}), nil)
		}
		actions["SaveLeft"] = func(t *rapid.T) { wantKind(t, m.s.SaveLeft(session.Left{Day: 1, At: evening}), nil) }
		actions["Delete"] = func(t *rapid.T) {
			if id := shed.DayID(rapid.Uint64Range(1, 6).Draw(t, "day")); id != m.m.open && m.s.DeleteDay(id) == nil {
				delete(m.m.events, id)
				delete(m.m.sums, id)
			}
		}
		actions[""] = func(t *rapid.T) {
			rep, err := Check(m.path)
			if err != nil || !rep.Whole() {
				t.Fatalf("%+v (%v)", rep, err)
			}
		}
		t.Repeat(actions)
	})
}

// Old values with right sums of their own are found out: a page as it was before, an
// entry of another day, an entry that was lost at the end.
func TestTotalsAndChain(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(c *change) error
		want   string
	}{
		{"an older fleece", func(c *change) error {
			b := c.tx.Bucket([]byte(fleecesPart))
			old := []byte(`{"id":"f1","animal":"Bramble","raw_g":1}`)
			return b.Put(key(1), sealed(old, sumOf(fleecesPart, key(1), old)))
		}, "fleeces"},
		{"a lost fleece", func(c *change) error { return c.tx.Bucket([]byte(fleecesPart)).Delete(key(2)) }, "fleeces"},
		{"a lost day in the list", func(c *change) error { return c.tx.Bucket([]byte(daysPart)).Delete(key(2)) }, "wash day 2"},
		{"a lost day in the journal", func(c *change) error { return c.tx.Bucket([]byte(journalPart)).DeleteBucket(key(2)) }, "wash day 2"},
		{"a count", func(c *change) error { return c.tx.Bucket([]byte(fleecesPart)).SetSequence(1) }, "fleeces"},
		{"the last entry", func(c *change) error { return c.tx.Bucket([]byte(journalPart)).Bucket(key(2)).Delete(key(40)) }, "wash day 2"},
		{"a fleece in another's place", func(c *change) error {
			b := c.tx.Bucket([]byte(fleecesPart))
			return b.Put(key(2), bytes.Clone(b.Get(key(1))))
		}, "fleece f2"},
		{"two lines of days that changed places", func(c *change) error {
			b := c.tx.Bucket([]byte(daysPart))
			x, y := bytes.Clone(b.Get(key(2))), bytes.Clone(b.Get(key(4)))
			return errors.Join(b.Put(key(2), y), b.Put(key(4), x))
		}, "the line of wash day 2"},
		{"an entry in another's place", func(c *change) error {
			b := c.tx.Bucket([]byte(journalPart)).Bucket(key(2))
			return b.Put(key(9), bytes.Clone(b.Get(key(8))))
		}, "entry 9"},
		{"another entry that was there once", func(c *change) error {
			// Its sum was right behind another entry 8.
			v, err := json.Marshal(notes(9, 9)[0])
			if err != nil {
				return err
			}
			return c.tx.Bucket([]byte(journalPart)).Bucket(key(2)).Put(key(9), sealed(v, eventSum(key(2), key(9), 12345, v)))
		}, "entry 9"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "wash.db")
			must.Do(t, os.WriteFile(path, fullSample(t), 0o600))
			s := must.Get(Open(path)).In(t)
			must.Do(t, s.update(c.change))
			must.Do(t, s.Close())
			rep, err := Check(path)
			if err != nil || len(rep.Harm) == 0 || !strings.Contains(strings.Join(rep.Harm, "\n"), c.want) {
				t.Errorf("%q (%v), want %q", rep.Harm, err, c.want)
			}
			t.Log(rep.Harm)
		})
	}
}

// Of whatever harmed file something can be made that is whole, or it is refused; what
// was whole is in it.
func TestSalvage(t *testing.T) {
	t.Parallel()
	whole := fullSample(t)
	dir := t.TempDir()
	path := filepath.Join(dir, "wash.db")
	pages, size := usedPages(t, whole)
	rng := rand.New(rand.NewPCG(5, 6))
	n, called, refused, days := long.Of(30, 200), 0, 0, 0
	for i := range n {
		content := bytes.Clone(whole)
		for range 1 + rng.IntN(3) {
			at := (2 + rng.IntN(pages-2)) * size
			switch rng.IntN(3) {
			case 0:
				clear(content[at : at+size])
			case 1:
				content[at+rng.IntN(size)] ^= byte(1 + rng.IntN(255))
			case 2:
				other := (2 + rng.IntN(pages-2)) * size
				copy(content[at:at+size], whole[other:other+size])
			}
		}
		must.Do(t, os.WriteFile(path, content, 0o600))
		to := filepath.Join(dir, fmt.Sprintf("rest%d.db", i))
		rep, err := Salvage(path, to)
		if err != nil {
			wantHarm(t, i, err)
			refused++
			continue
		}
		if rep.Whole() {
			called++
		}
		made, err := Check(to)
		if err != nil || !made.Whole() {
			t.Fatalf("copy %d: what was made is not whole: %q (%v), of %q", i, made.Harm, err, rep.Harm)
		}
		if made.Fleeces != rep.Fleeces || made.Methods != rep.Methods || made.Kit != rep.Kit {
			t.Errorf("copy %d: of %+v was made %+v", i, rep, made)
		}
		must.Do(t, os.Remove(to))
		days += made.Days
	}
	t.Logf("%d harmed files: %d without harm to what is kept, %d refused as a whole; of the others %d days of %d", n, called, refused, days, 7*(n-refused))
	if days < 5*(n-refused) {
		t.Error("most days should be there: harm is done to few pages")
	}
}

// A day is told around what is lost of it: weights that were written down later stay.
func TestSalvagedDayKeepsWhatIsWhole(t *testing.T) {
	s := newStore(t)
	recs := lived(t, false)
	id := must.Get(s.NewDay()).In(t)
	must.Do(t, s.Append(id, recs, ledger.Summarise(id, session.Replay(recs))))
	setEvent(t, s, id, 4, []byte("{"))
	to := filepath.Join(t.TempDir(), "rest.db")
	rep, err := Salvage(s.Path(), to)
	if err != nil || len(rep.Harm) != 1 {
		t.Fatalf("%q (%v)", rep.Harm, err)
	}
	got, err := reopen(t, to).Events(id)
	if err != nil || len(got) != len(recs) {
		t.Fatalf("%d entries of %d (%v)", len(got), len(recs), err)
	}
	for i, r := range got {
		if note, ok := r.Event.(session.NoteAdded); i == 3 && (!ok || note.Text != LostEntry) || i != 3 && !reflect.DeepEqual(r, recs[i]) {
			t.Errorf("entry %d: %+v, was %+v", i+1, r, recs[i])
		}
	}
	if d := session.Replay(got); d.Fate["A1"].DryG != 120 {
		t.Errorf("its dry weight is %g", d.Fate["A1"].DryG)
	}
	if err := s.DeleteDay(id); err != nil { // newStore's last look wants a whole file
		t.Fatal(err)
	}
}
