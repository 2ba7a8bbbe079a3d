package reach

import (
	"context"
	"os/exec"
	"runtime"
	"strings"
	"sync"
	"time"

	"fleece.example/tubside/cmd/tubside/child"
	"fleece.example/tubside/session/measure"
)

// speakLimit is how long one sentence may take.
const speakLimit = 20 * time.Second

// speaker is a program that reads its standard input aloud. The text never
// stands on a command line, where a dash would begin an option.
func speaker() []string {
	switch runtime.GOOS {
	case "darwin":
		return found("say", "-f", "-")
	case "windows":
		return found("powershell", "-NoProfile", "-NonInteractive", "-Command",
			"Add-Type -AssemblyName System.Speech; (New-Object System.Speech.Synthesis.SpeechSynthesizer).Speak([Console]::In.ReadToEnd())")
	}
	// A little slower than it speaks by itself: it has to be understood from
	// the next room.
	return found("espeak-ng", "-v", "en", "-s", "150", "--stdin")
}

func found(program string, args ...string) []string {
	path, err := exec.LookPath(program)
	if err != nil {
		return nil
	}
	return append([]string{path}, args...)
}

// Speaker says sentences aloud, one at a time.
type Speaker struct {
	trouble *trouble

	mu      sync.Mutex
	next    string
	waiting bool
	busy    bool
	closed  bool
	cut     context.CancelFunc // ends the sentence that is spoken
}

// NewSpeaker makes a speaker; it starts nothing. tell, if not nil, is told once
// in a sentence why it does not speak, from another goroutine.
func NewSpeaker(tell func(string)) *Speaker { return &Speaker{trouble: &trouble{tell: tell}} }

// Speak says the text as soon as it can, and cuts off what is being said: the
// newest is what matters. It does not wait. Where nothing is installed that
// speaks, it does nothing.
func (s *Speaker) Speak(text string) {
	text = Sayable(text)
	if text == "" {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return
	}
	s.next, s.waiting = text, true
	if s.cut != nil {
		s.cut()
	}
	if !s.busy {
		s.busy = true
		go s.run()
	}
}

// Hush cuts off what is being said.
func (s *Speaker) Hush() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.waiting = false
	if s.cut != nil {
		s.cut()
	}
}

// Close hushes it for good.
func (s *Speaker) Close() {
	s.mu.Lock()
	s.closed = true
	s.mu.Unlock()
	s.Hush()
}

func (s *Speaker) run() {
	for {
		s.mu.Lock()
		if !s.waiting {
			s.busy, s.cut = false, nil
			s.mu.Unlock()
			return
		}
		text := s.next
		ctx, cut := context.WithCancel(context.Background())
		s.waiting, s.cut = false, cut
		s.mu.Unlock()
		s.say(ctx, text)
		cut()
	}
}

func (s *Speaker) say(ctx context.Context, text string) {
	defer s.trouble.guard()
	argv := speaker()
	if argv == nil {
		return
	}
	_, err := child.Run(ctx, child.Spec{Command: argv, Stdin: []byte(text + "\n"), Timeout: speakLimit, MaxOutput: 4096})
	switch {
	case err == nil:
		s.trouble.well()
	case ctx.Err() == nil:
		s.trouble.failed(err)
	}
}

// Sayable is a text without what a speech program may take for markup or for
// orders: angle and square brackets, braces, ampersands, backslashes, control
// characters. At most 300 characters.
func Sayable(text string) string {
	text = strings.Map(func(r rune) rune {
		if strings.ContainsRune("<>[]{}&\\|^~`#*_=", r) {
			return ' '
		}
		return r
	}, measure.CleanText(text, 10*textRunes))
	return measure.CleanText(text, textRunes)
}
