package main

import (
	"bufio"
	"bytes"
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/sound"
	"fleece.example/tubside/session"
)

// The questions of a sound check, and what is remembered of the answers.
func TestSoundCheckAsks(t *testing.T) {
	played := sound.Result{Path: "sound server", Volume: 0.8, Played: true}
	muted := sound.Result{Path: "sound server", Volume: 0.8, Muted: true, Problem: "the output is muted"}
	nothing := sound.Result{Volume: math.NaN(), Problem: "no player"}
	all := func(r sound.Result) map[session.Priority]sound.Result {
		return map[session.Priority]sound.Result{session.LowPriority: r, session.MediumPriority: r, session.HighPriority: r}
	}
	for _, c := range []struct {
		name    string
		ask     bool
		answers string
		results map[session.Priority]sound.Result
		heard   int
		plays   int
		fails   string // "": it does not
		prints  string
	}{
		{"all heard", true, "y\nyes\nY\n", all(played), 3, 3, "", "output at 80 %"},
		{"played again", true, "r\nr\ny\ny\ny\n", all(played), 3, 5, "", ""},
		{"what is no answer is asked again", true, "maybe\n\ny\ny\ny\n", all(played), 3, 3, "", ""},
		{"one not heard", true, "y\nn\ny\n", all(played), 2, 3, "the medium alarm was played but not heard", ""},
		{"answers end", true, "y\n", all(played), 1, 3, "the medium alarm was played but not heard", ""},
		{"last answer without a line's end", true, "y\ny\ny", all(played), 3, 3, "", ""},
		{"muted", true, "n\nn\nn\n", all(muted), 0, 3, "the output is muted", "not to be heard by sound server, output at 80 %; the output is muted"},
		{"nothing plays: nothing is asked", true, "", all(nothing), 0, 3, "no player", "not played: no player"},
		{"nobody to ask", false, "", all(played), 0, 3, "", "played by sound server"},
		{"nobody to ask, muted", false, "", all(muted), 0, 3, "the low alarm was not played: the output is muted", ""},
		{"a terminal code in a reason", false, "", all(sound.Result{Problem: "no\x1b[2J device"}), 0, 3, "no", "not played: no device"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out bytes.Buffer
			plays := 0
			at := time.Date(2026, 5, 16, 8, 0, 0, 0, time.UTC)
			o := soundCheck{in: bufio.NewReader(strings.NewReader(c.answers)), out: &out, ask: c.ask,
				check: func(_ context.Context, p session.Priority) sound.Result {
					plays++
					r := c.results[p]
					r.Priority = p
					return r
				}}.run(t.Context(), at)
			heard := 0
			for i, a := range o.Answers {
				if a.Priority != session.LowPriority+session.Priority(i) || a.Asked != c.ask {
					t.Errorf("answer %d: %+v", i, a)
				}
				if a.Heard {
					heard++
				}
			}
			if len(o.Answers) != 3 || !o.At.Equal(at) || heard != c.heard || plays != c.plays {
				t.Errorf("%d answers, %d heard, %d plays", len(o.Answers), heard, plays)
			}
			if err := o.failure(); c.fails == "" && err != nil || c.fails != "" && (err == nil || !strings.Contains(err.Error(), c.fails)) {
				t.Errorf("ends with %v, want %q", err, c.fails)
			}
			if !strings.Contains(out.String(), c.prints) || strings.ContainsRune(out.String(), 0x1b) {
				t.Errorf("prints %q", out.String())
			}
		})
	}
	if (soundOutcome{}).failure() == nil {
		t.Error("an empty check is well")
	}
}
