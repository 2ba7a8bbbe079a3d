package sound

import (
	"errors"
	"fmt"
	"math"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"fleece.example/tubside/cmd/tubside/sound/soundtest"
)

// span is a pulse found in a recording, in samples.
type span struct{ from, to int }

func (s span) len() int { return s.to - s.from }

// envelope is the highest sample in each millisecond.
func envelope(samples []float64) []float64 {
	const block = Rate / 1000
	out := make([]float64, 0, len(samples)/block)
	for i := 0; i+block <= len(samples); i += block {
		top := 0.0
		for _, v := range samples[i : i+block] {
			top = max(top, math.Abs(v))
		}
		out = append(out, top)
	}
	return out
}

// pulses finds what is louder than the level; gaps of less than 20 ms, the
// tone's own, do not part it.
func pulses(samples []float64, level float64) []span {
	const block, gap = Rate / 1000, 20
	var out []span
	for i, v := range envelope(samples) {
		if v < level {
			continue
		}
		at := span{i * block, (i + 1) * block}
		if n := len(out); n > 0 && at.from-out[n-1].to < gap*block {
			out[n-1].to = at.to
		} else {
			out = append(out, at)
		}
	}
	return out
}

// spectrum is the amplitude at each whole hertz up to 8 kHz, of a second's
// worth of samples made from these by a Hann window and silence.
func spectrum(samples []float64) []float64 {
	buf := make([]float64, Rate)
	n := min(len(samples), Rate)
	for i := range n {
		buf[i] = samples[i] * (1 - math.Cos(2*math.Pi*float64(i)/float64(n))) / 2
	}
	c := fourier.NewFFT(Rate).Coefficients(nil, buf)
	out := make([]float64, 8000)
	for i := range out {
		out[i] = math.Hypot(real(c[i]), imag(c[i]))
	}
	return out
}

// peakNear is the largest amplitude within 15 Hz.
func peakNear(spec []float64, hz float64) (amp, at float64) {
	for i := max(0, int(hz)-15); i <= min(len(spec)-1, int(hz)+15); i++ {
		if spec[i] > amp {
			amp, at = spec[i], float64(i)
		}
	}
	return amp, at
}

// tone is what the spectrum of a pulse says.
type tone struct {
	fundamentalHz float64
	harmonics     int     // in 300-4000 Hz, within 15 dB of the fundamental, the fundamental not counted
	share         float64 // of the energy that lies in 500-2000 Hz
}

// hear finds the fundamental as the lowest of the strong peaks, by its own
// lights, not by the pattern's.
func hear(samples []float64) (tone, error) {
	spec := spectrum(samples)
	top := 0.0
	for _, v := range spec {
		top = max(top, v)
	}
	if top < 1 {
		return tone{}, errors.New("there is no tone")
	}
	t := tone{}
	f0 := 0.0
	for i := 100; i < 1100; i++ {
		if spec[i] > top/5 && spec[i] >= spec[i-1] && spec[i] >= spec[i+1] {
			f0, t.fundamentalHz = spec[i], float64(i)
			break
		}
	}
	if f0 == 0 {
		return tone{}, errors.New("no fundamental from 100 to 1100 Hz")
	}
	for k := 2; float64(k)*t.fundamentalHz <= 4000; k++ {
		hz := float64(k) * t.fundamentalHz
		amp, _ := peakNear(spec, hz)
		if hz >= 300 && amp > 0 && math.Abs(20*math.Log10(amp/f0)) <= 15 {
			t.harmonics++
		}
	}
	all, band := 0.0, 0.0
	for i, v := range spec {
		all += v * v
		if i >= 500 && i <= 2000 {
			band += v * v
		}
	}
	t.share = band / all
	return t, nil
}

// rms is the root of the mean square.
func rms(samples []float64) float64 {
	sum := 0.0
	for _, v := range samples {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(samples)))
}

func peak(samples []float64) float64 {
	top := 0.0
	for _, v := range samples {
		top = max(top, math.Abs(v))
	}
	return top
}

// hold compares a recording with a pattern: its rhythm, its pitch and its
// level. The recording begins before the first burst, and ends at any moment
// after at least so many pulses.
func hold(samples []float64, p Pattern, atLeast int) error {
	const level = 0.5
	got := pulses(samples, level)
	if len(got) < atLeast {
		return fmt.Errorf("%d pulses are heard, want %d or more", len(got), atLeast)
	}
	tolerance := count(8 * time.Millisecond)
	first := got[0].from
	for i, g := range got {
		want := count(p.Starts[i%len(p.Starts)]-p.Starts[0]) + i/len(p.Starts)*count(p.Period)
		if d := g.from - first - want; d < -tolerance || d > tolerance {
			return fmt.Errorf("pulse %d begins %.0f ms off", i+1, float64(d)*1000/Rate)
		}
	}
	for i, g := range got[:len(got)-1] { // the last may be cut
		// From half its height to half its height, by the raised cosine.
		want := count(p.Pulse) - int(edge*float64(count(p.Pulse)))
		if d := g.len() - want; d < -tolerance || d > tolerance {
			return fmt.Errorf("pulse %d lasts %.0f ms, want %.0f", i+1, float64(g.len())*1000/Rate, float64(want)*1000/Rate)
		}
	}
	one := samples[got[0].from:got[0].to]
	t, err := hear(one)
	if err != nil {
		return err
	}
	if math.Abs(t.fundamentalHz-p.FundamentalHz) > 6 {
		return fmt.Errorf("the fundamental is %.0f Hz, want %.0f", t.fundamentalHz, p.FundamentalHz)
	}
	if t.harmonics < 4 {
		return fmt.Errorf("%d harmonics", t.harmonics)
	}
	if top := peak(samples); top < 0.95 {
		return fmt.Errorf("the peak is %.2f of full scale", top)
	}
	return nil
}

// decode turns PCM into samples, -1 to 1.
func decode(raw []byte) []float64 { return soundtest.Decode(raw) }
