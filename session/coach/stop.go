package coach

import (
	"fmt"
	"slices"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
)

// fillStop is why a bath had better not be filled yet, and what would do.
type fillStop struct {
	title, why, doubt string
	ways              []string
	waitMin           float64 // as of IdleFill
}

// stopOf is IdleFill in words.
func stopOf(d session.Day, tub int, now time.Time) (out fillStop, ok bool) {
	f, ok := d.IdleFill(tub, now)
	if !ok {
		return out, false
	}
	out = fillStop{title: "do not fill, too cool", why: planner.IdleReason(f.Look, f.Bath), waitMin: f.WaitMin, doubt: d.TubName(tub) + "'s bath would be too cool to wash"}
	if !f.Look.TooCool(f.Bath) {
		out.title, out.doubt = "do not fill, cools too fast", d.TubName(tub)+"'s bath wouldn't last the soak"
	}
	if measure.Finite(f.WaitMin) {
		out.ways = append(out.ways, fmt.Sprintf("wait %s for the tank", measure.Minutes(f.WaitMin)))
	}
	out.ways = append(out.ways, planner.IdleRemedies(f.Look, tub, &f.Batch, f.Bath)...)
	return out, true
}

// freshStop is fillStop for the bath of a filled tub, emptied and filled again.
func freshStop(d session.Day, tub int, now time.Time) (fillStop, bool) {
	d.Tubs = slices.Clone(d.Tubs)
	d.Tubs[tub].Phase = shed.ToFill
	return stopOf(d, tub, now)
}
