package sound

import (
	"encoding/binary"
	"sync"

	"fleece.example/tubside/session"
)

// fade is the samples over which a sound that is cut short dies away: 5 ms, so
// that the cut does not click.
const fade = Rate / 200

var pcm = [...]func() []byte{
	session.CallPriority:   sync.OnceValue(PatternOf(session.CallPriority).PCM),
	session.LowPriority:    sync.OnceValue(PatternOf(session.LowPriority).PCM),
	session.MediumPriority: sync.OnceValue(PatternOf(session.MediumPriority).PCM),
	session.HighPriority:   sync.OnceValue(PatternOf(session.HighPriority).PCM),
}

// period is the PCM of one period, made once; it must not be written to.
func period(p session.Priority) []byte {
	if p < session.CallPriority || p > session.HighPriority {
		p = session.LowPriority
	}
	return pcm[p]()
}

// Loop reads a priority's pattern without end, its pauses included: 16-bit
// little-endian samples, one channel, Rate a second. Read and Change may be
// called from two goroutines.
type Loop struct {
	mu   sync.Mutex
	data []byte
	at   int
	tail []byte // what still dies away of the pattern before
}

// NewLoop starts at the beginning of a burst.
func NewLoop(p session.Priority) *Loop { return &Loop{data: period(p)} }

// Change goes over to another pattern's beginning; the old one dies away.
func (l *Loop) Change(p session.Priority) {
	l.mu.Lock()
	defer l.mu.Unlock()
	old := make([]byte, 0, fade*bytesPerSample)
	for i := range fade {
		at := l.at/bytesPerSample*bytesPerSample + i*bytesPerSample
		if at+bytesPerSample > len(l.data) {
			break
		}
		v := int16(binary.LittleEndian.Uint16(l.data[at:]))
		old = binary.LittleEndian.AppendUint16(old, uint16(int16(int(v)*(fade-i)/fade)))
	}
	// An odd byte already given is made whole first.
	l.tail = old[min(l.at%bytesPerSample, len(old)):]
	l.data, l.at = period(p), 0
}

// Read fills all of b; it has no end and no error.
func (l *Loop) Read(b []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	n := copy(b, l.tail)
	l.tail = l.tail[n:]
	for n < len(b) {
		k := copy(b[n:], l.data[l.at:])
		n += k
		l.at = (l.at + k) % len(l.data)
	}
	return n, nil
}

// WAV is a file of one period of a pattern, its pause included.
func WAV(p session.Priority) []byte { return wav(period(p)) }

// burstWAV is a file of one burst, for a player that is started at each.
func burstWAV(p session.Priority) []byte {
	return wav(period(p)[:count(PatternOf(p).Burst())*bytesPerSample])
}

func wav(data []byte) []byte {
	size := uint32(len(data))
	out := make([]byte, 0, 44+len(data))
	out = append(out, "RIFF"...)
	out = binary.LittleEndian.AppendUint32(out, 36+size)
	out = append(out, "WAVEfmt "...)
	out = binary.LittleEndian.AppendUint32(out, 16)
	out = binary.LittleEndian.AppendUint16(out, 1) // PCM
	out = binary.LittleEndian.AppendUint16(out, 1) // channels
	out = binary.LittleEndian.AppendUint32(out, Rate)
	out = binary.LittleEndian.AppendUint32(out, bytesPerSecond)
	out = binary.LittleEndian.AppendUint16(out, bytesPerSample)
	out = binary.LittleEndian.AppendUint16(out, 8*bytesPerSample)
	out = append(out, "data"...)
	out = binary.LittleEndian.AppendUint32(out, size)
	return append(out, data...)
}
