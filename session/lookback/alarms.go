package lookback

import (
	"fmt"
	"math"
	"slices"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/measure"
)

// AlarmFigures judge the alarms of a day as alarm management does (ISA-18.2, IEC 62682):
// how many, how close together, how many were acted on in time, which were of no use.
type AlarmFigures struct {
	N       int
	Hours   float64
	PerHour float64
	Most10  int // in the worst ten minutes
	High    int // of them of high priority
	// InTime were acted on before they rang a second time, Again rang again, Nothing had
	// nothing done after them. An alarm whose place a worse one took is of neither.
	InTime, Again, Nothing, Outdone int
	StoodMost                       int     // at one moment
	LongestMin                      float64 // that one stood
	// Useless are the kinds that came twice or more, and nothing was ever done after them.
	Useless []session.AlarmKind
}

// What one person can serve: an alarm in ten minutes at length; ten in ten minutes are a
// flood, and one in twenty is of high priority (EEMUA 191, which ISA-18.2 takes up).
const (
	perHourServed = 6.0
	floodIn10     = 10
)

// AlarmsOf judges the alarms of a day.
func AlarmsOf(r ledger.Review) AlarmFigures {
	f := AlarmFigures{N: len(r.Alarms)}
	end := r.Day.EndedAt
	if end.IsZero() {
		end = r.Day.LastAt
	}
	f.Hours = math.Round(end.Sub(r.Day.StartedAt).Minutes()) / 60 // as it is said, wherever it is
	if f.PerHour = float64(f.N) / f.Hours; !measure.Finite(f.PerHour) {
		f.PerHour = 0
	}
	came, done := map[session.AlarmKind]int{}, map[session.AlarmKind]bool{}
	for i, a := range r.Alarms {
		in10, stood := 1, 1              // itself
		for _, b := range r.Alarms[:i] { // in the order they were raised
			if a.RaisedAt.Sub(b.RaisedAt) < 10*time.Minute {
				in10++
			}
			if b.RaisedAt.Add(measure.Lasting(b.StoodS / 60)).After(a.RaisedAt) {
				stood++
			}
		}
		f.Most10, f.StoodMost = max(f.Most10, in10), max(f.StoodMost, stood)
		f.LongestMin = max(f.LongestMin, a.StoodS/60)
		if a.Priority == session.HighPriority {
			f.High++
		}
		if a.Rings > 1 {
			f.Again++
		}
		acted := a.Done || a.Answered && !a.Heard
		switch {
		case acted && a.Rings <= 1:
			f.InTime++
		case a.Outdone:
			f.Outdone++
		case !acted:
			f.Nothing++
		}
		came[a.Kind]++
		done[a.Kind] = done[a.Kind] || acted || a.Outdone
	}
	for k, n := range came {
		if n > 1 && !done[k] {
			f.Useless = append(f.Useless, k)
		}
	}
	slices.Sort(f.Useless)
	return f
}

// Alarms says how the alarms of a day are to be judged, a line for each figure; none for a
// day without an alarm.
func (w Words) Alarms(f AlarmFigures) []string {
	if f.N == 0 {
		return nil
	}
	rate := fmt.Sprintf("%s in %s", measure.Counted(f.N, "alarm", "alarms"), measure.Minutes(math.Round(60*f.Hours)))
	switch {
	case f.Most10 >= floodIn10:
		rate += fmt.Sprintf(": %d in ten minutes, too many for one person. Fewer tubs at a time, or starts further apart.", f.Most10)
	case f.PerHour > perHourServed:
		rate += fmt.Sprintf(": %.1f an hour, more than the %.0f that one person can handle. Fewer tubs at a time.", f.PerHour, perHourServed)
	default:
		rate += fmt.Sprintf(": %.1f an hour, and one person can handle %.0f; %d at most in ten minutes.", f.PerHour, perHourServed, f.Most10)
	}
	they := "they"
	if f.InTime == 1 {
		they = "it"
	}
	acted := fmt.Sprintf("%d acted on before %s rang again", f.InTime, they)
	if late := f.N - f.InTime - f.Outdone - f.Nothing; late > 0 {
		acted += fmt.Sprintf(", %d after", late)
	}
	if f.Outdone > 0 {
		acted += fmt.Sprintf(", %d gave way to a worse one", f.Outdone)
	}
	if f.Nothing > 0 {
		acted += fmt.Sprintf(", nothing done after %d", f.Nothing)
	}
	if f.Again > 0 {
		acted += fmt.Sprintf("; %d rang more than once", f.Again)
	}
	stood := "It stood for "
	switch {
	case f.StoodMost > 1:
		stood = fmt.Sprintf("At most %d at once; the longest stood for ", f.StoodMost)
	case f.N > 1:
		stood = "Never two at once; the longest stood for "
	}
	out := []string{rate, acted + ".", stood + secondsText(60*f.LongestMin) + "."}
	for _, k := range f.Useless {
		out = append(out, fmt.Sprintf("Nothing was ever done after \"%s\": act on it, or turn it off for the day in the alarm list.", k.Shown()))
	}
	return out
}
