package main

import "golang.org/x/sys/unix"

// sinceBoot is the clock that goes on during sleep; CLOCK_MONOTONIC is reckoned from the wall clock.
const sinceBoot = unix.CLOCK_MONOTONIC_RAW
