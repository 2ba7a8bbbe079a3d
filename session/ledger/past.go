package ledger

import (
	"slices"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

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
	slices.SortFunc(days, func(a, b Summary) int { return a.StartedAt.Compare(b.StartedAt) })
	type key struct {
		tub   string
		cover cooling.Cover
	}
	var order []key
	known := map[key]cooling.Learned{}
	for _, d := range days {
		if d.EndedAt.IsZero() {
			continue
		}
		today := map[key][]cooling.Lesson{}
		for _, l := range d.Lessons {
			k := key{l.Tub, l.Cover}
			if _, seen := known[k]; !seen {
				order = append(order, k)
				known[k] = cooling.Learned{}
			}
			today[k] = append(today[k], cooling.Lesson{LogScale: l.LogScale, SDLog: l.SDLog})
		}
		for k, lessons := range today {
			known[k] = known[k].UpdateDay(shed.HandbookSDLog(k.cover), cooling.BetweenDaySDLog, lessons...)
		}
	}
	var out []shed.TubHeat
	for _, k := range order {
		if l := known[k]; l.Baths > 0 {
			out = append(out, shed.TubHeat{Tub: k.tub, Cover: k.cover, LogScale: l.LogScale, SDLog: l.SDLog, Baths: l.Baths})
		}
	}
	return out
}
