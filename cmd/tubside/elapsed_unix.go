//go:build linux || darwin

package main

import (
	"time"

	"golang.org/x/sys/unix"
)

// elapsed is time that nobody can set and that goes on while the machine
// sleeps; nil where the system has none.
func elapsed() func() time.Duration {
	var ts unix.Timespec
	if err := unix.ClockGettime(sinceBoot, &ts); err != nil {
		return nil
	}
	return func() time.Duration {
		var ts unix.Timespec
		if err := unix.ClockGettime(sinceBoot, &ts); err != nil {
			return 0
		}
		return time.Duration(ts.Nano())
	}
}
