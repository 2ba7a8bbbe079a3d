package gear

import (
	"cmp"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/theme"
)

// airy is how many lines a row has at the most, its bar in the middle one.
const airy = 3

// AlarmBars draws a day's alarms till a moment, w cells wide in so many lines: for each tub and kind when it rang, and how
// long it was heard before it was done. Of more than have room the last; nil where there are none.
func AlarmBars(e *base.Env, d *session.Day, to time.Time, w, room int) []string {
	var rows []chart.Row
	at := map[[2]int]int{} // the row of a tub and a kind, from 1
	for _, all := range [][]session.Alarm{d.AlarmLog, d.Alarms} {
		for i := range all {
			a := &all[i]
			if a.TakenBack || a.Priority == session.CallPriority || a.Kind == session.ClockJumped {
				continue
			}
			of := [2]int{a.Tub, int(a.Kind)}
			if at[of] == 0 {
				rows = append(rows, chart.Row{Name: d.TubName(a.Tub), Of: a.Kind.Shown()})
				at[of] = len(rows)
			}
			row, end := &rows[at[of]-1], cmp.Or(a.DoneAt, a.ClearedAt, to)
			heard := cmp.Or(a.HeardAt, end)
			if heard.Before(end) {
				row.Bars = append(row.Bars, chart.Bar{From: heard, To: end, Mark: theme.MarkLate})
			}
			row.Bars = append(row.Bars, chart.Bar{From: a.RaisedAt, To: heard, Mark: theme.MarkAlarm})
		}
	}
	rows = rows[max(0, len(rows)-max(0, room-2)):]
	from := d.StartedAt.In(e.Zone())
	return chart.Bars(&e.Theme, from, to, rows, w, min(airy, chart.High(len(rows), room)), e.ClockAxis(from, to))
}
