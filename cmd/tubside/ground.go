package main

import (
	"bytes"
	"os"
	"strconv"
	"strings"
)

// askGround asks the terminal for the colour of its background (xterm's control sequences, OSC 11).
// Nothing waits for the answer: it comes between the keys, or never.
const askGround = "\x1b]11;?\x1b\\"

// keyboard is the terminal's input without the answer to askGround.
type keyboard struct {
	*os.File
	light func() // called once, if the ground is light; nil: nothing was asked, or it has been answered
	held  []byte // the beginning of an answer
}

const (
	answerBegins  = "\x1b]11;"
	longestAnswer = 64
)

// Read gives keys alone; of an answer that has not come whole nothing yet.
func (k *keyboard) Read(b []byte) (int, error) {
	if k.light == nil && k.held == nil || len(b) <= longestAnswer {
		return k.File.Read(b)
	}
	at := copy(b, k.held)
	k.held = nil
	n, err := k.File.Read(b[at:])
	n += at
	if err != nil || k.light == nil {
		return n, err
	}
	i := bytes.Index(b[:n], []byte(answerBegins))
	if i < 0 {
		i = max(0, n-len(answerBegins)+1)
		for i < n-1 && !strings.HasPrefix(answerBegins, string(b[i:n])) {
			i++
		}
		if i >= n-1 { // a lone Esc is a key
			return n, nil
		}
	}
	answer, size, whole := answered(b[i+min(len(answerBegins), n-i) : n])
	switch {
	case !whole && n-i > longestAnswer: // no answer
	case !whole:
		k.held = bytes.Clone(b[i:n])
		n = i
	default:
		light := k.light
		k.light = nil
		if lightGround(answer) {
			light()
		}
		n = i + copy(b[i:], b[i+len(answerBegins)+size:n])
	}
	return n, nil
}

// answered is what stands before the end of a control string, BEL or ESC \, and how long it
// is with it.
func answered(b []byte) (text string, size int, whole bool) {
	for i, c := range b {
		switch {
		case c == '\a':
			return string(b[:i]), i + 1, true
		case c == '\x1b' && i+1 < len(b):
			return string(b[:i]), i + 2, true
		}
	}
	return "", 0, false
}

// lightGround reads a colour, "rgb:" with three figures of one to four hexadecimal digits, and says
// whether black on it has more contrast than white: by WCAG's formula where relative luminance
// is above 0.179, taken with a plain square for sRGB's curve.
func lightGround(colour string) bool {
	_, figures, ok := strings.Cut(colour, ":")
	parts := strings.Split(figures, "/")
	if !ok || len(parts) < 3 {
		return false
	}
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		v, err := strconv.ParseUint(parts[i], 16, 16)
		if err != nil {
			return false
		}
		part := float64(v) / float64(uint(1)<<(4*len(parts[i]))-1)
		sum += weight * part * part
	}
	return sum > 0.179
}
