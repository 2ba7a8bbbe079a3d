// Package soundtest gives tests a sound server of their own, with an output that
// goes nowhere and is listened to. Only tests import it.
package soundtest

import (
	"encoding/binary"
	"math"
)

// Rate is the samples per second of a recording.
const Rate = 48000

// Decode turns 16-bit little-endian samples into figures from -1 to 1.
func Decode(raw []byte) []float64 {
	out := make([]float64, len(raw)/2)
	for i := range out {
		out[i] = float64(int16(binary.LittleEndian.Uint16(raw[2*i:]))) / math.MaxInt16
	}
	return out
}
