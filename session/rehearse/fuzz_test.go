package rehearse_test

import (
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/long"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
)

// Any bytes are a script or a sentence; a script plays within its bound, and
// all that it does can be written down.
func FuzzScript(f *testing.F) {
	for i, dir := range []string{scenarios + "*.json", scenarios + "contradictions/*.json", "demo.json"} {
		if fuzzing := flag.Lookup("test.fuzz"); i == 0 && !long.Run() && fuzzing.Value.String() == "" {
			continue // TestScenarios plays these
		}
		paths := must.Get(filepath.Glob(dir)).In(f)
		for _, p := range paths {
			text := must.Get(os.ReadFile(p)).In(f)
			f.Add(text)
		}
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := rehearse.Read(text)
		if err == nil {
			_, err = rehearse.PlayFor(s, func(r session.Recorded, _ session.Day) {
				if _, err := json.Marshal(r); err != nil {
					t.Fatalf("%v cannot be written: %v", r, err)
				}
			}, time.Hour) // three took a busy machine more than the 10 s that a fuzzer has for each
		}
		if err == nil {
			return
		}
		said := err.Error()
		if said == "" || len(said) > 2000 || strings.ContainsFunc(said, func(r rune) bool { return unicode.IsControl(r) }) {
			t.Fatalf("said %q", said)
		}
	})
}
