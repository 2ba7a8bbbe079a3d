package long_test

import (
	"os"
	"os/exec"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fleece.example/tubside/session/long"
)

// Each run tries as many draws as it says, and a failure is made small in all of them.
func TestCheck(t *testing.T) {
	if os.Getenv("LONG_TEST_FAILS") != "" {
		n := 0
		long.Check(t, 7, func(r *rapid.T) {
			n++
			if x := rapid.IntRange(0, 1<<30).Draw(r, "x"); n > 1 && x >= 1 {
				r.Fatalf("too large: %d", x)
			}
		})
		return
	}
	for _, c := range []struct {
		env  string
		want int
	}{{"", 7}, {"1", 100}} {
		t.Setenv("TUBSIDE_LONG", c.env)
		n, want := 0, c.want
		if testing.Short() {
			want = min(want, 20)
		}
		long.Check(t, 7, func(*rapid.T) { n++ })
		if n != want {
			t.Errorf("with %q: %d draws, want %d", c.env, n, want)
		}
		cmd := exec.Command(os.Args[0], "-test.run=^TestCheck$", "-rapid.nofailfile")
		cmd.Env = append(os.Environ(), "LONG_TEST_FAILS=1")
		if out, err := cmd.CombinedOutput(); err == nil || !strings.Contains(string(out), "too large: 1\n") {
			t.Errorf("with %q it ends %v:\n%s", c.env, err, out)
		}
	}
}
