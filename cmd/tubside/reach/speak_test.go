//go:build unix

package reach

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/must"
)

func (s *Speaker) idle() bool { s.mu.Lock(); defer s.mu.Unlock(); return !s.busy }

// speech puts a program for speech into PATH that writes down what it hears.
func speech(t *testing.T, body string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	name := "espeak-ng"
	if runtime.GOOS == "darwin" {
		name = "say"
	}
	write(t, filepath.Join(dir, name), "cd '"+dir+"'\n"+body, 0o755)
	t.Setenv("PATH", dir+":/usr/bin:/bin")
	return dir
}

func read(t *testing.T, path string) string {
	t.Helper()
	b := must.Get(os.ReadFile(path)).In(t)
	return string(b)
}

func TestSpeak(t *testing.T) {
	dir := speech(t, `echo "$@" > args; cat > heard`)
	var told said
	s := NewSpeaker(told.tell)
	defer s.Close()
	s.Speak("--voice north tub:\x1b[2J lift the fleece now, <b>four</b> [[minutes]] left; $(touch bad)\n")
	until(t, "said", s.idle)
	if got := read(t, dir+"/heard"); got != "--voice north tub: lift the fleece now, b four /b minutes left; $(touch bad)\n" {
		t.Errorf("heard %q", got)
	}
	if strings.Contains(read(t, dir+"/args"), "fleece") || exists(dir+"/bad") || len(told.all()) > 0 {
		t.Errorf("arguments %q, told %q", read(t, dir+"/args"), told.all())
	}
}

// The newest text wins: what is being said is cut off, what waits is dropped.
func TestNewestTextWins(t *testing.T) {
	dir := speech(t, `read text; echo "$text" >> begun; case $text in first) sleep 60;; esac; echo "$text" >> done`)
	var told said
	s := NewSpeaker(told.tell)
	defer s.Close()
	s.Speak("first")
	until(t, "begun", func() bool { return exists(dir + "/begun") })
	for range 20 {
		s.Speak("between")
	}
	s.Speak("last")
	until(t, "said", s.idle)
	lines := strings.Fields(read(t, dir+"/done"))
	if lines[len(lines)-1] != "last" || strings.Contains(read(t, dir+"/done"), "first") || len(told.all()) > 0 {
		t.Errorf("said %q, told %q", lines, told.all())
	}
	s.Speak("first")
	until(t, "begun", func() bool { return strings.Count(read(t, dir+"/begun"), "first") == 2 })
	s.Hush()
	until(t, "hushed", s.idle)
}

func TestSpeechFails(t *testing.T) {
	speech(t, `echo "no voice" >&2; exit 1`)
	var told said
	s := NewSpeaker(told.tell)
	defer s.Close()
	for range 3 {
		s.Speak("lift")
		until(t, "said", s.idle)
	}
	if got := told.all(); len(got) != 1 || !strings.Contains(got[0], "no voice") {
		t.Errorf("told %q", got)
	}
	t.Setenv("PATH", t.TempDir())
	if speaker() != nil {
		t.Error("it can speak with nothing installed")
	}
	s.Speak("lift")
	until(t, "nothing done", s.idle)
}

// The real program takes our text on its standard input and makes a sound of
// it that lasts a while; what would be markup to it is not.
func TestRealSpeech(t *testing.T) {
	argv := speaker()
	if runtime.GOOS != "linux" || argv == nil {
		if os.Getenv("TUBSIDE_NEED_SOUND") != "" && runtime.GOOS == "linux" {
			t.Fatal("espeak-ng is not installed, and TUBSIDE_NEED_SOUND says that it has to be")
		}
		t.Skip("espeak-ng is not installed: apt-get install espeak-ng")
	}
	say := func(text string) int64 {
		file := filepath.Join(t.TempDir(), "said.wav")
		cmd := exec.Command(argv[0], append(argv[1:], "-w", file)...)
		cmd.Stdin = strings.NewReader(text)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		info := must.Get(os.Stat(file)).In(t)
		return info.Size()
	}
	short, long := say(Sayable("lift now")), say(Sayable("north tub: lift the fleece now, four minutes left"))
	if short < 10_000 || long < 2*short {
		t.Errorf("%d bytes of sound for two words, %d for nine", short, long)
	}
	// In double square brackets it reads sounds, not letters: one breath
	// instead of a row of letters.
	if raw, clean := say("[[h]]"), say(Sayable("[[h]]")); clean == raw {
		t.Errorf("markup and its cleaned text sound alike, %d bytes", raw)
	}
}

func TestSayable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		got := Sayable(text)
		if strings.ContainsAny(got, "<>[]{}&\\|\x1b\n\x00\x01") || len([]rune(got)) > textRunes {
			t.Fatalf("%q", got)
		}
		if Sayable(got) != got {
			t.Fatalf("%q is cleaned twice to %q", got, Sayable(got))
		}
	})
	long := strings.Repeat("lift ", 1000)
	if began := time.Now(); len(Sayable(long)) > textRunes {
		t.Errorf("too long, after %v", time.Since(began))
	}
}
