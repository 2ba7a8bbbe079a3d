package session_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fleece.example/tubside/session/must"
)

// A time of day or a date that a person reads is written by measure.System.Moment, so
// that it is in the person's own way. Files that write for machines, or before the units
// are known, are named.
func TestMomentsAreInThePersonsWay(t *testing.T) {
	without := map[string]bool{
		"store/check.go": true, "store/mark.go": true, "store/merge.go": true, "cmd/tubside/unsaved.go": true, "cmd/tubside/restore.go": true, "cmd/tubside/copies.go": true, // the kit may be what is damaged
		"cmd/tubside/forecast_out.go": true, "cmd/tubside/forecast_read.go": true, // as the file of readings has them
		"session/measure/moment.go": true,
	}
	own := regexp.MustCompile(`\.Format\("[^"]*(15:04|Jan)`)
	seen := 0
	for _, folder := range []string{"session", "tui", "store", "cmd"} {
		must.Do(t, filepath.WalkDir(filepath.Join("..", folder), func(path string, e os.DirEntry, err error) error {
			if err != nil || e.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "testdata") {
				return err
			}
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			seen++
			name := strings.TrimPrefix(filepath.ToSlash(path), "../")
			if at := own.FindString(string(text)); at != "" && !without[name] {
				t.Errorf("%s has %s: measure.System.Moment knows the person's way", name, at)
			}
			return nil
		}))
	}
	if seen < 100 {
		t.Errorf("only %d files were read", seen)
	}
}
