package past

import (
	"strings"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/yield"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/draw"
)

// Holds is what the shed holds: what to weigh next, and the fleeces that are not used up.
type Holds struct {
	rack    dryingFound
	fleeces []ledger.Entry
	Wet     []ledger.BookedBatch // what days left wet
}

// HoldsOf makes the reading of it: slow, for the background.
func HoldsOf(e *base.Env) func() (Holds, error) {
	j, l, rows, now := e.Journal, e.Ledger, &e.Record.Rows, e.Now
	return func() (h Holds, err error) {
		if h.rack, err = dryingNow(j, rows, 0, session.Day{}, now); err != nil {
			return Holds{}, err
		}
		days, err := rows.Read(j)
		if err != nil {
			return Holds{}, err
		}
		fleeces, err := l.Fleeces()
		if err != nil {
			return Holds{}, err
		}
		h.Wet = ledger.StockOf(fleeces, days).Wet
		for _, x := range ledger.Book(fleeces, days) {
			if of := shares(&e.Theme, &x); sumG(of) > of[1].rawG { // not all of it is used
				h.fleeces = append(h.fleeces, x)
			}
		}
		return h, nil
	}
}

// Lines draws it in so many lines at most: the fleeces as bars to one scale, the newest first, and
// the rack.
func (h Holds) Lines(e *base.Env, w, room int) (out []string) {
	t, u := &e.Theme, e.Kit.Units
	if next := h.weighNext(e); next != "" {
		if out = append(append(out, ""), draw.Told(t.Next, next, w)...); len(out) > room {
			return nil
		}
	}
	g := base.Grid{Cols: []base.Column{{Name: true}, {}}}
	all := make([][]share, len(h.fleeces))
	var rows [][]string
	wide := 0
	for i, x := range h.fleeces {
		all[i] = shares(t, &x)
		all[i][1].rawG = 0 // used: gone from the shed
		var parts []string
		for _, p := range all[i] {
			if p.rawG > 0 {
				parts = append(parts, p.says(u))
			}
		}
		rows = append(rows, []string{x.Fleece.Title(), strings.Join(parts, ", ")})
		wide = max(wide, len(rows[i][1]))
	}
	if g.SetRows(rows); len(rows) > 0 && room-len(out) > 1 && wide < w*3/4 { // bars without their figures say little
		g.At, g.Beside = -1, bars(t, len(all), func(row int) []share { return all[row] })
		out = append(append(out, ""), g.Lines(t, 0, w, room-len(out)-1)...)
	}
	if len(h.rack.list) > 0 {
		out = append(out, rackDrawing(e, h.rack.list, -1, w, room-len(out))...)
	}
	return out
}

// weighNext says what to weigh next on the rack, and when; "" if nothing dries.
func (h Holds) weighNext(e *base.Env) string {
	if len(h.rack.list) == 0 {
		return ""
	}
	x := h.rack.list[0]
	drying, what := base.Counted(len(h.rack.list), "batch", "batches")+" drying. ", marked(e, h.rack.list, x)+", "+x.Fleece.Title()
	if x.Dry {
		return drying + what + ", is dry: bag it"
	}
	return drying + "Weigh " + what + ": " + weighText(e, x.WeighAt)
}

// coarse says which weights are the same on a scale that shows no 2 % of what a batch rests at.
func (w *weighing) coarse(x session.DryingBatch, before, behind string) string {
	step := w.scale.ReadToG()
	if rest := x.Forecast.RestingG.Likely; rest == 0 || !yield.TooCoarse(rest, step) {
		return ""
	}
	return before + "Weights up to " + w.e.Kit.Units.Mass(step) + " apart are the same on this scale" + behind
}

// notMet is the part of the rule that the weights of a batch do not meet.
func notMet(e *base.Env, x session.DryingBatch) string {
	freeG := yield.FreePart * x.Forecast.RestingG.Likely
	switch {
	case x.Forecast.Heavier:
		return "at the other time of day it was far heavier"
	case x.Forecast.OtherTime:
		return "weighed at one time of day only, and air makes wool heavier by night than by day"
	case len(x.Wet) == 1:
		return "one weight can't show it's dry"
	case freeG == 0: // no forecast
		return "not dry by its weights yet"
	}
	return "by its weights it may still lose more than " + e.Kit.Units.Mass(freeG)
}
