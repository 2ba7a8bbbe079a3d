// Package sound makes the alarms heard: patterns it makes itself, played by
// the first way out of the machine that works, watched while it plays.
//
// Nothing here waits for a sound device on the caller's time, nothing a player
// prints reaches the screen, and a player that fails is followed by the next.
//
// [Player] has one goroutine that starts and ends voices; Ring, Silence and State only
// leave word. The ways out, in order (paths_*.go): on Linux the sound server from a helper
// process, then paplay, aplay, pw-play; on macOS afplay; on Windows PlaySoundW. A way
// that failed in the last two minutes is tried last; when none plays, all are tried again
// every 2 s. While an alarm rings only a more urgent one takes its place; after Silence any may.
//
// The helper is the program itself (tubside sound-helper, hidden). It is told "change
// high" and "stop" on its standard input, ends when that ends, and says one JSON object a
// line: how the output stands, that it still plays, what it has raised, why it fails.
//
// # Traps
//
//   - A muted output is silent while every player reports success: only the helper sees
//     it, once a second. Nothing is raised without Consent; what is raised is put back to the
//     figure, channel by channel, unless somebody changed it meanwhile; headphones are never
//     raised. The helper puts back, also when the program is gone (it ignores SIGPIPE for
//     that); when it was killed another helper does (debt.go).
//   - A frozen server freezes paplay too: it is then tried last.
//   - A player that ends before its sound, takes no samples for 1.5 s, or takes them 4 s
//     ahead of time (it plays into nothing) has failed.
//   - Never drain, never wait for Close; a killed player's buffers are dropped by the server.
//   - pw-play - plays a WAV at the wrong pitch: it is given a file.
//   - A program that a race-detecting build runs ends a second late.
//
// # Tests
//
// The samples are held against IEC 60601-1-8 (published_iec60601_test.go), and the players
// to a sound server of the test's own, whose output goes nowhere and is recorded
// (soundtest; Debian: pulseaudio pulseaudio-utils alsa-utils libasound2-plugins espeak-ng).
// Without these the tests are skipped; with TUBSIDE_NEED_SOUND=1 they fail instead. The
// control is a muted output, which has to fail the same analysis. It proves samples at an
// output, not loudness in a shed: that is what soundcheck asks a person. Not measured:
// macOS, Windows, real loudspeakers.
//
// On 2 cores, idle and beside four busy loops: Ring to sound 20 to 36 and 40 to 61 ms (limit
// 200), Silence to silence 20 to 25 ms (300), server killed to the next player 0.27 s, server
// or helper frozen 1.5 s (3 s).
package sound

import (
	"encoding/binary"
	"math"
	"time"

	"fleece.example/tubside/session"
)

// Rate is the samples per second of everything made here; one channel of
// 16-bit little-endian samples.
const Rate = 48000

const bytesPerSample = 2

// bytesPerSecond is what a player takes in real time.
const bytesPerSecond = Rate * bytesPerSample

// Pattern is one alarm sound: a burst of equal pulses of one tone, repeated
// for ever. Pulses and pauses are within IEC 60601-1-8, whose numbers of pulses
// these are.
type Pattern struct {
	FundamentalHz float64
	// Partials are the amplitudes of the fundamental and its harmonics,
	// against each other.
	Partials []float64
	Pulse    time.Duration   // a whole pulse, rise and fall included
	Starts   []time.Duration // of the pulses, from the start of the burst
	Period   time.Duration   // from one burst to the next
}

// edge is the part of a pulse that its rise takes from nothing to full, and its
// fall back: a raised cosine, of which the 10 to 90 % that the standard speaks
// of are 59 %, so that the rise it measures is 15 % of the pulse.
const edge = 0.25

// PatternOf is the sound of a priority. A call is one pulse of the
// low one; the three alarms differ in the number of pulses, their length and pauses, and by half an octave each in pitch. None
// has three pulses of half a second or groups of four short ones: those mean
// evacuation (ISO 8201) and carbon monoxide.
func PatternOf(p session.Priority) Pattern {
	const ms = time.Millisecond
	switch p {
	case session.HighPriority:
		// Three and two, twice.
		return Pattern{784, []float64{1, 0.95, 0.35, 0.3, 0.25}, 180 * ms,
			[]time.Duration{0, 280 * ms, 560 * ms, 1120 * ms, 1400 * ms,
				2080 * ms, 2360 * ms, 2640 * ms, 3200 * ms, 3480 * ms}, 6160 * ms}
	case session.MediumPriority:
		return Pattern{554, []float64{1, 0.95, 0.6, 0.25, 0.25}, 240 * ms,
			[]time.Duration{0, 440 * ms, 880 * ms}, 6120 * ms}
	case session.CallPriority:
		return Pattern{392, []float64{0.35, 1, 0.95, 0.8, 0.6}, 240 * ms, []time.Duration{0}, 16680 * ms}
	case session.LowPriority:
	}
	// Its fundamental is below what old ears keep, so the harmonics carry it.
	return Pattern{392, []float64{0.35, 1, 0.95, 0.8, 0.6}, 240 * ms,
		[]time.Duration{0, 440 * ms}, 16680 * ms}
}

// Burst is how long the burst sounds, pauses between its pulses included.
func (p Pattern) Burst() time.Duration { return p.Starts[len(p.Starts)-1] + p.Pulse }

// Samples is one period, -1 to 1; its highest sample is full scale.
func (p Pattern) Samples() []float64 {
	pulse := p.pulse()
	out := make([]float64, count(p.Period))
	for _, at := range p.Starts {
		copy(out[count(at):], pulse)
	}
	return out
}

// PCM is one period as 16-bit little-endian samples of one channel.
func (p Pattern) PCM() []byte {
	samples := p.Samples()
	out := make([]byte, 0, len(samples)*bytesPerSample)
	for _, v := range samples {
		out = binary.LittleEndian.AppendUint16(out, uint16(int16(math.Round(v*math.MaxInt16))))
	}
	return out
}

// Tone is n samples of the pulses' steady tone, -1 to 1, without their edges.
func (p Pattern) Tone(n int) []float64 {
	phases := calmPhases(p.Partials)
	out := make([]float64, n)
	for i := range out {
		turn := 2 * math.Pi * p.FundamentalHz * float64(i) / Rate
		for k, a := range p.Partials {
			out[i] += a * math.Cos(float64(k+1)*turn+phases[k])
		}
	}
	scale(out)
	return out
}

// calmPhases are phases by Schroeder's rule for partials of these amplitudes:
// they spread the wave's power over its length, so that it is loud for its
// peak.
func calmPhases(partials []float64) []float64 {
	total := 0.0
	for _, a := range partials {
		total += a * a
	}
	out := make([]float64, len(partials))
	for n := range out {
		for l := range n {
			out[n] -= 2 * math.Pi * float64(n-l) * partials[l] * partials[l] / total
		}
	}
	return out
}

func (p Pattern) pulse() []float64 {
	out := p.Tone(count(p.Pulse))
	ramp := int(edge * float64(len(out)))
	for i := range ramp {
		gain := (1 - math.Cos(math.Pi*float64(i)/float64(ramp))) / 2
		out[i] *= gain
		out[len(out)-1-i] *= gain
	}
	scale(out)
	return out
}

// scale brings the highest sample to full scale.
func scale(samples []float64) {
	top := 0.0
	for _, v := range samples {
		top = max(top, math.Abs(v))
	}
	if top == 0 {
		return
	}
	for i := range samples {
		samples[i] /= top
	}
}

// count is the samples in a time.
func count(d time.Duration) int { return int(math.Round(d.Seconds() * Rate)) }
