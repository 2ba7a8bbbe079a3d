package measure

import (
	"fmt"
	"strings"
	"time"
)

// usMoments are the layouts of package time as a US kitchen writes them; a longer one
// stands before one that it begins with.
var usMoments = strings.NewReplacer("15:04", "3:04 pm", "2 January 2006", "January 2, 2006", "2 Jan 2006", "Jan 2, 2006", "2 January", "January 2", "2 Jan", "Jan 2")

// Moment is a moment in a layout of package time that is written the metric way: "Mon 2
// Jan 15:04" is "Sat 13 Jun 14:30", and "Sat Jun 13 2:30 pm" where units are US. The zone
// is the moment's own.
func (s System) Moment(t time.Time, layout string) string { return t.Format(s.Layout(layout)) }

// Layout is a layout of package time, written the metric way, as it is in these units.
func (s System) Layout(metric string) string {
	if s == US {
		return usMoments.Replace(metric)
	}
	return metric
}

// Clock is Moment for a time of day.
func (s System) Clock(t time.Time) string { return s.Moment(t, "15:04") }

// ClockColumn is Clock as it stands below others, the colons one below the other.
func (s System) ClockColumn(t time.Time) string {
	return fmt.Sprintf("%*s", len(s.pick("00:00", "12:00 am")), s.Clock(t))
}
