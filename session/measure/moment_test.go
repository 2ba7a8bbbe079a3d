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

// TestParseDay: a date is read as its person writes it, in figures by the choice of dates.
func TestParseDay(t *testing.T) {
	now := time.Date(2026, 6, 13, 9, 0, 0, 0, time.FixedZone("", -5*3600))
	for _, x := range []struct{ text, us, metric string }{
		{"5/30/26", "2026-05-30", ""}, {"5/30/2026", "2026-05-30", ""}, {"5/30", "2026-05-30", ""}, {"5-30-26", "2026-05-30", ""},
		{"30/5/26", "", "2026-05-30"}, {"30.5.2026", "", "2026-05-30"}, {"30.5.", "", "2026-05-30"}, {"5/6/26", "2026-05-06", "2026-06-05"},
		{"7/1", "2025-07-01", "2026-01-07"}, {"13/6", "", "2026-06-13"}, {"6/13", "2026-06-13", ""}, {"2/29", "2024-02-29", ""}, {"2/30", "", ""},
		{"May 30", "2026-05-30", "2026-05-30"}, {"30 may", "2026-05-30", "2026-05-30"}, {"Sept. 5, 2025", "2025-09-05", "2025-09-05"}, {"September 5", "2025-09-05", "2025-09-05"},
		{"May 30, 2026", "2026-05-30", "2026-05-30"}, {"Sat 30 May 2026", "2026-05-30", "2026-05-30"}, {"30-May-26", "2026-05-30", "2026-05-30"},
		{"2026-05-30", "2026-05-30", "2026-05-30"}, {"2026/5/30", "2026-05-30", "2026-05-30"}, {"5", "", ""}, {"5 6", "", ""}, {"2026", "", ""}, {"yesterday", "", ""}, {"", "", ""},
	} {
		for u, want := range map[measure.System]string{measure.US: x.us, measure.Metric: x.metric} {
			at, err := u.ParseDay(x.text, now)
			got := at.Format(time.DateOnly)
			if err != nil {
				got = ""
			}
			if got != want || err == nil && (at.Hour() != 12 || at.Location() != now.Location()) {
				t.Errorf("%v: %q is %q, want %q (%v, %v)", u, x.text, got, want, at, err)
			}
		}
	}
}
