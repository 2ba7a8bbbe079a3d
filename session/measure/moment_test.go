package measure_test

import (
	"testing"
	"time"

	"fleece.example/tubside/session/measure"
)

func TestMoment(t *testing.T) {
	afternoon, night, noon := time.Date(2026, 6, 13, 14, 5, 0, 0, time.UTC), time.Date(2026, 6, 3, 0, 30, 0, 0, time.UTC), time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	for _, x := range []struct {
		at                 time.Time
		layout, metric, us string
	}{
		{afternoon, "15:04", "14:05", "2:05 pm"},
		{night, "15:04", "00:30", "12:30 am"},
		{noon, "Mon 15:04", "Wed 12:00", "Wed 12:00 pm"},
		{noon, "Mon 2 Jan", "Wed 25 Nov", "Wed Nov 25"},
		{night, "Mon 2 Jan 2006", "Wed 3 Jun 2026", "Wed Jun 3, 2026"},
		{afternoon, "Mon 2 Jan 15:04", "Sat 13 Jun 14:05", "Sat Jun 13 2:05 pm"},
		{afternoon, "2 January 2006 at 15:04", "13 June 2026 at 14:05", "June 13, 2026 at 2:05 pm"},
	} {
		if got := measure.Metric.Moment(x.at, x.layout); got != x.metric {
			t.Errorf("metric %q: %q, want %q", x.layout, got, x.metric)
		}
		if got := measure.US.Moment(x.at, x.layout); got != x.us {
			t.Errorf("US %q: %q, want %q", x.layout, got, x.us)
		}
	}
}

func TestClockOn(t *testing.T) {
	day := time.Date(2026, 6, 5, 19, 11, 0, 0, time.UTC)
	for _, x := range []struct {
		after time.Duration
		want  string
	}{{time.Hour, "8:11 pm"}, {5 * time.Hour, "Sat 12:11 am"}, {8 * 24 * time.Hour, "Jun 13 7:11 pm"}, {3653 * 24 * time.Hour, "Jun 5, 2036 7:11 pm"}} {
		if got := measure.US.ClockOn(day.Add(x.after), day); got != x.want {
			t.Errorf("after %v: %q, want %q", x.after, got, x.want)
		}
	}
}
