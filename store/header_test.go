package store

import (
	"bytes"
	"encoding/binary"
	"testing"
)

// freelist makes a file that is nothing but a list of free pages in page 2.
func freelist(h header, more uint32, ids []uint64) []byte {
	order := binary.NativeEndian
	b := make([]byte, int(h.pageSize)*int(3+more))
	p := b[2*h.pageSize:]
	order.PutUint64(p, 2)
	order.PutUint16(p[8:], freelistKind)
	order.PutUint32(p[12:], more)
	if len(ids) < 0xffff {
		order.PutUint16(p[10:], uint16(len(ids)))
	} else {
		order.PutUint16(p[10:], 0xffff)
		ids = append([]uint64{uint64(len(ids))}, ids...)
	}
	for i, id := range ids {
		order.PutUint64(p[pageHeader+8*i:], id)
	}
	return b
}

func ascending(first, n uint64) []uint64 {
	ids := make([]uint64, n)
	for i := range ids {
		ids[i] = first + uint64(i)
	}
	return ids
}

func TestReadFreelist(t *testing.T) {
	h := header{pageSize: 4096, freelist: 2, pages: 100_000}
	const many = 70_000 // more than the count of a page can say
	manyPages := uint32((8*(many+1) + pageHeader) / 4096)
	with := func(h header, change func(*header)) header {
		change(&h)
		return h
	}
	changed := func(b []byte, at int, v byte) []byte {
		b[2*4096+at] = v
		return b
	}
	for name, c := range map[string]struct {
		h     header
		file  []byte
		sound bool
	}{
		"empty":                {h, freelist(h, 0, nil), true},
		"a few":                {h, freelist(h, 0, []uint64{3, 7, 99_999}), true},
		"many":                 {h, freelist(h, manyPages, ascending(500, many)), true},
		"many, cut":            {h, freelist(h, manyPages, ascending(500, many))[:5*4096], false},
		"more than fit":        {h, changed(freelist(h, 0, ascending(3, 400)), 11, 0x70), false},
		"a header page":        {h, freelist(h, 0, []uint64{1, 7}), false},
		"past the end":         {h, freelist(h, 0, []uint64{7, 100_000}), false},
		"twice":                {h, freelist(h, 0, []uint64{7, 7}), false},
		"out of order":         {h, freelist(h, 0, []uint64{8, 7}), false},
		"another kind of page": {h, changed(freelist(h, 0, nil), 8, 2), false},
		"another page":         {h, changed(freelist(h, 0, nil), 0, 9), false},
		"too long":             {h, changed(freelist(h, 0, nil), 15, 0xff), false},
		"in a header page":     {with(h, func(h *header) { h.freelist = 1 }), freelist(h, 0, nil), false},
		"outside":              {with(h, func(h *header) { h.freelist = h.pages }), freelist(h, 0, nil), false},
		"beyond the file":      {with(h, func(h *header) { h.freelist = 50 }), freelist(h, 0, nil), false},
	} {
		if _, _, err := readFreelist(bytes.NewReader(c.file), c.h); (err == nil) != c.sound {
			t.Errorf("%s: %v", name, err)
		}
	}
}
