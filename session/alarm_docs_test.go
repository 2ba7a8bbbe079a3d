package session_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fleece.example/tubside/session"
)

// The table of alarms in DEVELOPERS.md is the program's own.
func TestAlarmTableIsDescribed(t *testing.T) {
	raw, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range session.AlarmTable() {
		row := fmt.Sprintf("| %s | %s | %s | %s | %s | %s |", f.Kind, f.Priority, f.Cause, f.Else, f.Do, f.Time)
		if !strings.Contains(string(raw), row) {
			t.Errorf("DEVELOPERS.md has no row %s", row)
		}
	}
}
