package base

import (
	"fmt"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
	"fleece.example/tubside/tui/draw"
)

// CountWords is what an act's minutes are of.
func CountWords(d session.Day, p coach.Prompt) string {
	if p.Tub < 0 {
		return ""
	}
	release := d.Plan.Kit.Units.Temp(d.Tubs[p.Tub].Bath.Step.ReleaseC)
	switch p.Count.Of {
	case coach.ToRelease:
		return "to " + release
	case coach.MayBeBelow:
		return "may be below " + release
	case coach.SinceBelow:
		return "below " + release
	case coach.SinceLongest:
		return "past its longest soak"
	case coach.SinceSoak:
		return "over the soak"
	case coach.SinceWet:
		return "late, hanging wet"
	case coach.NoCount, coach.ToDue:
	}
	return ""
}

// CountText is an act's count in words, "18 min below 49 °C"; "" for one that says
// no more than the moment does.
func CountText(d session.Day, p coach.Prompt, now time.Time) string {
	words := CountWords(d, p)
	if words == "" || p.Count.Of == coach.MayBeBelow {
		return words
	}
	return draw.MinText(p.Count.At.Sub(now).Abs().Minutes()) + " " + words
}

// AtTheEnd says which batches are wet when the day ends, and which go back to their fleece,
// for they never went in or were presoaked only; "" if none.
func AtTheEnd(d session.Day) string {
	wet, neverIn, presoaked := d.NotRacked()
	var parts []string
	if len(wet) > 0 {
		parts = append(parts, draw.Listed(wet)+draw.Verb(wet, " is", " are")+" still wet, not on the rack")
	}
	if len(neverIn) > 0 {
		parts = append(parts, draw.Listed(neverIn)+draw.Verb(neverIn, " goes back to its fleece", " go back to their fleece"))
	}
	if len(presoaked) > 0 {
		parts = append(parts, draw.Listed(presoaked)+draw.Verb(presoaked, " is", " are")+" presoaked only, still to wash")
	}
	return strings.Join(parts, "; ")
}

// More says how many lines of a list, or fields of a form, are out of sight; "" for none.
func More(above, below int) string {
	switch {
	case above > 0 && below > 0:
		return fmt.Sprintf("   %d more above, %d below", above, below)
	case above > 0:
		return fmt.Sprintf("   %d more above", above)
	case below > 0:
		return fmt.Sprintf("   %d more below", below)
	}
	return ""
}
