package store

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/sessiontest"
)

// BenchmarkAppendOne saves one event, beside the least that a disk can be
// asked for, 4 KiB written over and synced, and the least that bbolt can, one value in
// an empty file. They take turns, so that a busy disk is busy for all; x-raw and x-bbolt
// are the ratios of their medians.
func BenchmarkAppendOne(b *testing.B) {
	s := newStore(b)
	id := startDay(b, s, 1)
	raw := must.Get(os.Create(filepath.Join(b.TempDir(), "raw"))).In(b)
	defer func() { _ = raw.Close() }()
	page := make([]byte, 4096)
	overwrite := func() {
		must.Get(raw.WriteAt(page, 0)).In(b)
		must.Do(b, raw.Sync())
	}
	overwrite()
	bare := must.Get(bbolt.Open(filepath.Join(b.TempDir(), "bare"), 0o600, nil)).In(b)
	defer func() { _ = bare.Close() }()
	put := func() {
		must.Do(b, bare.Update(func(tx *bbolt.Tx) error {
			part, err := tx.CreateBucketIfNotExists([]byte("part"))
			if err != nil {
				return err
			}
			return part.Put([]byte("key"), page[:200])
		}))
	}
	put()

	var appends, raws, puts []time.Duration
	n := uint64(2)
	for b.Loop() {
		start := time.Now()
		must.Do(b, s.Append(id, notes(n, n), running(id)))
		appends = append(appends, time.Since(start))
		n++
		b.StopTimer()
		start = time.Now()
		overwrite()
		raws = append(raws, time.Since(start))
		start = time.Now()
		put()
		puts = append(puts, time.Since(start))
		b.StartTimer()
	}
	a, r := median(appends), median(raws)
	b.ReportMetric(float64(a.Microseconds()), "append-µs")
	b.ReportMetric(float64(r.Microseconds()), "raw-µs")
	b.ReportMetric(float64(a)/float64(r), "x-raw")
	b.ReportMetric(float64(a)/float64(median(puts)), "x-bbolt")
}

func median(d []time.Duration) time.Duration {
	sort.Slice(d, func(i, j int) bool { return d[i] < d[j] })
	return d[len(d)/2]
}

// thousandDays keeps a thousand days of a hundred events.
func thousandDays(b *testing.B) *Store {
	s := newStore(b)
	s.db.NoSync = true // only to get there
	for range 1000 {
		wholeDay(b, s, 100)
	}
	s.db.NoSync = false
	return s
}

func BenchmarkDays1000(b *testing.B) {
	s := thousandDays(b)
	for b.Loop() {
		if days, err := s.Days(0); err != nil || len(days) != 1000 {
			b.Fatalf("%d days (%v)", len(days), err)
		}
	}
}

func BenchmarkDays20of1000(b *testing.B) {
	s := thousandDays(b)
	for b.Loop() {
		if days, err := s.Days(20); err != nil || len(days) != 20 {
			b.Fatalf("%d days (%v)", len(days), err)
		}
	}
}

func BenchmarkOpen100000Events(b *testing.B) {
	s := thousandDays(b)
	must.Do(b, s.Close())
	for b.Loop() {
		s := must.Get(Open(s.Path())).In(b)
		must.Do(b, s.Close())
	}
}

func BenchmarkEvents500(b *testing.B) {
	s := newStore(b)
	id := startDay(b, s, 500)
	for b.Loop() {
		if got, err := s.Events(id); err != nil || len(got) != 500 {
			b.Fatalf("%d events (%v)", len(got), err)
		}
	}
}

// BenchmarkReplay reads an invented whole day and lives it again, beside the same events
// taken apart as any JSON is; x-json is the ratio of their medians.
func BenchmarkReplay(b *testing.B) {
	var recs []session.Recorded
	day := must.Get(rehearse.Play(rehearse.Demo(), func(r session.Recorded, _ session.Day) { recs = append(recs, r) })).In(b)
	s := newStore(b)
	id := must.Get(s.NewDay()).In(b)
	must.Do(b, s.Append(id, recs, ledger.Summarise(id, day)))
	var plain [][]byte
	for _, r := range recs {
		text := must.Get(json.Marshal(r)).In(b)
		plain = append(plain, text)
	}
	var replays, reads []time.Duration
	for b.Loop() {
		start := time.Now()
		if d, err := s.Day(id); err != nil || d.LastSeq != day.LastSeq {
			b.Fatalf("up to event %d (%v)", d.LastSeq, err)
		}
		replays = append(replays, time.Since(start))
		b.StopTimer()
		start = time.Now()
		for _, text := range plain {
			var of any
			must.Do(b, json.Unmarshal(text, &of))
		}
		reads = append(reads, time.Since(start))
		b.StartTimer()
	}
	b.ReportMetric(float64(len(recs)), "events")
	b.ReportMetric(float64(median(replays).Microseconds())/1000, "ms-median")
	b.ReportMetric(float64(median(replays))/float64(median(reads)), "x-json")
}

func BenchmarkBackup(b *testing.B) {
	s := thousandDays(b)
	info := must.Get(os.Stat(s.Path())).In(b)
	b.SetBytes(info.Size())
	for b.Loop() {
		must.Do(b, s.Backup(io.Discard))
	}
}

// BenchmarkCopy makes a copy of a record of a thousand days by itself, read back and
// examined; examine-ms is how long a line of the list of copies takes.
func BenchmarkCopy(b *testing.B) {
	s := thousandDays(b)
	info := must.Get(os.Stat(s.Path())).In(b)
	var examined time.Duration
	for b.Loop() {
		c := must.Get(s.CopyInto(CopiesFolder(s.Path()), morning)).In(b)
		at := time.Now()
		must.Get(Examine(c.Path)).In(b)
		examined += time.Since(at)
	}
	b.ReportMetric(float64(info.Size())/1e6, "MB")
	b.ReportMetric(float64(examined.Milliseconds())/float64(b.N), "examine-ms")
}

// BenchmarkLookBack reads a day of 12 batches and looks back at it: findings, timings beside its
// plan, every bath with its forecasts. What lies in the store besides costs nothing.
func BenchmarkLookBack(b *testing.B) {
	for _, others := range []int{0, 10_000} {
		b.Run(fmt.Sprintf("beside %d days", others), func(b *testing.B) {
			s := newStore(b)
			s.db.NoSync = true // only to get there
			for range others {
				wholeDay(b, s, 10)
			}
			s.db.NoSync = false
			o := must.Get(planner.PlanAhead(sessiontest.ManyBatches(12, 4), sessiontest.Dawn, planner.AsGiven, planner.Quick)).In(b)
			r := sessiontest.Start(b, o.Plan)
			r.Live(o)
			r.Do(session.EndDay{Anyway: true})
			id := must.Get(s.NewDay()).In(b)
			must.Do(b, s.Append(id, r.Recs, ledger.Summarise(id, r.Day)))
			for b.Loop() {
				d := must.Get(s.Day(id)).In(b)
				lookback.Of(d)
				lookback.Baths(d)
				if x := lookback.TimingsOf(d); x.NoPlan != "" {
					b.Fatal(x.NoPlan)
				}
			}
		})
	}
}
