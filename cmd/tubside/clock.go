package main

import "time"

// wallClock is the time as it is.
type wallClock struct{}

func (wallClock) Now() time.Time { return time.Now() }

// pacedClock starts at a time of its own and runs faster than the real one.
type pacedClock struct {
	start time.Time
	began time.Time // of the real time
	pace  float64
}

func newPacedClock(start time.Time, pace float64) pacedClock {
	return pacedClock{start: start, began: time.Now(), pace: pace}
}

func (c pacedClock) Now() time.Time {
	return c.start.Add(time.Duration(float64(time.Since(c.began)) * c.pace))
}
