package store

import (
	"encoding/binary"
	"errors"
	"hash/crc64"
)

// Each value is kept with a sum over the name of its part, its key and itself, 8
// bytes behind it; an event's is also over the sum of the event before. The part
// "sums" has for each part the total of what it should hold, so that a value that is
// lost, doubled or older than it should be is seen as well; a day's own total is the
// sum of its last event, which bbolt counts for the day.
//
// The format's mark and the layout's number are bare: an older program has to read them.

// summedLayout is the first layout whose values have sums.
const summedLayout = 2

const sumSize = 8

// The parts of the file by name. What was printed lies under meta.
const (
	metaPart    = "meta"
	journalPart = "journal"
	daysPart    = "days"
	fleecesPart = "fleeces"
	methodsPart = "methods"
	kitPart     = "kit"
	printedPart = "printed"
	sumsPart    = "sums"
)

// errSum is a value that is not what was written.
var errSum = errors.New("it is not as it was written: its checksum is another")

var crcTable = crc64.MakeTable(crc64.ECMA)

// sumOf is the sum of a value. CRC-64 finds every change of up to 64 bits in a row.
func sumOf(part string, key, value []byte) uint64 {
	var head [32]byte
	b := append(append(head[:0], part...), 0)
	b = append(append(b, key...), 0)
	return crc64.Update(crc64.Update(0, crcTable, b), crcTable, value)
}

// eventSum is the sum of a day's event behind the one with the sum last.
func eventSum(day, key []byte, last uint64, value []byte) uint64 {
	var head [32]byte
	b := binary.BigEndian.AppendUint64(append(append(append(head[:0], journalPart...), day...), key...), last)
	return crc64.Update(crc64.Update(0, crcTable, b), crcTable, value)
}

// countSum is what the highest number given adds to a part's total; none adds nothing.
func countSum(part string, n uint64) uint64 {
	if n == 0 {
		return 0
	}
	return sumOf(part, []byte("count"), key(n))
}

// sealed is a value with its sum.
func sealed(value []byte, sum uint64) []byte {
	return binary.BigEndian.AppendUint64(append(make([]byte, 0, len(value)+sumSize), value...), sum)
}

// split takes a sealed value apart; nil if it is too short for one.
func split(sealed []byte) (value []byte, sum uint64) {
	n := len(sealed) - sumSize
	if n < 0 {
		return nil, 0
	}
	return sealed[:n:n], binary.BigEndian.Uint64(sealed[n:])
}

// bare values are kept without a sum.
func bare(part string, key []byte) bool {
	return part == metaPart && (string(key) == string(formatKey) || string(key) == string(schemaKey))
}
