//go:build unix

package reach

import (
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session"
)

func (d *Desktop) idle() bool {
	d.queue.mu.Lock()
	defer d.queue.mu.Unlock()
	return d.queue.active == 0
}

func TestNotify(t *testing.T) {
	if runtime.GOOS == "darwin" {
		t.Skip("osascript takes other arguments")
	}
	dir := t.TempDir()
	write(t, filepath.Join(dir, "notify-send"), `for a in "$@"; do echo "$a"; done > '`+dir+`/args'; yes | head -c 2000`, 0o755)
	t.Setenv("PATH", dir+":/usr/bin:/bin")
	if notifier(Notice{Title: "t", Text: "t"}) == nil {
		t.Fatal("notify-send is not found")
	}
	var told said
	d := NewDesktop(told.tell)
	defer d.Close()
	d.Notify(Notice{Title: "-2 alarms\x1b]0;x\a", Text: "north tub: lift <b>now</b> & cover", Priority: session.HighPriority})
	until(t, "shown", d.idle)
	want := "--app-name=tubside\n--urgency=critical\n--\n-2 alarms\nnorth tub: lift &lt;b&gt;now&lt;/b&gt; &amp; cover\n"
	if got := read(t, dir+"/args"); got != want || len(told.all()) > 0 {
		t.Errorf("arguments %q, told %q", got, told.all())
	}
	write(t, filepath.Join(dir, "notify-send"), "echo no desktop >&2; exit 1", 0o755)
	for range 3 {
		d.Notify(Notice{Title: "1 alarm", Text: "lift"})
		until(t, "shown", d.idle)
	}
	if got := told.all(); len(got) != 1 || !strings.Contains(got[0], "no desktop") {
		t.Errorf("told %q", got)
	}
}

func TestCodes(t *testing.T) {
	for _, c := range []struct{ name, got, want string }{
		{"OSC 9", string(OSC9("north tub: lift now")), "\x1b]9;north tub: lift now\a"},
		{"OSC 9 that would be a progress bar", string(OSC9("4;1;50")), "\x1b]9;4,1,50\a"},
		{"OSC 777", string(OSC777("2 alarms; now", "lift;now\x1b\\\a")), "\x1b]777;notify;2 alarms, now;lift,now\a"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
}

// Whatever a tub is called, a code has one beginning and one end.
func TestCodesHoldAnyText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.String().Draw(t, "title"), rapid.String().Draw(t, "text")
		for _, code := range [][]byte{OSC9(a), OSC777(a, b)} {
			s := string(code)
			if strings.Count(s, "\x1b") != 1 || !strings.HasPrefix(s, "\x1b]") || strings.IndexByte(s, '\a') != len(s)-1 || strings.ContainsRune(s, 0x9c) {
				t.Fatalf("%q", s)
			}
		}
		if got := strings.Count(string(OSC777(a, b)), ";"); got != 3 {
			t.Fatalf("%d semicolons", got)
		}
	})
}
