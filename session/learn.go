package session

import (
	"slices"

	"fleece.example/tubside/cooling"
)

// TubHeat is what finished baths taught about one tub under one cover, as the
// next day starts from it.
type TubHeat struct {
	Tub      string        `json:"tub"` // the tub's ID
	Cover    cooling.Cover `json:"cover"`
	LogScale float64       `json:"log_scale"` // ln(loss/handbook loss)
	SDLog    float64       `json:"sd_log"`
	Baths    int           `json:"baths"`
}

func (h TubHeat) learned() cooling.Learned {
	return cooling.Learned{LogScale: h.LogScale, SDLog: h.SDLog, Baths: h.Baths}
}

// BathLesson is what the readings of one finished bath say by themselves.
type BathLesson struct {
	Tub      string        `json:"tub"`
	Cover    cooling.Cover `json:"cover"`
	LogScale float64       `json:"log_scale"`
	SDLog    float64       `json:"sd_log"`
}

// heatOf is what the plan knows of a tub under a cover; the zero value is nothing.
func (p Plan) heatOf(tub string, c cooling.Cover) cooling.Learned {
	for _, h := range p.Heat {
		if h.Tub == tub && h.Cover == c {
			return h.learned()
		}
	}
	return cooling.Learned{}
}

// worthLearningSDLog: readings that leave the loss open by more than this, about
// a factor of two either way, are not counted as a bath that taught something.
const worthLearningSDLog = 0.6

// Lessons is what the finished baths of a day teach: those with readings that
// kept one cover from sink-in to lift. A cold presoak teaches nothing.
func (d Day) Lessons() []BathLesson {
	var out []BathLesson
	for _, b := range d.Baths {
		cover, ok := b.soakCover()
		if !ok || !b.Step.Kind.Facts().Teaches || b.Tub < 0 || b.Tub >= len(d.Plan.Kit.Tubs) {
			continue
		}
		tub := d.Plan.Kit.Tubs[b.Tub]
		used, _ := cooling.Prior(d.Plan.heatOf(tub.ID, cover), handbookSDLog(cover), cooling.BetweenDaySDLog)
		if l, ok := bathHeat(d.Plan, b).fit.Lesson(used); ok && l.SDLog <= worthLearningSDLog {
			out = append(out, BathLesson{Tub: tub.ID, Cover: cover, LogScale: l.LogScale, SDLog: l.SDLog})
		}
	}
	return out
}

// soakCover is the one cover a bath had while the fleece was in; ok is false
// if it changed, or the fleece never was in.
func (b Bath) soakCover() (c cooling.Cover, ok bool) {
	for _, h := range b.Changes {
		switch {
		case h.At.Before(b.SunkAt):
		case h.AddJPerK > 0:
			c, ok = h.Cover, true
		case ok && h.Cover != c:
			return c, false
		}
	}
	return c, ok && !b.LiftedAt.IsZero()
}

// handbookSDLog is how unsure handbooks leave the loss under a cover.
func handbookSDLog(c cooling.Cover) float64 {
	_, sd := cooling.LossWPerK(cooling.Vessel{CapacityL: 12}, 8, c, 57, 18)
	return sd
}

// LearnFrom is what all ended days taught, in whichever order they are given.
func LearnFrom(days []DaySummary) []TubHeat {
	days = slices.Clone(days)
	slices.SortFunc(days, func(a, b DaySummary) int { return a.StartedAt.Compare(b.StartedAt) })
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
			known[k] = known[k].UpdateDay(handbookSDLog(k.cover), cooling.BetweenDaySDLog, lessons...)
		}
	}
	var out []TubHeat
	for _, k := range order {
		if l := known[k]; l.Baths > 0 {
			out = append(out, TubHeat{Tub: k.tub, Cover: k.cover, LogScale: l.LogScale, SDLog: l.SDLog, Baths: l.Baths})
		}
	}
	return out
}

// CoverTime is how long a tub takes from 66 to 49 °C under a cover: early,
// likely, late in minutes, from so many baths.
type CoverTime struct {
	Cover cooling.Cover
	Min   cooling.Crossing
	Baths int
}

// JudgedFromC and JudgedToC are the stretch that a tub is judged by: a wash bath and
// its release temperature.
const (
	JudgedFromC = 65.5
	JudgedToC   = 49.0
)

// CoverTimes is what is known of one tub of a kit with each cover.
func CoverTimes(k Kit, tub Tub, heat []TubHeat) []CoverTime {
	p := Plan{Kit: k, Heat: heat}
	var out []CoverTime
	for _, c := range []cooling.Cover{cooling.Open, cooling.Lid, cooling.Film, cooling.LidAndFilm} {
		l := p.heatOf(tub.ID, c)
		out = append(out, CoverTime{c, cooling.MinutesBetween(tub.Vessel(), tub.FillL, c, k.RoomC, JudgedFromC, JudgedToC, l, cooling.BetweenDaySDLog), l.Baths})
	}
	return out
}
