// Package tag is what is written on a batch: what it is, and the short code that finds its
// record again.
package tag

import (
	"fmt"
	"math/bits"
	"strings"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// A code names a batch of a day in four to six signs of Crockford's base 32,
// an open alphabet without I, L, O and U:
//
//	batch  two signs; of a day with very many, Z and four signs
//	day    one sign or more, the highest first and never 0
//	check  one sign
//
// The signs are elements of the field with 32 elements, and the check makes
// their sum, each weighted with the next power of a generator, zero. A wrong
// sign changes the sum because no weight is zero, two swapped neighbours
// because no weight is like the next. The sum begins with a one before the
// first sign, so that most lost or doubled signs show as well (97.5 % of 58 760; go test
// ./session/tag -run LostSigns -v).
//
// A batch is the number of its mark (A1, B3) along the diagonals of the table of letters
// and numbers, so no plan is needed to read it. A day is its number: that is why an import
// never renumbers days.

// alphabet gives the signs in order of value.
const alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

const (
	signBits  = 5
	longMark  = 31       // the first sign of a long batch
	shortEnd  = 31 << 5  // batches below it take two signs
	longEnd   = 1 << 20  // batches below it take five
	fieldPoly = 0b100101 // x^5 + x^2 + 1, primitive over two elements
	shortest  = 4        // signs of the shortest code
	dayBits   = 60       // more days than anyone washes
	example   = "001J"   // the first batch of the first day
)

// Code is the short code of a batch, such as "7K0AM": what is written on its
// tag and finds its record again. The batch is its mark in the day: letters by
// fleece, number by batch.
//
// Errors: a day of 0, or a batch that is not such a mark.
func Code(day shed.DayID, batch string) (string, error) {
	if day == 0 || day >= 1<<dayBits {
		return "", fmt.Errorf("there is no wash day %d: days count up from 1", day)
	}
	n, ok := ordinal(batch)
	if !ok {
		return "", fmt.Errorf("a batch with the mark \"%s\" has no code: marks are letters and a number, such as A1", measure.CleanText(batch, 20))
	}
	signs := []byte{byte(n >> 5), byte(n & 31)}
	if n >= shortEnd {
		signs = []byte{longMark, byte(n >> 15), byte(n >> 10 & 31), byte(n >> 5 & 31), byte(n & 31)}
	}
	for shift := (bits.Len64(uint64(day)) - 1) / signBits * signBits; shift >= 0; shift -= signBits {
		signs = append(signs, byte(uint64(day)>>shift&31))
	}
	signs = append(signs, double(weighted(signs)))
	for i, s := range signs {
		signs[i] = alphabet[s]
	}
	return string(signs), nil
}

// Parse reads a code as somebody typed or heard it: small letters, spaces and
// hyphens do not matter, O is 0, I and L are 1.
//
// Errors: a sentence that says what is wrong with it.
func Parse(text string) (day shed.DayID, batch string, err error) {
	signs, err := read(text)
	if err != nil {
		return 0, "", err
	}
	shown := measure.CleanText(text, 20)
	if len(signs) < shortest {
		return 0, "", fmt.Errorf("\"%s\" is too short for a code: it has %d signs or more, such as %s", shown, shortest, example)
	}
	if weighted(signs) != 0 {
		return 0, "", fmt.Errorf("\"%s\" is not quite a code: a sign is wrong, or two are swapped; read it from the tag once more", shown)
	}
	d, n, ok := split(signs[:len(signs)-1])
	batch = mark(n)
	if !ok || batch == "" {
		return 0, "", fmt.Errorf("\"%s\" is no code of a batch: read it from the tag once more", shown)
	}
	return d, batch, nil
}

// read turns what was typed into values.
func read(text string) ([]byte, error) {
	var signs []byte
	for _, r := range strings.ToUpper(measure.CleanText(text, 40)) {
		switch r {
		case ' ', '-', '\'': // the last one stands before a code in the table, where it reads as a number
			continue
		case 'O':
			r = '0'
		case 'I', 'L':
			r = '1'
		}
		v := strings.IndexRune(alphabet, r)
		if v < 0 {
			return nil, fmt.Errorf("'%c' is not a sign of a code: there are digits and letters, but no U", r)
		}
		signs = append(signs, byte(v))
	}
	return signs, nil
}

// split parts the signs without the check into day and batch; ok is false for
// a number that has a shorter way to be written.
func split(signs []byte) (day shed.DayID, n uint64, ok bool) {
	size := 2
	if signs[0] == longMark {
		signs, size = signs[1:], 4
	}
	if len(signs) <= size {
		return 0, 0, false
	}
	n, d := value(signs[:size]), signs[size:]
	ok = d[0] != 0 && len(d) <= dayBits/signBits && (size == 2 || n >= shortEnd)
	return shed.DayID(value(d)), n, ok
}

func value(signs []byte) (v uint64) {
	for _, s := range signs {
		v = v<<signBits | uint64(s)
	}
	return v
}

// weighted is the sum of the signs over the field, the last weighted with 1.
func weighted(signs []byte) byte {
	sum := byte(1)
	for _, s := range signs {
		sum = double(sum) ^ s
	}
	return sum
}

// double multiplies by the generator x.
func double(v byte) byte {
	v <<= 1
	if v > 31 {
		v ^= fieldPoly
	}
	return v
}

// ordinal numbers the marks: along the diagonals of the table of letters and
// numbers, so that the usual days with few fleeces and few batches of each
// come first.
func ordinal(mark string) (n uint64, ok bool) {
	letters := strings.TrimRight(mark, "0123456789")
	number := mark[len(letters):]
	if letters == "" || len(letters) > 3 || number == "" || len(number) > 5 || number[0] == '0' {
		return 0, false
	}
	row, col := uint64(0), uint64(0)
	for _, r := range letters {
		if r < 'A' || r > 'Z' {
			return 0, false
		}
		row = row*26 + uint64(r-'A') + 1
	}
	row--
	for _, r := range number {
		col = col*10 + uint64(r-'0')
	}
	col--
	diagonal := row + col
	n = diagonal*(diagonal+1)/2 + row
	return n, n < longEnd
}

// mark is the mark with that number, "" if there is none.
func mark(n uint64) string {
	if n >= longEnd {
		return ""
	}
	diagonal := uint64(0)
	for (diagonal+1)*(diagonal+2)/2 <= n {
		diagonal++
	}
	row := n - diagonal*(diagonal+1)/2
	col := diagonal - row
	letters := ""
	for v := row + 1; v > 0; v = (v - 1) / 26 {
		letters = string(rune('A'+(v-1)%26)) + letters
	}
	return fmt.Sprintf("%s%d", letters, col+1)
}
