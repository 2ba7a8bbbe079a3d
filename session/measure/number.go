package measure

import (
	"fmt"
	"math"
	"time"
)

// Lasting is a time of so many minutes.
func Lasting(m float64) time.Duration { return time.Duration(m * float64(time.Minute)) }

// MinutesBetween is b-a in minutes.
func MinutesBetween(a, b time.Time) float64 { return b.Sub(a).Minutes() }

// ShownMin is how long it is from a to b as a clock shows them, in whole minutes; within the
// same minute it is rounded.
func ShownMin(a, b time.Time) float64 {
	if min := MinutesBetween(a.Truncate(time.Minute), b.Truncate(time.Minute)); min != 0 {
		return min
	}
	return math.Round(MinutesBetween(a, b))
}

// About says what a refused figure was for.
func About(what string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s %w", what, err)
}

// Finite says that a figure is a number and no infinity.
func Finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
