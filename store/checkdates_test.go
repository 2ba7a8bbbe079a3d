package store

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/shed"
)

// A check dates a day as its person writes dates.
func TestACheckDatesDaysInOwnUnits(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.db")
	s := must.Get(Open(path)).In(t)
	must.Do(t, errors.Join(s.SaveKit(shed.DefaultKit().In(measure.US)), s.Close()))
	if rep, err := Check(path); err != nil || rep.units != measure.US {
		t.Errorf("checked in %v: %v", rep.units, err)
	}
	line := ledger.Summary{StartedAt: time.Date(2026, 6, 13, 9, 0, 0, 0, time.Local)}
	for u, want := range map[measure.System]string{measure.US: "wash day 1, of June 13, 2026", measure.Metric: "wash day 1, of 13 June 2026"} {
		if got := (&Report{units: u}).dayName(1, line); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
