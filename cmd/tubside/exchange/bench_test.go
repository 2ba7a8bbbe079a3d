package exchange

import (
	"encoding/json"
	"fmt"
	"io"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// The record of a long life with wool: 1 000 fleeces, 1 000 days of 20 batches.
const (
	benchFleeces = 1000
	benchDays    = 1000
	benchBatches = 20
)

// bigStore washes one day through the engine, every bath of it, and keeps it
// under many numbers.
func bigStore(b *testing.B) *store.Store {
	b.Helper()
	s := newStore(b)
	var fleeces []shed.Fleece
	for i := range benchFleeces {
		f := must.Get(s.SaveFleece(shed.Fleece{Animal: fmt.Sprintf("Ewe %d", i+1), Farm: "Nowhere Fold", Year: 2026, RawG: 9000, Notes: "invented"})).In(b)
		fleeces = append(fleeces, f)
	}
	p := shed.Plan{Kit: shed.DefaultKit(), Method: shed.BuiltInMethod(), Fleeces: fleeces[:1]}
	for range benchBatches {
		p.Batches = append(p.Batches, shed.Batch{FleeceID: fleeces[0].ID, RawG: 200})
	}
	now := morning
	d, recs := must.Get2(session.Do(session.Day{}, session.StartDay{Plan: p}, now)).In(b)
	for !d.AllRacked() {
		now = now.Add(3 * time.Minute)
		next, made := session.Tick(d, now)
		d, recs = next, append(recs, made...)
		for tub := range d.Tubs {
			act := d.NextAction(tub)
			if act == shed.Lift && now.Before(d.Tubs[tub].SoakEndAt(now)) || act == shed.Wait {
				continue
			}
			if next, made, err := session.Do(d, session.DoNext{Tub: tub, Act: act}, now); err == nil {
				d, recs = next, append(recs, made...)
			}
		}
		if now.Sub(morning) > 90*24*time.Hour {
			b.Fatal("the day does not come to its end")
		}
	}
	for _, c := range []session.Command{session.EndDay{Anyway: true}, session.Weigh{Batch: "A1", DryG: 110, Dry: true}} {
		next, made := must.Get2(session.Do(d, c, now)).In(b)
		d, recs = next, append(recs, made...)
	}
	for range benchDays {
		keep(b, s, d, recs)
	}
	return s
}

type counter struct{ n int64 }

func (c *counter) Write(b []byte) (int, error) {
	c.n += int64(len(b))
	return len(b), nil
}

// BenchmarkExport writes everything as JSON, and beside it what a plain
// json.Marshal of the same values takes once they are in memory; then the table.
func BenchmarkExport(b *testing.B) {
	s := bigStore(b)
	b.Run("json", func(b *testing.B) {
		var out counter
		for b.Loop() {
			out.n = 0
			must.Do(b, WriteJSON(&out, s))
		}
		b.SetBytes(out.n)
	})
	b.Run("csv", func(b *testing.B) {
		for b.Loop() {
			must.Do(b, WriteCSV(io.Discard, s, time.UTC))
		}
	})
	type day struct {
		Summary ledger.Summary
		Events  []session.Recorded
	}
	all := struct {
		Fleeces []shed.Fleece
		Days    []day
	}{}
	var err error
	if all.Fleeces, err = s.Fleeces(); err != nil {
		b.Fatal(err)
	}
	days := must.Get(s.Days(0)).In(b)
	for _, sum := range days {
		recs := must.Get(s.Events(sum.ID)).In(b)
		all.Days = append(all.Days, day{sum, recs})
	}
	b.Run("plain marshal", func(b *testing.B) {
		for b.Loop() {
			text := must.Get(json.Marshal(all)).In(b)
			b.SetBytes(int64(len(text)))
		}
	})
}
