package lookback

import (
	"fmt"
	"math"
	"strings"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

// FromTo is a stretch by the clock: "09:04-09:24", "9:04-9:24 am", "09:04" within a minute, "-"
// where it is not known.
func (w Words) FromTo(s Stretch) string {
	if !s.Known() {
		return "-"
	}
	from, to := w.Hour(s.From), w.Hour(s.To)
	if w.Bare {
		from, _, _ = strings.Cut(from, " ")
		to, _, _ = strings.Cut(to, " ")
	}
	if from == to && s.Min() < 1 {
		return to
	}
	switch half := strings.LastIndexByte(to, ' '); {
	case w.Day(s.From) != w.Day(s.To): // overnight
		to = s.To.In(w.Zone).Format("Mon ") + to
	case half >= 0:
		from = strings.TrimSuffix(from, to[half:])
	}
	return from + "-" + to
}

// ShownMin is how long a stretch is between its ends as they are shown.
func ShownMin(s Stretch) float64 {
	if !s.Known() {
		return math.NaN()
	}
	return measure.ShownMin(s.From, s.To)
}

// rounded is some minutes as they are shown.
func rounded(min float64) string { return measure.Minutes(math.Round(min)) }

// Timing is the day beside its plan, label and text each.
func (w Words) Timing(t Timings) [][2]string {
	plannedMin, wasMin := t.HandsMin()
	day := [2]string{"washing", fmt.Sprintf("%s, %s", w.FromTo(t.Day.Was), rounded(ShownMin(t.Day.Was)))}
	hands := [2]string{"hands-on", rounded(wasMin)}
	if t.NoPlan != "" {
		day[1] += "; the plan can't be worked out again: " + t.NoPlan
	} else if t.Day.Planned.Known() {
		day[1] += fmt.Sprintf("; planned %s, %s", w.FromTo(t.Day.Planned), rounded(ShownMin(t.Day.Planned)))
		hands[1] += "; planned " + rounded(plannedMin)
	}
	hands[1] += fmt.Sprintf("; nothing to do for %s", rounded(t.RestMin))
	return [][2]string{day, hands}
}

// StepColumns head the columns of StepRow.
var StepColumns = [9]string{"step", "tub", "planned", "min", "was", "min", "in", "lowest", "out"}

// StepRow is a step as planned and as it was: from in to lifted and its minutes, and the bath's
// temperatures, "~" before an estimate.
func (w Words) StepRow(d session.Day, s StepTiming) []string {
	name, tub, was, min := s.Step.Name, "", w.FromTo(s.Was), minOr(s.WasMin())
	if s.Tub >= 0 {
		tub = d.TubName(s.Tub)
	}
	if measure.Finite(s.WasMin()) {
		min = minOr(ShownMin(s.Was))
	}
	switch {
	case s.LeftOut:
		was = "skipped"
	case s.Cut: // before the name, which is cut at its end
		name = "cut off: " + name
	case s.Again:
		name = "again: " + name
	}
	return []string{name, tub, w.FromTo(s.Planned), minOr(ShownMin(s.Planned)), was, min, w.Known(s.In), w.Known(s.Lowest), w.Known(s.Lift)}
}

func minOr(min float64) string {
	if !measure.Finite(min) {
		return "-"
	}
	return fmt.Sprintf("%.0f", min)
}

// Known is a temperature as it was read, or as an estimate; "-" for none.
func (w Words) Known(k Known) string {
	if k.Read {
		return readOr(w.Units, k.TempC)
	}
	return aboutOr(w.Units, k.TempC)
}

// Wait is a wait in a sentence: "North waited 4 min to be lifted: you came late".
func (w Words) Wait(d session.Day, x Wait) string {
	return fmt.Sprintf("%s waited %s %s", x.Who(d), rounded(x.Min()), x.What(d))
}

// HandsColumns head the columns of HandsRow.
var HandsColumns = [7]string{"hands-on", "planned", "each", "in all", "was", "each", "in all"}

// HandsRow is a kind of deed, planned and as it was: how often, the minutes of each on average,
// and of all.
func (w Words) HandsRow(h HandsTiming) []string {
	row := []string{h.Act.Shown()}
	if h.Act == shed.LoadNext { // a day begins with the first ones in their tubs
		row[0] += " the next"
	}
	for _, x := range []struct {
		n   int
		min float64
	}{{h.PlannedTimes, h.PlannedMin}, {h.Times, h.WasMin}} {
		if x.n == 0 {
			row = append(row, "-", "-", "-")
			continue
		}
		row = append(row, measure.Counted(x.n, "time", "times"), minTenths(x.min/float64(x.n)), rounded(x.min))
	}
	return row
}

func minTenths(min float64) string { return fmt.Sprintf("%.1f min", min) }

// Mark is what happened to a bath, in few words and the person's units.
func (w Words) Mark(m Mark) string {
	u := w.Units
	switch m.Kind {
	case Filled:
		if m.Read {
			return "filled, read " + u.TempRead(m.TempC)
		}
		return "filled, about " + u.Temp(m.TempC)
	case SunkIn:
		return fmt.Sprintf("fleece in, %s, forecast %s", shed.CoverWords(m.Cover), u.Temp(m.TempC))
	case WasRead:
		if m.Doubt {
			return "read " + u.TempRead(m.TempC) + doubtful(true)
		}
		return "read " + u.TempRead(m.TempC) + w.off(m.OffC)
	case Covered:
		return shed.CoverWords(m.Cover)
	case ToppedUp:
		text := fmt.Sprintf("topped up %s at %s", u.Volume(m.AddL), u.Temp(m.TempC))
		if m.BailL > 0 {
			return fmt.Sprintf("bailed %s, %s", u.Volume(m.BailL), text)
		}
		return text
	case RoomSet:
		return "room " + u.Temp(m.TempC)
	case Held:
		return "on hold"
	case Resumed:
		return "resumed"
	case SoakSet:
		return "soak set to " + rounded(m.Min)
	case Rang:
		return m.Alarm.Kind.Shown()
	case Lifted:
		return "lifted"
	case Emptied:
		return "emptied"
	}
	return ""
}

// off says how far a reading lay from the forecast.
func (w Words) off(c float64) string {
	switch {
	case !measure.Finite(c):
		return ""
	case math.Abs(c) < shownOffC:
		return ", as forecast"
	case c > 0:
		return fmt.Sprintf(", %s over the forecast", w.Units.TempMiss(c))
	}
	return fmt.Sprintf(", %s under the forecast", w.Units.TempMiss(-c))
}

// shownOffC: a reading nearer to its forecast is as forecast, °C.
const shownOffC = 0.5

// Down is when a forecast has the bath down to its release temperature: "down to 49 °C at 09:50
// (09:38-10:12)"; "" where it never comes, or has none.
func (w Words) Down(f Forecast, releaseC float64) string {
	r := f.Release
	if r.Likely.IsZero() {
		return ""
	}
	text := fmt.Sprintf("down to %s at %s", w.Units.Temp(releaseC), w.Clock(r.Likely))
	if r.Likely.Before(f.Since) {
		return fmt.Sprintf("below %s since about %s", w.Units.Temp(releaseC), w.Clock(r.Likely))
	}
	if r.Early.IsZero() || r.Late.IsZero() || r.Late.Sub(r.Early) < time.Minute {
		return text
	}
	return text + fmt.Sprintf(" (%s-%s)", w.Clock(r.Early), w.Clock(r.Late))
}

// Margin is, after "the lowest lay", how far that was from the release temperature; "" where the bath has none.
func (w Words) Margin(b Bath) string {
	releaseC := b.Step.ReleaseC
	if !measure.Finite(b.MarginC) {
		return ""
	}
	side := "above"
	if b.MarginC < 0 {
		side = "below"
	}
	return fmt.Sprintf("%s %s %s, where wax sets", w.Units.TempApart(b.Lowest.TempC, releaseC), side, w.Units.Temp(releaseC))
}
