package exchange

import (
	"math"
	"strconv"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/session/tag"
)

// bathRow is a bath, or one reading in it, as the table has it.
type bathRow struct {
	day     shed.DayID
	code    string
	fleece  shed.Fleece
	out     session.Outcome
	zone    *time.Location
	bath    lookback.Bath
	reading *session.Reading // nil: the bath itself
}

// bathRows are the baths of a day, batch by batch in their order, each before its readings.
func bathRows(id shed.DayID, d session.Day, zone *time.Location) (out []bathRow) {
	for _, b := range lookback.Baths(d) {
		code, err := tag.Code(id, b.Batch)
		if err != nil {
			code = "" // a mark from elsewhere has none
		}
		r := bathRow{day: id, code: code, fleece: *d.FleeceOf(b.Batch), out: d.Fate[b.Batch].Out, zone: zone, bath: b}
		out = append(out, r)
		for i := range b.Readings {
			r.reading = &b.Readings[i]
			out = append(out, r)
		}
	}
	return out
}

// ofBath is a cell that a reading leaves empty.
func ofBath(cell func(lookback.Bath) string) func(bathRow) string {
	return func(r bathRow) string {
		if r.reading != nil {
			return ""
		}
		return cell(r.bath)
	}
}

// knownC is a temperature and whether a thermometer said so, as two columns.
func knownC(name string, of func(lookback.Bath) lookback.Known) []column[bathRow] {
	return []column[bathRow]{
		{name + "_c", ofBath(func(b lookback.Bath) string { return degrees(of(b).TempC) })},
		{name + "_read", ofBath(func(b lookback.Bath) string {
			switch {
			case !measure.Finite(of(b).TempC):
				return ""
			case of(b).Read:
				return "yes"
			}
			return "no"
		})},
	}
}

// bathColumns are those of the table of baths; a new one goes to the end.
var bathColumns = func() []column[bathRow] {
	out := []column[bathRow]{
		{"day", func(r bathRow) string { return strconv.FormatUint(uint64(r.day), 10) }},
		{"code", func(r bathRow) string { return asText(r.code) }},
		{"batch", func(r bathRow) string { return harmless(r.bath.Batch) }},
		{"fleece", func(r bathRow) string { return harmless(r.fleece.ID) }},
		{"animal", func(r bathRow) string { return harmless(r.fleece.Animal) }},
		{"tub", func(r bathRow) string { return harmless(r.bath.TubName) }},
		{"step", func(r bathRow) string { return harmless(r.bath.Step.Name) }},
		{"what", func(r bathRow) string {
			if r.reading != nil {
				return "reading"
			}
			return "bath"
		}},
		{"at", func(r bathRow) string {
			if r.reading != nil {
				return moment(r.reading.At, r.zone)
			}
			return moment(r.bath.FilledAt, r.zone)
		}},
		{"temp_c", func(r bathRow) string {
			if r.reading != nil {
				return degrees(r.reading.TempC)
			}
			return degrees(r.bath.FillC)
		}},
		{"forecast_c", func(r bathRow) string {
			if r.reading == nil {
				return ""
			}
			return degrees(r.reading.ForecastC)
		}},
		{"volume_l", ofBath(func(b lookback.Bath) string { return mass(b.VolumeL) })},
		{"in_at", func(r bathRow) string {
			return ofBath(func(b lookback.Bath) string { return moment(b.SunkAt, r.zone) })(r)
		}},
		{"out_at", func(r bathRow) string {
			return ofBath(func(b lookback.Bath) string { return moment(b.LiftedAt, r.zone) })(r)
		}},
		{"planned_min", ofBath(func(b lookback.Bath) string { return degrees(b.PlannedMin) })},
		{"soaked_min", ofBath(func(b lookback.Bath) string { return degrees(b.ActualMin) })},
	}
	out = append(out, knownC("in", func(b lookback.Bath) lookback.Known { return b.In })...)
	out = append(out, knownC("out", func(b lookback.Bath) lookback.Known { return b.Lift })...)
	out = append(out, knownC("lowest", func(b lookback.Bath) lookback.Known { return b.Lowest })...)
	return append(out,
		column[bathRow]{"release_c", ofBath(func(b lookback.Bath) string {
			if !b.Step.HasRelease() {
				return ""
			}
			return degrees(b.Step.ReleaseC)
		})},
		column[bathRow]{"margin_c", ofBath(func(b lookback.Bath) string { return degrees(b.MarginC) })},
		column[bathRow]{"came_out", func(r bathRow) string { return r.out.Found.String() }},
	)
}()

// degrees is a figure to a tenth, "" where it is not known; unlike a weight it may be 0 or less.
func degrees(v float64) string {
	if !measure.Finite(v) {
		return ""
	}
	return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', -1, 64)
}
