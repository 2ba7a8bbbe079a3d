package store

import (
	"errors"
	"fmt"

	bolt "go.etcd.io/bbolt"
)

// change is one transaction that writes.
type change struct {
	s   *Store
	tx  *bolt.Tx
	was record // before it
}

// part is one part of the file while it is written to.
type part struct {
	*change
	name string
	b    *bolt.Bucket
}

// part is ready to be written to.
//
// Errors: ErrDamaged if bbolt could not find its way through it, for then it might
// hang, or write over something.
func (c *change) part(name string) (part, error) {
	if err := c.s.soundPart(c.was, name); err != nil {
		return part{}, err
	}
	from := c.tx.Bucket
	if name == printedPart {
		from = c.tx.Bucket([]byte(metaPart)).Bucket
	}
	if b := from([]byte(name)); b != nil {
		return part{c, name, b}, nil
	}
	return part{}, damaged(c.s.path, fmt.Sprintf("its part \"%s\" is missing", name), nil)
}

// soundPart looks once through the pages of a part, and of what is needed to get
// there.
func (s *Store) soundPart(r record, name string) error {
	if s.looked == nil {
		s.looked = map[string]error{}
		if err := r.freeIsFree(); err != nil {
			s.looked["free"] = damaged(s.path, "its list of free pages is wrong, and what is saved would be written over what is kept", err)
		}
	}
	if err := s.looked["free"]; err != nil {
		return err
	}
	look := func(name string, find func() (tree, bool, error)) error {
		if err, done := s.looked[name]; done {
			return err
		}
		t, ok, err := find()
		if ok && err == nil {
			err = r.sound(t)
		}
		if err != nil {
			err = damaged(s.path, fmt.Sprintf("its part \"%s\" does not read", name), err)
		}
		s.looked[name] = err
		return err
	}
	for _, on := range []string{"", metaPart, sumsPart, name} {
		if err := look(on, func() (tree, bool, error) {
			if on == "" {
				return r.root, true, nil
			}
			return r.part(on)
		}); err != nil {
			return err
		}
	}
	return nil
}

// get is a value as it is now; nil where there is none.
func (p part) get(k []byte) ([]byte, error) {
	v := p.b.Get(k)
	if v == nil {
		return nil, nil
	}
	return record{summed: true}.opened(p.name, item{key: k, value: v})
}

// has says whether there is a value, whole or not.
func (p part) has(k []byte) bool { return p.b.Get(k) != nil }

// sumIn is the sum that an entry of the part's bucket has.
func (p part) sumIn(k, v []byte) uint64 {
	if bare(p.name, k) {
		return sumOf(p.name, k, v)
	}
	_, sum := split(v)
	return sum
}

func (p part) put(k, value []byte) error {
	add := sumOf(p.name, k, value)
	if !bare(p.name, k) {
		value = sealed(value, add)
	}
	return p.swap(k, add, func() error { return p.b.Put(k, value) })
}

func (p part) delete(k []byte) error {
	return p.swap(k, 0, func() error { return p.b.Delete(k) })
}

// swap keeps the total right while an entry is written, which then adds so much.
// Where what stood there had come to harm, nobody knows what it had added: then the
// total is counted anew.
func (p part) swap(k []byte, add uint64, write func() error) error {
	var less uint64
	whole := true
	if was := p.b.Get(k); was != nil {
		_, err := p.get(k)
		less, whole = p.sumIn(k, was), err == nil
	}
	if err := write(); err != nil {
		return err
	}
	if !whole {
		return p.recount()
	}
	return p.total(add - less)
}

// total adds to what the part should hold.
func (p part) total(more uint64) error {
	if more == 0 {
		return nil
	}
	sums := p.tx.Bucket([]byte(sumsPart))
	now, _ := number(sums.Get([]byte(p.name)))
	return sums.Put([]byte(p.name), key(now+more))
}

// recount makes the total anew of what is there.
func (p part) recount() error {
	total := countSum(p.name, p.b.Sequence())
	err := p.b.ForEach(func(k, v []byte) error {
		switch {
		case v != nil:
			total += p.sumIn(k, v)
		case p.name == journalPart:
			total += sumOf(p.name, k, key(p.b.Bucket(k).Sequence()))
		}
		return nil
	})
	if err != nil {
		return err
	}
	return p.tx.Bucket([]byte(sumsPart)).Put([]byte(p.name), key(total))
}

// next is the next number of the part.
func (p part) next() (uint64, error) {
	n := p.b.Sequence() + 1
	return n, p.count(n)
}

// count sets the highest number given.
func (p part) count(n uint64) error {
	was := p.b.Sequence()
	if err := p.b.SetSequence(n); err != nil {
		return err
	}
	return p.total(countSum(p.name, n) - countSum(p.name, was))
}

// day is a day's journal, made if it is not there.
func (p part) day(id []byte) (dayPart, error) {
	name := fmt.Sprintf("day %x", id)
	if _, done := p.s.looked[name]; !done {
		t, ok, err := p.was.journal(id)
		if ok && err == nil {
			err = p.was.sound(t)
		}
		if err != nil {
			return dayPart{}, damaged(p.s.path, "a day's part of it does not read", err)
		}
		p.s.looked[name] = nil
	}
	b, err := p.b.CreateBucketIfNotExists(id)
	if err != nil {
		return dayPart{}, err
	}
	// Keys only ever come at the end: fill pages instead of leaving half
	// of each free for keys in between.
	b.FillPercent = 0.95
	return dayPart{p, id, b}, nil
}

// dayPart is a day's journal while it is written to.
type dayPart struct {
	part
	id []byte
	b  *bolt.Bucket
}

// last is the number of the day's last event and its sum, 0 if it has none.
func (d dayPart) last() (n, sum uint64) {
	k, v := d.b.Cursor().Last()
	n, _ = number(k)
	_, sum = split(v)
	return n, sum
}

// append puts events behind the last.
//
// Errors: ErrUnreadable if the last is not the one that was written last.
func (d dayPart) append(values [][]byte) error {
	n, last := d.last()
	was := d.b.Sequence()
	if last != was {
		id, _ := number(d.id)
		return unreadable(fmt.Sprintf("the end of wash day %d", id), errors.New("its last event is another than was written"))
	}
	for _, v := range values {
		n++
		last = eventSum(d.id, key(n), last, v)
		if err := d.b.Put(key(n), sealed(v, last)); err != nil {
			return fmt.Errorf("put event %d: %w", n, err)
		}
	}
	return d.ends(was, last)
}

// ends notes the sum of the last event, 0 if there is none.
func (d dayPart) ends(was, sum uint64) error {
	if err := d.b.SetSequence(sum); err != nil {
		return err
	}
	return d.total(d.headSum(sum) - d.headSum(was))
}

// headSum is what a day whose last event has this sum adds to the journal's total.
func (d dayPart) headSum(sum uint64) uint64 {
	if sum == 0 {
		return 0
	}
	return sumOf(journalPart, d.id, key(sum))
}

// cut takes the day's events out, from event first on.
func (d dayPart) cut(first uint64) error {
	was := d.b.Sequence()
	for n, _ := d.last(); n >= first && n > 0; n, _ = d.last() {
		if err := d.b.Delete(key(n)); err != nil {
			return fmt.Errorf("take out event %d: %w", n, err)
		}
	}
	_, sum := d.last()
	return d.ends(was, sum)
}

// dropDay takes a whole day out of the journal.
func (p part) dropDay(id []byte) error {
	d, err := p.day(id)
	if err != nil {
		return err
	}
	if err := d.ends(d.b.Sequence(), 0); err != nil {
		return err
	}
	return p.b.DeleteBucket(id)
}
