package past

import (
	"sort"
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/planner"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/base"
	"fleece.example/tubside/tui/chart"
	"fleece.example/tubside/tui/draw"
	"fleece.example/tubside/tui/theme"
)

var barMarks = map[lookback.BarKind]theme.Mark{lookback.AtWork: theme.MarkHands, lookback.Soaks: theme.MarkSoak, lookback.Washes: theme.MarkWash, lookback.Boils: theme.MarkHands}

// lived is a day with its timings, and its washes as curves.
type lived struct {
	lookback.Timings
	curves
}

// readLived reads a day, without its plan: that takes as long again.
func readLived(j ledger.Journal, id shed.DayID) (*lived, error) {
	d, err := j.Day(id)
	return livedOf(d), err
}

func livedOf(d session.Day) *lived {
	return &lived{lookback.TimingsBeside(d, planner.Timetable{}), curvesOf(d, lookback.HotBaths(d))}
}

// lasted is from its beginning to the end of what was done or planned.
func (x *lived) lasted() time.Duration {
	to := x.Day.Was.To
	for _, b := range x.Hands.Planned {
		if b.To.After(to) {
			to = b.To
		}
	}
	return to.Sub(x.Day.Was.From)
}

// bars draws the day, its plan over what was where it has one, on one axis that is so long at the
// least; in so many lines (0: it does not matter) they are as high as that lets them be.
func (x *lived) bars(e *base.Env, w, room int, long time.Duration) []string {
	var rows []chart.Row
	add := func(name, note string, b lookback.Bars) {
		if len(b.Planned)+len(b.Was) == 0 {
			return
		}
		row := func(of, note string, bars []lookback.Bar) {
			r := chart.Row{Name: name, Of: of, Faint: of == "plan", Note: note}
			for _, bar := range bars {
				c := chart.Bar{From: bar.From, To: bar.To, Mark: barMarks[bar.Kind]}
				if bar.Kind == lookback.Soaks || bar.Kind == lookback.Washes {
					c.Word = bar.Batch
				}
				r.Bars = append(r.Bars, c)
			}
			rows = append(rows, r)
		}
		if len(x.Hands.Planned) == 0 {
			row("", note, b.Was)
			return
		}
		row("plan", "", b.Planned)
		name = ""
		row("was", note, b.Was)
	}
	for i, b := range x.Tubs {
		add(x.day.TubName(i), "not used", b)
	}
	add("kettle", "not recorded", x.Kettle)
	add("you", "", x.Hands)
	from := x.Day.Was.From.In(e.Zone())
	to := from.Add(max(long, x.lasted()))
	return chart.Bars(&e.Theme, from, to, rows, w, chart.High(len(rows), room), e.ClockAxis(from, to))
}

// leastWash is how few cells one of several curves is drawn in.
const leastWash = 48

// drawn is the day in so many lines: its bars, on an axis that is so long at the least, and under them as
// many of its washes as have room, those that came nearest to where wax sets.
func (x *lived) drawn(e *base.Env, w, room int, long time.Duration) []string {
	few := len(x.bars(e, w, 0, long))
	if few == 0 || few > room {
		return nil
	}
	var marginC []float64
	for i := range x.baths {
		if b := &x.baths[i]; x.only == "" || x.only == b.Batch {
			marginC = append(marginC, b.MarginC)
		}
	}
	n := min(len(marginC), w/leastWash)
	if n == 0 || room < few+2+leastCurve {
		return x.bars(e, w, room, long)
	}
	out := append(x.bars(e, w, max(few, room/3), long), "")
	high := room - len(out) - 1
	lines := make([]string, high+1)
	sort.Slice(marginC, func(i, j int) bool { return marginC[i] < marginC[j] }) // Float64s would be 6 kB of code
	said := map[string]bool{}
	for i, at := 0, 0; at < n; i++ {
		if b := &x.baths[i]; b.MarginC > marginC[n-1] || x.only != "" && x.only != b.Batch {
			continue
		}
		title := e.Theme.Title.Render(" " + draw.Short(nameOf(&x.baths[i]), w/n-1))
		for y, l := range append([]string{title}, x.curve(e, i, w/n-2, high, false, said)...) {
			lines[y] += draw.Fit(l, w/n)
		}
		at++
	}
	return append(out, lines...)
}
