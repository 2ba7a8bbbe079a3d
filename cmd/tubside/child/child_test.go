//go:build unix

package child

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/must"
)

func TestRun(t *testing.T) {
	for _, c := range []struct {
		name, line string
		out, fails string // fails "": it does not
	}{
		{"well", `cat; echo "$NAME"; echo err >&2`, "given\nthe value\nerr\n", ""},
		{"fails", "echo why; exit 4", "why\n", "/bin/sh failed (exit status 4): why"},
		{"fails without a word", "exit 4", "", "/bin/sh failed: exit status 4"},
		{"too long", "echo on; sleep 60", "on\n", "did not end within 1s and was stopped"},
		{"too much", "yes", strings.Repeat("y\n", 50), "printed more than 100 bytes"},
		{"leaves somebody with its output", "sleep 60 & echo done", "done\n", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			out, err := Run(t.Context(), Spec{Command: []string{"/bin/sh", "-c", c.line}, Stdin: []byte("given\n"),
				Env: []string{"NAME=the value"}, Timeout: time.Second, MaxOutput: 100})
			if string(out) != c.out {
				t.Errorf("printed %q", out)
			}
			if c.fails == "" && err != nil || c.fails != "" && (err == nil || !strings.Contains(err.Error(), c.fails)) {
				t.Errorf("ends with %v, want %q", err, c.fails)
			}
		})
	}
}

func TestRunIsBrokenOff(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(50*time.Millisecond, cancel)
	_, err := Run(ctx, Spec{Command: []string{"/bin/sh", "-c", "sleep 60"}, Timeout: time.Minute, MaxOutput: 100})
	if err == nil || !strings.Contains(err.Error(), "was stopped") {
		t.Error(err)
	}
	for _, command := range [][]string{nil, {""}} {
		if _, err := Run(t.Context(), Spec{Command: command, Timeout: time.Second}); err == nil {
			t.Errorf("%q runs", command)
		}
	}
}

// A program is looked for in the PATH that it is given, the last of several, and
// nowhere else; what it is called by a path is that file.
func TestLook(t *testing.T) {
	dir := t.TempDir()
	own := filepath.Join(dir, "sh")
	must.Do(t, os.WriteFile(own, []byte("#!/bin/sh\necho our own, $NAME\n"), 0o755))
	for _, c := range []struct {
		env          []string
		program, out string // out "": it is not found
	}{
		{[]string{"PATH=/nowhere", "PATH=/no/such" + string(filepath.ListSeparator) + dir, "NAME=a word"}, "sh", "our own, a word\n"},
		{[]string{"PATH=/nowhere"}, own, "our own,\n"},
		{[]string{"PATH=" + dir}, "ls", ""},
	} {
		out, err := Run(t.Context(), Spec{Command: []string{c.program}, Env: c.env, Timeout: 10 * time.Second, MaxOutput: 100})
		if string(out) != c.out || (err == nil) != (c.out != "") {
			t.Errorf("%s in %q prints %q (%v)", c.program, c.env, out, err)
		}
	}
	for _, env := range [][]string{nil, {"NAME=a word"}} {
		want, _ := exec.LookPath("sh")
		if is, err := Look(env, "sh"); is != want || err != nil {
			t.Errorf("sh in %q is %q (%v)", env, is, err)
		}
	}
}

// A catch keeps the beginning, however it is written.
func TestCatch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		limit, fulls := rapid.IntRange(0, 50).Draw(t, "limit"), 0
		strict := rapid.Bool().Draw(t, "strict")
		c := &Catch{Max: limit}
		if strict {
			c.Full = func() { fulls++ }
		}
		var all []byte
		for range rapid.IntRange(0, 10).Draw(t, "writes") {
			b := rapid.SliceOfN(rapid.Byte(), 0, 20).Draw(t, "bytes")
			n, err := c.Write(b)
			all = append(all, b...)
			over := len(all) > limit
			if strict && over && len(b) > 0 != (err != nil) || !strict && (err != nil || n != len(b)) {
				t.Fatalf("%d of %d bytes, %v", n, len(b), err)
			}
		}
		if !bytes.Equal(c.Bytes(), all[:min(len(all), limit)]) || (fulls > 0) != (strict && len(all) > limit) {
			t.Fatalf("kept %q of %q, %d times full", c.Bytes(), all, fulls)
		}
	})
}
