package store

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"os"
)

// checkFile says whether f can be a whole bbolt file, without changing it.
func checkFile(path string, f *os.File) error {
	info, err := f.Stat()
	switch {
	case err != nil:
		return err
	case info.IsDir():
		return isFolder(path, nil)
	case !info.Mode().IsRegular():
		return notAFile(path)
	case info.Size() == 0:
		return damaged(path, "it is empty", nil)
	}
	h, err := newestHeader(f)
	if err != nil {
		return damaged(path, "its first page does not read", err)
	}
	// Asked again after the header, because another window may just be making
	// the file longer.
	if info, err = f.Stat(); err != nil {
		return err
	}
	pages := uint64(info.Size()) / uint64(h.pageSize)
	if h.pages > pages {
		return damaged(path, "its end is missing", fmt.Errorf("it has %d pages of %d", pages, h.pages))
	}
	if h.freelist == noFreelist {
		return damaged(path, "it was made by another program", errors.New("free pages are not kept in it"))
	}
	if _, _, err := readFreelist(f, h); err != nil {
		return damaged(path, "its list of free pages does not read", err)
	}
	return nil
}

// header is what the first two pages of a bbolt file say about the rest.
type header struct {
	pageSize uint32
	root     uint64 // page of the tree's root
	freelist uint64 // page of the list of free pages
	pages    uint64 // pages in use, counted from the start of the file
	txid     uint64
}

// newestHeader reads both headers and returns the newer of the sound ones. It
// finds the second without the first by trying every page size, as bbolt does.
func newestHeader(r io.ReaderAt) (header, error) {
	best, err := readHeader(r, 0)
	if err == nil {
		if second, err2 := readHeader(r, int64(best.pageSize)); err2 == nil && second.txid > best.txid {
			best = second
		}
		return best, nil
	}
	for at := int64(1 << 10); at <= 1<<24; at <<= 1 {
		if h, err2 := readHeader(r, at); err2 == nil && int64(h.pageSize) == at {
			return h, nil
		}
	}
	return header{}, err
}

// The layout of a header page, in bytes: 16 for the page, then the header
// proper, closed by a checksum over it.
const (
	headerAt    = pageHeader
	checksumAt  = headerAt + 56
	headerSize  = checksumAt + 8
	headerMagic = 0xED0CDAED
)

// A page begins with its number (8 bytes), its kind (2), a count (2) and how
// many pages more belong to it (4).
const (
	pageHeader   = 16
	freelistKind = 0x10
	noFreelist   = 1<<64 - 1 // in the header, in place of the page
)

func readHeader(r io.ReaderAt, at int64) (header, error) {
	var b [headerSize]byte
	if _, err := r.ReadAt(b[:], at); err != nil {
		return header{}, fmt.Errorf("read header at %d: %w", at, err)
	}
	if order.Uint32(b[headerAt:]) != headerMagic {
		return header{}, fmt.Errorf("no header at %d", at)
	}
	sum := fnv.New64a()
	_, _ = sum.Write(b[headerAt:checksumAt])
	if sum.Sum64() != order.Uint64(b[checksumAt:]) {
		return header{}, fmt.Errorf("wrong checksum of the header at %d", at)
	}
	h := header{
		pageSize: order.Uint32(b[headerAt+8:]),
		root:     order.Uint64(b[headerAt+16:]),
		freelist: order.Uint64(b[headerAt+32:]),
		pages:    order.Uint64(b[headerAt+40:]),
		txid:     order.Uint64(b[headerAt+48:]),
	}
	if h.pageSize == 0 {
		return header{}, fmt.Errorf("no page size in the header at %d", at)
	}
	return h, nil
}

// readFreelist reads the list of free pages as bbolt will, and how many pages it
// takes itself. A list with nonsense in it would make bbolt panic with the lock
// taken or, worse, write over pages that hold something.
func readFreelist(r io.ReaderAt, h header) (free []uint64, takes uint64, err error) {
	start := int64(h.freelist) * int64(h.pageSize)
	var b [pageHeader]byte
	if h.freelist < 2 || h.freelist >= h.pages {
		return nil, 0, fmt.Errorf("it should be in page %d of %d", h.freelist, h.pages)
	}
	if _, err := r.ReadAt(b[:], start); err != nil {
		return nil, 0, fmt.Errorf("read page %d: %w", h.freelist, err)
	}
	more := uint64(order.Uint32(b[12:]))
	if order.Uint64(b[:]) != h.freelist || order.Uint16(b[8:]) != freelistKind || h.freelist+more >= h.pages {
		return nil, 0, fmt.Errorf("page %d holds something else", h.freelist)
	}
	list := make([]byte, (more+1)*uint64(h.pageSize)-pageHeader)
	if _, err := r.ReadAt(list, start+pageHeader); err != nil {
		return nil, 0, fmt.Errorf("read from page %d: %w", h.freelist, err)
	}
	count := uint64(order.Uint16(b[10:]))
	if count == 0xffff { // too many for two bytes: the first entry is the count
		count = order.Uint64(list)
		list = list[8:]
	}
	if count > uint64(len(list)/8) {
		return nil, 0, fmt.Errorf("%d entries in %d bytes", count, len(list))
	}
	last := uint64(1) // the headers are never free
	for i := range count {
		page := order.Uint64(list[8*i:])
		if page <= last || page >= h.pages {
			return nil, 0, fmt.Errorf("page %d comes after page %d, of %d", page, last, h.pages)
		}
		last = page
		free = append(free, page)
	}
	return free, more + 1, nil
}
