package exchange

import (
	"bytes"
	"fmt"
	"path/filepath"
	"sync"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// All animals, farms and figures are invented.

func openStore(t sessiontest.Reporter, path string) *store.Store {
	t.Helper()
	s, err := store.Open(path)
	if err != nil {
		t.Fatalf("open: %v", err)
	}
	return s
}

// newStore opens an empty store that is closed when the test ends.
func newStore(t testing.TB) *store.Store {
	t.Helper()
	s := openStore(t, filepath.Join(t.TempDir(), "wash.db"))
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func exported(t sessiontest.Reporter, s *store.Store) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := WriteJSON(&b, s); err != nil {
		t.Fatalf("export: %v", err)
	}
	return b.Bytes()
}

func imported(t sessiontest.Reporter, s *store.Store, text []byte) store.Merged {
	t.Helper()
	c, days, err := Read(bytes.NewReader(text))
	if err != nil {
		t.Fatalf("read: %v", err)
	}
	m, err := s.Merge(c, days, false)
	if err != nil {
		t.Fatalf("merge: %v %q", err, m.Conflicts)
	}
	return m
}

// dump lists every bucket of a closed store, its sequence and its values.
func dump(t sessiontest.Reporter, path string) []string {
	t.Helper()
	db, err := bolt.Open(path, 0o600, &bolt.Options{ReadOnly: true, Timeout: time.Second})
	if err != nil {
		t.Fatalf("open for a dump: %v", err)
	}
	defer func() { _ = db.Close() }()
	var out []string
	var walk func(path string, b *bolt.Bucket) error
	walk = func(path string, b *bolt.Bucket) error {
		out = append(out, fmt.Sprintf("%s #%d", path, b.Sequence()))
		return b.ForEach(func(k, v []byte) error {
			if v == nil {
				return walk(fmt.Sprintf("%s/%x", path, k), b.Bucket(k))
			}
			out = append(out, fmt.Sprintf("%s/%x = %s", path, k, v))
			return nil
		})
	}
	err = db.View(func(tx *bolt.Tx) error {
		return tx.ForEach(func(name []byte, b *bolt.Bucket) error { return walk(string(name), b) })
	})
	if err != nil {
		t.Fatalf("dump: %v", err)
	}
	return out
}

func wantSame(t sessiontest.Reporter, got, want []string) {
	t.Helper()
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || got[i] != want[i] {
			t.Fatalf("from entry %d on:\n%.300q\nwant\n%.300q", i, got[min(i, len(got)):], want[min(i, len(want)):])
		}
	}
}

// lived is a day with all that happened on it.
type lived struct {
	day  session.Day
	recs []session.Recorded
}

// demoDay is the invented day of the rehearsal, which nobody changes.
var demoDay = sync.OnceValues(func() (l lived, err error) {
	l.day, err = rehearse.Play(rehearse.Demo(), func(r session.Recorded, _ session.Day) { l.recs = append(l.recs, r) })
	return l, err
})

// washDemo puts the invented day of the rehearsal into a store, weighed.
func washDemo(t sessiontest.Reporter, s *store.Store) shed.DayID {
	t.Helper()
	l, err := demoDay()
	if err != nil {
		t.Fatalf("play: %v", err)
	}
	return keep(t, s, l.day, l.recs)
}

func keep(t sessiontest.Reporter, s *store.Store, d session.Day, recs []session.Recorded) shed.DayID {
	t.Helper()
	id, err := s.NewDay()
	if err != nil {
		t.Fatalf("new day: %v", err)
	}
	if err := s.Append(id, recs, ledger.Summarise(id, d)); err != nil {
		t.Fatalf("append: %v", err)
	}
	return id
}

// drawDay is a day that random commands have made, through the engine.
func drawDay(t *rapid.T, start time.Time, end bool) (session.Day, []session.Recorded) {
	name := rapid.StringMatching(`[A-Za-zÀ-ž羊=+@"',;&<> -]{1,30}`)
	p := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod()}
	for i := range rapid.IntRange(1, 3).Draw(t, "fleeces") {
		id := fmt.Sprintf("f%d", i+1)
		p.Fleeces = append(p.Fleeces, shed.Fleece{ID: id, Animal: "Ewe " + name.Draw(t, "animal"), Farm: name.Draw(t, "farm"),
			Year: rapid.IntRange(1990, 2030).Draw(t, "year"), RawG: 5000, Notes: name.Draw(t, "notes"), Type: rapid.SampledFrom(shed.FleeceTypes()).Draw(t, "type")})
		for range rapid.IntRange(1, 3).Draw(t, "batches") {
			p.Batches = append(p.Batches, shed.Batch{FleeceID: id, RawG: rapid.Float64Range(50, 400).Draw(t, "raw"),
				Form: shed.Form(rapid.IntRange(0, 1).Draw(t, "form"))})
		}
	}
	now := start
	var recs []session.Recorded
	d, made, err := session.Do(session.Day{}, session.StartDay{Plan: p}, now)
	if err != nil {
		t.Fatalf("start: %v", err)
	}
	recs = append(recs, made...)
	do := func(c session.Command) {
		next, made, err := session.Do(d, c, now)
		if err != nil {
			return // it could not be done now
		}
		d, recs = next, append(recs, made...)
	}
	for range rapid.IntRange(0, 60).Draw(t, "deeds") {
		now = now.Add(time.Duration(rapid.IntRange(0, 1800).Draw(t, "seconds")) * time.Second)
		tub := rapid.IntRange(0, 2).Draw(t, "tub")
		switch rapid.IntRange(0, 9).Draw(t, "deed") {
		case 0:
			do(session.AddNote{Tub: tub, Text: name.Draw(t, "note")})
		case 1:
			do(session.Undo{})
		default:
			for _, act := range []shed.Action{shed.FillTub, shed.SinkIn, shed.Lift, shed.DrainTub, shed.SpinFibre, shed.RackFibre} {
				do(session.DoNext{Tub: tub, Act: act, Sooner: true})
			}
		}
	}
	if end {
		do(session.EndDay{Anyway: true})
		for _, b := range d.Plan.Batches {
			do(session.Weigh{Batch: b.ID, DryG: rapid.Float64Range(5, b.RawG).Draw(t, "dry"), Dry: true})
		}
	}
	return d, recs
}
