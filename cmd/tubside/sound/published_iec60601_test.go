package sound

import (
	"fmt"
	"math"
	"testing"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/must"
)

var priorities = []session.Priority{session.LowPriority, session.MediumPriority, session.HighPriority}

// IEC 60601-1-8, the part on auditory alarm signals: fundamental 150-1000 Hz,
// at least four harmonics from 300 to 4000 Hz within 15 dB of it, rise 10-20 %
// of the pulse.
func TestPublishedPulse(t *testing.T) {
	for _, p := range priorities {
		t.Run(p.String(), func(t *testing.T) {
			pattern := PatternOf(p)
			pulse := decode(pattern.PCM())[:count(pattern.Pulse)]
			got := must.Get(hear(pulse)).In(t)
			t.Logf("fundamental %.0f Hz, %d harmonics, %.1f %% of the energy in 500-2000 Hz", got.fundamentalHz, got.harmonics, 100*got.share)
			if got.fundamentalHz < 150 || got.fundamentalHz > 1000 {
				t.Errorf("the fundamental is %.0f Hz", got.fundamentalHz)
			}
			if got.harmonics < 4 {
				t.Errorf("%d harmonics", got.harmonics)
			}
			rise := riseShare(pulse)
			t.Logf("rise %.1f %% of the pulse", 100*rise)
			if rise < 0.10 || rise > 0.20 {
				t.Errorf("the rise takes %.1f %% of the pulse", 100*rise)
			}
		})
	}
}

// IEC 60601-1-8 (figures from memory): pulses in a burst and their length,
// measured above 90 % of the height, and the time from burst to burst.
func TestPublishedBurst(t *testing.T) {
	for _, c := range []struct {
		p                session.Priority
		least, most      int
		pulseMs          [2]float64
		betweenS         [2]float64
		spacingInGroupMs [2]float64
	}{
		{session.HighPriority, 10, 10, [2]float64{75, 200}, [2]float64{2.5, 15}, [2]float64{50, 125}},
		{session.MediumPriority, 3, 3, [2]float64{125, 250}, [2]float64{2.5, 30}, [2]float64{125, 250}},
		{session.LowPriority, 1, 2, [2]float64{125, 250}, [2]float64{15, math.Inf(1)}, [2]float64{125, 250}},
	} {
		t.Run(c.p.String(), func(t *testing.T) {
			pattern := PatternOf(c.p)
			samples := decode(pattern.PCM())
			whole, high := pulses(samples, 0.02), pulses(samples, 0.9)
			if len(whole) != len(high) || len(whole) < c.least || len(whole) > c.most {
				t.Fatalf("%d pulses, %d of them high", len(whole), len(high))
			}
			for i, s := range high {
				if ms := float64(s.len()) * 1000 / Rate; ms < c.pulseMs[0] || ms > c.pulseMs[1] {
					t.Errorf("pulse %d is high for %.0f ms", i+1, ms)
				}
				if ms := float64(whole[i].len()) * 1000 / Rate; ms > c.pulseMs[1] {
					t.Errorf("pulse %d lasts %.0f ms in all", i+1, ms)
				}
			}
			if s := float64(len(samples)-whole[len(whole)-1].to+whole[0].from) / Rate; s < c.betweenS[0] || s > c.betweenS[1] {
				t.Errorf("%.2f s from burst to burst", s)
			}
			gapMs := func(i int) float64 { return float64(whole[i].from-whole[i-1].to) * 1000 / Rate }
			for i := 1; i < len(whole); i++ {
				inGroup := c.p != session.HighPriority || i%5 != 3 && i != 5
				if g := gapMs(i); inGroup && (g < c.spacingInGroupMs[0] || g > c.spacingInGroupMs[1]) {
					t.Errorf("%.0f ms before pulse %d", g, i+1)
				}
			}
			if c.p == session.HighPriority { // three and two, twice
				for _, i := range []int{3, 8} {
					if gapMs(i) < 2*gapMs(1) {
						t.Errorf("%.0f ms before pulse %d: the group does not end there", gapMs(i), i+1)
					}
				}
				if g := gapMs(5); g < 350 || g > 1300 {
					t.Errorf("%.0f ms between the halves", g)
				}
			}
		})
	}
}

// Common practice for older ears, no source: the energy from 500 to 2000 Hz.
func TestEnergyWhereOldEarsHear(t *testing.T) {
	for _, p := range priorities {
		got, err := hear(decode(PatternOf(p).PCM())[:count(PatternOf(p).Pulse)])
		if err != nil || got.share < 0.85 {
			t.Errorf("%v: %.1f %% of the energy from 500 to 2000 Hz, %v", p, 100*got.share, err)
		}
	}
}

// TestFullScale: the highest sample is full scale, and the steady tone's mean
// power is within 3 dB of a full-scale sine's, the loudest pure tone there is.
// In the middle of a pulse it is the tone's own.
func TestFullScale(t *testing.T) {
	for _, p := range priorities {
		pattern := PatternOf(p)
		own := rms(pattern.Tone(Rate))
		belowSine := 20 * math.Log10(own*math.Sqrt2)
		pulse := decode(pattern.PCM())[:count(pattern.Pulse)]
		middle := rms(pulse[len(pulse)*3/8 : len(pulse)*5/8])
		t.Logf("%v: peak %.4f, tone %.2f dB against a sine, middle %.2f dB against the tone", p, peak(pulse), belowSine, 20*math.Log10(middle/own))
		if peak(pulse) < 0.999 {
			t.Errorf("%v: peak %.4f", p, peak(pulse))
		}
		if belowSine < -3 {
			t.Errorf("%v: %.2f dB below a sine", p, -belowSine)
		}
		if d := 20 * math.Log10(middle/own); math.Abs(d) > 1 {
			t.Errorf("%v: the middle of a pulse is %.2f dB off the tone", p, d)
		}
	}
}

// The edges do not click: no step of the first or last millisecond is more than
// a fiftieth of full scale, and the pauses are nothing at all.
func TestNoClick(t *testing.T) {
	for _, p := range priorities {
		samples := decode(PatternOf(p).PCM())
		for _, s := range pulses(samples, 1e-4) {
			for i := 0; i < Rate/1000; i++ {
				for _, at := range []int{s.from + i, s.to - 1 - i} {
					if at > 0 && math.Abs(samples[at]-samples[at-1]) > 0.02 {
						t.Fatalf("%v: a step of %.3f at %d", p, samples[at]-samples[at-1], at)
					}
				}
			}
		}
		if last := samples[len(samples)-Rate:]; peak(last) != 0 {
			t.Errorf("%v: the pause is not silent", p)
		}
	}
}

// rhythm is the pulses of two minutes of a pattern: when each begins and how
// long it lasts, in seconds.
func rhythm(p Pattern) [][2]float64 {
	samples := decode(p.PCM())
	var out [][2]float64
	for n := 0; n < 120*Rate; n += len(samples) {
		for _, s := range pulses(samples, 0.5) {
			out = append(out, [2]float64{float64(n+s.from) / Rate, float64(s.len()) / Rate})
		}
	}
	return out
}

// means says that somewhere in a rhythm n pulses of about onS follow each other
// with about offS between them, and no more of them for pauseS after.
func means(r [][2]float64, n int, onS, offS, pauseS float64) error {
	about := func(got, want float64) bool { return got > 0.67*want && got < 1.5*want }
	for i := 0; i+n < len(r); i++ {
		fits := true
		for k := range n {
			at := r[i+k]
			after := r[i+k+1][0] - at[0] - at[1]
			fits = fits && about(at[1], onS) && (k < n-1 && about(after, offS) || k == n-1 && after > 0.67*pauseS)
		}
		if i > 0 && about(r[i][0]-r[i-1][0]-r[i-1][1], offS) { // one of a longer row
			fits = false
		}
		if fits {
			return fmt.Errorf("from pulse %d on", i+1)
		}
	}
	return nil
}

// ISO 8201: three pulses of 0.5 s, 0.5 s apart, then 1.5 s of silence, means
// leave the building. Four pulses of 0.1 s, 0.1 s apart, then 5 s of silence,
// means carbon monoxide (NFPA 720; from memory).
func TestPublishedForbiddenPatterns(t *testing.T) {
	for _, p := range priorities {
		r := rhythm(PatternOf(p))
		if err := means(r, 3, 0.5, 0.5, 1.5); err != nil {
			t.Errorf("%v sounds like the evacuation signal, %v", p, err)
		}
		if err := means(r, 4, 0.1, 0.1, 5); err != nil {
			t.Errorf("%v sounds like the carbon monoxide signal, %v", p, err)
		}
	}
	// The ear finds them where they are.
	evacuation := Pattern{554, []float64{1, 0.9}, 500 * time.Millisecond, []time.Duration{0, time.Second, 2 * time.Second}, 4 * time.Second}
	monoxide := Pattern{784, []float64{1, 0.9}, 100 * time.Millisecond,
		[]time.Duration{0, 200 * time.Millisecond, 400 * time.Millisecond, 600 * time.Millisecond}, 5700 * time.Millisecond}
	if means(rhythm(evacuation), 3, 0.5, 0.5, 1.5) == nil || means(rhythm(monoxide), 4, 0.1, 0.1, 5) == nil {
		t.Error("the forbidden patterns themselves are not found")
	}
}

// The three are told apart by pitch, a third of an octave or more, and by
// rhythm: each fails to be taken for the others.
func TestPrioritiesDiffer(t *testing.T) {
	for _, a := range priorities {
		samples := decode(append(PatternOf(a).PCM(), PatternOf(a).PCM()...))
		if err := hold(samples, PatternOf(a), len(PatternOf(a).Starts)); err != nil {
			t.Errorf("%v is not taken for itself: %v", a, err)
		}
		for _, b := range priorities {
			if a == b {
				continue
			}
			if octaves := math.Abs(math.Log2(PatternOf(a).FundamentalHz / PatternOf(b).FundamentalHz)); octaves < 1.0/3 {
				t.Errorf("%v and %v are %.2f octaves apart", a, b, octaves)
			}
			sameRhythm := PatternOf(b)
			sameRhythm.FundamentalHz = PatternOf(a).FundamentalHz
			if err := hold(samples, sameRhythm, len(sameRhythm.Starts)); err == nil {
				t.Errorf("%v is taken for %v by its rhythm", a, b)
			}
		}
	}
}

// riseShare is the rise from 10 to 90 % of the height, against the length.
func riseShare(pulse []float64) float64 {
	e := envelope(pulse)
	low, high := -1, -1
	for i, v := range e {
		if low < 0 && v >= 0.1 {
			low = i
		}
		if high < 0 && v >= 0.9 {
			high = i
		}
	}
	return float64(high-low) / float64(len(e))
}
