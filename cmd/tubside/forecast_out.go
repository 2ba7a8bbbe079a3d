package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"fleece.example/tubside/cooling"
	"fleece.example/tubside/session/measure"
)

// finiteOrNull writes what is not a number as null.
type finiteOrNull float64

func (f finiteOrNull) MarshalJSON() ([]byte, error) {
	if v := float64(f); math.IsNaN(v) || math.IsInf(v, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(f))
}

// forecastJSON is the command's answer. Temperatures are °C, times minutes since time 0
// of the file, or since its first time of day; a crossing that may never come is null.
type forecastJSON struct {
	RoomC       finiteOrNull  `json:"room_c"`
	RoomSD      finiteOrNull  `json:"room_sd"`
	StartC      finiteOrNull  `json:"start_c"`
	StartSD     finiteOrNull  `json:"start_sd"`
	RatePerMin  finiteOrNull  `json:"rate_per_min"`
	RateSD      finiteOrNull  `json:"rate_sd"`
	RSS         finiteOrNull  `json:"rss"`
	Points      int           `json:"points"`
	LossScale   float64       `json:"loss_scale,omitempty"`   // how many times the handbook's loss the tub loses
	RoomBounded bool          `json:"room_bounded,omitempty"` // the readings cannot tell the room: this is the nearest there may be
	MissC       finiteOrNull  `json:"miss_c"`                 // how far the readings lie from any law of cooling
	LeftOut     []leftOutJSON `json:"left_out,omitempty"`
	CountedFrom string        `json:"counted_from"`
	CrossingMin struct {
		Early  finiteOrNull `json:"early"`
		Likely finiteOrNull `json:"likely"`
		Late   finiteOrNull `json:"late"`
	} `json:"crossing_min"`
	CrossingAt *clockJSON `json:"crossing_at,omitempty"`
}

// leftOutJSON is a reading that was left out, by its line in the file.
type leftOutJSON struct {
	Line      int     `json:"line"`
	TempC     float64 `json:"temp_c"`
	ExpectedC float64 `json:"expected_c"`
	MeantC    float64 `json:"meant_c,omitempty"`
}

// clockJSON is the crossing in times of day, null for never.
type clockJSON struct {
	Early  *string `json:"early"`
	Likely *string `json:"likely"`
	Late   *string `json:"late"`
}

func writeForecastJSON(out io.Writer, s readings) error {
	fit := s.fit
	j := forecastJSON{
		RoomC: finiteOrNull(fit.RoomC), RoomSD: finiteOrNull(fit.RoomSDC),
		StartC: finiteOrNull(fit.StartC), StartSD: finiteOrNull(fit.StartSDC),
		RatePerMin: finiteOrNull(fit.RatePerMin), RateSD: finiteOrNull(fit.RateSDPerMin),
		RSS: finiteOrNull(fit.RSS), Points: fit.Points, RoomBounded: fit.RoomUntold,
		LossScale: fit.LossScale, MissC: finiteOrNull(fit.LawMissC), CountedFrom: s.countedFrom(),
	}
	for _, x := range s.leftOut {
		j.LeftOut = append(j.LeftOut, leftOutJSON{x.line, x.tempC, x.ExpectedC, x.MeantC})
	}
	j.CrossingMin.Early = finiteOrNull(fit.Crossing.EarlyMin)
	j.CrossingMin.Likely = finiteOrNull(fit.Crossing.LikelyMin)
	j.CrossingMin.Late = finiteOrNull(fit.Crossing.LateMin)
	if s.clock {
		at := func(m float64) *string {
			moment, ok := s.moment(m)
			if !ok {
				return nil
			}
			text := moment.Format("15:04:05")
			if s.dated {
				text = moment.Format(time.RFC3339)
			}
			return &text
		}
		j.CrossingAt = &clockJSON{at(fit.Crossing.EarlyMin), at(fit.Crossing.LikelyMin), at(fit.Crossing.LateMin)}
	}
	return json.NewEncoder(out).Encode(j)
}

// countedFrom says from when its minutes count.
func (s readings) countedFrom() string {
	if s.clock {
		return "the first reading, " + s.clockText(measure.Metric, 0)
	}
	return "time 0 of the file"
}

// moment is a minute as a time of day; ok is false for never.
func (s readings) moment(m float64) (time.Time, bool) {
	const decade = 10 * 366 * 24 * 60
	if !(m <= decade) {
		return time.Time{}, false
	}
	return s.first.Add(time.Duration(m * float64(time.Minute))), true
}

// clockText is a minute as a time of day, with what is needed to know the day.
func (s readings) clockText(u measure.System, m float64) string {
	at, ok := s.moment(m)
	first := s.first
	switch days := int(at.Sub(first.Truncate(24*time.Hour)) / (24 * time.Hour)); {
	case !ok:
		return never
	case s.dated && (m == 0 || at.Format(time.DateOnly) != first.Format(time.DateOnly)):
		return u.Moment(at, "2006-01-02 15:04")
	case s.dated || days == 0:
		return u.Clock(at)
	case days == 1:
		return u.Clock(at) + " the day after"
	default:
		return fmt.Sprintf("%s, %d days after", u.Clock(at), days)
	}
}

const never = "never, as far as can be told"

// missSaidC is how far readings lie from any law of cooling before it is said. No
// series of testdata/published does.
const missSaidC = 1.5

func (f *forecast) writeText(out io.Writer, u measure.System, s readings) error {
	fit := s.fit
	for _, x := range s.leftOut {
		meant := ""
		if x.Meant != cooling.Unexplained {
			meant = fmt.Sprintf(" (was it %s, %s?)", u.TempFine(x.MeantC), x.Meant)
		}
		if _, err := fmt.Fprintf(out, "line %d says %s where the others have %s%s: left out\n", x.line, u.TempFine(x.tempC), u.TempFine(x.ExpectedC), meant); err != nil {
			return err
		}
	}
	said := max(missSaidC, 1.5*f.readingSDC)
	lie := fmt.Sprintf("they lie about %s from the curve", u.TempDelta(fit.ReadingSDC))
	if f.cover != "" {
		said = max(said, 3*cooling.KitchenReadingSDC) // the handbook bends to no readings
		lie = fmt.Sprintf("they lie about %s from what such a bath does", u.TempDelta(fit.LawMissC))
	}
	if fit.LawMissC > said {
		lie = fmt.Sprintf(u.Spell("they lie %s from any way that water cools: stirred? draught? two baths in one file?"), u.TempDelta(fit.LawMissC))
	}
	room := u.TempFine(fit.RoomC)
	if fit.RoomUntold {
		there := measure.Range{Min: cooling.CoolestTriedC, Max: cooling.WarmestTriedC}
		room = "the readings cannot tell"
		if livedIn := (measure.Range{Min: 0, Max: 40}); !math.IsNaN(fit.FreeRoomC) && !livedIn.Contains(fit.FreeRoomC) {
			room += fmt.Sprintf(": %s would fit them best, where nobody washes", u.Temp(fit.FreeRoomC))
		}
		room += fmt.Sprintf("\n       so this is for a room of %s to %s; --room with a thermometer's figure tells more", u.Temp(there.Min), u.Temp(there.Max))
	}
	rate := fmt.Sprintf("rate   %.4g %% of the difference to the room a minute (+- %.2g)", 100*fit.RatePerMin, 100*fit.RateSDPerMin)
	if f.cover != "" {
		rate = fmt.Sprintf("loss   %.2f times what is usual for %s in a tub of %s, %s", fit.LossScale, u.Volume(f.volumeL), u.Volume(f.sizeL), strings.ToLower(f.cover))
	}
	when := func(m float64) string {
		if math.IsNaN(m) || math.IsInf(m, 0) {
			return never
		}
		if s.clock {
			return s.clockText(u, m)
		}
		return measure.Minutes(m)
	}
	law := "a plain curve, which open water leaves: with --cover and --volume this is a bath's own law\n"
	if f.cover != "" || fit.LawMissC == 0 {
		law = ""
	}
	from := "counted from " + s.countedFrom()
	if s.clock {
		from = "the first reading is of " + s.clockText(u, 0)
	}
	x := fit.Crossing
	down := fmt.Sprintf("early %s, likely %s, late %s", when(x.EarlyMin), when(x.LikelyMin), when(x.LateMin))
	switch {
	case when(x.EarlyMin) == never: // and so the others
		down = never
	case f.floorC >= fit.StartC:
		down = "it was from the start"
	}
	_, err := fmt.Fprintf(out, "%d readings; %s\nroom   %s\nstart  %s\n%s\ndown to %s: %s\n%s\n%s",
		fit.Points, lie, room, u.TempFine(fit.StartC), rate, u.Temp(f.floorC), down, from, law)
	return err
}
