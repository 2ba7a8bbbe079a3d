// Package long says how much the tests try: a sample each time they are run, all of it
// where TUBSIDE_LONG is set, as .ci/run sets it. Only tests import it.
package long

import (
	"flag"
	"os"
	"runtime/debug"
	"testing"

	"pgregory.net/rapid"
)

// Tests make much that is soon garbage in a small heap: collected at four times its size a
// tenth of their processor time is saved. GOGC says otherwise, as for the benchmarks.
func init() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
}

// Run says that the tests run at length.
func Run() bool { return os.Getenv("TUBSIDE_LONG") != "" }

// Of is how many to try: few of the many, unless the tests run at length.
func Of[T any](few, many T) T {
	if Run() {
		return many
	}
	return few
}

// Check is rapid.Check for a property that takes its time: unless the tests run at
// length, or are told how many checks to make, only the first few draws are tried.
// What fails is made small as ever.
func Check(t *testing.T, few int, prop func(*rapid.T)) {
	t.Helper()
	if f := flag.Lookup("rapid.checks"); Run() || f.Value.String() != f.DefValue {
		rapid.Check(t, prop)
		return
	}
	n, failed := 0, false
	rapid.Check(t, func(r *rapid.T) {
		if n++; n > few && !failed {
			return
		}
		ended := false
		defer func() { failed = failed || !ended || r.Failed() }()
		prop(r)
		ended = true
	})
}

// Turn says whether the i-th of many pairs is tried: each at length, else every nth.
// Where n does not divide a row of them, each row and each column has its turn.
func Turn(i, n int) bool { return Run() || i%n == 0 }
