package main

import (
	"time"

	"golang.org/x/sys/windows"
)

// elapsed is time that nobody can set and that goes on while the machine sleeps.
func elapsed() func() time.Duration { return windows.DurationSinceBoot }
