package lifecycle

import "time"

// How an alarm presses harder while nobody answers. All of it is our own choice;
// the standard asks for a policy and names none.
const (
	soonFor     = 5 * time.Minute  // so long it rings densely
	repeatSoon  = 30 * time.Second // and then
	repeatLater = time.Minute
	repeatLow   = 5 * time.Minute // a low one does not nag
	mostLow     = 3               // rings of a low one
	raiseAfter  = 8 * time.Minute // one priority up after so long
	ringsALevel = 4               // rings to the next loudness
)

// The priorities as numbers: 0 low, 1 medium, 2 high.
const (
	low = iota
	medium
	high
)

// MostLevel is the loudest.
const MostLevel = 3

// Level is how loud a ring is, 1 to 3.
func Level(rings int) int { return min(MostLevel, 1+max(0, rings-1)/ringsALevel) }

// RepeatAfter is how long after a ring the next one comes; ok is false if it
// rings no more.
func RepeatAfter(priority, rings int, standing time.Duration) (wait time.Duration, ok bool) {
	switch {
	case priority <= low:
		return repeatLow, rings < mostLow
	case standing < soonFor:
		return repeatSoon, true
	}
	return repeatLater, true
}

// Priority is what an unanswered alarm of a priority has come to after standing
// so long: a medium one is high in the end, a low one stays, for nothing is lost.
func Priority(base int, standing time.Duration) int {
	if base == medium && standing >= raiseAfter {
		return high
	}
	return base
}
