package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/adrg/xdg"

	"fleece.example/tubside/session/must"
)

// What a typed path means, and what is said of one that can't be written.
func TestReadyPath(t *testing.T) {
	there := filepath.Join(t.TempDir(), "there.csv")
	must.Do(t, os.WriteFile(there, nil, 0o600))
	none := filepath.Join(filepath.Dir(there), "none", "day.html")
	for typed, want := range map[string]string{
		there: "exists already", none: "there is no folder " + filepath.Dir(none), filepath.Dir(there): "is a folder", filepath.Join(there, "x"): "there is no folder",
	} {
		if path, err := (along{}).Ready(typed); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %s, %v", typed, path, err)
		}
	}
	if path, err := (along{}).Ready(filepath.Join("~", "tubside-no-such-day.html")); err != nil || path != filepath.Join(xdg.Home, "tubside-no-such-day.html") {
		t.Errorf("~: %s, %v", path, err)
	}
}
