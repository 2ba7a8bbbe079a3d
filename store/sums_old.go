package store

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// addSums gives all that was kept before there were sums its own, at once and not when
// it is written next: else the days that are past would never have one, and a value
// that has lost its sum would pass for an old one. What does not read gets a wrong sum.
func addSums(tx *bolt.Tx) error {
	if _, err := tx.CreateBucket([]byte(sumsPart)); err != nil {
		return err
	}
	meta := tx.Bucket([]byte(metaPart))
	parts := map[string]*bolt.Bucket{metaPart: meta, printedPart: meta.Bucket([]byte(printedPart))}
	for _, name := range []string{daysPart, fleecesPart, methodsPart, kitPart} {
		parts[name] = tx.Bucket([]byte(name))
	}
	for name, b := range parts {
		if b == nil { // nothing was printed
			continue
		}
		err := sealAll(b, name, func(k, v []byte) uint64 {
			return orWrong(sumOf(name, k, v), reads(name, k, v))
		})
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		if err := (part{&change{tx: tx}, name, b}).recount(); err != nil {
			return err
		}
	}
	journal := tx.Bucket([]byte(journalPart))
	var days [][]byte
	if err := journal.ForEachBucket(func(day []byte) error { days = append(days, bytes.Clone(day)); return nil }); err != nil {
		return err
	}
	for _, day := range days {
		b := journal.Bucket(day)
		id, _ := number(day)
		var last uint64
		err := sealAll(b, journalPart, func(k, v []byte) uint64 {
			n, _ := number(k)
			_, err := decodeEvent(shed.DayID(id), n, v)
			last = orWrong(eventSum(day, k, last, v), err)
			return last
		})
		if err == nil {
			err = b.SetSequence(last)
		}
		if err != nil {
			return fmt.Errorf("wash day %d: %w", id, err)
		}
	}
	return part{&change{tx: tx}, journalPart, journal}.recount()
}

// orWrong is the sum of a value that reads, and another for one that does not.
func orWrong(sum uint64, err error) uint64 {
	if err != nil {
		return ^sum
	}
	return sum
}

// sealAll gives each value of a bucket its sum, in order.
func sealAll(b *bolt.Bucket, part string, sum func(k, v []byte) uint64) error {
	b.FillPercent = 0.95
	var keys, values [][]byte // a bucket is not changed while it is gone through
	err := b.ForEach(func(k, v []byte) error {
		if v != nil && !bare(part, k) {
			keys, values = append(keys, bytes.Clone(k)), append(values, bytes.Clone(v))
		}
		return nil
	})
	for i, k := range keys {
		if err == nil {
			err = b.Put(k, sealed(values[i], sum(k, values[i])))
		}
	}
	return err
}

// reads says what is wrong with a value that this version cannot read.
func reads(part string, k, v []byte) error {
	switch part {
	case metaPart:
		if string(k) == string(openKey) {
			_, _, err := openIn(v)
			return err
		}
		return readsAs[session.Left](v)
	case daysPart:
		return readsAs[ledger.Summary](v)
	case fleecesPart:
		return errors.Join(readsAs[shed.Fleece](v), fleeceShelf.inPlace(k, v))
	case methodsPart:
		return errors.Join(readsAs[shed.Method](v), methodShelf.inPlace(k, v))
	case kitPart:
		if string(k) == string(kitKey) {
			return readsAs[shed.Kit](v)
		}
		return readsAs[session.AlarmSettings](v)
	}
	return readsAs[tag.Printed](v)
}

func readsAs[T any](v []byte) error {
	var t T
	return json.Unmarshal(v, &t)
}
