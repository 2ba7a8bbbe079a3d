package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// pages reads the tree in a file by itself, page by page. bbolt trusts what a page
// says: a pointer that leads back up has it run in a circle until the memory is
// used up, and a wrong length panics. Here every figure is held to its bounds, and
// what does not read is told while the rest is read.
type pages struct {
	r     io.ReaderAt
	size  int64                       // bytes of a page
	count uint64                      // pages in use
	visit func(first, n uint64) error // if not nil, is told of each run of pages read
}

// tree is a bucket as it lies in a file: with a page of its own, or whole in the
// value of the bucket above.
type tree struct {
	root   uint64
	inline []byte
	seq    uint64 // what bbolt counts for the bucket
}

type item struct {
	key, value []byte
	bucket     bool
	child      uint64 // in a branch: the page below
}

// A page's elements are of 16 bytes each, in a leaf as in a branch.
const (
	branchKind  = 0x01
	leafKind    = 0x02
	elementSize = 16
	bucketSize  = 16 // its root page and its count, before a bucket that lies in a value
	bucketFlag  = 0x01
)

var order = binary.NativeEndian // of the machine that wrote the file

// read is the page with its elements; problem is what is wrong with those that are
// left out, or with the order of the others.
func (p *pages) read(id uint64) (leaf bool, items []item, problem, err error) {
	if id < 2 || id >= p.count {
		return false, nil, nil, fmt.Errorf("page %d is outside of the file's %d", id, p.count)
	}
	b := make([]byte, p.size)
	at := int64(id) * p.size
	if _, err := p.r.ReadAt(b, at); err != nil {
		return false, nil, nil, fmt.Errorf("page %d: %w", id, err)
	}
	more := uint64(order.Uint32(b[12:]))
	if order.Uint64(b) != id || more >= p.count-id {
		return false, nil, nil, fmt.Errorf("page %d holds something else", id)
	}
	if p.visit != nil {
		if err := p.visit(id, more+1); err != nil {
			return false, nil, nil, err
		}
	}
	if more > 0 {
		rest := make([]byte, int64(more)*p.size)
		if _, err := p.r.ReadAt(rest, at+p.size); err != nil {
			return false, nil, nil, fmt.Errorf("page %d: %w", id, err)
		}
		b = append(b, rest...)
	}
	leaf, items, problem, err = elements(b)
	if err != nil {
		err = fmt.Errorf("page %d: %w", id, err)
	}
	return leaf, items, problem, err
}

// elements takes a page apart.
func elements(b []byte) (leaf bool, items []item, problem, err error) {
	if len(b) < pageHeader {
		return false, nil, nil, errors.New("it is too short for a page")
	}
	kind, n := order.Uint16(b[8:]), int(order.Uint16(b[10:]))
	if kind != branchKind && kind != leafKind || kind == branchKind && n == 0 {
		return false, nil, nil, fmt.Errorf("it is of kind %d with %d entries", kind, n)
	}
	if pageHeader+n*elementSize > len(b) {
		return false, nil, nil, fmt.Errorf("%d entries do not fit in", n)
	}
	leaf = kind == leafKind
	items = make([]item, 0, n)
	cut := func(from, size int64) []byte {
		if from < int64(pageHeader+n*elementSize) || from+size > int64(len(b)) {
			return nil
		}
		return b[from : from+size : from+size]
	}
	for i := range n {
		at := int64(pageHeader + i*elementSize)
		e := b[at:]
		var it item
		if leaf {
			k, v := int64(order.Uint32(e[8:])), int64(order.Uint32(e[12:]))
			from := at + int64(order.Uint32(e[4:]))
			it.key, it.value = cut(from, k), cut(from+k, v)
			it.bucket = order.Uint32(e)&bucketFlag != 0
			if it.key == nil || it.value == nil {
				problem = fmt.Errorf("entry %d is outside of its page", i+1)
				continue
			}
		} else {
			it.key, it.child = cut(at+int64(order.Uint32(e)), int64(order.Uint32(e[4:]))), order.Uint64(e[8:])
			if it.key == nil {
				problem = fmt.Errorf("entry %d is outside of its page", i+1)
			}
		}
		if m := len(items); m > 0 && it.key != nil && bytes.Compare(items[m-1].key, it.key) >= 0 {
			problem = fmt.Errorf("entry %d is out of order", i+1)
		}
		items = append(items, it)
	}
	return leaf, items, problem, nil
}

// tree is the bucket that lies in the item.
func (it item) tree() (tree, error) {
	if !it.bucket || len(it.value) < bucketSize {
		return tree{}, errors.New("it is not what holds others")
	}
	t := tree{root: order.Uint64(it.value), seq: order.Uint64(it.value[8:])}
	if t.root == 0 {
		t.inline = it.value[bucketSize:]
	}
	return t, nil
}

// walk gives each item of a tree in order, or from the last back; bad is told of
// what is wrong on the way, and has the walk go on unless it returns an error.
func (p *pages) walk(t tree, back bool, each func(item) error, bad func(error) error) error {
	w := walk{p, back, each, bad, p.count}
	if t.root == 0 {
		_, items, problem, err := elements(t.inline)
		return w.below(items, true, nil, nil, errors.Join(problem, err))
	}
	return w.page(t.root, nil, nil)
}

// walk is one way through a tree.
type walk struct {
	*pages
	back bool
	each func(item) error
	bad  func(error) error
	left uint64 // pages that may still come: none comes twice
}

func (w *walk) page(id uint64, from, to []byte) error {
	if w.left == 0 {
		return w.bad(fmt.Errorf("page %d leads in a circle", id))
	}
	w.left--
	leaf, items, problem, err := w.read(id)
	return w.below(items, leaf, from, to, errors.Join(problem, err))
}

// below goes through the items of one page. All keys under a branch's entry are
// not before its own key, from, and before the next one's, to.
func (w *walk) below(items []item, leaf bool, from, to []byte, problem error) error {
	if n := len(items); n > 0 && (bytes.Compare(items[0].key, from) < 0 || to != nil && bytes.Compare(items[n-1].key, to) >= 0) {
		problem = errors.Join(problem, errors.New("a page is in another's place"))
	}
	if problem != nil {
		if err := w.bad(problem); err != nil {
			return err
		}
	}
	for i := range items {
		if w.back {
			i = len(items) - 1 - i
		}
		if leaf {
			if err := w.each(items[i]); err != nil {
				return err
			}
			continue
		}
		next := to
		if i+1 < len(items) {
			next = items[i+1].key
		}
		if err := w.page(items[i].child, items[i].key, next); err != nil {
			return err
		}
	}
	return nil
}

// find looks for one key; ok is false where it is not.
func (p *pages) find(t tree, key []byte) (found item, ok bool, err error) {
	var items []item
	leaf := true
	if t.root == 0 {
		_, items, _, err = elements(t.inline)
	} else {
		leaf, items, _, err = p.read(t.root)
	}
	for left := p.count; err == nil; left-- {
		at := -1
		for i, it := range items {
			if c := bytes.Compare(it.key, key); c <= 0 {
				at = i
				if leaf && c == 0 {
					return it, true, nil
				}
			}
		}
		if leaf {
			return item{}, false, nil
		}
		if left == 0 {
			return item{}, false, errors.New("its pages lead in a circle")
		}
		if at < 0 {
			return item{}, false, nil
		}
		leaf, items, _, err = p.read(items[at].child)
	}
	return item{}, false, err
}

// sound says whether bbolt can go through the tree; what lies in the values is
// not looked at.
func (p *pages) sound(t tree) error {
	return p.walk(t, false, func(item) error { return nil }, func(err error) error { return err })
}
