package ledger

import (
	"fmt"
	"slices"
	"sort"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// RackDays is how many days back a batch may still lie on the rack.
const RackDays = 30

// Past is what earlier days tell a plan: how tubs keep their heat, how long the hands
// take, what lies on the rack.
type Past struct {
	Heat   []shed.TubHeat
	Hands  []shed.HandsTime
	OnRack []shed.Lying
	Gave   []shed.Gave
}

// PastOf is what days, newest first, tell a plan. Those of the last RackDays have their
// rows (FillRows).
func PastOf(days []Summary) Past {
	return Past{LearnFrom(days), LearnHands(days), StillDrying(Recent(days)), gave(days)}
}

// ReadPast is PastOf all days of a journal.
func ReadPast(j Journal) (Past, error) {
	days, err := j.Days(0)
	if err != nil {
		return Past{}, err
	}
	if err := FillRows(j, Recent(days)); err != nil {
		return Past{}, err
	}
	return PastOf(days), nil
}

// Recent are the days of which something may still lie on the rack.
func Recent(days []Summary) []Summary {
	for i, lived := 0, 0; i < len(days); i++ {
		if days[i].EnteredAt.IsZero() { // what is on a card lies on no tray
			lived++
		}
		if lived == RackDays {
			return days[:i+1]
		}
	}
	return days
}

// Tell is a plan with what the past says.
func (p Past) Tell(plan shed.Plan) shed.Plan {
	plan.Heat, plan.Hands, plan.OnRack, plan.Gave = p.Heat, p.Hands, p.OnRack, nil
	for _, g := range p.Gave {
		if slices.ContainsFunc(plan.Fleeces, func(f shed.Fleece) bool { return f.ID == g.Fleece }) {
			plan.Gave = append(plan.Gave, g)
		}
	}
	return plan
}

// gave lists what was weighed dry on these days.
func gave(days []Summary) (out []shed.Gave) {
	before := WashedAgain(days)
	for _, s := range days {
		for _, r := range s.Rows {
			if r.State() == Bagged && !before.Has(s.ID, r.ID) && shed.BatchG.Contains(r.RawG) {
				out = append(out, shed.Gave{Fleece: r.FleeceID, Part: shed.PartKey(r.Part), RawG: r.RawG, DryG: r.DryG})
			}
		}
	}
	return out
}

// LearnHands is what the days up to now taught: each day counts as often as
// the act was seen in it.
func LearnHands(days []Summary) []shed.HandsTime {
	sum, n := map[shed.Action]float64{}, map[shed.Action]int{}
	for _, d := range days {
		if d.EndedAt.IsZero() {
			continue
		}
		for _, h := range d.Hands {
			if h.Times > 0 && h.Min > 0 && measure.Finite(h.Min) {
				sum[h.Act] += h.Min * float64(h.Times)
				n[h.Act] += h.Times
			}
		}
	}
	var out []shed.HandsTime
	for act := shed.LoadNext; act < shed.FinishDay; act++ {
		if n[act] > 0 {
			out = append(out, shed.HandsTime{Act: act, Min: sum[act] / float64(n[act]), Times: n[act]})
		}
	}
	return out
}

// LearnFrom is what all ended days taught, in whichever order they are given.
func LearnFrom(days []Summary) []shed.TubHeat {
	days = slices.Clone(days)
	sort.SliceStable(days, func(i, j int) bool { return days[i].StartedAt.Before(days[j].StartedAt) })
	type key struct {
		tub   string
		cover cooling.Cover
	}
	var order []key
	taught := map[key]cooling.TubDays{}
	baths := map[key]int{}
	for _, d := range days {
		if d.EndedAt.IsZero() {
			continue
		}
		today := map[key][]cooling.Lesson{}
		for _, l := range d.Lessons {
			k := key{l.Tub, l.Cover}
			if _, seen := taught[k]; !seen {
				order = append(order, k)
				taught[k] = cooling.TubDays{HandbookSDLog: shed.HandbookSDLog(k.cover)}
			}
			if one := (cooling.Lesson{LogScale: l.LogScale, SDLog: l.SDLog}); one.Says() {
				today[k] = append(today[k], one)
			}
		}
		for k, lessons := range today {
			if day, ok := cooling.DayOf(lessons...); ok {
				t := taught[k]
				t.Days = append(t.Days, day)
				taught[k] = t
				baths[k] += len(lessons)
			}
		}
	}
	tubs := make([]cooling.TubDays, 0, len(order))
	for _, k := range order {
		tubs = append(tubs, taught[k])
	}
	var out []shed.TubHeat
	for i, between := range cooling.BetweenDays(tubs...) {
		k := order[i]
		if l := tubs[i].Learn(between, baths[k]); l.Baths > 0 {
			out = append(out, shed.TubHeat{Tub: k.tub, Cover: k.cover, LogScale: l.LogScale, SDLog: l.SDLog, Baths: l.Baths, BetweenSDLog: l.BetweenSDLog})
		}
	}
	return out
}

// RackAfter is what earlier days have on the rack once another day says what of
// it lies there, without what a third washed again; changed is false if the day knows it so.
func RackAfter(d session.Day, other Summary, before BatchesBefore) (onRack []shed.Lying, changed bool) {
	onRack = slices.DeleteFunc(slices.Clone(d.Plan.OnRack), func(l shed.Lying) bool { return l.Day == other.ID })
	for _, l := range StillDrying([]Summary{other}) {
		if !before.Has(l.Day, l.Batch) {
			onRack = append(onRack, l)
		}
	}
	return onRack, !d.HasOnRack(onRack)
}

// NeedsRows says that the summary was written by an older version: it has no rows, or
// its rows have the time when a batch got its tub instead of the time when it first
// went into the water, or do not say how far a batch in the water came.
func (s Summary) NeedsRows() bool {
	untold := func(r BatchRow) bool { return r.State() == InWater && (s.Sunk == 0 || r.Reached == ReachedUnknown) }
	return len(s.Rows) == 0 && s.Batches > 0 || slices.ContainsFunc(s.Rows, untold)
}

// FillRows gives the rows to summaries that need them, from their events. The
// store is not changed: a day's next event writes its summary anew.
//
// Errors: those of j, naming the day.
func FillRows(j Journal, days []Summary) error {
	for i, s := range days {
		if !s.NeedsRows() {
			continue
		}
		d, err := j.Day(s.ID)
		if err != nil {
			return fmt.Errorf("day %d: %w", s.ID, err)
		}
		told := Summarise(s.ID, d)
		days[i].Rows, days[i].Sunk, days[i].Fleeces = told.Rows, told.Sunk, told.Fleeces
	}
	return nil
}

// StillDrying lists what lies on a tray by these summaries.
func StillDrying(days []Summary) []shed.Lying {
	var out []shed.Lying
	before := WashedAgain(days)
	for _, s := range days {
		for _, r := range s.Rows {
			if r.State() == Drying && r.Tray != "" && !before.Has(s.ID, r.ID) {
				out = append(out, shed.Lying{Tray: r.Tray, Day: s.ID, Batch: r.ID, Spots: r.Spots})
			}
		}
	}
	return out
}

// InOrder puts days in the order of time, the newest first, where some were entered later;
// else they stay as they were begun, whatever the clock said.
func InOrder(days []Summary) []Summary {
	if slices.ContainsFunc(days, func(s Summary) bool { return !s.EnteredAt.IsZero() }) {
		sort.SliceStable(days, func(i, j int) bool { return days[i].StartedAt.After(days[j].StartedAt) })
	}
	return days
}
