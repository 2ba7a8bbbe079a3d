package main

import (
	"io"
	"os"
	"testing"
	"time"

	"fleece.example/tubside/session/must"
)

// TestAnswerIsNoKey: wherever the terminal's answer is cut, the keys about it come through, each
// in its order, and the answer counts once.
func TestAnswerIsNoKey(t *testing.T) {
	for answer, light := range map[string]bool{
		"rgb:ffff/ffff/ffff\x1b\\": true, "rgb:fd/f6/e3\a": true, "rgb:0000/0000/0000\x1b\\": false, "rgb:30/30/30\a": false, "rgba:ff/ff/ff/ff\a": true, "black\a": false, "rgb:zz/ff/ff\a": false,
	} {
		all := "ab\x1b" + "\x1b[A" + answerBegins + answer + "c"
		for cut := 2; cut < len(all); cut++ {
			if all[:cut] == "ab\x1b\x1b[A\x1b" {
				continue // an Esc that ends what is read is a key: a terminal writes its answer at once
			}
			r, w := must.Get2(os.Pipe()).In(t)
			said := 0
			k := &keyboard{File: r, light: func() { said++ }}
			got := ""
			for _, part := range []string{all[:cut], all[cut:]} {
				must.Get(io.WriteString(w, part)).In(t)
				var b [256]byte
				n := must.Get(k.Read(b[:])).In(t)
				got += string(b[:n])
			}
			if got != "ab\x1b\x1b[Ac" || (said == 1) != light || said > 1 {
				t.Errorf("%q cut at %d: keys %q, light %d times", answer, cut, got, said)
			}
			if r.Close() != nil || w.Close() != nil {
				t.Error("not closed")
			}
		}
	}
}

// TestEscComesAtOnce: what only looks like the beginning of an answer is not held for long.
func TestEscComesAtOnce(t *testing.T) {
	r, w := must.Get2(os.Pipe()).In(t)
	defer func() { _, _ = r.Close(), w.Close() }()
	must.Do(t, r.SetReadDeadline(time.Now().Add(5*time.Second)))
	k, b := &keyboard{File: r, light: func() { t.Error("light") }}, [256]byte{}
	for _, part := range []string{"\x1b", "x", "\x1b]11;no end of it at all, and more of it than any answer of a terminal has"} {
		must.Get(io.WriteString(w, part)).In(t)
		if n, err := k.Read(b[:]); err != nil || string(b[:n]) != part {
			t.Errorf("%q: %q, %v", part, b[:n], err)
		}
	}
}
