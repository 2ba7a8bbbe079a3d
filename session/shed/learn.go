package shed

import (
	"fleece.example/tubside/cooling"
)

// Loss is what a tub loses under a cover, as handbook and learned baths have it.
type Loss struct{ WPerK, SdLog, Tilt float64 }

// LossUnder is what a tub with so much water loses under a cover near midC in a room: the
// handbook's figure, times what past days taught.
func (p *Plan) LossUnder(tub Tub, volumeL float64, c cooling.Cover, midC, roomC float64) Loss {
	v := tub.Vessel()
	wPerK, handbookSD := cooling.LossWPerK(v, volumeL, c, midC, roomC)
	scale, sdLog := cooling.Prior(p.HeatOf(tub.ID, c), handbookSD)
	return Loss{wPerK * scale, sdLog, cooling.LossTilt(v, volumeL, c, midC, roomC)}
}

func (h TubHeat) learned() cooling.Learned {
	return cooling.Learned{LogScale: h.LogScale, SDLog: h.SDLog, Baths: h.Baths, BetweenSDLog: h.BetweenSDLog}
}

// BathLesson is what the readings of one finished bath say by themselves.
type BathLesson struct {
	Tub      string        `json:"tub"`
	Cover    cooling.Cover `json:"cover"`
	LogScale float64       `json:"log_scale"`
	SDLog    float64       `json:"sd_log"`
}

// HeatOf is what the plan knows of a tub under a cover; the zero value is nothing.
func (p *Plan) HeatOf(tub string, c cooling.Cover) cooling.Learned {
	for _, h := range p.Heat {
		if h.Tub == tub && h.Cover == c {
			return h.learned()
		}
	}
	return cooling.Learned{}
}

// HandbookSDLog is how unsure handbooks leave the loss under a cover.
func HandbookSDLog(c cooling.Cover) float64 {
	_, sd := cooling.LossWPerK(cooling.Vessel{CapacityL: 12}, 8, c, 57, 18)
	return sd
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
		l := p.HeatOf(tub.ID, c)
		out = append(out, CoverTime{c, cooling.MinutesBetween(tub.Vessel(), tub.FillL, c, k.RoomC, JudgedFromC, JudgedToC, l), l.Baths})
	}
	return out
}
