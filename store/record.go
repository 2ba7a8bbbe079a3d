package store

import (
	"errors"
	"fmt"
	"io"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/shed"
)

// record is all that is kept as it stood at one moment.
type record struct {
	pages
	root   tree
	txid   int
	summed bool // values have their sums: layout 2 and later
}

// recordAt is the record that a transaction sees. What it writes itself is not in it.
func (s *Store) recordAt(tx *bolt.Tx) record {
	size := int64(tx.DB().Info().PageSize)
	r := record{pages: pages{r: s.file, size: size, count: uint64(tx.Size() / size)}, txid: tx.ID(), summed: s.summed}
	r.root = tree{root: uint64(tx.Cursor().Bucket().Root())}
	return r
}

// recordIn is the record of a file that nobody has open, by its newest header.
func recordIn(f io.ReaderAt, h header) record {
	r := record{pages: pages{r: f, size: int64(h.pageSize), count: h.pages}, root: tree{root: h.root}}
	v, _ := r.layout()
	r.summed = v >= summedLayout
	return r
}

// part is the tree with that name; ok is false where it is not.
func (r record) part(name string) (t tree, ok bool, err error) {
	in := r.root
	if name == printedPart {
		if in, ok, err = r.part(metaPart); err != nil || !ok {
			return tree{}, false, err
		}
	}
	it, ok, err := r.find(in, []byte(name))
	if err == nil && ok {
		t, err = it.tree()
	}
	return t, ok && err == nil, err
}

// layout is the number of the file's layout.
func (r record) layout() (uint64, error) {
	var mark, version item
	meta, ok, err := r.part(metaPart)
	if ok && err == nil {
		mark, ok, err = r.find(meta, formatKey)
	}
	if err != nil {
		return 0, err
	}
	if !ok || string(mark.value) != string(format) {
		return 0, errors.New("the mark of a tubside file is missing")
	}
	if version, _, err = r.find(meta, schemaKey); err != nil {
		return 0, err
	}
	v, ok := number(version.value)
	if !ok || v == 0 {
		return 0, errors.New("the version of the layout is missing")
	}
	return v, nil
}

// get is one value; nil where there is none.
//
// Errors: ErrUnreadable for one that is not as it was written.
func (r record) get(part string, key []byte, what string) ([]byte, error) {
	t, ok, err := r.part(part)
	var it item
	if ok && err == nil {
		it, ok, err = r.find(t, key)
	}
	var v []byte
	if ok && err == nil {
		v, err = r.opened(part, it)
	}
	if err != nil {
		return nil, unreadable(what, err)
	}
	return v, nil
}

// each gives the values of a part in order, or from the last back. Where one is not
// as it was written, or some cannot be reached, fn is given why; it goes on unless
// fn returns an error.
func (r record) each(part string, back bool, fn func(key, value []byte, err error) error) error {
	t, ok, err := r.part(part)
	if err == nil && !ok && part != printedPart {
		err = fmt.Errorf("its part \"%s\" is missing", part)
	}
	if err != nil || !ok {
		if err == nil {
			return nil
		}
		return fn(nil, nil, err)
	}
	return r.walk(t, back, func(it item) error {
		v, err := r.opened(part, it)
		return fn(it.key, v, err)
	}, func(err error) error { return fn(nil, nil, err) })
}

// opened is the value of an item without its sum, which has to be right.
func (r record) opened(part string, it item) ([]byte, error) {
	if it.bucket {
		return nil, errors.New("it is not a value")
	}
	if !r.summed || bare(part, it.key) {
		return it.value, nil
	}
	v, sum := split(it.value)
	if v == nil || sum != sumOf(part, it.key, v) {
		return nil, errSum
	}
	return v, nil
}

// journal is a day's part of the journal; ok is false for a day without one.
func (r record) journal(day []byte) (t tree, ok bool, err error) {
	all, ok, err := r.part(journalPart)
	if err != nil || !ok {
		return tree{}, false, err
	}
	it, ok, err := r.find(all, day)
	if ok && err == nil {
		t, err = it.tree()
	}
	return t, ok && err == nil, err
}

// eachEvent gives a day's events in order, with the numbers that they should have;
// for one that is not as it was written, or is missing, fn is given why.
func (r record) eachEvent(id shed.DayID, fn func(n uint64, value []byte, err error) error) (ok bool, err error) {
	day := key(uint64(id))
	t, ok, err := r.journal(day)
	if err != nil || !ok {
		return ok, err
	}
	return true, r.chain(day, t, fn)
}

// mostMissed bounds how many missing events of a day are told one by one.
const mostMissed = 10_000

func (r record) chain(day []byte, t tree, fn func(n uint64, value []byte, err error) error) error {
	var n, last uint64
	var lost error
	err := r.walk(t, false, func(it item) error {
		n++
		at, isSeq := number(it.key)
		if !isSeq || at < n || at-n > mostMissed {
			return fn(n, nil, fmt.Errorf("the entry in its place has the key %x", it.key))
		}
		for ; n < at; n++ {
			if err := fn(n, nil, errors.New("it is missing")); err != nil {
				return err
			}
		}
		v, err := it.value, error(nil)
		if it.bucket {
			err = errors.New("it is not a value")
		} else if r.summed {
			var sum uint64
			if v, sum = split(it.value); v == nil || sum != eventSum(day, it.key, last, v) {
				err = errSum
			}
			last = sum
		}
		return fn(n, v, err)
	}, func(err error) error { // what is lost is missing by its number, or by the sum of the last
		lost = err
		return nil
	})
	if err == nil && (r.summed && last != t.seq || !r.summed && lost != nil) {
		err = fn(n+1, nil, errors.New("the end of the day is missing"))
	}
	return err
}

// events are a day's events.
//
// Errors: ErrUnreadable naming the day and the event.
func (r record) events(id shed.DayID) (out []session.Recorded, ok bool, err error) {
	ok, err = r.eachEvent(id, func(n uint64, v []byte, err error) error {
		if err != nil {
			return unreadable(eventName(id, n), err)
		}
		e, err := decodeEvent(id, n, v)
		out = append(out, e)
		return err
	})
	if err != nil {
		return nil, ok, unreadableDay(id, err)
	}
	return out, ok, nil
}

func eventName(id shed.DayID, n uint64) string { return fmt.Sprintf("wash day %d, event %d", id, n) }

// unreadableDay names the day where the error does not.
func unreadableDay(id shed.DayID, err error) error {
	if errors.Is(err, ErrUnreadable) {
		return err
	}
	return unreadable(fmt.Sprintf("wash day %d", id), err)
}

// allPages goes through all pages of the record; bad is told what does not read, and
// where.
func (r record) allPages(bad func(in string, err error)) {
	tell := func(in string) func(error) error {
		return func(err error) error { bad(in, err); return nil }
	}
	_ = r.walk(r.root, false, func(it item) error { // tell goes on, and no item ends the walk
		part := fmt.Sprintf("the part \"%s\"", it.key)
		t, err := it.tree()
		if err != nil {
			return tell(part)(err)
		}
		return r.walk(t, false, func(it item) error {
			if !it.bucket {
				return nil
			}
			in := part
			if n, ok := number(it.key); ok {
				in = fmt.Sprintf("wash day %d", n)
			}
			t, err := it.tree()
			if err != nil {
				return tell(in)(err)
			}
			return r.walk(t, false, func(item) error { return nil }, tell(in))
		}, tell(part))
	}, tell("the whole"))
}

// soundAll says what of the pages does not read, if any.
func (r record) soundAll() (first error) {
	r.allPages(func(in string, err error) {
		if first == nil {
			first = fmt.Errorf("%s: %w", in, err)
		}
	})
	return first
}

// freeIsFree says whether a page in use is on the list of free ones, by a file's own
// header: it would be written over.
func (r record) freeIsFree() error {
	h, err := newestHeader(r.r)
	var free []uint64
	if err == nil {
		free, _, err = readFreelist(r.r, h)
	}
	if err != nil {
		return err
	}
	isFree := map[uint64]bool{}
	for _, page := range free {
		isFree[page] = true
	}
	r.visit = func(first, n uint64) error {
		for i := first; i < first+n; i++ {
			if isFree[i] && err == nil {
				err = fmt.Errorf("page %d is in use and on the list of free ones", i)
			}
		}
		return nil
	}
	r.allPages(func(string, error) {}) // what does not read is said where it is written to
	return err
}
