package lifecycle

import "time"

// How an alarm presses while nobody answers. All of it is our own choice; the
// standard asks for a policy and names none.
const (
	// Apart is how far two sounds are apart, but for a more urgent one.
	Apart        = 30 * time.Second
	soonFor      = 5 * time.Minute // so long a high one rings densely
	repeatSoon   = Apart           // and then
	repeatLater  = time.Minute
	repeatMedium = 5 * time.Minute
	repeatLow    = 10 * time.Minute // a low one does not nag
	mostLow      = 2                // rings of a low one
	ringsALevel  = 4                // rings to the next loudness
)

// The priorities as numbers; a call is below low.
const (
	call = iota
	low
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
	case rings == 0: // it was raised just behind another
		return Apart, true
	case priority <= call: // said once
		return 0, false
	case priority == low:
		return repeatLow, rings < mostLow
	case priority == medium:
		return repeatMedium, true
	case standing < soonFor:
		return repeatSoon, true
	}
	return repeatLater, true
}
