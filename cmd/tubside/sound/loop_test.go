package sound

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
)

// However it is read, in pieces of any length, the loop is one period after
// the other.
func TestLoopHasNoSeam(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(priorities).Draw(t, "priority")
		one := PatternOf(p).PCM()
		l := NewLoop(p)
		at := 0
		for range rapid.IntRange(1, 20).Draw(t, "reads") {
			b := make([]byte, rapid.IntRange(0, 300_000).Draw(t, "bytes"))
			n, err := l.Read(b)
			if n != len(b) || err != nil {
				t.Fatalf("%d of %d bytes, %v", n, len(b), err)
			}
			for len(b) > 0 {
				k := min(len(b), len(one)-at)
				if !bytes.Equal(b[:k], one[at:at+k]) {
					t.Fatalf("other samples at byte %d", at)
				}
				b, at = b[k:], (at+k)%len(one)
			}
		}
	})
}

// A change in the middle of a pulse dies away and goes over to the other
// pattern's beginning, wherever the reader stood, a half sample included.
func TestChangeDoesNotClick(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.SampledFrom(priorities).Draw(t, "from"), rapid.SampledFrom(priorities).Draw(t, "to")
		l := NewLoop(a)
		before := make([]byte, rapid.IntRange(0, 40_000).Draw(t, "bytes"))
		_, _ = l.Read(before)
		l.Change(b)
		after := make([]byte, 20_000)
		_, _ = l.Read(after)
		all := append(before, after...)
		samples := decode(all[:len(all)/2*2])
		limit := 1.6 * steepest(a, b)
		for i := 1; i < len(samples); i++ {
			if d := math.Abs(samples[i] - samples[i-1]); d > limit {
				t.Fatalf("a step of %.3f at %d, the patterns' own are up to %.3f", d, i, limit/1.6)
			}
		}
		start := len(before)/2 + fade
		want := decode(PatternOf(b).PCM())
		for i, v := range samples[start:] {
			if v != want[i] {
				t.Fatalf("sample %d of the new pattern is %.4f, want %.4f", i, v, want[i])
			}
		}
	})
}

// steepest is the greatest step of the patterns themselves.
func steepest(ps ...session.Priority) float64 {
	top := 0.0
	for _, p := range ps {
		s := decode(period(p))
		for i := 1; i < len(s); i++ {
			top = max(top, math.Abs(s[i]-s[i-1]))
		}
	}
	return top
}

func TestWAV(t *testing.T) {
	for _, p := range priorities {
		w, one := WAV(p), PatternOf(p).PCM()
		le := binary.LittleEndian
		if string(w[:4]) != "RIFF" || string(w[8:16]) != "WAVEfmt " || string(w[36:40]) != "data" ||
			le.Uint32(w[4:]) != uint32(len(w)-8) || le.Uint32(w[40:]) != uint32(len(w)-44) ||
			le.Uint16(w[20:]) != 1 || le.Uint16(w[22:]) != 1 || le.Uint32(w[24:]) != 48000 || le.Uint32(w[28:]) != 96000 ||
			le.Uint16(w[32:]) != 2 || le.Uint16(w[34:]) != 16 {
			t.Errorf("%v: header % x", p, w[:44])
		}
		if !bytes.Equal(w[44:], one) {
			t.Errorf("%v: other samples", p)
		}
		burst := decode(burstWAV(p)[44:])
		if len(burst) != count(PatternOf(p).Burst()) || hold(append(make([]float64, 480), burst...), PatternOf(p), len(PatternOf(p).Starts)) != nil {
			t.Errorf("%v: a burst of %d samples", p, len(burst))
		}
	}
}

func TestPriorityWords(t *testing.T) {
	for _, p := range priorities {
		if got, err := parsePriority(p.String()); got != p || err != nil {
			t.Errorf("%v: %v, %v", p, got, err)
		}
	}
	if _, err := parsePriority("loud"); err == nil {
		t.Error("loud is a priority")
	}
	if period(7) == nil || period(-1) == nil {
		t.Error("a priority out of range has no sound")
	}
}
